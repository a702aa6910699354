//! What is to be put right in what was taken in, one remark for each cause.

use std::collections::BTreeMap;

use crate::ink::short;

/// Something to put right, or to look at.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    /// Where.
    pub at: At,
    /// The heading of the column; `None` where the whole row is meant.
    pub column: Option<String>,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub advice: String,
    /// What remarks with the same cause have in common.
    cause: String,
}

/// Where a remark belongs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum At {
    /// The whole of what was taken in.
    Whole,
    /// Rows by their numbers in the spreadsheet, in order.
    Rows(Vec<usize>),
    /// A resource of a saved tree.
    Resource(String),
}

/// So many rows are named; of more the first two.
const NAMED: usize = 4;

impl Remark {
    pub(crate) fn of_row(row: usize, what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self::new(At::Rows(vec![row]), what, advice)
    }

    pub(crate) fn new(at: At, what: impl Into<String>, advice: impl Into<String>) -> Self {
        let what = what.into();
        Self {
            at,
            column: None,
            cause: what.clone(),
            what,
            advice: advice.into(),
        }
    }

    pub(super) fn in_column(self, heading: &str) -> Self {
        Self {
            column: Some(heading.to_owned()),
            ..self
        }
    }

    /// The same with what it has in common with others of its kind, where their words differ.
    pub(super) fn caused_by(self, cause: impl Into<String>) -> Self {
        Self {
            cause: cause.into(),
            ..self
        }
    }

    /// The whole of it: `row 7, column length: … Put right: …`
    pub fn told(&self) -> String {
        let (what, advice) = (&self.what, &self.advice);
        let column = self.column.as_ref();
        let column = column.map_or_else(String::new, |column| format!("column {}", short(column)));
        let (place, likewise) = self.place();
        let place = match (place.is_empty(), column.is_empty()) {
            (true, true) => String::new(),
            (true, false) => format!("{column}: "),
            (false, true) => format!("{place}: "),
            (false, false) => format!("{place}, {column}: "),
        };
        format!("{place}{what}. {advice}{likewise}")
    }

    /// The place that the words are of, and the others that are like it.
    fn place(&self) -> (String, String) {
        match &self.at {
            At::Whole => (String::new(), String::new()),
            At::Resource(path) => (short(path).into_owned(), String::new()),
            At::Rows(rows) if self.cause == self.what => (named(rows), String::new()),
            At::Rows(rows) => match rows.split_first() {
                Some((first, [])) => (format!("row {first}"), String::new()),
                Some((first, rest)) => (
                    format!("row {first}"),
                    format!(" Likewise {}.", named(rest)),
                ),
                None => (String::new(), String::new()),
            },
        }
    }
}

/// `row 4`, `rows 4, 7 and 9`, `rows 4, 7 and 12 more`.
fn named(rows: &[usize]) -> String {
    let words = |rows: &[usize]| -> Vec<String> { rows.iter().map(ToString::to_string).collect() };
    match rows {
        [row] => format!("row {row}"),
        [first @ .., last] if rows.len() <= NAMED => {
            format!("rows {} and {last}", words(first).join(", "))
        }
        [first, second, rest @ ..] => format!("rows {first}, {second} and {} more", rest.len()),
        [] => String::new(),
    }
}

/// Remarks with the same cause in the same column as one, in the order of their rows.
pub(super) fn gathered(remarks: Vec<Remark>) -> Vec<Remark> {
    let mut by_cause: BTreeMap<(Option<String>, String, bool), Remark> = BTreeMap::new();
    let mut all = Vec::new();
    for remark in remarks {
        let At::Rows(rows) = &remark.at else {
            all.push(remark);
            continue;
        };
        let key = (remark.column.clone(), remark.cause.clone(), true);
        match by_cause.get_mut(&key) {
            Some(Remark {
                at: At::Rows(known),
                ..
            }) => known.extend(rows),
            _ => {
                by_cause.insert(key, remark);
            }
        }
    }
    all.extend(by_cause.into_values().map(in_order));
    all.sort();
    all.dedup();
    all
}

fn in_order(mut remark: Remark) -> Remark {
    if let At::Rows(rows) = &mut remark.at {
        rows.sort_unstable();
        rows.dedup();
    }
    remark
}

/// A message without what it quotes and without its numbers: what is left is the kind of its cause.
pub(super) fn kind_of(message: &str) -> String {
    let outside = message.split('`').step_by(2);
    let words: String = outside.collect::<Vec<_>>().join("`");
    words.chars().filter(|c| !c.is_ascii_digit()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_named_while_they_are_few() {
        for (rows, told) in [
            (&[4][..], "row 4"),
            (&[4, 7], "rows 4 and 7"),
            (&[4, 7, 8, 9], "rows 4, 7, 8 and 9"),
            (&[4, 7, 8, 9, 10], "rows 4, 7 and 3 more"),
        ] {
            assert_eq!(named(rows), told);
        }
    }

    #[test]
    fn remarks_with_one_cause_are_one() {
        let bare = |row, cell| {
            let what = format!("`{cell}` is a length without its unit");
            let cause = kind_of(&what);
            let remark = Remark::of_row(row, what, "Write 1.5 m.");
            remark.in_column("length").caused_by(cause)
        };
        let same = |row| Remark::of_row(row, "the cord has no name", "Give it one.");
        let all = vec![same(9), bare(3, "1.5"), bare(2, "2"), same(4), same(9)];
        let told: Vec<String> = gathered(all).iter().map(Remark::told).collect();
        assert_eq!(
            told,
            [
                "row 2, column length: `1.5` is a length without its unit. Write 1.5 m. Likewise row 3.",
                "rows 4 and 9: the cord has no name. Give it one.",
            ]
        );
    }
}
