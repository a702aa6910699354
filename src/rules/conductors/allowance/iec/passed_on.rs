//! What may be plugged into the outlets of a device that passes power on: it flows through the cord as well.

use crate::analysis::Analysis;
use crate::citation::{Citation, Confidence};
use crate::graph::{Carrier, OutletId};
use crate::model::pdus::Outlet;
use crate::quantity::{Current, InUnits, amperes, show_rounded};
use crate::rules::conductors::allowance::{Allowance, refused};
use crate::rules::conductors::gaps::Gap;
use crate::tables::Practice;

/// What may be drawn from the outlets of devices, whatever is plugged in now.
#[derive(Default)]
pub(super) struct PassedOn {
    /// All of it together: by the mark beside each outlet, or the sheet of its coupler.
    pub most: Current,
    /// The first outlet of which no mark is known.
    unmarked: Option<OutletId>,
}

impl PassedOn {
    /// What flows through these inlets for it. An outlet that may be connected to any inlet counts for each.
    pub fn of(analysis: &Analysis<'_>, inlets: &[u32]) -> Self {
        let (mut all, links) = (Self::default(), &analysis.graph.links);
        for &inlet in inlets {
            let device = links.inlets[inlet as usize].device;
            let on = Carrier::Device(device);
            for number in 0..links.outlets_on(on) {
                let behind = links.inlet_behind(device, number);
                if behind.is_none_or(|behind| behind == inlet) {
                    all.add(analysis, OutletId { on, number });
                }
            }
        }
        all
    }

    fn add(&mut self, analysis: &Analysis<'_>, id: OutletId) {
        let Some(outlet) = analysis.outlet(id) else {
            return;
        };
        self.most += most(outlet);
        if outlet.rating.known().is_none() {
            self.unmarked.get_or_insert(id);
        }
    }

    /// Whether anything may be plugged in.
    pub fn is_some(&self) -> bool {
        self.most.in_amperes() > 0.0
    }

    /// It is too much, with what the equipment takes itself; a mark that is not known may say less.
    pub fn refused(&self, analysis: &Analysis<'_>, own: Current) -> Allowance {
        match self.unmarked {
            Some(outlet) => {
                let device = &analysis.name_of_carrier(outlet.on).value;
                let gap = Box::new(unmarked(analysis, outlet));
                Allowance::Open(gap, Some(device.clone()))
            }
            None => refused(format!(
                "the equipment takes up to {} by its nameplate, and what is plugged into its outlets up to {} by their marks, so that both can overload the cord",
                show_rounded(own),
                show_rounded(self.most)
            )),
        }
    }
}

fn most(outlet: &Outlet) -> Current {
    let sheet = || {
        let rated = outlet.coupler.known()?.rated(Practice::Iec);
        Some(rated.current.as_ref()?.value)
    };
    let marked = outlet.rating.known().copied();
    marked.or_else(sheet).unwrap_or(amperes(f64::INFINITY))
}

fn unmarked(analysis: &Analysis<'_>, outlet: OutletId) -> Gap {
    let fact = analysis.outlet_fact(
        outlet,
        "rating",
        analysis.outlet(outlet).map(|own| &own.rating),
    );
    let (model, own) = (&fact.owner, &fact.within);
    Gap {
        about: model.clone(),
        kind: "passed-on",
        span: fact.span,
        headline: format!(
            "can what is plugged into equipment {model} overload the cord that feeds it? Missing: the rating of its outlet {own} (marked beside it)"
        ),
        missing: "what may be drawn from its outlet".into(),
        basis: Citation::new(
            "IEC 60364-4-43",
            "433.3.1 b)",
            "2008",
            Confidence::FromMemory,
        ),
        advice: "Read what is marked beside the outlet, and write it as its `rating`.".into(),
        wants: vec![fact],
    }
}
