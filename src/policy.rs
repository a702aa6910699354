//! What a site has decided about its own judgement: levels, departures, the snag list, what open
//! points do, and the limits that its owner has set.
//!
//! A change is judged by the policy of the state that it starts from, so that it cannot pardon
//! itself; this room takes a policy out of one state's definitions and puts its limits into another's.

mod demands;
mod limits;

use std::sync::LazyLock;

use crate::model::Model;
use crate::model::cords::Departure;
use crate::model::country::CountryCode;
use crate::model::devices::Device;
use crate::model::edition::EditionRef;
use crate::model::places::{Rack, Zone};
use crate::model::site::{OpenPoints, RuleLevel, Site, SocketRule};
use crate::model::snags::Snag;
use crate::model::value::{Field, Named, Section, Spanned};
use crate::quantity::Current;
use crate::source::{FileId, Span};
use crate::tables::Practice;

pub use demands::{DEMANDS, Standing, ZoneDemand};
pub use limits::{LIMITS, Reading, SiteLimit, Stricter};

/// The policy of one state of a site.
#[derive(Clone, Copy, Debug)]
pub struct Policy<'m> {
    site: &'m Site,
    departures: &'m [Spanned<Departure>],
    snags: &'m [Spanned<Snag>],
    zones: &'m Section<Zone>,
    racks: &'m Section<Rack>,
    devices: &'m Section<Device>,
}

impl Policy<'_> {
    /// Where a site has decided nothing: the rules' own levels and limits, and no exception.
    pub fn built_in() -> Policy<'static> {
        static NOTHING: LazyLock<Model> = LazyLock::new(Model::default);
        Policy::of(&NOTHING)
    }
}

impl<'m> Policy<'m> {
    /// The policy that stands in the definitions.
    pub fn of(model: &'m Model) -> Self {
        Self {
            site: &model.site,
            departures: &model.departures,
            snags: &model.snags,
            zones: &model.zones,
            racks: &model.racks,
            devices: &model.devices,
        }
    }

    /// The levels of single rules.
    pub fn levels(&self) -> &'m Section<RuleLevel> {
        &self.site.levels
    }

    /// The recorded deviations.
    pub fn departures(&self) -> &'m [Spanned<Departure>] {
        self.departures
    }

    /// The findings that are accepted as known.
    pub fn snags(&self) -> &'m [Spanned<Snag>] {
        self.snags
    }

    /// Whether open points fail a run.
    pub fn blocks_open_points(&self) -> bool {
        self.site.open_points.known() == Some(&OpenPoints::Block)
    }

    /// Which rules bind.
    pub fn practice(&self) -> &'m Field<Practice> {
        &self.site.practice
    }

    /// The edition of the wiring rules by which is judged.
    pub fn edition(&self) -> &'m Field<EditionRef> {
        &self.site.edition
    }

    /// The country by whose plugs, voltages and approvals is judged.
    pub fn country(&self) -> &'m Field<CountryCode> {
        &self.site.country
    }

    /// What it lets sockets stand behind beyond what an earlier policy let them.
    pub fn sockets_beyond(
        &self,
        earlier: &Policy<'_>,
    ) -> impl Iterator<Item = (&'m Named<SocketRule>, Current)> {
        let rules = self.site.sockets.items().iter();
        rules.filter_map(move |rule| {
            let most = *rule.behind.known()?;
            let before = earlier.site.sockets.named(&rule.name.value);
            let before = before.and_then(|(_, before)| before.behind.known());
            (!before.is_some_and(|before| most <= *before)).then_some((rule, most))
        })
    }

    /// What it says of a limit.
    pub fn limit(&self, limit: &SiteLimit) -> Reading {
        limit.read(self.site)
    }

    /// Where it stands, for what has no place of its own: the site's name, or the start of its file.
    pub fn place(&self) -> Span {
        let place = self.site.name.span().or(self.site.practice.span());
        place.unwrap_or(Span::new(FileId(0), 0, 0))
    }

    /// Where it says what open points do.
    pub fn place_of_open_points(&self) -> Span {
        self.site.open_points.span().unwrap_or(self.place())
    }

    /// Where it says which files are read.
    pub fn place_of_files(&self) -> Span {
        self.site.files.span().unwrap_or(self.place())
    }

    /// Puts the limits of this policy into definitions. They are shown where those have theirs, for
    /// the words of this policy stand in another state's files.
    pub fn put_limits_into(&self, model: &mut Model) {
        limits::put(self.site, &mut model.site);
    }
}
