//! Which cord: every property but the length, each with what decided it.
//!
//! Properties come in the order of their plainness. The first of each is proposed; where a rule has something to
//! say of it on the whole site, the next takes its place.

use crate::analysis::Analysis;
use crate::model::cords::CordType;
use crate::model::optional::Optional;
use crate::model::places::{Demand, Zone};
use crate::model::text::YesNo;
use crate::model::value::{Id, Named};
use crate::quantity::{ConductorSize, Current, InUnits, Length, Quantity, Temperature};
use crate::rules::Subject;
use crate::tables::ambient::{self, AmbientFactor};
use crate::tables::approvals::market;
use crate::tables::cordage::{self, Cordage, SizeFit};
use crate::tables::couplers::Coupler;
use crate::tables::retention::Retention;
use crate::tables::{Practice, ampacity, made_sizes, minimum_section};

use super::ends::Ends;
use super::offered::{Offered, is_of};

/// What decides which cord it is, besides its length.
#[derive(Clone, Debug)]
pub(super) struct Setting<'a> {
    pub practice: Practice,
    pub ends: Ends,
    /// Jacket colour of its feed; `black` where the site names none.
    pub colour: String,
    /// Whose colour that is; `None` where no feed has one.
    pub feed: Option<String>,
    /// The hottest air that it lies in.
    pub air: Option<Temperature>,
    /// The zone that it lies in.
    pub zone: Option<&'a Named<Zone>>,
    pub length: Length,
    /// The length as it is bought: `1.5 m`, `6 ft`.
    pub bought: String,
    /// What the outlet offers to hold a plug.
    pub outlet_latch: Option<Retention>,
    /// What the inlet offers to hold a connector, beside its pins.
    pub inlet_hold: Option<Retention>,
}

/// A cord in all its properties.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Make {
    /// A type of the site.
    Existing(Id<CordType>),
    /// A new one.
    New(NewType),
}

/// A type that the site does not have yet.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum NewType {
    /// One with all properties of its own.
    Plain(NewMake),
    /// One of a make that somebody offers.
    OfMake(OfMake),
}

/// A type of a make of the site.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OfMake {
    /// The make.
    pub make: String,
    /// The make as far as it gives a type its name: plug, connector, rating.
    pub ends: [String; 3],
    /// The length as it is bought.
    pub bought: String,
    pub colour: String,
}

/// A cord that the site has no type of.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NewMake {
    pub plug: &'static Coupler,
    pub connector: &'static Coupler,
    pub conductor: ConductorSize,
    pub cordage: &'static Cordage,
    pub length: Length,
    /// The length as it is bought.
    pub bought: String,
    pub rating: Current,
    pub colour: String,
    pub approval: Option<String>,
    /// What holds the plug, and what the connector.
    pub retention: Option<(Retention, Retention)>,
    /// The way the connector leaves the device.
    pub angle: Option<&'static str>,
}

/// A property with what decided it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    /// `conductor`, `cordage`, …
    pub property: &'static str,
    /// What it is.
    pub is: String,
    /// Why.
    pub because: String,
}

/// How far down each list of candidates a choice has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Tried {
    existing: usize,
    sizes: usize,
    cordages: usize,
    retentions: usize,
    approvals: usize,
    angles: usize,
}

impl Tried {
    /// Goes on to the next candidate where a rule of this subject has found something of a cord, and says of which
    /// property; `None` where no property of a cord answers for it.
    pub fn step(&mut self, subject: Subject, make: &Make, rule: &str) -> Option<&'static str> {
        match make {
            Make::Existing(_) => {
                self.existing += 1;
                return Some("type");
            }
            Make::New(NewType::OfMake(_)) => {
                self.existing += 1;
                return Some("make");
            }
            Make::New(NewType::Plain(_)) => {}
        }
        let (list, property) = match (subject, rule) {
            (_, "approval-missing") => (&mut self.approvals, "approval"),
            (Subject::Jackets, _) => (&mut self.cordages, "cordage"),
            (Subject::Conductors, _) => (&mut self.sizes, "conductor"),
            (Subject::Retention, _) => (&mut self.retentions, "retention"),
            (_, "angle-clash") => (&mut self.angles, "angle"),
            _ => return None,
        };
        *list += 1;
        Some(property)
    }
}

