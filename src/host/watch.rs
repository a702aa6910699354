//! A watch on a run: when its time is up, the run ends without a report.

use std::process;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use super::streams::tell;
use crate::ink::{Plain, Written};

/// A watch that runs until it is stopped.
#[derive(Debug)]
pub struct Watch {
    /// Whether the run is over for one of the two: what comes second must not happen.
    is_over: Arc<AtomicBool>,
}

impl Watch {
    /// Ends this process with exit code 2 once so many seconds have passed, with `words` on standard
    /// error; never for none.
    pub fn start(seconds: u64, words: Written<Plain>) -> Self {
        let is_over = Arc::new(AtomicBool::new(false));
        if seconds > 0 {
            let is_over = Arc::clone(&is_over);
            thread::spawn(move || {
                thread::sleep(Duration::from_secs(seconds));
                if !is_over.swap(true, Ordering::SeqCst) {
                    tell(&words);
                    process::exit(2);
                }
            });
        }
        Self { is_over }
    }

    /// Stops the watch before anything is told. Comes back only if there was time left.
    pub fn stop(&self) {
        while self.is_over.swap(true, Ordering::SeqCst) {
            thread::park();
        }
    }
}
