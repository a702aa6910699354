//! What is said of a name that no cordage goes by.

use std::sync::LazyLock;

use super::{find, folded};
use crate::spelling::either;
use crate::tables::offered::{self, Offered};

static OFFERED: LazyLock<Vec<Offered>> = LazyLock::new(|| {
    let text = include_str!("../data/cordage-offered.yaml");
    offered::embedded("cordage-offered", text)
});

/// Which types may be meant, or how one that stands with its cores and size is written.
pub fn advice(text: &str) -> Option<String> {
    if let Some(name) = without_cores(text) {
        return Some(format!(
            "Write `{name}`; the size of a conductor and the number of cores have keys of their own, `conductor` and `cores`."
        ));
    }
    if let Some(marks) = several(text) {
        return Some(format!(
            "Write them as a list, `[{}]`: those are several marks of one cord.",
            marks.join(", ")
        ));
    }
    let wanted = folded(text);
    let is_it = |offered: &&Offered| offered.written.iter().any(|one| folded(one) == wanted);
    let Offered { means, why, .. } = OFFERED.iter().find(is_it)?;
    let names: Vec<String> = means.iter().map(|name| format!("`{name}`")).collect();
    let names = either(&names);
    Some(format!(
        "{}. Source: {}. Write {names}, as the jacket has it.",
        why.value, why.citation
    ))
}

/// Types that stand together as they do on a jacket: `SJT / H05VV-F`.
fn several(text: &str) -> Option<Vec<&str>> {
    let is_between = |letter: char| letter.is_whitespace() || "/,;+&".contains(letter);
    let parts = text.split(is_between).filter(|part| !part.is_empty());
    let marks: Vec<&str> = parts.collect();
    let are_all = marks.iter().all(|mark| find(mark).is_some());
    (marks.len() > 1 && are_all).then_some(marks)
}

/// The type of `H05VV-F 3G1.0`, `SJT 3x18 AWG`, `SJT 18/3`, `18/3 SJT`: what stands before or behind the cores.
fn without_cores(text: &str) -> Option<&str> {
    let letters = text
        .char_indices()
        .filter(|(_, letter)| letter.is_whitespace());
    let mut parts = letters.map(|(at, _)| (text[..at].trim(), text[at..].trim()));
    parts.find_map(|(before, behind)| {
        let is = |name: &str, cores: &str| find(name).is_some() && are_cores(cores);
        let names = [(before, behind), (behind, before)];
        let found = names.into_iter().find(|(name, cores)| is(name, cores));
        found.map(|(name, _)| name)
    })
}

fn are_cores(text: &str) -> bool {
    let capitals = text.to_uppercase();
    let rest = capitals.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let size = rest.trim_start().strip_prefix(['G', 'X', '×', 'C', '/']);
    let is_size = |size: &str| {
        size.trim_start()
            .starts_with(|letter: char| letter.is_ascii_digit())
    };
    rest.len() < capitals.len() && size.is_some_and(is_size)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_type_is_told_with_the_types() {
        for row in OFFERED.iter() {
            for name in &row.written {
                assert_eq!(find(name), None, "{name}");
                assert!(advice(name).is_some(), "{name}");
            }
            assert!(row.means.iter().all(|name| find(name).is_some()));
        }
        let said = advice("rvv").unwrap_or_default();
        assert!(
            said.contains("Write `60227 IEC 52` or `60227 IEC 53`"),
            "{said}"
        );
        assert_eq!(advice("garden hose"), None);
    }

    #[test]
    fn several_marks_are_a_list() {
        for (text, list) in [
            ("SJT / H05VV-F", Some("[SJT, H05VV-F]")),
            ("SJT/H05VV-F", Some("[SJT, H05VV-F]")),
            ("h05vv-f sjt", Some("[h05vv-f, sjt]")),
            ("SJT", None),
            ("SJT hose", None),
            ("/", None),
        ] {
            let said = advice(text).unwrap_or_default();
            assert_eq!(list.is_some(), said.contains("list"), "{text}: {said}");
            assert!(
                list.is_none_or(|list| said.contains(list)),
                "{text}: {said}"
            );
        }
    }

    #[test]
    fn cores_and_size_stand_under_keys_of_their_own() {
        for (text, name) in [
            ("H05VV-F 3G1.0", Some("H05VV-F")),
            ("h05vv-f 3 x 0.75 mm²", Some("h05vv-f")),
            ("60227 IEC 53 3x1.0", Some("60227 IEC 53")),
            ("SJT 3C18", Some("SJT")),
            ("SJT 18/3", Some("SJT")),
            ("18/3 SJT", Some("SJT")),
            ("H05VV-F 3G", None),
            ("H05VV-F G1", None),
            ("hose 3G1.0", None),
            ("", None),
        ] {
            assert_eq!(without_cores(text), name, "{text}");
        }
    }
}
