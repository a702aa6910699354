//! `cordwright take-in`: cords, devices or circuits out of a spreadsheet.

mod survey;

use std::path::PathBuf;

use clap::ValueEnum;

use super::check::look;
use super::exit::Exit;
use crate::failure::Failure;
use crate::host::{self, AllOrNone, ColourWish, Terminal};
use crate::ink::{Page, Plain, Written, short};
use crate::report::count;
use crate::take_in::{self, Remark, Taken, Things};

/// Turn the rows of a spreadsheet into definitions
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// The rows, as text: CSV with commas, semicolons or tabs
    #[arg(value_name = "FILE.csv")]
    file: PathBuf,
    /// What the rows are: cords, devices, circuits, or the answers of a survey
    #[arg(long, value_name = "WHAT", value_enum, hide_possible_values = true)]
    of: Of,
    /// Write the definitions to this file, which must be new
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    survey: survey::Answers,
}

const EXAMPLES: &str = "\
The first row holds the headings: name, and the keys of the format, like type,
from, to, length, draw, breaker, breaker.curve or to.a. Cells are taken as they
stand. What cannot be read is told by row and column; the exit code is then 1.

Examples:
  cordwright take-in cords.csv --of cords --output sites/quay/cords.yaml
  cordwright take-in devices.csv --of devices
  cordwright take-in survey.csv --of survey --site sites/quay --write";

/// What the rows are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Of {
    Cords,
    Devices,
    Circuits,
    Survey,
}

/// Writes the definitions, and tells what could not be read.
pub(super) fn run(words: &Args) -> Result<Exit, Failure> {
    let things = match words.of {
        Of::Cords => Things::Cords,
        Of::Devices => Things::Devices,
        Of::Circuits => Things::Circuits,
        Of::Survey => return survey::run(words),
    };
    words.survey.refuse_elsewhere()?;
    let bytes = host::read_file(&words.file)?;
    let taken = take_in::take_in(things, bytes, host::today());
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
    host::tell(&told(&taken));
    Ok(match taken.remarks.is_empty() {
        true => Exit::Clean,
        false => Exit::Findings,
    })
}

fn told(taken: &Taken) -> Written<Plain> {
    let look = look(&Terminal::of_errors(), ColourWish::Never);
    let mut page = Page::new(&look);
    for remark in &taken.remarks {
        page.paragraph(&shown(remark));
    }
    let rows = count(taken.rows, "row", "rows");
    let end = match taken.remarks.len() {
        0 => format!("Took {rows}. Run \"cordwright check\": only the whole site can be judged."),
        remarks => format!(
            "Took {rows}, with {} to put right.",
            count(remarks, "place", "places")
        ),
    };
    page.paragraph(&end);
    page.end()
}

/// `row 7, column length: … Put right: …`
fn shown(remark: &Remark) -> String {
    let column = remark.column.as_ref();
    let column = column.map_or_else(String::new, |column| format!(", column {}", short(column)));
    format!(
        "row {}{column}: {}. {}",
        remark.row, remark.what, remark.advice
    )
}
