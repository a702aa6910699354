//! Outlets of equipment: they stand behind whatever protects the inlet that feeds them, unless the equipment has a
//! breaker or fuse of its own ahead of them.

use crate::analysis::{Analysis, Link, exceeds, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Finding, Measure};
use crate::graph::{Carrier, ElementId, OutletId};
use crate::model::devices::{Device, DeviceModel};
use crate::model::pdus::Outlet;
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Current, Quantity, amperes};
use crate::rules::Draft;
use crate::rules::circuits::national::Unsettled;
use crate::rules::told_once::ToldOnce;
use crate::tables::Practice;

use super::RULE;
use super::verdict::{Verdict, judge, rule_basis};

/// What is told of the outlets of each model, however many devices are of it.
#[derive(Default)]
pub(super) struct PassedOn(ToldOnce<(Id<DeviceModel>, u64)>);

/// The breakers of ordinary circuits, behind which its maker answers for what equipment passes on (common practice).
fn foreseen(practice: Practice) -> Current {
    amperes(match practice {
        Practice::Iec => 16.0,
        Practice::Nec => 20.0,
    })
}

/// An outlet of a device, and what stands ahead of it.
struct Ahead<'a> {
    outlet: &'a Named<Outlet>,
    number: u32,
    device: &'a Named<Device>,
    /// What feeds its inlet.
    by: ElementId,
    breaker: &'a Spanned<Current>,
    /// Whether that is the equipment's own.
    is_own: bool,
}

impl PassedOn {
    /// Looks at the outlets of a device, up to the first that nothing protects.
    pub fn look_at(&mut self, analysis: &Analysis<'_>, practice: Practice, device: Id<Device>) {
        let graph = analysis.graph;
        let Some(of) = graph.links.device_models[device.index()] else {
            return;
        };
        let model = &analysis.model.device_models[of];
        let mut last = None;
        for (number, (outlet, _)) in model.outlets.iter().enumerate() {
            if last.replace(outlet.body) == Some(outlet.body) {
                continue;
            }
            let number = number as u32;
            let Some(by) = graph.end_behind(device, number) else {
                continue;
            };
            let own = model.outlets.breaker_of(number as usize).written();
            let (own, is_unread) = (own.ok().flatten(), own.is_err());
            let above = || {
                let mut hops = graph.upwards(by);
                hops.find_map(|hop| analysis.breaker_rating(hop).or(analysis.plug_fuse(hop)))
            };
            let Some(breaker) = own.or_else(above) else {
                continue;
            };
            let ahead = Ahead {
                outlet,
                number,
                device: &analysis.model.devices[device],
                by,
                breaker,
                is_own: own.is_some(),
            };
            if own.is_none() && !is_unread && !exceeds(breaker.value, foreseen(practice)) {
                continue;
            }
            let verdict = judge(analysis, practice, outlet, breaker);
            let alike = (of, breaker.value.value.to_bits());
            let draft = match verdict {
                Verdict::Protected => continue,
                Verdict::Bare { .. } if !ahead.is_own => {
                    ahead.not_on_record(analysis, practice, (device, is_unread))
                }
                Verdict::Bare {
                    link,
                    rated,
                    allowed,
                    basis,
                    level,
                } => ahead
                    .bare(analysis, &link, (rated, allowed), basis)
                    .level(level),
                Verdict::Unknown(_) if !ahead.is_own => {
                    ahead.not_on_record(analysis, practice, (device, is_unread))
                }
                Verdict::Unknown(link) => ahead.rating_missing(practice, &link),
                Verdict::Unsettled {
                    rated,
                    coupler,
                    perhaps,
                } => {
                    let open = Unsettled {
                        what: &format!("{} ({})", ahead.name(), coupler.name),
                        coupler,
                        at: field_or_name(&outlet.coupler, &outlet.name),
                        rated: &rated,
                        device: breaker.value,
                        perhaps,
                    };
                    open.draft(analysis, &RULE)
                }
            };
            let name = ahead.device.name.value.clone();
            let told = self.0.tell(alike, || draft.about([name.clone()]));
            told.suffered_by([name]);
            return;
        }
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

impl Ahead<'_> {
    fn name(&self) -> String {
        let (outlet, device) = (&self.outlet.name.value, &self.device.name.value);
        format!("outlet {outlet} of device {device}")
    }

    /// A breaker of the equipment itself that is too large for the outlet.
    fn bare(
        &self,
        analysis: &Analysis<'_>,
        link: &Link,
        (rated, allowed): (Current, Current),
        basis: Vec<Citation>,
    ) -> Draft {
        let (rated, most) = (rated.show(), allowed.show());
        let (name, what, ahead) = (self.name(), &link.what, self.breaker.value.show());
        let headline = format!(
            "{name} ({what}, {rated}) can burn, and burn whoever touches it, before anything trips: its breaker or fuse is {ahead}, and {most} is the most allowed"
        );
        let first = basis.first().cloned();
        let first = first.unwrap_or_else(|| Citation::marked("as marked"));
        Draft::new(&RULE, headline, self.breaker.span, format!("{ahead}, ahead of {what}"), first)
            .also(basis)
            .above([analysis.hop(self.by)])
            .measured(Measure::above(self.breaker.value, allowed))
            .advice("Compare with the nameplate what is written here. If it is so, take the equipment out of service and ask its maker.")
    }

    /// Behind a breaker that is too large, and none of the equipment's own on record.
    fn not_on_record(
        &self,
        analysis: &Analysis<'_>,
        practice: Practice,
        (device, is_unread): (Id<Device>, bool),
    ) -> Draft {
        let outlet = OutletId {
            on: Carrier::Device(device),
            number: self.number,
        };
        let model = analysis.graph.device_model(analysis.model, device);
        let field = model.map(|model| model.outlets.breaker_of(self.number as usize));
        let fact = analysis.outlet_fact(outlet, "breaker", field);
        let (name, ahead) = (self.name(), self.breaker.value.show());
        let lack = if is_unread {
            "Open: the rating of the breaker or fuse that the equipment has ahead of it cannot be read"
        } else {
            "Missing: the breaker or fuse that the equipment has ahead of it (data sheet)"
        };
        let headline = format!("is {name} protected? {lack}");
        let breaker = place(
            self.breaker.span,
            format!("{ahead} breaker, the nearest one on record"),
        );
        let note = format!("not decided: the nearest breaker on record is {ahead}");
        Draft::new(&RULE, headline, fact.span, note, rule_basis(practice))
            .above([breaker, analysis.hop(self.by)])
            .kind("breaker-unsaid")
            .advice(format!("Read on the nameplate or data sheet what protects the outlet, and write it as its `breaker`. If nothing does, {ahead} is too much ahead of it: feed the equipment from a smaller circuit."))
            .wants([fact])
    }

    fn rating_missing(&self, practice: Practice, link: &Link) -> Draft {
        let (name, what) = (self.name(), &link.what);
        let headline =
            format!("is {name} ({what}) protected? Missing: its rated current (marked on it)");
        let note = "not decided: its rated current is missing";
        Draft::new(&RULE, headline, link.span, note, rule_basis(practice))
            .kind("rating-missing")
            .advice("Read the rated current off the outlet and write it down as its `rating`.")
            .open()
    }
}
