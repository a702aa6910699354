//! Why a socket may do without: who uses it, what it is for, and whether somebody has weighed it, as far as the
//! rules of the country take that for a reason.

use crate::analysis::Analysis;
use crate::citation::Cited;
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Circuit, Purpose};
use crate::model::places::{Users, Zone};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::tables::couplers::Family;
use crate::tables::socket_exceptions::{self, Exceptions};

/// Whether there is a reason.
pub(super) enum Reason {
    /// There is one.
    Given,
    /// There is none.
    None,
    /// A fact that would decide is missing.
    Unknown(Unknown),
    /// What stands there cannot be read.
    Unreadable(Fact),
}

/// A fact that would decide.
pub(super) struct Unknown {
    pub fact: Fact,
    pub kind: &'static str,
    /// Whose it is: a zone, a circuit or the site.
    pub about: Name,
}

/// The reasons that the country takes, and what the site says of its people.
pub(super) struct Reasons<'a> {
    analysis: Analysis<'a>,
    pub taken: Option<&'static Cited<Exceptions>>,
    /// Whether the site says anywhere who uses its sockets.
    tells_users: bool,
}

impl<'a> Reasons<'a> {
    pub fn of(analysis: &Analysis<'a>) -> Self {
        let model = analysis.model;
        let country = analysis.site_country().map(|country| country.code.as_str());
        let mut zones = model.zones.iter();
        Self {
            analysis: *analysis,
            taken: socket_exceptions::of(country),
            tells_users: !model.site.users.is_absent()
                || zones.any(|(_, zone)| !zone.users.is_absent()),
        }
    }

    /// Whether a socket is judged at all: one for strips only where ordinary people are said to use it, or where the
    /// site says of others who uses them and not of this one.
    pub fn touches(&self, socket: &Spanned<CouplerRef>, id: Id<Circuit>) -> bool {
        if socket.value.family == Family::National {
            return true;
        }
        self.tells_users
            && match self.users(id) {
                Who::Are(users) => users == Users::Ordinary,
                Who::Missing(_) | Who::Unreadable(_) => true,
            }
    }

    pub fn for_circuit(&self, id: Id<Circuit>, circuit: &Named<Circuit>) -> Reason {
        let Some(taken) = self.taken.map(|taken| &taken.value) else {
            return Reason::None;
        };
        let reason = match taken.assessed {
            true => self.assessed(id, circuit, taken),
            false => self.by_use(id, circuit, taken),
        };
        match reason {
            Reason::Given => self.unless_elsewhere(),
            reason => reason,
        }
    }

    /// The international text holds for nobody who is nowhere.
    fn unless_elsewhere(&self) -> Reason {
        if self.analysis.site_country().is_some() {
            return Reason::Given;
        }
        let country = &self.analysis.model.site.country;
        self.analysis.site_place().map_or(Reason::Given, |at| {
            Reason::Unknown(Unknown {
                fact: Fact::of_site("country", country, at),
                kind: "country",
                about: "site".into(),
            })
        })
    }

    fn assessed(&self, id: Id<Circuit>, circuit: &Named<Circuit>, taken: &Exceptions) -> Reason {
        let paper = match circuit.risk_assessment.written() {
            Err(at) => return Reason::Unreadable(Fact::unreadable(circuit, "risk-assessment", at)),
            Ok(paper) => paper,
        };
        let users = self.users(id);
        let are_ordinary = matches!(users, Who::Are(Users::Ordinary));
        match (paper, users) {
            (Some(_), _) if !taken.not_for_ordinary => Reason::Given,
            (_, Who::Are(_)) if are_ordinary => Reason::None,
            (None, _) => Reason::Unknown(Unknown {
                fact: Fact::of(circuit, "risk-assessment", Some(&circuit.risk_assessment)),
                kind: "assessment",
                about: circuit.name.value.clone(),
            }),
            (Some(_), Who::Are(_)) => Reason::Given,
            (Some(_), Who::Missing(unknown)) => Reason::Unknown(unknown),
            (Some(_), Who::Unreadable(fact)) => Reason::Unreadable(fact),
        }
    }

    fn by_use(&self, id: Id<Circuit>, circuit: &Named<Circuit>, taken: &Exceptions) -> Reason {
        if !taken.trained && !taken.dedicated {
            return Reason::None;
        }
        let purpose = match circuit.purpose.unless_written(Purpose::General) {
            Err(at) => return Reason::Unreadable(Fact::unreadable(circuit, "purpose", at)),
            Ok(purpose) => purpose,
        };
        match self.users(id) {
            _ if taken.dedicated && purpose == Purpose::Dedicated => Reason::Given,
            Who::Are(Users::Ordinary) => Reason::None,
            Who::Are(_) => Reason::Given,
            Who::Missing(unknown) => Reason::Unknown(unknown),
            Who::Unreadable(fact) => Reason::Unreadable(fact),
        }
    }

    /// Who uses what hangs on a circuit; of several zones the least trained.
    fn users(&self, id: Id<Circuit>) -> Who {
        let graph = self.analysis.graph;
        let element = graph.circuit(id);
        let hanging = element.into_iter().flat_map(|id| graph.children(id));
        let mut zones: Vec<Option<&Named<Zone>>> =
            hanging.flat_map(|child| self.zones(child)).collect();
        if zones.is_empty() {
            zones.push(None);
        }
        let all = zones.into_iter().map(|zone| self.users_in(zone));
        all.reduce(Who::or_worse)
            .unwrap_or(Who::Are(Users::Ordinary))
    }

    fn zones(&self, child: ElementId) -> Vec<Option<&'a Named<Zone>>> {
        match self.analysis.graph.kind(child) {
            ElementKind::Pdu(pdu) => vec![self.analysis.zone_of_pdu(pdu)],
            ElementKind::Cord(cord) => self.analysis.zones_of_cord(cord).map(Some).collect(),
            _ => Vec::new(),
        }
    }

    fn users_in(&self, zone: Option<&Named<Zone>>) -> Who {
        let site = &self.analysis.model.site;
        let own = zone.filter(|zone| !zone.users.is_absent() || site.users.is_absent());
        let (field, fact, about) = match (own, self.analysis.site_place()) {
            (Some(zone), _) => {
                let fact = Fact::of(zone, "users", Some(&zone.users));
                (&zone.users, fact, zone.name.value.clone())
            }
            (None, Some(at)) => {
                let fact = Fact::of_site("users", &site.users, at);
                (&site.users, fact, Name::from("site"))
            }
            (None, None) => return Who::Are(Users::Ordinary),
        };
        match field {
            Field::Given(users) => Who::Are(users.value),
            Field::Unreadable(_) => Who::Unreadable(fact),
            Field::Absent => Who::Missing(Unknown {
                fact,
                kind: "users",
                about,
            }),
        }
    }
}

/// Who uses a socket.
enum Who {
    Are(Users),
    Missing(Unknown),
    Unreadable(Fact),
}

impl Who {
    /// The one of two that lets a socket do without the less.
    fn or_worse(self, other: Self) -> Self {
        match (self, other) {
            (Self::Are(a), Self::Are(b)) => Self::Are(a.min(b)),
            (Self::Are(Users::Ordinary), _) | (_, Self::Are(Users::Ordinary)) => {
                Self::Are(Users::Ordinary)
            }
            (known, Self::Are(_)) => known,
            (_, unknown) => unknown,
        }
    }
}
