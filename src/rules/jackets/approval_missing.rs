//! `approval-missing`: does a cord type carry an approval mark that the site's country takes?

mod words;

use crate::analysis::Analysis;
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::model::cords::CordType;
use crate::model::text::clip;
use crate::model::value::{Name, Named, Spanned};
use crate::rules::{Draft, rule};
use crate::tables::approvals::{Begins, Market, Worth};
use crate::tables::countries::Country;
use crate::tables::couplers::Family;
use crate::tables::marks::{self, Mark};

use super::market::{ASK, country_unknown};
use words::Case;

rule!(
    "approval-missing",
    Jackets,
    Warning,
    "A cord without an approval mark of its country: nobody who answers there has tested it, and counterfeits burn."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let used = types_in_use(analysis);
    if !used.contains(&true) {
        return;
    }
    let basis = || Citation::common_practice("approval marks by market");
    let Some(country) = analysis.site_country() else {
        findings.extend(country_unknown(analysis, &RULE, QUESTION, basis()));
        return;
    };
    let Some(market) = country.market() else {
        findings.extend(marks_unknown(analysis, country, basis()));
        return;
    };
    let year = analysis.today.year();
    for (id, kind) in analysis.model.cord_types.iter() {
        if !used[id.index()] {
            continue;
        }
        if let Some(fault) = judged(kind, market, year) {
            let case = Case {
                analysis,
                id,
                kind,
                country,
                market,
                begins: begins(kind).unwrap_or(Begins::WallPlug),
            };
            findings.push(case.told(&fault));
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

/// What a cord type begins with; `None` where its plug is not known.
fn begins(kind: &CordType) -> Option<Begins> {
    let plug = kind.plug.known()?;
    Some(match plug.family {
        Family::Iec60309 | Family::Iec60320 => Begins::InternationalPlug,
        Family::Nema | Family::National | Family::Own => Begins::WallPlug,
    })
}

/// Why a cord type does not pass.
enum Fault {
    /// Nobody independent tested it, by all that its marks say.
    NoApproval,
    /// Somebody independent tested it, for other countries.
    Elsewhere,
    /// No marks are on record.
    NoMark,
    /// Some cannot be read.
    Unreadable,
    /// The plug decides which marks will do, and is not known.
    NoPlug,
    /// A mark that the tables do not know.
    Unknown(String),
    /// A mark that may be one of several.
    Unclear(&'static Mark),
    /// A mark that another replaced.
    Replaced(&'static Mark),
    /// What the country asks of such cords is not known, or not known well enough.
    Unsettled,
}

/// Why a cord type does not pass in a market; `None` where it does. What may be the mark that is asked for
/// is never taken for a wrong one.
fn judged(kind: &Named<CordType>, market: &Market, year: u16) -> Option<Fault> {
    let (marks, begins) = (&kind.approvals, begins(kind));
    let is_taken = |begins| {
        let mut found = marks.words().filter_map(marks::find);
        found.any(|mark| market.worth(mark, begins, year) == Worth::Taken)
    };
    if is_taken(begins.unwrap_or(Begins::WallPlug)) {
        return None;
    }
    if marks.unreadable().is_some() {
        return Some(Fault::Unreadable);
    }
    if marks.given().is_empty() {
        return Some(Fault::NoMark);
    }
    if begins.is_none() && is_taken(Begins::InternationalPlug) {
        return Some(Fault::NoPlug);
    }
    let faults = marks.given().iter();
    let faults = faults.map(|mark| fault_of(mark, market, begins, year));
    faults.max_by_key(Fault::weight)
}

fn fault_of(mark: &Spanned<Name>, market: &Market, begins: Option<Begins>, year: u16) -> Fault {
    let text = mark.value.as_str();
    let Some(mark) = marks::find(text) else {
        return Fault::Unknown(clip(text));
    };
    match market.worth(mark, begins.unwrap_or(Begins::WallPlug), year) {
        Worth::Replaced => Fault::Replaced(mark),
        Worth::Unclear => Fault::Unclear(mark),
        Worth::NoApproval => Fault::NoApproval,
        Worth::Elsewhere if market.is_settled() => Fault::Elsewhere,
        Worth::Elsewhere | Worth::Unsettled | Worth::Taken => Fault::Unsettled,
    }
}

impl Fault {
    /// Of several marks the one that comes nearest to a pass is told.
    fn weight(&self) -> u8 {
        match self {
            Self::NoApproval => 0,
            Self::Elsewhere => 1,
            Self::Unsettled => 2,
            Self::Unknown(_) => 3,
            Self::Unclear(_) => 4,
            Self::Replaced(_) => 5,
            Self::NoPlug | Self::NoMark | Self::Unreadable => 6,
        }
    }

    /// Whether a mark is wrong, and not only not known to be right.
    fn is_broken(&self, market: &Market) -> bool {
        let is_disputed = market.citation.confidence == Confidence::Disputed;
        matches!(self, Self::NoApproval | Self::Elsewhere) && !is_disputed
    }
}
