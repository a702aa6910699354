//! Variants of NEMA devices that change neither rating nor mating: `NEMA IG5-20R`, `5-15R-HG`.

use std::sync::LazyLock;

use serde::Deserialize;

use super::spelling;
use crate::citation::Cited;
use crate::tables::{Provenance, Table};

/// A variant that is read as the plain configuration.
pub(crate) struct Variant {
    /// The short mark, as in `IG5-20R`.
    pub mark: String,
    /// What the trade calls it.
    pub name: String,
    /// What the mark means, and where that comes from.
    pub means: Cited<String>,
    /// What may be written for it; folded, the longest first.
    words: Vec<String>,
    /// The same as the table has it.
    written: Vec<String>,
    /// Whether the plain part must have an earth contact.
    pub needs_earth: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    mark: String,
    name: String,
    words: Vec<String>,
    #[serde(default)]
    needs_earth: bool,
    means: String,
    from: Provenance,
}

static VARIANTS: LazyLock<Vec<Variant>> = LazyLock::new(|| {
    let text = include_str!("../data/couplers-variants.yaml");
    let mut table: Table<Row> = Table::embedded("couplers-variants", text);
    let rows = std::mem::take(&mut table.rows);
    let variant = |row: Row| Variant {
        means: Cited {
            citation: table.cite(&row.from),
            value: row.means,
        },
        words: row
            .words
            .iter()
            .map(|word| spelling::folded(word))
            .collect(),
        written: row.words,
        mark: row.mark,
        name: row.name,
        needs_earth: row.needs_earth,
    };
    rows.into_iter().map(variant).collect()
});

/// All variants, and what may be written for each.
pub(super) fn written() -> impl Iterator<Item = &'static str> {
    let words = VARIANTS.iter().flat_map(|variant| &variant.written);
    words.map(String::as_str)
}

/// The configuration that is left of a folded text without the marks of variants, and those; each may
/// stand once. `None` where there are none.
pub(super) fn parted(folded: &str) -> Option<(String, Vec<&'static Variant>)> {
    let mut rest = folded;
    let mut found: Vec<&'static Variant> = Vec::new();
    let mut is_named = false;
    loop {
        if let Some(behind) = rest.strip_prefix("NEMA").filter(|_| !is_named) {
            (rest, is_named) = (behind, true);
        } else if let Some((variant, behind)) = at_an_end(rest, str::strip_prefix) {
            rest = taken(&mut found, variant, behind)?;
        } else if let Some((variant, before)) = at_an_end(rest, str::strip_suffix) {
            rest = taken(&mut found, variant, before)?;
        } else {
            break;
        }
    }
    found.sort_by(|a, b| a.mark.cmp(&b.mark));
    (!found.is_empty()).then(|| (format!("NEMA{rest}"), found))
}

type Strip<'t> = fn(&'t str, &'static str) -> Option<&'t str>;

fn at_an_end<'t>(text: &'t str, strip: Strip<'t>) -> Option<(&'static Variant, &'t str)> {
    VARIANTS.iter().find_map(|variant| {
        let mut words = variant.words.iter();
        words.find_map(|word| Some((variant, strip(text, word)?)))
    })
}

fn taken<'t>(
    found: &mut Vec<&'static Variant>,
    variant: &'static Variant,
    rest: &'t str,
) -> Option<&'t str> {
    let is_new = found.iter().all(|other| other.mark != variant.mark);
    found.push(variant);
    is_new.then_some(rest)
}
