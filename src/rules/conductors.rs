//! Rules of *conductors*: conductors and their protection.
