//! Whether the work stays in proportion to what is read, whatever its shape.
//!
//! `cargo bench --bench complexity` runs the command of every shape in `tests/shapes` at three sizes,
//! each in a process of its own, and fails where the work grows faster than the size to the power of
//! 1.2, or where a megabyte takes more than two seconds of processor time or 500 MB of memory.
//! `-- WORDS` runs only the shapes whose names hold the words; `-- --quick` does not count instructions;
//! `-- --write FOLDER SIZE WORDS` writes the first of them there instead, with about so many bytes.
//!
//! Work is counted in instructions where valgrind is on the path, so that noise does not matter; else it
//! is processor time, of which only long runs can be compared.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a bench has a clock, processes and an audience"
)]

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, ExitStatus, Stdio};
use std::time::{Duration, Instant};

#[path = "../shapes/shapes.rs"]
mod shapes;

use shapes::{Files, SHAPES, Shape};

/// Bytes of the three sizes.
const SIZES: [usize; 3] = [125_000, 350_000, 1_000_000];
/// The power of the size that the work may grow by.
const MOST_GROWTH: f64 = 1.2;
/// Processor time that the largest size may take.
const MOST_TIME: Duration = Duration::from_secs(2);
/// Bytes of memory that it may take.
const MOST_MEMORY: u64 = 500_000_000;
/// Work, in seconds, below which processor time is too coarse to tell growth.
const LEAST_TIME: f64 = 0.2;
/// How long to wait for a run, and for one whose instructions are counted.
const PATIENCE: [Duration; 2] = [Duration::from_secs(60), Duration::from_secs(600)];
/// The first word of a run that measures itself.
const ITSELF: &str = "--itself";

fn main() -> ExitCode {
    let words: Vec<OsString> = std::env::args_os().skip(1).collect();
    if let [first, report, command @ ..] = words.as_slice()
        && first == ITSELF
    {
        return itself(Path::new(report), command);
    }
    let words: Vec<String> = words
        .into_iter()
        .filter_map(|word| word.into_string().ok())
        .filter(|word| word != "--bench")
        .collect();
    if let [first, folder, size, words @ ..] = words.as_slice()
        && first == "--write"
    {
        return write_first(Path::new(folder), size.parse().expect("a size"), words);
    }
    let is_quick = words.iter().any(|word| word == "--quick");
    let named: Vec<&String> = words.iter().filter(|word| *word != "--quick").collect();
    let wanted = |shape: &&Shape| named.iter().all(|word| shape.name.contains(word.as_str()));
    let counter = (!is_quick).then(Counter::find).flatten();
    println!(
        "{:32} {:>9} {:>8} {:>7} {:>8} {:>8}  work in {}",
        "",
        "MB",
        "time",
        "exit",
        "memory",
        "growth",
        if counter.is_some() {
            "instructions"
        } else {
            "seconds of processor time"
        },
    );
    let failed = SHAPES
        .iter()
        .filter(wanted)
        .filter(|shape| !measure(shape, counter.as_ref()));
    match failed.count() {
        0 => ExitCode::SUCCESS,
        failed => {
            println!("{failed} shapes cost more than their size.");
            ExitCode::FAILURE
        }
    }
}

fn write_first(folder: &Path, size: usize, words: &[String]) -> ExitCode {
    let mut shapes = SHAPES.iter();
    let shape = shapes.find(|shape| words.iter().all(|word| shape.name.contains(word.as_str())));
    let shape = shape.expect("a shape of that name");
    let count = count_for(shape, size);
    if let Some(before) = shape.before {
        fs::create_dir_all(folder).expect("a folder");
        commit(folder, &before(count));
    }
    write(folder, &(shape.make)(count));
    println!("{}: {}", shape.name, shape.words.join(" "));
    ExitCode::SUCCESS
}

/// Runs a command in this process, and reports what it took.
fn itself(report: &Path, command: &[OsString]) -> ExitCode {
    let words = [OsString::from("cordwright")]
        .into_iter()
        .chain(command.iter().cloned());
    let exit = cordwright::command::run(words.collect());
    fs::write(report, format!("{} {}", processor_time(), peak_memory())).expect("a report");
    ExitCode::from(exit)
}

