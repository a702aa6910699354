//! A joint between two cords, and what is known of it.

use crate::analysis::{Analysis, place};
use crate::finding::Place;
use crate::graph::FarEnd;
use crate::model::cords::{Cord, CordType};
use crate::model::places::Vibration;
use crate::model::value::Id;
use crate::rules::retention::end::{Asked, End, Owner, Whereabouts};
use crate::rules::retention::hold::Hold;

/// A plug in the connector of another cord.
pub(super) struct Joint<'a> {
    /// The cord with the plug.
    pub lower: Id<Cord>,
    /// The cord, or the leg of a splitter, with the connector.
    pub upper: FarEnd,
    /// Which joint it is, counted from the outlet.
    pub number: usize,
    /// Whether one of the two is an adapter that is marked as approved.
    pub is_adapted: bool,
    /// The plug as an end that may be held; `None` where its coupler or its mate is not known.
    end: Option<End<'a>>,
}

impl<'a> Joint<'a> {
    /// The joint that a cord begins at. One in a ring is another fault.
    pub fn above(analysis: &Analysis<'a>, lower: Id<Cord>) -> Option<Self> {
        let links = &analysis.graph.links;
        let upper = links.joint_above(lower)?;
        links.line_feed(lower)?;
        let kind = |cord| analysis.graph.cord_type(analysis.model, cord);
        let mut ends = Owner::Cord(lower).ends(analysis);
        Some(Self {
            lower,
            upper,
            number: links.line_above(upper).count(),
            is_adapted: [lower, upper.0].into_iter().filter_map(kind).any(is_listed),
            end: ends.find(End::is_joint),
        })
    }

    /// Whether nothing holds it where it is shaken.
    pub fn is_loose_and_shaken(&self) -> bool {
        let is_loose = |end: &End<'_>| matches!(end.hold(), Hold::Loose | Hold::Unsupported(_));
        self.shaken().is_some() && self.end.as_ref().is_some_and(is_loose)
    }

    /// The zone that shakes it, and how.
    pub fn shaken(&self) -> Option<(&'a str, Vibration)> {
        let Whereabouts::Zone(zone) = self.end?.whereabouts else {
            return None;
        };
        let vibration = zone.vibration.known().copied();
        let vibration = vibration.filter(|vibration| *vibration != Vibration::None)?;
        Some((zone.name.value.as_str(), vibration))
    }

    /// `cord W-13`, `adapter A-1`.
    pub fn lower_name(&self, analysis: &Analysis<'_>) -> String {
        name(analysis, (self.lower, None))
    }

    /// `the connector of cord W-12`, `the connector of leg a of cord W-12`, `adapter A-1`.
    pub fn upper_name(&self, analysis: &Analysis<'_>) -> String {
        match is_adapter(analysis, self.upper.0) {
            true => name(analysis, self.upper),
            false => format!("the connector of {}", name(analysis, self.upper)),
        }
    }

    /// Where the place says that it shakes.
    pub fn zone_place(&self) -> Option<Place> {
        let Whereabouts::Zone(zone) = self.end?.whereabouts else {
            return None;
        };
        let shaken = zone.vibration.given()?;
        let is_asked = matches!(self.end?.asked(), Asked::Shaken(_) | Asked::Required);
        let note = format!(
            "zone {}: vibration: {}",
            zone.name.value,
            shaken.value.word()
        );
        (is_asked && shaken.value != Vibration::None).then(|| place(shaken.span, note))
    }

    /// The line, from the outlet on.
    pub fn working(&self, analysis: &Analysis<'_>) -> Vec<String> {
        let links = &analysis.graph.links;
        let line = links.line_above((self.lower, None));
        let mut parts: Vec<String> = line
            .map(|(cord, leg)| {
                let own = name(analysis, (cord, leg));
                match analysis.length_of(cord, leg) {
                    _ if is_adapter(analysis, cord) => own,
                    Some(length) => format!("{own} ({})", analysis.on_tape(length)),
                    None => format!("{own} (length not known)"),
                }
            })
            .collect();
        let feed = links.line_feed(self.lower);
        parts.extend(feed.and_then(|feed| analysis.name_of_feed(feed)));
        parts.reverse();
        vec![parts.join(" → ")]
    }

    /// What to put in the place of the line. No other cord makes a joint right.
    pub fn advice(&self, analysis: &Analysis<'_>) -> String {
        let kind = |cord| analysis.graph.cord_type(analysis.model, cord);
        let first = analysis.graph.links.line_above((self.lower, None)).last();
        let plug = first.and_then(|(first, _)| kind(first)?.plug.known());
        let lower = kind(self.lower).filter(|kind| kind.legs.is_empty());
        let connector = lower.and_then(|kind| kind.connector.known());
        let ends = match (plug, connector) {
            (Some(plug), Some(connector)) => {
                format!(
                    " with a {} plug and a {} connector",
                    plug.name, connector.name
                )
            }
            _ => String::new(),
        };
        let length = analysis.line_length((self.lower, None));
        let length = length.filter(|length| length.value > 0.0);
        let length = length.map_or_else(String::new, |length| {
            format!(", {} or what the way takes", analysis.on_tape(length))
        });
        match self.is_adapted && !self.is_loose_and_shaken() {
            true => format!(
                "Nothing, if its maker allows it there; better one cord{ends}, without the adapter."
            ),
            false => format!(
                "Use one cord{ends}{length}, in their place. Until then keep the joint in sight, off the floor and free of pull."
            ),
        }
    }
}

fn name(analysis: &Analysis<'_>, end: FarEnd) -> String {
    match is_adapter(analysis, end.0) && end.1.is_none() {
        true => format!("adapter {}", analysis.model.cords[end.0].name.value),
        false => analysis.describe_end(end),
    }
}

fn is_adapter(analysis: &Analysis<'_>, cord: Id<Cord>) -> bool {
    let kind = analysis.graph.cord_type(analysis.model, cord);
    kind.is_some_and(CordType::is_adapter)
}

/// Whether it is an adapter that bears a mark; which marks are taken where is for `approval-missing` to say.
fn is_listed(kind: &CordType) -> bool {
    kind.is_adapter() && !kind.approvals.given().is_empty()
}
