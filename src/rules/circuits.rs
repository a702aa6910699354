//! Rules of *circuits*: circuits, banks and supplies.
