//! `socket-without-rcd`: does a sensitive residual current device guard the household sockets of the wiring?
//!
//! Pin-and-sleeve receptacles for power strips are taken to be for one named use under instructed people, as
//! data rooms have them; household sockets are used by whoever comes by.

use crate::analysis::editions::Said;
use crate::analysis::{Analysis, exceeds, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Measure};
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, InUnits, Quantity, amperes};
use crate::rules::illegible::Illegible;
use crate::rules::{Draft, rule};
use crate::tables::Practice;
use crate::tables::couplers::{Family, Side};

rule!(
    "socket-without-rcd",
    Circuits,
    Warning,
    "A household socket without a residual current device of 30 mA: whoever touches a damaged cord there may be killed before anything opens."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    if analysis.practice() != Some(Practice::Iec) {
        return;
    }
    let mut illegible = Illegible::default();
    for (_, circuit) in analysis.model.circuits.iter() {
        let rcd = circuit.rcd.written();
        if matches!(rcd, Ok(Some(rcd)) if !exceeds(rcd.value, sensitive())) {
            continue;
        }
        let unread = match (household_socket(circuit), rcd) {
            (Ok(None), _) => continue,
            (Ok(Some(socket)), Ok(rcd)) => {
                findings.extend(judged(analysis, circuit, socket, rcd));
                continue;
            }
            (Ok(Some(_)), Err(at)) => Fact::unreadable(circuit, "rcd", at),
            (Err(receptacle), _) => receptacle,
        };
        let name = &circuit.name.value;
        let question = || format!("does a sensitive residual current device guard circuit {name}");
        illegible.ask(&RULE, &unread, question);
    }
    findings.extend(illegible.findings());
}

/// The rated residual current of additional protection.
fn sensitive() -> Current {
    amperes(0.03)
}

/// As such devices are marked, in milliamperes up to one ampere: `300 mA`.
fn as_marked(residual: Current) -> String {
    match residual.in_amperes() < 1.0 {
        true => format!("{} mA", (residual.in_amperes() * 1000.0).round()),
        false => residual.show(),
    }
}

/// A household socket at the end of the wiring; all of them are for 32 A or less.
///
/// # Errors
/// The receptacle, if it cannot be read.
fn household_socket(circuit: &Named<Circuit>) -> Result<Option<&Spanned<CouplerRef>>, Fact> {
    let receptacle = &circuit.receptacle;
    let unread = Fact::if_unreadable(circuit, receptacle.coupler_key(), &receptacle.coupler);
    let socket = unread.map_or(Ok(receptacle.coupler.given()), Err)?;
    Ok(socket.filter(|socket| socket.value.family == Family::National))
}

fn judged(
    analysis: &Analysis<'_>,
    circuit: &Named<Circuit>,
    socket: &Spanned<CouplerRef>,
    rcd: Option<&Spanned<Current>>,
) -> Option<Finding> {
    let rated = socket.value.rated_as(Side::Contacts, Practice::Iec);
    let said = analysis.said_by_editions(|edition| edition.sockets_with_rcd.as_ref());
    // What is not known of the socket or of the rules takes nothing away from what is asked.
    let is_asked = |upto: &Current| {
        let rated = rated.current.as_ref();
        rated.is_none_or(|rated| !exceeds(rated.value, *upto))
    };
    let (asking, silent): (Vec<Said<Current>>, Vec<_>) = said
        .into_iter()
        .partition(|(_, upto)| is_asked(&upto.value));
    match (asking.first(), silent.first()) {
        (None, Some(_)) => None,
        (Some(asking), Some(silent)) => {
            Some(disputed(analysis, circuit, socket, [*silent, *asking]))
        }
        (_, None) => Some(unguarded(analysis, circuit, socket, rcd)),
    }
}

/// Editions of the rules differ on sockets of this rating.
fn disputed(
    analysis: &Analysis<'_>,
    circuit: &Named<Circuit>,
    socket: &Spanned<CouplerRef>,
    said: [Said<Current>; 2],
) -> Finding {
    let name = &circuit.name.value;
    let [silent, asking] =
        said.map(|(edition, upto)| format!("up to {} by {}", upto.value.show(), edition.name));
    let headline = format!(
        "must a residual current device of {} guard the socket of circuit {name} ({})? Open: sockets must have one {silent}, {asking}, and {}",
        sensitive().show(),
        socket.value,
        analysis.edition_lack()
    );
    let fact = analysis.edition_fact();
    let sources = said.map(|(_, upto)| upto.citation.clone());
    Draft::new(
        &RULE,
        headline,
        socket.span,
        "editions differ",
        basis(analysis),
    )
    .also(sources)
    .about([name.clone()])
    .kind("edition")
    .wants(fact)
    .advice(analysis.edition_advice())
    .open()
    .finish()
}

fn unguarded(
    analysis: &Analysis<'_>,
    circuit: &Named<Circuit>,
    socket: &Spanned<CouplerRef>,
    rcd: Option<&Spanned<Current>>,
) -> Finding {
    let (name, coupler) = (&circuit.name.value, &socket.value);
    let what = rcd.map_or_else(
        || "no residual current device".to_owned(),
        |rcd| {
            format!(
                "a residual current device of {} alone",
                as_marked(rcd.value)
            )
        },
    );
    let headline = format!(
        "the socket of circuit {name} ({coupler}) stands behind {what}: whoever touches a damaged cord there may be killed before anything opens"
    );
    let at = rcd.map_or(circuit.name.span, |rcd| rcd.span);
    let limit = sensitive().show();
    let draft = Draft::new(&RULE, headline, at, what, basis(analysis))
        .below([place(
            field_or_name(&circuit.receptacle.coupler, &circuit.name),
            format!("{coupler}: a household socket"),
        )])
        .about([name.clone()])
        .advice(format!(
            "Have a residual current device of {limit} or less fitted, of type A at the least, and write it like `rcd: 30 mA`. If the socket is for one named use and the rules of the country let it do without, record who decided so as a departure."
        ));
    match rcd {
        Some(rcd) => draft
            .working([format!("{} is above {limit}", as_marked(rcd.value))])
            .measured(Measure::above(rcd.value, sensitive()))
            .finish(),
        None => draft.kind("none").finish(),
    }
}

/// The rule of additional protection, by the country's own code where that was read.
fn basis(analysis: &Analysis<'_>) -> Citation {
    let country = analysis.site_country().map(|country| country.code.as_str());
    let (standard, clause, edition) = match country {
        Some("FR") => ("NF C 15-100", "411.3.3", "edition not established"),
        Some("GB") => ("BS 7671", "411.3.3", "2018"),
        _ => ("IEC 60364-4-41", "411.3.3", "2005 with amendment 1 (2017)"),
    };
    Citation::new(standard, clause, edition, Confidence::TwoCopies)
}
