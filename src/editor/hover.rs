//! What is shown of the thing under the cursor: what it carries, at worst and why, what limits it, and
//! the way the power comes.

use crate::analysis::{Analysis, Rating, Standing, Stands};
use crate::date::Date;
use crate::ink::{Prose, Written, short};
use crate::model::cords::CordType;
use crate::model::value::{Field, Section};
use crate::quantity::{Current, Quantity, show_rounded};
use crate::report::ADVICE;
use crate::rules;
use crate::source::{FileId, Span};
use crate::tables::cordage::Cordage;
use crate::tables::couplers::{Coupler, Side};
use crate::tables::{Practice, cordage, couplers, retention};
use crate::trace::{self, Hop, Path};
use crate::yaml::Tree;

use super::definition::Target;
use super::keys::{self, Level};
use super::names::Kind;
use super::site::OpenSite;

/// What is shown, in the kind of text that the editor takes, and of which bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover<K> {
    /// The text.
    pub text: Written<K>,
    /// What it is about, where the text has it now.
    pub span: Span,
}

impl OpenSite {
    /// What is to be shown of the thing at `byte` of a file.
    pub fn hover<K: Prose>(&self, file: FileId, byte: usize, today: Date) -> Option<Hover<K>> {
        let analysis = self.whole().site.analysis(today);
        let of_thing = self.target(file, byte).and_then(|target| {
            let text = self.thing(&analysis, &target)?;
            Some(Hover {
                text,
                span: target.span,
            })
        });
        let mut hover = of_thing.or_else(|| word(&analysis, &self.file(file).tree(), byte))?;
        if !self.is_settled() {
            hover.text.ours("\n\n");
            hover
                .text
                .aside("As judged before your last edit; a new judgement is under way.");
        }
        hover.text.ours("\n\n").aside(ADVICE);
        Some(hover)
    }

    fn thing<K: Prose>(&self, analysis: &Analysis<'_>, target: &Target) -> Option<Written<K>> {
        let name = &target.name;
        let mut text = Written::new();
        text.title(target.kind.word(), name).ours("\n\n");
        match target.kind {
            Kind::Device => device(analysis, name, &mut text)?,
            Kind::Supply | Kind::Circuit | Kind::Pdu | Kind::Cord => {
                element(analysis, name, &mut text)?;
            }
            Kind::CouplerType => {
                let coupler = analysis.model.own_parts.couplers.find(name)?;
                coupler_facts(coupler, analysis.practice(), &mut text);
            }
            Kind::CordageType => {
                cordage_facts(analysis.model.own_parts.cordages.find(name)?, &mut text);
            }
            Kind::LatchSystem => {
                latch_facts(analysis.model.own_parts.latches.find(name)?, &mut text);
            }
            Kind::CordType => cord_type(analysis, &analysis.model.cord_types, name, &mut text)?,
            Kind::CordMake => cord_type(analysis, &analysis.model.cord_makes, name, &mut text)?,
            Kind::Rule => {
                let rule = rules::find(name)?;
                text.ours(rule.summary).ours("\n\n");
                text.command("cordwright cite ", rule.name);
                text.ours(" shows its page.");
            }
            _ => {}
        }
        let uses = self.references(target, false).len();
        match (target.kind, uses) {
            (Kind::Rule, _) | (Kind::Cord, 0) => {}
            (_, 0) => {
                text.ours("\n\nNothing names it.");
            }
            (_, 1) => {
                text.ours("\n\nNamed in 1 place.");
            }
            (_, uses) => {
                text.ours("\n\nNamed in ").number(uses).ours(" places.");
            }
        }
        Some(text)
    }
}

