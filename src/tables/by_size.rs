//! Table rows looked up by conductor size, compared by cross-section.

use serde::Deserialize;
use uom::si::area::square_millimeter;

use super::lookup::{Lookup, Remark};
use crate::citation::Citation;
use crate::quantity::{Area, ConductorSize};

/// Cross-sections within this share of each other are the same size: far below any step between
/// two sizes, far above rounding.
const SAME_SIZE: f64 = 1e-6;

/// A conductor size as table rows write it: `18 AWG`, `1/0 AWG`, `1.5 mm2`.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(try_from = "String")]
pub(super) struct ListedSize(pub ConductorSize);

impl TryFrom<String> for ListedSize {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let fault = || format!("not a conductor size: {text}");
        let (number, unit) = text.split_once(' ').ok_or_else(fault)?;
        let size = match (unit, number.strip_suffix("/0")) {
            ("AWG", Some(zeros)) => zeros
                .parse()
                .ok()
                .map(|n: i8| ConductorSize::Awg(1i8.saturating_sub(n))),
            ("AWG", None) => number.parse().ok().map(ConductorSize::Awg),
            ("mm2", None) => number
                .parse()
                .ok()
                .map(|mm2| ConductorSize::Metric(Area::new::<square_millimeter>(mm2))),
            _ => None,
        };
        size.map(Self).ok_or_else(fault)
    }
}

/// One row: a size and what the table says of it.
#[derive(Clone, Debug)]
pub(super) struct SizeRow<T> {
    pub size: ConductorSize,
    area: Area,
    pub value: T,
    pub citation: Citation,
}

/// A column of a table, ordered by cross-section.
#[derive(Clone, Debug)]
pub(super) struct BySize<T> {
    rows: Vec<SizeRow<T>>,
}

impl<T> FromIterator<(ListedSize, T, Citation)> for BySize<T> {
    fn from_iter<I: IntoIterator<Item = (ListedSize, T, Citation)>>(rows: I) -> Self {
        let mut rows: Vec<_> = rows
            .into_iter()
            .map(|(ListedSize(size), value, citation)| SizeRow {
                size,
                area: size.area(),
                value,
                citation,
            })
            .collect();
        rows.sort_by(|a, b| a.area.value.total_cmp(&b.area.value));
        Self { rows }
    }
}

impl<T> BySize<T> {
    /// The row of the size, or of the next smaller one: less copper, so never better than the truth.
    pub fn at_or_below(&self, size: ConductorSize) -> Option<&SizeRow<T>> {
        let limit = size.area() * (1.0 + SAME_SIZE);
        let upto = self.rows.partition_point(|row| row.area <= limit);
        self.rows[..upto].last()
    }

    /// The row of the size, or of the next larger one.
    pub fn at_or_above(&self, size: ConductorSize) -> Option<&SizeRow<T>> {
        let limit = size.area() * (1.0 - SAME_SIZE);
        if limit.is_nan() {
            return None;
        }
        let from = self.rows.partition_point(|row| row.area < limit);
        self.rows.get(from)
    }

    /// All rows, smallest first.
    pub fn rows(&self) -> &[SizeRow<T>] {
        &self.rows
    }
}

impl<T: Clone> BySize<T> {
    /// The value for the size or the next smaller listed one, with a remark if it was not the size itself.
    pub fn safe_value(&self, size: ConductorSize, unlisted: &Citation) -> Lookup<T> {
        let Some(row) = self.at_or_below(size) else {
            return not_listed(size, unlisted);
        };
        let found = Lookup::known(row.value.clone(), row.citation.clone());
        if same_size(size, row.size) {
            found
        } else {
            found.remarked(Remark::SmallerSizeRead {
                asked: size,
                read: row.size,
            })
        }
    }
}

/// The answer for a size that lies outside the table.
pub(super) fn not_listed<T>(size: ConductorSize, citation: &Citation) -> Lookup<T> {
    Lookup::NotInTable {
        why: format!("{size} lies outside the sizes of the table"),
        citation: citation.clone(),
    }
}

/// Whether two sizes have the same cross-section.
pub(super) fn same_size(a: ConductorSize, b: ConductorSize) -> bool {
    let (a, b) = (a.area(), b.area());
    (a - b).abs() <= b * SAME_SIZE
}

/// Whether the first size has more copper than the second; false if either is not a number.
pub(super) fn is_larger(a: ConductorSize, b: ConductorSize) -> bool {
    a.area() > b.area() * (1.0 + SAME_SIZE)
}
