//! Jacket colours, and the feeds that they stand for.

use crate::model::cords::Cord;
use crate::model::site::Feed;
use crate::model::value::{Id, Named};

use super::Survey;

/// Whether two words name one colour: `grey` is `Gray`.
pub fn is_same_colour(a: &str, b: &str) -> bool {
    let one_spelling = |colour: &str| colour.trim().to_lowercase().replace("gray", "grey");
    one_spelling(a) == one_spelling(b)
}

impl<'a> Survey<'a> {
    /// The feed of the site whose colour a cord has, whatever it is plugged into.
    pub fn feed_of_colour(&self, cord: Id<Cord>) -> Option<&'a Named<Feed>> {
        let colour = self.graph.cord_type(self.model, cord)?.colour.given()?;
        let mut feeds = self.model.site.feeds.items().iter();
        feeds.find(|feed| {
            let own = feed.colour.written().ok().flatten();
            own.is_some_and(|own| is_same_colour(&own.value, &colour.value))
        })
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
