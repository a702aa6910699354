//! Rules of *identity*: colours, labels and feeds.

pub mod feed_colour;
pub mod label_pattern;
pub mod wrong_feed;
