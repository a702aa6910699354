//! `feed-colour`: has no cord the jacket colour of another feed, and no two feeds one colour?
//!
//! A jacket of no feed's colour, such as a black one, misleads nobody.

use crate::analysis::{Analysis, absence, field_or_name, is_same_colour, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Supply;
use crate::model::cords::{Cord, CordType};
use crate::model::optional::Stated;
use crate::model::site::Feed;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;

rule!(
    "feed-colour",
    Identity,
    Warning,
    "A jacket of another feed's colour: whoever works by colour pulls the feed that still carries the load."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let feeds = analysis.model.site.feeds.items();
    let unreadable = analysis.model.site.feeds.unreadable();
    if unreadable.is_none() && feeds.iter().all(|feed| feed.colour.is_absent()) {
        return;
    }
    let mut illegible = Illegible::default();
    let mut open: ToldOnce<Span> = ToldOnce::default();
    for (id, _) in analysis.graph.elements() {
        match judge(analysis, id) {
            Some(Said::Wrong(finding)) => findings.push(*finding),
            Some(Said::Lacks(lack, sufferer)) => {
                let told = open.tell(lack.name.span, || not_decided(&lack));
                told.suffered_by(sufferer);
            }
            Some(Said::Unlisted(at)) => {
                let fact = Fact::unreadable_of_site("feeds", at);
                let question = || "has a jacket the colour of another feed".to_owned();
                let told = illegible.ask(&RULE, &fact, question);
                told.suffered_by([analysis.whole(id).clone()]);
            }
            None => {}
        }
    }
    findings.extend(of_one_colour(analysis));
    findings.extend(open.findings());
    findings.extend(illegible.findings());
}

/// What is said of the jacket of a cord.
enum Said<'a> {
    Wrong(Box<Finding>),
    /// It cannot be judged; and who suffers from that, where many share the thing that lacks a fact.
    Lacks(Lack<'a>, Option<Name>),
    /// Its feed is not listed, and of the feeds something cannot be read.
    Unlisted(Span),
}

/// A thing without a fact.
struct Lack<'a> {
    what: &'static str,
    name: &'a Spanned<Name>,
    fact: &'static str,
    field: &'a dyn Stated,
}

impl Lack<'_> {
    fn wanted(&self) -> Fact {
        let field = Some(self.field);
        match self.what {
            "supply" => Fact::at::<Supply, _>(self.name, self.fact, field),
            "feed" => Fact::at::<Feed, _>(self.name, self.fact, field),
            _ => Fact::at::<CordType, _>(self.name, self.fact, field),
        }
    }
}

fn judge<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<Said<'a>> {
    let lacks = |what, name, fact, field: &'a dyn Stated| Lack {
        what,
        name,
        fact,
        field,
    };
    let ElementKind::Cord(cord) = analysis.graph.kind(id) else {
        return None;
    };
    // Behind a transfer switch it is of no feed, and of both.
    if analysis.graph.switches_above(id).next().is_some() {
        return None;
    }
    let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
    let kind = analysis.graph.links.cord_types[cord.index()]?;
    let kind = &analysis.model.cord_types[kind];
    let Field::Given(feed) = &supply.feed else {
        let lack = lacks("supply", &supply.name, "feed", &supply.feed);
        return Some(Said::Lacks(lack, None));
    };
    // A feed that the site does not list is a fault of the records.
    let feeds = &analysis.model.site.feeds;
    let Some(listed) = feeds.find(&feed.value) else {
        return feeds.unreadable().map(Said::Unlisted);
    };
    let listed = &feeds[listed];
    let Ok(wanted) = listed.colour.written() else {
        let lack = lacks("feed", &listed.name, "colour", &listed.colour);
        return Some(Said::Lacks(lack, None));
    };
    let Field::Given(colour) = &kind.colour else {
        let lack = lacks("cord type", &kind.name, "colour", &kind.colour);
        return Some(Said::Lacks(lack, Some(analysis.whole(id).clone())));
    };
    if wanted.is_some_and(|wanted| is_same_colour(&colour.value, &wanted.value)) {
        return None;
    }
    if let Some(other) = analysis.feed_of_colour(cord) {
        let wrong = other_colour(analysis, cord, id, (kind, colour), (listed, wanted), other);
        return Some(Said::Wrong(Box::new(wrong)));
    }
    // It may be the colour of a feed that cannot be read.
    if let Some(at) = feeds.unreadable() {
        return Some(Said::Unlisted(at));
    }
    let mut all = feeds.items().iter();
    let unread = all.find(|feed| feed.colour.is_unreadable())?;
    let lack = lacks("feed", &unread.name, "colour", &unread.colour);
    Some(Said::Lacks(lack, None))
}

