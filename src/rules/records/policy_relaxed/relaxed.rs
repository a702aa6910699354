//! What one policy lets through that another held.

use std::collections::{BTreeMap, VecDeque};

use rustc_hash::FxHashMap;

use crate::date::Date;
use crate::finding::{Level, Measure, Move, Side};
use crate::model::cords::Departure;
use crate::model::signed::Signed;
use crate::model::site::{LevelWord, OpenPoints, RuleLevel};
use crate::model::snags::Snag;
use crate::model::value::{Field, Name, Spanned};
use crate::policy::{LIMITS, Policy, Reading, SiteLimit};
use crate::quantity::Quantity;
use crate::rules::{self, Standing};
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::words::Words;

use super::demands::{demands, what_rules_go_by};
use super::unset::holds_unset;

/// One thing that a policy lets through and an earlier one held.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Relaxation {
    /// Where it stands; where something was taken out, the place nearest to it.
    pub(super) span: Span,
    /// What is relaxed, in words that finish "this change …".
    pub(super) what: String,
    /// Stable names of it.
    pub(super) about: Vec<Name>,
    /// How the rest is judged, as it is not agreed.
    pub(super) judged: Judged,
}

/// How a site is judged of which something is relaxed that nobody else has agreed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Judged {
    /// By what held before.
    AsBefore,
    /// Without it: what it forbade is not looked for any more.
    NoMore,
}

/// Everything that `now` relaxes of `before`, in a site of this practice.
pub(super) fn relaxations(
    now: &Policy<'_>,
    before: &Policy<'_>,
    practice: Option<Practice>,
) -> Vec<Relaxation> {
    let relaxer = Relaxer {
        now,
        before,
        practice,
    };
    let mut all = relaxer.levels();
    all.extend(relaxer.departures());
    all.extend(relaxer.snags());
    all.extend(relaxer.open_points());
    all.extend(LIMITS.iter().filter_map(|limit| relaxer.limit(limit)));
    all.extend(relaxer.sockets());
    all.extend(demands(now, before));
    all.extend(what_rules_go_by(now, before));
    all.sort();
    all
}

struct Relaxer<'a> {
    now: &'a Policy<'a>,
    before: &'a Policy<'a>,
    practice: Option<Practice>,
}

