//! What is said of banks that may not open alone.

use crate::analysis::Analysis;
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Measure};
use crate::model::circuits::Breaker;
use crate::model::value::Field;
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::Draft;

use super::claim::{bank, bank_fact};
use super::pair::{Placed, Verdict};
use super::{Case, RULE};

/// One finding for all strips of a model behind breakers of one kind, told of the worst.
pub(super) fn told(analysis: &Analysis<'_>, mut cases: Vec<Case<'_>>) -> Finding {
    let worth = |case: &Case<'_>| case.fault.map_or(0.0, |fault| fault.value);
    cases.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then(a.id.0.cmp(&b.id.0)));
    let sufferers: Vec<_> = cases
        .iter()
        .filter_map(|case| analysis.graph.pdu_of(case.id))
        .map(|pdu| analysis.model.pdus[pdu].name.value.clone())
        .collect();
    let case = cases.swap_remove(0);
    draft(analysis, &case).suffered_by(sufferers).finish()
}

fn draft(analysis: &Analysis<'_>, case: &Case<'_>) -> Draft {
    let name = bank(analysis, case.id).map_or("", |bank| bank.name.value.as_str());
    let who = analysis.describe(case.id);
    let (own, ahead) = (shown(&case.pair.own), shown(&case.pair.ahead));
    let place_ahead = analysis.describe(case.pair.ahead.at);
    let counted = match case.claim.by_code {
        true => "the code wants it to open alone",
        false => "it is said to open alone",
    };
    let drops = format!("a fault at one cord may drop the whole strip: {counted}");
    let asks = format!("does {who} open alone on a fault, so that the rest of the strip stays up?");
    let headline = match &case.verdict {
        Verdict::Rating { needed: None } | Verdict::Selective => format!(
            "{who}: {drops}, and the breaker of {place_ahead} ({ahead}) is no larger than its own ({own}), so that either may open first"
        ),
        Verdict::Rating {
            needed: Some(needed),
        } => {
            let needed = needed.show();
            format!(
                "{who}: {drops}, and on an overload the breaker of {place_ahead} ({ahead}) may open before its own ({own}): it should be rated {needed} at the least"
            )
        }
        Verdict::Bands { holds, opens } => {
            let (holds, opens) = show_pair(*holds, *opens);
            format!(
                "{who}: {drops}, and the breaker of {place_ahead} ({ahead}) may open at once from {holds} on, its own ({own}) is sure to only from {opens}"
            )
        }
        Verdict::Table { upto } => {
            let (fault, upto) = show_pair(case.fault.unwrap_or(*upto), *upto);
            format!(
                "{who}: {drops}, by its maker's table up to {upto}, and a short circuit draws up to {fault} there: the breaker of {place_ahead} ({ahead}) may open as well"
            )
        }
        Verdict::NoTable { holds: Some(holds) } => {
            let (fault, holds) = show_pair(case.fault.unwrap_or(*holds), *holds);
            format!(
                "{asks} By rating and curve only up to {holds}, and a short circuit draws up to {fault}. Wanted: the maker's table for its breaker behind that of {place_ahead} ({ahead})"
            )
        }
        Verdict::NoTable { holds: None } => format!(
            "{asks} By rating and curve nobody can tell. Wanted: the maker's table for its breaker behind that of {place_ahead} ({ahead})"
        ),
        Verdict::NoFault => format!(
            "{asks} Wanted: what a short circuit draws there, from the fault current of its supply, which is missing"
        ),
        Verdict::NoWay { at } => format!(
            "{asks} Wanted: the conductors of {}, which hold down what a short circuit draws there",
            analysis.describe(*at)
        ),
        Verdict::NoRating { is_own } => {
            let whose = if *is_own { &who } else { &place_ahead };
            format!(
                "{asks} Wanted: the rated current of the breaker of {whose}, which is not known"
            )
        }
    };
    let note = match case.claim.by_code {
        true => format!("{name}: must open alone"),
        false => format!("{name}: said to open alone"),
    };
    let draft = Draft::new(&RULE, headline, case.claim.at, note, basis(&case.verdict))
        .also(case.claim.by_code.then(code))
        .above([analysis.hop_with(case.pair.ahead.at, format!("{place_ahead}: {ahead}"))])
        .above([analysis.hop_with(case.id, format!("{who}: {own}"))])
        .about([model_name(analysis, case), name.into()])
        .kind(kind(&case.verdict))
        .advice(advice(&case.verdict));
    match facts(analysis, case) {
        facts if facts.is_empty() => draft.measured(measure(case)),
        facts => draft.wants(facts),
    }
}

