//! Judging the part of a site that an edit touches.
//!
//! A part holds everything that any island may refer to (models, types, racks, zones, the site
//! itself) and of the rest only some islands. What a rule says of the site as a whole is not to be
//! had from a part; but such sayings are the same before and after an edit, and only the difference
//! is used.

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

use rustc_hash::FxHashSet;

use crate::finding::Finding;
use crate::graph::LinkFault;
use crate::judgement::{FileRead, Settings, Site};
use crate::model::value::{Id, Named, Section};
use crate::model::{Fragment, HalfTyped, Model, Sections};
use crate::policy::Policy;
use crate::source::{FileId, Span};

use super::file::OpenFile;
use super::islands::{Island, Islands};
use super::names::{Kind, Mention, visit};
use super::whole::{Whole, standing};

/// Cords above which a part is no quicker than may be waited for; the whole comes then.
const MOST_CORDS: usize = 8_000;

/// Some islands.
pub(super) type Touched = BTreeSet<Island>;

/// The islands that the change of one file from `old` to `new` reaches; `None` if it may reach
/// everything, or too much to be quick.
pub(super) fn touched(whole: &Whole, old: &FileRead, new: &FileRead) -> Option<Touched> {
    let has_site = |read: &FileRead| !read.fragment.sections().site.is_absent();
    let has_anchors = |read: &FileRead| read.source.text.contains(['&', '*']);
    if has_site(old) || has_site(new) || has_anchors(old) && has_anchors(new) {
        return None;
    }
    // Islands are of the site as planned: what hangs besides is on none.
    if whole.site.fitted.is_some() {
        return None;
    }
    let (before, after) = (entries(old), entries(new));
    let mut search = Search {
        whole,
        touched: Touched::new(),
        everything: false,
    };
    search.add(old, &changed(&before, &after));
    search.add(new, &changed(&after, &before));
    let members = |island: &Island| whole.islands.members(*island);
    let cords = search.touched.iter().filter_map(members);
    let cords: usize = cords.map(|members| members.cords.len()).sum();
    (!search.everything && cords <= MOST_CORDS).then_some(search.touched)
}

/// A definition of a file: its section, and its text from the name on.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Entry<'a> {
    section: &'static str,
    name: &'a str,
    text: &'a str,
    lo: u32,
    hi: u32,
}

impl Entry<'_> {
    fn key(&self) -> (&'static str, &str, &str) {
        (self.section, self.name, self.text)
    }
}

fn entries(read: &FileRead) -> Vec<Entry<'_>> {
    fn add<'a, T>(
        entries: &mut Vec<Entry<'a>>,
        read: &'a FileRead,
        section: &'static str,
        items: &'a Section<T>,
    ) {
        entries.extend(items.items().iter().map(|item| {
            entry(
                read,
                section,
                &item.name.value,
                item.name.span.to(item.body),
            )
        }));
    }
    let sections = read.fragment.sections();
    let mut all = Vec::new();
    add(&mut all, read, "zones", &sections.zones);
    add(&mut all, read, "racks", &sections.racks);
    add(&mut all, read, "supplies", &sections.supplies);
    add(&mut all, read, "circuits", &sections.circuits);
    add(&mut all, read, "pdu-models", &sections.pdu_models);
    add(&mut all, read, "pdus", &sections.pdus);
    add(&mut all, read, "device-models", &sections.device_models);
    add(&mut all, read, "devices", &sections.devices);
    add(&mut all, read, "coupler-types", &sections.coupler_types);
    add(&mut all, read, "cordage-types", &sections.cordage_types);
    add(&mut all, read, "latch-systems", &sections.latch_systems);
    add(&mut all, read, "cord-makes", &sections.cord_makes);
    add(&mut all, read, "cord-types", &sections.cord_types);
    add(&mut all, read, "cords", &sections.cords);
    add(&mut all, read, "offers", &sections.offers);
    add(&mut all, read, "orders", &sections.orders);
    add(&mut all, read, "store", &sections.store);
    for departure in &sections.departures {
        all.push(entry(read, "departures", "", departure.span));
    }
    all
}