impl Relaxer<'_> {
    /// Where the site's own section is, for what has no place of its own.
    fn anchor(&self) -> Span {
        self.now.place()
    }

    /// Sockets that may stand behind more than before, by the site's own word.
    fn sockets(&self) -> Vec<Relaxation> {
        let beyond = self.now.sockets_beyond(self.before);
        let relaxed = beyond.map(|(rule, most)| {
            let name = &rule.name.value;
            Relaxation {
                span: rule.name.span,
                what: format!(
                    "lets {}s {name} stand behind {}",
                    Words::of(self.practice).socket,
                    most.show()
                ),
                about: vec!["sockets".into(), name.clone()],
                judged: Judged::AsBefore,
            }
        });
        relaxed.collect()
    }

    /// Rules that weigh less than before, whether a line was written or taken out.
    fn levels(&self) -> Vec<Relaxation> {
        let lines = |policy: &Policy<'_>| -> Vec<Name> {
            let names = policy.levels().names();
            names.map(|name| name.value.clone()).collect()
        };
        let mut rules = lines(self.now);
        rules.extend(lines(self.before));
        rules.sort();
        rules.dedup();
        rules
            .into_iter()
            .filter_map(|rule| self.lowered(rule))
            .collect()
    }

    /// A rule that weighs less than before, or whose graver findings do.
    fn lowered(&self, rule: Name) -> Option<Relaxation> {
        let (now, before) = (
            self.weights(self.now, &rule),
            self.weights(self.before, &rule),
        );
        let what = match (now.0 < before.0, now.1 < before.1) {
            (true, _) => "the rule",
            (false, true) => "graver findings of the rule",
            (false, false) => return None,
        };
        let line = self.now.levels().find(&rule);
        let line = line.map(|id| &self.now.levels()[id]);
        Some(Relaxation {
            span: line.map_or(self.anchor(), |line| line.name.span),
            what: format!("lowers {what} {rule} {}", to(line.map(|line| &line.item))),
            about: vec!["levels".into(), rule],
            judged: Judged::AsBefore,
        })
    }

    /// What a rule weighs, and the gravest of its findings. `None`, which is below every level, where
    /// the rule is off; nothing else is told of a name that no rule has.
    fn weights(&self, policy: &Policy<'_>, rule: &str) -> (Option<Level>, Option<Level>) {
        let standing = |rule| Standing::of(policy, self.practice, rule);
        let weights = |rule| (standing(rule).level, standing(rule).gravest(rule));
        rules::find(rule).map_or((None, None), weights)
    }

    fn departures(&self) -> Vec<Relaxation> {
        let mut before: FxHashMap<Matter<'_>, Vec<&Departure>> = FxHashMap::default();
        for departure in self.before.departures() {
            let same = before.entry(matter(&departure.value)).or_default();
            same.push(&departure.value);
        }
        let mut added = Vec::new();
        for departure in self.now.departures() {
            let now = &departure.value;
            let same = matter(now);
            let same = before.get(&same).filter(|_| same.0.is_some());
            let same = same.map_or(&[][..], Vec::as_slice);
            let mut looked_at = same.iter().take(MOST_OF_THE_SAME);
            if looked_at.any(|before| is_no_laxer(now, before)) {
                continue;
            }
            let name = |field: &Field<Name>| field.known().cloned().unwrap_or_default();
            let (rule, at) = (name(&now.rule), name(&now.at));
            let what = match same.is_empty() {
                false => format!("widens the departure from {rule} at {at}"),
                true => format!("adds a departure from {rule} at {at}"),
            };
            added.push(Relaxation {
                span: now.rule.span().unwrap_or(departure.span),
                what,
                about: vec!["departures".into(), rule, at],
                judged: Judged::AsBefore,
            });
        }
        added
    }

    fn snags(&self) -> Vec<Relaxation> {
        let mut free: BTreeMap<&str, VecDeque<&Snag>> = BTreeMap::new();
        for line in self.before.snags() {
            free.entry(&line.value.fingerprint)
                .or_default()
                .push_back(&line.value);
        }
        let mut relaxed = Vec::new();
        for line in self.now.snags() {
            let lines = free.get_mut(line.value.fingerprint.as_str());
            let no_laxer = lines.and_then(|lines| {
                let at = lines
                    .iter()
                    .take(MOST_OF_THE_SAME)
                    .position(|before| snag_is_no_laxer(&line.value, before))?;
                lines.remove(at)
            });
            if no_laxer.is_none() {
                relaxed.push(added_snag(line));
            }
        }
        relaxed
    }

    fn open_points(&self) -> Option<Relaxation> {
        let loses = self.before.blocks_open_points() && !self.now.blocks_open_points();
        loses.then(|| Relaxation {
            span: self.now.place_of_open_points(),
            what: format!(
                "lets open points pass (open-points was {})",
                OpenPoints::Block.word()
            ),
            about: vec!["open-points".into()],
            judged: Judged::AsBefore,
        })
    }

    /// A limit that is taken out, cannot be read any more, or moved to the lax side, be it from what
    /// holds where none is set. One that is set where nothing held shows by what it holds.
    fn limit(&self, limit: &SiteLimit) -> Option<Relaxation> {
        let (now, then) = (self.now.limit(limit), self.before.limit(limit));
        let before = match then {
            Reading::Absent => Reading::Number(holds_unset(limit, self.practice)?),
            _ => then.clone(),
        };
        // What cannot be read counts for nothing, and what holds without it goes on.
        let is_as_unset = then == Reading::Absent && !matches!(now, Reading::Number(_));
        if now == before || is_as_unset {
            return None;
        }
        if let (Reading::Number(now), Reading::Number(before)) = (&now, &before)
            && (limit.is_stricter(*now, *before) || now.number() == before.number())
        {
            return None;
        }
        let unset = match then {
            Reading::Absent => " (which holds where none is set)",
            _ => "",
        };
        Some(Relaxation {
            span: self.anchor(),
            what: format!(
                "moves the limit {} from {}{unset} to {}",
                limit.key,
                shown(&before),
                shown(&now)
            ),
            about: vec!["limits".into(), limit.key.into()],
            judged: Judged::AsBefore,
        })
    }
}

