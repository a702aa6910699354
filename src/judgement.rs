//! The whole way from the bytes of a site to its findings.

mod catalogues;
mod changed;
mod file;
mod idle;
mod stages;

use rayon::prelude::*;

use crate::agreed::{self, Parted};
use crate::analysis::{Analysis, Resting, Shared, resting};
use crate::budget::Budget;
use crate::comparison::Comparison;
use crate::date::Date;
use crate::finding::Finding;
use crate::flow::Flows;
use crate::graph::Graph;
use crate::input::{FileGlobs, PassedOver, SITE_FILE, SNAG_FILE, SiteInput, Unread, is_shared};
use crate::model::stage::Stage;
use crate::model::{self, Fragment, Model};
use crate::policy::Policy;
use crate::report::{Census, Departed};
use crate::rules::{self, Known, Outcome, Rule};
use crate::source::{FileId, Source, Sources};
use crate::tables::words::Words;
use crate::yaml::{Limits, Tree, decode_text};

pub use file::FileRead;

mod undone;

pub(crate) use undone::undone;

/// What a run is asked to do.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The day on which is judged.
    pub today: Date,
    /// Judge only these rules; all if empty.
    pub only: Vec<String>,
    /// Leave out these rules.
    pub without: Vec<String>,
    /// How much work the site may ask for.
    pub budget: Budget,
}

pub use changed::Before;

impl Settings {
    /// All rules, on this day.
    pub fn on(today: Date) -> Self {
        Self {
            today,
            only: Vec::new(),
            without: Vec::new(),
            budget: Budget::default(),
        }
    }

    fn wants(&self, rule: &Rule) -> bool {
        let named = |list: &[String]| {
            list.iter()
                .any(|name| rules::find(name).is_some_and(|found| found.name == rule.name))
        };
        (self.only.is_empty() || named(&self.only)) && !named(&self.without)
    }
}

/// A site read and resolved, before it is judged.
#[derive(Debug)]
pub struct Site {
    /// Its text.
    pub sources: Sources,
    /// Its definitions; where some cords are still to be fitted or pulled, as planned.
    pub model: Model,
    /// Its power graph.
    pub graph: Graph,
    /// Its currents and voltages.
    pub flows: Flows,
    /// What many rules ask of it, once one has asked.
    pub shared: Shared,
    /// Files that hold sections of ours, and files that do not.
    pub files: (usize, usize),
    /// What could not be read.
    pub unread: Vec<Unread>,
    /// What is not judged because it is not the site's, sorted.
    pub passed_over: Vec<PassedOver>,
    /// The site as it hangs now, where that is not as planned.
    pub fitted: Option<Box<Hanging>>,
}

/// A site as it hangs now.
#[derive(Debug)]
pub struct Hanging {
    /// Its definitions, without the cords that do not hang yet.
    pub model: Model,
    /// Its power graph.
    pub graph: Graph,
    /// Its currents and voltages.
    pub flows: Flows,
    /// What many rules ask of it, once one has asked.
    pub shared: Shared,
}

/// A site judged.
#[derive(Debug)]
pub struct Judgement {
    /// The site's name, where it gives one.
    pub name: Option<String>,
    /// The edition of the wiring rules that the site names.
    pub edition: Option<String>,
    /// What things are called at it.
    pub words: &'static Words,
    /// Its text.
    pub sources: Sources,
    /// What was found, in one order.
    pub findings: Vec<Finding>,
    /// What was found and departed from.
    pub departed: Vec<Departed>,
    /// How much was judged.
    pub census: Census,
    /// What could not be judged.
    pub unread: Vec<Unread>,
    /// What is not judged because it is not the site's, sorted.
    pub passed_over: Vec<PassedOver>,
    /// Rules that broke down.
    pub crashed: Vec<String>,
    /// Lines of the snag list; `None` if the site has none.
    pub listed: Option<usize>,
    /// Findings that the snag list accepts as known.
    pub known: Vec<Known>,
    /// What is taken for granted because the definitions are silent.
    pub assumed: Vec<Resting>,
    /// Whether open points fail the run.
    pub open_points_block: bool,
    /// What the change made of the site, where it was judged as one.
    pub comparison: Option<Comparison>,
}