/// What one run took.
struct Run {
    /// Bytes read.
    size: usize,
    /// Seconds of processor time, and bytes of memory at the peak.
    time: f64,
    memory: u64,
    /// Instructions, or seconds where nothing counts them.
    work: f64,
    exit: String,
}

/// Measures a shape and tells of it; whether it costs no more than its size.
fn measure(shape: &Shape, counter: Option<&Counter>) -> bool {
    let one = run(shape, 1, counter);
    let runs: Vec<Option<Run>> = SIZES
        .map(|size| run(shape, count_for(shape, size), counter))
        .into();
    let runs: Option<Vec<Run>> = runs.into_iter().collect();
    let (Some(one), Some(runs)) = (one, runs) else {
        println!("{:32} took too long to wait for", shape.name);
        return false;
    };
    let growth = growth(&one, &runs, counter.is_some());
    let last = &runs[runs.len() - 1];
    let faults = [
        (last.time > MOST_TIME.as_secs_f64()).then_some("too long"),
        (last.memory > MOST_MEMORY).then_some("too much memory"),
        growth
            .is_some_and(|growth| growth > MOST_GROWTH)
            .then_some("grows too fast"),
        (!matches!(&*last.exit, "0" | "1" | "2")).then_some("broke down"),
    ];
    let faults: Vec<&str> = faults.into_iter().flatten().collect();
    let work: Vec<String> = runs.iter().map(|run| format!("{:.3e}", run.work)).collect();
    println!(
        "{:32} {:>6.2} MB {:>6.2} s {:>7} {:>5} MB {:>8}  {} {}",
        shape.name,
        last.size as f64 / 1e6,
        last.time,
        last.exit,
        last.memory / 1_000_000,
        growth.map_or("–".to_owned(), |growth| format!("{growth:.2}")),
        work.join(" "),
        faults.join(", "),
    );
    faults.is_empty()
}

/// How many things make about so many bytes.
fn count_for(shape: &Shape, size: usize) -> usize {
    let bytes = |count: usize| size_of(&(shape.make)(count));
    let (few, many) = (bytes(16), bytes(116));
    let each = (many - few) as f64 / 100.0;
    let first = size.saturating_sub(few) as f64 / each.max(1.0);
    // Numbers get longer as there are more.
    let scale = size as f64 / bytes(first as usize).max(1) as f64;
    ((first * scale) as usize).max(1)
}

fn size_of(files: &Files) -> usize {
    files.iter().map(|(_, text)| text.len()).sum()
}

/// The largest power between neighbouring sizes, of the work above that for one thing.
fn growth(one: &Run, runs: &[Run], is_exact: bool) -> Option<f64> {
    let steps = runs.windows(2).filter_map(|pair| {
        let [less, more] = [&pair[0], &pair[1]].map(|run| run.work - one.work);
        let can_tell = less > 0.0 && more > 0.0 && (is_exact || less > LEAST_TIME);
        let sizes = pair[1].size as f64 / pair[0].size as f64;
        can_tell.then(|| (more / less).ln() / sizes.ln())
    });
    steps.max_by(f64::total_cmp)
}

fn run(shape: &Shape, count: usize, counter: Option<&Counter>) -> Option<Run> {
    let folder = tempfile::tempdir().expect("a folder");
    let files = (shape.make)(count);
    if let Some(before) = shape.before {
        commit(folder.path(), &before(count));
    }
    write(folder.path(), &files);
    let report = tempfile::NamedTempFile::new().expect("a file");
    let measured = |mut command: Command, patience: Duration| {
        command.arg(ITSELF).arg(report.path()).args(shape.words);
        command.current_dir(folder.path());
        command
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        wait(command, patience)
    };
    let status = measured(Command::new(this()), PATIENCE[0])?;
    let (time, memory) = read_report(report.path());
    let instructions = match counter {
        Some(counter) => {
            measured(counter.command(), PATIENCE[1])?;
            Some(counter.count())
        }
        None => None,
    };
    Some(Run {
        size: size_of(&files),
        time,
        memory,
        work: instructions.unwrap_or(time),
        exit: status
            .code()
            .map_or("killed".to_owned(), |code| code.to_string()),
    })
}

