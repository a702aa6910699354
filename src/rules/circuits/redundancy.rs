//! Which inlets of a device are fed, by what, and what its maker and its owner count on.

use crate::graph::{ElementId, ElementKind};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Id, Name, Named};
use crate::source::Span;
use crate::survey::Survey;

/// An inlet that hangs on a supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FedInlet {
    /// Its number among the inlets of the site.
    pub number: u32,
    /// The cord, or leg of a splitter, that feeds it.
    pub by: ElementId,
}

impl FedInlet {
    /// The inlet's own name, `psu1`.
    pub(super) fn name<'a>(self, survey: &Survey<'a>) -> &'a str {
        survey
            .inlet(self.number)
            .map_or("", |(_, inlet)| inlet.name.value.as_str())
    }

    /// The cord at the inlet.
    pub(super) fn cord<'a>(self, survey: &Survey<'a>) -> Option<&'a Named<Cord>> {
        match survey.graph.kind(self.by) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => Some(&survey.model.cords[cord]),
            _ => None,
        }
    }

    /// Where it is written what the cord is plugged into.
    pub(super) fn plugged_at(self, survey: &Survey<'_>) -> Span {
        let from = self.cord(survey).and_then(|cord| cord.from.span());
        from.unwrap_or(survey.name(self.by).span)
    }

    /// The way from the inlet up to the supply: `psu1 ← cord W-1 ← … ← supply ups-a`.
    pub(super) fn way(self, survey: &Survey<'_>) -> String {
        let hops = survey
            .graph
            .upwards(self.by)
            .map(|hop| survey.describe(hop));
        hops.fold(self.name(survey).to_owned(), |way, hop| {
            format!("{way} ← {hop}")
        })
    }

    /// The feed that the definitions want the inlet on: the device's word before its model's.
    pub(super) fn wanted_feed<'a>(self, survey: &Survey<'a>) -> Option<&'a Name> {
        let (device, inlet) = survey.inlet(self.number)?;
        let own = survey.model.devices[device]
            .item
            .inlets
            .named(&inlet.name.value);
        let of_model = &inlet.item.feed;
        let feed = own.map_or(of_model, |(_, own)| own.item.feed.or_further(of_model));
        feed.known()
    }
}

/// The fed inlets of a device.
pub(super) fn fed_inlets(survey: &Survey<'_>, device: Id<Device>) -> Vec<FedInlet> {
    let all = survey.graph.links.inlets_of(device);
    let fed = all.filter_map(|(number, link)| {
        let by = survey.graph.feeding(link)?;
        Some(FedInlet { number, by })
    });
    fed.collect()
}

/// What goes when something is lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Loss<'a> {
    /// An element and everything below it.
    Element(ElementId),
    /// A feed: all supplies that make it.
    Feed(&'a Name),
}

impl Loss<'_> {
    /// Whether what hangs on `by` goes with it.
    pub(super) fn takes(self, survey: &Survey<'_>, by: ElementId) -> bool {
        match self {
            Self::Element(lost) => survey.graph.is_below(by, lost),
            Self::Feed(feed) => feed_of(survey, by) == Some(feed),
        }
    }

    /// What is lost, for the middle of a sentence.
    pub(super) fn describe(self, survey: &Survey<'_>) -> String {
        match self {
            Self::Element(lost) => survey.describe(lost),
            Self::Feed(feed) => format!("feed {feed}"),
        }
    }

    /// A name for it that stays.
    pub(super) fn name(self, survey: &Survey<'_>) -> Name {
        match self {
            Self::Element(lost) => survey.full_name(lost),
            Self::Feed(feed) => feed.clone(),
        }
    }
}

/// The feed that the supply of an element makes.
pub(super) fn feed_of<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Name> {
    let supply = survey.graph.supply_of(id)?;
    survey.model.supplies[supply].item.feed.known()
}

/// All that an inlet may be lost with, from its cord up to its feed.
pub(super) fn losses_of<'a>(
    survey: &Survey<'a>,
    by: ElementId,
) -> impl Iterator<Item = Loss<'a>> + 'a {
    let graph = survey.graph;
    let feed = feed_of(survey, by).map(Loss::Feed);
    graph.upwards(by).map(Loss::Element).chain(feed)
}

/// What the definitions count on for a device.
#[derive(Clone, Copy, Debug)]
pub(super) struct Claim {
    /// How many inlets its model has.
    pub inlets: usize,
    /// How many of them must stay fed; `None` where nobody says, or nobody can read what is said, which
    /// `supplies-insufficient` asks.
    pub needed: Option<usize>,
    /// Whether its inlets are meant for different feeds.
    pub feeds_differ: bool,
}

impl Claim {
    /// Reads the claim off the definitions.
    pub(super) fn of(survey: &Survey<'_>, device: Id<Device>, fed: &[FedInlet]) -> Self {
        let model = survey.graph.device_model(survey.model, device);
        let mut wanted = fed.iter().filter_map(|inlet| inlet.wanted_feed(survey));
        let first = wanted.next();
        Self {
            inlets: model.map_or(0, |model| model.inlets.len()),
            needed: model
                .and_then(|model| model.inlets_needed.written().ok()?)
                .map(|needed| needed.value.max(1) as usize),
            feeds_differ: wanted.any(|feed| Some(feed) != first),
        }
    }

    /// Whether the device is declared to live on while something is lost.
    pub(super) fn is_redundant(self) -> bool {
        self.feeds_differ || self.needed.is_some_and(|needed| needed < self.inlets)
    }
}

/// `psu1 and psu2`, `psu1, psu2 and psu3`.
pub(super) fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}
