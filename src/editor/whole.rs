//! The judgement of a whole site, in stages that can be given up between.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use rayon::prelude::*;

use crate::agreed;
use crate::date::Date;
use crate::finding::Finding;
use crate::input::{PassedOver, SiteInput, Unread};
use crate::judgement::{FileRead, Settings, Site, assembled, count, undone};
use crate::model::value::Name;
use crate::model::{Fragment, Model};
use crate::policy::Policy;
use crate::remedy::Fitting;
use crate::source::{FileId, Source, Sources};

use super::islands::Islands;

/// A site judged as a whole.
#[derive(Debug)]
pub struct Whole {
    /// The site as it was judged.
    pub site: Site,
    /// The files it was made of, by [`FileId`].
    pub reads: Vec<Arc<FileRead>>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Rules that broke down.
    pub crashed: Vec<String>,
    /// What was asked.
    pub settings: Settings,
    /// The parts of its power graph that have nothing to do with each other.
    pub(super) islands: Islands,
    /// What can be fitted in the place of a cord, by its label, as far as it was asked for.
    pub(super) fits: Mutex<BTreeMap<Name, Vec<Fitting>>>,
}

/// A whole judgement that is still to be made.
#[derive(Clone, Debug)]
pub struct Task {
    /// The files, by [`FileId`].
    pub reads: Vec<Arc<FileRead>>,
    /// Files that could not be read at all.
    pub unread: Vec<Unread>,
    /// What is not read because it is not the site's.
    pub passed_over: Vec<PassedOver>,
    /// What is asked.
    pub settings: Settings,
}

impl Task {
    /// Reads the files of `input`. A file that is among `known` with the same text is not read again,
    /// as long as the site has the same files as before.
    pub fn read(input: SiteInput, known: &[Arc<FileRead>], settings: Settings) -> Self {
        let paths = input.files.iter().map(|(path, _)| path.as_str());
        let is_same = known.iter().map(|read| read.source.path.as_str()).eq(paths);
        let read = |(index, (path, bytes)): (usize, (String, Vec<u8>))| {
            let before = known.get(index).filter(|_| is_same);
            match before.filter(|read| read.source.text.as_bytes() == bytes) {
                Some(read) => Arc::clone(read),
                None => Arc::new(FileRead::new(FileId(index as u32), path, bytes)),
            }
        };
        let files = input.files.into_par_iter().enumerate();
        Self {
            reads: files.map(read).collect(),
            unread: input.unread,
            passed_over: input.passed_over,
            settings,
        }
    }

    /// Judges, unless `go_on` says no on the way; `None` then.
    pub fn judge(self, go_on: impl Fn() -> bool + Sync) -> Option<Whole> {
        let model = self.model();
        let budget = &self.settings.budget;
        let mut site = Site {
            sources: Sources::new(self.sources()),
            files: count(self.reads.iter().map(|read| &**read)),
            unread: self.unread,
            passed_over: self.passed_over,
            ..go_on().then(|| Site::staged(model, budget))?
        };
        site.unread.extend(undone(&site, budget));
        site.unread.sort();
        let policies = [Policy::of(&site.model)];
        let outcome = site.said(self.settings.today, &policies, |_| go_on());
        go_on().then_some(())?;
        let islands = Islands::of(&site.model, &site.graph);
        let findings = standing(&site.model, self.settings.today, outcome.findings);
        Some(Whole {
            site,
            reads: self.reads,
            findings,
            crashed: outcome.crashed,
            settings: self.settings,
            islands,
            fits: Mutex::default(),
        })
    }

    fn model(&self) -> Model {
        let reads = self.reads.par_iter();
        let fragments: Vec<Fragment> = reads.map(|read| read.fragment.clone()).collect();
        let sources = self.reads.iter().map(|read| &read.source);
        assembled(
            sources,
            fragments,
            &self.unread,
            &self.passed_over,
            &self.settings.budget,
        )
    }

    fn sources(&self) -> Vec<Source> {
        self.reads.iter().map(|read| read.source.clone()).collect()
    }
}

/// What is neither departed from nor accepted as known.
pub(super) fn standing(model: &Model, today: Date, findings: Vec<Finding>) -> Vec<Finding> {
    agreed::part(&[Policy::of(model)], today, findings).standing
}
