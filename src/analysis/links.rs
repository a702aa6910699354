//! The links of a cord, from outlet to inlet, each with what it may carry: the lowest one limits.

use crate::citation::Citation;
use crate::graph::{CordFeed, ElementId, ElementKind, Receiver};
use crate::model::cords::{Cord, CordType};
use crate::model::pdus::Outlet;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::{Current, Quantity};
use crate::source::Span;
use crate::tables::couplers::{Coupler, Rated, Side};

use super::{Analysis, Part, Rating};

/// A link of a cord.
#[derive(Clone, Debug)]
pub struct Link {
    /// What it is.
    pub kind: Part,
    /// Its name as written: `C13`, `1.0 mm² H05VV-F`.
    pub what: String,
    /// Where it stands in the definitions.
    pub span: Span,
    /// What it may carry.
    pub rating: Rating,
}

impl Analysis<'_> {
    /// The links of an element that is a cord or a leg, in electrical order. A splitter's trunk has
    /// outlet, plug and conductor; its legs have the rest.
    pub fn links(&self, id: ElementId) -> Vec<Link> {
        let mut links = Vec::new();
        match self.graph.kind(id) {
            ElementKind::Cord(cord) => {
                let Some(kind) = self.graph.cord_type(self.model, cord) else {
                    return links;
                };
                links.extend(self.outlet_link(cord, kind));
                links.extend(self.coupler_link(Part::Plug, &kind.plug, &kind.rating));
                links.extend(fuse_link(kind));
                links.extend(self.conductor_link(id, cord));
                links.extend(self.coupler_link(Part::Connector, &kind.connector, &kind.rating));
                links.extend(self.inlet_link(id));
            }
            ElementKind::Leg(cord, leg) => {
                let Some(kind) = self.graph.cord_type(self.model, cord) else {
                    return links;
                };
                let Some(leg) = kind.leg(leg) else {
                    return links;
                };
                // The trunk's mark says nothing of a leg's connector.
                let mark = &leg.rating;
                links.extend(self.conductor_link(id, cord));
                links.extend(self.coupler_link(Part::Connector, &leg.connector, mark));
                links.extend(self.inlet_link(id));
            }
            _ => {}
        }
        links
    }

    /// What a coupler may carry at this site: what its sheet says; more only where the part is marked
    /// so, and never more than the mark; less where it is marked lower, and nobody knows where the mark
    /// cannot be read. An outlet of two faces is rated by the `plug` in it.
    pub fn coupler_rating(
        &self,
        (coupler, side): (&Coupler, Side),
        plug: Option<&Coupler>,
        mark: &Field<Current>,
    ) -> Rating {
        let Some(practice) = self.practice() else {
            return Rating::missing("the site does not say which practice binds");
        };
        let rated = match plug {
            Some(plug) => coupler.rated_with(plug, practice),
            None => coupler.rated_as(side, practice),
        };
        marked_rating(coupler, rated, mark)
    }

    fn outlet_link(&self, cord: Id<Cord>, kind: &CordType) -> Option<Link> {
        let feed = self.graph.links.cord_feeds[cord.index()]?;
        // The connector above it is a link of its own cord.
        if let CordFeed::Cord(_) = feed {
            return None;
        }
        let socket = self.socket(feed)?;
        let coupler = socket.coupler.given()?;
        let own = (&*coupler.value, Side::Contacts);
        let rating = self.coupler_rating(own, kind.plug.coupler(), socket.mark);
        Some(link(Part::Outlet, coupler, rating))
    }

    /// What an outlet of a power strip may carry, whatever is plugged into it; `None` if its coupler
    /// is not known.
    pub fn outlet_rating(&self, outlet: &Outlet) -> Option<Link> {
        self.coupler_link(Part::Outlet, &outlet.coupler, &outlet.rating)
    }

    /// What a coupler may carry under the site's practice, as its sheet and its mark say; `None` if
    /// the coupler is not known.
    pub fn coupler_link(
        &self,
        kind: Part,
        coupler: &Field<CouplerRef>,
        mark: &Field<Current>,
    ) -> Option<Link> {
        let coupler = coupler.given()?;
        let side = match kind {
            Part::Plug | Part::Inlet => Side::Pins,
            _ => Side::Contacts,
        };
        let rating = self.coupler_rating((&coupler.value, side), None, mark);
        Some(link(kind, coupler, rating))
    }

    fn conductor_link(&self, id: ElementId, cord: Id<Cord>) -> Option<Link> {
        let rating = self.conductor_rating(id)?;
        let own = self.conductors_of(id)?;
        let cordage = own.jacket.cordage;
        let cordage = cordage.map_or("cord of unknown type", |cordage| cordage.name.as_str());
        let what = own
            .size
            .map_or_else(|| cordage.to_owned(), |size| format!("{size} {cordage}"));
        let span = own.field.span().unwrap_or(self.model.cords[cord].name.span);
        Some(Link {
            kind: Part::Conductor,
            what,
            span,
            rating,
        })
    }

    fn inlet_link(&self, id: ElementId) -> Option<Link> {
        let Some(&Receiver::Inlet(number)) = self.graph.receiver(id) else {
            return None;
        };
        let (_, inlet) = self.inlet(number)?;
        self.coupler_link(Part::Inlet, &inlet.item.coupler, &inlet.item.rating)
    }
}

fn fuse_link(kind: &CordType) -> Option<Link> {
    let fuse = kind.plug_fuse()?;
    Some(Link {
        kind: Part::Fuse,
        what: format!("{} fuse", fuse.value.show()),
        span: fuse.span,
        rating: Rating::Known {
            current: fuse.value,
            working: Vec::new(),
            basis: vec![Citation::marked("fuse as marked")],
        },
    })
}

fn link(kind: Part, coupler: &Spanned<CouplerRef>, rating: Rating) -> Link {
    Link {
        kind,
        what: coupler.value.name.clone(),
        span: coupler.span,
        rating,
    }
}

fn marked_rating(coupler: &Coupler, rated: &Rated, mark: &Field<Current>) -> Rating {
    if matches!(mark, Field::Unreadable(_)) {
        let name = &coupler.name;
        return Rating::missing(format!("what {name} is marked with cannot be read"));
    }
    let mark = mark.known();
    match (&rated.current, &rated.only_where_marked, mark) {
        (None, None, _) => Rating::missing(format!(
            "no table gives a rated current for {}",
            coupler.name
        )),
        (Some(plain), None, None | Some(_)) | (Some(plain), Some(_), None) => lower_of(plain, mark),
        (plain, Some(high), Some(mark)) => match plain {
            Some(plain) if *mark <= plain.value => lower_of(plain, Some(mark)),
            _ => lower_of(high, Some(mark)),
        },
        (None, Some(_), None) => Rating::missing(format!(
            "{} carries what it is marked for, and no mark is given",
            coupler.name
        )),
    }
}

fn lower_of(cited: &crate::citation::Cited<Current>, mark: Option<&Current>) -> Rating {
    match mark {
        Some(mark) if *mark < cited.value => Rating::Known {
            current: *mark,
            working: vec![format!(
                "marked {}, below the {} of its sheet",
                mark.show(),
                cited.value.show()
            )],
            basis: vec![cited.citation.clone()],
        },
        _ => Rating::read(cited),
    }
}
