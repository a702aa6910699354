//! `coupler-in-the-wet`: is a coupler that lets water in where the place is wet?

mod guard;
mod kind;

use crate::analysis::{Analysis, field_or_name};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::places::Zone;
use crate::model::value::Named;
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;

use super::halves::{Half, Owner, Pair, borne_by, pairs, unused};
use guard::{is_guarded, unread};
use kind::Kind;

rule!(
    "coupler-in-the-wet",
    Couplers,
    Error,
    "A coupler that lets water in, in a wet place: leakage and arcs across its contacts, and a shock for whoever touches it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut told, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (id, _) in analysis.graph.elements() {
        let free = unused(analysis, id).into_iter();
        let free = free.map(|half| Pair::without_mate(id, half));
        for pair in pairs(analysis, id).chain(free) {
            for (half, zone, kind) in wet_halves(analysis, &pair) {
                let sufferer = half.whole(analysis).clone();
                if let Some(fact) = unread(analysis, &pair, &half) {
                    let name = &zone.name.value;
                    let question = || format!("do couplers in zone {name} get wet");
                    let asked = illegible.ask(&RULE, &fact, question);
                    asked.suffered_by([sufferer]);
                    continue;
                }
                let met = told.tell((zone.name.span, kind), || {
                    found(analysis, &half, zone, kind)
                });
                met.suffered_by([sufferer]);
            }
        }
    }
    findings.extend(told.findings());
    findings.extend(illegible.findings());
}

/// The halves of a pair that let water in where the place is wet, or may be: that cannot be read.
/// A device's inlet is wet no sooner than the connector on it. An outlet that nothing is plugged into is as open
/// to the water as any.
fn wet_halves<'a>(
    analysis: &Analysis<'a>,
    pair: &Pair<'a>,
) -> impl Iterator<Item = (Half<'a>, &'a Named<Zone>, Kind)> {
    let (analysis, pair) = (*analysis, *pair);
    pair.halves().filter_map(move |half| {
        let zone = pair.zone(&analysis, &half)?;
        let may_be_wet = zone.wet.says_yes().unwrap_or(true);
        if !may_be_wet || matches!(half.owner, Owner::Inlet(_)) {
            return None;
        }
        let kind = Kind::of(&half.coupler.value)?;
        (!is_guarded(&analysis, &pair, &half)).then_some((half, zone, kind))
    })
}

/// What is asked of a mark where a zone says no more than that it is wet.
fn enough() -> Citation {
    Citation::common_practice("a second digit of 4 keeps out what a wet place brings")
}

fn found(analysis: &Analysis<'_>, half: &Half<'_>, zone: &Named<Zone>, kind: Kind) -> Draft {
    let at: Span = field_or_name(&zone.wet, &zone.name);
    let name = &zone.name.value;
    let couplers = kind.said_in(analysis.words());
    let basis = kind.basis();
    let draft = if zone.wet.written().is_ok() {
        let headline = format!(
            "zone {name} is wet, and {couplers} let water in: their contacts leak and arc, and whoever touches them may get a shock"
        );
        Draft::new(&RULE, headline, at, "wet", basis.clone())
            .level(borne_by(RULE.level, &[basis]))
            .also([enough()])
            .advice("Keep the water away, or house them in a rack of IP54 or the like and write it as its `ip`; else fit parts that are marked IPX4 or better, or IEC 60309 couplers.")
    } else {
        let headline =
            format!("do {couplers} in zone {name} get wet? Open: its `wet` cannot be read");
        Draft::new(&RULE, headline, at, "not decided: whether it is wet", basis)
            .wants([Fact::of(zone, "wet", Some(&zone.wet))])
            .advice("Write `wet: yes` or `wet: no`.")
    };
    draft
        .below([half.place(analysis, "")])
        .about([name.clone()])
        .kind(kind.word())
}
