//! What an edition of the wiring rules says where editions differ, written as the pages of the rules are.

use crate::citation::Cited;
use crate::quantity::Quantity;
use crate::tables::Practice;
use crate::tables::editions::{self, Edition};

/// The page of the edition that goes by a name, in Markdown.
pub(super) fn page(name: &str) -> Option<String> {
    let edition = editions::find(name)?;
    let practice = match edition.practice {
        Practice::Iec => "IEC",
        Practice::Nec => "NEC",
    };
    let also = match edition.adopted.is_empty() {
        true => String::new(),
        false => format!(" The same limits are in {}.", edition.adopted.join(", ")),
    };
    Some(format!(
        "# {}\n\nAn edition of the wiring rules, under {practice} practice.{also}\
         \n\n## Where editions differ\n\n{}\
         \n\n## Before and after\n\n{}\
         \n\n## Caution\n\nAdvisory only. Nothing else that differs between editions is judged here. Which edition binds, the contract, the certificate and local law say; a licensed electrician prevails.",
        edition.name,
        differences(edition),
        history(edition),
    ))
}

fn differences(edition: &Edition) -> String {
    let said = [
        said(edition.short_times.as_ref(), |times| {
            format!(
                "The short disconnection times of Table 41.1 hold for circuits with socket-outlets up to {}, for others up to {}.",
                times.sockets.show(),
                times.others.show()
            )
        }),
        said(edition.sockets_with_rcd.as_ref(), |upto| {
            format!(
                "Sockets for general use up to {} must have a residual current device of 30 mA.",
                upto.show()
            )
        }),
        said(edition.item_on_plug.as_ref(), |item| {
            match item {
            Some(step) => format!("One item of equipment that leaks more than {} must not have an ordinary plug.", step.show()),
            None => "There is no step below 10 mA from which one item of equipment must not have an ordinary plug.".to_owned(),
        }
        }),
        said(edition.limited_source.as_ref(), |limited| {
            format!(
                "Where electronics hold the current of a fault down and no device opens, it is enough that their voltage falls to {} within the time of Table 41.1 and is off within {}.",
                limited.voltage.show(),
                limited.off_by.show()
            )
        }),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    match said.is_empty() {
        true => "Nothing is known here of what it says where editions differ; where that decides, it is an open point.".to_owned(),
        false => said.join("\n"),
    }
}

fn said<T>(fact: Option<&Cited<T>>, words: impl Fn(&T) -> String) -> Option<String> {
    fact.map(|fact| format!("- {} Source: {}.", words(&fact.value), fact.citation))
}

/// The editions of the same rules, the oldest first, with what each says.
fn history(edition: &Edition) -> String {
    let of_same =
        |other: &&Edition| other.practice == edition.practice && other.country == edition.country;
    let lines: Vec<String> = editions::all().filter(of_same).map(in_short).collect();
    lines.join("\n")
}

fn in_short(edition: &Edition) -> String {
    let times = edition.short_times.as_ref();
    let times = times.map(|times| {
        format!(
            "short times up to {} with sockets",
            times.value.sockets.show()
        )
    });
    let sockets = edition.sockets_with_rcd.as_ref();
    let sockets = sockets.map(|upto| format!("30 mA for sockets up to {}", upto.value.show()));
    let item = edition.item_on_plug.as_ref().map(|item| match item.value {
        Some(step) => format!("{} for one item on an ordinary plug", step.show()),
        None => "no step for one item".to_owned(),
    });
    let limited = edition.limited_source.as_ref().map(|limited| {
        format!(
            "{} and off within {} behind electronics",
            limited.value.voltage.show(),
            limited.value.off_by.show()
        )
    });
    let said: Vec<String> = [times, sockets, item, limited]
        .into_iter()
        .flatten()
        .collect();
    match said.is_empty() {
        true => format!("- {}: nothing is known here of what differs", edition.name),
        false => format!("- {}: {}", edition.name, said.join("; ")),
    }
}