fn model_name(analysis: &Analysis<'_>, case: &Case<'_>) -> smol_str::SmolStr {
    let pdu = analysis.graph.pdu_of(case.id);
    let model = pdu.and_then(|pdu| analysis.graph.links.pdu_models[pdu.index()]);
    model.map_or_else(Default::default, |model| {
        analysis.model.pdu_models[model].name.value.clone()
    })
}

/// `16 A, C`.
fn shown(placed: &Placed<'_>) -> String {
    let Some(breaker) = placed.breaker.known() else {
        return "not known".to_owned();
    };
    let rating = breaker.rating.known();
    let rating = rating.map_or_else(|| "rating not known".to_owned(), Quantity::show);
    match breaker.curve.known() {
        Some(curve) => format!("{rating}, {}", curve.name()),
        None => rating,
    }
}

fn kind(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Selective | Verdict::Rating { .. } => "rating",
        Verdict::Bands { .. } => "bands",
        Verdict::Table { .. } => "limit",
        Verdict::NoTable { .. } => "table",
        Verdict::NoFault => "fault",
        Verdict::NoRating { .. } => "unknown",
        Verdict::NoWay { .. } => "way",
    }
}

fn measure(case: &Case<'_>) -> Option<Measure> {
    let rating = |placed: &Placed<'_>| -> Option<Current> {
        placed.breaker.known()?.rating.known().copied()
    };
    match &case.verdict {
        Verdict::Rating { needed } => {
            let needed = needed.or_else(|| rating(&case.pair.own))?;
            Some(Measure::below(rating(&case.pair.ahead)?, needed))
        }
        Verdict::Bands { holds, opens } => Some(Measure::below(*holds, *opens)),
        Verdict::Table { upto } => Some(Measure::above(case.fault?, *upto)),
        _ => None,
    }
}

/// What would decide.
fn facts(analysis: &Analysis<'_>, case: &Case<'_>) -> Vec<Fact> {
    match &case.verdict {
        Verdict::NoTable { .. } => bank(analysis, case.id)
            .map(|bank| bank_fact(analysis, case.id, "selective-up-to", &bank.selective_up_to))
            .into_iter()
            .collect(),
        Verdict::NoFault => {
            let supply = analysis.graph.supply_of(case.id);
            let supply = supply.map(|supply| &analysis.model.supplies[supply]);
            supply
                .map(|supply| Fact::of(supply, "fault-current", Some(&supply.fault_current)))
                .into_iter()
                .collect()
        }
        Verdict::NoRating { is_own } => {
            let placed = if *is_own {
                &case.pair.own
            } else {
                &case.pair.ahead
            };
            let rating = rating_field(placed.breaker);
            match bank(analysis, placed.at).filter(|bank| bank.breaker.is_absent()) {
                Some(bank) => vec![bank_fact(analysis, placed.at, "breaker", &bank.breaker)],
                None => vec![analysis.breaker_fact(placed.at, "rating", Some(&rating))],
            }
        }
        Verdict::NoWay { at } => match analysis.length_fact(*at) {
            Some(length) => vec![length],
            None => vec![analysis.size_fact(*at)],
        },
        _ => Vec::new(),
    }
}

fn rating_field(breaker: &Field<Breaker>) -> Field<Current> {
    match breaker {
        Field::Given(breaker) => breaker.value.rating,
        Field::Unreadable(at) => Field::Unreadable(*at),
        Field::Absent => Field::Absent,
    }
}

fn advice(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::NoTable { .. } => {
            "Look both breakers up in the maker's table of selectivity (there is none for those of two makers), and write its limit at the bank, like `selective-up-to: 1.2 kA`. Where it has none, count on losing the whole strip, and take `selective` out."
        }
        Verdict::NoFault => {
            "Write the fault current of the supply, as the utility, the maker of the UPS or a measurement has it."
        }
        Verdict::NoRating { .. } => "Read the rated current off the breaker.",
        Verdict::NoWay { .. } => "Write the size and the length of the conductors.",
        _ => {
            "Count on losing the whole strip: see that nothing needs both its cords there, and take `selective` out. Or have a breaker or fuse fitted ahead that the maker's table names as selective, and write the limit of the table, like `selective-up-to: 1.2 kA`."
        }
    }
}

fn basis(verdict: &Verdict) -> Citation {
    match verdict {
        Verdict::Table { .. } => Citation::marked("the limit of selectivity in the maker's table"),
        _ => Citation::new(
            "IEC 60898-1",
            "Table 7 (bands in which breakers hold and open)",
            "2015",
            Confidence::TwoCopies,
        ),
    }
}

/// What asks for it.
fn code() -> Citation {
    Citation::new(
        "NFPA 70 (NEC)",
        "645.27 (critical operations data systems)",
        "2023",
        Confidence::TwoCopies,
    )
}
