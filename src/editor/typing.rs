//! Where in the definitions somebody is typing. The text is seldom whole at that moment, so a mark is
//! put in the place of the word that is being typed, once as it is and once as a key, and the reading
//! that gets further counts.

use std::ops::Range;
use std::sync::Arc;

use crate::source::FileId;
use crate::yaml::{Kind, Limits, NodeId, Tree};

use super::keys::Level;

/// A character of no meaning that no name has.
const MARK: &str = "\u{e000}";

/// What is being typed, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typing {
    /// From the root of the file to the mapping or value.
    pub path: Vec<Level>,
    /// Whether a key is being typed in the mapping at the end of the path, with no value yet; if not,
    /// a value.
    pub is_key: bool,
    /// Keys that stand in the mapping already.
    pub siblings: Vec<String>,
    /// The bytes of the word so far, and what of it stands behind the cursor.
    pub word: Range<usize>,
    /// What of it stands before the cursor.
    pub typed: String,
    /// Whether a colon follows already.
    pub has_colon: bool,
}

impl Typing {
    /// What is typed at `byte` of `text`; `None` in a comment and where nothing can be made of it.
    pub fn at(text: &str, byte: usize) -> Option<Self> {
        let word = word_at(text, byte)?;
        let rest = text.get(word.end..)?;
        let has_colon = rest.starts_with(':');
        let with = |mark: &str| format!("{}{mark}{}", &text[..word.start], rest);
        let plain = Marked::new(with(MARK));
        let is_complete = |marked: &Marked| marked.tree.is_complete();
        let found = match plain {
            Some(plain) if is_complete(&plain) => plain,
            other => {
                let key = Marked::new(with(&format!("{MARK}: ")));
                key.filter(|key| is_complete(key) || other.is_none())
                    .or(other)?
            }
        };
        let (path, is_key, siblings) = found.place();
        Some(Self {
            path,
            is_key,
            siblings,
            typed: text[word.start..byte]
                .trim_start_matches(['"', '\''])
                .to_owned(),
            word,
            has_colon,
        })
    }
}

/// A text with the mark in it, read.
struct Marked {
    tree: Tree,
    mark: NodeId,
}

impl Marked {
    fn new(text: String) -> Option<Self> {
        let at = text.find(MARK)?;
        let (tree, _) = Tree::parse(FileId(0), &Arc::from(text), &Limits::default());
        let mark = tree.node_at(at).filter(|&node| tree.text(node) == MARK)?;
        Some(Self { tree, mark })
    }

    fn place(&self) -> (Vec<Level>, bool, Vec<String>) {
        let tree = &self.tree;
        let nodes = tree.path_to(tree.span(self.mark).range().start);
        let mut path = Vec::new();
        for pair in nodes.windows(2) {
            let (above, below) = (pair[0], pair[1]);
            if tree.kind(above) == Kind::List {
                path.push(Level::Item);
                continue;
            }
            let pair = tree
                .pairs(above)
                .find(|(key, value)| *key == below || *value == below);
            match pair {
                Some((key, value)) if value == below => {
                    path.push(Level::Key(tree.text(key).to_owned()));
                }
                _ => {
                    let keys = tree.pairs(above).map(|(key, _)| tree.text(key));
                    let others = keys.filter(|key| *key != MARK).map(str::to_owned);
                    return (path, true, others.collect());
                }
            }
        }
        (path, false, Vec::new())
    }
}

/// What opens a value or key.
const OPENERS: [&str; 4] = [": ", "{", "[", ","];

/// The word around `byte`: from the indent, the dash, the colon, the bracket or the comma before it to
/// the end of what belongs to it; `None` in a comment.
fn word_at(text: &str, byte: usize) -> Option<Range<usize>> {
    let before = text.get(..byte)?;
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    let so_far = &before[line..];
    if is_comment(so_far) {
        return None;
    }
    let opened = OPENERS
        .iter()
        .filter_map(|opener| Some(so_far.rfind(opener)? + opener.len()));
    let opened = opened.max().unwrap_or(0);
    let word = so_far[opened..].trim_start();
    let word = word.strip_prefix("- ").unwrap_or(word).trim_start();
    let stops = |c: char| "\n\r,{}[]#: ".contains(c);
    let rest = &text[byte..];
    let end = byte + rest.find(stops).unwrap_or(rest.len());
    Some(byte - word.len()..end)
}

fn is_comment(line: &str) -> bool {
    let starts = line.match_indices('#').map(|(at, _)| &line[..at]);
    let mut starts = starts.filter(|before| before.is_empty() || before.ends_with([' ', '\t']));
    starts.any(|before| before.matches('"').count() % 2 == 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Types at the `|`.
    fn typing(text: &str) -> Typing {
        let at = text.find('|').unwrap();
        Typing::at(&text.replacen('|', "", 1), at).unwrap()
    }

    fn path(typing: &Typing) -> String {
        let levels = typing.path.iter().map(|level| match level {
            Level::Key(key) => key.as_str(),
            Level::Item => "-",
        });
        levels.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_value_is_typed() {
        for (text, place, typed) in [
            (
                "cords:\n  W-1: {type: c1|, from: p/1}\n",
                "cords W-1 type",
                "c1",
            ),
            (
                "cords:\n  W-1:\n    type: |\n    from: p/1\n",
                "cords W-1 type",
                "",
            ),
            (
                "cords:\n  W-1:\n    from: ph-1-a/|",
                "cords W-1 from",
                "ph-1-a/",
            ),
            (
                "cord-types:\n  c:\n    plug: IEC 60309 3|\n",
                "cord-types c plug",
                "IEC 60309 3",
            ),
            (
                "cords:\n  W-1: {type: c, to: {a: |}}\n",
                "cords W-1 to a",
                "",
            ),
            ("departures:\n  - {rule: re|}\n", "departures - rule", "re"),
            (
                "departures:\n  - rule: re|\n    at: x\n",
                "departures - rule",
                "re",
            ),
            (
                "circuits:\n  A: {poles: [L1, |]}\n",
                "circuits A poles -",
                "",
            ),
        ] {
            let typing = typing(text);
            assert_eq!(
                (path(&typing).as_str(), typing.is_key),
                (place, false),
                "{text}"
            );
            assert_eq!(typing.typed, typed, "{text}");
        }
    }

    #[test]
    fn a_key_is_typed() {
        for (text, place, siblings) in [
            ("cords:\n  W-1: {type: c, fr|}\n", "cords W-1", "type"),
            ("cords:\n  W-1:\n    type: c\n    |\n", "cords W-1", "type"),
            (
                "cords:\n  W-1:\n    fr|\n    type: c\n",
                "cords W-1",
                "type",
            ),
            (
                "cords:\n  W-1:\n    type: c\n    fr|: x\n",
                "cords W-1",
                "type",
            ),
            ("zo|\ncords:\n  W-1: {type: c}\n", "", "cords"),
        ] {
            let typing = typing(text);
            assert_eq!(
                (path(&typing).as_str(), typing.is_key),
                (place, true),
                "{text}"
            );
            assert_eq!(typing.siblings.join(" "), siblings, "{text}");
        }
    }

    #[test]
    fn in_a_comment_nothing_is_typed() {
        let text = "cords: # see W-";
        assert_eq!(Typing::at(text, text.len()), None);
    }
}
