//! From devices to cords: for every inlet without a cord an outlet, and the cord between them in every property.
//!
//! The search proposes and the judgement disposes: a plan is shown only as far as no rule has anything new to say
//! of the whole site with it, and what cannot be planned is told with the reason.

mod anew;
mod definitions;
mod dice;
mod ends;
mod entry;
mod heat;
mod insert;
mod make;
mod names;
mod offered;
mod placing;
mod problem;
mod proof;
mod rack;
mod racks;
mod search;
mod spread;
mod unplanned;
mod wanted;

use crate::finding::Finding;
use crate::ink::{Written, Yaml};
use crate::input::SiteInput;
use crate::judgement::{Settings, Site};
use crate::quantity::{Current, Length};
use crate::source::Sources;

pub use anew::{bared, without_planned};
pub use insert::{Insertion, inserted, with_device};
pub use make::Why;
pub use unplanned::Unplanned;

use proof::Draft;

/// What is asked for.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// Only these devices, or `device/inlet`; all if empty.
    pub devices: Vec<String>,
    /// Only devices in these racks; in all if empty.
    pub racks: Vec<String>,
    /// What a plan is to be best at.
    pub objective: Objective,
    /// Whether outlets that are kept in reserve may be taken.
    pub takes_reserve: bool,
}

/// What a plan is to be best at, once it is safe.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Objective {
    /// Short cords in few lengths.
    #[default]
    Balanced,
    /// As few types of cord as can be.
    FewestTypes,
    /// The least cord.
    Shortest,
    /// Conductors for the load alone, not for the full rating of the couplers.
    Cheapest,
    /// The least load on every line, whatever the lengths.
    MostHeadroom,
}

/// Which cord goes where.
#[derive(Debug)]
pub struct Plan {
    /// The site's name, where it gives one.
    pub name: Option<String>,
    /// Cords to fit, rack by rack.
    pub cords: Vec<PlannedCord>,
    /// How many of their types are new.
    pub new_types: usize,
    /// What cannot be planned, with the reason.
    pub unplanned: Vec<Unplanned>,
    /// The largest load of every strip that a cord of the plan hangs on.
    pub strips: Vec<StripLoad>,
    /// All cords together, and the least that any plan of these inlets could do with.
    pub length: (Length, Length),
    /// Points that nobody can decide for want of facts, and that only the plan raises.
    pub open: Vec<Finding>,
    /// Lines that the plan loads unequally, where no turn of its cords would load them more alike.
    pub uneven: Vec<Finding>,
    /// The text that the open points point into: the site with the plan.
    pub sources: Sources,
    /// The plan as definitions.
    pub definitions: Written<Yaml>,
    /// Why nothing was planned at all, where that is so.
    pub untried: Option<String>,
    sections: insert::Sections,
}

impl Plan {
    /// Whether every inlet that was asked for has its cord, and nothing is left to say of it.
    pub fn is_whole(&self) -> bool {
        self.unplanned.is_empty() && self.open.is_empty() && self.uneven.is_empty()
    }
}

/// A cord of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedCord {
    /// Its label.
    pub name: String,
    /// Its type.
    pub kind: String,
    /// Whether the type is new.
    pub is_new: bool,
    /// `pdu/outlet`.
    pub from: String,
    /// `device/inlet`.
    pub to: String,
    /// The rack that it lies in.
    pub rack: String,
    /// Its length.
    pub length: Length,
    /// The same as it is bought: `1.5 m`, `6 ft`.
    pub bought: String,
    /// The way that it has to go, as a tape shows it.
    pub way: String,
    /// What decided its properties.
    pub why: Vec<Why>,
}

/// The largest load of a strip with the plan fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct StripLoad {
    /// The strip.
    pub pdu: String,
    /// Its most loaded line, at worst.
    pub top: Current,
    /// No plan of these inlets puts less on the most loaded line of the strip.
    pub least: Current,
    /// What a line may carry, if anybody says.
    pub limit: Option<Current>,
}

/// Plans cords for the inlets of a site that have none.
pub fn plan(input: &SiteInput, asked: &Asked, settings: &Settings) -> Plan {
    let site = Site::read_within(input.clone(), &settings.budget);
    let name = site.model.site.name.known().map(ToString::to_string);
    let mut plan = Plan {
        name,
        cords: Vec::new(),
        new_types: 0,
        unplanned: Vec::new(),
        strips: Vec::new(),
        length: (Length::default(), Length::default()),
        open: Vec::new(),
        uneven: Vec::new(),
        sources: Sources::default(),
        definitions: Written::new(),
        untried: why_untried(&site),
        sections: insert::Sections::default(),
    };
    if plan.untried.is_some() {
        return plan;
    }
    let analysis = site.analysis(settings.today);
    let Some(practice) = analysis.practice() else {
        plan.untried = Some("the site does not say which practice binds".into());
        return plan;
    };
    let task = racks::task(&analysis, asked, practice);
    plan.unplanned = task.unplanned;
    let mut places = racks::places(&task.racks, asked.objective);
    spread::across_racks(&analysis, &task.racks, &mut places);
    let hanging = site.fitted.as_ref().map(|fitted| &fitted.model);
    let by = (practice, hanging);
    let draft = Draft::of(&analysis, &task.racks, &places, asked, by);
    match draft {
        Some(draft) => draft.prove(&site, input, settings, &mut plan),
        None => plan.untried = Some(unplanned::NO_LABEL.into()),
    }
    plan.unplanned.sort();
    plan
}

/// What would be planned may stand in what cannot be read.
fn why_untried(site: &Site) -> Option<String> {
    match site.unread.first() {
        Some(file) => Some(format!("{}: {}", file.path, file.why)),
        None if site.model.is_incomplete => Some("a part of the definitions is missing".into()),
        None => None,
    }
}
