//! The air at a coupler, the air that its rating counts on, and what it may carry in hotter air.

mod declared;

use crate::citation::{Citation, Confidence};
use crate::graph::{Carrier, ElementId};
use crate::model::places::Zone;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Ratio, Temperature, degrees_celsius, percent};
use crate::tables::couplers::{Coupler, Family};

use super::Analysis;
use super::halves::{Half, Owner, Pair, pairs};

pub(crate) use declared::{is_answered_for, unread_answer};

/// The highest mean over a day of the air that IEC 60320 ratings count on.
pub(crate) fn hottest_mean() -> (Temperature, Citation) {
    (degrees_celsius(35.0), appliance_couplers())
}

/// The hottest air in which the ratings of a coupler hold at all.
pub(crate) fn hottest(coupler: &Coupler) -> (Temperature, Citation) {
    if let Some(own) = coupler
        .own_facts()
        .and_then(|facts| facts.hottest_air.as_ref())
    {
        return (own.value, own.citation.clone());
    }
    const UNKNOWN: &str = "edition not established";
    let source = match coupler.family {
        Family::Iec60320 => appliance_couplers(),
        Family::Iec60309 => Citation::new("IEC 60309-1", "scope", UNKNOWN, Confidence::TwoCopies),
        Family::National => Citation::new("IEC 60884-1", "scope", "2022", Confidence::TwoCopies),
        Family::Own | Family::Nema => {
            Citation::common_practice("ratings hold in air up to 40 °C where nothing else is said")
        }
    };
    (degrees_celsius(40.0), source)
}

fn appliance_couplers() -> Citation {
    Citation::new("IEC 60320-1", "clause 1", "2021", Confidence::TwoCopies)
}

/// The share of its rating that a coupler may carry in hotter air. No standard was found that gives
/// a factor.
pub(crate) fn share_in_hot_air() -> (Ratio, Citation) {
    let practice = Citation::common_practice("a coupler in hot air keeps a fifth in reserve");
    (percent(80.0), practice)
}

/// A half in hot air, or in air that nobody gives.
#[derive(Clone, Copy)]
pub(crate) struct Hot<'a> {
    /// The half.
    pub half: Half<'a>,
    /// The other half of the pair, where that is a plug.
    pub plug: Option<Half<'a>>,
    /// The zone whose air it is; `None` where it is the site's.
    pub zone: Option<&'a Named<Zone>>,
    /// The air, above the mean that ratings count on; `None` if nobody says.
    pub air: Option<Spanned<Temperature>>,
}

/// The halves at an element that are in hot air, or in air that nobody gives.
pub(crate) fn in_hot_air<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> impl Iterator<Item = Hot<'a>> + use<'a> {
    let analysis = *analysis;
    let (mean, _) = hottest_mean();
    pairs(&analysis, id).flat_map(move |pair| {
        pair.halves().filter_map(move |half| {
            let zone = zone_of_air(&analysis, &pair, &half);
            let air = analysis.air_in(zone);
            let is_cool = air.is_some_and(|air| air.value <= mean);
            (!is_cool).then_some(Hot {
                half,
                plug: pair.pins,
                zone,
                air,
            })
        })
    })
}

/// The zone whose air is at a half. At the receptacle of a circuit it is the air of the site, as along
/// its wiring, or where the site says nothing of it, that of what is plugged in; a strip's plug is judged
/// with its strip.
fn zone_of_air<'a>(
    analysis: &Analysis<'a>,
    pair: &Pair<'_>,
    half: &Half<'_>,
) -> Option<&'a Named<Zone>> {
    let is_of_strip = matches!(half.owner, Owner::PduPlug(_));
    let has_air = !analysis.model.site.ambient.is_absent();
    let is_in_the_sites = has_air && !is_of_strip && pair.is_at_receptacle(analysis);
    pair.zone(analysis, half).filter(|_| !is_in_the_sites)
}

/// What a half may carry in its air.
#[derive(Clone, Copy, Debug)]
pub(crate) enum InHotAir<'a> {
    /// A share of its rating.
    Share(Current),
    /// What its maker declares for this air.
    Declared(&'a Spanned<Current>),
}

impl InHotAir<'_> {
    /// The most that it may carry.
    pub fn current(self) -> Current {
        match self {
            Self::Share(current) => current,
            Self::Declared(current) => current.value,
        }
    }
}

impl<'a> Hot<'a> {
    /// The rating of the half, and what of it may be used in its air. Only where no plain rating holds
    /// does the maker of a cord or a receptacle answer; a share of the rating was found for no other family than IEC 60320.
    pub fn limit(&self, analysis: &Analysis<'a>) -> Option<(Current, InHotAir<'a>)> {
        let coupler = &*self.half.coupler.value;
        let plug = self.plug.map(|plug| &*plug.coupler.value);
        let rating =
            analysis.coupler_rating((coupler, self.half.owner.side()), plug, self.half.mark);
        let beyond = self.air.filter(|air| air.value > hottest(coupler).0);
        let declared = beyond.and_then(|air| declared::of_part(analysis, &self.half, air.value));
        match declared {
            Some(declared) => Some((rating.current()?, InHotAir::Declared(declared))),
            None if beyond.is_some() && unread_answer(analysis, &self.half).is_some() => None,
            None if coupler.family == Family::Iec60320 => {
                let (share, _) = share_in_hot_air();
                let rating = rating.current()?;
                Some((rating, InHotAir::Share(rating * share)))
            }
            None => None,
        }
    }

    /// Whether no rating of the half holds in its air, and nobody answers for it. What is on a device is the
    /// affair of the device, whose maker states the air that the whole of it bears.
    pub fn is_beyond_ratings(&self, analysis: &Analysis<'a>) -> bool {
        let coupler = &*self.half.coupler.value;
        let beyond = self.air.filter(|air| air.value > hottest(coupler).0);
        beyond.is_some_and(|air| !is_answered_for(analysis, &self.half, air.value))
            && !is_of_device(self.half.owner)
    }
}

fn is_of_device(owner: Owner) -> bool {
    match owner {
        Owner::Inlet(_) => true,
        Owner::Outlet(outlet) => matches!(outlet.on, Carrier::Device(_)),
        _ => false,
    }
}
