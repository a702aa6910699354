//! What a `check` is to do: the words of the command line made into things.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::{Args, FailAt, Format, Relaxations, look};
use crate::command::names::of_today;
use crate::command::output::Output;
use crate::failure::Failure;
use crate::finding::Level;
use crate::host::{self, ColourWish, Found, Ignored, Moves, Overlay, SiteRoot, Terminal};
use crate::input::{FileGlobs, PassedOver, SiteInput};
use crate::judgement::Settings;
use crate::report::{self, Look, RuleCard};

/// A `check` that makes sense.
pub(super) struct Plan {
    paths: Vec<PathBuf>,
    within: Vec<PathBuf>,
    stdin_as: Option<PathBuf>,
    pub(super) ignored: Ignored,
    pub(super) settings: Settings,
    pub(super) compare: Option<String>,
    pub(super) policy: Option<String>,
    /// Where sites lay at the revisions that they are compared with.
    pub(super) moves: Moves,
    pub(super) relaxations_hold: bool,
    pub(super) format: report::Format,
    pub(super) output: Output,
    pub(super) fail_at: Level,
    /// Findings of a site that are shown at most; all for `None`.
    pub(super) most: Option<usize>,
    pub(super) is_verbose: bool,
    pub(super) colour: ColourWish,
}

impl Args {
    /// The things that the words mean, `rules` being all there are.
    pub(super) fn plan(self, rules: &[RuleCard<'_>], colour: ColourWish) -> Result<Plan, Failure> {
        let all = || rules.iter().map(|rule| rule.name);
        let (only, without) = (of_today(&self.only)?, of_today(&self.without)?);
        let judged_by = |name: &str| {
            let named = |names: &[String]| names.iter().any(|given| given == name);
            (only.is_empty() || named(&only)) && !named(&without)
        };
        if !all().any(judged_by) {
            let failure = Failure::new("no rule is left to judge by");
            return Err(failure.advise("Give --only or --without fewer rules."));
        }
        Ok(Plan {
            paths: self.paths,
            within: self.within,
            stdin_as: self.stdin_as,
            ignored: self.reach.ignored(),
            settings: Settings {
                today: self.day.date(),
                only,
                without,
                budget: self.work.budget(),
            },
            compare: self.compare,
            most: most(self.format, self.most),
            policy: self.policy,
            moves: Moves::default(),
            relaxations_hold: self.relaxations == Relaxations::Tell,
            format: self.format.into(),
            output: self.output,
            fail_at: self.fail_at.into(),
            is_verbose: self.verbose,
            colour,
        })
    }
}

/// Findings that people are shown where they do not ask for another number.
const MOST: usize = 200;

/// How many findings a report holds at most. Programs get all of them; servers that build read lines, so
/// these are whole, too, unless somebody asks.
fn most(format: Format, asked: Option<usize>) -> Option<usize> {
    let most = match format {
        Format::Annotated => Some(asked.unwrap_or(MOST)),
        Format::Lines => asked,
        Format::Json | Format::Sarif | Format::Junit => None,
    };
    most.filter(|&most| most > 0)
}

impl Plan {
    /// Standard input, standing for the file it was said to be.
    pub(super) fn overlay(&self) -> Result<Overlay, Failure> {
        let mut overlay = Overlay::default();
        if let Some(path) = &self.stdin_as {
            overlay.put(path, host::read_standard_input()?);
        }
        Ok(overlay)
    }

    /// The sites to judge. A buffer alone means the site in which its file lies.
    pub(super) fn sites(&self) -> Result<Found, Failure> {
        let buffer = self.stdin_as.as_deref();
        // One in a catalogue means the sites that read it.
        let around = buffer.filter(|_| self.paths.is_empty());
        let around = around.map(|buffer| self.site_around(buffer)).transpose()?;
        let paths = around.as_ref().map_or(&*self.paths, std::slice::from_ref);
        let mut found = host::find_sites(paths, |path| Some(path) == buffer, &self.ignored)?;
        found.narrow(&self.within, &self.ignored)?;
        Ok(found)
    }

