//! `cordwright schedule`: cords, orders, labels and loads as tables.

use clap::ValueEnum;

use super::check::look;
use super::exit::Exit;
use super::output::Output;
use super::sites::{self, Shown, Sites, Work};
use crate::agreed;
use crate::failure::Failure;
use crate::finding::{Finding, Level, Verdict};
use crate::host::{self, ColourWish, Terminal};
use crate::ink::{self, Look, Page, Written};
use crate::judgement::Site;
use crate::policy::Policy;
use crate::report::CAUTION;
use crate::schedule::{self, Held, Kind, Schedule};

/// Write the cords, orders, labels, loads or room of a site
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// What it is of, as below
    #[arg(value_name = "KIND", value_enum, hide_possible_values = true)]
    kind: Of,
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    work: Work,
    /// table, csv, markdown or html [default: table]
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    #[command(flatten)]
    output: Output,
    /// The room of this rack alone
    #[arg(long, value_name = "NAME")]
    rack: Vec<String>,
    /// Spares of an order, of the cords in use [default: 10]
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u32).range(0..=1000))]
    spares: Option<u32>,
}

const EXAMPLES: &str = "\
cords          every cord with its two ends, and what it carries at worst
order          what to buy, by type and length, of whom, with spares
specification  each make, as one sends it to a maker; goods-in: what to look at
labels, loads  for both ends of a cord; currents by supply, circuit and bank
spare          free outlets, what can still be taken, the largest new device

Example:
  cordwright schedule cords sites/quay --format html --output cords.html";

/// What a schedule is wanted of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Of {
    Cords,
    Order,
    Specification,
    GoodsIn,
    Labels,
    Loads,
    Spare,
}

/// How it is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people.
    #[default]
    Table,
    /// For spreadsheets and label printers.
    Csv,
    /// For notes.
    Markdown,
    /// To print.
    Html,
}

/// Writes the schedule of every site.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let kind = args.kind()?;
    let watch = args.work.watch();
    let ignored = args.sites.ignored();
    let found = args.sites.find(&ignored)?;
    let mut is_whole = true;
    let mut schedules = Vec::new();
    let budget = args.work.budget();
    for root in &found.sites {
        let site = args.shown.of(sites::read(root, &ignored, &budget));
        is_whole &= !site.model.is_incomplete && !site.is_cut_short();
        let held = match args.kind {
            Of::Order | Of::Specification => held(&site),
            Of::Cords | Of::GoodsIn | Of::Labels | Of::Loads | Of::Spare => Held::default(),
        };
        let schedule = schedule::schedule_held(&site.analysis(host::today()), kind.clone(), &held);
        schedules.push((root.shown.clone(), schedule));
    }
    let look = look(&Terminal::of_output(), colour);
    let output = written(&schedules, args.format, &look);
    watch.stop();
    args.output.deliver(&output)?;
    if args.format == Format::Csv {
        tell_beside(&schedules);
    }
    sites::end("schedule", is_whole)
}

/// What a check finds wrong or cannot decide, and nobody has departed from, by the things that it is told of.
fn held(site: &Site) -> Held {
    let (today, policy) = (host::today(), Policy::of(&site.model));
    let outcome = site.said(today, &[policy], |_| true);
    let (findings, _) = agreed::depart(&policy, today, outcome.findings);
    let stands =
        |finding: &&Finding| finding.verdict == Verdict::Open || finding.level == Level::Error;
    let mut held = Held::default();
    for finding in findings.iter().filter(stands) {
        let names = finding.about.iter().chain(&finding.sufferers);
        let names = names.filter_map(|name| name.split('/').next());
        names.for_each(|name| {
            held.entry(name.into()).or_default().insert(finding.rule);
        });
    }
    held
}

impl Args {
    fn kind(&self) -> Result<Kind, Failure> {
        let is_of_order = matches!(self.kind, Of::Order | Of::Specification);
        if self.spares.is_some() && !is_of_order {
            let failure = Failure::new("--spares belongs to an order, and to no other schedule");
            return Err(failure.advise("Leave it out, or ask for \"cordwright schedule order\"."));
        }
        if !self.rack.is_empty() && self.kind != Of::Spare {
            let failure = Failure::new("--rack belongs to the room, and to no other schedule");
            return Err(failure.advise("Leave it out, or ask for \"cordwright schedule spare\"."));
        }
        Ok(match self.kind {
            Of::Cords => Kind::Cords,
            Of::Order => Kind::Order(self.spares),
            Of::Specification => Kind::Specification(self.spares),
            Of::GoodsIn => Kind::GoodsIn,
            Of::Labels => Kind::Labels,
            Of::Loads => Kind::Loads,
            Of::Spare => Kind::Spare(self.rack.clone()),
        })
    }
}

/// Tables of sites, each with the folder of its site, as they are written.
pub(super) fn written(
    schedules: &[(String, Schedule)],
    format: Format,
    look: &Look,
) -> ink::Output {
    let each = schedules.iter().map(|(_, schedule)| schedule);
    match format {
        Format::Table => apart(each.map(|schedule| schedule::text(schedule, look))).into(),
        Format::Markdown => apart(each.map(schedule::markdown)).into(),
        Format::Html => schedule::html(&each.collect::<Vec<_>>()).into(),
        Format::Csv => schedule::csv(schedules).into(),
    }
}

/// Texts with an empty line between them.
fn apart<K>(texts: impl Iterator<Item = Written<K>>) -> Written<K> {
    let mut all = Written::new();
    for text in texts {
        all.ours(if all.is_empty() { "" } else { "\n" });
        all.push(&text);
    }
    all
}

/// Programs read the rows; people should read this.
pub(super) fn tell_beside(schedules: &[(String, Schedule)]) {
    let look = look(&Terminal::of_errors(), ColourWish::Never);
    let notes = schedules.iter().flat_map(|(_, schedule)| &schedule.notes);
    let mut notes: Vec<&str> = notes.map(String::as_str).collect();
    notes.push(CAUTION);
    notes.dedup();
    let mut page = Page::new(&look);
    notes.into_iter().for_each(|note| page.paragraph(note));
    host::tell(&page.end());
}
