//! Runs that are killed while they write, again and again, at every moment of it.

use std::fs;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use std::thread;
use std::time::{Duration, Instant};

use super::{SITE, all, read, right, slip};
use crate::dice::Dice;
use crate::world::World;

/// Kills in all.
const KILLS: usize = 200;
/// Worlds in which they happen side by side: most of the time goes by in waiting for the disk.
const WORLDS: usize = 8;
/// After so many kills a run is let go to its end.
const TO_THE_END: usize = 8;

/// The zones of the site, each in a file of its own.
fn zones() -> impl Iterator<Item = (String, String)> {
    let place = |zone: usize| {
        (
            format!("rows-{}/z{zone}.yaml", zone % 3),
            format!("z{zone}"),
        )
    };
    (0..9).map(place)
}

/// What was seen in all worlds.
#[derive(Default)]
struct Seen {
    /// Kills before anything was written, and after everything was.
    before: AtomicUsize,
    after: AtomicUsize,
    /// Kills with some files written and others not.
    amid: AtomicUsize,
    /// Kills after which something lay beside the files.
    left: AtomicUsize,
}

fn start(world: &World) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
    command
        .current_dir(world.at("quay"))
        .args(["remedy", "--write"]);
    command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn lay_out(world: &World) {
    for (path, zone) in zones() {
        world.put(&format!("quay/{path}"), &slip(&zone));
    }
}

/// Whether a run has begun to write, which it does in the first folder.
fn has_begun(world: &World) -> bool {
    let entries = fs::read_dir(world.at("quay/rows-0")).unwrap();
    let mut names = entries.map(|entry| entry.unwrap().file_name());
    names.any(|name| name.to_string_lossy().starts_with(".cordwright-"))
}

/// Whether a run has left something beside the files.
fn has_left(world: &World) -> bool {
    all(world).iter().any(|path| path.contains(".cordwright-"))
}

/// Whether the first file has its new text.
fn has_written(world: &World) -> bool {
    let mut first = zones().take(1);
    first.any(|(path, zone)| read(world.at(&format!("quay/{path}"))) == right(&zone))
}

/// Kills a run: some at any time, some a moment after they begin to write, and some as soon as a file
/// is written.
fn kill_one(world: &World, dice: &mut Dice, length: Duration) {
    let mut run = start(world);
    let since = Instant::now();
    let mut wait_for = |sign: fn(&World) -> bool| {
        while !sign(world) && run.try_wait().unwrap().is_none() {
            let waited = since.elapsed();
            assert!(waited < Duration::from_secs(60), "it never begins to write");
            thread::sleep(Duration::from_micros(100));
        }
    };
    match dice.below(4) {
        0 => thread::sleep(length * 2 * dice.below(100) as u32 / 100),
        1 => {
            wait_for(has_begun);
            // Mostly soon, and sometimes late.
            let share = dice.below(100) * dice.below(100);
            thread::sleep(length * share as u32 / 10_000);
        }
        _ => wait_for(has_written),
    }
    run.kill().unwrap();
    run.wait().unwrap();
}

/// Every file is whole, and nothing else has changed.
fn look(world: &World, seen: &Seen) {
    let files: Vec<_> = zones().collect();
    let mut written = 0;
    for (path, zone) in &files {
        let text = read(world.at(&format!("quay/{path}")));
        let is_new = text == right(zone);
        assert!(is_new || text == slip(zone), "{path}: {text:?}");
        written += usize::from(is_new);
    }
    assert_eq!(read(world.at("quay/cordwright.yaml")), SITE);
    assert_eq!(read(world.at("beside.yaml")), slip("beside"));
    let others = all(world);
    let mut others = others.iter().filter(|path| path.contains('.'));
    let is_known = |path: &str| {
        let below = path.strip_prefix("quay/");
        let is_ours = |below: &str| below.contains("/.cordwright-") && below.starts_with("rows-");
        let is_file = |below: &str| files.iter().any(|(file, _)| file == below);
        path == "beside.yaml"
            || path == "quay/cordwright.yaml"
            || below.is_some_and(|below| is_ours(below) || is_file(below))
    };
    assert!(others.all(|path| is_known(path)), "{:?}", all(world));
    let count = match written {
        0 => &seen.before,
        9 => &seen.after,
        _ => &seen.amid,
    };
    count.fetch_add(1, Relaxed);
    seen.left.fetch_add(usize::from(has_left(world)), Relaxed);
}

/// A run that is not killed finishes, and takes away what the others left.
fn finish(world: &World) -> Duration {
    let since = Instant::now();
    assert_eq!(start(world).wait().unwrap().code(), Some(1));
    let length = since.elapsed();
    for (path, zone) in zones() {
        assert_eq!(read(world.at(&format!("quay/{path}"))), right(&zone));
    }
    assert!(!has_left(world), "{:?}", all(world));
    length
}

fn kill_many(seed: usize, seen: &Seen) {
    let world = World::with(&[
        ("quay/cordwright.yaml", SITE),
        ("beside.yaml", &slip("beside")),
    ]);
    lay_out(&world);
    let length = finish(&world);
    let mut dice = Dice::new(seed as u64);
    for kill in 1..=KILLS / WORLDS {
        lay_out(&world);
        kill_one(&world, &mut dice, length);
        look(&world, seen);
        if kill % TO_THE_END == 0 {
            finish(&world);
        }
    }
}

#[test]
fn a_run_that_is_killed_leaves_every_file_whole_and_the_next_one_finishes() {
    let seen = Seen::default();
    thread::scope(|scope| {
        let seen = &seen;
        (0..WORLDS).for_each(|seed| drop(scope.spawn(move || kill_many(seed, seen))));
    });
    let [before, amid, after, left] =
        [&seen.before, &seen.amid, &seen.after, &seen.left].map(|count| count.load(Relaxed));
    let told = format!("killed before {before}, amid {amid}, after {after}; left {left}");
    println!("{told}");
    assert_eq!(before + amid + after, KILLS);
    // Otherwise the kills came at no moment that matters.
    assert!(before > 0 && left > 0, "{told}");
}

/// What a run leaves that is killed cannot be taken for a part of the site.
#[test]
fn what_a_killed_run_leaves_is_not_judged() {
    let world = World::with(&[("cordwright.yaml", SITE), ("hall.yaml", &right("hall"))]);
    let before = world.run(&["check", "--format", "json"]).output;
    world.put(".cordwright-0123456789ab-cdefgh.aside", &slip("hall"));
    fs::write(world.at(".cordwright-0123456789ab.claim"), "").unwrap();
    assert_eq!(world.run(&["check", "--format", "json"]).output, before);
}
