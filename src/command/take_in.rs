//! `cordwright take-in`: what exists already, out of a spreadsheet or a saved tree of resources.

mod survey;

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::check::look;
use super::exit::Exit;
use crate::failure::Failure;
use crate::host::{self, AllOrNone, ColourWish, Terminal};
use crate::ink::{Page, Plain, Written};
use crate::report::count;
use crate::take_in::{Mapping, Taken, Things, Units, take_in, take_in_units};

/// Turn a spreadsheet, or what a strip says of itself, into YAML
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// A spreadsheet (.xlsx, .csv); or a folder, see the guide taking-in.md
    file: PathBuf,
    /// cords, cord-types, devices, device-models, circuits, pdus, racks, offers,
    /// transfer-switches or survey
    #[arg(long, value_name = "WHAT", value_enum, hide_possible_values = true)]
    of: Of,
    /// A mapping file that says what the columns hold
    #[arg(long, value_name = "FILE")]
    map: Option<PathBuf>,
    /// The unit of numbers without one: length=m
    #[arg(long, value_name = "KEY=UNIT")]
    unit: Vec<String>,
    /// The sheet of a workbook [default: the first]
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// Write the definitions to this file, which must be new
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    survey: survey::Answers,
}

const EXAMPLES: &str = "\
Headings are name and keys of the format, like to, length (m), breaker.curve, or
what --map says. What cannot be read is told; the exit code is then 1.

Examples:
  cordwright take-in cords.xlsx --of cords --map ours.yaml --output cords.yaml
  cordwright take-in survey.csv --of survey --site sites/quay --write";

/// What is taken in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Of {
    Cords,
    CordTypes,
    Devices,
    DeviceModels,
    Circuits,
    Pdus,
    Racks,
    Offers,
    Survey,
    TransferSwitches,
}

/// Writes the definitions, and tells what could not be read.
pub(super) fn run(words: &Args) -> Result<Exit, Failure> {
    let things = match words.of {
        Of::Cords => Things::Cords,
        Of::CordTypes => Things::CordTypes,
        Of::Devices => Things::Devices,
        Of::DeviceModels => Things::DeviceModels,
        Of::Circuits => Things::Circuits,
        Of::Pdus => Things::Pdus,
        Of::Racks => Things::Racks,
        Of::Offers => Things::Offers,
        Of::Survey => return survey::run(words),
        Of::TransferSwitches => return units(words, Units::TransferSwitches),
    };
    if host::is_folder(&words.file) {
        return match things {
            Things::Pdus => units(words, Units::Pdus),
            _ => Err(is_a_folder(words)),
        };
    }
    words.survey.refuse_elsewhere()?;
    let mapping = words.mapping()?;
    let bytes = host::read_file(&words.file)?;
    deliver(
        words,
        &take_in(things, &mapping, &bytes, host::today()),
        ("row", "rows"),
    )
}

impl Args {
    /// What the columns hold, by the mapping file and the options.
    fn mapping(&self) -> Result<Mapping, Failure> {
        let mut mapping = mapping_of(self.map.as_deref())?;
        for unit in &self.unit {
            mapping.set_unit(unit)?;
        }
        self.sheet.iter().for_each(|sheet| mapping.set_sheet(sheet));
        Ok(mapping)
    }
}

/// What a mapping file says; without one, nothing.
pub(super) fn mapping_of(file: Option<&Path>) -> Result<Mapping, Failure> {
    match file {
        Some(file) => Mapping::read(&host::shown(file), host::read_file(file)?),
        None => Ok(Mapping::default()),
    }
}

/// Strips or transfer switches by what their resources say.
fn units(words: &Args, units: Units) -> Result<Exit, Failure> {
    words.survey.refuse_elsewhere()?;
    if !host::is_folder(&words.file) {
        let failure = Failure::new("transfer switches are read from a folder of saved resources");
        return Err(failure.advise(
            "From a spreadsheet, take in their models with --of device-models and write `transfer` by hand.",
        ));
    }
    if words.map.is_some() || words.sheet.is_some() || !words.unit.is_empty() {
        let failure = Failure::new("--map, --unit and --sheet are for spreadsheets");
        return Err(failure.advise("Leave them out: the resources say what they hold."));
    }
    let tree = host::read_saved_tree(&words.file)?;
    let taken = take_in_units(units, &tree.files, &tree.unread, host::today());
    deliver(words, &taken, (units.one(), units.several()))
}

fn is_a_folder(words: &Args) -> Failure {
    let failure = Failure::new(format!("{} is a folder", host::shown(&words.file)));
    failure.advise(
        "A folder of saved resources is read with --of pdus or --of transfer-switches; else name a spreadsheet.",
    )
}

fn deliver(words: &Args, taken: &Taken, things: (&str, &str)) -> Result<Exit, Failure> {
    match &words.output {
        Some(file) => {
            let mut definitions = AllOrNone::default();
            definitions.create(file, taken.yaml.as_str().as_bytes());
            definitions.carry_out()?;
        }
        None => {
            host::to_standard_output(&taken.yaml.clone().into())?;
        }
    }
    host::tell(&told(taken, things));
    Ok(match taken.remarks.is_empty() {
        true => Exit::Clean,
        false => Exit::Findings,
    })
}

/// What became of it; what was taken is called so, one of it and several.
fn told(taken: &Taken, (one, several): (&str, &str)) -> Written<Plain> {
    let look = look(&Terminal::of_errors(), ColourWish::Never);
    let mut page = Page::new(&look);
    for note in &taken.notes {
        page.paragraph(note);
    }
    for remark in &taken.remarks {
        page.paragraph(&remark.told());
    }
    let things = count(taken.count, one, several);
    let end = match taken.remarks.len() {
        0 => format!("Took {things}. Run \"cordwright check\": only the whole site can be judged."),
        remarks => format!(
            "Took {things}, with {} to put right.",
            count(remarks, "thing", "things")
        ),
    };
    page.paragraph(&end);
    page.end()
}