fn entry<'a>(read: &'a FileRead, section: &'static str, name: &'a str, span: Span) -> Entry<'a> {
    Entry {
        section,
        name,
        text: read.source.text.get(span.range()).unwrap_or_default(),
        lo: span.lo,
        hi: span.hi,
    }
}

/// Where those of `entries` stand that are not among `others`.
fn changed(entries: &[Entry<'_>], others: &[Entry<'_>]) -> Vec<Range<u32>> {
    let others: FxHashSet<_> = others.iter().map(Entry::key).collect();
    let changed = entries
        .iter()
        .filter(|entry| !others.contains(&entry.key()));
    changed.map(|entry| entry.lo..entry.hi + 1).collect()
}

struct Search<'w> {
    whole: &'w Whole,
    touched: Touched,
    everything: bool,
}

impl Search<'_> {
    /// Adds the islands of all that is named within `ranges` of a file.
    fn add(&mut self, read: &FileRead, ranges: &[Range<u32>]) {
        visit(read.fragment.sections(), &mut |mention| {
            if ranges.iter().any(|range| range.contains(&mention.span.lo)) {
                self.mention(mention);
            }
        });
    }

    fn mention(&mut self, mention: Mention<'_>) {
        let name = mention.text();
        for &kind in mention.kinds {
            self.thing(kind, name);
            if mention.defines {
                self.users(kind, name);
            }
        }
    }

    fn thing(&mut self, kind: Kind, name: &str) {
        let model = &self.whole.site.model;
        let islands = &self.whole.islands;
        let island = match kind {
            Kind::Supply => model.supplies.find(name).map(|id| islands.of_supply(id)),
            Kind::Circuit => model.circuits.find(name).map(|id| islands.of_circuit(id)),
            Kind::Pdu => model.pdus.find(name).map(|id| islands.of_pdu(id)),
            Kind::Device => model.devices.find(name).map(|id| islands.of_device(id)),
            Kind::Cord => model.cords.find(name).map(|id| islands.of_cord(id)),
            _ => None,
        };
        self.touched.extend(island);
    }

    /// What refers to a definition: to a model or type by its links, to a name that was nowhere
    /// before by the fault that says so.
    fn users(&mut self, kind: Kind, name: &str) {
        let (model, links) = (&self.whole.site.model, &self.whole.site.graph.links);
        let islands = &self.whole.islands;
        match kind {
            Kind::Feed | Kind::Zone | Kind::CouplerType | Kind::CordageType | Kind::LatchSystem => {
                self.everything = true
            }
            Kind::Rack => {
                let rack = model.racks.find(name);
                let pdus = with(&links.pdu_racks, rack);
                self.touched.extend(pdus.map(|id| islands.of_pdu(id)));
                let devices = with(&links.device_racks, rack);
                self.touched.extend(devices.map(|id| islands.of_device(id)));
            }
            Kind::PduModel => {
                let pdus = with(&links.pdu_models, model.pdu_models.find(name));
                self.touched.extend(pdus.map(|id| islands.of_pdu(id)));
            }
            Kind::DeviceModel => {
                let devices = with(&links.device_models, model.device_models.find(name));
                self.touched.extend(devices.map(|id| islands.of_device(id)));
            }
            Kind::CordMake => match model.cord_makes.find(name) {
                Some(make) => {
                    let types = with(&links.makes, Some(make)).collect::<Vec<_>>();
                    let cords = types
                        .into_iter()
                        .flat_map(|kind| with(&links.cord_types, Some(kind)));
                    self.touched.extend(cords.map(|id| islands.of_cord(id)));
                }
                // Types may have named it in vain.
                None => self.everything = true,
            },
            Kind::CordType => {
                let cords = with(&links.cord_types, model.cord_types.find(name));
                self.touched.extend(cords.map(|id| islands.of_cord(id)));
            }
            _ => self.lost(name),
        }
    }

    fn lost(&mut self, name: &str) {
        let whole = self.whole;
        for fault in &whole.site.graph.faults {
            let LinkFault::UnknownName {
                reference, owner, ..
            } = fault
            else {
                continue;
            };
            let head = reference
                .rsplit_once('/')
                .map_or(reference.as_str(), |(head, _)| head);
            if head == name || reference == name {
                for kind in [Kind::Circuit, Kind::Pdu, Kind::Device, Kind::Cord] {
                    self.thing(kind, owner);
                }
            }
        }
    }
}

