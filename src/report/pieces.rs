//! The words of what is told in one piece.

use std::collections::BTreeSet;

use smol_str::SmolStr;

use super::SiteReport;
use super::folded::{Fold, Folded, gathered, question};
use super::place::{Unit, position};
use super::words::{count, sites};
use crate::finding::{Asked, Fact, Finding, Place, Remedy};
use crate::source::Span;
use crate::tables::words::Words;

/// Others of one kind that are named one by one.
const NAMED: usize = 12;

/// A heading and the words beside it.
type Row = (&'static str, String);

/// A fact that several questions hang on as one finding, with the questions as its lines; `None` where a
/// piece is something else.
pub fn wanted(piece: &Folded<'_>, words: &Words) -> Option<Finding> {
    let fact = of_fact(piece, piece.fact()?, words);
    let questions = questions(piece).into_iter();
    Some(Finding {
        arithmetic: questions.map(|(_, question)| question).collect(),
        ..fact
    })
}

/// A missing fact as one finding, for the questions that hang on it.
pub(super) fn of_fact(piece: &Folded<'_>, fact: &Fact, words: &Words) -> Finding {
    let state = fact.state.words();
    let questions = count(piece.count(), "question hangs", "questions hang");
    let whose = match piece.by {
        Fold::Facts(_) => {
            let many = format!(
                "{}s",
                fact.kind
                    .strip_suffix('y')
                    .map_or(fact.kind.to_owned(), |kind| format!("{kind}ie"))
            );
            format!("`{}` of {} {many}", fact.key, piece.facts().len())
        }
        _ => fact.to_string(),
    };
    let note = format!("`{}` {state}", fact.full_key());
    let sites: BTreeSet<SmolStr> = piece.all().flat_map(|one| &one.sites).cloned().collect();
    Finding {
        headline: format!("{whose} {state}, and {questions} on it"),
        main: Place {
            span: fact.span,
            note,
            is_hop: false,
        },
        path: Vec::new(),
        main_position: 0,
        arithmetic: Vec::new(),
        basis: Vec::new(),
        sufferers: Vec::new(),
        sites: sites.into_iter().collect(),
        remedy: Remedy {
            advice: advice(piece, fact, words).unwrap_or_else(|| piece.lead.remedy.advice.clone()),
            edits: Vec::new(),
        },
        ..piece.lead.clone()
    }
}

/// Where a fact is found, and how it is written.
fn advice(piece: &Folded<'_>, fact: &Fact, words: &Words) -> Option<String> {
    let Asked { at, read, like } = fact.asked()?;
    let key = fact.path().pop().unwrap_or_default();
    let like = match like {
        "" => String::new(),
        like => format!(", like `{key}: {like}`"),
    };
    let whose = match piece.by {
        Fold::Facts(_) => "each of them".to_owned(),
        _ => fact.whose(),
    };
    let (read, at) = (read.said_in(words), at.word());
    Some(format!(
        "Find out {read} ({at}), and write it for {whose}{like}."
    ))
}

/// The questions that hang on a fact, rule by rule in the order in which they were found.
pub(super) fn questions(piece: &Folded<'_>) -> Vec<Row> {
    let rules = gathered(piece.all().collect(), |finding| finding.rule);
    let told = rules.into_iter().filter_map(|asked| {
        let lead = asked.first()?;
        let first = question(lead);
        let more = match asked.len() - 1 {
            0 => String::new(),
            more if first.ends_with('?') => format!(" And {more} more."),
            more => format!(", and {more} more"),
        };
        Some(("Undecided", format!("{first}{more} [{}]", lead.rule)))
    });
    told.collect()
}

/// The value of a missing fact that decides, where one was found.
pub(super) fn decides(site: &SiteReport<'_>, piece: &Folded<'_>) -> Option<Row> {
    let Fold::Fact(fact) = piece.by else {
        return None;
    };
    let mut known = site.decides.iter();
    let (_, value) = known.find(|(own, _)| own == fact)?;
    Some(("Decides", value.clone()))
}

/// Where the facts of one key are wanted that many things lack, as far as anybody reads.
pub(super) fn wanted_at(site: &SiteReport<'_>, piece: &Folded<'_>) -> Vec<Row> {
    let Fold::Facts(_) = piece.by else {
        return Vec::new();
    };
    let facts = piece.facts();
    let mut rows: Vec<Row> = facts
        .iter()
        .take(NAMED)
        .map(|fact| {
            (
                "Wanted at",
                format!("{} {}", place(site, fact.span), fact.owner),
            )
        })
        .collect();
    let more = facts.len().saturating_sub(NAMED);
    if more > 0 {
        rows.push(("Wanted at", format!("and {more} more")));
    }
    rows
}

/// What else is open at a place.
pub(super) fn also_open(piece: &Folded<'_>) -> Vec<Row> {
    let others = piece.others.iter();
    let told = others.map(|other| ("Also open", format!("{} [{}]", other.headline, other.rule)));
    told.collect()
}

/// The others of a kind, each with its place, as far as anybody reads.
pub(super) fn also_at(site: &SiteReport<'_>, piece: &Folded<'_>) -> Vec<Row> {
    let mut rows: Vec<Row> = piece
        .others
        .iter()
        .take(NAMED)
        .map(|other| ("Also", line(site, other)))
        .collect();
    let more = piece.others.len().saturating_sub(NAMED);
    if more > 0 {
        rows.push(("Also", format!("and {more} more")));
    }
    rows
}

/// `cords.yaml:12`
fn place(site: &SiteReport<'_>, span: Span) -> String {
    let source = site.sources.file(span.file);
    let at = position(source, span.lo as usize, Unit::Chars);
    format!("{}:{}", site.shown(&source.path), at.line)
}

/// `cords.yaml:12 W-0413: 16 A breaker, carries 16.7 A`, with what was measured where that tells no
/// number.
fn line(site: &SiteReport<'_>, finding: &Finding) -> String {
    let place = place(site, finding.main.span);
    let name = finding.about.first().map_or("", |name| name.as_str());
    let tells_a_number = finding.main.note.contains(|c: char| c.is_ascii_digit());
    let measure = finding.measure.filter(|_| !tells_a_number);
    let measure = measure.map(|measure| format!(", {}", measure.show()));
    let sites = sites(finding).map(|sites| format!(" ({sites})"));
    format!(
        "{place} {name}: {}{}{}",
        finding.main.note,
        measure.unwrap_or_default(),
        sites.unwrap_or_default()
    )
}
