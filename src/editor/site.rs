//! An open site: its files as they stand, and what is shown of it.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::finding::Finding;
use crate::input::Unread;
use crate::judgement::{FileRead, Settings};
use crate::source::{FileId, Source, Span};

use super::change::{Change, Drift, carry_finding, touches};
use super::file::{Effect, OpenFile};
use super::part::{self, Touched};
use super::whole::{Task, Whole};

/// A site that is being edited.
#[derive(Debug)]
pub struct OpenSite {
    files: Vec<OpenFile>,
    whole: Arc<Whole>,
    /// What is shown, by the file of the main place, where the texts have it now.
    shown: Vec<Vec<Finding>>,
    /// The islands that the last edit touched, and what is found on them now.
    part: Option<(Touched, Vec<Finding>)>,
    settings: Settings,
    is_settled: bool,
}

/// What an edit has done to what is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    /// Files whose findings are others now, or elsewhere.
    pub files: BTreeSet<FileId>,
    /// Whether a whole judgement is due that was not before.
    pub needs_whole: bool,
}

impl OpenSite {
    /// A site as it was judged.
    pub fn new(whole: Whole) -> Self {
        let reads = whole.reads.iter().enumerate();
        let files = reads.map(|(at, read)| OpenFile::new(FileId(at as u32), Arc::clone(read)));
        let mut site = Self {
            files: files.collect(),
            settings: whole.settings.clone(),
            whole: Arc::new(whole),
            shown: Vec::new(),
            part: None,
            is_settled: true,
        };
        site.show_whole();
        site
    }

    /// The files, by [`FileId`].
    pub fn files(&self) -> &[OpenFile] {
        &self.files
    }

    /// A file.
    pub fn file(&self, id: FileId) -> &OpenFile {
        &self.files[id.0 as usize]
    }

    /// The file with this path below the site's root.
    pub fn by_path(&self, path: &str) -> Option<FileId> {
        let at = self
            .files
            .binary_search_by(|file| file.now().path.as_str().cmp(path));
        at.ok().map(|at| FileId(at as u32))
    }

    /// The text of a file as it stands.
    pub fn source(&self, id: FileId) -> &Source {
        self.file(id).now()
    }

    /// The last whole judgement.
    pub fn whole(&self) -> &Whole {
        &self.whole
    }

    /// What is asked of every judgement.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Files that could not be read at all.
    pub fn unread(&self) -> impl Iterator<Item = &Unread> {
        let unread = self.whole.site.unread.iter();
        unread.filter(|unread| self.by_path(&unread.path).is_none())
    }

    /// Whether what is shown is all that there is to say.
    pub fn is_settled(&self) -> bool {
        self.is_settled
    }

    /// What there is to say of a file now, its main place being there, in one order.
    pub fn findings(&self, file: FileId) -> impl Iterator<Item = &Finding> {
        let shown = self.shown[file.0 as usize].iter();
        self.file(file).unreadable().iter().chain(shown)
    }

    /// Faults that lie in other files and that somebody in this one suffers, each with the places of those.
    pub fn suffered(&self, file: FileId) -> impl Iterator<Item = (&Finding, &[Span])> {
        // A text that cannot be read has no places to mark.
        let is_read = self.file(file).unreadable().is_empty();
        let shown = self.shown.iter().flatten().filter(move |_| is_read);
        let elsewhere = shown.filter(move |finding| finding.main.span.file != file);
        elsewhere.filter_map(move |finding| {
            let at = &finding.suffers_at;
            let from = at.partition_point(|span| span.file < file);
            let to = at.partition_point(|span| span.file <= file);
            (from < to).then(|| (finding, &at[from..to]))
        })
    }

    /// Where a place of the definitions that count is in the text now.
    pub fn carry(&self, span: Span) -> Span {
        self.file(span.file).carry(span)
    }

    /// Puts `text` in the place of a file's text, and shows at once what that does.
    pub fn edit(&mut self, id: FileId, text: &str) -> Step {
        let at = id.0 as usize;
        let Some(change) = Change::between(&self.files[at].now().text, text) else {
            return Step::default();
        };
        let mut step = Step {
            files: self.shift(id, change),
            needs_whole: false,
        };
        step.files.insert(id);
        let was_broken = self.files[at].is_broken();
        match self.files[at].edit(text.into(), change, self.settings.today) {
            Effect::None => {}
            Effect::Broken => self.part = None,
            Effect::Reread(before, drift) => {
                self.is_settled = false;
                step.needs_whole = true;
                if was_broken {
                    // What was shown of the file stood for a text that nobody sees any more.
                    self.part = None;
                }
                self.rejudge(id, &before, &drift, &mut step.files);
            }
        }
        step
    }

