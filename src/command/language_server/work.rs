//! Whole judgements, on a thread of their own so that the editor never waits for one.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::SyncSender;
use std::sync::{Arc, LazyLock};
use std::thread;

use rayon::{ThreadPool, ThreadPoolBuilder};

use super::server::Event;
use crate::editor::{Task, Whole};
use crate::host::{self, Ignored, Overlay};
use crate::judgement::{FileRead, Settings, file_globs};

/// What is to be judged.
#[derive(Debug)]
pub(super) enum Order {
    /// The site as it is on disk, under the open texts; files read before need not be read again.
    Walk {
        overlay: Overlay,
        ignored: Arc<Ignored>,
        known: Vec<Arc<FileRead>>,
        settings: Settings,
    },
    /// Files that are read already.
    Judge(Task),
}

/// Threads for what goes on behind the typing: one processor is left to answer keystrokes.
static BEHIND: LazyLock<Option<ThreadPool>> = LazyLock::new(|| {
    let threads = rayon::current_num_threads().saturating_sub(1).max(1);
    ThreadPoolBuilder::new().num_threads(threads).build().ok()
});

/// A judgement under way.
#[derive(Debug)]
pub(super) struct Job(Arc<AtomicBool>);

/// How a judgement ended.
#[derive(Debug)]
pub(super) struct Done {
    /// The site's folder.
    pub root: PathBuf,
    /// What was found; `None` if it was given up.
    pub whole: Option<Box<Whole>>,
    /// Whether the site was read from disk.
    pub is_walk: bool,
    /// Whether it came to no end by a fault of ours.
    pub broke_down: bool,
}

impl Job {
    /// Begins a judgement, which ends in an event.
    /// The first one of a site, which all wait for, takes every processor.
    pub(super) fn begin(
        root: PathBuf,
        order: Order,
        is_first: bool,
        events: SyncSender<Event>,
    ) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&stop);
        thread::spawn(move || {
            let go_on = || !asked.load(Ordering::Relaxed);
            let is_walk = matches!(order, Order::Walk { .. });
            let task = match order {
                Order::Judge(task) => task,
                Order::Walk {
                    overlay,
                    ignored,
                    known,
                    settings,
                } => {
                    let input = host::read_site(&root, &file_globs, &overlay, &ignored);
                    let read = format!("{} files read, now judging", input.files.len());
                    // Nobody is left to be told if the server is gone.
                    let _ = events.send(Event::Read(root.clone(), read));
                    Task::read(input, &known, settings)
                }
            };
            let judge = || match BEHIND.as_ref().filter(|_| !is_first) {
                Some(behind) => behind.install(|| task.judge(go_on)),
                None => task.judge(go_on),
            };
            // The editor must learn of a breakdown: silence would look like a pass.
            let judged = catch_unwind(AssertUnwindSafe(judge));
            let broke_down = judged.is_err();
            let whole = judged.ok().flatten().map(Box::new);
            let _ = events.send(Event::Done(Done {
                root,
                whole,
                is_walk,
                broke_down,
            }));
        });
        Self(stop)
    }

    /// Asks it to give up: a newer text has made it idle.
    pub(super) fn stop(&self) {
        self.0.store(true, Ordering::Relaxed);
    }
}
