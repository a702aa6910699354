//! `cordwright start --from`: a site that begins with spreadsheets that are there.

use std::path::PathBuf;

use super::super::check::look;
use super::super::exit::Exit;
use super::super::take_in::mapping_of;
use super::Practice;
use crate::failure::Failure;
use crate::host::{self, AllOrNone, ColourWish, Terminal};
use crate::ink::{Page, short};
use crate::report::count;
use crate::tables::{self, countries};
use crate::take_in::{NewSite, Taken, Things, new_site, take_in};

/// What a site may begin with.
#[derive(Debug, clap::Args)]
pub(super) struct Lists {
    /// A list (.xlsx, .csv) to begin with; may be repeated
    #[arg(long, value_name = "[KIND=]FILE")]
    from: Vec<String>,
    /// A mapping file that says what its columns hold
    #[arg(long, value_name = "[KIND=]FILE")]
    map: Vec<String>,
    /// The sheet of its workbook [default: the first]
    #[arg(long, value_name = "[KIND=]NAME")]
    sheet: Vec<String>,
    /// The country, with lists: GB
    #[arg(long, value_name = "COUNTRY")]
    country: Option<String>,
}

/// The kinds of list, the one that is meant where none is named first.
const KINDS: [Things; 5] = [
    Things::Devices,
    Things::Pdus,
    Things::DeviceModels,
    Things::Racks,
    Things::Circuits,
];

/// A list as it was asked for.
struct List {
    things: Things,
    /// Its file, in words.
    shown: String,
    taken: Taken,
}

impl Lists {
    /// Whether there is any list.
    ///
    /// # Errors
    /// There is none, and something is said of lists.
    pub fn are_given(&self) -> Result<bool, Failure> {
        let says_more = !self.map.is_empty() || !self.sheet.is_empty() || self.country.is_some();
        if self.from.is_empty() && says_more {
            let failure = Failure::new("--map, --sheet and --country go with --from");
            return Err(failure.advise("Name the list: --from devices.csv."));
        }
        Ok(!self.from.is_empty())
    }

    /// The lists, read.
    fn read(&self) -> Result<Vec<List>, Failure> {
        let maps = by_kind(&self.map, "--map")?;
        let sheets = by_kind(&self.sheet, "--sheet")?;
        let files = by_kind(&self.from, "--from")?;
        let named = |(things, _): &&(Things, &str)| !files.iter().any(|(own, _)| own == things);
        if let Some((things, _)) = maps.iter().chain(&sheets).find(named) {
            let kind = things.section();
            let failure = Failure::new(format!("no list of {kind} is named by --from"));
            return Err(failure.advise(format!("Say which it is: --from {kind}=FILE.")));
        }
        let lists = files.into_iter().map(|(things, file)| {
            let of_kind = |all: &[(Things, &str)]| {
                let own = all.iter().find(|(own, _)| *own == things);
                own.map(|(_, word)| (*word).to_owned())
            };
            let map = of_kind(&maps).map(PathBuf::from);
            let mut mapping = mapping_of(map.as_deref())?;
            of_kind(&sheets).iter().for_each(|sheet| mapping.set_sheet(sheet));
            let file = PathBuf::from(file);
            if host::is_folder(&file) {
                let failure = Failure::new(format!("{} is a folder", host::shown(&file)));
                return Err(failure.advise("Name a spreadsheet. Strips that describe themselves are added to a site by \"cordwright take-in\"."));
            }
            Ok(List {
                things,
                shown: host::shown(&file),
                taken: take_in(things, &mapping, &host::read_file(&file)?, host::today()),
            })
        });
        lists.collect()
    }

    /// The code of the country, where one is named.
    fn country(&self) -> Result<Option<&str>, Failure> {
        let Some(word) = &self.country else {
            return Ok(None);
        };
        match countries::meant(word) {
            Some(country) => Ok(Some(&country.code)),
            None => {
                let failure = Failure::new(format!("no country \"{}\" is known", short(word)));
                Err(failure
                    .advise("Write its two letters, like GB; or leave it out, and fill it in."))
            }
        }
    }
}

/// Words of the form `KIND=WORD`, where a bare one is of devices; each kind once.
fn by_kind<'w>(words: &'w [String], option: &str) -> Result<Vec<(Things, &'w str)>, Failure> {
    let mut all: Vec<(Things, &str)> = Vec::new();
    for word in words {
        let (things, rest) = kind(word)?;
        if all.iter().any(|(own, _)| *own == things) {
            let kind = things.section();
            let failure = Failure::new(format!("{option} is given twice for {kind}"));
            return Err(failure.advise(format!(
                "Put the lists of one kind into one file; others are named by their kind, like {option} pdus={}.",
                short(rest)
            )));
        }
        all.push((things, rest));
    }
    Ok(all)
}

