//! `cordwright take-in --of survey`: the answers of a survey sheet, written where their facts should stand.

use std::path::PathBuf;

use super::super::exit::Exit;
use super::super::rewrite::rewrite;
use super::super::sites::Reach;
use super::look;
use crate::failure::Failure;
use crate::host::{self, ColourWish, Terminal};
use crate::ink::{Page, Plain, Written, short};
use crate::judgement::{Settings, file_globs};
use crate::report::count;
use crate::sheet::{Answered, answered};

/// What only the answers of a survey have.
#[derive(Debug, clap::Args)]
pub(super) struct Answers {
    /// Of a survey: its site [default: the one you are in]
    #[arg(long, value_name = "PATH")]
    site: Option<PathBuf>,
    /// Of a survey: write the answers into the definitions
    #[arg(long)]
    write: bool,
    #[command(flatten)]
    reach: Reach,
}

impl Answers {
    /// What makes definitions of its own belongs to no site yet.
    pub fn refuse_elsewhere(&self) -> Result<(), Failure> {
        if self.site.is_none() && !self.write {
            return Ok(());
        }
        let failure = Failure::new("--site and --write are for the answers of a survey");
        Err(failure.advise("Leave them out, or say --of survey."))
    }
}

/// Tells, and where asked to writes, what the answers of a sheet make of a site.
pub(super) fn run(args: &super::Args) -> Result<Exit, Failure> {
    if args.output.is_some() {
        let failure = Failure::new("the answers of a survey go into the definitions themselves");
        return Err(failure.advise("Leave out --output; --write writes them."));
    }
    let ignored = args.survey.reach.ignored();
    let paths: Vec<PathBuf> = args.survey.site.clone().into_iter().collect();
    let found = host::find_sites(&paths, |_| false, &ignored)?;
    let [site] = found.sites.as_slice() else {
        let failure = Failure::new(format!("there are {} sites here", found.sites.len()));
        return Err(failure.advise("Name the one that the sheet is of: --site PATH."));
    };
    let sheet = host::read_file(&args.file)?;
    let (input, originals) = host::read_site_to_write(&site.dir, &file_globs, &ignored);
    let settings = Settings::on(host::today());
    let answered = answered(input, &originals.fixed(), &sheet, &settings);
    if args.survey.write {
        rewrite(&originals, &answered.sources, &answered.changed)?;
    }
    host::to_standard_output(&told(&answered, args.survey.write).into())?;
    Ok(match answered.remarks.is_empty() {
        true => Exit::Clean,
        false => Exit::Findings,
    })
}

fn told(answered: &Answered, is_written: bool) -> Written<Plain> {
    let look = look(&Terminal::of_output(), ColourWish::Never);
    let mut page = Page::new(&look);
    for taken in &answered.taken {
        let (path, line) = &taken.place;
        let (fact, answer) = (&taken.fact, short(&taken.answer));
        page.paragraph(&format!("{path}:{line}: {fact}: {answer}"));
    }
    for note in &answered.notes {
        page.paragraph(note);
    }
    for remark in &answered.remarks {
        page.paragraph(&remark.told());
    }
    let answers = count(answered.taken.len(), "answer", "answers");
    let end = match (answered.taken.is_empty(), is_written) {
        (true, _) => "No answer is taken; no file is changed.".to_owned(),
        (false, true) => format!(
            "Wrote {answers}. Run \"cordwright check\", and look through the change before you commit it."
        ),
        (false, false) => {
            format!("{answers} can be written; no file is changed yet. --write writes them.")
        }
    };
    page.paragraph(&end);
    page.end()
}
