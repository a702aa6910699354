//! What a plan is for in one rack, and what it may use there.

use rustc_hash::{FxHashMap, FxHashSet};

use crate::analysis::Analysis;
use crate::graph::{Carrier, ElementId, ElementKind, OutletId, Receiver};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::pdus::Pdu;
use crate::model::places::Rack;
use crate::model::value::{Id, Name};
use crate::quantity::{InUnits, Length};
use crate::tables::Practice;
use crate::tables::couplers::Coupler;

use super::ends::{Ends, ends};
use super::problem::{Bank, Line, Outlet, Problem, Want, Way};
use super::wanted::Wanted;

/// An outlet that nothing is plugged into.
#[derive(Clone, Debug)]
pub(super) struct FreeOutlet<'a> {
    pub id: OutletId,
    pub pdu: Id<Pdu>,
    pub coupler: &'a Coupler,
    pub feed: Feed<'a>,
    /// Its place among the outlets of its bank.
    pub in_bank: u32,
}

/// What keeps two ways of the power apart: the feed of a supply, or the supply where it is of no feed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Feed<'a>(pub &'a Name);

/// The inlets of a rack that want a cord, its free outlets, and both as numbers.
#[derive(Debug)]
pub(super) struct RackPlan<'a> {
    pub rack: Id<Rack>,
    pub wanted: Vec<Wanted<'a>>,
    pub outlets: Vec<FreeOutlet<'a>>,
    /// The lines of the supply that each bank is on.
    pub bank_lines: Vec<Vec<(ElementId, Pole)>>,
    /// The ends that a cord would have, by the couplers of outlet and inlet.
    pub problem: Problem,
}

/// The strips of a rack with their free outlets.
pub(super) struct Strips<'a> {
    pub outlets: Vec<FreeOutlet<'a>>,
    banks: Vec<Bank>,
    bank_lines: Vec<Vec<(ElementId, Pole)>>,
    lines: Vec<Line>,
    spots: Vec<Outlet>,
}

/// The feed that an element hangs on.
pub(super) fn feed_of<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<Feed<'a>> {
    let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
    Some(Feed(supply.feed.known().unwrap_or(&supply.name.value)))
}

impl<'a> Strips<'a> {
    /// The strips that stand in a rack and hang on a supply.
    pub fn of(analysis: &Analysis<'a>, pdus: &[Id<Pdu>], taken: &FxHashSet<OutletId>) -> Self {
        let mut strips = Self {
            outlets: Vec::new(),
            banks: Vec::new(),
            bank_lines: Vec::new(),
            lines: Vec::new(),
            spots: Vec::new(),
        };
        for (strip, pdu) in pdus.iter().enumerate() {
            strips.add(analysis, strip, *pdu, taken);
        }
        strips
    }

    fn add(
        &mut self,
        analysis: &Analysis<'a>,
        strip: usize,
        pdu: Id<Pdu>,
        taken: &FxHashSet<OutletId>,
    ) -> Option<()> {
        let id = analysis.graph.pdu(pdu)?;
        let feed = feed_of(analysis, id)?;
        let model = analysis.graph.pdu_model(analysis.model, pdu)?;
        let table = analysis.graph.links.outlet_table(pdu)?;
        let lines = self.add_lines(analysis, strip, id);
        let banks = self.add_banks(analysis, id, &lines);
        for number in 0..table.len() as u32 {
            let outlet = OutletId {
                on: Carrier::Pdu(pdu),
                number,
            };
            let own = table.outlet(model, number);
            let (Some(coupler), false) = (own.coupler.row(), taken.contains(&outlet)) else {
                continue;
            };
            let Some(bank) = banks.get(&table.slot(number).bank) else {
                continue;
            };
            self.outlets.push(FreeOutlet {
                id: outlet,
                pdu,
                coupler,
                feed,
                in_bank: table.slot(number).outlet,
            });
            self.spots.push(Outlet {
                bank: *bank,
                strip,
                place: number,
            });
        }
        Some(())
    }

    fn add_lines(
        &mut self,
        analysis: &Analysis<'_>,
        strip: usize,
        id: ElementId,
    ) -> FxHashMap<Pole, usize> {
        let held = analysis.held(id);
        let poles = analysis.graph.poles(id).filter(|pole| *pole != Pole::N);
        let lines = poles.map(|pole| {
            let carries = analysis.flows.worst_on(analysis.graph, id, pole);
            self.lines.push(Line {
                strip,
                carries: carries.map_or(0.0, |worst| rounded(worst.current.in_amperes())),
                limit: in_amperes(held.on(pole).limit.map(|limit| limit.current)),
            });
            (pole, self.lines.len() - 1)
        });
        lines.collect()
    }