fn kind(word: &str) -> Result<(Things, &str), Failure> {
    let [devices, ..] = KINDS;
    let Some((kind, rest)) = word.split_once('=') else {
        return Ok((devices, word));
    };
    if let Some(things) = KINDS.into_iter().find(|things| things.section() == kind) {
        return Ok((things, rest));
    }
    let is_word = kind.chars().all(|c| c.is_ascii_alphabetic() || c == '-');
    if !is_word {
        return Ok((devices, word));
    }
    let kinds = KINDS.map(Things::section).join(", ");
    let failure = Failure::new(format!("no site begins with a list of {}", short(kind)));
    Err(failure.advise(format!(
        "Kinds are {kinds}. Cords, their types and offers are added to a site by \"cordwright take-in\"."
    )))
}

/// Writes the site that begins with the lists, or nothing.
pub(super) fn run(words: &super::Args) -> Result<Exit, Failure> {
    let country = words.lists.country()?;
    let lists = words.lists.read()?;
    let practice = match words.practice {
        Practice::Iec => tables::Practice::Iec,
        Practice::Nec => tables::Practice::Nec,
    };
    let look = look(&Terminal::of_output(), ColourWish::Never);
    let mut page = Page::new(&look);
    lists.iter().for_each(|list| list.tell(&mut page));
    if let Some(empty) = lists.iter().find(|list| list.taken.count == 0) {
        host::tell(&page.end());
        let failure = Failure::new(format!("nothing can be taken from {}", empty.shown));
        return Err(
            failure.advise("Nothing was written. Put right what is told above, and run it again.")
        );
    }
    let lists: Vec<(Things, Taken)> = lists
        .into_iter()
        .map(|list| (list.things, list.taken))
        .collect();
    let site = new_site(practice, country, &lists);
    site.doubts.iter().for_each(|doubt| page.paragraph(doubt));
    write(words, &site)?;
    let remarks = lists.iter().map(|(_, taken)| taken.remarks.len());
    let faults = remarks.sum::<usize>() + site.doubts.len();
    tell_end(&mut page, words, &site, &lists, faults);
    host::to_standard_output(&page.end().into())?;
    Ok(match faults {
        0 => Exit::Clean,
        _ => Exit::Findings,
    })
}

fn write(words: &super::Args, site: &NewSite) -> Result<(), Failure> {
    let mut files = AllOrNone::default();
    for (path, text) in &site.files {
        files.create_within(&words.dir, path, text.as_str().as_bytes());
    }
    files.carry_out()
}

impl List {
    /// How it was read, and what is to be put right.
    fn tell(&self, page: &mut Page<'_>) {
        let Taken { notes, remarks, .. } = &self.taken;
        if notes.is_empty() && remarks.is_empty() {
            return;
        }
        page.paragraph(&format!("Of {}:", self.shown));
        notes.iter().for_each(|note| page.paragraph(note));
        remarks
            .iter()
            .for_each(|remark| page.paragraph(&remark.told()));
    }
}

/// What was written, and what comes next, in order.
fn tell_end(
    page: &mut Page<'_>,
    words: &super::Args,
    site: &NewSite,
    lists: &[(Things, Taken)],
    faults: usize,
) {
    let dir = host::shown(&words.dir);
    let taken: Vec<String> = lists
        .iter()
        .map(|(things, taken)| count(taken.count, things.what(), &format!("{}s", things.what())))
        .collect();
    let files: Vec<&str> = site.files.iter().map(|(path, _)| path.as_str()).collect();
    page.paragraph(&format!(
        "Wrote a site of {} to {dir}: {}.",
        taken.join(", "),
        files.join(", ")
    ));
    if faults > 0 {
        page.paragraph(&format!(
            "{} in the lists to put right. Correct the lists, take these files away and start again; or write what is missing into them.",
            count(faults, "thing", "things")
        ));
    }
    page.paragraph("Next, in this order:");
    for step in [
        "1. Fill in what is {} or behind a #, as far as you know it; supplies and circuits, too.",
        &format!("2. cordwright check {dir}: what cannot be right, and what is missing."),
        &format!("3. cordwright survey {dir}: what to find out, and where."),
        &format!("4. cordwright specify {dir}: which cords to fit."),
    ] {
        page.item(2, 5, step);
    }
}
