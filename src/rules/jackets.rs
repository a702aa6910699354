//! Rules of *jackets*: jackets and approvals.