    /// Carries everything shown over a change; the files of main places that have to do with it.
    fn shift(&mut self, id: FileId, change: Change) -> BTreeSet<FileId> {
        let carry = |span: Span| {
            if span.file == id {
                change.carry(span)
            } else {
                span
            }
        };
        let mut moved = BTreeSet::new();
        let part = self.part.iter_mut().flat_map(|(_, findings)| findings);
        for finding in self.shown.iter_mut().flatten().chain(part) {
            if touches(finding, id) {
                moved.insert(finding.main.span.file);
                carry_finding(finding, carry);
            }
        }
        moved
    }

    /// Judges what the change of one file reaches, before and after, and shows the difference.
    fn rejudge(
        &mut self,
        id: FileId,
        before: &Arc<FileRead>,
        drift: &Drift,
        files: &mut BTreeSet<FileId>,
    ) {
        let now = Arc::clone(self.file(id).read());
        let Some(touched) = part::touched(&self.whole, before, &now) else {
            self.part = None;
            return;
        };
        let old = match self.part.take() {
            Some((islands, findings)) if islands == touched => findings,
            _ => self.judged(&touched, id, before, |span| drift.carry(span)),
        };
        let new = self.judged(&touched, id, &now, |span| span);
        self.replace(&old, &new, files);
        self.part = Some((touched, new));
    }

    /// What is found on some islands, where the texts have it now; `carry` for the file `id`.
    fn judged(
        &self,
        touched: &Touched,
        id: FileId,
        read: &Arc<FileRead>,
        carry: impl Fn(Span) -> Span,
    ) -> Vec<Finding> {
        let mut findings = part::judge(
            &self.whole,
            &self.files,
            touched,
            (id, read),
            &self.settings,
        );
        for finding in &mut findings {
            carry_finding(finding, |span| match span.file == id {
                true => carry(span),
                false => self.carry(span),
            });
        }
        findings.sort_by(Finding::order);
        findings
    }

    /// Takes away what was found and is no more, and adds what was not and is now.
    fn replace(&mut self, old: &[Finding], new: &[Finding], files: &mut BTreeSet<FileId>) {
        let (was, is): (BTreeSet<&Finding>, BTreeSet<&Finding>) =
            (old.iter().collect(), new.iter().collect());
        for gone in was.difference(&is) {
            let shown = &mut self.shown[gone.main.span.file.0 as usize];
            shown.retain(|finding| identity(finding) != identity(gone));
            files.extend(gone.files());
        }
        for &added in is.difference(&was) {
            let shown = &mut self.shown[added.main.span.file.0 as usize];
            if let Err(at) = shown.binary_search_by(|finding| finding.order(added)) {
                shown.insert(at, added.clone());
            }
            files.extend(added.files());
        }
    }

    /// The whole judgement that is due for the texts as they stand.
    pub fn task(&self, settings: Settings) -> Task {
        Task {
            reads: self.reads(),
            unread: self.whole.site.unread.clone(),
            passed_over: self.whole.site.passed_over.clone(),
            settings,
        }
    }

    /// The definitions that count, by [`FileId`].
    pub fn reads(&self) -> Vec<Arc<FileRead>> {
        self.files
            .iter()
            .map(|file| Arc::clone(file.read()))
            .collect()
    }

    /// Takes a whole judgement in, if it is of the definitions that count now; `None` if they have
    /// changed since. The files whose findings may have changed are told.
    pub fn take(&mut self, whole: Whole) -> Option<Step> {
        let reads = whole.reads.iter();
        let is_current = reads.len() == self.files.len()
            && reads
                .zip(&self.files)
                .all(|(then, file)| Arc::ptr_eq(then, file.read()));
        if !is_current {
            return None;
        }
        let before = std::mem::take(&mut self.shown);
        self.settings = whole.settings.clone();
        self.whole = Arc::new(whole);
        self.part = None;
        self.is_settled = true;
        self.show_whole();
        let pairs = before.iter().zip(&self.shown).enumerate();
        let changed = pairs.filter(|(_, (before, now))| before != now);
        let mut files: BTreeSet<FileId> = BTreeSet::new();
        for (at, (before, now)) in changed {
            files.insert(FileId(at as u32));
            files.extend(before.iter().chain(now).flat_map(Finding::files));
        }
        Some(Step {
            files,
            needs_whole: false,
        })
    }

    fn show_whole(&mut self) {
        let mut shown = vec![Vec::new(); self.files.len()];
        for finding in &self.whole.findings {
            let mut finding = finding.clone();
            carry_finding(&mut finding, |span| self.carry(span));
            shown[finding.main.span.file.0 as usize].push(finding);
        }
        shown
            .iter_mut()
            .for_each(|shown| shown.sort_by(Finding::order));
        self.shown = shown;
    }
}

/// What makes two findings the same fault, though the words of a part, which does not see all of the
/// site, may differ from those of the whole.
fn identity(finding: &Finding) -> impl PartialEq + use<'_> {
    let Finding {
        rule,
        verdict,
        main,
        about,
        kind,
        ..
    } = finding;
    (*rule, *verdict, main.span, about, *kind)
}
