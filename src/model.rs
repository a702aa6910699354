//! The site as it is written: typed entities, every field with its place, and the faults met while
//! reading. Nothing here knows electricity.

mod astray;
pub(crate) mod catalogued;
pub(crate) mod circuits;
pub(crate) mod cordage_types;
pub(crate) mod cords;
pub(crate) mod country;
pub(crate) mod coupler_types;
pub(crate) mod decode;
pub mod devices;
pub(crate) mod dual_marks;
pub(crate) mod edition;
pub mod fault;
pub mod flex;
mod half_typed;
pub(crate) mod ingress;
mod inherit;
pub(crate) mod latch_systems;
pub(crate) mod makes;
pub(crate) mod marks;
pub(crate) mod offers;
pub(crate) mod optional;
mod other_half;
pub(crate) mod own;
mod parts;
pub(crate) mod passed_on;
pub(crate) mod pdus;
pub(crate) mod places;
pub(crate) mod receptacle;
pub(crate) mod residual;
pub(crate) mod schema;
mod sense;
mod shared;
pub(crate) mod signed;
pub mod site;
pub(crate) mod snags;
pub mod sources;
pub mod stage;
pub(crate) mod text;
pub(crate) mod transfer;
pub mod value;

use std::mem::take;

use rustc_hash::FxHashSet;

use crate::budget::{Budget, Work};
use crate::source::{FileId, Span};
use crate::yaml::{Kind, NodeId, Tree};

use circuits::{Circuit, Supply};
use cordage_types::OwnCordage;
use cords::{Cord, CordType, Departure};
use coupler_types::OwnCoupler;
use decode::{Key, Reader, Record, record};
use devices::{Device, DeviceModel};
use fault::{Fault, Noted, STAND_IN};
use latch_systems::LatchSystem;
use makes::CordMake;
use offers::{Offer, Purchase, Stored};
use own::OwnParts;
use pdus::{Pdu, PduModel};
use places::{Rack, Zone};
use site::Site;
use snags::Snag;
use stage::ToCome;
use text::clip;
use value::{Field, Joined, Name, Section, Spanned};

pub use astray::may_hold_sections;
pub use half_typed::HalfTyped;
pub use schema::schema;
pub use shared::CATALOGUE;

record! {
    /// The sections of a site's definitions. Any file may hold any of them.
    Sections: "definition file";
    /// The site as a whole.
    "site" => site: Field<Site>,
    /// Parts of the site where the same air, vibration and rules hold.
    "zones" => zones: Section<Zone>,
    /// Racks of the site.
    "racks" => racks: Section<Rack>,
    /// Where the drawing starts: transformers, UPS outputs, generators.
    "supplies" => supplies: Section<Supply>,
    /// Branch circuits.
    "circuits" => circuits: Section<Circuit>,
    /// Kinds of power strip.
    "pdu-models" => pdu_models: Section<PduModel>,
    /// Power strips of the site.
    "pdus" => pdus: Section<Pdu>,
    /// Kinds of equipment.
    "device-models" => device_models: Section<DeviceModel>,
    /// Devices of the site.
    "devices" => devices: Section<Device>,
    /// Couplers that the tables lack, described from papers of the site's own.
    "coupler-types" => coupler_types: Section<OwnCoupler>,
    /// Cordages that the tables lack, described from papers of the site's own.
    "cordage-types" => cordage_types: Section<OwnCordage>,
    /// Latches that hold in mates of their own system only.
    "latch-systems" => latch_systems: Section<LatchSystem>,
    /// Cords as their makers make them, without length, colour and price.
    "cord-makes" => cord_makes: Section<CordMake>,
    /// Kinds of cord set.
    "cord-types" => cord_types: Section<CordType>,
    /// Cords of the site.
    "cords" => cords: Section<Cord>,
    /// What suppliers offer of makes.
    "offers" => offers: Section<Offer>,
    /// Orders that were placed.
    "orders" => orders: Section<Purchase>,
    /// Cords in store, by type.
    "store" => store: Section<Stored>,
    /// Recorded deviations from rules.
    "departures" => departures: Vec<Spanned<Departure>>,
}

