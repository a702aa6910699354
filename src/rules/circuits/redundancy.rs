//! Which inlets of a device are fed, by what, and what its maker and its owner count on.

use crate::analysis::Analysis;
use crate::graph::{self, ElementId, ElementKind};
use crate::model::cords::Cord;
use crate::model::devices::Device;
use crate::model::value::{Id, Name, Named, Spanned};
use crate::source::Span;

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
    pub(super) fn name<'a>(self, analysis: &Analysis<'a>) -> &'a str {
        analysis
            .inlet(self.number)
            .map_or("", |(_, inlet)| inlet.name.value.as_str())
    }

    /// The cord at the inlet.
    pub(super) fn cord<'a>(self, analysis: &Analysis<'a>) -> Option<&'a Named<Cord>> {
        match analysis.graph.kind(self.by) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                Some(&analysis.model.cords[cord])
            }
            _ => None,
        }
    }

    /// Where it is written what the cord is plugged into.
    pub(super) fn plugged_at(self, analysis: &Analysis<'_>) -> Span {
        let from = self.cord(analysis).and_then(|cord| cord.from.span());
        from.unwrap_or(analysis.name(self.by).span)
    }

    /// The way from the inlet up to the supply: `psu1 ← cord W-1 ← … ← supply ups-a`.
    pub(super) fn way(self, analysis: &Analysis<'_>) -> String {
        let hops = analysis
            .graph
            .upwards(self.by)
            .map(|hop| analysis.describe(hop));
        hops.fold(self.name(analysis).to_owned(), |way, hop| {
            format!("{way} ← {hop}")
        })
    }

    /// The feed that the definitions want the inlet on: the device's word before its model's.
    pub(super) fn wanted_feed<'a>(self, analysis: &Analysis<'a>) -> Option<&'a Name> {
        let (device, inlet) = analysis.inlet(self.number)?;
        let own = analysis.model.devices[device]
            .item
            .inlets
            .named(&inlet.name.value);
        let of_model = &inlet.item.feed;
        let feed = own.map_or(of_model, |(_, own)| own.item.feed.or_further(of_model));
        feed.known()
    }
}

/// The fed inlets of a device.
pub(super) fn fed_inlets(analysis: &Analysis<'_>, device: Id<Device>) -> Vec<FedInlet> {
    let all = analysis.graph.links.inlets_of(device);
    let fed = all.filter_map(|(number, link)| {
        let by = analysis.graph.feeding(link)?;
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
    /// A transfer switch itself, by what feeds it.
    Switch(ElementId),
}

impl Loss<'_> {
    /// Whether what hangs on `by` goes with it.
    pub(super) fn takes(self, analysis: &Analysis<'_>, by: ElementId) -> bool {
        match self {
            Self::Element(lost) => analysis.graph.is_dead_after(by, graph::Loss::Of(lost)),
            Self::Feed(feed) => {
                feed_of(analysis, by) == Some(feed) && goes_with_its_feed(analysis, by)
            }
            Self::Switch(on) => analysis.graph.is_dead_after(by, graph::Loss::Switch(on)),
        }
    }

    /// Whether it stands ahead of the supply that an inlet hangs on.
    pub(super) fn is_ahead_of(self, analysis: &Analysis<'_>, by: ElementId) -> bool {
        match self {
            Self::Element(lost) => !analysis.graph.is_below(by, lost),
            Self::Feed(_) | Self::Switch(_) => false,
        }
    }

    /// What is lost, for the middle of a sentence.
    pub(super) fn describe(self, analysis: &Analysis<'_>) -> String {
        match self {
            Self::Element(lost) => analysis.describe(lost),
            Self::Feed(feed) => format!("feed {feed}"),
            Self::Switch(on) => analysis.describe_loss(graph::Loss::Switch(on)),
        }
    }

    /// A name for it that stays.
    pub(super) fn name(self, analysis: &Analysis<'_>) -> Name {
        match self {
            Self::Element(lost) => analysis.full_name(lost),
            Self::Feed(feed) => feed.clone(),
            Self::Switch(on) => {
                let switch = self.switch(analysis);
                switch.map_or_else(|| analysis.full_name(on), |name| name.value.clone())
            }
        }
    }

    /// The transfer switch that is lost.
    pub(super) fn switch<'m>(self, analysis: &Analysis<'m>) -> Option<&'m Spanned<Name>> {
        let Self::Switch(on) = self else {
            return None;
        };
        let at = analysis.graph.switch_on(on)?;
        let switch = &analysis.graph.switches()[at];
        Some(&analysis.model.devices[switch.device].name)
    }
}

/// The feed that the supply of an element makes.
pub(super) fn feed_of<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<&'a Name> {
    let supply = analysis.graph.supply_of(id)?;
    analysis.model.supplies[supply].item.feed.known()
}

/// All that an inlet may be lost with, from its cord up to its feed.
pub(super) fn losses_of<'a>(
    analysis: &Analysis<'a>,
    by: ElementId,
) -> impl Iterator<Item = Loss<'a>> + 'a {
    let analysis = *analysis;
    let graph = analysis.graph;
    let feed = feed_of(&analysis, by).map(Loss::Feed);
    let switches = graph.switches_above(by);
    let switches = switches.map(|at| Loss::Switch(graph.switches()[at].on));
    let hops = graph.upwards(by).map(Loss::Element);
    let ahead = graph.sources_above(by).map(Loss::Element);
    let all = hops.chain(switches).chain(feed).chain(ahead);
    // What a transfer switch saves is not lost.
    all.filter(move |loss| graph.switches().is_empty() || loss.takes(&analysis, by))
}

/// Whether an inlet is dead without the feed of its supply: a transfer switch may save it.
fn goes_with_its_feed(analysis: &Analysis<'_>, by: ElementId) -> bool {
    let graph = analysis.graph;
    let supply = graph.supply_of(by).and_then(|supply| graph.supply(supply));
    let alone = supply.map(graph::Loss::Of);
    let lost = graph.feed_of(by).or(alone);
    lost.is_some_and(|lost| graph.is_dead_after(by, lost))
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
    pub(super) fn of(analysis: &Analysis<'_>, device: Id<Device>, fed: &[FedInlet]) -> Self {
        let model = analysis.graph.device_model(analysis.model, device);
        let mut wanted = fed.iter().filter_map(|inlet| inlet.wanted_feed(analysis));
        let first = wanted.next();
        // A transfer switch that stands between two ways does with one of them.
        let is_silent = model.is_some_and(|model| model.inlets_needed.is_absent());
        let is_switch = analysis.graph.links.switches.contains_key(&device);
        let by_nature = (is_silent && is_switch).then_some(1);
        Self {
            inlets: model.map_or(0, |model| model.inlets.len()),
            needed: model
                .and_then(|model| model.inlets_needed.written().ok()?)
                .map(|needed| needed.value.max(1) as usize)
                .or(by_nature),
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
