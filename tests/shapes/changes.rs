//! Changes of a site: what it was, and what somebody made of it.

use super::definitions::{departures, idle_types, many_misfits, same_departure, wrong_type};
use super::texts::files;
use super::{Files, HEAD, each, site};

/// The same with `from` written `to` everywhere.
fn edited(mut files: Files, from: &str, to: &str) -> Files {
    for (_, text) in &mut files {
        *text = text.replace(from, to);
    }
    files
}

/// One line more.
pub fn remarked(count: usize) -> Files {
    edited(wrong_type(count), "pdu-models:", "# seen\npdu-models:")
}

/// The limit at which cords were called too long is taken out, and all of them are over it.
pub fn unlimited(count: usize) -> Files {
    edited(
        many_misfits(count),
        "voltage-drop: {cord: 1 %, total: 5 %}, ",
        "",
    )
}

/// Every departure holds for longer.
pub fn longer_departures(count: usize) -> Files {
    edited(departures(count), "2099-01-01", "2100-01-01")
}

/// The same of one departure again and again.
pub fn longer_departure(count: usize) -> Files {
    edited(same_departure(count), "2099-01-01", "2100-01-01")
}

/// Lines of the snag list for what is found, as often as there are types.
pub fn snags(count: usize) -> Files {
    let mut files = idle_types(count);
    files.push((
        "cordwright-snags.txt".to_owned(),
        each(count, |_| {
            "0123456789abcdef note idle-definition t1".to_owned()
        }),
    ));
    files
}

/// The same lines, each for graver faults.
pub fn graver_snags(count: usize) -> Files {
    edited(snags(count), " note ", " error ")
}

/// Files of cords, put where nothing reads them.
pub fn hidden_files(count: usize) -> Files {
    let hidden = files(count).into_iter().map(|(path, text)| {
        let path = match path.strip_prefix("cords/") {
            Some(path) => format!("attic/{path}.txt"),
            None => path,
        };
        (path, text)
    });
    hidden.collect()
}

/// The same, and every name in them is another.
pub fn hidden_other_files(count: usize) -> Files {
    edited(hidden_files(count), "W-", "V-")
}

/// Keys below one name as long as they all are.
pub fn keys_below_a_long_name(count: usize) -> Files {
    let zone = format!("zones:\n  {}:\n", "z".repeat(12 * count));
    let head = HEAD.replacen("zones: {", "zones: {other: {}, ", 1);
    let text = zone + &each(count, |n| format!("    key-{n}: {n}"));
    let mut files = site(head);
    files.push(("zones.yaml".to_owned(), text));
    files
}

/// The same with other values.
pub fn other_keys_below_a_long_name(count: usize) -> Files {
    edited(keys_below_a_long_name(count), ": 1", ": 2")
}