/// Files that hold sections of ours, and files that do not; the snag list is neither.
pub(crate) fn count<'a>(files: impl IntoIterator<Item = &'a FileRead>) -> (usize, usize) {
    files.into_iter().fold((0, 0), |(ours, others), file| {
        let is_ours = usize::from(file.fragment.has_sections);
        let is_other = usize::from(file.passed_over.is_some());
        (ours + is_ours, others + is_other)
    })
}

/// The definitions of all files together; what could not be read may hold more of them.
pub(crate) fn assembled<'a>(
    files: impl IntoIterator<Item = &'a Source>,
    mut fragments: Vec<Fragment>,
    unread: &[Unread],
    passed_over: &[PassedOver],
    budget: &Budget,
) -> Model {
    let paths: Vec<&str> = files.into_iter().map(|file| file.path.as_str()).collect();
    let root = paths.iter().position(|path| *path == SITE_FILE);
    let numbered = (0..).map(FileId).zip(&paths);
    let shared = numbered.filter(|(_, path)| is_shared(path));
    let shared_files = shared.map(|(id, _)| id).collect();
    let root = FileId(root.unwrap_or(0) as u32);
    let not_read = catalogues::not_read(&paths, &fragments, root, unread, passed_over);
    // What is not found may stand where nothing was read.
    let is_whole = unread.is_empty() && !not_read.iter().any(catalogues::hides);
    fragments.extend((!is_whole).then(Fragment::unread));
    let mut model = Model::assemble_within(fragments, root, budget);
    model.shared_files = shared_files;
    let taken_in = paths
        .into_iter()
        .chain(unread.iter().map(|note| note.path.as_str()))
        .filter(|path| !is_shared(path));
    let idle = idle::patterns(&model, taken_in, passed_over);
    model.faults.extend(idle.into_iter().chain(not_read));
    model
}

/// Reads and judges a site.
pub fn judge(input: SiteInput, settings: &Settings) -> Judgement {
    Site::read_within(input, &settings.budget).judge(settings)
}

impl Site {
    /// Reads the files, puts the definitions together, builds the graph and computes the flows.
    pub fn read(input: SiteInput) -> Self {
        Self::read_within(input, &Budget::default())
    }

    /// The same with so much work as the budget allows. Where it ends, what was left undone is among what
    /// is unread.
    pub fn read_within(input: SiteInput, budget: &Budget) -> Self {
        let files = input.files.into_par_iter().enumerate();
        let read: Vec<FileRead> = files.map(|file| read_file(file, budget)).collect();
        let counts = count(&read);
        let (mut files, mut fragments, mut unread) = (Vec::new(), Vec::new(), input.unread);
        let mut passed_over = input.passed_over;
        for file in read {
            if let Some(why) = file.passed_over {
                passed_over.push(PassedOver {
                    path: file.source.path.clone(),
                    why,
                });
            }
            if let Some(why) = file.broken {
                unread.push(Unread {
                    path: file.source.path.clone(),
                    why,
                });
            }
            files.push(file.source);
            fragments.push(file.fragment);
        }
        passed_over.sort();
        let model = assembled(&files, fragments, &unread, &passed_over, budget);
        unread.extend(idle::nothing_to_judge(&model, &passed_over));
        let site = Self {
            sources: Sources::new(files),
            files: counts,
            passed_over,
            ..Self::staged(model, budget)
        };
        unread.extend(undone(&site, budget));
        unread.sort();
        Self { unread, ..site }
    }

