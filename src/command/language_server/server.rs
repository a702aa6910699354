//! The talk with the editor: what comes in, one thing after the other, and what is judged meanwhile.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::{Duration, Instant};

use lsp_server::{Message, Notification, Request, RequestId, Response};
use lsp_types::notification::{self, Notification as _};
use lsp_types::request;
use lsp_types::{
    DidChangeWatchedFilesRegistrationOptions, FileSystemWatcher, GlobPattern, MessageType,
    NumberOrString, Registration, RegistrationParams, ShowMessageParams,
    WorkDoneProgressCreateParams,
};
use serde::Serialize;

use super::client::Client;
use super::diagnostics::page_name;
use super::documents::Documents;
use super::place::Places;
use super::progress::{Progress, summary};
use super::publish::{Report, Told};
use super::uri;
use super::wire::{Heard, MOST_WAITING, Mouth, Said};
use super::work::{Done, Job, Order};
use crate::command::exit::Exit;
use crate::editor::{OpenSite, Step};
use crate::host::{self, Ignored, OpenableFiles};
use crate::ink::{Plain, Written};
use crate::input::{FileGlobs, IGNORE_FILE, SITE_FILE};
use crate::judgement::Settings;
use crate::rules;
use crate::source::FileId;

/// How long nobody must have typed before a whole judgement is begun.
const PAUSE: Duration = Duration::from_millis(250);

/// Something that happens.
#[derive(Debug)]
pub(super) enum Event {
    /// The editor says something.
    Heard(Heard),
    /// The files of a site are read.
    Read(PathBuf, String),
    /// A judgement has ended.
    Done(Done),
    /// The editor is gone, or cannot be understood any more: why, if there is a reason to tell.
    Gone(Option<String>),
}

/// What is due for a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Due {
    /// A judgement of what is read.
    Judge,
    /// Reading it from disk, and a judgement.
    Walk,
}

/// A site that is served.
#[derive(Debug, Default)]
pub(super) struct Held {
    /// The site; `None` before its first judgement.
    pub open: Option<OpenSite>,
    job: Option<(Job, Due)>,
    pub due: Option<Due>,
    progress: Option<Progress>,
    /// Open texts that were there when the site was last read from disk: those that it did not take
    /// in then are none of its own.
    walked: BTreeSet<PathBuf>,
    /// Questions that wait for the first judgement.
    pub parked: Vec<Request>,
}

/// The way out of the talk and the events of it.
#[derive(Debug)]
pub(super) struct Talk {
    pub mouth: Mouth,
    pub events: Events,
}

/// What happens, and whom to tell that something has.
pub(super) type Events = (SyncSender<Event>, Receiver<Event>);

/// Where events go and come from.
pub(super) fn events() -> Events {
    sync_channel(MOST_WAITING)
}

/// The server.
pub(super) struct Server {
    talk: Talk,
    pub(super) client: Client,
    pub(super) pages: Option<OpenableFiles>,
    pub(super) documents: Documents,
    pub(super) sites: BTreeMap<PathBuf, Held>,
    /// What git ignores, asked again when files come, go or are written, and never for a key.
    pub(super) ignored: Arc<Ignored>,
    pub(super) told: Told,
    /// Open texts that have changed and are not judged yet.
    pub(super) changed: BTreeSet<PathBuf>,
    /// Whether the editor asks for the diagnostics of all files.
    pub(super) asks_for_all: bool,
    pub(super) is_shut_down: bool,
    /// When something last became due.
    last_want: Instant,
    next_id: i32,
}

impl Server {
    pub(super) fn new(talk: Talk, client: Client) -> Self {
        let pages = rules::RULES
            .iter()
            .map(|rule| (page_name(rule.name), rule.page));
        Self {
            talk,
            client,
            pages: OpenableFiles::with(pages),
            documents: Documents::default(),
            sites: BTreeMap::new(),
            ignored: Arc::default(),
            told: Told::default(),
            changed: BTreeSet::new(),
            asks_for_all: false,
            is_shut_down: false,
            last_want: host::moment(),
            next_id: 0,
        }
    }

    /// Serves until the editor says goodbye, or is gone.
    ///
    /// # Errors
    /// Why the editor cannot be understood any more.
    pub(super) fn serve(mut self) -> Result<Exit, String> {
        let end = self.until_the_end();
        self.talk.mouth.close();
        end
    }

