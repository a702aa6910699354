//! Characters that do more than show themselves.

use std::borrow::Cow;

/// What stands in the place of a character that does harm.
pub(super) const STAND_IN: char = '?';

/// Whether a character may do more to a terminal, an editor or a reader than show itself: controls,
/// writing-direction overrides, what Unicode has invisible by design, and what it says is no character.
fn is_harmful(c: char) -> bool {
    c.is_control()
        || u32::from(c) & 0xfffe == 0xfffe
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fdd0}'..='\u{fdef}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e00ff}' | '\u{e01f0}'..='\u{e0fff}')
}

/// What joins or varies the character before it: scripts beyond ASCII need it, ASCII hides behind it.
fn is_joiner(c: char) -> bool {
    matches!(c, '\u{180b}'..='\u{180d}' | '\u{180f}' | '\u{200c}' | '\u{200d}' | '\u{fe00}'..='\u{fe0f}' | '\u{e0100}'..='\u{e01ef}')
}

/// Whether a character ends a line somewhere, or moves as a tab does.
pub(super) fn is_break(c: char) -> bool {
    matches!(
        c,
        '\n' | '\r' | '\t' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}'
    )
}

/// Whether a character that joins or varies has nothing to do so to, behind `before`.
pub(super) fn hides(c: char, before: char) -> bool {
    is_joiner(c) && (before.is_ascii() || is_harmful(before))
}

/// The characters of a text with their places, each with whether it does harm there.
pub(super) fn looked_at(text: &str) -> impl Iterator<Item = (usize, char, bool)> {
    let mut before = ' ';
    text.char_indices().map(move |(at, c)| {
        let harms = match c.is_ascii() {
            true => c.is_ascii_control(),
            false => is_harmful(c) || hides(c, before),
        };
        // What stands behind it then stands behind what takes its place.
        before = if harms { STAND_IN } else { c };
        (at, c, harms)
    })
}

/// `text` on one line, every harmful character replaced by a blank (line ends, tabs) or a stand-in.
pub(super) fn one_line(text: &str) -> Cow<'_, str> {
    if !looked_at(text).any(|(_, _, harms)| harms) {
        return Cow::Borrowed(text);
    }
    let text = text.replace("\r\n", "\n");
    let shown = looked_at(&text).map(|(_, c, harms)| match harms {
        true if is_break(c) => ' ',
        true => STAND_IN,
        false => c,
    });
    Cow::Owned(shown.collect())
}

/// Whether a build server may take the rest of a line for a command if the line begins with it:
/// `::error file=…::`. Letters of every script count: who knows what a server takes for a name.
pub(super) fn begins_a_command(rest: &str) -> bool {
    let name = rest.strip_prefix("::");
    name.is_some_and(|name| name.starts_with(char::is_alphabetic))
}

/// Whether the second `#` of a command that a build server looks for anywhere in a line stands here:
/// `##[error]`, `##vso[…]`.
pub(super) fn ends_a_command_mark(before: &str, rest: &str) -> bool {
    let Some(name) = rest.strip_prefix('#').filter(|_| before.ends_with('#')) else {
        return false;
    };
    let after = name.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || c == '-');
    after.starts_with('[')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmful_characters_never_survive() {
        assert_eq!(one_line("a\u{1b}[31mb\r\nc\td"), "a?[31mb c d");
        assert_eq!(one_line("W\u{202e}-1\u{7f}"), "W?-1?");
        assert_eq!(one_line("W\u{200d}-\u{ad}1\u{3164}"), "W?-?1?");
        assert_eq!(one_line("\u{e0100}\u{e0100}"), "??");
        assert_eq!(one_line("a\u{2028}b\u{85}c\u{0}"), "a b c?");
        assert_eq!(one_line("naïve ligature ﬁ"), "naïve ligature ﬁ");
    }

    #[test]
    fn scripts_keep_their_joiners() {
        for text in [
            "می\u{200c}خواهم",
            "क\u{94d}\u{200d}ष",
            "👩\u{200d}🔧",
            "⚠\u{fe0f}",
            "葛\u{e0100}城",
        ] {
            assert_eq!(one_line(text), text);
        }
        assert_eq!(one_line("é\u{200d}\u{200d}"), "é\u{200d}\u{200d}");
    }
}