    /// The definitions alone, as they are written.
    pub(crate) fn definitions(input: SiteInput) -> Model {
        let budget = Budget::default();
        let files = input.files.into_par_iter().enumerate();
        let read: Vec<FileRead> = files.map(|file| read_file(file, &budget)).collect();
        let (files, fragments): (Vec<_>, Vec<_>) = read
            .into_iter()
            .map(|file| (file.source, file.fragment))
            .unzip();
        let (unread, passed_over) = (&input.unread, &input.passed_over);
        assembled(&files, fragments, unread, passed_over, &budget)
    }

    /// Definitions alone, resolved: without the texts that they come from.
    pub fn of(model: Model) -> Self {
        Self::within(model, &Budget::default())
    }

    /// The same as planned, and beside it as it hangs where that is not the same.
    pub(crate) fn staged(model: Model, budget: &Budget) -> Self {
        if !model.has_stages() {
            return Self::within(model, budget);
        }
        let fitted = Hanging::within(model.at(Stage::Fitted), budget);
        Self {
            fitted: Some(Box::new(fitted)),
            ..Self::within(model.at(Stage::Planned), budget)
        }
    }

    /// The same with so much work as the budget allows.
    pub(crate) fn within(model: Model, budget: &Budget) -> Self {
        let graph = Graph::within(&model, budget);
        let flows = Flows::within(&model, &graph, budget);
        Self {
            sources: Sources::default(),
            model,
            graph,
            flows,
            shared: Shared::default(),
            files: (0, 0),
            unread: Vec::new(),
            passed_over: Vec::new(),
            fitted: None,
        }
    }

    /// What the rules say of the site, as planned and as it hangs.
    pub(crate) fn said(
        &self,
        today: Date,
        policies: &[Policy<'_>],
        wanted: impl Fn(&Rule) -> bool + Sync,
    ) -> Outcome {
        let planned = rules::run(&self.analysis(today), policies, &wanted);
        let Some(fitted) = &self.fitted else {
            return planned;
        };
        let fitted = rules::run(&fitted.analysis(today), policies, &wanted);
        stages::together(planned, fitted)
    }

    /// Whether the budget ended before all was worked out.
    pub fn is_cut_short(&self) -> bool {
        let is_solved = self.flows.unsolved().is_empty();
        self.model.cut.is_some() || !self.graph.cut.is_empty() || !is_solved
    }

    /// The site as it hangs now, for those who show it rather than judge it.
    pub fn as_fitted(self) -> Self {
        match self.fitted {
            None => self,
            Some(fitted) => Self {
                model: fitted.model,
                graph: fitted.graph,
                flows: fitted.flows,
                shared: fitted.shared,
                fitted: None,
                ..self
            },
        }
    }

    /// The site as the rules see it.
    pub fn analysis(&self, today: Date) -> Analysis<'_> {
        Analysis {
            model: &self.model,
            graph: &self.graph,
            flows: &self.flows,
            shared: &self.shared,
            today,
        }
    }

