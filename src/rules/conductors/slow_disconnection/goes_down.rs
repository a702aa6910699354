//! Where no device opens since electronics hold the current down: the source itself goes off, and its voltage is low
//! until then. Nobody is hurt, and all that hangs on it is dark.

use crate::analysis::Analysis;
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Finding, Level};
use crate::flow::protection::devices_ahead;
use crate::graph::ElementId;
use crate::model::circuits::Supply;
use crate::model::sources::{End, State};
use crate::model::value::{Field, Id, Named};
use crate::quantity::{Quantity, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::gaps::Gap;
use crate::rules::conductors::naming;
use crate::rules::told_once::ToldOnce;
use crate::tables::editions::{self, LimitedSource};

use super::RULE;
use super::missing::table;
use super::verdict::{Slow, Verdict};
use super::words::measure;

/// An earth fault that opens nothing, unless its source is an inverter that goes down as the rules allow.
pub(super) fn unless_it_goes_down(
    analysis: &Analysis<'_>,
    (id, supply): (ElementId, &Named<Supply>),
    state: &State<'_>,
    slow: Slow,
) -> Verdict {
    let said = analysis.said_by_every_edition(|edition| edition.limited_source.as_ref());
    let mut all = editions::all();
    let asked = said.or_else(|| all.find_map(|edition| edition.limited_source.as_ref()));
    match asked.filter(|asked| is_enough(&slow, asked)) {
        Some(_) if state.mode.is_none() => match mode_missing(analysis, supply, state) {
            Some(gap) => Verdict::Open(Box::new(gap), None),
            None => Verdict::Slow(slow),
        },
        Some(asked) if state.is_inverter() => match (said, edition_missing(analysis, id, supply)) {
            (Some(_), _) => Verdict::GoesDown(slow, asked.citation.clone()),
            (None, Some(gap)) => Verdict::Open(Box::new(gap), None),
            (None, None) => Verdict::Slow(slow),
        },
        _ => Verdict::Slow(slow),
    }
}

/// Whether a source is off within the time in which a device should open; or its voltage is low by then, and it is
/// off soon after.
fn is_enough(slow: &Slow, asked: &Cited<LimitedSource>) -> bool {
    let (Some(lasts), Some(time)) = (slow.lasts, slow.time) else {
        return false;
    };
    let LimitedSource { voltage, off_by } = asked.value;
    lasts <= time || (slow.left.source <= voltage && lasts <= off_by)
}

/// A fault that does not last, and nobody says in which mode: an inverter is off after it, a generator is not.
fn mode_missing(analysis: &Analysis<'_>, supply: &Named<Supply>, state: &State<'_>) -> Option<Gap> {
    let lasts = state.fault_current.known()?.lasts.span()?;
    let an_earth = analysis.words().an_earth;
    let name = &supply.name.value;
    Some(Gap {
        about: name.clone(),
        kind: "mode",
        span: lasts,
        headline: format!(
            "is anybody in danger from {an_earth} fault behind supply {name}? No breaker opens while it lasts. Missing: whether the supply is off after that, as an inverter is"
        ),
        missing: "in which mode it lasts so long".to_owned(),
        basis: table("411.3.2.5"),
        advice: "Write the fault current below the mode in which it flows, like `modes: {inverter: {fault-current: {largest: 108 A, smallest: 54 A, lasts: 300 ms}, earthing: TN-S}}`, and that of the mains or the bypass beside it.".to_owned(),
        wants: vec![Fact::of(supply, "modes", None::<&Field<()>>)],
    })
}

/// Nobody knows whether the edition that binds takes it for enough.
fn edition_missing(analysis: &Analysis<'_>, id: ElementId, supply: &Named<Supply>) -> Option<Gap> {
    let fact = analysis.edition_fact()?;
    let an_earth = analysis.words().an_earth;
    let lack = analysis.edition_lack();
    Some(Gap {
        about: supply.name.value.clone(),
        kind: "edition",
        span: fact.span,
        headline: format!(
            "is it enough that supply {} goes down on its inverter after {an_earth} fault at the end of {}, where no breaker opens in time? Open: {lack}",
            supply.name.value,
            naming::run(analysis, id)
        ),
        missing: lack,
        basis: table("411.3.2.5"),
        advice: analysis.edition_advice(),
        wants: vec![fact],
    })
}

/// The supplies that a fault takes down.
#[derive(Default)]
pub(super) struct GoesDown(ToldOnce<Id<Supply>>);

impl GoesDown {
    /// An end at which a fault takes its supply down.
    pub fn meet(
        &mut self,
        analysis: &Analysis<'_>,
        (end, id): (ElementId, Id<Supply>),
        state: &State<'_>,
        (slow, basis): (Slow, Citation),
    ) {
        let told = self
            .0
            .tell(id, || told(analysis, (end, id), state, (slow, basis)));
        told.suffered_by([analysis.full_name(end)]);
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

fn told(
    analysis: &Analysis<'_>,
    (end, id): (ElementId, Id<Supply>),
    state: &State<'_>,
    (slow, basis): (Slow, Citation),
) -> Draft {
    let supply = &analysis.model.supplies[id];
    let name = &supply.name.value;
    let mut devices = devices_ahead(analysis.model, analysis.graph, end);
    let device = devices.find(|device| device.at == slow.device);
    let device = device.map_or_else(String::new, |device| naming::device(analysis, &device));
    let words = analysis.words();
    let (flows, needed) = (show_rounded(slow.current), show_rounded(slow.needed));
    let lasts = slow.lasts.map_or_else(String::new, |lasts| lasts.show());
    let headline = format!(
        "on its inverter, a short to {} at any cord takes all of supply {name} down: it drives {flows} for {lasts}, and {device} opens {} only from {needed}",
        words.earth, slow.wanted
    );
    let figures = state.fault_current.known();
    let given = figures.and_then(|figures| figures.figure(End::Smallest).given());
    let span = given.map_or(supply.name.span, |given| given.span);
    let left = format!(
        "until then the inverter has {} left at the most, and the {} {}",
        show_rounded(slow.left.source),
        words.casing,
        show_rounded(slow.left.casing)
    );
    let measure = measure(&slow);
    Draft::new(&RULE, headline, span, format!("{flows} for {lasts}"), basis)
        .level(Level::Note)
        .kind("goes-down")
        .working(slow.working)
        .working([left])
        .also([slow.basis])
        .measured(measure)
        .about([name.clone()])
        .advice(format!(
            "Nobody is hurt by it, and all that hangs on the supply goes dark. Count on it where redundancy is planned: no second cord of a device on this supply. A breaker that is sure to open from {flows} on would part the one cord alone."
        ))
}
