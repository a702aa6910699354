//! Files of catalogues, which several sites read: each site judges them, and what all of them find there
//! is told together.

use std::path::{Path, PathBuf};

use super::publish::Report;
use super::server::{Due, Held, Server};
use crate::host;
use crate::input::is_shared;
use crate::source::FileId;

impl Server {
    /// The judged sites that read the file at `path`, and what it is there: the one in whose folder it
    /// lies or, of a catalogue, all that read it.
    pub(super) fn places_of(&self, path: &Path) -> Vec<(PathBuf, FileId)> {
        let at = |root: &PathBuf, below: &str| {
            let site = self.sites.get(root)?.open.as_ref()?;
            Some((root.clone(), site.by_path(below)?))
        };
        if let Some((root, below)) = host::place_in_site(path) {
            return at(&root, &below).into_iter().collect();
        }
        let roots = self.sites.keys();
        let ways = roots.map(|root| (root, host::way(root, path)));
        let shared = ways.filter(|(_, way)| is_shared(way));
        shared.filter_map(|(root, way)| at(root, &way)).collect()
    }

    /// What there is to say of a file of a site; of one in a catalogue, what any of its sites has to say.
    pub(super) fn report_of(&self, root: &PathBuf, file: FileId) -> Option<Report> {
        let places = self.places(root)?;
        if !is_shared(&places.site.source(file).path) {
            return Report::of_file(&places, file, self.pages.as_ref());
        }
        let readers = self.places_of(&places.path(file)).into_iter();
        let reports = readers.filter_map(|(root, file)| {
            Report::of_file(&self.places(&root)?, file, self.pages.as_ref())
        });
        reports.reduce(Report::joined)
    }

    /// Whether another site comes first to tell of a file.
    pub(super) fn is_told_at_another(&self, root: &PathBuf, file: FileId) -> bool {
        let path = self.places(root).map(|places| places.path(file));
        let first = path.and_then(|path| self.place(&path));
        first.is_some_and(|(first, _)| first != *root)
    }

    /// Has the sites read anew that name catalogues, for a file which lies in the folder of none; not those
    /// to which it `is_known`.
    pub(super) fn reread_catalogues(&mut self, is_known: impl Fn(&Held) -> bool) {
        for held in self.sites.values_mut() {
            let site = held.open.as_ref().map(|open| &open.whole().site.model.site);
            let files = site.and_then(|site| site.files.known());
            let names_some = files.is_some_and(|files| !files.catalogues.is_empty());
            if names_some && !is_known(held) {
                held.want(Due::Walk);
            }
        }
    }

    /// Takes in the sites that read a file which lies in the folder of none.
    pub(super) fn add_readers(&mut self, path: &Path) {
        if self.places_of(path).is_empty() {
            let readers = host::sites_that_read(path, &self.ignored);
            readers.into_iter().for_each(|root| self.add(root));
        }
    }
}
