//! `cordwright check`: judge sites and tell what was found.

mod bounded;
mod plan;
mod since;
mod tally;

use std::io;
use std::path::PathBuf;

use clap::ValueEnum;

use crate::failure::Failure;
use crate::finding::{Finding, Level};
use crate::host::{self, ColourWish, Delivered, Overlay, SiteRoot, Surroundings};
use crate::judgement::{Judgement, Settings, file_globs, judge};
use crate::report::{self, Gravest, Look, Report, RuleCard, SiteReport};
use crate::rules;
use crate::source::Sources;

use super::exit::Exit;
use super::sites::{Day, Work};

use bounded::Bounded;
use plan::Plan;
pub(super) use plan::must_hold;
use tally::Tally;

/// Judge a site and tell what was found
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Words {
    /// Sites, or files in sites [default: the site you are in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// annotated (the default), lines, json, sarif or junit
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    /// Write the findings to this file
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Fail from error (the default), warning or note
    #[arg(long, value_name = "LEVEL", value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    fail_at: FailAt,
    /// Show people only the gravest [default: 200; 0: all; of lines all]
    #[arg(long, value_name = "N")]
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
    /// Tell only what is new since this git revision
    #[arg(long, value_name = "REV")]
    compare: Option<String>,
    /// Take standard input for the text of this file
    #[arg(long, value_name = "PATH")]
    stdin_as: Option<PathBuf>,
    #[command(flatten)]
    day: Day,
    #[command(flatten)]
    work: Work,
}

const EXAMPLES: &str = "\
Example:
  cordwright check --compare main --format sarif --output new.sarif

Exit code: 0 nothing to fail for, 1 findings, 2 the job could not be done.";

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

/// One site, judged.
struct Judged<'a> {
    site: &'a SiteRoot,
    now: Judgement,
    put_right: Option<usize>,
}

/// Judges and tells.
pub(super) fn run(words: Words, colour: ColourWish) -> Result<Exit, Failure> {
    let rules = rules::cards();
    let watch = words.work.watch();
    let plan = words.plan(&rules, colour)?;
    let overlay = plan.overlay()?;
    let found = plan.sites()?;
    let judged = found.sites.iter().map(|site| judged(site, &plan, &overlay));
    let judged: Vec<Judged<'_>> = judged.collect::<Result<_, _>>()?;
    watch.stop();
    let written = tell(&plan, &judged, rules)?;
    for folder in &found.unsearched {
        let what = format!("cannot look into {}: {}", folder.path, folder.why);
        let failure = Failure::new(what).advise("Sites in it, if any, were not checked.");
        super::fail(&failure, colour);
    }
    Ok(match written {
        Delivered::CutOff => Exit::Clean,
        Delivered::Whole if !found.unsearched.is_empty() => Exit::Failed,
        Delivered::Whole => worst(&judged, plan.fail_at),
    })
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
    let input = host::read_site(&site.dir, &file_globs, overlay);
    must_hold(site, &input)?;
    let mut now = judge(input, &plan.settings);
    let put_right = match &plan.compare {
        Some(rev) => Some(keep_new(site, &mut now, rev, &plan.settings)?),
        None => None,
    };
    let sources = &now.sources;
    now.findings
        .retain(|finding| wanted(site, sources, finding));
    now.departed
        .retain(|departed| wanted(site, sources, &departed.finding));
    now.known.retain(|finding| wanted(site, sources, finding));
    Ok(Judged {
        site,
        now,
        put_right,
    })
}

/// Keeps the findings that are new since `rev`, and counts those that were put right.
fn keep_new(
    site: &SiteRoot,
    now: &mut Judgement,
    rev: &str,
    settings: &Settings,
) -> Result<usize, Failure> {
    let Some(input) = host::read_site_at(rev, &site.dir, &file_globs)? else {
        host::tell(&format!(
            "note: there was no site at {} in {rev} yet: all that is found in it counts as new\n",
            site.shown
        ));
        return Ok(0);
    };
    let before = judge(input, settings);
    if !before.unread.is_empty() || !before.crashed.is_empty() {
        host::tell(&format!(
            "note: not all of {} could be judged as it was in {rev}: what was hidden then counts as new\n",
            site.shown
        ));
    }
    let departed = now.departed.iter().map(|departed| &departed.finding);
    let set_aside = departed.chain(&now.known);
    let findings = std::mem::take(&mut now.findings);
    let change = since::change(findings, set_aside, &before.findings);
    now.findings = change.new;
    let gone = change.gone.into_iter();
    Ok(gone
        .filter(|finding| wanted(site, &before.sources, finding))
        .count())
}

fn wanted(site: &SiteRoot, sources: &Sources, finding: &Finding) -> bool {
    site.wants(&sources.file(finding.main.span.file).path)
}

/// The whole report, if the budget allows for it.
fn whole(plan: &Plan, report: &Report<'_>) -> Result<Vec<u8>, Failure> {
    let mut out = Bounded::new(Vec::new(), &plan.settings.budget);
    let written = report::write(report, plan.format, &plan.look(), &mut out);
    match (out.failure(), written) {
        (Some(failure), _) => Err(failure),
        (None, Err(error)) => Err(Failure::new(format!("cannot write the report: {error}"))),
        (None, Ok(())) => Ok(out.into_inner()),
    }
}

/// Writes the report where it was asked for, and the closing words where they disturb no program.
fn tell(
    plan: &Plan,
    judged: &[Judged<'_>],
    rules: Vec<RuleCard<'_>>,
) -> Result<Delivered, Failure> {
    let gravest = judged.iter();
    let gravest: Vec<Gravest<'_>> = gravest
        .map(|judged| Gravest::of(&judged.now.findings, plan.most))
        .collect();
    let sites = judged.iter().zip(&gravest);
    let sites = sites.map(|(judged, gravest)| site_report(judged, gravest));
    let report = Report {
        sites: sites.collect(),
        rules,
    };
    let written = match &plan.output {
        Some(path) => {
            let text = whole(plan, &report)?;
            host::write_atomically(path, &text).map(|()| Delivered::Whole)?
        }
        None => {
            let mut cut = None;
            let write = |out: &mut dyn io::Write| {
                let mut out = Bounded::new(out, &plan.settings.budget);
                let written = report::write(&report, plan.format, &plan.look(), &mut out);
                cut = out.failure();
                written
            };
            let written = host::through_standard_output(write);
            cut.map_or(written, Err)?
        }
    };
    if plan.format != report::Format::Annotated {
        host::tell(&report::closing(
            &report,
            &look(&Surroundings::of_errors(), plan.colour),
        ));
    }
    Ok(written)
}

fn site_report<'a>(judged: &'a Judged<'_>, gravest: &'a Gravest<'a>) -> SiteReport<'a> {
    let now = &judged.now;
    SiteReport {
        root: &judged.site.shown,
        name: now.name.as_deref(),
        sources: &now.sources,
        findings: &gravest.shown,
        left_out: Some(&gravest.left_out),
        departed: &now.departed,
        census: now.census,
        unread: &now.unread,
        crashed: &now.crashed,
        put_right: judged.put_right,
        known: &now.known,
    }
}

pub(super) fn look(surroundings: &Surroundings, colour: ColourWish) -> Look {
    Look {
        width: surroundings.width(),
        color: surroundings.colour(colour),
        unicode: surroundings.unicode(),
    }
}
