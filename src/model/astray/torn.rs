//! Texts that cannot be read to their end: whether a section of ours may be in the part that is lost.

use super::{SECTIONS, is_near};

/// Whether a text that cannot be read to its end may hold sections of ours: whether it has the name
/// of one, or nearly, where the keys at its top stand.
pub fn may_hold_sections(text: &str) -> bool {
    let lines = || {
        text.lines()
            .map(|line| line.trim_end().trim_start_matches('\u{feff}'))
    };
    let margin = |line: &str| line.len() - line.trim_start().len();
    let is_text = |line: &&str| !line.is_empty() && !line.starts_with(['#', '%']);
    let least = lines().filter(is_text).map(margin).min().unwrap_or(0);
    let at_top = || {
        lines()
            .filter(|line| margin(line) == least)
            .map(without_marks)
    };
    let in_brackets = |line: &str| {
        let template = line.starts_with("{{") || line.starts_with("{%");
        line.starts_with(['{', '[']) && !template
    };
    match at_top().any(in_brackets) {
        true => text.split([',', '{', '[', '\n', '\r']).any(names_section),
        false => at_top().any(names_section),
    }
}

/// A line without what may stand before its key.
fn without_marks(line: &str) -> &str {
    let mut rest = line.trim_start();
    loop {
        let bare = ["--- ", "- ", "? "]
            .iter()
            .find_map(|mark| rest.strip_prefix(mark));
        let property = rest
            .starts_with(['&', '!'])
            .then(|| rest.split_once(' '))
            .flatten();
        match bare.or(property.map(|(_, rest)| rest)) {
            Some(bare) => rest = bare.trim_start(),
            None => return rest,
        }
    }
}

/// Whether a line begins with the name of a section, or nearly. A name with escapes may be any.
fn names_section(line: &str) -> bool {
    let end = line.find([':', '\u{ff1a}']).unwrap_or(line.len());
    let name = line[..end].trim().trim_matches(['"', '\'']);
    let is_escaped = line.trim_start().starts_with('"') && name.contains('\\');
    is_escaped || SECTIONS.iter().any(|(section, _)| is_near(name, section))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_near_a_section_may_hold_one_wherever_a_top_key_may_stand() {
        for text in [
            "cords:\n  a: [\n",
            "# first\nCords: {\n",
            "a: [1}\ncoords:\n",
            "  pdu:\n    a: [\n  b: 1\n",
            "\u{feff}racks: [\r\n",
            "\"cords\": [\n",
            "\"c\\u006frds\": [\n",
            "--- !x &y cords: [\n",
            "? cords\n: [\n",
            "- cords: [\n",
            "{\"site\": {}, \"cords\": [}\n",
            "{a: 1, cords : [}\n",
            "c\u{43e}rds: [\n",
            "c?rds: [\n",
            "cord_types: [\n",
            "devices\u{ff1a} [\n",
        ] {
            assert!(may_hold_sections(text), "{text:?}");
        }
    }

    #[test]
    fn other_names_do_not() {
        for text in [
            "",
            "services:\n  web: [\n",
            "a:\n  cords: [\n",
            "{{- if .Values.devices }}\nkind: Service\nspec:\n  zones: [\n",
            "{% for x in y %}\na: [\n",
            "# cords:\na: [\n",
            "{\"a\": {}, \"b\": [}\n",
        ] {
            assert!(!may_hold_sections(text), "{text:?}");
        }
    }
}
