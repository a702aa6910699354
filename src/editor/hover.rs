//! What is shown of the thing under the cursor: what it carries, at worst and why, what limits it, and
//! the way the power comes.

use std::fmt::Write as _;

use crate::date::Date;
use crate::model::value::Field;
use crate::quantity::{Quantity, show_rounded};
use crate::report::ADVICE;
use crate::rules;
use crate::source::{FileId, Span};
use crate::survey::{Rating, Survey};
use crate::tables::cordage::Cordage;
use crate::tables::couplers::Coupler;
use crate::tables::{Practice, cordage, couplers};
use crate::trace::{self, Hop, Path};
use crate::yaml::Tree;

use super::definition::Target;
use super::keys::{self, Level};
use super::names::Kind;
use super::site::OpenSite;

/// What is shown, as Markdown, and of which bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// The text.
    pub text: String,
    /// What it is about, where the text has it now.
    pub span: Span,
}

impl OpenSite {
    /// What is to be shown of the thing at `byte` of a file.
    pub fn hover(&self, file: FileId, byte: usize, today: Date) -> Option<Hover> {
        let survey = self.whole().site.survey(today);
        let of_thing = self.target(file, byte).and_then(|target| {
            let text = self.thing(&survey, &target)?;
            Some(Hover {
                text,
                span: target.span,
            })
        });
        let hover = of_thing.or_else(|| word(&survey, &self.file(file).tree(), byte))?;
        let mut text = hover.text;
        if !self.is_settled() {
            text += "\n\n*As judged before your last edit; a new judgement is under way.*";
        }
        text += &format!("\n\n*{ADVICE}*");
        Some(Hover { text, ..hover })
    }

    fn thing(&self, survey: &Survey<'_>, target: &Target) -> Option<String> {
        let name = &target.name;
        let title = format!("**{} {name}**", target.kind.word());
        let body = match target.kind {
            Kind::Device => device(survey, name)?,
            Kind::Supply | Kind::Circuit | Kind::Pdu | Kind::Cord => element(survey, name)?,
            Kind::CordType => cord_type(survey, name)?,
            Kind::Rule => {
                let rule = rules::find(name)?;
                format!(
                    "{}\n\n`cordwright cite {}` shows its page.",
                    rule.summary, rule.name
                )
            }
            _ => String::new(),
        };
        let uses = self.references(target, false).len();
        let uses = match (target.kind, uses) {
            (Kind::Rule, _) | (Kind::Cord, 0) => String::new(),
            (_, 0) => "\n\nNothing names it.".to_owned(),
            (_, 1) => "\n\nNamed in 1 place.".to_owned(),
            (_, uses) => format!("\n\nNamed in {uses} places."),
        };
        Some(format!("{title}\n\n{body}{uses}"))
    }
}

fn device(survey: &Survey<'_>, name: &str) -> Option<String> {
    let id = survey.model.devices.find(name)?;
    let model = survey.graph.device_model(survey.model, id);
    let draw = survey.model.devices[id].draw.get();
    let rating = model.and_then(|model| model.rating.get());
    let mut text = match (draw, rating) {
        (Some(draw), Some(rating)) => {
            format!("Draws {}, nameplate {}.", draw.show(), rating.show())
        }
        (Some(draw), None) => format!("Draws {}.", draw.show()),
        (None, Some(rating)) => format!("Nameplate {}: no draw is given.", rating.show()),
        (None, None) => "Not decided: its load is not known.".to_owned(),
    };
    for path in trace::trace(survey, name)?.paths {
        write!(text, "\n\n{}", way(&path)).ok()?;
        if let Some(hop) = path.hops.last().filter(|hop| hop.worst != hop.normal) {
            write!(text, "\nAt its worst {}.", hop.when).ok()?;
        }
    }
    Some(text)
}

fn element(survey: &Survey<'_>, name: &str) -> Option<String> {
    let trace = trace::trace(survey, name)?;
    let mut path = trace.paths.into_iter().next()?;
    // Below the thing itself stands what hangs on it: that is for the whole trace.
    let own = path.hops.iter().position(|hop| hop.what == trace.title);
    let below = own.map_or(0, |own| path.hops.len() - own - 1);
    path.hops
        .truncate(own.map_or(path.hops.len(), |own| own + 1));
    if path.unfed.is_none() {
        "from the supply".clone_into(&mut path.name);
    }
    let mut lines = path.hops.last().map(summary).unwrap_or_default();
    if below > 0 {
        lines.push(format!("{below} elements hang below it"));
    }
    let lines: Vec<String> = lines.iter().map(|line| format!("- {line}")).collect();
    Some(format!("{}\n\n{}", lines.join("\n"), way(&path)))
}

/// The load, the worst case and the limit of one element, a line each.
fn summary(hop: &Hop) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(
        hop.normal
            .map(|normal| format!("carries {} normally", show_rounded(normal))),
    );
    lines.extend(hop.worst.map(|worst| match hop.normal == hop.worst {
        true => "no single loss makes it more".to_owned(),
        false => format!("at worst {} {}", show_rounded(worst), hop.when),
    }));
    if let (Some(limit), Some(margin)) = (&hop.limit, hop.margin()) {
        let (value, basis) = (show_rounded(limit.current), limit.basis.join("; "));
        let left = match margin.value < 0.0 {
            true => format!("**{} above it**", show_rounded(-margin)),
            false => format!("{} to spare", show_rounded(margin)),
        };
        lines.push(format!("limit {value}, {left}: {}, {basis}", limit.what));
    }
    if let Some((power, capacity)) = &hop.power {
        let capacity = capacity.map_or("its capacity is not given".to_owned(), |capacity| {
            format!("capacity {}", show_rounded(capacity))
        });
        lines.push(format!(
            "delivers up to {}, {capacity}",
            show_rounded(*power)
        ));
    }
    if hop.limit_unknown {
        lines.push("not decided: some limit here is not known".to_owned());
    }
    lines.extend(hop.unknown.as_ref().map(|device| {
        format!("not decided: the load of {device} is not known, so the currents are too low")
    }));
    lines
}

