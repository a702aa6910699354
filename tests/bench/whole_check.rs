//! How long a whole check takes, against the YAML parser's own time over the same bytes.
//!
//! `cargo bench` measures sites of 10, 100 and 1,000 racks. `cargo bench --bench whole_check -- --racks N`
//! measures one size; with `--write FOLDER` it writes that site there instead, for other programs.
//! `-- --shapes` measures sites of strange shapes at 1,000 and 10,000 cords: time per cord should stay.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a bench has a clock, a memory meter and an audience"
)]

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use cordwright::date::Date;
use cordwright::input::SiteInput;
use cordwright::judgement::{Settings, Site};
use cordwright::policy::Policy;
use cordwright::rules;
use cordwright::yaml;
use rayon::prelude::*;

#[path = "../generator/dice.rs"]
mod dice;
#[path = "../generator/racks.rs"]
mod racks;
#[path = "../generator/shapes.rs"]
mod shapes;

/// Rounds for each size; the median counts.
const ROUNDS: usize = 5;

fn main() {
    let words: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| word != "--bench")
        .collect();
    let after = |name: &str| {
        words
            .iter()
            .position(|word| word == name)
            .and_then(|at| words.get(at + 1))
            .cloned()
    };
    let size = after("--racks").map(|text| text.parse().expect("a number of racks"));
    if let Some(folder) = after("--write") {
        return write(Path::new(&folder), size.unwrap_or(10));
    }
    if let Some(stage) = after("--once") {
        return once(&stage, size.unwrap_or(10));
    }
    if words.iter().any(|word| word == "--shapes") {
        return shapes::SHAPES.into_iter().for_each(measure_shape);
    }
    println!(
        "{:>6} {:>9} {:>9} {:>9} {:>6} {:>10} {:>9} {:>9}",
        "racks", "MB", "parse", "check", "ratio", "per cord", "findings", "peak"
    );
    match size {
        Some(racks) => measure(racks),
        None => [10, 100, 1000].into_iter().for_each(measure),
    }
}

fn write(folder: &Path, racks: usize) {
    for (path, text) in racks::site(racks) {
        let path = folder.join(path);
        std::fs::create_dir_all(path.parent().expect("a folder above")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    }
}

/// Does one stage once and measures nothing: for programs that count instructions.
fn once(stage: &str, racks: usize) {
    let files = racks::site(racks);
    match stage {
        "parse" => {
            let texts = files.iter().map(|(_, text)| yaml::events_only(text));
            println!("{} events", texts.sum::<usize>());
        }
        "check" => println!("{} findings", stages(input(&files), racks).1),
        _ => println!("{} files", files.len()),
    }
}

fn measure_shape((name, shape): shapes::Shape) {
    let per_cord = |cords: usize| {
        let files = shape(cords);
        let start = Instant::now();
        let _site = stages(input(&files), cords);
        start.elapsed().as_secs_f64() * 1e6 / cords as f64
    };
    let (few, many) = (per_cord(1_000), per_cord(10_000));
    println!("{name:>14} {few:>8.2} µs per cord at 1,000 cords, {many:>8.2} µs at 10,000");
}

fn measure(racks: usize) {
    let files = racks::site(racks);
    let texts: Vec<Arc<str>> = files
        .iter()
        .map(|(_, text)| Arc::from(text.as_str()))
        .collect();
    let bytes: usize = texts.iter().map(|text| text.len()).sum();
    let parse = median(|| {
        let start = Instant::now();
        let events: usize = texts.par_iter().map(|text| yaml::events_only(text)).sum();
        assert!(events > 0);
        start.elapsed()
    });
    let mut findings = 0;
    let check = median(|| {
        let input = input(&files);
        let start = Instant::now();
        let (_site, found) = stages(input, racks);
        let taken = start.elapsed();
        findings = found;
        taken
    });
    let per_cord = check.as_secs_f64() * 1e6 / (racks * racks::CORDS) as f64;
    let ratio = check.as_secs_f64() / parse.as_secs_f64();
    println!(
        "{racks:>6} {:>9.2} {:>6.1} ms {:>6.1} ms {ratio:>6.2} {per_cord:>7.2} µs {findings:>9} {:>6} MB",
        bytes as f64 / 1e6,
        parse.as_secs_f64() * 1e3,
        check.as_secs_f64() * 1e3,
        peak_memory(),
    );
}

/// The site, so that whoever has a clock can stop it before the site is taken apart, as a check does
/// beside its answer; and how many findings there are.
fn stages(input: SiteInput, racks: usize) -> (Site, usize) {
    let settings = Settings::on(Date::new(2026, 11, 25).expect("a date"));
    let start = Instant::now();
    let site = Site::read(input);
    let read = start.elapsed();
    let policy = Policy::of(&site.model);
    let outcome = rules::run(&site.analysis(settings.today), &[policy], |_| true);
    if std::env::var_os("BENCH_STAGES").is_some() {
        println!(
            "    {racks} racks: read and flows {read:.1?}, rules {:.1?}",
            start.elapsed() - read
        );
    }
    let findings = outcome.findings.len();
    (site, findings)
}

fn input(files: &[(String, String)]) -> SiteInput {
    let files = files
        .iter()
        .map(|(path, text)| (path.clone(), text.clone().into_bytes()))
        .collect();
    SiteInput {
        files,
        ..SiteInput::default()
    }
}

fn median(mut round: impl FnMut() -> Duration) -> Duration {
    let mut times: Vec<Duration> = (0..ROUNDS).map(|_| round()).collect();
    times.sort();
    times[ROUNDS / 2]
}

/// Largest memory the process has held so far, in megabytes (Linux; 0 elsewhere).
fn peak_memory() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes: Option<u64> =
        line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
    kilobytes.unwrap_or(0) / 1000
}
