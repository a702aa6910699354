//! `cordwright check`: judge sites and tell what was found.

mod change;
mod plan;
mod tally;

use std::path::PathBuf;

use clap::ValueEnum;

use crate::failure::Failure;
use crate::finding::{Fact, Finding, Level};
use crate::host::{self, ColourWish, Overlay, SiteRoot, Terminal};
use crate::ink::{Written, short};
use crate::input::SITE_FILE;
use crate::judgement::{Judgement, file_globs, judge};
use crate::report::{self, FoundAt, Gravest, Look, Report, RuleCard, SiteReport};
use crate::rules::{self, Check};
use crate::sheet::{self, ValueTrials};
use crate::source::Sources;

use super::exit::Exit;
use super::output::Output;
use super::sites::{self, Day, Reach, Work};

use plan::Plan;
pub(super) use plan::must_hold;
use tally::Tally;

/// Judge a site and tell what was found
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// Sites, or files in sites [default: the site you are in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// annotated (the default), lines, json, sarif or junit
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    #[command(flatten)]
    output: Output,
    /// Fail from error (the default), warning or note
    #[arg(long, value_name = "LEVEL", value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    fail_at: FailAt,
    /// Show people only the gravest [default: 200; 0: all; of lines all]
    // The closing words name it where something is left out; the manual has it.
    #[arg(long, value_name = "N", hide = true)]
    most: Option<usize>,
    /// Judge by this rule only (may be repeated)
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    only: Vec<String>,
    /// Do not judge by this rule (may be repeated)
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    without: Vec<String>,
    /// Tell only findings that lie here (may be repeated)
    #[arg(long = "in", value_name = "PATH")]
    within: Vec<PathBuf>,
    /// Judge the change since this git revision
    #[arg(long, value_name = "REV")]
    compare: Option<String>,
    /// Judge the change by the policy of this revision, not of the one compared with
    // For servers: the manual has it.
    #[arg(long, value_name = "REV", requires = "compare", hide = true)]
    policy: Option<String>,
    /// What a change relaxes: refuse (the default) or tell
    #[arg(
        long,
        value_name = "HOW",
        value_enum,
        default_value_t,
        requires = "compare"
    )]
    #[arg(hide_default_value = true, hide_possible_values = true, hide = true)]
    relaxations: Relaxations,
    /// Take standard input for the text of this file
    // For editors: the manual has it.
    #[arg(long, value_name = "PATH", hide = true)]
    stdin_as: Option<PathBuf>,
    /// Name every file that is not judged, and why
    #[arg(long)]
    verbose: bool,
    #[command(flatten)]
    reach: Reach,
    #[command(flatten)]
    day: Day,
    #[command(flatten)]
    work: Work,
}

const EXAMPLES: &str = "\
Example:
  cordwright check --compare main --format sarif --output new.sarif

Exit code: 0 nothing to fail for, 1 findings, 2 the job could not be done.
More options, seldom needed: cordwright manual";

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum Format {
    #[default]
    Annotated,
    Lines,
    Json,
    Sarif,
    Junit,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum FailAt {
    #[default]
    Error,
    Warning,
    Note,
}

/// What becomes of what a change relaxes for itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Relaxations {
    #[default]
    Refuse,
    Tell,
}

/// One site, judged.
struct Judged<'a> {
    site: &'a SiteRoot,
    now: Judgement,
    /// Of facts that are missing the values that decide, where people are told.
    decides: Vec<(Fact, String)>,
    /// The folder in which it lay before a change, where one is judged.
    was_at: Option<String>,
}

/// Judges and tells.
pub(super) fn run(words: Args, colour: ColourWish) -> Result<Exit, Failure> {
    let rules = rules::cards();
    let watch = words.work.watch();
    let plan = words.plan(&rules, colour)?;
    let overlay = plan.overlay()?;
    let found = plan.sites()?;
    let judged = found.sites.iter().map(|site| judged(site, &plan, &overlay));
    let mut judged: Vec<Judged<'_>> = judged.collect::<Result<_, _>>()?;
    watch.stop();
    let worst = worst(&judged, plan.fail_at);
    tell_shared_once(&mut judged, plan.format);
    tell(&plan, &judged, rules)?;
    for one in found.passed_over.iter().filter(|_| plan.is_verbose) {
        note(&format!(
            "no site was looked for in {}: {}",
            one.path, one.why
        ));
    }
    for folder in &found.unsearched {
        let what = format!("cannot look into {}: {}", folder.path, folder.why);
        let failure = Failure::new(what).advise("Sites in it, if any, were not checked.");
        super::fail(&failure, colour);
    }
    for file in &found.misnamed {
        let what = format!("{file} makes no site: the own file of a site is named {SITE_FILE}");
        let failure = Failure::new(what).advise("Name it so. What lies beside it was not checked.");
        super::fail(&failure, colour);
    }
    let gone = plan.gone(judged.iter().filter_map(|one| one.was_at.as_deref()))?;
    for place in &gone {
        tell_of_gone(place, &plan);
    }
    let is_agreed = gone.is_empty() || plan.relaxations_hold;
    let is_all = found.unsearched.is_empty() && found.misnamed.is_empty() && is_agreed;
    Ok(match is_all {
        true => worst,
        false => Exit::Failed,
    })
}

