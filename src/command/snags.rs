//! `cordwright snags`: today's findings accepted as known, on a list that may only shrink.

use super::check::look;
use super::exit::Exit;
use super::sites::{self, Day, Sites, Work};
use crate::budget::Budget;
use crate::failure::Failure;
use crate::finding::{Finding, Verdict};
use crate::host::{self, AllOrNone, Ignored, Originals, SiteRoot, Terminal};
use crate::ink::{Output, Page, short};
use crate::input::SNAG_FILE;
use crate::judgement::{Judgement, Settings, file_globs, judge};
use crate::report::{Format, Look, Report, SiteReport, count, snag_list};
use crate::rules::{self, Known, hides_others, may_be_accepted};

/// Accept today's findings as known, so that only new ones fail
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    work: Work,
    /// Add new findings to a list that is there
    #[arg(long)]
    add: bool,
    #[command(flatten)]
    day: Day,
}

const EXAMPLES: &str = "\
Writes cordwright-snags.txt beside cordwright.yaml. Where it is there already,
lines whose fault is gone are struck; what is new is told and not added.
Points that are not decided are never on it.

Examples:
  cordwright snags sites/quay         begin a list, or strike what is put right
  cordwright snags sites/quay --add   accept what is new as well";

/// Writes the list of every site.
pub(super) fn run(words: &Args) -> Result<Exit, Failure> {
    let watch = words.work.watch();
    let ignored = words.sites.ignored();
    let found = words.sites.find(&ignored)?;
    let updates = found.sites.iter();
    let updates = updates.map(|site| Update::of(site, words, &ignored));
    let updates: Vec<Update<'_>> = updates.collect::<Result<_, _>>()?;
    watch.stop();
    let mut exit = Exit::Clean;
    for updated in updates {
        updated.write()?;
        host::to_standard_output(&updated.told()?)?;
        exit = exit.max(updated.exit());
    }
    Ok(exit)
}

/// What becomes of the list of one site.
struct Update<'a> {
    site: &'a SiteRoot,
    originals: Originals,
    judgement: Judgement,
    /// Findings that are not on the list and stay off it.
    refused: Vec<Finding>,
    /// Findings that come onto the list.
    added: Vec<Known>,
    /// How much may be told.
    budget: Budget,
}

impl<'a> Update<'a> {
    fn of(site: &'a SiteRoot, words: &Args, ignored: &Ignored) -> Result<Self, Failure> {
        let (input, originals) = host::read_site_to_write(&site.dir, &file_globs, ignored);
        let settings = Settings {
            budget: words.work.budget(),
            ..Settings::on(words.day.date())
        };
        let judgement = judge(input, &settings);
        must_be_whole(site, &judgement)?;
        // What is wrong with the list itself is put right by writing it.
        let list = judgement.sources.by_path(SNAG_FILE);
        let new = judgement.findings.iter();
        let new = new.filter(|f| may_be_accepted(f) && Some(f.main.span.file) != list);
        let new: Vec<Finding> = new.cloned().collect();
        let (added, refused) = match words.add || judgement.listed.is_none() {
            true => (
                new.into_iter().map(Known::at_what_it_is).collect(),
                Vec::new(),
            ),
            false => (Vec::new(), new),
        };
        Ok(Self {
            site,
            originals,
            judgement,
            refused,
            added,
            budget: settings.budget,
        })
    }

    fn write(&self) -> Result<(), Failure> {
        let text = snag_list(self.judgement.known.iter().chain(&self.added));
        let sources = &self.judgement.sources;
        let text = text.as_str();
        let before = sources.by_path(SNAG_FILE).map(|id| &*sources.file(id).text);
        let mut list = AllOrNone::default();
        match (self.originals.get(SNAG_FILE), before) {
            (Some(_), Some(before)) if before == text => return Ok(()),
            (Some(original), Some(before)) => {
                list.rewrite(original, before.as_bytes(), text.as_bytes());
            }
            _ => list.create(&self.site.dir.join(SNAG_FILE), text.as_bytes()),
        }
        list.carry_out()
    }

    fn exit(&self) -> Exit {
        match self.refused.as_slice() {
            [] => Exit::Clean,
            _ => Exit::Findings,
        }
    }

    /// What was done, and what a reader has to do.
    fn told(&self) -> Result<Output, Failure> {
        let look = look(&Terminal::of_output(), host::ColourWish::Never);
        let mut page = Page::new(&look);
        page.paragraph(&self.done());
        if self.refused.is_empty() {
            return Ok(page.end().into());
        }
        let new = count(self.refused.len(), "finding is", "findings are");
        let words = format!("{new} not on the list and not added, for it may only shrink:");
        page.paragraph(&words);
        let before = Output::from(page.end());
        let lines = self.lines(&look)?;
        let mut page = Page::new(&look);
        page.paragraph(
            "Put them right, or record a departure with its reason. To accept them all as known, add --add.",
        );
        Ok(before.then(lines).then(page.end()))
    }

    fn done(&self) -> String {
        let path = match self.site.shown.as_str() {
            "." => SNAG_FILE.to_owned(),
            root => format!("{}/{SNAG_FILE}", short(root)),
        };
        let atoms = |known: &[Known]| {
            let atoms = known.iter().map(|known| known.finding.atoms().count());
            atoms.sum::<usize>()
        };
        let (kept, added) = (atoms(&self.judgement.known), atoms(&self.added));
        let on_it = count(kept + added, "finding", "findings");
        let mut sentences = match self.judgement.listed {
            None => vec![
                format!("Began {path} with {on_it}."),
                "Each is a hazard that stays until it is put right; a check now fails for new ones only. Commit the file with the site.".to_owned(),
            ],
            Some(lines) => vec![format!(
                "{path}: {} struck, {added} added, {on_it} on the list.",
                lines.saturating_sub(kept),
            )],
        };
        let open = self.judgement.findings.iter();
        let open = open.filter(|f| f.verdict == Verdict::Open).count();
        if open > 0 {
            let points = count(open, "point", "points");
            sentences.push(format!(
                "Not decided and therefore not on it: {points}, told by every check."
            ));
        }
        sentences.join(" ")
    }

    /// The refused findings, a line each.
    fn lines(&self, look: &Look) -> Result<Output, Failure> {
        let now = &self.judgement;
        let (root, called) = (&self.site.shown, (now.name.as_deref(), now.words));
        let site = SiteReport::of_findings(root, called, &now.sources, &self.refused, now.census);
        let report = Report {
            sites: vec![site],
            rules: rules::cards(),
            is_verbose: false,
            is_one_by_one: false,
        };
        sites::written(&report, Format::Lines, look, &self.budget)
    }
}

/// What cannot be read may hold other faults, and a broken line of the list may be meant.
fn must_be_whole(site: &SiteRoot, judgement: &Judgement) -> Result<(), Failure> {
    let broken = judgement.findings.iter().any(hides_others);
    if !broken && judgement.unread.is_empty() && judgement.crashed.is_empty() {
        return Ok(());
    }
    let what = format!(
        "no snag list is written: a part of the site at {} was not judged",
        short(&site.shown)
    );
    Err(Failure::new(what).advise(
        "\"cordwright check\" says which part and why. Put that right first: nobody knows what \
         would be accepted with it.",
    ))
}
