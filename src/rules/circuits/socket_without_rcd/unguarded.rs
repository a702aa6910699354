//! What is said of a socket that nothing lets do without.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::{Citation, Cited, Confidence};
use crate::finding::{Finding, Measure};
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, InUnits, Quantity};
use crate::rules::Draft;
use crate::tables::couplers::Family;
use crate::tables::socket_exceptions::Exceptions;

use super::{RULE, sensitive};

pub(super) fn unguarded(
    analysis: &Analysis<'_>,
    circuit: &Named<Circuit>,
    socket: &Spanned<CouplerRef>,
    rcd: Option<&Spanned<Current>>,
    taken: Option<&Cited<Exceptions>>,
) -> Finding {
    let (name, coupler) = (&circuit.name.value, &socket.value);
    let what = rcd.map_or_else(
        || "no residual current device".to_owned(),
        |rcd| {
            let marked = as_marked(rcd.value);
            format!("a residual current device of {marked} alone")
        },
    );
    let headline = format!(
        "the socket of circuit {name} ({coupler}) stands behind {what}: whoever touches a damaged cord there may be killed before anything opens"
    );
    let at = rcd.map_or(circuit.name.span, |rcd| rcd.span);
    let limit = sensitive().show();
    let kind = match coupler.family {
        Family::National => "a household socket",
        _ => "a socket that ordinary people may use",
    };
    let draft = Draft::new(&RULE, headline, at, what, basis(analysis))
        .also(taken.map(|taken| taken.citation.clone()))
        .below([place(
            field_or_name(&circuit.receptacle.coupler, &circuit.name),
            format!("{coupler}: {kind}"),
        )])
        .about([name.clone()])
        .advice(format!(
            "Have a residual current device of {limit} or less fitted, of type A at the least, and write it like `rcd: {{rated: 30 mA, type: A}}`. {}",
            otherwise(taken)
        ));
    match rcd {
        Some(rcd) => draft
            .working([format!("{} is above {limit}", as_marked(rcd.value))])
            .measured(Measure::above(rcd.value, sensitive()))
            .finish(),
        None => draft.kind("none").finish(),
    }
}

/// What else would do where the country takes reasons.
fn otherwise(taken: Option<&Cited<Exceptions>>) -> &'static str {
    match taken.map(|taken| &taken.value) {
        Some(taken) if taken.assessed && taken.not_for_ordinary => {
            "A risk assessment is no way out where ordinary people use it."
        }
        Some(taken) if taken.assessed => {
            "If its use was weighed and found safe, write the paper down as `risk-assessment`."
        }
        Some(taken) if taken.dedicated => {
            "If it is for one piece of equipment alone, have it marked so and write `purpose: dedicated`."
        }
        _ => "The rules of the country know no exception.",
    }
}

/// As such devices are marked, in milliamperes up to one ampere: `300 mA`.
fn as_marked(residual: Current) -> String {
    match residual.in_amperes() < 1.0 {
        true => format!("{} mA", (residual.in_amperes() * 1000.0).round()),
        false => residual.show(),
    }
}

/// The rule of additional protection, by the country's own code where that was read.
pub(super) fn basis(analysis: &Analysis<'_>) -> Citation {
    let country = analysis.site_country().map(|country| country.code.as_str());
    let (standard, clause, edition) = match country {
        Some("FR") => ("NF C 15-100", "411.3.3", "edition not established"),
        Some("GB") => ("BS 7671", "411.3.3", "2018"),
        _ => ("IEC 60364-4-41", "411.3.3", "2005 with amendment 1 (2017)"),
    };
    Citation::new(standard, clause, edition, Confidence::TwoCopies)
}