    fn until_the_end(&mut self) -> Result<Exit, String> {
        loop {
            let Some(event) = self.next() else {
                self.begin_due();
                continue;
            };
            match event {
                Event::Heard(Heard::Notification(told))
                    if told.method == notification::Exit::METHOD =>
                {
                    return Ok(match self.is_shut_down {
                        true => Exit::Clean,
                        false => Exit::Failed,
                    });
                }
                Event::Heard(Heard::Request(request)) => self.request(request),
                Event::Heard(Heard::Notification(told)) => self.notification(told),
                Event::Heard(Heard::Answer) => {}
                Event::Read(root, what) => self.report(&root, what),
                Event::Done(done) => self.done(done),
                Event::Gone(why) => return why.map_or(Ok(Exit::Failed), Err),
            }
        }
    }

    /// What is done once the editor is ready.
    pub(super) fn begin_talk(&mut self) {
        self.watch();
        self.find_sites(&self.client.folders.clone());
    }

    /// The next event; `None` when it is time for what is due. Texts are judged when nothing else
    /// is waiting: a newer text makes an older one idle.
    fn next(&mut self) -> Option<Event> {
        let is_due = |server: &Self| {
            let mut sites = server.sites.values();
            sites.any(|held| held.due.is_some() && held.job.is_none())
        };
        if is_due(self) && self.last_want.elapsed() >= PAUSE {
            return None;
        }
        if let Ok(event) = self.talk.events.1.try_recv() {
            return Some(event);
        }
        self.judge_changed();
        if !is_due(self) {
            return Some(self.talk.events.1.recv().unwrap_or(Event::Gone(None)));
        }
        let left = PAUSE.saturating_sub(self.last_want.elapsed());
        match self.talk.events.1.recv_timeout(left) {
            Ok(event) => Some(event),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => Some(Event::Gone(None)),
        }
    }

    /// Judges the texts that have changed, as far as that is quick.
    pub(super) fn judge_changed(&mut self) {
        for path in std::mem::take(&mut self.changed) {
            let places = self.places_of(&path);
            match host::site_of(&path).and_then(|root| self.sites.get_mut(&root)) {
                Some(held) if places.is_empty() && held.misses(&path) => held.want(Due::Walk),
                None if places.is_empty() && host::site_of(&path).is_none() => {
                    self.reread_catalogues(|held| held.has_walked(&path));
                }
                _ => {}
            }
            for (root, file) in places {
                self.judge_edit(&path, &root, file);
            }
        }
    }

    /// Judges the text of a file that has changed at one site.
    fn judge_edit(&mut self, path: &Path, root: &PathBuf, file: FileId) {
        let document = self.documents.get(path);
        let held = self.sites.get_mut(root);
        let Some((document, held)) = document.zip(held) else {
            return;
        };
        let Some(site) = &mut held.open else {
            return;
        };
        let step = site.edit(file, &document.text);
        if step.needs_whole {
            self.last_want = host::moment();
            let is_site_file = site.source(file).path == SITE_FILE;
            held.want(if is_site_file { Due::Walk } else { Due::Judge });
        }
        let others = step.files.iter().any(|other| *other != file);
        self.publish(root, &step);
        if others {
            self.refresh();
        }
    }

    /// Begins what is due.
    fn begin_due(&mut self) {
        let roots: Vec<PathBuf> = self.sites.keys().cloned().collect();
        for root in roots {
            let idle = self.sites.get(&root).filter(|held| held.job.is_none());
            if let Some(due) = idle.and_then(|held| held.due) {
                self.begin(&root, due);
            }
        }
    }

    pub(super) fn begin(&mut self, root: &Path, due: Due) {
        let Some(held) = self.sites.get_mut(root) else {
            return;
        };
        let settings = Settings::on(host::today());
        let order = match (&held.open, due) {
            (Some(site), Due::Judge) => Order::Judge(site.task(settings)),
            (site, _) => Order::Walk {
                overlay: self
                    .documents
                    .overlay(|path| last_good(site.as_ref()?, root, path)),
                ignored: Arc::clone(&self.ignored),
                known: site.as_ref().map(OpenSite::reads).unwrap_or_default(),
                settings,
            },
        };
        if due == Due::Walk {
            held.walked = self
                .documents
                .iter()
                .map(|(path, _)| path.to_owned())
                .collect();
        }
        let is_first = held.open.is_none();
        let job = Job::begin(root.to_owned(), order, is_first, self.talk.events.0.clone());
        held.job = Some((job, due));
        held.due = None;
    }