/// A path as a table of fixed columns: it is read in terminals too.
fn way(path: &Path) -> String {
    if let Some(why) = &path.unfed {
        return format!("{}: {why}.", path.name);
    }
    let amperes = |current: Option<_>| current.map_or("–".to_owned(), show_rounded);
    let rows = path.hops.iter().map(|hop| {
        let limit = hop.limit.as_ref().map(|limit| limit.current);
        let name = format!("{:indent$}{}", "", hop.what, indent = hop.depth.min(8));
        [
            name,
            amperes(hop.normal),
            amperes(hop.worst),
            amperes(limit),
        ]
    });
    let head = [path.name.as_str(), "normal", "worst", "limit"].map(str::to_owned);
    let rows: Vec<_> = std::iter::once(head).chain(rows).collect();
    let width = rows
        .iter()
        .map(|row| row[0].chars().count())
        .max()
        .unwrap_or(0);
    let lines = rows
        .iter()
        .map(|[name, now, worst, limit]| format!("{name:width$} {now:>7} {worst:>7} {limit:>7}\n"));
    format!("```text\n{}```", lines.collect::<String>())
}

fn cord_type(survey: &Survey<'_>, name: &str) -> Option<String> {
    let kind = &survey.model.cord_types[survey.model.cord_types.find(name)?];
    let mut lines = Vec::new();
    for (what, end) in [("plug", &kind.plug), ("connector", &kind.connector)] {
        if let Some(coupler) = end.get() {
            let rating = survey.coupler_rating(coupler, None, kind.rating.get());
            lines.push(format!("- {what} {}: {}", coupler.name, rated(&rating)));
        }
    }
    lines.extend(
        kind.cordage
            .get()
            .map(|cordage| format!("- {}", of_cordage(cordage))),
    );
    let shown = |what: &str, text: Option<String>| text.map(|text| format!("- {what} {text}"));
    lines.extend(shown(
        "conductors",
        kind.conductor.get().map(ToString::to_string),
    ));
    lines.extend(shown("length", show(&kind.length)));
    lines.extend(shown("marked", show(&kind.rating)));
    Some(lines.join("\n"))
}

fn show<Q: Quantity>(field: &Field<Q>) -> Option<String> {
    field.get().map(Quantity::show)
}

fn rated(rating: &Rating) -> String {
    let basis: Vec<String> = rating.basis().iter().map(ToString::to_string).collect();
    match rating {
        Rating::Known { current, .. } => {
            format!("{}, {}", show_rounded(*current), basis.join("; "))
        }
        Rating::Unknown { why, .. } => format!("not decided: {why}"),
    }
}

/// A key, a coupler or a cordage type.
fn word(survey: &Survey<'_>, tree: &Tree, byte: usize) -> Option<Hover> {
    let nodes = tree.path_to(byte);
    let (&last, above) = nodes.split_last()?;
    let span = tree.span(last);
    let mut path = Vec::new();
    for pair in nodes.windows(2) {
        let entry = tree
            .pairs(pair[0])
            .find(|(key, value)| [*key, *value].contains(&pair[1]));
        path.push(entry.map_or(Level::Item, |(key, _)| {
            Level::Key(tree.text(key).to_owned())
        }));
    }
    let is_key = above
        .last()
        .is_some_and(|&above| tree.pairs(above).any(|(key, _)| key == last));
    let text = if is_key {
        format!("**{}**: {}", tree.text(last), keys::doc(&path)?)
    } else {
        let examples = keys::examples(&path);
        if examples.contains(&"C13") {
            of_coupler(couplers::find(tree.text(last))?, survey.practice())
        } else if examples.contains(&"H05VV-F") {
            of_cordage(cordage::find(tree.text(last))?)
        } else {
            return None;
        }
    };
    Some(Hover { text, span })
}

fn of_coupler(coupler: &Coupler, practice: Option<Practice>) -> String {
    let mut text = format!("**{}**, {}", coupler.name, coupler.citation);
    if let Some(practice) = practice {
        let rated = coupler.rated(practice);
        text += &match &rated.current {
            Some(cited) => format!("\n\nRated {}, {}.", cited.value.show(), cited.citation),
            None => "\n\nNot decided: no table gives its rated current here.".to_owned(),
        };
        if let Some(marked) = &rated.only_where_marked {
            text += &format!(
                " Up to {} only where the part itself is marked so, {}.",
                marked.value.show(),
                marked.citation
            );
        }
    }
    if let Some(pins) = &coupler.pin_temperature {
        text += &format!(" Pins up to {}, {}.", pins.value.show(), pins.citation);
    }
    if coupler.withdrawn {
        text += " Withdrawn from the standard.";
    }
    text
}

fn of_cordage(cordage: &Cordage) -> String {
    format!(
        "**{}**: conductors up to {}, {}",
        cordage.name,
        cordage.conductor_temperature.show(),
        cordage.citation
    )
}
