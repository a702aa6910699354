//! Inlets that want a cord: which, on which feed, and what they draw at worst.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::graph::InletLink;
use crate::model::devices::{Device, Sharing};
use crate::model::value::{Field, Id};
use crate::quantity::InUnits;
use crate::tables::Practice;
use crate::tables::couplers::Coupler;

use super::rack::{Feed, feed_of};

/// An inlet without a cord.
#[derive(Clone, Debug)]
pub(super) struct Wanted<'a> {
    /// Its number among all inlets.
    pub inlet: u32,
    pub device: Id<Device>,
    pub coupler: &'a Coupler,
    /// The feed that it is to hang on; `None` where none of the rack will do.
    pub feed: Option<Feed<'a>>,
    /// Volt-amperes at worst, over the normal state and every single loss.
    pub draws: f64,
}

impl<'a> Wanted<'a> {
    /// Whether a cord of it may hang on a feed.
    pub fn may_hang_on(&self, feed: Feed<'_>) -> bool {
        self.feed.is_some_and(|own| own.0 == feed.0)
    }
}

/// The inlets of a device that have no cord and want one, each on the feed that keeps it furthest from the
/// others, or where it has but one, on the one that is `loaded` least so far; `feeds` are those of its rack, in the order in which the site names them, and `serves` says which have a
/// free outlet for an inlet.
pub(super) fn wanted<'a>(
    analysis: &Analysis<'a>,
    device: Id<Device>,
    feeds: &[Feed<'a>],
    serves: impl Fn(Feed<'a>, &Coupler) -> bool,
    (practice, loaded): (Practice, &mut BTreeMap<&'a str, f64>),
) -> Vec<Wanted<'a>> {
    let mut on_feed: BTreeMap<&str, u32> = BTreeMap::new();
    let inlets: Vec<(u32, &InletLink)> = analysis.graph.links.inlets_of(device).collect();
    for (_, inlet) in &inlets {
        let feed = analysis
            .graph
            .feeding(inlet)
            .and_then(|id| feed_of(analysis, id));
        feed.into_iter()
            .for_each(|feed| *on_feed.entry(feed.0).or_default() += 1);
    }
    let is_bare = |inlet: &InletLink| inlet.fed_by.is_none() && analysis.disuse(inlet).is_absent();
    let bare = inlets.iter().filter(|(_, inlet)| is_bare(inlet));
    let mut all = Vec::new();
    for (number, inlet) in bare {
        let Some((_, own)) = analysis.inlet(*number) else {
            continue;
        };
        let Some(coupler) = own.coupler.row() else {
            continue;
        };
        let feed = match analysis.demanded_feed(inlet) {
            Field::Given(wanted) => feeds.iter().find(|feed| *feed.0 == wanted.value),
            Field::Absent => feeds.iter().min_by_key(|feed| {
                let others = on_feed.get(feed.0.as_str()).copied();
                // What has a cord on each feed has them in the order of the feeds, as people look for them; what is
                // loaded alike to the volt-ampere, too.
                let load = loaded.get(feed.0.as_str()).map(|load| *load as u64);
                let load = load.filter(|_| inlets.len() == 1);
                (!serves(**feed, coupler), others, load)
            }),
            Field::Unreadable(_) => None,
        };
        feed.into_iter()
            .for_each(|feed| *on_feed.entry(feed.0).or_default() += 1);
        all.push(Wanted {
            inlet: *number,
            device,
            coupler,
            feed: feed.copied(),
            draws: 0.0,
        });
    }
    let whole = whole_load(analysis, device, practice);
    for want in &mut all {
        want.draws = whole * worst_share(analysis, device, want.feed, &on_feed);
        if let Some(feed) = want.feed {
            *loaded.entry(feed.0).or_default() += want.draws;
        }
    }
    all
}

/// Volt-amperes of a device. Of one whose load nobody knows what its inlets bear, so that room is left for it.
fn whole_load(analysis: &Analysis<'_>, device: Id<Device>, practice: Practice) -> f64 {
    /// From memory, verify: the highest of the usual mains voltages, at which couplers are used most (IEC 60038).
    const VOLTS: f64 = 240.0;
    let load = analysis.flows.loads.device(device);
    if load.basis.is_ok() {
        // To the thousandth: no plan turns on the last digit of a square root.
        return (load.power.norm() * 1e3).round() / 1e3;
    }
    let inlets = analysis.graph.links.inlets_of(device);
    let rated = inlets.filter_map(|(number, _)| {
        let (_, own) = analysis.inlet(number)?;
        let rated = own.coupler.row()?.rated(practice).current.as_ref()?;
        Some(rated.value.in_amperes() * VOLTS)
    });
    rated.fold(0.0, f64::max)
}

/// The share of a device's load on one of its inlets at worst: with the feed lost that has most of the others, or
/// with one inlet less, as long as the device then still runs.
fn worst_share(
    analysis: &Analysis<'_>,
    device: Id<Device>,
    feed: Option<Feed<'_>>,
    on_feed: &BTreeMap<&str, u32>,
) -> f64 {
    let model = analysis.graph.device_model(analysis.model, device);
    let sharing = model.map(|model| &model.sharing);
    let is_standby = |sharing: &Field<Sharing>| sharing.known() != Some(&Sharing::Equal);
    if sharing.is_some_and(|sharing| !sharing.is_absent() && is_standby(sharing)) {
        return 1.0;
    }
    let all: u32 = on_feed.values().sum();
    let others = on_feed.iter();
    let others = others.filter(|(name, _)| feed.is_none_or(|own| own.0 != **name));
    let losses = others
        .map(|(_, count)| *count)
        .chain([u32::from(all > 1), 0]);
    let needed = analysis.flows.loads.device(device).needed.max(1);
    let left = losses.map(|lost| all.saturating_sub(lost));
    let fewest = left.filter(|left| *left >= needed.min(all)).min();
    1.0 / f64::from(fewest.unwrap_or(all).max(1))
}
