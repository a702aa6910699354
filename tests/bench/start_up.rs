//! How long a person or a hook waits: from the start of the process to its end, files read from disk.
//!
//! `cargo bench --bench start_up` runs the built command over `example-repo` and over generated
//! sites, as a hook would.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a bench has a clock, processes and an audience"
)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[path = "../generator/dice.rs"]
mod dice;
#[path = "../generator/racks.rs"]
mod racks;

/// Rounds for each case, after one that warms the disk's cache.
const ROUNDS: usize = 15;

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    println!("{:32} {:>9} {:>9}", "", "median", "slowest");
    tell("nothing but the version", root, &["--version"]);
    tell("check example-repo", root, &["check", "example-repo"]);
    for size in [100, 1000] {
        let folder = tempfile::tempdir().expect("a folder");
        write(folder.path(), size);
        let what = format!("check {size} racks, {} cords", size * racks::CORDS);
        tell(&what, folder.path(), &["check"]);
    }
}

fn write(folder: &Path, size: usize) {
    for (path, text) in racks::site(size) {
        let path = folder.join(path);
        std::fs::create_dir_all(path.parent().expect("a folder above")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    }
}

fn tell(what: &str, folder: &Path, words: &[&str]) {
    run(folder, words);
    let mut times: Vec<Duration> = (0..ROUNDS).map(|_| run(folder, words)).collect();
    times.sort();
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    println!(
        "{what:32} {:>6.1} ms {:>6.1} ms",
        milliseconds(times[ROUNDS / 2]),
        milliseconds(times[ROUNDS - 1])
    );
}

/// One process from start to end. Findings are its own affair; a job that was not done is not.
fn run(folder: &Path, words: &[&str]) -> Duration {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
    command.args(words).current_dir(folder);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    let start = Instant::now();
    let status = command.status().expect("the command");
    let time = start.elapsed();
    assert!(matches!(status.code(), Some(0 | 1)), "{words:?}: {status}");
    time
}