fn other_colour(
    analysis: &Analysis<'_>,
    cord: Id<Cord>,
    id: ElementId,
    (kind, colour): (&Named<CordType>, &Spanned<Name>),
    (feed, wanted): (&Named<Feed>, Option<&Spanned<Name>>),
    other: &Named<Feed>,
) -> Finding {
    let item = &analysis.model.cords[cord];
    let (cord_name, feed_name) = (&item.name.value, &feed.name.value);
    let other_name = &other.name.value;
    let headline = format!(
        "cord {cord_name} is {}, the colour of feed {other_name}, and it is on feed {feed_name}: whoever goes by colour pulls or isolates the wrong feed",
        colour.value
    );
    let right = wanted.map(|wanted| (&wanted.value, right_type(analysis, kind, &wanted.value)));
    let order = match right {
        Some((_, Some(right))) => format!("use cord type {}", right.name.value),
        Some((wanted, None)) => format!("order the cord with a {wanted} jacket"),
        None => "order the cord with a jacket of no feed's colour".to_owned(),
    };
    let advice = format!(
        "Follow it first: by its colour it belongs on feed {other_name}, and may be plugged in wrong. Only if it is right where it is, {order}."
    );
    let colours = [
        (feed, wanted),
        (other, other.colour.written().ok().flatten()),
    ];
    let colours = colours.into_iter().filter_map(|(feed, colour)| {
        let colour = colour?;
        let note = format!("feed {}: {}", feed.name.value, colour.value);
        Some(place(colour.span, note))
    });
    Draft::new(
        &RULE,
        headline,
        item.cord_type.span().unwrap_or(item.name.span),
        format!("{} on feed {feed_name}", colour.value),
        Citation::marked("the site's own colours, `site.feeds`"),
    )
    .also([Citation::common_practice(
        "no standard fixes the jacket colours of feeds",
    )])
    .above(colours)
    .above(analysis.hops_above(id))
    .below([place(colour.span, format!("jacket: {}", colour.value))])
    .below(analysis.ends_of(cord))
    .about([cord_name.clone()])
    .advice(format!(
        "{advice} Colour alone never identifies a feed: go by the label and prove dead."
    ))
    .finish()
}

/// Feeds that nobody can tell apart by their colour, each with the first that has it.
fn of_one_colour(analysis: &Analysis<'_>) -> impl Iterator<Item = Finding> {
    let feeds = analysis.model.site.feeds.items();
    let colour = |feed: &Named<Feed>| feed.colour.written().ok().flatten().cloned();
    feeds.iter().enumerate().filter_map(move |(at, feed)| {
        let own = colour(feed)?;
        let is_like = |other: &&Named<Feed>| {
            colour(other).is_some_and(|other| is_same_colour(&other.value, &own.value))
        };
        let first = feeds[..at].iter().find(is_like)?;
        let (name, first_name) = (&feed.name.value, &first.name.value);
        let headline = format!(
            "feeds {first_name} and {name} are both {}: nobody can tell their cords apart by colour, and may pull the one that carries the load",
            own.value
        );
        let basis = Citation::marked("the site's own colours, `site.feeds`");
        let draft = Draft::new(&RULE, headline, own.span, "the same colour", basis)
            .above(colour(first).map(|of_first| place(of_first.span, format!("feed {first_name}"))))
            .about([name.clone(), first_name.clone()])
            .kind("one-colour")
            .advice("Give each feed a colour of its own, or take the colours out and go by labels.");
        Some(draft.finish())
    })
}

/// A type of the catalogue that differs by its colour alone, as far as the ends can tell.
fn right_type<'a>(
    analysis: &Analysis<'a>,
    kind: &CordType,
    colour: &Name,
) -> Option<&'a Named<CordType>> {
    let ends = |kind: &CordType| {
        let legs = kind
            .legs
            .items()
            .iter()
            .map(|leg| leg.connector.known().cloned());
        (
            kind.plug.known().cloned(),
            kind.connector.known().cloned(),
            kind.length.known().copied(),
            legs.collect::<Vec<_>>(),
        )
    };
    let mut types = analysis.types_on_offer();
    types.find(|other| {
        let its = other.colour.known();
        its.is_some_and(|its| is_same_colour(its, colour)) && ends(other) == ends(kind)
    })
}

/// A fact is missing: said once, at the thing.
fn not_decided(lack: &Lack<'_>) -> Draft {
    let Lack {
        what,
        name,
        fact,
        field,
    } = lack;
    let how = absence(*field);
    Draft::new(
        &RULE,
        format!(
            "has a jacket the colour of another feed? Wanted: the {fact} of {what} {}, which {how}",
            name.value
        ),
        field_or_name(*field, name),
        format!("not decided: the {fact} {how}"),
        Citation::marked("the site's own colours, `site.feeds`"),
    )
    .wants([lack.wanted()])
    .about([name.value.clone()])
    .kind(what)
    .advice(format!("Write the {fact} of {what} {}.", name.value))
}