    fn site_around(&self, buffer: &Path) -> Result<PathBuf, Failure> {
        let root = host::site_of(buffer);
        let is_shared = || !host::sites_that_read(buffer, &self.ignored).is_empty();
        root.or_else(|| is_shared().then(|| buffer.to_owned()))
            .ok_or_else(|| {
                let what = format!("{} lies in no site", host::shown(buffer));
                Failure::new(what).advise("A site is a folder with a cordwright.yaml at its root.")
            })
    }

    /// Sites that were there before the change, below the paths of the command line, and that are there
    /// no more. What is judged lay in the folders `moved_from`: that is not gone.
    pub(super) fn gone<'a>(
        &self,
        moved_from: impl Iterator<Item = &'a str>,
    ) -> Result<BTreeSet<String>, Failure> {
        let Some(revision) = &self.compare else {
            return Ok(BTreeSet::new());
        };
        let here = [PathBuf::from(".")];
        let paths = if self.paths.is_empty() {
            &here[..]
        } else {
            &self.paths
        };
        let mut gone = BTreeSet::new();
        for path in paths {
            gone.extend(host::gone_sites(revision, path)?);
        }
        for place in moved_from {
            gone.remove(place);
        }
        Ok(gone)
    }

    /// Reads a site, in which something must be at every path of the command line.
    pub(super) fn read(
        &self,
        site: &SiteRoot,
        globs_of: &dyn Fn(&[u8]) -> FileGlobs,
        overlay: &Overlay,
    ) -> Result<SiteInput, Failure> {
        let input = host::read_site(&site.dir, globs_of, overlay, &self.ignored);
        must_hold(site, &input)?;
        self.must_read_buffer(site, &input)?;
        Ok(input)
    }

    /// Refuses a buffer that `site` has to leave out: it would seem to pass.
    fn must_read_buffer(&self, site: &SiteRoot, input: &SiteInput) -> Result<(), Failure> {
        let place = self.stdin_as.as_deref().and_then(host::place_in_site);
        let Some((_, below)) = place.filter(|(root, _)| *root == site.dir) else {
            return Ok(());
        };
        match passed_over_for_git(input, &below) {
            Some(passed_over) => Err(left_out(site, &below, passed_over)),
            None => Ok(()),
        }
    }

    /// How findings are to look where they go.
    pub(super) fn look(&self) -> Look {
        let terminal = match self.output.is_file() {
            true => Terminal::of_file(),
            false => Terminal::of_output(),
        };
        look(&terminal, self.colour)
    }
}

/// Refuses a path of the command line at which the site reads nothing: a name typed wrong, or a
/// file that is no YAML, would otherwise seem to pass.
pub(in crate::command) fn must_hold(site: &SiteRoot, input: &SiteInput) -> Result<(), Failure> {
    let Some(given) = site.misses(input) else {
        return Ok(());
    };
    if let Some(passed_over) = passed_over_for_git(input, &given.below) {
        return Err(left_out(site, &given.typed, passed_over));
    }
    Err(reads_nothing(site, &given.typed).advise(
        "It reads the YAML files below its root, as far as site.files takes them in and hidden \
         names, \"target\" and \"node_modules\" aside.",
    ))
}

/// What is not read at `path`, and would be if nobody asked git.
fn passed_over_for_git<'i>(input: &'i SiteInput, path: &str) -> Option<&'i PassedOver> {
    let mut passed_over = input.passed_over.iter().filter(|one| one.is_for_git());
    passed_over.find(|one| one.holds(path))
}

fn reads_nothing(site: &SiteRoot, typed: &str) -> Failure {
    let what = format!("the site at {} reads nothing at {typed}", site.shown);
    Failure::new(what)
}

fn left_out(site: &SiteRoot, typed: &str, passed_over: &PassedOver) -> Failure {
    let PassedOver { path, why } = passed_over;
    reads_nothing(site, typed).advise(format!("{path}: {why}. With --all-files it is read, too."))
}

impl From<Format> for report::Format {
    fn from(format: Format) -> Self {
        match format {
            Format::Annotated => Self::Annotated,
            Format::Lines => Self::Lines,
            Format::Json => Self::Json,
            Format::Sarif => Self::Sarif,
            Format::Junit => Self::Junit,
        }
    }
}

impl From<FailAt> for Level {
    fn from(level: FailAt) -> Self {
        match level {
            FailAt::Error => Self::Error,
            FailAt::Warning => Self::Warning,
            FailAt::Note => Self::Note,
        }
    }
}
