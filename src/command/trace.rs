//! `cordwright trace`: the electrical path of a device, cord, PDU or circuit.

mod spice;
mod table;
mod wire;

use clap::ValueEnum;

use super::check::look;
use super::exit::Exit;
use super::names;
use super::sites::{self, Shown, Sites, Work};
use crate::analysis::Stands;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Terminal};
use crate::ink::short;
use crate::trace::deck::Deck;
use crate::trace::{self, Trace};

/// Show the electrical path of a device, cord, PDU or circuit
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// The name, or device/inlet
    #[arg(value_name = "NAME")]
    name: String,
    #[command(flatten)]
    sites: Sites,
    /// table, json or spice [default: table]
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    work: Work,
}

const EXAMPLES: &str = "\
Examples:
  cordwright trace W-0412 sites/quay
  cordwright trace tide-01/psu1 --format json
  cordwright trace W-0412 --format spice > W-0412.cir";

/// How the path is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    #[default]
    Table,
    /// For programs.
    Json,
    /// For circuit simulators: the network behind it, in the state that makes its worst.
    Spice,
}

/// Shows the path in every site that has a thing of that name.
pub(super) fn run(words: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    let watch = words.work.watch();
    let ignored = words.sites.ignored();
    let found = words.sites.find(&ignored)?;
    let mut traces = Vec::new();
    let mut deck = Deck::default();
    let mut known = Vec::new();
    let budget = words.work.budget();
    let mut is_whole = true;
    for root in &found.sites {
        let site = words.shown.of(sites::read(root, &ignored, &budget));
        is_whole &= !site.is_cut_short();
        let analysis = site.analysis(host::today());
        if words.format == Format::Spice {
            deck.add(&analysis, &words.name);
        }
        match trace::trace(&analysis, &words.name) {
            Some(trace) => traces.push(trace),
            None => known.extend(trace::names(&analysis).map(str::to_owned)),
        }
    }
    if traces.is_empty() {
        return Err(unknown(&words.name, &known));
    }
    let output = match words.format {
        Format::Table => table::shown(&traces, &look(&Terminal::of_output(), colour)).into(),
        Format::Json => wire::shown(&traces).into(),
        Format::Spice => spice::shown(&deck).into(),
    };
    watch.stop();
    host::to_standard_output(&output)?;
    sites::end("trace", is_whole)
}

fn unknown(name: &str, known: &[String]) -> Failure {
    let failure = Failure::new(format!("nothing here is called \"{}\"", short(name)));
    let advice = "Give the name of a device, cord, PDU, circuit or supply.";
    match names::nearest(name, known.iter().map(String::as_str)) {
        Some(near) => failure.advise(format!("Did you mean \"{}\"? {advice}", short(near))),
        None => failure.advise(advice),
    }
}

/// Whether anything in the paths is above its limit: the word for it stands in the table.
fn is_over(trace: &Trace) -> bool {
    let mut hops = trace.paths.iter().flat_map(|path| &path.hops);
    hops.any(|hop| hop.stands == Stands::Above)
}
