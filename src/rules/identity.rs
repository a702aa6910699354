//! Rules of *identity*: colours, labels and feeds.

pub(crate) mod feed_colour;
pub(crate) mod label_pattern;
pub(crate) mod wrong_feed;
