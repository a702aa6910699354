//! Rules of *identity*: colours, labels and feeds.