/// What one file holds.
#[derive(Clone, Debug, Default)]
pub struct Fragment {
    sections: Sections,
    snags: Vec<Spanned<Snag>>,
    faults: Vec<Noted>,
    half_typed: Vec<HalfTyped>,
    /// Whether any of our sections is in the file, or what is surely meant to be one.
    pub has_sections: bool,
    /// Whether a part of the file could not be read.
    pub is_broken: bool,
}

impl Fragment {
    /// A file that could not be read at all.
    pub fn unread() -> Self {
        Self {
            is_broken: true,
            ..Self::default()
        }
    }

    /// A file that only stands in for another, as `fault` says.
    pub fn stand_in(fault: Fault) -> Self {
        Self {
            faults: vec![Noted::new(fault, [STAND_IN.into()])],
            ..Self::unread()
        }
    }

    /// A fragment made of sections and faults that were read before, as an editor does that judges a
    /// part of a site.
    pub fn of(sections: Sections, faults: Vec<Noted>) -> Self {
        Self {
            sections,
            faults,
            has_sections: true,
            ..Self::default()
        }
    }

    /// The sections.
    pub fn sections(&self) -> &Sections {
        &self.sections
    }

    /// What was wrong with the file as written.
    pub fn faults(&self) -> &[Noted] {
        &self.faults
    }

    /// Things of the file whose text breaks off.
    pub fn half_typed(&self) -> &[HalfTyped] {
        &self.half_typed
    }

    /// Adds what was wrong with the file before its sections were read.
    pub fn add_problems(&mut self, problems: impl Iterator<Item = Fault>) {
        let noted = problems.map(|problem| Noted::new(problem, []));
        self.faults.extend(noted);
    }

    /// Why a part of the file could not be read: what is said of the first such place.
    pub fn why_broken(&self) -> Option<String> {
        let unreadable = self.faults.iter().filter(|_| self.is_broken);
        let first = unreadable.filter_map(Noted::unreadable).min()?;
        Some(first.1)
    }
}

/// Reads the sections of one file.
pub fn read(tree: &Tree) -> Fragment {
    read_within(tree, &Budget::default())
}

/// The same with so many visits to what is merged as the budget allows.
pub fn read_within(tree: &Tree, budget: &Budget) -> Fragment {
    let mut reader = Reader::new(tree, budget);
    let (mut sections, mut again, mut half_typed) = (Sections::default(), Vec::new(), Vec::new());
    let (ours, others): (Vec<NodeId>, _) =
        tree.roots().iter().partition(|&&root| is_ours(tree, root));
    for &root in &ours {
        let mut document: Sections = reader.record(root, None);
        point_at_key(tree, root, &mut document.site);
        sections.absorb(document, &mut again);
        half_typed.extend(half_typed::of(tree, root, &reader));
    }
    let told_later = reader.told_later();
    let (mut faults, is_whole) = reader.finish();
    half_typed::add_missed(&mut half_typed, &faults, &told_later);
    let (astray, is_searched) = astray::faults(tree, &others, budget);
    let has_sections = !ours.is_empty() || !astray.is_empty();
    let outside = foreign_tags(tree, &ours).chain(astray);
    faults.extend(outside.map(|fault| Noted::new(fault, [])));
    faults.extend(again);
    Fragment {
        has_sections,
        is_broken: !tree.is_complete()
            || !is_whole
            || !is_searched
            || faults.iter().any(hides_section),
        sections,
        faults,
        snags: Vec::new(),
        half_typed,
    }
}

/// Reads the sections of one file that many sites share: those of a catalogue.
pub fn read_shared_within(tree: &Tree, budget: &Budget) -> Fragment {
    let mut fragment = read_within(tree, budget);
    shared::keep_catalogue(tree, &mut fragment);
    fragment
}

/// Whether a section is likely not read for the sake of its name or its place: what is not found may
/// stand in it.
fn hides_section(noted: &Noted) -> bool {
    let at_top = noted.path.is_empty();
    match &noted.fault {
        Fault::UnknownKey { nearest, .. } => at_top && nearest.is_some(),
        Fault::Astray { .. } => true,
        _ => false,
    }
}