fn device<K: Prose>(analysis: &Analysis<'_>, name: &str, text: &mut Written<K>) -> Option<()> {
    let id = analysis.model.devices.find(name)?;
    let model = analysis.graph.device_model(analysis.model, id);
    let draw = analysis.model.devices[id].draw.known();
    let rating = model.and_then(|model| model.rating.known());
    text.theirs(&match (draw, rating) {
        (Some(draw), Some(rating)) => {
            format!("Draws {}, nameplate {}.", draw.show(), rating.show())
        }
        (Some(draw), None) => format!("Draws {}.", draw.show()),
        (None, Some(rating)) => format!("Nameplate {}: no draw is given.", rating.show()),
        (None, None) => "Not decided: its load is not known.".to_owned(),
    });
    for path in trace::trace(analysis, name)?.paths {
        text.ours("\n\n");
        write_way(&path, text);
        let grows = |hop: &&Hop| {
            let worst = hop.standing.worst.map(|worst| worst.current);
            worst != hop.standing.normal
        };
        if let Some(hop) = path.hops.last().filter(grows) {
            text.ours("\nAt its worst ").theirs(&hop.when).ours(".");
        }
    }
    Some(())
}

fn element<K: Prose>(analysis: &Analysis<'_>, name: &str, text: &mut Written<K>) -> Option<()> {
    let trace = trace::trace(analysis, name)?;
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
        lines.push(Written::of(&format!("{below} elements hang below it")));
    }
    write_list(&lines, text);
    text.ours("\n\n");
    write_way(&path, text);
    Some(())
}

/// Lines as the items of a list.
fn write_list<K: Prose>(lines: &[Written<K>], text: &mut Written<K>) {
    for (number, line) in lines.iter().enumerate() {
        text.ours(if number > 0 { "\n- " } else { "- " }).push(line);
    }
}

/// The load, the worst case and the limit of one element, a line each.
fn summary<K: Prose>(hop: &Hop) -> Vec<Written<K>> {
    let mut lines = Vec::new();
    let mut say = |line: &str| lines.push(Written::of(line));
    let Standing {
        normal,
        worst,
        limit,
        ..
    } = &hop.standing;
    let worst = worst.map(|worst| worst.current);
    if let Some(normal) = normal {
        say(&format!("carries {} normally", show_rounded(*normal)));
    }
    match worst {
        None => {}
        Some(_) if *normal == worst => say("no single loss makes it more"),
        Some(worst) => say(&format!("at worst {} {}", show_rounded(worst), hop.when)),
    }
    if let (Some(limit), Some(left)) = (limit, hop.standing.margin().words()) {
        let mut line = Written::of(&format!("limit {}, ", show_rounded(limit.current)));
        match hop.standing.passed {
            Some(_) => line.strong(&left),
            None => line.theirs(&left),
        };
        lines.push(line);
    }
    let mut say = |line: &str| lines.push(Written::of(line));
    if let Some(delivery) = &hop.delivery {
        let capacity = delivery
            .capacity
            .map_or("its capacity is not given".to_owned(), |capacity| {
                format!("capacity {}", show_rounded(capacity))
            });
        let power = show_rounded(delivery.worst);
        let left = delivery.margin().words().unwrap_or_default();
        say(&format!("delivers up to {power}, {capacity}, {left}"));
    }
    hop.said_of_limits().iter().for_each(|line| say(line));
    lines
}

/// A path as a table of fixed columns: it is read in terminals too.
fn write_way<K: Prose>(path: &Path, text: &mut Written<K>) {
    let name = short(&path.name);
    if let Some(why) = &path.unfed {
        text.theirs(&format!("{name}: {why}."));
        return;
    }
    let amperes = |current: Option<Current>| current.map_or("–".to_owned(), show_rounded);
    let rows = path.hops.iter().map(|hop| {
        let Standing {
            normal,
            worst,
            limit,
            ..
        } = &hop.standing;
        let above = match hop.stands {
            Stands::Above => "  ABOVE",
            Stands::Open | Stands::Within => "",
        };
        let (what, indent) = (short(&hop.what), hop.depth.min(8));
        [
            format!("{:indent$}{what}", ""),
            amperes(*normal),
            amperes(worst.map(|worst| worst.current)),
            amperes(limit.as_ref().map(|limit| limit.current)),
            above.to_owned(),
        ]
    });
    let head = [&*name, "normal", "worst", "limit", ""].map(str::to_owned);
    let rows: Vec<_> = std::iter::once(head).chain(rows).collect();
    let widths = rows.iter().map(|row| row[0].chars().count());
    let width = widths.max().unwrap_or(0);
    let lines = rows.iter().map(|[name, now, worst, limit, above]| {
        format!("{name:width$} {now:>7} {worst:>7} {limit:>7}{above}")
    });
    text.table(&lines.collect::<Vec<_>>());
}