/// The things that refer to `target`.
fn with<A, B>(links: &[Option<Id<B>>], target: Option<Id<B>>) -> impl Iterator<Item = Id<A>> {
    let links = links.iter().enumerate();
    let those = links.filter(move |(_, to)| to.is_some() && **to == target);
    those.map(|(index, _)| Id::new(index))
}

/// What is found on some islands, `read` taking the place of the file it is of. Places are where the
/// texts that were read have them.
pub(super) fn judge(
    whole: &Whole,
    files: &[OpenFile],
    touched: &Touched,
    (file, read): (FileId, &Arc<FileRead>),
    settings: &Settings,
) -> Vec<Finding> {
    let mut dirty: Vec<Option<&FileRead>> = files
        .iter()
        .zip(&whole.reads)
        .map(|(now, then)| (!Arc::ptr_eq(now.read(), then)).then_some(&**now.read()))
        .collect();
    dirty[file.0 as usize] = Some(read);
    let part = Part {
        whole,
        touched,
        dirty,
    };
    let fragment = Fragment::of(part.sections(files), read.fragment.faults().to_vec());
    let mut model = Model::assemble(vec![fragment], FileId(0));
    model.is_incomplete = whole.site.model.is_incomplete;
    model.shared_files = whole.site.model.shared_files.clone();
    model.half_typed = part.half_typed(files);
    let mut site = Site::staged(model, &settings.budget);
    let outcome = site.said(settings.today, &[Policy::of(&site.model)], |_| true);
    site.model.snags = whole.site.model.snags.clone();
    standing(&site.model, settings.today, outcome.findings)
}

struct Part<'a> {
    whole: &'a Whole,
    touched: &'a Touched,
    /// For each file, what counts now where that is not what the whole was made of.
    dirty: Vec<Option<&'a FileRead>>,
}

/// The things of one kind on an island.
type Of<T> = fn(&super::islands::Members) -> &[Id<T>];