    /// The banks of a strip, by their places in the model.
    fn add_banks(
        &mut self,
        analysis: &Analysis<'_>,
        id: ElementId,
        lines: &FxHashMap<Pole, usize>,
    ) -> FxHashMap<u32, usize> {
        let mut banks = FxHashMap::default();
        for bank in analysis.graph.children(id) {
            let ElementKind::Bank(_, number) = analysis.graph.kind(bank) else {
                continue;
            };
            let Some(volts) = analysis.lowest_voltage(bank) else {
                continue;
            };
            let worst = analysis.flows.worst(analysis.graph, bank);
            let poles = analysis.graph.poles(bank);
            let supply = analysis.graph.upwards(bank).last();
            let on_supply = analysis.graph.poles(bank).filter(|pole| *pole != Pole::N);
            let on_supply = on_supply.filter_map(|pole| Some((supply?, pole)));
            self.bank_lines.push(on_supply.collect());
            self.banks.push(Bank {
                volts: volts.in_volts() * (1.0 - ON_THE_WAY),
                carries: worst.map_or(0.0, |worst| rounded(worst.current.in_amperes())),
                limit: in_amperes(analysis.held(bank).lines().limit.map(|limit| limit.current)),
                lines: poles.filter_map(|pole| lines.get(&pole).copied()).collect(),
            });
            banks.insert(number, self.banks.len() - 1);
        }
        banks
    }
}

/// What is lost on the way at most (common practice): a search that reckons with a little more than will flow meets
/// the limits that the judgement holds it to.
const ON_THE_WAY: f64 = 0.02;

/// To the microampere: the last digits of a square root are no reason for another plan.
fn rounded(amperes: f64) -> f64 {
    (amperes * 1e6).round() / 1e6
}

fn in_amperes(limit: Option<crate::quantity::Current>) -> f64 {
    limit.map_or(f64::INFINITY, |limit| rounded(limit.in_amperes()))
}

/// The lengths that a plan may choose from, and by how much a cord may be longer than its way.
#[derive(Clone, Debug)]
pub(super) struct Stock {
    /// The shortest first.
    pub lengths: Vec<Length>,
    /// What the site allows; none where it does not say.
    pub surplus: Option<Length>,
    /// By how much a cord may come shorter than it is ordered.
    pub short: Length,
}

/// Lengths that a plan tells apart at most, a bit for each.
pub(super) const MOST_LENGTHS: usize = u64::BITS as usize;

impl Stock {
    /// The lengths for a way of so many metres among those that are `made`: where all are too long, the shortest.
    fn reach(&self, way: Length, made: u64) -> Option<u64> {
        // A hair, so that a cord that just reaches does.
        let reaching = made & self.those(|length| length >= (way + self.short) * (1.0 - 1e-9));
        let longest = self.surplus.map(|surplus| way + surplus);
        let short = self.those(|length| longest.is_none_or(|longest| length <= longest));
        let shortest = 1_u64.checked_shl(reaching.trailing_zeros())?;
        Some(match reaching & short {
            0 => shortest,
            those => those,
        })
    }

    /// The lengths that are as asked, a bit for each.
    pub fn those(&self, is_meant: impl Fn(Length) -> bool) -> u64 {
        let lengths = self.lengths.iter().take(MOST_LENGTHS).enumerate();
        let those = lengths.filter(|(_, length)| is_meant(**length));
        those.fold(0, |all, (number, _)| all | 1 << number)
    }
}

impl<'a> RackPlan<'a> {
    /// The plan's task in a rack.
    pub fn of(
        analysis: &Analysis<'a>,
        rack: Id<Rack>,
        wanted: Vec<Wanted<'a>>,
        strips: Strips<'a>,
        (stock, practice): (&Stock, Practice),
        made: impl Fn(&Ends) -> u64,
    ) -> Self {
        let mut known: FxHashMap<(&str, &str), Option<(Ends, u64)>> = FxHashMap::default();
        let mut ways = Vec::new();
        for want in &wanted {
            let own = strips.outlets.iter().map(|outlet| {
                let couplers = (outlet.coupler.name.as_str(), want.coupler.name.as_str());
                let ends = known.entry(couplers).or_insert_with(|| {
                    let ends = ends(outlet.coupler, want.coupler, practice)?;
                    let made = made(&ends);
                    Some((ends, made))
                });
                let ends = ends.as_ref().filter(|_| want.may_hang_on(outlet.feed));
                let Some((ends, made)) = ends else {
                    return Way::None;
                };
                let route = analysis.route_from(outlet.id, Receiver::Inlet(want.inlet));
                let route = route.and_then(Result::ok);
                match route.and_then(|route| stock.reach(route.length(), *made)) {
                    Some(lengths) => Way::Some {
                        lengths,
                        is_larger: ends.is_larger,
                    },
                    None => Way::None,
                }
            });
            ways.push(own.collect());
        }
        let mut devices: Vec<Id<Device>> = wanted.iter().map(|want| want.device).collect();
        devices.dedup();
        let number = |device| devices.iter().position(|own| *own == device).unwrap_or(0);
        let wants = wanted.iter().map(|want| Want {
            draws: want.draws,
            device: number(want.device),
        });
        let problem = Problem {
            wants: wants.collect(),
            banks: strips.banks,
            lines: strips.lines,
            outlets: strips.spots,
            ways,
            lengths: stock
                .lengths
                .iter()
                .map(|length| length.in_metres())
                .collect(),
        };
        Self {
            rack,
            wanted,
            outlets: strips.outlets,
            bank_lines: strips.bank_lines,
            problem,
        }
    }
}
