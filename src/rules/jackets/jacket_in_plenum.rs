//! `jacket-in-plenum`: does a cord lie in a space that carries the building's air?

use crate::analysis::{Analysis, absence, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Level};
use crate::model::optional::Optional;
use crate::model::places::{Air, Zone};
use crate::model::text::YesNo;
use crate::model::value::Named;
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::Practice;

use super::run::{Run, runs};

rule!(
    "jacket-in-plenum",
    Jackets,
    Warning up to Error,
    "A power cord in a space that carries air: in a fire the air takes its smoke to people elsewhere."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let is_nec = analysis.practice() == Some(Practice::Nec);
    let (mut asked, mut illegible) = (ToldOnce::default(), Illegible::default());
    let unreadable = |zone: &Zone| Some(("air", zone.air.written().err()?));
    let stands = |zone: &Zone| standing(zone, is_nec);
    for run in runs(analysis) {
        if let Some(zone) = run.zone(analysis, |zone| stands(zone) == Standing::Forbidden) {
            findings.push(in_air_stream(analysis, &run, zone, is_nec));
        } else if let Some(zone) = run.zone(analysis, |zone| stands(zone) == Standing::Unknown) {
            let told = asked.tell(zone.name.span, || floor_unknown(zone));
            told.suffered_by([run.whole(analysis).clone()]);
        }
        run.ask(analysis, (&RULE, &mut illegible), unreadable);
    }
    findings.extend(asked.findings());
    findings.extend(illegible.findings());
}

#[derive(Clone, Copy, PartialEq)]
enum Standing {
    Allowed,
    Forbidden,
    /// Under a floor of which nobody says whether Article 645 holds.
    Unknown,
}

/// The air that a zone is said to carry; what cannot be read is asked.
fn air(zone: &Zone) -> Option<Air> {
    let air = zone.air.written().ok()??;
    Some(air.value)
}

fn standing(zone: &Zone, is_nec: bool) -> Standing {
    match (air(zone), &zone.article_645) {
        (Some(Air::Plenum), _) => Standing::Forbidden,
        (Some(Air::Underfloor), Optional::Given(article)) if is_nec => match article.value {
            YesNo(true) => Standing::Allowed,
            YesNo(false) => Standing::Forbidden,
        },
        (Some(Air::Underfloor), _) if is_nec => Standing::Unknown,
        _ => Standing::Allowed,
    }
}

fn citations(is_nec: bool) -> [Citation; 2] {
    let no_cord = Citation::new(
        "NFPA 70 (NEC)",
        "300.22(C) and 400.12",
        "2023",
        Confidence::TwoCopies,
    );
    let relief = Citation::new(
        "NFPA 70 (NEC)",
        "645.4 and 645.5(E)",
        "2023",
        Confidence::TwoCopies,
    );
    if is_nec {
        return [no_cord, relief];
    }
    let iec =
        Citation::common_practice("no IEC standard lists power cords for air-handling spaces");
    let flame = Citation::new(
        "IEC 60332-1-2",
        "flame on a single cable only",
        "edition not established",
        Confidence::OneCopy,
    );
    [iec, flame]
}

fn in_air_stream(
    analysis: &Analysis<'_>,
    run: &Run<'_>,
    zone: &Named<Zone>,
    is_nec: bool,
) -> Finding {
    let space = match air(zone) {
        Some(Air::Underfloor) => "under a raised floor that carries air",
        _ => "in a plenum",
    };
    let headline = format!(
        "{} lies {space} (zone {}): if it burns, the air carries its smoke to people in other rooms",
        run.describe(analysis),
        zone.name.value
    );
    let [first, second] = citations(is_nec);
    let level = if is_nec { Level::Error } else { Level::Warning };
    run.broken(analysis, &RULE, headline, first)
        .level(level)
        .also([second])
        .above([place(
            field_or_name(&zone.air, &zone.name),
            format!("zone {}", zone.name.value),
        )])
        .working([not_plenum_listed(run)])
        .advice(advice(zone, is_nec))
        .finish()
}

/// Halogen-free answers another question than a plenum listing does.
fn not_plenum_listed(run: &Run<'_>) -> String {
    let name = match run.cordage.known() {
        Some(cordage) if cordage.service.halogen_free == Some(true) => {
            format!("{} is halogen-free, but h", cordage.name)
        }
        _ => "H".into(),
    };
    format!(
        "{name}alogen-free is not plenum-listed: it says which gas a jacket gives off, not how far flame and smoke run in moving air; no flexible power cord is listed for plenums"
    )
}

fn advice(zone: &Zone, is_nec: bool) -> String {
    match air(zone) {
        Some(Air::Underfloor) if is_nec => "Take the cord out of the floor space, or, if the room meets every condition of Article 645, write `article-645: yes` for the zone.".into(),
        _ => "Take the cord out of the air space and feed the equipment by a fixed wiring method allowed there.".into(),
    }
}

fn floor_unknown(zone: &Named<Zone>) -> Draft {
    let at: Span = field_or_name(&zone.article_645, &zone.name);
    let how = absence(&zone.article_645);
    let headline = format!(
        "may cords lie under the floor of zone {}? Wanted: whether it meets NEC Article 645, which {how}",
        zone.name.value
    );
    let [first, second] = citations(true);
    Draft::new(&RULE, headline, at, format!("not decided: `article-645` {how}"), first)
        .wants([Fact::of(zone, "article-645", Some(&zone.article_645))])
        .also([second])
        .above([place(field_or_name(&zone.air, &zone.name), "under a raised floor")])
        .about([zone.name.value.clone()])
        .advice("Find out whether the room meets every condition of NEC 645.4, and write `article-645: yes` or `no` for the zone.")
}
