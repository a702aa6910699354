//! Air in which no rating of a coupler holds, whatever it carries: one finding for each zone and
//! family of couplers.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use crate::analysis::hot_air::{Hot, hottest, hottest_mean, unread_answer};
use crate::analysis::{AirWords, Analysis};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::model::value::Spanned;
use crate::quantity::{Quantity, Temperature};
use crate::rules::Draft;
use crate::rules::couplers::halves::Owner;
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;
use crate::tables::couplers::Family;
use crate::tables::words::Words;

use super::RULE;

/// The zone and the family of couplers that a finding is about.
type Kind = (Option<Span>, Family);

/// A part of which a key of the definitions says what its maker declares for hot air.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Answering {
    Receptacle,
    Strip,
    Cord,
}

impl Answering {
    fn of(owner: Owner) -> Self {
        match owner {
            Owner::Receptacle(_) => Self::Receptacle,
            Owner::Outlet(..) | Owner::PduPlug(_) => Self::Strip,
            Owner::Plug(_) | Owner::Connector(_) | Owner::Inlet(_) => Self::Cord,
        }
    }

    /// Where it is written.
    fn key(self, words: &Words) -> String {
        match self {
            Self::Receptacle => {
                format!(
                    "of a circuit's {} as `receptacle: {{coupler: …, hot-air: {{at: …, amperes: …}}}}`",
                    words.socket
                )
            }
            Self::Strip => "of a strip as the `ambient-limit` of its model".to_owned(),
            Self::Cord => "of a cord as the `hot-air` of its type".to_owned(),
        }
    }
}

/// What was met of it.
#[derive(Default)]
pub(super) struct Unrated {
    hot: ToldOnce<Kind>,
    /// Whose makers may answer for what is told.
    answering: FxHashMap<Kind, BTreeSet<Answering>>,
    unknown: ToldOnce<Span>,
    illegible: Illegible,
}

impl Unrated {
    /// Looks at a half in hot air. An inlet is the affair of its device, whose maker states the air
    /// that the whole of it bears.
    pub fn meet(&mut self, analysis: &Analysis<'_>, hot: &Hot<'_>) {
        let family = hot.half.coupler.value.family;
        let (limit, source) = hottest(&hot.half.coupler.value);
        if matches!(hot.half.owner, Owner::Inlet(_)) {
            return;
        }
        match hot.air {
            None => self.meet_unknown(analysis, hot),
            Some(air) if hot.is_beyond_ratings(analysis) => {
                if let Some(fact) = unread_answer(analysis, &hot.half) {
                    let what = hot.half.what(analysis);
                    let question = || format!("does its maker answer for {what} in this air");
                    let asked = self.illegible.ask(&RULE, &fact, question);
                    asked.suffered_by([hot.half.whole(analysis).clone()]);
                    return;
                }
                let key = (hot.zone.map(|zone| zone.name.span), family);
                let told = self
                    .hot
                    .tell(key, || too_hot(analysis, hot, air, (limit, source)));
                told.suffered_by([hot.half.whole(analysis).clone()]);
                let answering = self.answering.entry(key).or_default();
                if answering.insert(Answering::of(hot.half.owner)) {
                    told.advise(advice(limit, answering, analysis.words()));
                }
            }
            Some(_) => {}
        }
    }

    /// A coupler that is in air that nobody gives.
    pub fn meet_unknown(&mut self, analysis: &Analysis<'_>, hot: &Hot<'_>) {
        let gap = analysis.air_words(hot.zone);
        let at = gap.at.unwrap_or(hot.half.coupler.span);
        let told = self.unknown.tell(at, || air_missing(gap, at));
        told.suffered_by([hot.half.whole(analysis).clone()]);
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        let told = self.hot.findings().chain(self.unknown.findings());
        told.chain(self.illegible.findings())
    }
}

/// The kind of the finding, and the couplers in words.
fn called(family: Family, words: &Words) -> (&'static str, String) {
    let socket = words.socket;
    match family {
        Family::Iec60320 => ("iec-60320", "IEC 60320 couplers".to_owned()),
        Family::Iec60309 => ("iec-60309", "IEC 60309 couplers".to_owned()),
        Family::National => ("household", format!("household plugs and {socket}s")),
        Family::Nema => ("nema", format!("NEMA plugs and {socket}s")),
        Family::Own => ("own", "couplers of the site's own".to_owned()),
    }
}

fn too_hot(
    analysis: &Analysis<'_>,
    hot: &Hot<'_>,
    air: Spanned<Temperature>,
    (limit, source): (Temperature, Citation),
) -> Draft {
    let (kind, couplers) = called(hot.half.coupler.value.family, analysis.words());
    let (air_shown, limit_shown) = (air.value.show(), limit.show());
    let place = analysis.air_words(hot.zone);
    let headline = format!(
        "{couplers} {} may overheat at any load: the air is at {air_shown}, and their ratings hold up to {limit_shown}",
        place.whose
    );
    let seen = format!(", rated in air up to {limit_shown}");
    Draft::new(
        &RULE,
        headline,
        air.span,
        format!("air at {air_shown}"),
        source,
    )
    .below([hot.half.place(analysis, &seen)])
    .measured(Measure::above(air.value, limit))
    .kind(kind)
    .about([place.about])
}

/// What to do, with the key of every part that is met there.
fn advice(limit: Temperature, answering: &BTreeSet<Answering>, words: &Words) -> String {
    let keys: Vec<String> = answering.iter().map(|part| part.key(words)).collect();
    format!(
        "Cool the place to {} or less; or write what the makers declare for this air, {}.",
        limit.show(),
        keys.join(" and ")
    )
}

/// The air at couplers is not known.
fn air_missing(gap: AirWords, at: Span) -> Draft {
    let how = gap.how;
    let headline = format!(
        "is the air {} too hot for the couplers there? Wanted: its temperature, which {how}",
        gap.whose
    );
    let (_, clause) = hottest_mean();
    Draft::new(&RULE, headline, at, format!("not decided: the ambient {how}"), clause)
        .wants(gap.fact)
        .about([gap.about])
        .kind("air")
        .advice("Write the hottest air at the couplers, on the hot side of the rack, as `ambient`, here or for the site.")
}
