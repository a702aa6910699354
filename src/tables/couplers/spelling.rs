//! The spelling of names: what may differ without a difference in meaning.

/// Longer texts are no coupler's name; they are cut, so that a hostile file costs little.
const LONGEST: usize = 64;

/// Upper case, no blanks, one kind of dash.
pub(super) fn normal(text: &str) -> String {
    text.chars()
        .filter(|letter| !letter.is_whitespace())
        .take(LONGEST)
        .flat_map(char::to_uppercase)
        .map(|letter| match letter {
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '_' => '-',
            other => other,
        })
        .collect()
}
