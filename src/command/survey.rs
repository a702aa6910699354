//! `cordwright survey`: what to find out, where, and what hangs on it; and what should be found in the room.

use super::check::look;
use super::exit::Exit;
use super::output::Output;
use super::schedule::{Format, tell_beside, written};
use super::sites::{self, Day, Sites, Work};
use crate::failure::Failure;
use crate::finding::Verdict;
use crate::host::{self, ColourWish, Terminal};
use crate::judgement::{Settings, Site, file_globs};
use crate::schedule::Schedule;
use crate::sheet::{self, ValueTrials};

/// List what is missing, where to find it, and what decides
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    work: Work,
    #[command(flatten)]
    day: Day,
    /// List what should be in this rack, outlet by outlet
    #[arg(long, value_name = "RACK", conflicts_with = "all")]
    rack: Option<String>,
    /// List what should be in every rack
    #[arg(long)]
    all: bool,
    /// table, csv, markdown or html [default: table]
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    #[command(flatten)]
    output: Output,
}

const EXAMPLES: &str = "\
Facts that most questions hang on come first, by where one must go. \"decides\"
is the value at which all questions on a fact are answered well, the rest of the
site as it is recorded. What you read goes under \"answer\".

Examples:
  cordwright survey sites/quay --format csv --output survey.csv
  cordwright take-in survey.csv --of survey --site sites/quay --write
  cordwright survey sites/quay --rack r1 --format html --output r1.html";

/// Writes the sheet of every site.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let watch = args.work.watch();
    let ignored = args.sites.ignored();
    let found = args.sites.find(&ignored)?;
    let settings = Settings {
        budget: args.work.budget(),
        ..Settings::on(args.day.date())
    };
    let (mut is_whole, mut is_known) = (true, !args.is_of_room());
    let mut sheets = Vec::new();
    for root in &found.sites {
        let input = host::read_site(&root.dir, &file_globs, &host::Overlay::default(), &ignored);
        let site = Site::read_within(input, &settings.budget);
        is_whole &= !site.model.is_incomplete && !site.is_cut_short();
        let sheet = match args.is_of_room() {
            true => args.room(&site),
            false => Some(facts(site, &settings)),
        };
        is_known |= sheet.is_some();
        sheets.extend(sheet.map(|sheet| (root.shown.clone(), sheet)));
    }
    if !is_known {
        let rack = args.rack.as_deref().unwrap_or_default();
        let failure = Failure::new(format!("no site here has a rack {rack}"));
        return Err(failure.advise("Name one of the racks of the site, or ask for --all."));
    }
    let look = look(&Terminal::of_output(), colour);
    let output = written(&sheets, args.format, &look);
    watch.stop();
    args.output.deliver(&output)?;
    if args.format == Format::Csv {
        tell_beside(&sheets);
    }
    sites::end("survey", is_whole)
}

/// The facts that a site lacks.
fn facts(site: Site, settings: &Settings) -> Schedule {
    let judged = site.judge(settings);
    let mut missing = sheet::missing(&judged.findings);
    if let Some(values) = ValueTrials::new(&judged, settings) {
        values.decide_within(&mut missing, &settings.budget);
    }
    let open = judged.findings.iter();
    let open = open.filter(|finding| finding.verdict == Verdict::Open);
    sheet::schedule(
        (judged.name.as_deref(), judged.words),
        &missing,
        open.count(),
    )
}

impl Args {
    fn is_of_room(&self) -> bool {
        self.all || self.rack.is_some()
    }

    fn room(&self, site: &Site) -> Option<Schedule> {
        sheet::room(&site.as_it_hangs(self.day.date()), self.rack.as_deref())
    }
}
