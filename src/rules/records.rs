//! Rules of *records*: is the definition itself sound.