    /// The site as it hangs in the room now.
    pub fn as_it_hangs(&self, today: Date) -> Analysis<'_> {
        let fitted = self.fitted.as_ref();
        fitted.map_or_else(|| self.analysis(today), |hanging| hanging.analysis(today))
    }

    /// Runs the rules and sets aside what has been agreed.
    pub fn judge(self, settings: &Settings) -> Judgement {
        let (parted, crashed) = self.parted(settings, &[Policy::of(&self.model)], |_| true);
        self.into_judgement(settings.today, parted, crashed)
    }

    /// What the rules say under policies, apart by what those let through; and rules that broke down.
    fn parted(
        &self,
        settings: &Settings,
        policies: &[Policy<'_>],
        wanted: impl Fn(&Rule) -> bool + Sync,
    ) -> (Parted, Vec<String>) {
        let wanted = |rule: &Rule| settings.wants(rule) && wanted(rule);
        let outcome = self.said(settings.today, policies, wanted);
        let parted = agreed::part(policies, settings.today, outcome.findings);
        (parted, outcome.crashed)
    }

    fn into_judgement(self, today: Date, parted: Parted, crashed: Vec<String>) -> Judgement {
        let listed = self.sources.by_path(SNAG_FILE);
        let listed = listed.map(|_| self.model.snags.len());
        let assumed = resting(&self.analysis(today));
        let judgement = Judgement {
            name: self.model.site.name.known().map(ToString::to_string),
            edition: self.model.site.edition.known().map(ToString::to_string),
            words: self.model.site.words(),
            census: self.census(),
            assumed,
            open_points_block: Policy::of(&self.model).blocks_open_points(),
            sources: self.sources,
            findings: parted.standing,
            departed: parted.departed,
            unread: self.unread,
            passed_over: self.passed_over,
            crashed,
            listed,
            known: parted.known,
            comparison: None,
        };
        // Nobody who waits for the findings need wait until a large site is taken apart.
        let rest = (self.model, self.graph, self.flows, self.shared);
        rayon::spawn(move || drop(rest));
        judgement
    }

    fn census(&self) -> Census {
        Census {
            files: self.files.0,
            passed_over: self.files.1,
            supplies: self.model.supplies.len(),
            circuits: self.model.circuits.len(),
            pdus: self.model.pdus.len(),
            devices: self.model.devices.len(),
            cords: self.model.cords.len(),
            to_fit: hanging_not_at(Stage::Fitted, Some(&self.model)),
            to_pull: hanging_not_at(Stage::Planned, self.fitted.as_ref().map(|site| &site.model)),
        }
    }
}

impl Hanging {
    fn within(model: Model, budget: &Budget) -> Self {
        let graph = Graph::within(&model, budget);
        let flows = Flows::within(&model, &graph, budget);
        Self {
            model,
            graph,
            flows,
            shared: Shared::default(),
        }
    }

    /// The site as the rules see it.
    pub fn analysis(&self, today: Date) -> Analysis<'_> {
        Analysis {
            model: &self.model,
            graph: &self.graph,
            flows: &self.flows,
            shared: &self.shared,
            today,
        }
    }
}

/// How many cords of a model do not hang at a stage.
fn hanging_not_at(stage: Stage, model: Option<&Model>) -> usize {
    let cords = model.into_iter().flat_map(|model| model.cords.items());
    cords.filter(|cord| !cord.hangs(stage)).count()
}

fn read_file((index, (path, bytes)): (usize, (String, Vec<u8>)), budget: &Budget) -> FileRead {
    FileRead::within(FileId(index as u32), path, bytes, budget)
}

/// Whether bytes may hold definitions: they do, or not all of them can be read.
pub fn may_define(bytes: Vec<u8>) -> bool {
    let read = FileRead::new(FileId(0), String::new(), bytes);
    read.fragment.has_sections || read.fragment.is_broken
}

/// The file patterns that a `cordwright.yaml` asks for; the format's own where it asks for none.
pub fn file_globs(bytes: &[u8]) -> FileGlobs {
    let model = alone(bytes);
    let mut globs = FileGlobs::default();
    if let Some(files) = model.site.files.known() {
        let texts = |list: &[model::value::Spanned<model::value::Name>]| {
            list.iter().map(|item| item.value.to_string()).collect()
        };
        if !files.take_in.is_empty() {
            globs.take_in = texts(&files.take_in);
        }
        globs.leave_out = texts(&files.leave_out);
        globs.catalogues = texts(&files.catalogues);
    }
    globs
}

/// The name that a `cordwright.yaml` gives its site, if it does.
pub fn site_name(bytes: &[u8]) -> Option<String> {
    alone(bytes).site.name.known().map(ToString::to_string)
}

/// What one file says by itself.
fn alone(bytes: &[u8]) -> Model {
    let (text, _) = decode_text(FileId(0), bytes.to_vec());
    let (tree, _) = Tree::parse(FileId(0), &text, &Limits::default());
    Model::assemble(vec![model::read(&tree)], FileId(0))
}
