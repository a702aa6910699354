//! The whole way from the bytes of a site to its findings.

use std::sync::Arc;

use rayon::prelude::*;

use crate::budget::Budget;
use crate::date::Date;
use crate::departure;
use crate::finding::Finding;
use crate::flow::Flows;
use crate::graph::Graph;
use crate::input::{FileGlobs, SITE_FILE, SNAG_FILE, SiteInput, Unread};
use crate::model::fault::Fault;
use crate::model::site::OpenPoints;
use crate::model::{self, Fragment, Model};
use crate::report::{Census, Departed};
use crate::rules::{self, Acceptance, Rule};
use crate::source::{FileId, Source, Sources};
use crate::survey::{Shared, Survey};
use crate::yaml::{Limits, Problem, Tree, decode_text};

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
    /// Its definitions.
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
}

/// A site judged.
#[derive(Debug)]
pub struct Judgement {
    /// The site's name, where it gives one.
    pub name: Option<String>,
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
    /// Rules that broke down.
    pub crashed: Vec<String>,
    /// Lines of the snag list; `None` if the site has none.
    pub listed: Option<usize>,
    /// Findings that the snag list accepts as known.
    pub known: Vec<Finding>,
    /// Whether open points fail the run.
    pub open_points_block: bool,
}

/// Files that hold sections of ours, and files that do not; the snag list is neither.
pub(crate) fn count<'a>(files: impl IntoIterator<Item = &'a FileRead>) -> (usize, usize) {
    let files = files.into_iter();
    let files = files.filter(|file| file.source.path != SNAG_FILE);
    let (ours, others): (Vec<_>, Vec<_>) = files.partition(|file| file.fragment.has_sections);
    (ours.len(), others.len())
}

/// The definitions of all files together; what could not be read may hold more of them.
pub(crate) fn assembled<'a>(
    files: impl IntoIterator<Item = &'a Source>,
    mut fragments: Vec<Fragment>,
    unread: &[Unread],
    budget: &Budget,
) -> Model {
    let mut files = files.into_iter();
    let root = files.position(|file| file.path == SITE_FILE);
    fragments.extend((!unread.is_empty()).then(Fragment::unread));
    Model::assemble_within(fragments, FileId(root.unwrap_or(0) as u32), budget)
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
        for file in read {
            if let Some(why) = file.broken {
                unread.push(Unread {
                    path: file.source.path.clone(),
                    why,
                });
            }
            files.push(file.source);
            fragments.push(file.fragment);
        }
        let model = assembled(&files, fragments, &unread, budget);
        let site = Self {
            sources: Sources::new(files),
            files: counts,
            ..Self::within(model, budget)
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
        assembled(&files, fragments, &input.unread, &budget)
    }

    /// Definitions alone, resolved: without the texts that they come from.
    pub fn of(model: Model) -> Self {
        Self::within(model, &Budget::default())
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
        }
    }

    /// Whether the budget ended before all was worked out.
    pub fn is_cut_short(&self) -> bool {
        let is_solved = self.flows.unsolved().is_empty();
        self.model.cut.is_some() || !self.graph.cut.is_empty() || !is_solved
    }

    /// The site as the rules see it.
    pub fn survey(&self, today: Date) -> Survey<'_> {
        Survey {
            model: &self.model,
            graph: &self.graph,
            flows: &self.flows,
            shared: &self.shared,
            today,
        }
    }

    /// Runs the rules and sets aside what is departed from.
    pub fn judge(self, settings: &Settings) -> Judgement {
        let outcome = rules::run(&self.survey(settings.today), |rule| settings.wants(rule));
        let (findings, departed) = departure::part(&self.model, settings.today, outcome.findings);
        let listed = self.sources.by_path(SNAG_FILE);
        let listed = listed.map(|_| self.model.snags.len());
        let mut acceptance = Acceptance::of(&self.model);
        let (known, findings) = findings.into_iter().partition(|f| acceptance.takes(f));
        let judgement = Judgement {
            name: self.model.site.name.get().map(ToString::to_string),
            census: self.census(),
            open_points_block: self.model.site.open_points.get() == Some(&OpenPoints::Block),
            sources: self.sources,
            findings,
            departed,
            unread: self.unread,
            crashed: outcome.crashed,
            listed,
            known,
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
        }
    }
}

/// One file, read.
#[derive(Clone, Debug)]
pub struct FileRead {
    /// Its text.
    pub source: Source,
    /// What it holds.
    pub fragment: Fragment,
    /// Why a part of it could not be read, if so.
    pub broken: Option<String>,
}

impl FileRead {
    /// Reads the file of this id from its bytes.
    pub fn new(id: FileId, path: String, bytes: Vec<u8>) -> Self {
        Self::within(id, path, bytes, &Budget::default())
    }

    /// The same with so much work as the budget allows.
    fn within(id: FileId, path: String, bytes: Vec<u8>, budget: &Budget) -> Self {
        let (text, undecodable) = decode_text(id, bytes);
        if path == SNAG_FILE {
            let mut fragment = model::snags::read(id, &text);
            fragment.add_problems(undecodable.into_iter().map(fault));
            return Self {
                source: Source::new(path, text),
                fragment,
                broken: None,
            };
        }
        let (tree, problems) = Tree::parse(id, &text, &Limits::within(budget));
        let mut fragment = model::read_within(&tree, budget);
        fragment.is_broken |= undecodable.is_some();
        fragment.add_problems(undecodable.into_iter().chain(problems).map(fault));
        Self {
            source: Source::new(path, Arc::clone(&text)),
            broken: fragment.why_broken(),
            fragment,
        }
    }
}

fn read_file((index, (path, bytes)): (usize, (String, Vec<u8>)), budget: &Budget) -> FileRead {
    FileRead::within(FileId(index as u32), path, bytes, budget)
}

fn fault(problem: Problem) -> Fault {
    Fault::Unreadable {
        span: problem.span,
        message: problem.message,
        advice: problem.advice,
        related: problem.related,
    }
}

/// The file patterns that a `cordwright.yaml` asks for; the format's own where it asks for none.
pub fn file_globs(bytes: &[u8]) -> FileGlobs {
    let (text, _) = decode_text(FileId(0), bytes.to_vec());
    let (tree, _) = Tree::parse(FileId(0), &text, &Limits::default());
    let model = Model::assemble(vec![model::read(&tree)], FileId(0));
    let mut globs = FileGlobs::default();
    if let Some(files) = model.site.files.get() {
        let texts = |list: &[model::value::Spanned<model::value::Name>]| {
            list.iter().map(|item| item.value.to_string()).collect()
        };
        if !files.take_in.is_empty() {
            globs.take_in = texts(&files.take_in);
        }
        globs.leave_out = texts(&files.leave_out);
    }
    globs
}
