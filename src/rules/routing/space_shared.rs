//! `space-shared`: do two devices take the same units of a rack?

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::devices::Device;
use crate::model::places::Rack;
use crate::model::value::{Id, Name};
use crate::quantity::{Quantity, RackUnits};
use crate::rules::{Draft, rule};
use crate::source::Span;

rule!(
    "space-shared",
    Routing,
    Note,
    "Two devices in the same rack units: if one of them is elsewhere, the lengths of its cords are reckoned from the wrong place."
);

/// A device in its rack; positions in half units, the head not taken any more.
struct Standing<'a> {
    rack: Id<Rack>,
    foot: u16,
    head: u16,
    name: &'a Name,
    at: Span,
    height: RackUnits,
}

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let devices = analysis.model.devices.iter();
    let mut standing: Vec<Standing<'_>> = devices
        .filter_map(|(device, _)| Standing::of(analysis, device))
        .collect();
    standing.sort_unstable_by_key(|device| (device.rack, device.foot, device.name));
    let mut rest = standing.as_slice();
    while let [first, others @ ..] = rest {
        let mut head = first.head;
        let shared = others.iter().take_while(|next| {
            let is_shared = next.rack == first.rack && next.foot < head;
            head = head.max(next.head);
            is_shared
        });
        let (together, after) = rest.split_at(1 + shared.count());
        if together.len() > 1 {
            findings.push(shared_by(analysis, together));
        }
        rest = after;
    }
}

impl<'a> Standing<'a> {
    /// `None` where the place is not known. A model without a height counts with one unit, which it surely takes.
    fn of(analysis: &Analysis<'a>, device: Id<Device>) -> Option<Self> {
        let item = &analysis.model.devices[device];
        let at = item.at.given()?;
        let model = analysis.graph.device_model(analysis.model, device);
        let height = model.and_then(|model| model.height.known().copied());
        let height = height.unwrap_or(RackUnits::new(1));
        Some(Self {
            rack: analysis.graph.links.device_racks[device.index()]?,
            foot: at.value.halves(),
            head: at.value.halves().saturating_add(height.halves()),
            name: &item.name.value,
            at: at.span,
            height,
        })
    }

    /// `rs1 takes 2 U from U30`.
    fn describe(&self) -> String {
        let foot = RackUnits::from_halves(self.foot).show_position();
        format!("{} takes {} from {foot}", self.name, self.height.show())
    }

    fn place(&self) -> Place {
        place(self.at, self.describe())
    }
}

/// Devices that a finding points at, besides the main one.
const MOST_SHOWN: usize = 4;

fn shared_by(analysis: &Analysis<'_>, together: &[Standing<'_>]) -> Finding {
    let (upper, lower) = (
        &together[together.len() - 1],
        &together[..together.len() - 1],
    );
    let shown = &lower[lower.len().saturating_sub(MOST_SHOWN)..];
    let rack = &analysis.model.racks[upper.rack].name.value;
    let others = match lower {
        [one] => format!("device {}", one.name),
        _ => format!("{} other devices", lower.len()),
    };
    let takes = if lower.len() == 1 { "takes" } else { "take" };
    let headline = format!(
        "device {} takes units of rack {rack} that {others} {takes} as well. Unless they are side by side or back \
         to back, one is elsewhere, and the lengths of its cords are wrong",
        upper.name
    );
    let basis = Citation::common_practice("one device in a rack unit");
    Draft::new(&RULE, headline, upper.at, upper.describe(), basis)
        .above(shown.iter().map(Standing::place))
        .advice(
            "Look into the rack. Correct `at` of the device that stands elsewhere, or the `height` of its model; \
             where they do share the units, record it as a departure.",
        )
        .about([upper].into_iter().chain(shown).map(|device| device.name.clone()))
        .finish()
}
