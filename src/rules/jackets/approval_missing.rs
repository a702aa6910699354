//! `approval-missing`: does a cord type carry an approval mark of the site's country?

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding};
use crate::model::cords::CordType;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::rules::{Draft, rule};
use crate::tables::approvals::{self, Market};
use crate::tables::countries::Country;

use super::market::{ASK, country, country_unknown};

rule!(
    "approval-missing",
    Jackets,
    Warning,
    "A cord without an approval mark of its country: nobody independent has tested it, and counterfeits burn."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let used = types_in_use(analysis);
    if !used.contains(&true) {
        return;
    }
    let basis = || Citation::common_practice("approval marks by market");
    let Some(country) = country(analysis) else {
        findings.extend(country_unknown(analysis, &RULE, QUESTION, basis()));
        return;
    };
    let Some(market) = country.market() else {
        findings.extend(marks_unknown(analysis, country, basis()));
        return;
    };
    for (id, kind) in analysis.model.cord_types.iter() {
        if used[id.index()] && !market.accepts(marks(kind)) {
            findings.push(missing(analysis, id, kind, country, market));
        }
    }
}

const QUESTION: &str = "are the cords approved for the site's country";

/// That the tables have a country's mains and plugs, and no mark that it asks for; once for the site.
fn marks_unknown(analysis: &Analysis<'_>, country: &Country, basis: Citation) -> Option<Finding> {
    let at = analysis.model.site.country.span()?;
    let why = format!("the tables have no approval marks of {}", country.name);
    let draft = Draft::new(&RULE, format!("{QUESTION}? Open: {why}"), at, why, basis)
        .open()
        .about(["site"])
        .advice(ASK);
    Some(draft.finish())
}

/// Which cord types some cord of the site is of.
fn types_in_use(analysis: &Analysis<'_>) -> Vec<bool> {
    let mut used = vec![false; analysis.model.cord_types.len()];
    for kind in analysis.graph.links.cord_types.iter().flatten() {
        used[kind.index()] = true;
    }
    used
}

fn marks(kind: &CordType) -> impl Iterator<Item = &str> {
    kind.approvals.iter().map(|mark| mark.value.as_str())
}

fn missing(
    analysis: &Analysis<'_>,
    id: Id<CordType>,
    kind: &Named<CordType>,
    country: &Country,
    market: &Market,
) -> Finding {
    let (name, country_name) = (&kind.name.value, &country.name);
    let wanted = market.marks.join(", ");
    let is_given = !kind.approvals.is_empty();
    let headline = if is_given {
        format!(
            "cord type {name} has no approval mark of the site's country ({country_name}) on record: nobody independent vouches for it there, and a counterfeit would not show"
        )
    } else {
        format!(
            "is cord type {name} approved for the site's country ({country_name})? Missing: its marks (on plug, connector and jacket)"
        )
    };
    let first = kind.approvals.first();
    let at = first.map_or(kind.name.span, |mark| mark.span);
    let note = first.map_or_else(
        || "approvals are missing".into(),
        |mark| remark(mark, market),
    );
    let others = kind
        .approvals
        .iter()
        .skip(1)
        .map(|mark| place(mark.span, remark(mark, market)));
    let whole = if market.whole_set {
        "; this market approves the cord set as a whole"
    } else {
        ""
    };
    let draft = Draft::new(&RULE, headline, at, note, market.citation.clone())
        .below(others)
        .below(cords_of(analysis, id))
        .working([format!("marks for {}, any one of: {wanted}{whole}", market.name)])
        .advice(format!("Look at plug, connector and cord for one of these marks: {wanted}. If one is there, write it under `approvals`; else order cords marked {}.", market.marks.first().map_or("so", String::as_str)))
        .about([name.clone()])
        .suffered_by(analysis.cords_of(id).cloned());
    let is_disputed = market.citation.confidence == Confidence::Disputed;
    let approvals = Fact::of(kind, "approvals", None::<&Field<()>>);
    match (is_given, is_disputed) {
        (true, false) => draft.finish(),
        (true, true) => draft.open().finish(),
        (false, _) => draft.wants([approvals]).finish(),
    }
}

/// What a mark that will not do is.
fn remark(mark: &Spanned<Name>, market: &Market) -> String {
    let name = &mark.value;
    if approvals::all().any(|market| market.is_not_enough(name)) {
        format!("{name} is the maker's own word, not an approval")
    } else if market
        .cordage_marks
        .iter()
        .any(|other| other.eq_ignore_ascii_case(name))
    {
        format!("{name} is a mark of the cordage alone, not of plug and connector")
    } else {
        format!("{name} is no mark of this market")
    }
}

/// The first of the cords of a type, and how many there are.
fn cords_of(analysis: &Analysis<'_>, kind: Id<CordType>) -> Option<crate::finding::Place> {
    let (first, count) = analysis.first_cord_of(kind)?;
    let note = match count - 1 {
        0 => format!("cord {}", first.value),
        1 => format!("cord {}, and one more of this type", first.value),
        more => format!("cord {}, and {more} more of this type", first.value),
    };
    Some(place(first.span, note))
}
