//! The fuse against the cord behind it: too large a one lets a short circuit burn the cord.

use crate::analysis::{absence, exceeds, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Level, Measure};
use crate::model::cords::CordType;
use crate::model::decode::Record;
use crate::model::optional::Optional;
use crate::model::pdus::PduModel;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Name, Named, Spanned};
use crate::quantity::{ConductorSize, Current, Length, Quantity, metres};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::source::Span;
use crate::tables::lookup::Lookup;
use crate::tables::plug_fuse;

use super::{RULE, as_marked};

/// A plug with the cord behind it, as a cord type or the model of a strip has them.
pub(super) struct Plug<'a> {
    /// `cord type` or `PDU model`.
    what: &'static str,
    name: &'a Spanned<Name>,
    coupler: &'a Spanned<CouplerRef>,
    fuse: &'a Optional<Current>,
    conductor: &'a Field<ConductorSize>,
    length: &'a Field<Length>,
    /// The fuse as a fact of whose plug it is.
    fact: Fact,
}

impl<'a> Plug<'a> {
    /// The plug of a cord type.
    pub fn of_cord(kind: &'a Named<CordType>) -> Option<Self> {
        Some(Self {
            what: CordType::WHAT,
            name: &kind.name,
            coupler: kind.plug.given()?,
            fuse: &kind.fuse,
            conductor: &kind.conductor,
            length: &kind.length,
            fact: Fact::of(kind, "fuse", Some(&kind.fuse)),
        })
    }

    /// The plug of a strip.
    pub fn of_strip(model: &'a Named<PduModel>) -> Option<Self> {
        let cord = model.cord.known();
        Some(Self {
            what: PduModel::WHAT,
            name: &model.name,
            coupler: model.plug.given()?,
            fuse: &model.fuse,
            conductor: cord.map_or(&Field::Absent, |cord| &cord.conductor),
            length: cord.map_or(&Field::Absent, |cord| &cord.length),
            fact: Fact::of(model, "fuse", Some(&model.fuse)),
        })
    }

    /// What can be said of it by itself.
    pub fn judged(&self) -> Option<Draft> {
        match (self.coupler.value.fused, self.fuse.written()) {
            (false, Ok(None)) => None,
            (false, Ok(Some(fuse))) => Some(no_fuse_there(self, fuse)),
            (false, Err(at)) => Some(may_count_on_one(self, at)),
            (true, Ok(None) | Err(_)) => Some(fuse_missing(self)),
            (true, Ok(Some(fuse))) => against_conductor(self, fuse),
        }
    }

    /// `cord type c14-1.5m`.
    fn called(&self) -> String {
        format!("{} {}", self.what, self.name.value)
    }
}

fn no_fuse_there(own: &Plug<'_>, fuse: &Spanned<Current>) -> Draft {
    let (name, plug) = (own.called(), &own.coupler.value.name);
    let headline = format!(
        "{name} counts on a {} fuse in its plug, and a {plug} plug has none: the cord may be unprotected",
        fuse.value.show()
    );
    let note = format!("{plug} has no fuse");
    Draft::new(&RULE, headline, fuse.span, note, as_marked())
        .about([own.name.value.clone()])
        .kind("none")
        .advice("Take `fuse` out of the definition, or correct the plug.")
}

fn may_count_on_one(own: &Plug<'_>, at: Span) -> Draft {
    let (name, plug) = (own.called(), &own.coupler.value.name);
    let headline = format!(
        "does {name} count on a fuse that its {plug} plug has not? Open: its `fuse` cannot be read"
    );
    let note = "not decided: the fuse cannot be read";
    Draft::new(&RULE, headline, at, note, as_marked())
        .wants([own.fact.clone()])
        .about([own.name.value.clone()])
        .kind("none")
        .advice("Take `fuse` out of the definition, or correct the plug.")
}

fn fuse_missing(own: &Plug<'_>) -> Draft {
    let (name, plug) = (own.called(), &own.coupler.value.name);
    let headline = format!(
        "does the fuse in the {plug} plug of {name} guard the cord? Wanted: its rating (open the plug), which {}",
        absence(own.fuse)
    );
    let span = field_or_name(own.fuse, own.name);
    let note = format!("not decided: the fuse {}", absence(own.fuse));
    Draft::new(&RULE, headline, span, note, table())
        .wants([own.fact.clone()])
        .about([own.name.value.clone()])
        .kind("fuse")
        .advice("Open the plug, read the rating off the fuse and write it, such as `fuse: 13 A`.")
}

fn table() -> Citation {
    Citation::new(
        "BS 1363-1",
        "Table 2",
        "edition not established",
        Confidence::OneCopy,
    )
}

/// The largest fuse does not depend on the length of the cord; its load does.
fn against_conductor(own: &Plug<'_>, fuse: &Spanned<Current>) -> Option<Draft> {
    let size = own.conductor.given()?;
    let length = own.length.known().copied().unwrap_or(metres(f64::INFINITY));
    match plug_fuse::for_section(size.value, length) {
        Lookup::NotInTable { why, citation } => Some(not_in_table(own, fuse, size, &why, citation)),
        Lookup::Known { cited, .. } => {
            let largest = cited.value.largest_fuse;
            let is_over = exceeds(fuse.value, largest);
            is_over.then(|| too_large(own, fuse, size, (largest, cited.citation)))
        }
    }
}

fn not_in_table(
    own: &Plug<'_>,
    fuse: &Spanned<Current>,
    size: &Spanned<ConductorSize>,
    why: &str,
    citation: Citation,
) -> Draft {
    let name = own.called();
    let headline = format!(
        "does the {} plug fuse of {name} guard its {} conductor? Open: {why}",
        fuse.value.show(),
        size.value.show()
    );
    let note = "not decided: not in the table";
    Draft::new(&RULE, headline, size.span, note, citation)
        .open()
        .about([own.name.value.clone()])
        .kind("table")
        .advice("Use a cord of at least 0.5 mm².")
}

fn too_large(
    own: &Plug<'_>,
    fuse: &Spanned<Current>,
    size: &Spanned<ConductorSize>,
    (largest, source): (Current, Citation),
) -> Draft {
    let name = own.called();
    let (rated, most) = (fuse.value.show(), largest.show());
    let size_shown = size.value.show();
    let headline = format!(
        "{name} may burn on a short circuit before its plug fuse blows: the fuse is {rated}, and a {size_shown} cord may have {most} at most"
    );
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let limit = place(size.span, format!("{size_shown}: fuse up to {most}"));
    Draft::new(&RULE, headline, fuse.span, format!("fuse {rated}"), source)
        .level(level)
        .below([limit])
        .working([format!("{rated} is above {most}")])
        .measured(Measure::above(fuse.value, largest))
        .advice(format!(
            "Fit a {most} fuse (BS 1362), or order a thicker cord."
        ))
        .about([own.name.value.clone()])
        .kind("large")
}