/// What a departure is about: the rule by its name of today, or the name that no rule has; and the thing.
type Matter<'a> = (Option<&'a str>, Option<&'a Name>);

fn matter(departure: &Departure) -> Matter<'_> {
    let rule = departure.rule.known().map(Name::as_str);
    let rule = rule.map(|name| rules::find(name).map_or(name, |rule| rule.name));
    (rule, departure.at.known())
}

/// Departures about the same, or lines of the snag list, that one is held against. More than these
/// nobody writes; where somebody does, what is like a later one is told as relaxed, which it may be.
const MOST_OF_THE_SAME: usize = 100;

/// Whether a departure lets no more through than one about the same that was there: as long, and as far.
fn is_no_laxer(now: &Departure, before: &Departure) -> bool {
    let until = |departure: &Departure| departure.until.known().copied();
    let ends_no_later = match (until(now), until(before)) {
        (Some(now), Some(before)) => now <= before,
        // Without a day it lets nothing through at all.
        (None, _) => true,
        (Some::<Date>(_), None) => false,
    };
    let is_signed = |departure: &Departure| {
        departure.reason.known().is_some() && departure.agreed_by.known().is_some()
    };
    ends_no_later
        && (is_signed(before) || !is_signed(now))
        && bears_no_more(signed_at(now), signed_at(before))
}

fn to(line: Option<&RuleLevel>) -> String {
    match line.and_then(|line| line.level.known()) {
        Some(LevelWord::Off) => "to off".to_owned(),
        Some(level) => format!("to {}", level.word()),
        None => "to its own level".to_owned(),
    }
}

fn shown(reading: &Reading) -> String {
    match reading {
        Reading::Absent => "nothing".to_owned(),
        Reading::Unreadable => "what cannot be read".to_owned(),
        Reading::Number(amount) => amount.show(),
        Reading::Words(words) => format!("`{words}`"),
    }
}

/// What was signed: nothing at all, or a number that may be unreadable.
fn signed_at(departure: &Departure) -> Option<Option<Signed>> {
    match &departure.signed_at {
        Field::Absent => None,
        field => Some(field.known().and_then(|signed| signed.both())),
    }
}

/// Whether a signed number lets no more through than another. None at all lets everything through,
/// an unreadable one nothing.
fn bears_no_more(now: Option<Option<Signed>>, before: Option<Option<Signed>>) -> bool {
    match (now, before) {
        (_, None) | (Some(None), _) => true,
        (None, Some(_)) | (Some(Some(_)), Some(None)) => false,
        (Some(Some(now)), Some(Some(before))) => {
            measure(now).moved_since(&measure(before)) != Move::Worse
        }
    }
}

/// What was signed lay beyond its limit: on that side it gets worse.
fn measure(signed: Signed) -> Measure {
    let is_above = signed.value.number() > signed.limit.number();
    let side = if is_above { Side::Above } else { Side::Below };
    Measure {
        value: signed.value,
        limit: signed.limit,
        worse: side,
    }
}

fn snag_is_no_laxer(now: &Snag, before: &Snag) -> bool {
    // Levels are declared from the gravest down.
    now.level >= before.level && bears_no_more(now.signed.map(Some), before.signed.map(Some))
}

fn added_snag(line: &Spanned<Snag>) -> Relaxation {
    let snag = &line.value;
    Relaxation {
        span: line.span,
        what: format!("accepts {} at {} as known", snag.rule.value, snag.things),
        about: vec!["snags".into(), snag.rule.value.clone(), snag.things.clone()],
        judged: Judged::AsBefore,
    }
}
