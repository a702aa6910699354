//! `catalogue-unread`: is everything read that is shared by a catalogue?

use crate::analysis::Analysis;
use crate::finding::{Finding, Level};
use crate::input::NotRead;
use crate::model::CATALOGUE;
use crate::model::fault::Fault;
use crate::model::value::Name;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::spelling::either;

use super::written;

rule!(
    "catalogue-unread",
    Records,
    Error,
    "A catalogue that a site names and that is not read, or a section in one that belongs to one site: nothing there is judged."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let faults = written::faults(analysis);
    findings.extend(faults.filter_map(|noted| match &noted.fault {
        Fault::NoCatalogue { span, named, why } => Some(no_catalogue(*span, named, why)),
        Fault::NotShared { span, section } => Some(not_shared(*span, section)),
        _ => None,
    }));
}

fn no_catalogue(span: Span, named: &Name, why: &NotRead) -> Finding {
    let (headline, note, level) = match why.hides() {
        true => (
            format!(
                "the catalogue `{named}` is not read: {why}; what takes its type from there is not judged"
            ),
            "not read",
            Level::Error,
        ),
        false => (
            format!("the catalogue `{named}` is named in vain: {why}"),
            "in vain",
            Level::Note,
        ),
    };
    Draft::new(&RULE, headline, span, note, written::format())
        .level(level)
        .about([named.clone()])
        .kind("folder")
        .advice(why.advice())
        .finish()
}

fn not_shared(span: Span, section: &'static str) -> Finding {
    let headline = format!(
        "`{section}` stands in a catalogue, which many sites may share: it belongs to one site, and is not read here"
    );
    let sections: Vec<String> = CATALOGUE.iter().map(|one| format!("`{one}`")).collect();
    let advice = format!(
        "Move the section into a file of the site that it belongs to. In a catalogue stand only {}.",
        either(&sections)
    );
    Draft::new(
        &RULE,
        headline,
        span,
        "belongs to one site",
        written::format(),
    )
    .about([section])
    .kind("section")
    .advice(advice)
    .finish()
}