impl Part<'_> {
    fn sections(&self, files: &[OpenFile]) -> Sections {
        let model = &self.whole.site.model;
        let mut sections = Sections::default();
        for (index, file) in files.iter().enumerate() {
            let read = self.dirty[index].unwrap_or(file.read());
            let site = &read.fragment.sections().site;
            if sections.site.is_absent() {
                sections.site = site.clone();
            }
        }
        sections.zones = self.shared(&model.zones, |s| &s.zones);
        sections.racks = self.shared(&model.racks, |s| &s.racks);
        sections.pdu_models = self.shared(&model.pdu_models, |s| &s.pdu_models);
        sections.device_models = self.shared(&model.device_models, |s| &s.device_models);
        sections.coupler_types = self.shared(&model.coupler_types, |s| &s.coupler_types);
        sections.cordage_types = self.shared(&model.cordage_types, |s| &s.cordage_types);
        sections.latch_systems = self.shared(&model.latch_systems, |s| &s.latch_systems);
        sections.cord_makes = self.written(files, |s| &s.cord_makes);
        sections.cord_types = self.written(files, |s| &s.cord_types);
        sections.offers = self.written(files, |s| &s.offers);
        sections.orders = self.written(files, |s| &s.orders);
        sections.store = self.written(files, |s| &s.store);
        sections.supplies = self.some(
            &model.supplies,
            |s| &s.supplies,
            |m| &m.supplies,
            Islands::of_supply,
        );
        sections.circuits = self.some(
            &model.circuits,
            |s| &s.circuits,
            |m| &m.circuits,
            Islands::of_circuit,
        );
        sections.pdus = self.some(&model.pdus, |s| &s.pdus, |m| &m.pdus, Islands::of_pdu);
        sections.devices = self.some(
            &model.devices,
            |s| &s.devices,
            |m| &m.devices,
            Islands::of_device,
        );
        sections.cords = self.some(&model.cords, |s| &s.cords, |m| &m.cords, Islands::of_cord);
        let departures = model.departures.iter();
        let standing = departures.filter(|departure| self.is_clean(departure.span.file));
        let own = self.dirty_sections().flat_map(|s| &s.departures);
        sections.departures = standing.chain(own).cloned().collect();
        sections.departures.sort_by_key(|departure| departure.span);
        sections
    }

    /// Things of all files whose text breaks off.
    fn half_typed(&self, files: &[OpenFile]) -> Vec<HalfTyped> {
        let reads = files.iter().zip(&self.dirty);
        let reads = reads.map(|(file, dirty)| dirty.unwrap_or(file.read()));
        let things = reads.flat_map(|read| read.fragment.half_typed());
        things.cloned().collect()
    }

    fn is_clean(&self, file: FileId) -> bool {
        self.dirty[file.0 as usize].is_none()
    }

    fn dirty_sections(&self) -> impl Iterator<Item = &Sections> {
        let reads = self.dirty.iter().flatten();
        reads.map(|read| read.fragment.sections())
    }

    /// All things of a section as they are written: in the model they have taken on what stands elsewhere.
    fn written<T: Clone>(
        &self,
        files: &[OpenFile],
        of: fn(&Sections) -> &Section<T>,
    ) -> Section<T> {
        let reads = files.iter().zip(&self.dirty);
        let reads = reads.map(|(file, dirty)| dirty.unwrap_or(file.read()));
        let things = reads.flat_map(|read| of(read.fragment.sections()).items());
        in_order(things.cloned().collect())
    }

    /// All things of a section.
    fn shared<T: Clone>(&self, all: &Section<T>, of: fn(&Sections) -> &Section<T>) -> Section<T> {
        let standing = all.items().iter();
        let standing = standing.filter(|item| self.is_clean(item.name.span.file));
        let own = self
            .dirty_sections()
            .flat_map(|sections| of(sections).items());
        in_order(standing.chain(own).cloned().collect())
    }

    /// The things of a section that stand on the islands touched, or on none yet.
    fn some<T: Clone>(
        &self,
        all: &Section<T>,
        of: fn(&Sections) -> &Section<T>,
        members: Of<T>,
        island: fn(&Islands, Id<T>) -> Island,
    ) -> Section<T> {
        let islands = &self.whole.islands;
        let touched = self.touched.iter();
        let touched = touched.filter_map(|island| islands.members(*island));
        let standing = touched.flat_map(|on| members(on).iter().map(|&id| &all[id]));
        let standing = standing.filter(|item| self.is_clean(item.name.span.file));
        let is_meant = |item: &&Named<T>| match all.find(&item.name.value) {
            Some(id) => self.touched.contains(&island(islands, id)),
            None => true,
        };
        let own = self
            .dirty_sections()
            .flat_map(|sections| of(sections).items());
        in_order(standing.chain(own.filter(is_meant)).cloned().collect())
    }
}

/// The things in the order of the files and the lines in them, as if all of the site were read.
fn in_order<T>(mut items: Vec<Named<T>>) -> Section<T> {
    items.sort_by_key(|item| item.name.span);
    let mut section = Section::default();
    items.into_iter().for_each(|item| section.push(item));
    section
}
