//! Jacket colours, and the feeds that they stand for.

use rustc_hash::FxHashMap;

use crate::model::cords::Cord;
use crate::model::site::Feed;
use crate::model::value::{Id, Named};

use super::Analysis;

/// One spelling for each colour: `grey` is `Gray`.
fn one_spelling(colour: &str) -> String {
    colour.trim().to_lowercase().replace("gray", "grey")
}

/// Whether two words name one colour, however they are spelt.
pub fn is_same_colour(a: &str, b: &str) -> bool {
    one_spelling(a) == one_spelling(b)
}

/// The feeds of a site by their colours; of several with one colour the first.
#[derive(Debug)]
pub(super) struct Colours(FxHashMap<String, Id<Feed>>);

impl Colours {
    pub(super) fn of(analysis: &Analysis<'_>) -> Self {
        let mut colours = FxHashMap::default();
        for (id, feed) in analysis.model.site.feeds.iter() {
            if let Ok(Some(colour)) = feed.colour.written() {
                colours.entry(one_spelling(&colour.value)).or_insert(id);
            }
        }
        Self(colours)
    }
}

impl<'a> Analysis<'a> {
    /// The feed of the site whose colour a cord has, whatever it is plugged into.
    pub fn feed_of_colour(&self, cord: Id<Cord>) -> Option<&'a Named<Feed>> {
        let colour = self.graph.cord_type(self.model, cord)?.colour.known()?;
        let colours = self.shared.colours(self);
        let feed = colours.0.get(&one_spelling(colour))?;
        Some(&self.model.site.feeds[*feed])
    }
}

#[cfg(test)]
mod tests {
    use super::is_same_colour;

    #[test]
    fn a_colour_is_one_however_it_is_spelt() {
        for (a, b) in [
            ("grey", "Gray"),
            ("Dark Gray", "dark grey"),
            ("blue", "BLUE "),
        ] {
            assert!(is_same_colour(a, b), "{a} {b}");
        }
        assert!(!is_same_colour("grey", "green"));
    }
}