    /// Takes a judgement in.
    fn done(&mut self, done: Done) {
        let Some(held) = self.sites.get_mut(&done.root) else {
            return;
        };
        held.job = None;
        if done.broke_down {
            let mut message = Written::new();
            message.ours("The judgement of ");
            message.theirs(&host::shown(&done.root));
            message.ours(
                " broke down. What is shown is not up to date; \"cordwright check\" may say more.",
            );
            self.show(message);
            return;
        }
        let Some(whole) = done.whole else {
            return;
        };
        if !done.is_walk {
            let Some(step) = held.open.as_mut().and_then(|site| site.take(*whole)) else {
                held.want(Due::Judge);
                return;
            };
            self.publish(&done.root, &step);
            if !step.files.is_empty() {
                self.refresh();
            }
            return;
        }
        let site = held.open.insert(OpenSite::new(*whole));
        let files = (0..site.files().len()).map(|file| FileId(file as u32));
        let step = Step {
            files: files.collect(),
            needs_whole: false,
        };
        let progress = held
            .progress
            .take()
            .map(|progress| progress.end(summary(site)));
        self.changed
            .extend(self.documents.iter().map(|(path, _)| path.to_owned()));
        self.judge_changed();
        self.publish(&done.root, &step);
        self.retract_gone(&done.root);
        self.refresh();
        progress.into_iter().for_each(|message| self.send(message));
        self.answer_parked(&done.root);
    }

    fn answer_parked(&mut self, root: &Path) {
        let parked = self
            .sites
            .get_mut(root)
            .map(|held| std::mem::take(&mut held.parked));
        parked
            .into_iter()
            .flatten()
            .for_each(|request| self.request(request));
    }

    fn report(&mut self, root: &Path, what: String) {
        let progress = self.sites.get(root).and_then(|held| held.progress.clone());
        if let Some(progress) = progress {
            self.send(progress.report(what));
        }
    }

    /// Takes every site at or below the folders in.
    pub(super) fn find_sites(&mut self, folders: &[PathBuf]) {
        for folder in folders {
            // A folder without a site is none of ours, and no fault.
            if let Ok(found) =
                host::find_sites(std::slice::from_ref(folder), |_| false, &self.ignored)
            {
                found.sites.into_iter().for_each(|site| self.add(site.dir));
            }
        }
    }

    /// Takes a site in, unless it is.
    pub(super) fn add(&mut self, root: PathBuf) {
        if self.sites.contains_key(&root) {
            return;
        }
        let mut held = Held::default();
        if self.client.shows_progress {
            let token = NumberOrString::String(format!("cordwright/{}", self.sites.len()));
            let params = WorkDoneProgressCreateParams {
                token: token.clone(),
            };
            self.ask::<request::WorkDoneProgressCreate>(params);
            let progress = Progress(token);
            let mut title = Written::new();
            title.ours("Judging ").theirs(&last_part(&root));
            self.send(progress.begin(title));
            held.progress = Some(progress);
        }
        self.sites.insert(root.clone(), held);
        self.begin(&root, Due::Walk);
    }

    /// The site that serves `path`, judged, and the file in it.
    pub(super) fn place(&self, path: &Path) -> Option<(PathBuf, FileId)> {
        self.places_of(path).into_iter().next()
    }

    pub(super) fn places<'a>(&'a self, root: &'a PathBuf) -> Option<Places<'a>> {
        Some(Places {
            site: self.sites.get(root)?.open.as_ref()?,
            root,
            documents: &self.documents,
            client: &self.client,
        })
    }

    /// Tells the editor what has changed of some files, where it does not ask for that itself.
    fn publish(&mut self, root: &PathBuf, step: &Step) {
        let reports: Vec<Report> = match self.places(root) {
            None => return,
            Some(places) => {
                let files = step.files.iter();
                let of_files = files.filter_map(|file| self.report_of(root, *file));
                of_files.chain(Report::of_unread(&places)).collect()
            }
        };
        for report in reports {
            if !self.is_asked_for(&report.path)
                && let Some(news) = self.told.news(report)
            {
                self.tell::<notification::PublishDiagnostics>(news);
            }
        }
    }

    fn is_asked_for(&self, path: &Path) -> bool {
        self.client.pulls && (self.asks_for_all || self.documents.get(path).is_some())
    }