/// Tags in the documents that are ours and that mean nothing here. What other documents say by theirs
/// is their own affair.
fn foreign_tags(tree: &Tree, ours: &[NodeId]) -> impl Iterator<Item = Fault> {
    let tags = tree.foreign_tags();
    let ours: FxHashSet<NodeId> = ours.iter().copied().collect();
    let tags = tags.filter(move |(node, _)| ours.contains(&tree.root_of(*node)));
    tags.take(MOST_TAGS + 1)
        .enumerate()
        .map(|(number, (_, span))| Fault::Unreadable {
            span,
            message: match number {
                MOST_TAGS => {
                    format!("There are more than {MOST_TAGS} tags; the rest are left out.")
                }
                _ => format!("The tag '{}' has no meaning here.", clip(tree.source(span))),
            },
            advice: "Remove it; if the '!' is part of the text, put the whole value in quotes."
                .into(),
            related: None,
        })
}

/// More tags than anyone would take away by hand; a hostile file could have millions.
const MOST_TAGS: usize = 1_000;

/// A site is shown by the word `site`, not by all that it holds.
fn point_at_key(tree: &Tree, root: NodeId, site: &mut Field<Site>) {
    let key = tree.pairs(root).find(|(key, _)| tree.text(*key) == "site");
    if let (Field::Given(site), Some((key, _))) = (site, key) {
        site.span = tree.span(key);
    }
}

/// Whether a document is a mapping with at least one of our sections; others are not ours to judge.
fn is_ours(tree: &Tree, root: NodeId) -> bool {
    tree.kind(root) == Kind::Mapping
        && tree.pairs(root).any(|(key, _)| {
            Sections::KEYS
                .iter()
                .any(|known: &Key| known.name == tree.text(key))
        })
}

impl Sections {
    fn absorb(&mut self, other: Self, faults: &mut Vec<Noted>) {
        match (self.site.span(), other.site.span()) {
            (Some(first), Some(again)) => faults.push(Noted::new(
                Fault::Repeated {
                    name: "site".into(),
                    what: "section",
                    first,
                    again,
                },
                ["site".into()],
            )),
            (Some(_), None) => {}
            (None, _) => self.site = other.site,
        }
        self.zones.append(other.zones);
        self.racks.append(other.racks);
        self.supplies.append(other.supplies);
        self.circuits.append(other.circuits);
        self.pdu_models.append(other.pdu_models);
        self.pdus.append(other.pdus);
        self.device_models.append(other.device_models);
        self.devices.append(other.devices);
        self.coupler_types.append(other.coupler_types);
        self.cordage_types.append(other.cordage_types);
        self.latch_systems.append(other.latch_systems);
        self.cord_makes.append(other.cord_makes);
        self.cord_types.append(other.cord_types);
        self.cords.append(other.cords);
        self.offers.append(other.offers);
        self.orders.append(other.orders);
        self.store.append(other.store);
        self.departures.extend(other.departures);
    }
}

/// All definitions of a site.
#[derive(Clone, Debug, Default)]
pub struct Model {
    /// The site as a whole; all unknown if there is no `site:` section.
    pub site: Site,
    /// Parts of the site.
    pub zones: Section<Zone>,
    /// Racks.
    pub racks: Section<Rack>,
    /// Supplies.
    pub supplies: Section<Supply>,
    /// Branch circuits.
    pub circuits: Section<Circuit>,
    /// Kinds of power strip.
    pub pdu_models: Section<PduModel>,
    /// Power strips.
    pub pdus: Section<Pdu>,
    /// Kinds of equipment.
    pub device_models: Section<DeviceModel>,
    /// Devices.
    pub devices: Section<Device>,
    /// Couplers of the site's own.
    pub coupler_types: Section<OwnCoupler>,
    /// Cordages of the site's own.
    pub cordage_types: Section<OwnCordage>,
    /// Latch systems of the site's own.
    pub latch_systems: Section<LatchSystem>,
    /// The parts of the site's own, as far as enough is said of them to judge by.
    pub own_parts: OwnParts,
    /// Cords as their makers make them: types of which length, colour and price are not known.
    pub cord_makes: Section<CordType>,
    /// Kinds of cord set.
    pub cord_types: Section<CordType>,
    /// Cords.
    pub cords: Section<Cord>,
    /// What suppliers offer.
    pub offers: Section<Offer>,
    /// Orders that were placed.
    pub orders: Section<Purchase>,
    /// Cords in store, by type.
    pub store: Section<Stored>,
    /// Of the site as it hangs now, the ends that cords to come will feed; empty otherwise.
    to_come: ToCome,
    /// Recorded deviations.
    pub departures: Vec<Spanned<Departure>>,
    /// Findings that the snag list accepts as known.
    pub snags: Vec<Spanned<Snag>>,
    /// Files of catalogues, which other sites may read as well.
    pub shared_files: FxHashSet<FileId>,
    /// What was wrong with the definitions as written.
    pub faults: Vec<Noted>,
    /// Things whose text breaks off.
    pub half_typed: Vec<HalfTyped>,
    /// Whether a part of the definitions could not be read: what is not found may stand there.
    pub is_incomplete: bool,
    /// Where the definitions make more of themselves than the budget allows, and why the rest of them is
    /// left out.
    pub cut: Option<(Span, String)>,
}

