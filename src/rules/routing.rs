//! Rules of *routing*: lengths and ways.