/// The ways of leaving the device, the plainest first.
const ANGLES: [Option<&str>; 5] = [None, Some("down"), Some("up"), Some("left"), Some("right")];
/// Cordages by practice as they are asked for first (common practice).
const USUAL_IEC: [&str; 6] = [
    "H05VV-F",
    "H05Z1Z1-F",
    "H05V2V2-F",
    "H05RR-F",
    "H05RN-F",
    "H07RN-F",
];
const USUAL_NEC: [&str; 5] = ["SJT", "SJTW", "SJTOW", "SJOOW", "SOOW"];
const USUAL_JAPAN: [&str; 2] = ["VCTF", "HVCTF"];

/// The cord for a setting, as far down the candidates as was tried; `None` where there are no more.
pub(super) fn make(
    analysis: &Analysis<'_>,
    setting: &Setting<'_>,
    tried: Tried,
    thin: Option<Current>,
) -> Option<(Make, Vec<Why>)> {
    let (new, why) = new_make(analysis, setting, tried, thin)?;
    let types = analysis.model.cord_types.iter();
    let existing: Vec<Id<CordType>> = types
        .filter(|(_, kind)| is_alike(&kind.item, setting) && is_no_thinner(&kind.item, &new))
        .map(|(kind, _)| kind)
        .collect();
    if let Some(kind) = existing.get(tried.existing) {
        let why = Why {
            property: "type",
            is: analysis.model.cord_types[*kind].name.value.to_string(),
            because: "a type that the site has already serves here".into(),
        };
        return Some((Make::Existing(*kind), vec![why]));
    }
    let Some(offered) = Offered::of(analysis) else {
        return Some((Make::New(NewType::Plain(new)), why));
    };
    let place = (setting.length, setting.colour.as_str());
    let makes = offered.that_make(&setting.ends, place, thin.is_some());
    let makes = makes.into_iter();
    let mut thick = makes.filter(|make| is_no_thinner(&analysis.model.cord_makes[*make], &new));
    thick
        .nth(tried.existing - existing.len())
        .map(|make| of_make(analysis, setting, make))
}

/// A new type of a make of the site.
fn of_make(analysis: &Analysis<'_>, setting: &Setting<'_>, make: Id<CordType>) -> (Make, Vec<Why>) {
    let item = &analysis.model.cord_makes[make];
    let name = item.name.value.to_string();
    let rating = item.rating.known().unwrap_or(&setting.ends.rated);
    let why = Why {
        property: "make",
        is: name.clone(),
        because: format!("it is offered in {}, {}", setting.bought, setting.colour),
    };
    let new = OfMake {
        make: name,
        ends: [
            setting.ends.plug.name.clone(),
            setting.ends.connector.name.clone(),
            rating.show(),
        ],
        bought: setting.bought.clone(),
        colour: setting.colour.clone(),
    };
    (
        Make::New(NewType::OfMake(new)),
        vec![of_ends(setting), why, of_colour(setting)],
    )
}

/// Whether a type of the site has the ends, the length and the colour that are asked for.
fn is_alike(kind: &CordType, setting: &Setting<'_>) -> bool {
    let colour = kind.colour.known();
    is_of(kind, &setting.ends, setting.length)
        && colour.is_some_and(|own| crate::analysis::is_same_colour(own, &setting.colour))
}

/// Whether its conductors are no thinner than those of a cord of the tables; its cordage may be another.
fn is_no_thinner(kind: &CordType, new: &NewMake) -> bool {
    let size = kind.conductor.known();
    size.is_some_and(|size| size.area() >= new.conductor.area())
}

fn new_make(
    analysis: &Analysis<'_>,
    setting: &Setting<'_>,
    tried: Tried,
    thin: Option<Current>,
) -> Option<(NewMake, Vec<Why>)> {
    let (cordage, of_cordage) = cordages(analysis, setting)
        .into_iter()
        .nth(tried.cordages)?;
    let (conductor, of_size) = size(setting, cordage, tried.sizes, thin)?;
    let (approval, of_approval) = approval(analysis, tried.approvals)?;
    let retention = *retentions(setting).get(tried.retentions)?;
    let angle = *ANGLES.get(tried.angles)?;
    let mut why = vec![of_ends(setting), of_size, of_cordage, of_colour(setting)];
    why.extend(of_approval);
    why.extend(retention.map(|(plug, connector)| Why {
        property: "retention",
        is: format!("{} and {}", plug.word(), connector.word()),
        because: "its place asks for ends that are held".to_owned(),
    }));
    why.extend(angle.map(|angle| Why {
        property: "angle",
        is: angle.into(),
        because: "a straight one has no room behind the device".into(),
    }));
    let make = NewMake {
        plug: setting.ends.plug,
        connector: setting.ends.connector,
        conductor,
        cordage,
        length: setting.length,
        bought: setting.bought.clone(),
        rating: setting.ends.rated,
        colour: setting.colour.clone(),
        approval,
        retention,
        angle,
    };
    Some((make, why))
}

