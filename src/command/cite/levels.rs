//! The level that each rule has at a place, and where that comes from.

use std::path::Path;

use rustc_hash::FxHashSet;

use crate::command::check::must_hold;
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, Ignored, Overlay, SiteRoot};
use crate::judgement::{Site, file_globs};
use crate::model::cords::Departure;
use crate::model::site::OpenPoints;
use crate::model::value::{Field, Name};
use crate::policy::Policy;
use crate::report::{Look, spelt, wrapped};
use crate::rules::{self, Origin, Rule, Standing, holds};
use crate::source::Span;
use crate::tables::Practice;

/// The levels of `rules` in every site at, above or below `path`.
///
/// # Errors
/// No site is there, or it reads nothing there.
pub(super) fn shown(
    path: &Path,
    rules: &[&'static Rule],
    today: Date,
    look: &Look,
) -> Result<String, Failure> {
    let ignored = Ignored::default();
    let found = host::find_sites(&[path.to_owned()], |_| false, &ignored)?;
    let mut text = String::new();
    for root in &found.sites {
        let input = host::read_site(&root.dir, &file_globs, &Overlay::default(), &ignored);
        must_hold(root, &input)?;
        let site = Site::read(input);
        let place = Place::new(root, &site, today, look);
        if !text.is_empty() {
            text.push('\n');
        }
        text += &place.table(rules);
    }
    Ok(text)
}

/// A file of a site, a folder of it, or all of it.
struct Place<'a> {
    root: &'a SiteRoot,
    site: &'a Site,
    /// Names of the things that stand there.
    things: FxHashSet<&'a str>,
    today: Date,
    look: &'a Look,
}

impl<'a> Place<'a> {
    fn new(root: &'a SiteRoot, site: &'a Site, today: Date, look: &'a Look) -> Self {
        let path = |span: Span| &site.sources.file(span.file).path;
        let names = site.model.names();
        let here = names.filter(|name| root.wants(path(name.span)));
        Self {
            root,
            site,
            things: here.map(|name| name.value.as_str()).collect(),
            today,
            look,
        }
    }

    fn table(&self, rules: &[&'static Rule]) -> String {
        let longest = rules.iter().map(|rule| rule.name.len()).max().unwrap_or(0);
        let mut text = self.line("", &self.heading());
        for group in rules.chunk_by(|a, b| a.subject == b.subject) {
            text += &format!("\n{}\n", group[0].subject.word());
            for rule in group {
                let standing = self.standing(rule);
                let level = standing.level.map_or("off", |level| level.word());
                let head = format!("  {:longest$}  {level:7}  ", rule.name);
                text += &self.line(&head, &self.origin(&standing));
                let indent = " ".repeat(head.len());
                let departures = self.departures(rule);
                departures.for_each(|line| text += &self.line(&indent, &line));
            }
        }
        text.push('\n');
        text + &self.line("", &self.closing())
    }

    fn standing(&self, rule: &Rule) -> Standing<'a> {
        let model = &self.site.model;
        Standing::of(&Policy::of(model), model.site.practice.copied(), rule)
    }

    /// `text` behind `head`, wrapped and indented.
    fn line(&self, head: &str, text: &str) -> String {
        let text = spelt(text, self.look.unicode);
        let lines = wrapped(&text, self.look.width.saturating_sub(head.len()));
        let indent = " ".repeat(head.len());
        let heads = std::iter::once(head).chain(std::iter::repeat(indent.as_str()));
        let lines = heads
            .zip(&lines)
            .map(|(head, line)| format!("{head}{line}\n"));
        lines.collect()
    }

    fn heading(&self) -> String {
        let given = self.root.given.iter().flatten().next();
        let place = given.map_or(self.root.shown.as_str(), |given| given.typed.as_str());
        let model = &self.site.model;
        let name = model.site.name.get().map_or("this site", Name::as_str);
        let practice = match model.site.practice.given() {
            Some(practice) => format!("{} ({})", word(practice.value), self.at(practice.span)),
            None => "not said".to_owned(),
        };
        format!("Levels at {place}. Site: {name}. Practice: {practice}.")
    }

    fn origin(&self, standing: &Standing<'_>) -> String {
        match standing.origin {
            Origin::BuiltIn => "built in".to_owned(),
            Origin::Set(line) => {
                let reason = reason(&line.reason);
                format!("set by the site ({}){reason}", self.at(line.name.span))
            }
            Origin::Refused(line) => {
                let why = match line.level.get() {
                    Some(_) => "switches it off without a reason",
                    None => "gives no level that can be read",
                };
                format!(
                    "built in: {} {why}, and does not count",
                    self.at(line.name.span)
                )
            }
            Origin::Elsewhere(practice) => {
                let practice = word(practice);
                format!("judges under {practice} practice only, which is not this site's")
            }
        }
    }

    /// The departures from a rule at things that stand here.
    fn departures(&self, rule: &Rule) -> impl Iterator<Item = String> {
        let all = self.site.model.departures.iter();
        let named = |departure: &Departure| departure.rule.get().and_then(|name| rules::find(name));
        let from_it = all.filter(move |departure| {
            named(&departure.value).is_some_and(|named| named.name == rule.name)
        });
        from_it.filter_map(|departure| {
            let at = departure.value.at.get()?;
            let thing = at.split('/').next().unwrap_or_default();
            let stands_here = self.things.contains(at.as_str()) || self.things.contains(thing);
            stands_here.then(|| self.departure(at, &departure.value, departure.span))
        })
    }

    fn departure(&self, at: &Name, departure: &Departure, span: Span) -> String {
        let place = self.at(span);
        let until = departure.until.get();
        let reason = reason(&departure.reason);
        match (holds(departure, self.today), until) {
            (true, Some(until)) => format!("departed from at {at} until {until} ({place}){reason}"),
            (false, Some(until)) if *until < self.today => {
                format!("the departure at {at} ended on {until} ({place}): it no longer holds")
            }
            _ => format!(
                "the departure at {at} lacks its reason, signer or day ({place}): it does not hold"
            ),
        }
    }

    fn closing(&self) -> String {
        let open = &self.site.model.site.open_points;
        let fails = open.get() == Some(&OpenPoints::Block);
        let does = if fails {
            "fail the run"
        } else {
            "are reported and do not fail the run"
        };
        let origin = match open.given() {
            Some(given) => format!("set by the site, {}", self.at(given.span)),
            None => "built in".to_owned(),
        };
        format!(
            "Open points {does} ({origin}). A level set by the site holds for all findings of the \
             rule; built in, a single finding may weigh less or more, as the rule's page says."
        )
    }

    /// `sites/quay/cordwright.yaml:12`
    fn at(&self, span: Span) -> String {
        let source = self.site.sources.file(span.file);
        let line = source.line_of(span.lo as usize) + 1;
        match self.root.shown.as_str() {
            "" | "." => format!("{}:{line}", source.path),
            root => format!("{root}/{}:{line}", source.path),
        }
    }
}

/// A reason behind what it is a reason for.
fn reason(reason: &Field<Name>) -> String {
    reason
        .get()
        .map_or_else(String::new, |reason| format!(": {reason}"))
}

fn word(practice: Practice) -> &'static str {
    match practice {
        Practice::Iec => "IEC",
        Practice::Nec => "NEC",
    }
}