/// A cord type, or a make, which has no length.
fn cord_type<K: Prose>(
    analysis: &Analysis<'_>,
    all: &Section<CordType>,
    name: &str,
    text: &mut Written<K>,
) -> Option<()> {
    let kind = &all[all.find(name)?];
    let mut lines = Vec::new();
    for (what, end, side) in [
        ("plug", &kind.plug, Side::Pins),
        ("connector", &kind.connector, Side::Contacts),
    ] {
        if let Some(coupler) = end.known() {
            let rating = analysis.coupler_rating((coupler, side), None, &kind.rating);
            let line = format!("{what} {}: {}", coupler.name, rated(&rating));
            lines.push(Written::of(&line));
        }
    }
    lines.extend(kind.cordage.known().map(|cordage| of_cordage(cordage)));
    let facts = [
        ("conductors", kind.conductor.as_written()),
        ("length", show(&kind.length).filter(|_| !kind.is_adapter())),
        (
            "adapter:",
            kind.is_adapter().then(|| "no cord between its ends".into()),
        ),
        ("marked", kind.rating.as_written()),
    ];
    for (what, fact) in facts {
        lines.extend(fact.map(|fact| Written::of(&format!("{what} {fact}"))));
    }
    write_list(&lines, text);
    Some(())
}

fn show<Q: Quantity>(field: &Field<Q>) -> Option<String> {
    field.known().map(Quantity::show)
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
fn word<K: Prose>(analysis: &Analysis<'_>, tree: &Tree, byte: usize) -> Option<Hover<K>> {
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
        let mut text = Written::new();
        text.strong(tree.text(last)).ours(": ");
        text.ours(keys::doc(&path)?);
        text
    } else {
        let examples = keys::examples(&path);
        if examples.contains(&"C13") {
            of_coupler(couplers::find(tree.text(last))?, analysis.practice())
        } else if examples.contains(&"H05VV-F") {
            of_cordage(cordage::find(tree.text(last))?)
        } else {
            return None;
        }
    };
    Some(Hover { text, span })
}

fn of_coupler<K: Prose>(coupler: &Coupler, practice: Option<Practice>) -> Written<K> {
    let mut text = Written::new();
    coupler_facts(coupler, practice, &mut text);
    text
}

fn coupler_facts<K: Prose>(coupler: &Coupler, practice: Option<Practice>, text: &mut Written<K>) {
    text.strong(&coupler.name);
    text.theirs(&format!(", {}", coupler.citation));
    if let Some(practice) = practice {
        let rated = coupler.rated(practice);
        text.ours("\n\n");
        text.theirs(&match &rated.current {
            Some(cited) => format!("Rated {}, {}.", cited.value.show(), cited.citation),
            None => "Not decided: no table gives its rated current here.".to_owned(),
        });
        if let Some(marked) = &rated.only_where_marked {
            let (value, citation) = (marked.value.show(), &marked.citation);
            text.theirs(&format!(
                " Up to {value} only where the part itself is marked so, {citation}."
            ));
        }
    }
    if let Some(pins) = &coupler.pin_temperature {
        text.theirs(&format!(
            " Pins up to {}, {}.",
            pins.value.show(),
            pins.citation
        ));
    }
    if coupler.withdrawn {
        text.ours(" Withdrawn from the standard.");
    }
}

fn latch_facts<K: Prose>(latch: &retention::Kind, text: &mut Written<K>) {
    text.strong(&latch.name);
    text.theirs(&format!(": {}, {}", latch.description, latch.citation));
}

fn of_cordage<K: Prose>(cordage: &Cordage) -> Written<K> {
    let mut text = Written::new();
    cordage_facts(cordage, &mut text);
    text
}

fn cordage_facts<K: Prose>(cordage: &Cordage, text: &mut Written<K>) {
    text.strong(&cordage.name);
    text.theirs(&format!(
        ": conductors up to {}, {}",
        cordage.conductor_temperature.show(),
        cordage.citation
    ));
}
