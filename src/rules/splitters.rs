//! Rules of *splitters*: splitter cords.