/// What can hold the two ends, the plainest first: a plug is held by its outlet or not at all, a connector by jaws on
/// the pins of any inlet, or by what its inlet offers.
fn retentions(setting: &Setting<'_>) -> Vec<Option<(Retention, Retention)>> {
    let plug = setting.outlet_latch.unwrap_or(Retention::None);
    let held = |connector| Some((plug, connector));
    let mut all = vec![None, held(Retention::PinGrip)];
    all.extend(setting.inlet_hold.map(held));
    all
}

fn of_ends(setting: &Setting<'_>) -> Why {
    let Ends {
        plug,
        connector,
        rated,
        ..
    } = &setting.ends;
    Why {
        property: "couplers",
        is: format!("{} to {}", plug.name, connector.name),
        because: format!("outlet and inlet take them; the set bears {}", rated.show()),
    }
}

fn of_colour(setting: &Setting<'_>) -> Why {
    Why {
        property: "colour",
        is: setting.colour.clone(),
        because: match &setting.feed {
            Some(feed) => format!("the colour of feed {feed}"),
            None => "no feed of the site has a colour".into(),
        },
    }
}

/// Cordages that its place takes as far as the tables know: first those of the site's own types, then the usual
/// ones.
fn cordages(analysis: &Analysis<'_>, setting: &Setting<'_>) -> Vec<(&'static Cordage, Why)> {
    let types = analysis.model.cord_types.items().iter();
    let own = types.filter_map(|kind| kind.cordage.row());
    let mut names: Vec<(String, &str)> = Vec::new();
    names.extend(own.map(|own| (own.name.to_string(), "as the site's other cords")));
    let is_japan = analysis
        .site_country()
        .is_some_and(|country| country.code == "JP");
    let usual: &[&str] = match setting.practice {
        Practice::Nec => &USUAL_NEC,
        Practice::Iec if is_japan => &USUAL_JAPAN,
        Practice::Iec => &USUAL_IEC,
    };
    names.extend(
        usual
            .iter()
            .map(|name| ((*name).to_owned(), "usual here (common practice)")),
    );
    let mut found: Vec<(&'static Cordage, Why)> = Vec::new();
    for (name, because) in names {
        let Some(row) = cordage::find(&name).filter(|row| suits(row, setting)) else {
            continue;
        };
        if found.iter().all(|(known, _)| known.name != row.name) {
            let why = Why {
                property: "cordage",
                is: row.name.to_string(),
                because: because.to_owned() + &of_place(setting),
            };
            found.push((row, why));
        }
    }
    found
}

fn of_place(setting: &Setting<'_>) -> String {
    let asked = setting.zone.map(|zone| asked_by(zone)).unwrap_or_default();
    match (asked.as_slice(), setting.zone) {
        ([], _) | (_, None) => String::new(),
        (asked, Some(zone)) => format!("; zone {} asks for {}", zone.name.value, asked.join(", ")),
    }
}

fn says_yes(word: &Optional<YesNo>) -> bool {
    word.says_yes() == Ok(true)
}

fn is_demanded(demand: &Optional<Demand>) -> bool {
    let written = demand.written().ok().flatten();
    written.is_some_and(|demand| demand.value == Demand::Required)
}

fn asked_by(zone: &Zone) -> Vec<&'static str> {
    let all = [
        (is_demanded(&zone.halogen_free), "no halogen"),
        (says_yes(&zone.wet), "wet places"),
        (says_yes(&zone.oil), "oil"),
    ];
    let asked = all.into_iter().filter(|(is_asked, _)| *is_asked);
    asked.map(|(_, what)| what).collect()
}

/// Whether the tables do not speak against a cordage at its place; what they leave open the judgement asks.
fn suits(row: &Cordage, setting: &Setting<'_>) -> bool {
    let bears_air = setting
        .air
        .is_none_or(|air| row.conductor_temperature > air);
    let is_hot = setting.ends.connector.pin_temperature.as_ref();
    let is_hot = is_hot.is_some_and(|pins| pins.value.in_degrees_celsius() > 70.0);
    let stands_pins = !is_hot || row.insulation.stands_heat();
    let zone = setting.zone.is_none_or(|zone| {
        let service = &row.service;
        (!is_demanded(&zone.halogen_free) || service.halogen_free == Some(true))
            && (!says_yes(&zone.wet) || service.wet == Some(true))
            && (!says_yes(&zone.oil) || service.oil_resistant == Some(true))
    });
    bears_air && stands_pins && zone
}

