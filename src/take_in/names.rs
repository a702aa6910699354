//! Names that are made, each of them once.

use std::collections::{BTreeMap, BTreeSet};

/// The names that are given away.
#[derive(Debug, Default)]
pub(super) struct Names {
    given: BTreeSet<String>,
    /// The last number behind each name.
    numbers: BTreeMap<String, usize>,
}

impl Names {
    /// A name; with a number behind it where it is given away already.
    pub fn free(&mut self, name: &str) -> String {
        let number = self.numbers.entry(name.to_owned()).or_insert(0);
        loop {
            *number += 1;
            let own = match *number {
                1 => name.to_owned(),
                number => format!("{name}-{number}"),
            };
            if self.given.insert(own.clone()) {
                return own;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_is_given_twice() {
        let mut names = Names::default();
        let given = ["a", "a-2", "a", "a", "b"].map(|name| names.free(name));
        assert_eq!(given, ["a", "a-2", "a-3", "a-4", "b"]);
    }
}