impl Model {
    /// Puts the fragments of a site's files together. Fragments come in order of path, so that the
    /// first of two things of one name is the same on every run. `root` is the file in which the
    /// `site:` section belongs.
    pub fn assemble(fragments: Vec<Fragment>, root: FileId) -> Self {
        Self::assemble_within(fragments, root, &Budget::default())
    }

    /// The same with so many parts of things as the budget allows.
    pub fn assemble_within(mut fragments: Vec<Fragment>, root: FileId, budget: &Budget) -> Self {
        let mut sections = Sections::default();
        let (mut snags, mut faults, mut half_typed) = (Vec::new(), Vec::new(), Vec::new());
        // Without a file there is no place to point at.
        let mut is_incomplete = fragments.is_empty();
        let (devices, cords) = long_sections(&mut fragments);
        for fragment in fragments {
            is_incomplete |= fragment.is_broken;
            faults.extend(fragment.faults);
            snags.extend(fragment.snags);
            half_typed.extend(fragment.half_typed);
            sections.absorb(fragment.sections, &mut faults);
        }
        let has_site = !sections.site.is_absent();
        let mut model = Self::from_sections(sections);
        (model.devices, model.cords) = (devices.section, cords.section);
        note_repeated::<Device>(devices.repeated, &mut faults);
        note_repeated::<Cord>(cords.repeated, &mut faults);
        model.index_names(&mut faults);
        model.site.check_label(&mut faults);
        model.site.check_names(&mut faults);
        model.own_parts = own::resolve(&mut model, is_incomplete, &mut faults);
        makes::to_types(&mut model, budget, &mut faults);
        dual_marks::settle(&mut model);
        sense::check(&mut model, &mut faults);
        inherit::to_circuits(&mut model.circuits, &model.site);
        if !has_site && !is_incomplete {
            faults.push(no_site(root));
        }
        let too_many = parts::keep_within(&mut model, budget);
        model.snags = snags;
        model.is_incomplete = is_incomplete || too_many.is_some();
        let too_many = too_many.or(keep_first(&mut faults, budget));
        model.cut = too_many.as_ref().and_then(Noted::unreadable);
        faults.extend(too_many);
        model.faults = faults;
        model.half_typed = half_typed;
        model
    }

    fn from_sections(sections: Sections) -> Self {
        let site = match sections.site {
            Field::Given(site) => site.value,
            Field::Absent | Field::Unreadable(_) => Site::default(),
        };
        Self {
            site,
            zones: sections.zones,
            racks: sections.racks,
            supplies: sections.supplies,
            circuits: sections.circuits,
            pdu_models: sections.pdu_models,
            pdus: sections.pdus,
            device_models: sections.device_models,
            devices: sections.devices,
            coupler_types: sections.coupler_types,
            cordage_types: sections.cordage_types,
            latch_systems: sections.latch_systems,
            own_parts: OwnParts::default(),
            cord_makes: makes::as_types(sections.cord_makes),
            cord_types: sections.cord_types,
            cords: sections.cords,
            offers: sections.offers,
            orders: sections.orders,
            store: sections.store,
            to_come: ToCome::default(),
            departures: sections.departures,
            snags: Vec::new(),
            shared_files: FxHashSet::default(),
            faults: Vec::new(),
            half_typed: Vec::new(),
            is_incomplete: false,
            cut: None,
        }
    }