    /// Takes back what was told of files that are no longer there, or are asked for now.
    pub(super) fn retract(&mut self, is_idle: impl Fn(&Self, &Path) -> bool) {
        let idle = self.told.paths().filter(|path| is_idle(self, path));
        let idle: Vec<PathBuf> = idle.cloned().collect();
        for path in idle {
            let document = self
                .documents
                .get(&path)
                .map(|document| document.uri.clone());
            let uri = document.or_else(|| uri::of_path(&path));
            if let Some(news) = uri.and_then(|uri| self.told.retract(&path, uri)) {
                self.tell::<notification::PublishDiagnostics>(news);
            }
        }
    }

    fn retract_gone(&mut self, root: &PathBuf) {
        self.retract(|server, path| {
            if server.places(root).is_none() {
                return false;
            }
            let is_unread = |root: &PathBuf| {
                let places = server.places(root);
                let mut unread = places.iter().flat_map(|places| places.site.unread());
                unread.any(|unread| host::below(root, &unread.path) == path)
            };
            let unread = || server.sites.keys().any(is_unread);
            let is_of_site = path.starts_with(root) || host::site_of(path).is_none();
            is_of_site && server.place(path).is_none() && !unread()
        });
    }

    /// Asks the editor to ask again: what it was told of other files may be others' now.
    fn refresh(&mut self) {
        if self.client.pulls && self.client.refreshes {
            self.ask::<request::WorkspaceDiagnosticRefresh>(());
        }
    }

    /// Asks the editor to say when a definition changes on disk.
    fn watch(&mut self) {
        if !self.client.watches {
            return;
        }
        let watcher = |glob| FileSystemWatcher {
            glob_pattern: GlobPattern::String(glob),
            kind: None,
        };
        let globs = FileGlobs::default().take_in.into_iter();
        let options = DidChangeWatchedFilesRegistrationOptions {
            watchers: globs
                .chain([format!("**/{IGNORE_FILE}")])
                .map(watcher)
                .collect(),
        };
        let registration = Registration {
            id: "files".to_owned(),
            method: notification::DidChangeWatchedFiles::METHOD.to_owned(),
            register_options: serde_json::to_value(options).ok(),
        };
        self.ask::<request::RegisterCapability>(RegistrationParams {
            registrations: vec![registration],
        });
    }

    pub(super) fn show(&mut self, message: Written<Plain>) {
        self.tell::<notification::ShowMessage>(ShowMessageParams {
            typ: MessageType::ERROR,
            message: message.into_string(),
        });
    }

    /// Sends a question whose answer does not matter.
    fn ask<R: request::Request>(&mut self, params: R::Params) {
        self.next_id += 1;
        let request = Request::new(self.next_id.into(), R::METHOD.to_owned(), params);
        self.send(request.into());
    }

    fn tell<N: notification::Notification>(&mut self, params: N::Params) {
        self.send(Notification::new(N::METHOD.to_owned(), params).into());
    }

    pub(super) fn respond(&self, id: RequestId, result: Result<impl Serialize, Response>) {
        self.send(match result {
            Ok(answer) => Response::new_ok(id, answer).into(),
            Err(error) => error.into(),
        });
    }

    /// An editor that is gone hears nothing; that it is gone is seen where its messages come in.
    pub(super) fn send(&self, message: Message) {
        self.talk.mouth.say(Said::Message(message));
    }
}

impl Held {
    /// Whether a text was open when the site was last read from disk.
    pub(super) fn has_walked(&self, path: &Path) -> bool {
        self.walked.contains(path)
    }

    /// Whether a judged site was last read from disk before this text was open.
    fn misses(&self, path: &Path) -> bool {
        self.open.is_some() && !self.has_walked(path)
    }

    /// Notes what is due, and gives up what is under way and will be idle.
    pub(super) fn want(&mut self, due: Due) {
        self.due = self.due.max(Some(due));
        if let Some((job, Due::Judge)) = &self.job {
            job.stop();
        }
    }
}

/// The name of a folder without those above it.
fn last_part(folder: &Path) -> String {
    host::shown(folder.file_name().unwrap_or_default().as_ref())
}

/// The last text of an open file that could be read, if the present one cannot.
fn last_good(site: &OpenSite, root: &Path, path: &Path) -> Option<String> {
    let below = host::way(root, path);
    let file = site.file(site.by_path(&below)?);
    let is_kept = !file.unreadable().is_empty();
    is_kept.then(|| Arc::clone(&file.read().source.text).to_string())
}
