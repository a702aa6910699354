//! How long a plan takes: racks of forty dual-corded devices that have lost all their cords.
//!
//! `cargo bench --bench plans` plans 1, 10, 100 and 1,000 racks, no two of them alike, and judges the plan by all
//! rules on the way, as the command does. The goal is a minute for 1,000 racks on two cores.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a bench has a clock and an audience"
)]

use std::time::{Duration, Instant};

use cordwright::date::Date;
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::plan::{Asked, plan};

#[path = "../generator/dice.rs"]
mod dice;
#[path = "../generator/racks.rs"]
mod racks;

/// What 1,000 racks may take.
const GOAL: Duration = Duration::from_secs(60);

fn main() {
    println!(
        "{:>6} {:>9} {:>9} {:>9}",
        "racks", "planned", "left", "time"
    );
    for size in [1, 10, 100, 1000] {
        let input = without_cords(size);
        let settings = Settings::on(Date::new(2026, 11, 25).expect("a day"));
        let start = Instant::now();
        let plan = plan(&input, &Asked::default(), &settings);
        let time = start.elapsed();
        assert_eq!(plan.untried, None);
        let (planned, left) = (plan.cords.len(), plan.unplanned.len());
        assert_eq!(planned + left, size * racks::CORDS);
        println!(
            "{size:>6} {planned:>9} {left:>9} {:>8.2}s",
            time.as_secs_f64()
        );
        assert!(time < GOAL, "the goal is {GOAL:?}");
    }
}

/// A sound site of so many racks, its cords taken out, and labels that fit so many.
fn without_cords(size: usize) -> SiteInput {
    let files = racks::site(size).into_iter().map(|(path, text)| {
        let text = match text.split_once("\ncords:\n") {
            Some((before, _)) => format!("{before}\n"),
            None => text.replace("\"W-[0-9]{4}-[0-9]{2}[AB]\"", "\"W-[0-9]{6}\""),
        };
        (path, text.into_bytes())
    });
    SiteInput {
        files: files.collect(),
        ..SiteInput::default()
    }
}
