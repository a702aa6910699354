//! The rated voltage of cordage.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Fact, Level, Measure};
use crate::graph::{ElementId, ElementKind};
use crate::model::flex::Flex;
use crate::model::text::CordageRef;
use crate::model::value::Spanned;
use crate::quantity::{Quantity, Voltage, show_pair};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::source::Span;
use crate::tables::cordage::{self, RatedVoltage};

use super::RULE;
use crate::rules::couplers::stress::Stress;

/// A cordage at a voltage that it is not made for.
pub(super) struct Unfit<'a> {
    cordage: &'a Spanned<CordageRef>,
    voltage: Voltage,
    limit: Voltage,
    between: Cow<'static, str>,
}

/// The cordage of a cord, a leg or a PDU's own cord, against its rated voltage U0/U.
pub(super) fn unfit<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
    stress: Stress,
) -> Option<Unfit<'a>> {
    let flex = own_cordage(analysis, id)?;
    let cordage = flex.cordage.given()?;
    let rated = cordage.value.voltage;
    let (voltage, limit, between) = if stress.voltage > rated.between {
        (stress.voltage, rated.between, "between conductors".into())
    } else {
        let to_earth = stress
            .to_earth
            .filter(|voltage| *voltage > rated.to_earth)?;
        (
            to_earth,
            rated.to_earth,
            format!("to {}", analysis.words().earth).into(),
        )
    };
    Some(Unfit {
        cordage,
        voltage,
        limit,
        between,
    })
}

/// A cordage that is not known, where some cordage is not made for the voltage.
pub(super) fn unknown(analysis: &Analysis<'_>, id: ElementId, stress: Stress) -> Option<Fact> {
    let field = own_cordage(analysis, id)?.cordage;
    if field.given().is_some() {
        return None;
    }
    let is_above = |rated: &RatedVoltage| {
        let to_earth = stress.to_earth.is_some_and(|volts| volts > rated.to_earth);
        stress.voltage > rated.between || to_earth
    };
    let mut cordages = cordage::all().iter();
    let may_be_unfit = cordages.any(|cordage| is_above(&cordage.voltage));
    may_be_unfit.then(|| analysis.conductor_fact(id, "cordage", Some(field)))
}

/// The question that such a cordage leaves open.
pub(super) fn undecided(
    analysis: &Analysis<'_>,
    id: ElementId,
    stress: Stress,
    fact: &Fact,
) -> Draft {
    let (what, volts, how) = (
        described(analysis, id),
        stress.voltage.show(),
        fact.state.words(),
    );
    let headline =
        format!("does the insulation of {what} bear {volts}? Wanted: its cordage, which {how}");
    let basis = Citation::marked("the rated voltage printed on the cordage");
    Draft::new(
        &RULE,
        headline,
        fact.span,
        format!("not decided: its cordage {how}"),
        basis,
    )
    .wants([fact.clone()])
    .about([fact.owner.clone()])
    .kind("cordage")
    .advice("Read the type off the jacket, like `cordage: H05VV-F`, and write it.")
}

impl Unfit<'_> {
    /// Where the cordage is named.
    pub fn at(&self) -> Span {
        self.cordage.span
    }

    /// What is said of it, at the element that is met first.
    pub fn draft(&self, analysis: &Analysis<'_>, id: ElementId) -> Draft {
        let (cordage, between) = (&self.cordage.value, &self.between);
        let (voltage, limit) = show_pair(self.voltage, self.limit);
        let (name, source) = (&cordage.name, cordage.citation.clone());
        let headline = format!(
            "{} is at {voltage} {between}, and its {name} is made for {limit}: the insulation may break down",
            described(analysis, id)
        );
        let note = format!("{name}: {limit} {between}");
        let level = borne_by(Level::Error, std::slice::from_ref(&source));
        Draft::new(&RULE, headline, self.at(), note, source)
            .level(level)
            .above(analysis.hops_above(id))
            .above([analysis.hop(id)])
            .working([format!("{voltage} is above {limit}")])
            .measured(Measure::above(self.voltage, self.limit))
            .advice("Take it out of use, and order the cord with cordage for this voltage.")
            .about([analysis.full_name(id)])
            .kind("cordage")
    }
}

/// What is of this cordage, for the start of a sentence.
fn described(analysis: &Analysis<'_>, id: ElementId) -> String {
    let own = analysis.describe(id);
    match analysis.graph.kind(id) {
        ElementKind::Pdu(_) => format!("the input cord of {own}"),
        _ => own,
    }
}

/// A length of flexible cord with cordage of its own; that of a trunk has its say there.
fn own_cordage<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<Flex<'a>> {
    analysis.flex(id).filter(|flex| !flex.shares_cordage)
}