/// Makes files the last revision of a new repository, and takes them away again.
fn commit(folder: &Path, files: &Files) {
    write(folder, files);
    let git = |words: &[&str]| {
        let mut git = Command::new("git");
        git.args([
            "-c",
            "user.name=Bench",
            "-c",
            "user.email=bench@example.org",
        ]);
        git.args(["-c", "core.autocrlf=false", "-c", "gc.auto=0"]);
        git.args(words).current_dir(folder).stdout(Stdio::null());
        assert!(git.status().expect("git").success(), "git {words:?}");
    };
    git(&["init", "--quiet"]);
    git(&["add", "--all"]);
    git(&["commit", "--quiet", "--message", "before"]);
    for (path, _) in files {
        fs::remove_file(folder.join(path)).expect("a file");
    }
}

fn this() -> PathBuf {
    std::env::current_exe().expect("this program")
}

fn write(folder: &Path, files: &Files) {
    for (path, text) in files {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().expect("a folder above")).expect("a folder");
        fs::write(path, text).expect("a file");
    }
}

/// Waits for a run to end; after a while it is ended.
fn wait(mut command: Command, patience: Duration) -> Option<ExitStatus> {
    let mut child = command.spawn().expect("a process");
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("a process") {
            return Some(status);
        }
        if start.elapsed() > patience {
            child.kill().expect("a process to end");
            child.wait().expect("its end");
            return None;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// The program that counts instructions.
struct Counter {
    log: tempfile::NamedTempFile,
}

impl Counter {
    fn find() -> Option<Self> {
        let asked = Command::new("valgrind")
            .arg("--version")
            .stdout(Stdio::null())
            .status();
        asked.is_ok_and(|status| status.success()).then(|| Self {
            log: tempfile::NamedTempFile::new().expect("a file"),
        })
    }

    /// Its command line, but for the words of what it counts.
    fn command(&self) -> Command {
        let mut command = Command::new("valgrind");
        command.args([
            "--tool=cachegrind",
            "--cache-sim=no",
            "--cachegrind-out-file=/dev/null",
        ]);
        command.arg(format!("--log-file={}", self.log.path().display()));
        // Which of several threads does a piece of work makes no difference, waiting for it does.
        command.env("RAYON_NUM_THREADS", "1").arg(this());
        command
    }

    /// The instructions of the last run.
    fn count(&self) -> f64 {
        let log = fs::read_to_string(self.log.path()).expect("a log");
        let line = log
            .lines()
            .find(|line| line.contains(" refs:") && line.contains(" I "))
            .expect("a count");
        let digits: String = line
            .rsplit(':')
            .next()
            .unwrap_or("")
            .chars()
            .filter(char::is_ascii_digit)
            .collect();
        digits.parse().expect("a number")
    }
}

fn read_report(path: &Path) -> (f64, u64) {
    let report = fs::read_to_string(path).expect("a report");
    let mut parts = report.split(' ');
    let mut next = || parts.next().and_then(|part| part.parse::<f64>().ok());
    (
        next().unwrap_or(f64::INFINITY),
        next().unwrap_or(f64::INFINITY) as u64,
    )
}

/// Seconds of processor time of all threads of this process, kernel included (Linux; 0 elsewhere).
fn processor_time() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // After the name in brackets; its hundredths of a second are the same on every Linux.
    let fields = stat
        .rsplit(')')
        .next()
        .unwrap_or_default()
        .split_whitespace();
    let ticks = fields
        .skip(11)
        .take(2)
        .filter_map(|field| field.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}

/// Largest memory this process has held so far, in bytes (Linux; 0 elsewhere).
fn peak_memory() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
    kilobytes.map_or(0, |kilobytes: u64| kilobytes * 1024)
}
