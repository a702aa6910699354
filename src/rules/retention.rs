//! Rules of *retention*: what holds couplers together.
