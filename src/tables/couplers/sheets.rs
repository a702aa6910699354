//! IEC 60320 appliance couplers, from their standard sheets.

use serde::Deserialize;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::row::{Amperes, blank, rated, volts};
use super::{Coupler, Earth, Family, Role};
use crate::citation::Cited;
use crate::quantity::Temperature;
use crate::tables::{Provenance, Table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Celsius {
    celsius: f64,
    from: Provenance,
}

/// A connector and its inlet.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Row {
    connector: String,
    inlet: String,
    /// The letter sheets of the same faces.
    outlet_sheet: Option<String>,
    plug_sheet: Option<String>,
    #[serde(default)]
    connector_aliases: Vec<String>,
    #[serde(default)]
    inlet_aliases: Vec<String>,
    earth: Earth,
    polarised: Option<bool>,
    #[serde(default)]
    withdrawn: bool,
    volts: f64,
    pins: Celsius,
    from: Provenance,
    iec: Amperes,
    nec: Option<Amperes>,
    nec_marked: Option<Amperes>,
}

/// Both halves of every sheet pair.
pub(super) fn couplers() -> Vec<Coupler> {
    let text = include_str!("../data/couplers-iec-60320.yaml");
    let table: Table<Row> = Table::embedded("couplers-iec-60320", text);
    let halves = |row| {
        [Role::Contacts, Role::Pins]
            .into_iter()
            .map(|role| half(&table, row, role))
            .collect::<Vec<_>>()
    };
    table.rows.iter().flat_map(halves).collect()
}

fn half(table: &Table<Row>, row: &Row, role: Role) -> Coupler {
    let (name, sheet, others) = match role {
        Role::Pins => (&row.inlet, &row.plug_sheet, &row.inlet_aliases),
        Role::Contacts | Role::Either => {
            (&row.connector, &row.outlet_sheet, &row.connector_aliases)
        }
    };
    let citation = table.cite(&row.from);
    Coupler {
        earth: row.earth,
        voltage: Some(Cited {
            value: volts(row.volts, None, None),
            citation: citation.clone(),
        }),
        pin_temperature: Some(Cited {
            value: Temperature::new::<degree_celsius>(row.pins.celsius),
            citation: table.cite(&row.pins.from),
        }),
        polarised: row.polarised,
        withdrawn: row.withdrawn,
        iec: rated(table, Some(&row.iec), None),
        nec: rated(table, row.nec.as_ref(), row.nec_marked.as_ref()),
        aliases: aliases(name, sheet.as_deref(), others),
        ..blank(name.clone(), Family::Iec60320, role, citation)
    }
}

/// `IEC 60320 C13`, `320 C13` and `C-13` for `C13`, `sheet F` for its letter, besides the aliases of the table.
fn aliases(name: &str, sheet: Option<&str>, others: &[String]) -> Vec<String> {
    // IEC 320 is what the standard was called before 1997.
    let prefixes = [
        "IEC 60320",
        "IEC 60320-1",
        "IEC 60320-3",
        "IEC",
        "IEC 320",
        "320",
    ];
    let named = prefixes.iter().map(|prefix| format!("{prefix} {name}"));
    let mut all: Vec<String> = named.collect();
    all.push(name.replacen('C', "C-", 1));
    if let Some(sheet) = sheet {
        let before = ["IEC 60320 ", "IEC 60320/", "IEC 60320-2-2 ", "sheet "];
        let sheets = ["IEC 60320 sheet ", "IEC 60320-2-2 sheet "];
        let before = before.iter().chain(&sheets);
        all.extend(before.map(|before| format!("{before}{sheet}")));
    }
    all.extend_from_slice(others);
    all
}