    /// Whether other sites may share what stands at a place.
    pub fn is_shared(&self, at: Span) -> bool {
        self.shared_files.contains(&at.file)
    }

    /// The names of all things, in no order that means anything.
    pub fn names(&self) -> impl Iterator<Item = &Spanned<Name>> {
        let places = self.zones.names().chain(self.racks.names());
        let fixed = self.supplies.names().chain(self.circuits.names());
        let strips = self.pdu_models.names().chain(self.pdus.names());
        let loads = self.device_models.names().chain(self.devices.names());
        let cords = self.cord_types.names().chain(self.cords.names());
        let parts = self.coupler_types.names().chain(self.cordage_types.names());
        let parts = parts.chain(self.latch_systems.names());
        let bought = self.cord_makes.names().chain(self.offers.names());
        let bought = bought.chain(self.orders.names()).chain(self.store.names());
        let things = places.chain(fixed).chain(strips).chain(loads);
        things.chain(parts).chain(cords).chain(bought)
    }

    /// Makes the names of all but the long sections findable.
    fn index_names(&mut self, faults: &mut Vec<Noted>) {
        index(&mut self.site.feeds, faults);
        index(&mut self.site.levels, faults);
        index(&mut self.zones, faults);
        index(&mut self.racks, faults);
        index(&mut self.supplies, faults);
        index(&mut self.circuits, faults);
        index(&mut self.pdu_models, faults);
        index(&mut self.pdus, faults);
        index(&mut self.device_models, faults);
        index(&mut self.coupler_types, faults);
        index(&mut self.cordage_types, faults);
        index(&mut self.latch_systems, faults);
        index(&mut self.cord_makes, faults);
        index(&mut self.cord_types, faults);
        index(&mut self.offers, faults);
        index(&mut self.orders, faults);
        index(&mut self.store, faults);
    }
}

/// The devices and the cords of all files, out of their fragments: the two long sections, put together
/// and indexed side by side.
fn long_sections(fragments: &mut [Fragment]) -> (Joined<Device>, Joined<Cord>) {
    let sections = fragments.iter_mut().map(|fragment| &mut fragment.sections);
    let parts = sections.map(|sections| (take(&mut sections.devices), take(&mut sections.cords)));
    let (devices, cords): (Vec<_>, Vec<_>) = parts.unzip();
    rayon::join(|| Section::join(devices), || Section::join(cords))
}

/// Keeps the first faults, as many as the budget allows.
fn keep_first(faults: &mut Vec<Noted>, budget: &Budget) -> Option<Noted> {
    let most = budget.count(Work::Faults);
    let first = faults.get(most)?.fault.span();
    faults.truncate(most);
    let fault = Fault::Unreadable {
        span: first,
        message: format!(
            "The definitions have more than {most} faults as they are written; from here on they are not told, and what they hide is not judged."
        ),
        advice: "Put the others right first.".into(),
        related: None,
    };
    Some(Noted::new(fault, []))
}

fn index<T: Record>(section: &mut Section<T>, faults: &mut Vec<Noted>) {
    note_repeated::<T>(section.index_names(), faults);
}

/// Names that are given twice, each with both places.
fn note_repeated<T: Record>(repeated: Vec<(Spanned<Name>, Span)>, faults: &mut Vec<Noted>) {
    for (first, again) in repeated {
        let thing = first.value.clone();
        let fault = Fault::Repeated {
            name: first.value,
            what: T::WHAT,
            first: first.span,
            again,
        };
        faults.push(Noted::new(fault, [T::WHAT.into(), thing]));
    }
}

/// No file has a `site:` section; it is missed at the start of the file where it belongs.
fn no_site(root: FileId) -> Noted {
    let fault = Fault::MissingKey {
        span: Span::new(root, 0, 0),
        owner: "definition",
        name: Name::default(),
        key: "site",
        holds: Sections::KEYS.first().map_or("", |key| key.doc),
    };
    Noted::new(fault, ["site".into()])
}
