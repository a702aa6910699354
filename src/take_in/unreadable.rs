//! What a check says of the definitions as written, told of the cells that they come from.

use super::Things;
use super::columns::Columns;
use super::definitions::Definitions;
use super::remark::{At, Remark, kind_of};
use crate::budget::{Budget, Work};
use crate::date::Date;
use crate::finding::Finding;
use crate::input::SiteInput;
use crate::judgement::{Settings, judge};
use crate::rules::records::{bad_quantity, missing_key, unknown_key, unknown_name};

/// Remarks on cells that cannot be read, and on what is not said of things that must have it.
pub(super) fn unreadable(
    things: Things,
    definitions: &Definitions,
    columns: &Columns,
    heading_row: usize,
    today: Date,
) -> Vec<Remark> {
    let told = findings(definitions.yaml.as_str(), today).into_iter();
    let told = told.filter_map(|finding| {
        let is_missing = finding.rule == missing_key::RULE.name;
        let byte = finding.main.span.lo as usize;
        // A list of devices says of their models what it can; the rest stands elsewhere, or a check asks for it.
        if is_missing && things.name_models() && definitions.is_of_type(byte) {
            return None;
        }
        let place = definitions.place_of(byte)?;
        let key = finding.about.last().filter(|_| is_missing);
        if let Some(key) = key.filter(|key| !columns.hold(key)) {
            return Some(missing_column(things, key, &finding, heading_row));
        }
        let cause = match is_missing {
            true => format!("{} {}", finding.rule, finding.remedy.advice),
            false => format!("{} {}", finding.rule, kind_of(&finding.headline)),
        };
        let at = At::Rows(place.rows.clone());
        let remark = Remark::new(at, finding.headline, finding.remedy.advice).caused_by(cause);
        let column = place.column.and_then(|column| columns.all.get(column));
        Some(match column {
            Some(column) => remark.in_column(&column.heading),
            None => remark,
        })
    });
    told.collect()
}

/// What the rules of the writing say of definitions, without what only a whole site can answer.
pub(super) fn findings(yaml: &str, today: Date) -> Vec<Finding> {
    let rules = [
        &bad_quantity::RULE,
        &missing_key::RULE,
        &unknown_key::RULE,
        &unknown_name::RULE,
    ];
    let settings = Settings {
        // They are gathered by their causes, and that only all of them show.
        budget: Budget::default().times(Work::Faults, 100),
        only: rules.map(|rule| rule.name.to_owned()).to_vec(),
        ..Settings::on(today)
    };
    let input = SiteInput {
        files: vec![("taken.yaml".to_owned(), yaml.as_bytes().to_vec())],
        ..SiteInput::default()
    };
    let mut findings = judge(input, &settings).findings;
    findings.retain(|finding| match finding.kind {
        "unfed" => false,
        "table" => true,
        _ => finding.rule != unknown_name::RULE.name,
    });
    findings
}

fn missing_column(things: Things, key: &str, finding: &Finding, heading_row: usize) -> Remark {
    let what = format!(
        "column `{key}` is missing: {} must have it",
        must_have(things, key)
    );
    let advice = match key {
        "type" if things == Things::Cords => "Name the column that says it, or those of which types are made: plug, connector, conductor, cordage, length, colour, rating.".to_owned(),
        "connector" => "Name the column that says it, in the headings or in a mapping file.".to_owned(),
        _ => finding.remedy.advice.clone(),
    };
    Remark::of_row(heading_row, what, advice)
}

fn must_have(things: Things, key: &str) -> &'static str {
    let is_own = things
        .keys()
        .iter()
        .any(|own| own.name == key && own.required);
    match (is_own, things) {
        (false, Things::Cords) => "the type of a cord",
        _ => match things {
            Things::Cords => "a cord",
            Things::CordTypes => "a cord type",
            Things::Devices => "a device",
            Things::DeviceModels => "a device model",
            Things::Circuits => "a circuit",
            Things::Pdus => "a PDU",
            Things::Racks => "a rack",
            Things::Offers => "an offer",
        },
    }
}
