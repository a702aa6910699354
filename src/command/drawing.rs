//! `cordwright drawing`: the single-line diagram and the rack elevations of a site, findings marked.

use clap::ValueEnum;

use super::exit::Exit;
use super::names;
use super::output::Output;
use super::sites::{self, Shown, Sites, Work};
use crate::agreed;
use crate::analysis::Analysis;
use crate::drawing::{self, Marks, Sheet};
use crate::failure::Failure;
use crate::graph::ElementId;
use crate::host;
use crate::ink::{self, short};
use crate::judgement::Site;
use crate::policy::Policy;
use crate::rules;

/// Draw the single-line diagram or the racks of a site
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    /// lines (the single-line diagram) or racks
    #[arg(value_name = "KIND", value_enum, hide_possible_values = true)]
    kind: Of,
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    work: Work,
    /// svg or html [default: svg]
    #[arg(long, value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    format: Format,
    #[command(flatten)]
    output: Output,
    /// Draw only what hangs on this supply, circuit, PDU or cord
    #[arg(long, value_name = "NAME")]
    below: Option<String>,
}

const EXAMPLES: &str = "\
What \"cordwright check\" finds is marked by colour and in words.

Examples:
  cordwright drawing lines sites/quay --output quay.svg
  cordwright drawing lines --below A-12 > a-12.svg
  cordwright drawing racks sites --format html --output racks.html";

/// What a drawing is wanted of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Of {
    Lines,
    Racks,
}

/// How it is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Format {
    /// One drawing.
    #[default]
    Svg,
    /// A page of drawings.
    Html,
}

/// Draws every site.
pub(super) fn run(args: &Args) -> Result<Exit, Failure> {
    if args.below.is_some() && args.kind == Of::Racks {
        let failure = Failure::new("--below belongs to the single-line diagram, and not to racks");
        return Err(failure.advise("Leave it out, or ask for \"cordwright drawing lines\"."));
    }
    let watch = args.work.watch();
    let ignored = args.sites.ignored();
    let found = args.sites.find(&ignored)?;
    let (mut sheets, mut known, mut is_whole) = (Vec::new(), Vec::new(), true);
    let budget = args.work.budget();
    for root in &found.sites {
        let site = args.shown.of(sites::read(root, &ignored, &budget));
        let analysis = site.analysis(host::today());
        is_whole &= !site.model.is_incomplete && !site.is_cut_short();
        match args.drawn(&site, &analysis) {
            Some(sheet) => sheets.push(sheet),
            None => known.extend(heads(&analysis)),
        }
    }
    let output = args.written(&sheets, &known)?;
    watch.stop();
    args.output.deliver(&output)?;
    sites::end("drawing", is_whole)
}

impl Args {
    /// The drawing of a site; nothing if there is nothing of that name.
    fn drawn(&self, site: &Site, analysis: &Analysis<'_>) -> Option<Sheet> {
        let policy = Policy::of(&site.model);
        let outcome = rules::run(analysis, &[policy], |_| true);
        let (findings, _) = agreed::depart(&policy, analysis.today, outcome.findings);
        let marks = Marks::of(&findings);
        let (what, mut sheet) = match (self.kind, &self.below) {
            (Of::Racks, _) => ("Racks", drawing::racks(analysis, &marks)),
            (Of::Lines, None) => {
                let whole = drawing::single_line(analysis, &marks, None);
                ("Single-line diagram", whole)
            }
            (Of::Lines, Some(name)) => {
                let below = element(analysis, name)?;
                let part = drawing::single_line(analysis, &marks, Some(below));
                ("Single-line diagram", part)
            }
        };
        let part = self.below.as_ref();
        let part = part.map_or_else(String::new, |name| format!(", from {} on", short(name)));
        sheet.title = match site.model.site.name.known() {
            Some(name) => format!("{what} of {}{part}", short(name)),
            None => format!("{what}{part}"),
        };
        if site.model.is_incomplete {
            let gap =
                "A part of the definitions could not be read: what stands there is missing here.";
            sheet.notes.insert(0, gap.to_owned());
        }
        Some(sheet)
    }

    fn written(&self, sheets: &[Sheet], known: &[String]) -> Result<ink::Output, Failure> {
        match (self.format, sheets) {
            (_, []) => Err(self.unknown(known)),
            (Format::Html, sheets) => Ok(drawing::html(sheets).into()),
            (Format::Svg, [sheet]) => Ok(drawing::svg(sheet).into()),
            (Format::Svg, _) => {
                let failure =
                    Failure::new("an SVG file holds one drawing, and here are several sites");
                Err(failure.advise("Name one site, or write a page of them with --format html."))
            }
        }
    }

    fn unknown(&self, known: &[String]) -> Failure {
        let name = self.below.as_deref().unwrap_or_default();
        let failure = Failure::new(format!(
            "nothing here that feeds anything is called \"{}\"",
            short(name)
        ));
        let advice = "Give the name of a supply, circuit, PDU or cord that a supply feeds.";
        match names::nearest(name, known.iter().map(String::as_str)) {
            Some(near) => failure.advise(format!("Did you mean \"{}\"? {advice}", short(near))),
            None => failure.advise(advice),
        }
    }
}

/// The element of this name.
fn element(analysis: &Analysis<'_>, name: &str) -> Option<ElementId> {
    let mut elements = analysis.graph.elements();
    elements.find_map(|(id, _)| (analysis.full_name(id) == name).then_some(id))
}

fn heads(analysis: &Analysis<'_>) -> Vec<String> {
    let elements = analysis.graph.elements();
    elements
        .map(|(id, _)| analysis.full_name(id).to_string())
        .collect()
}
