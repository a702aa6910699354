//! `cordwright snags`: today's findings accepted as known, on a list that may only shrink.

use super::check::look;
use super::exit::Exit;
use super::sites::{Day, Sites, Work};
use crate::failure::Failure;
use crate::finding::{Finding, Verdict};
use crate::host::{self, Overlay, SiteRoot, Surroundings};
use crate::input::SNAG_FILE;
use crate::judgement::{Judgement, Settings, file_globs, judge};
use crate::report::{self, Format, Look, Report, SiteReport, count, snag_list, spelt, wrapped};
use crate::rules::{self, may_be_accepted};

/// Accept today's findings as known, so that only new ones fail
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Words {
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
pub(super) fn run(words: &Words) -> Result<Exit, Failure> {
    let watch = words.work.watch();
    let found = words.sites.find()?;
    let updates = found.sites.iter().map(|site| Update::of(site, words));
    let updates: Vec<Update<'_>> = updates.collect::<Result<_, _>>()?;
    watch.stop();
    let mut exit = Exit::Clean;
    for updated in updates {
        updated.write()?;
        host::to_standard_output(updated.told()?.as_bytes())?;
        exit = exit.max(updated.exit());
    }
    Ok(exit)
}

/// What becomes of the list of one site.
struct Update<'a> {
    site: &'a SiteRoot,
    judgement: Judgement,
    /// Findings that are not on the list and stay off it.
    refused: Vec<Finding>,
    /// Findings that come onto the list.
    added: Vec<Finding>,
}

impl<'a> Update<'a> {
    fn of(site: &'a SiteRoot, words: &Words) -> Result<Self, Failure> {
        let input = host::read_site(&site.dir, &file_globs, &Overlay::default());
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
            true => (new, Vec::new()),
            false => (Vec::new(), new),
        };
        Ok(Self {
            site,
            judgement,
            refused,
            added,
        })
    }

    fn write(&self) -> Result<(), Failure> {
        let text = snag_list(self.judgement.known.iter().chain(&self.added));
        let sources = &self.judgement.sources;
        let before = sources.by_path(SNAG_FILE).map(|id| &sources.file(id).text);
        match before.is_some_and(|before| **before == *text) {
            true => Ok(()),
            false => host::write_atomically(&self.site.dir.join(SNAG_FILE), text.as_bytes()),
        }
    }

    fn exit(&self) -> Exit {
        match self.refused.as_slice() {
            [] => Exit::Clean,
            _ => Exit::Findings,
        }
    }

    /// What was done, and what a reader has to do.
    fn told(&self) -> Result<String, Failure> {
        let look = look(&Surroundings::of_output(), host::ColourWish::Never);
        let mut text = paragraph(&self.done(), &look);
        if !self.refused.is_empty() {
            let new = count(self.refused.len(), "finding is", "findings are");
            let words = format!("{new} not on the list and not added, for it may only shrink:");
            text.push_str(&paragraph(&words, &look));
            text.push_str(&self.lines(&look)?);
            let advice = "Put them right, or record a departure with its reason. To accept them all as known, add --add.";
            text.push_str(&paragraph(advice, &look));
        }
        Ok(text)
    }

    fn done(&self) -> String {
        let path = match self.site.shown.as_str() {
            "." => SNAG_FILE.to_owned(),
            root => format!("{root}/{SNAG_FILE}"),
        };
        let (kept, added) = (self.judgement.known.len(), self.added.len());
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
    fn lines(&self, look: &Look) -> Result<String, Failure> {
        let now = &self.judgement;
        let (root, name) = (&self.site.shown, now.name.as_deref());
        let site = SiteReport::of_findings(root, name, &now.sources, &self.refused, now.census);
        let report = Report {
            sites: vec![site],
            rules: rules::cards(),
        };
        let mut text = Vec::new();
        report::write(&report, Format::Lines, look, &mut text)
            .map_err(|error| Failure::new(format!("cannot write the list: {error}")))?;
        Ok(String::from_utf8_lossy(&text).into_owned())
    }
}

/// What cannot be read may hold other faults, and a broken line of the list may be meant.
fn must_be_whole(site: &SiteRoot, judgement: &Judgement) -> Result<(), Failure> {
    let unreadable = rules::records::unreadable_file::RULE.name;
    let broken = judgement.findings.iter().any(|f| f.rule == unreadable);
    if !broken && judgement.unread.is_empty() && judgement.crashed.is_empty() {
        return Ok(());
    }
    let what = format!(
        "no snag list is written: a part of the site at {} was not judged",
        site.shown
    );
    Err(Failure::new(what).advise(
        "\"cordwright check\" says which part and why. Put that right first: nobody knows what \
         would be accepted with it.",
    ))
}

fn paragraph(words: &str, look: &Look) -> String {
    let lines = wrapped(&spelt(words, look.unicode), look.width);
    lines.join("\n") + "\n"
}