/// What lies in a catalogue is told once, and how a run ends goes by all of it.
fn tell_shared_once(judged: &mut [Judged<'_>], format: report::Format) {
    let found = judged.iter_mut().map(|Judged { site, now, .. }| FoundAt {
        root: &site.shown,
        sources: &now.sources,
        findings: &mut now.findings,
    });
    report::told_once(&mut found.collect::<Vec<_>>(), format);
}

/// A site that a change takes away as a whole: whoever may decide that says so.
fn tell_of_gone(place: &str, plan: &Plan) {
    let revision = plan.compare.as_deref().unwrap_or_default();
    let what = format!(
        "{} was a site in {} and is none any more: nothing of it is judged",
        short(place),
        short(revision)
    );
    if plan.relaxations_hold {
        note(&what);
        return;
    }
    let advice = "If it is gone from the room, whoever may decide that says --relaxations tell.";
    super::fail(&Failure::new(what).advise(advice), plan.colour);
}

fn worst(judged: &[Judged<'_>], fail_at: Level) -> Exit {
    let ends = judged.iter().map(|Judged { now, .. }| {
        let tally = Tally {
            findings: &now.findings,
            complete: now.unread.is_empty() && now.crashed.is_empty(),
            open_points_block: now.open_points_block,
        };
        tally.exit(fail_at)
    });
    ends.max().unwrap_or(Exit::Clean)
}

fn judged<'a>(site: &'a SiteRoot, plan: &Plan, overlay: &Overlay) -> Result<Judged<'a>, Failure> {
    let (mut now, was_at) = match &plan.compare {
        Some(revision) => change::judged(site, plan, revision, overlay)?,
        None => {
            let input = plan.read(site, &file_globs, overlay)?;
            (judge(input, &plan.settings), None)
        }
    };
    let sources = &now.sources;
    // What a change takes away from the judgement of others is told whatever path is asked for.
    now.findings
        .retain(|finding| is_of_change(finding) || wanted(site, sources, finding));
    now.departed
        .retain(|departed| wanted(site, sources, &departed.finding));
    now.known
        .retain(|known| wanted(site, sources, &known.finding));
    if let Some(comparison) = &mut now.comparison {
        comparison.gone.retain(|gone| site.wants(&gone.path));
    }
    let decides = match (plan.format, &plan.compare) {
        (report::Format::Annotated, None) => decides(&now, plan),
        _ => Vec::new(),
    };
    Ok(Judged {
        site,
        now,
        decides,
        was_at,
    })
}

/// Trials of a thing that are made in passing: a small site is told at once which values decide, of a large
/// one "cordwright survey" tells it.
const IN_PASSING: usize = 30_000;

fn decides(now: &Judgement, plan: &Plan) -> Vec<(Fact, String)> {
    let mut missing = sheet::missing(&now.findings);
    if let Some(values) = ValueTrials::new(now, &plan.settings) {
        values.decide(&mut missing, IN_PASSING);
    }
    let decided = missing.into_iter();
    decided
        .filter_map(|missing| Some((missing.fact, missing.decides?)))
        .collect()
}

/// A remark on standard error, in one line.
pub(super) fn note(words: &str) {
    let mut line = Written::new();
    line.ours("note: ").theirs(words).ours("\n");
    host::tell(&line);
}

fn is_of_change(finding: &Finding) -> bool {
    rules::find(finding.rule).is_some_and(|rule| matches!(rule.check, Check::Changed(_)))
}

/// What is told of the files that were asked for: their own faults, and those elsewhere that somebody in
/// them suffers.
fn wanted(site: &SiteRoot, sources: &Sources, finding: &Finding) -> bool {
    finding.concerns(|file| site.wants(&sources.file(file).path))
}

/// Writes the report where it was asked for, and the closing words where they disturb no program.
fn tell(plan: &Plan, judged: &[Judged<'_>], rules: Vec<RuleCard<'_>>) -> Result<(), Failure> {
    let gravest = judged.iter();
    let gravest: Vec<Gravest<'_>> = gravest
        .map(|judged| Gravest::of(&judged.now.findings, plan.most))
        .collect();
    let sites = judged.iter().zip(&gravest);
    let sites = sites.map(|(judged, gravest)| site_report(judged, gravest));
    let report = Report {
        sites: sites.collect(),
        rules,
        is_verbose: plan.is_verbose,
        is_one_by_one: plan.most.is_none(),
    };
    let budget = &plan.settings.budget;
    let output = sites::written(&report, plan.format, &plan.look(), budget)?;
    plan.output.deliver(&output)?;
    if plan.format != report::Format::Annotated {
        host::tell(&report::closing(
            &report,
            &look(&Terminal::of_errors(), plan.colour),
        ));
    }
    Ok(())
}

fn site_report<'a>(judged: &'a Judged<'_>, gravest: &'a Gravest<'a>) -> SiteReport<'a> {
    let now = &judged.now;
    SiteReport {
        root: &judged.site.shown,
        name: now.name.as_deref(),
        edition: now.edition.as_deref(),
        words: now.words,
        sources: &now.sources,
        findings: &gravest.shown,
        left_out: Some(&gravest.left_out),
        departed: &now.departed,
        census: now.census,
        assumed: &now.assumed,
        decides: &judged.decides,
        unread: &now.unread,
        passed_over: &now.passed_over,
        crashed: &now.crashed,
        comparison: now.comparison.as_ref(),
        known: &now.known,
    }
}

pub(super) fn look(terminal: &Terminal, colour: ColourWish) -> Look {
    Look {
        width: terminal.width(),
        color: terminal.colour(colour),
        unicode: terminal.unicode(),
    }
}
