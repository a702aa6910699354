//! The fuse in a plug against the conductors further behind it: the leads of a strip, the legs of a splitter.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Measure};
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::CordType;
use crate::model::decode::Record;
use crate::model::pdus::PduModel;
use crate::model::value::{Name, Spanned};
use crate::quantity::{ConductorSize, Current, Quantity, metres};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::rules::told_once::ToldOnce;
use crate::tables::lookup::Lookup;
use crate::tables::plug_fuse;

use super::RULE;

/// What is told of them, once for each size behind each fuse.
pub(super) fn judged(analysis: &Analysis<'_>) -> impl Iterator<Item = Finding> {
    let mut told = ToldOnce::default();
    for (id, _) in analysis.graph.elements() {
        let Some(behind) = Behind::of(analysis, id) else {
            continue;
        };
        if let Some(draft) = behind.judged() {
            let key = (behind.size.span, behind.fuse.span);
            let told = told.tell(key, || draft);
            told.suffered_by([analysis.whole(id).clone()]);
        }
    }
    told.findings()
}

/// Conductors with no fuse and no breaker between them and the fuse in a plug.
struct Behind<'a> {
    /// `cord type lead-1m`: who describes them.
    called: String,
    name: &'a Name,
    size: &'a Spanned<ConductorSize>,
    /// `PDU pdu-a`: whose plug it is.
    plug_of: String,
    fuse: &'a Spanned<Current>,
}

impl<'a> Behind<'a> {
    /// The cord that the plug belongs to is judged with it.
    fn of(analysis: &'a Analysis<'a>, id: ElementId) -> Option<Self> {
        let plug_of = analysis.fused_plug_ahead(id)?;
        let size_of = |at| analysis.conductors_of(at).and_then(|own| own.field.given());
        let size = size_of(id)?;
        if size_of(plug_of).is_some_and(|own| own.span == size.span) {
            return None;
        }
        let (links, model) = (&analysis.graph.links, analysis.model);
        let (what, name) = match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                let kind = links.cord_types[cord.index()]?;
                (CordType::WHAT, &model.cord_types[kind].name)
            }
            ElementKind::Pdu(pdu) => {
                let kind = links.pdu_models[pdu.index()]?;
                (PduModel::WHAT, &model.pdu_models[kind].name)
            }
            _ => return None,
        };
        Some(Self {
            called: format!("{what} {}", name.value),
            name: &name.value,
            size,
            plug_of: analysis.describe(plug_of),
            fuse: analysis.plug_fuse(plug_of)?,
        })
    }

    fn judged(&self) -> Option<Draft> {
        // The largest fuse is the same for any length.
        match plug_fuse::for_section(self.size.value, metres(f64::INFINITY)) {
            Lookup::NotInTable { why, citation } => Some(self.not_in_table(&why, citation)),
            Lookup::Known { cited, .. } => {
                let largest = cited.value.largest_fuse;
                let is_over = exceeds(self.fuse.value, largest);
                is_over.then(|| self.too_large(largest, cited.citation))
            }
        }
    }

    fn not_in_table(&self, why: &str, citation: Citation) -> Draft {
        let headline = format!(
            "does the {} plug fuse of {} guard the {} conductor of {}? Open: {why}",
            self.fuse.value.show(),
            self.plug_of,
            self.size.value.show(),
            self.called,
        );
        let note = "not decided: not in the table";
        Draft::new(&RULE, headline, self.size.span, note, citation)
            .open()
            .about([self.name.clone()])
            .kind("behind")
            .advice("Use a cord of at least 0.5 mm².")
    }

    /// The table is made for the cord of the plug, so that what hangs behind it gets a warning at most.
    fn too_large(&self, largest: Current, source: Citation) -> Draft {
        let (rated, most) = (self.fuse.value.show(), largest.show());
        let size = self.size.value.show();
        let headline = format!(
            "{} may burn on a short circuit before the plug fuse of {} blows: the fuse is {rated}, and a {size} cord may have {most} at most",
            self.called, self.plug_of
        );
        let level = borne_by(Level::Warning, std::slice::from_ref(&source));
        let note = format!("{size}: fuse up to {most}");
        Draft::new(&RULE, headline, self.size.span, note, source)
            .level(level)
            .above([place(self.fuse.span, format!("fuse {rated}"))])
            .working([format!("{rated} is above {most}")])
            .measured(Measure::above(self.fuse.value, largest))
            .advice(format!(
                "Order a thicker cord. Or fit a {most} fuse (BS 1362) in the plug, if all that hangs behind it needs no more."
            ))
            .about([self.name.clone()])
            .kind("behind")
    }
}
