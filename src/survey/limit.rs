//! What an element may carry: the lowest of everything that limits it.

use crate::citation::{Citation, Cited};
use crate::graph::{ElementId, ElementKind, PduFeed};
use crate::model::text::CouplerRef;
use crate::model::value::Field;
use crate::quantity::{Current, InUnits};
use crate::source::Span;

use super::{Rating, Survey};

/// One thing that limits an element.
#[derive(Clone, Debug)]
pub struct Limit {
    /// What it is: `breaker`, `plug`, `conductor`.
    pub what: &'static str,
    /// Where it stands in the definitions.
    pub span: Span,
    /// What it lets pass.
    pub rating: Rating,
}

impl Survey<'_> {
    /// Everything that limits the current of an element, in electrical order.
    pub fn limits(&self, id: ElementId) -> Vec<Limit> {
        match self.graph.kind(id) {
            ElementKind::Supply(_) => Vec::new(),
            ElementKind::Circuit(circuit) => {
                let item = &self.model.circuits[circuit];
                let conductor = self.conductor_limit(id, item.wiring.span());
                let receptacle = self.coupler_limit("receptacle", &item.receptacle);
                self.breaker_limit(id)
                    .into_iter()
                    .chain(conductor)
                    .chain(receptacle)
                    .collect()
            }
            ElementKind::Pdu(pdu) => {
                let Some(model) = self.graph.pdu_model(self.model, pdu) else {
                    return Vec::new();
                };
                // A strip fed by a cord or another strip has that cord's coupler before it.
                let is_plugged = matches!(
                    self.graph.links.pdu_feeds[pdu.index()],
                    Some(PduFeed::Circuit(_))
                );
                let plug = is_plugged
                    .then(|| self.coupler_limit("plug", &model.plug))
                    .flatten();
                let conductor = self.conductor_limit(id, model.cord.span());
                plug.into_iter()
                    .chain(conductor)
                    .chain(marked("PDU rating", &model.rating))
                    .collect()
            }
            ElementKind::Bank(..) => self.breaker_limit(id).into_iter().collect(),
            ElementKind::Cord(_) | ElementKind::Leg(..) => {
                let links = self.links(id).into_iter();
                links
                    .map(|link| Limit {
                        what: link.kind.word(),
                        span: link.span,
                        rating: link.rating,
                    })
                    .collect()
            }
        }
    }

    /// The limit that is reached first, with its current; limits that are not known are passed over,
    /// and the second value tells whether there were any.
    pub fn lowest_limit(&self, id: ElementId) -> (Option<(Limit, Current)>, bool) {
        let limits = self.limits(id);
        let unknown = limits.iter().any(|limit| limit.rating.current().is_none());
        let known = limits.into_iter().filter_map(|limit| {
            let current = limit.rating.current()?;
            Some((limit, current))
        });
        let lowest = known.min_by(|a, b| a.1.in_amperes().total_cmp(&b.1.in_amperes()));
        (lowest, unknown)
    }

    fn breaker_limit(&self, id: ElementId) -> Option<Limit> {
        let rating = self.breaker_rating(id)?;
        let cited = Cited {
            value: rating.value,
            citation: Citation::marked("breaker as marked"),
        };
        Some(Limit {
            what: "breaker",
            span: rating.span,
            rating: Rating::read(&cited),
        })
    }

    fn conductor_limit(&self, id: ElementId, span: Option<Span>) -> Option<Limit> {
        let rating = self.conductor_rating(id)?;
        Some(Limit {
            what: "conductor",
            span: span?,
            rating,
        })
    }

    fn coupler_limit(&self, what: &'static str, coupler: &Field<CouplerRef>) -> Option<Limit> {
        let coupler = coupler.given()?;
        let rated = coupler.value.rated(self.practice()?);
        let rating = match &rated.current {
            Some(cited) => Rating::read(cited),
            None => Rating::missing(format!(
                "no table gives a rated current for {}",
                coupler.value.name
            )),
        };
        Some(Limit {
            what,
            span: coupler.span,
            rating,
        })
    }
}

fn marked(what: &'static str, rating: &Field<Current>) -> Option<Limit> {
    let rating = rating.given()?;
    let cited = Cited {
        value: rating.value,
        citation: Citation::marked("as marked"),
    };
    Some(Limit {
        what,
        span: rating.span,
        rating: Rating::read(&cited),
    })
}
