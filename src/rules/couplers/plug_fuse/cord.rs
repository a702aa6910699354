//! The fuse against the cord behind it: too large a one lets a short circuit burn the cord.

use crate::analysis::{absence, exceeds, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Level, Measure};
use crate::model::cords::CordType;
use crate::model::value::{Named, Spanned};
use crate::quantity::{ConductorSize, Current, Quantity, metres};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::source::Span;
use crate::tables::lookup::Lookup;
use crate::tables::plug_fuse;

use super::{RULE, as_marked};

/// What can be said of a cord type by itself.
pub(super) fn judged(kind: &Named<CordType>) -> Option<Draft> {
    let plug = kind.plug.given()?;
    let name = plug.value.name.as_str();
    match (plug.value.fused, kind.fuse.written()) {
        (false, Ok(None)) => None,
        (false, Ok(Some(fuse))) => Some(no_fuse_there(kind, name, fuse)),
        (false, Err(at)) => Some(may_count_on_one(kind, name, at)),
        (true, Ok(None) | Err(_)) => Some(fuse_missing(kind, name)),
        (true, Ok(Some(fuse))) => against_conductor(kind, fuse),
    }
}

fn no_fuse_there(kind: &Named<CordType>, plug: &str, fuse: &Spanned<Current>) -> Draft {
    let name = &kind.name.value;
    let headline = format!(
        "cord type {name} counts on a {} fuse in its plug, and a {plug} plug has none: the cord may be unprotected",
        fuse.value.show()
    );
    let note = format!("{plug} has no fuse");
    Draft::new(&RULE, headline, fuse.span, note, as_marked())
        .about([name.clone()])
        .kind("none")
        .advice("Take `fuse` out of the definition, or correct the plug.")
}

fn may_count_on_one(kind: &Named<CordType>, plug: &str, at: Span) -> Draft {
    let name = &kind.name.value;
    let headline = format!(
        "does cord type {name} count on a fuse that its {plug} plug has not? Open: its `fuse` cannot be read"
    );
    let note = "not decided: the fuse cannot be read";
    Draft::new(&RULE, headline, at, note, as_marked())
        .wants([Fact::unreadable(kind, "fuse", at)])
        .about([name.clone()])
        .kind("none")
        .advice("Take `fuse` out of the definition, or correct the plug.")
}

fn fuse_missing(kind: &Named<CordType>, plug: &str) -> Draft {
    let name = &kind.name.value;
    let headline = format!(
        "does the fuse in the {plug} plug of cord type {name} guard the cord? Wanted: its rating (open the plug), which {}",
        absence(&kind.fuse)
    );
    let span = field_or_name(&kind.fuse, &kind.name);
    let note = format!("not decided: the fuse {}", absence(&kind.fuse));
    Draft::new(&RULE, headline, span, note, table())
        .wants([Fact::of(kind, "fuse", Some(&kind.fuse))])
        .about([name.clone()])
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
fn against_conductor(kind: &Named<CordType>, fuse: &Spanned<Current>) -> Option<Draft> {
    let size = kind.conductor.given()?;
    let length = kind
        .length
        .known()
        .copied()
        .unwrap_or(metres(f64::INFINITY));
    match plug_fuse::for_section(size.value, length) {
        Lookup::NotInTable { why, citation } => {
            Some(not_in_table(kind, fuse, size, &why, citation))
        }
        Lookup::Known { cited, .. } => {
            let largest = cited.value.largest_fuse;
            let is_over = exceeds(fuse.value, largest);
            is_over.then(|| too_large(kind, fuse, size, (largest, cited.citation)))
        }
    }
}

fn not_in_table(
    kind: &Named<CordType>,
    fuse: &Spanned<Current>,
    size: &Spanned<ConductorSize>,
    why: &str,
    citation: Citation,
) -> Draft {
    let name = &kind.name.value;
    let headline = format!(
        "does the {} plug fuse of cord type {name} guard its {} conductor? Open: {why}",
        fuse.value.show(),
        size.value.show()
    );
    let note = "not decided: not in the table";
    Draft::new(&RULE, headline, size.span, note, citation)
        .open()
        .about([name.clone()])
        .kind("table")
        .advice("Use a cord of at least 0.5 mm².")
}

fn too_large(
    kind: &Named<CordType>,
    fuse: &Spanned<Current>,
    size: &Spanned<ConductorSize>,
    (largest, source): (Current, Citation),
) -> Draft {
    let name = &kind.name.value;
    let (own, most) = (fuse.value.show(), largest.show());
    let size_shown = size.value.show();
    let headline = format!(
        "cord type {name} may burn on a short circuit before its plug fuse blows: the fuse is {own}, and a {size_shown} cord may have {most} at most"
    );
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let limit = place(size.span, format!("{size_shown}: fuse up to {most}"));
    Draft::new(&RULE, headline, fuse.span, format!("fuse {own}"), source)
        .level(level)
        .below([limit])
        .working([format!("{own} is above {most}")])
        .measured(Measure::above(fuse.value, largest))
        .advice(format!(
            "Fit a {most} fuse (BS 1362), or order a thicker cord."
        ))
        .about([name.clone()])
        .kind("large")
}
