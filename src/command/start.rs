//! `cordwright start`: a small site to begin from, or one that begins with lists.

mod lists;

use std::path::PathBuf;

use clap::ValueEnum;

use super::exit::Exit;
use crate::failure::Failure;
use crate::host::{self, AllOrNone};
use crate::ink::{Plain, Written};
use crate::input::SITE_FILE;

/// Write a site to begin from
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// The folder that it is written to
    #[arg(value_name = "DIR")]
    dir: PathBuf,
    /// Whose rules bind there: iec or nec
    #[arg(long, value_enum, hide_possible_values = true)]
    practice: Practice,
    #[command(flatten)]
    lists: lists::Lists,
}

const EXAMPLES: &str = "\
Without a list: two strips, two devices and four cords, all of it invented. With
lists: what they hold and no more. KIND is devices (which a bare FILE is), pdus,
device-models, racks or circuits. Nothing that is there is written over.

Examples:
  cordwright start quay --practice iec
  cordwright start quay --practice iec --from devices.csv --from pdus=strips.csv";

/// The practice that a site is written for: ratings differ, so nobody may choose it unawares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Practice {
    Iec,
    Nec,
}

/// A file of the site: where it goes, and its text under either practice.
struct Template {
    path: &'static str,
    iec: &'static str,
    nec: &'static str,
}

const TEMPLATES: [Template; 3] = [
    Template {
        path: SITE_FILE,
        iec: include_str!("start/iec/cordwright.yaml"),
        nec: include_str!("start/nec/cordwright.yaml"),
    },
    Template {
        path: "types.yaml",
        iec: include_str!("start/iec/types.yaml"),
        nec: include_str!("start/nec/types.yaml"),
    },
    Template {
        path: "racks/rack-1.yaml",
        iec: include_str!("start/iec/rack.yaml"),
        nec: include_str!("start/nec/rack.yaml"),
    },
];

/// Writes the files, or none of them.
pub(super) fn run(words: &Args) -> Result<Exit, Failure> {
    if words.lists.are_given()? {
        return lists::run(words);
    }
    let mut site = AllOrNone::default();
    for file in &TEMPLATES {
        let text = file.text(words.practice).as_bytes();
        site.create_within(&words.dir, file.path, text);
    }
    site.carry_out()?;
    let dir = host::shown(&words.dir);
    let mut told = Written::<Plain>::new();
    told.ours("Wrote a small site to ").theirs(&dir).ours(": ");
    told.theirs(&TEMPLATES.map(|file| file.path).join(", "));
    told.ours(".\nPut your own in its place, and run \"cordwright check ");
    told.theirs(&dir).ours("\".\n");
    host::to_standard_output(&told.into())?;
    Ok(Exit::Clean)
}

impl Template {
    fn text(&self, practice: Practice) -> &'static str {
        match practice {
            Practice::Iec => self.iec,
            Practice::Nec => self.nec,
        }
    }
}