/// The standard section for the full rating of the set, or only for `thin`, the current that flows; further down
/// the sizes by so many.
fn size(
    setting: &Setting<'_>,
    cordage: &'static Cordage,
    further: usize,
    thin: Option<Current>,
) -> Option<(ConductorSize, Why)> {
    let example = match setting.practice {
        Practice::Iec => None,
        Practice::Nec => Some(ConductorSize::Awg(18)),
    };
    let must = thin.unwrap_or(setting.ends.rated);
    let made = made_sizes::like(example).filter(|size| cordage.size_fit(*size) == SizeFit::Made);
    let mut too_thin = None;
    let mut enough = made.filter(|size| {
        let bears = bears(setting, cordage, *size);
        let is_enough = is_no_thinner_than_least(setting, *size)
            && bears.as_ref().is_some_and(|(bears, _)| *bears >= must);
        if !is_enough {
            too_thin = bears.map(|(bears, basis)| (*size, bears, basis));
        }
        is_enough
    });
    let size = enough.nth(further)?;
    let what = match thin {
        Some(thin) => format!("{} flow at worst (objective cheapest)", thin.show()),
        None => format!(
            "a {} set of {}, {}",
            setting.ends.connector.name,
            must.show(),
            setting.bought
        ),
    };
    let because = match too_thin.filter(|_| further == 0) {
        Some((thinner, bears, basis)) => {
            let least = if is_no_thinner_than_least(setting, thinner) {
                ""
            } else {
                ", and is below the least for such a set"
            };
            format!(
                "{what}; {} bears {}{least} ({basis})",
                thinner.show(),
                bears.show()
            )
        }
        None => what,
    };
    let is = size.show();
    Some((
        size,
        Why {
            property: "conductor",
            is,
            because,
        },
    ))
}

fn is_no_thinner_than_least(setting: &Setting<'_>, size: ConductorSize) -> bool {
    let connector = &setting.ends.connector.name;
    let least = minimum_section::for_connector(connector, setting.length, setting.practice);
    let by_rating = minimum_section::for_set_rating(setting.ends.rated, setting.length);
    let is_enough = |least: Option<&ConductorSize>| {
        least.is_none_or(|least| size.area() >= least.area() * (1.0 - 1e-6))
    };
    let is_nec = setting.practice == Practice::Nec;
    is_enough(least.value()) && (!is_nec || is_enough(by_rating.value()))
}

/// What conductors bear in the air of their place, and by which table.
fn bears(
    setting: &Setting<'_>,
    cordage: &Cordage,
    size: ConductorSize,
) -> Option<(Current, String)> {
    let table = ampacity::flexible(setting.practice, Some(cordage), size, 2);
    let cited = table.cited()?;
    let factor = match setting.air {
        None => 1.0,
        Some(air) => match ambient::for_cord(setting.practice, Some(cordage), size, air) {
            AmbientFactor::Factor(factor) => factor.value.in_parts_of_one().min(1.0),
            AmbientFactor::NotPermitted(_) | AmbientFactor::NotInTable { .. } => return None,
        },
    };
    Some((cited.value * factor, cited.citation.to_string()))
}

/// The mark of approval: as the site's other cords have it, or one that the country takes.
fn approval(analysis: &Analysis<'_>, further: usize) -> Option<(Option<String>, Option<Why>)> {
    let types = analysis.model.cord_types.items().iter();
    let own = types.flat_map(|kind| kind.approvals.words().map(str::to_owned));
    let mut all: Vec<(String, &str)> = own.map(|own| (own, "as the site's other cords")).collect();
    let country = analysis
        .site_country()
        .and_then(|country| market(&country.code));
    let taken = country.into_iter().flat_map(|market| market.marks());
    all.extend(taken.map(|mark| (mark.name.to_string(), "a mark that the country takes")));
    let mut known = std::collections::BTreeSet::new();
    all.retain(|(name, _)| known.insert(name.clone()));
    if all.is_empty() && further == 0 {
        return Some((None, None));
    }
    let (name, because) = all.into_iter().nth(further)?;
    let why = Why {
        property: "approval",
        is: name.clone(),
        because: because.into(),
    };
    Some((Some(name), Some(why)))
}
