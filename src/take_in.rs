//! Cords, devices or circuits out of a spreadsheet into definitions: what `cordwright take-in` does.
//!
//! Every cell is taken as it is written. The definitions are then read as a check reads them, so that
//! what it says of them can be told of the cells that they come from.

mod definitions;
pub(crate) mod sheet;

use crate::date::Date;
use crate::ink::{Written, Yaml};
use crate::input::SiteInput;
use crate::judgement::{Settings, judge};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::decode::{Key, Record};
use crate::model::devices::Device;
use crate::rules::records::{bad_quantity, missing_key, unknown_key};

use definitions::Definitions;
use sheet::Sheet;

/// What the rows of a spreadsheet are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Things {
    /// Cords.
    Cords,
    /// Devices.
    Devices,
    /// Circuits.
    Circuits,
}

impl Things {
    /// The section of the definitions.
    fn section(self) -> &'static str {
        match self {
            Self::Cords => "cords",
            Self::Devices => "devices",
            Self::Circuits => "circuits",
        }
    }

    /// One of them.
    fn what(self) -> &'static str {
        match self {
            Self::Cords => Cord::WHAT,
            Self::Devices => Device::WHAT,
            Self::Circuits => Circuit::WHAT,
        }
    }

    fn keys(self) -> &'static [Key] {
        match self {
            Self::Cords => Cord::KEYS,
            Self::Devices => Device::KEYS,
            Self::Circuits => Circuit::KEYS,
        }
    }
}

/// What became of a spreadsheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The definitions, a line for each row that was taken.
    pub yaml: Written<Yaml>,
    /// How many rows that is.
    pub rows: usize,
    /// What was not taken, or cannot be read, in the order of the rows.
    pub remarks: Vec<Remark>,
}

/// Something to put right in the spreadsheet.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    /// The row, the headings being row 1.
    pub row: usize,
    /// The heading of the column; `None` where the whole row is meant.
    pub column: Option<String>,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub advice: String,
}

impl Remark {
    pub(crate) fn of_row(row: usize, what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            row,
            column: None,
            what: what.into(),
            advice: advice.into(),
        }
    }

    fn of_column(column: &str, what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            column: Some(column.to_owned()),
            ..Self::of_row(1, what, advice)
        }
    }
}

/// Takes the rows of a spreadsheet, as text with commas, semicolons or tabs between the cells.
pub fn take_in(things: Things, bytes: Vec<u8>, today: Date) -> Taken {
    let sheet = Sheet::read(things, bytes);
    let definitions = Definitions::of(things, &sheet);
    let mut remarks = sheet.remarks;
    remarks.extend(definitions.remarks.iter().cloned());
    remarks.extend(unreadable(&definitions, &sheet.columns, today));
    remarks.sort();
    remarks.dedup();
    Taken {
        yaml: definitions.yaml,
        rows: definitions.rows,
        remarks,
    }
}

/// What a check says of the definitions as written, told of their cells.
fn unreadable(definitions: &Definitions, columns: &[sheet::Column], today: Date) -> Vec<Remark> {
    let records = [&bad_quantity::RULE, &missing_key::RULE, &unknown_key::RULE];
    let settings = Settings {
        only: records.map(|rule| rule.name.to_owned()).to_vec(),
        ..Settings::on(today)
    };
    let input = SiteInput {
        files: vec![(
            "taken.yaml".to_owned(),
            definitions.yaml.as_str().as_bytes().to_vec(),
        )],
        ..SiteInput::default()
    };
    let findings = judge(input, &settings).findings.into_iter();
    let told = findings.filter_map(|finding| {
        let (row, column) = definitions.cell_at(finding.main.span.lo as usize)?;
        Some(Remark {
            row,
            column: column.map(|column| columns[column].heading.clone()),
            what: finding.headline,
            advice: finding.remedy.advice,
        })
    });
    told.collect()
}
