//! The level that each rule has at a place, and where that comes from.

use std::path::Path;

use rustc_hash::FxHashSet;

use crate::date::Date;
use crate::failure::Failure;
use crate::host::SiteRoot;
use crate::ink::{Look, Page, Plain, Written, columns, short};
use crate::input::joined;
use crate::judgement::Site;
use crate::model::cords::Departure;
use crate::model::site::OpenPoints;
use crate::model::value::{Field, Name};
use crate::policy::Policy;
use crate::rules::{self, Origin, Rule, Standing, holds};
use crate::source::Span;
use crate::tables::Practice;

use super::each_site;

/// The levels of `rules` in every site at, above or below `path`.
///
/// # Errors
/// No site is there, or it reads nothing there.
pub(super) fn shown(
    path: &Path,
    rules: &[&'static Rule],
    today: Date,
    look: &Look,
) -> Result<Written<Plain>, Failure> {
    let (mut page, mut is_first) = (Page::new(look), true);
    each_site(path, |root, site| {
        if !std::mem::take(&mut is_first) {
            page.blank();
        }
        Place::new(root, site, today).write(rules, &mut page);
    })?;
    Ok(page.end())
}

/// A file of a site, a folder of it, or all of it.
struct Place<'a> {
    root: &'a SiteRoot,
    site: &'a Site,
    /// Names of the things that stand there.
    things: FxHashSet<&'a str>,
    today: Date,
}

impl<'a> Place<'a> {
    fn new(root: &'a SiteRoot, site: &'a Site, today: Date) -> Self {
        let path = |span: Span| &site.sources.file(span.file).path;
        let names = site.model.names();
        let here = names.filter(|name| root.wants(path(name.span)));
        Self {
            root,
            site,
            things: here.map(|name| name.value.as_str()).collect(),
            today,
        }
    }

    fn write(&self, rules: &[&'static Rule], page: &mut Page<'_>) {
        let longest = rules.iter().map(|rule| rule.name.len()).max().unwrap_or(0);
        page.paragraph(&self.heading());
        for group in rules.chunk_by(|a, b| a.subject == b.subject) {
            page.blank();
            page.line(&Written::of(group[0].subject.word()));
            for rule in group {
                let standing = self.standing(rule);
                let level = standing.level.map_or("off", |level| level.word());
                let head = Written::of(&format!("  {:longest$}  {level:7}  ", rule.name));
                page.beside(&head, &self.origin(&standing));
                let indent = columns(head.as_str());
                let departures = self.departures(rule);
                departures.for_each(|line| page.indented(indent, &line));
            }
        }
        page.blank();
        page.paragraph(&self.closing());
    }

    fn standing(&self, rule: &Rule) -> Standing<'a> {
        let model = &self.site.model;
        Standing::of(
            &Policy::of(model),
            model.site.practice.known().copied(),
            rule,
        )
    }

    fn heading(&self) -> String {
        let given = self.root.given.iter().flatten().next();
        let place = given.map_or(self.root.shown.as_str(), |given| given.typed.as_str());
        let model = &self.site.model;
        let name = model.site.name.known().map_or("this site", Name::as_str);
        let practice = match model.site.practice.given() {
            Some(practice) => format!("{} ({})", word(practice.value), self.at(practice.span)),
            None => "not said".to_owned(),
        };
        let (place, name) = (short(place), short(name));
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
                let why = match line.level.known() {
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
        let named =
            |departure: &Departure| departure.rule.known().and_then(|name| rules::find(name));
        let from_it = all.filter(move |departure| {
            named(&departure.value).is_some_and(|named| named.name == rule.name)
        });
        from_it.filter_map(|departure| {
            let at = departure.value.at.known()?;
            let thing = at.split('/').next().unwrap_or_default();
            let stands_here = self.things.contains(at.as_str()) || self.things.contains(thing);
            stands_here.then(|| self.departure(at, &departure.value, departure.span))
        })
    }

    fn departure(&self, at: &Name, departure: &Departure, span: Span) -> String {
        let (place, at) = (self.at(span), short(at));
        let until = departure.until.known();
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
        let fails = open.known() == Some(&OpenPoints::Block);
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
        format!("{}:{line}", joined(&self.root.shown, &source.path))
    }
}

/// A reason behind what it is a reason for.
fn reason(reason: &Field<Name>) -> String {
    reason
        .known()
        .map_or_else(String::new, |reason| format!(": {reason}"))
}

fn word(practice: Practice) -> &'static str {
    match practice {
        Practice::Iec => "IEC",
        Practice::Nec => "NEC",
    }
}
