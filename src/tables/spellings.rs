//! Patterns of the names in tables, for the description of the format that editors read.
//!
//! A list of names alone would refuse the spellings that reading allows besides.

/// A pattern of the whole text of any of `names`, in capitals and small letters, with any blanks
/// where `names` have one and where letters meet digits.
pub fn spaced(names: impl Iterator<Item = impl AsRef<str>>) -> String {
    any_of(names.map(|name| spaced_name(name.as_ref())))
}

/// A pattern of the whole text of any of `names`, in capitals and small letters, with any blanks,
/// hyphens and underscores between the letters.
pub fn spread(names: impl Iterator<Item = impl AsRef<str>>) -> String {
    let spread = |name: &str| {
        let letters: Vec<String> = name.chars().map(any_case).collect();
        letters.join(r"[\s_-]*")
    };
    any_of(names.map(|name| spread(name.as_ref())))
}

/// A pattern of the whole text of any of `patterns`, blanks around it aside.
pub fn any_of(patterns: impl Iterator<Item = String>) -> String {
    let mut patterns: Vec<String> = patterns.collect();
    patterns.sort();
    patterns.dedup();
    format!(r"^\s*(?:{})\s*$", patterns.join("|"))
}

/// A name in capitals and small letters, with any blanks where they may stand.
pub fn spaced_name(name: &str) -> String {
    let mut pattern = String::new();
    let mut before = None;
    for letter in name.chars() {
        let meets = |before: char| before.is_ascii_digit() != letter.is_ascii_digit();
        match before {
            _ if letter == ' ' => {}
            Some(before) if before == ' ' || meets(before) => pattern.push_str(r"\s*"),
            _ => {}
        }
        if letter != ' ' {
            pattern.push_str(&any_case(letter));
        }
        before = Some(letter);
    }
    pattern
}

pub(super) fn any_case(letter: char) -> String {
    match letter {
        'a'..='z' | 'A'..='Z' => {
            let (large, small) = (letter.to_ascii_uppercase(), letter.to_ascii_lowercase());
            format!("[{large}{small}]")
        }
        '+' | '.' | '(' | ')' => format!(r"\{letter}"),
        other => other.to_string(),
    }
}
