//! BS 1363 plugs: the fuse a cord may have behind it, and the load the plug may then carry.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::ampere;
use uom::si::length::meter;

use super::by_size::{BySize, ListedSize};
use super::lookup::Lookup;
use super::{Provenance, Table};
use crate::citation::Citation;
use crate::quantity::{ConductorSize, Current, Length};

/// What a fused plug may have on a cord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlugFuse {
    /// Largest fuse link. It protects the cord against short circuit, not always against overload.
    pub largest_fuse: Current,
    /// Load the plug and cord are rated for.
    pub plug_rating: Current,
}

#[derive(Clone, Copy, Debug)]
struct Entry {
    largest_fuse: Current,
    plug_rating: Current,
    short_cord_rating: Current,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    size: ListedSize,
    largest_fuse_amperes: f64,
    plug_amperes: f64,
    /// Plug rating on a cord of 2 m or less, moulded on.
    short_cord_amperes: Option<f64>,
    #[serde(flatten)]
    provenance: Provenance,
}

static ROWS: LazyLock<(BySize<Entry>, Citation)> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("plug_fuse", include_str!("data/plug_fuse.yaml"));
    let citation = table.rows.first().map(|row| table.cite(&row.provenance));
    let rows = table.rows.iter().map(|row| {
        let amperes = Current::new::<ampere>;
        let entry = Entry {
            largest_fuse: amperes(row.largest_fuse_amperes),
            plug_rating: amperes(row.plug_amperes),
            short_cord_rating: amperes(row.short_cord_amperes.unwrap_or(row.plug_amperes)),
        };
        (row.size, entry, table.cite(&row.provenance))
    });
    let none = || Citation::common_practice("plug fuse");
    (rows.collect(), citation.unwrap_or_else(none))
});

/// Largest fuse and rating of a BS 1363 plug for a cord (BS 1363-1 Table 2). A larger section than the
/// table's reads its last row; a smaller one is left open.
pub fn for_section(size: ConductorSize, length: Length) -> Lookup<PlugFuse> {
    let (rows, citation) = &*ROWS;
    // Rounding aside, 2 m itself is short.
    let is_short = length.get::<meter>() <= 2.0 + 1e-6;
    match rows.safe_value(size, citation) {
        Lookup::Known { cited, remarks } => {
            let entry = cited.value;
            let plug_rating = if is_short {
                entry.short_cord_rating
            } else {
                entry.plug_rating
            };
            let value = PlugFuse {
                largest_fuse: entry.largest_fuse,
                plug_rating,
            };
            let found = Lookup::known(value, cited.citation);
            remarks.into_iter().fold(found, Lookup::remarked)
        }
        Lookup::NotInTable { why, citation } => Lookup::NotInTable { why, citation },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Area;
    use uom::si::area::square_millimeter;

    /// BS 1363-1 Table 2 and its note c.
    #[test]
    fn fuses_are_those_of_table_2() {
        for (mm2, metres, fuse, plug) in [
            (0.5, 1.0, 3.0, 3.0),
            (0.75, 2.0, 13.0, 10.0),
            (0.75, 2.5, 13.0, 6.0),
            (1.0, 3.0, 13.0, 10.0),
            (1.25, 3.0, 13.0, 13.0),
            (1.5, 3.0, 13.0, 13.0),
            (2.5, 3.0, 13.0, 13.0),
        ] {
            let size = ConductorSize::Metric(Area::new::<square_millimeter>(mm2));
            let found = for_section(size, Length::new::<meter>(metres));
            let amperes = Current::new::<ampere>;
            let expected = PlugFuse {
                largest_fuse: amperes(fuse),
                plug_rating: amperes(plug),
            };
            assert_eq!(found.value(), Some(&expected), "{mm2} mm² {metres} m");
        }
        let thin = ConductorSize::Awg(24);
        assert_eq!(for_section(thin, Length::new::<meter>(1.0)).value(), None);
    }
}
