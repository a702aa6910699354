//! `feed-colour`: has every cord the jacket colour of its feed?

use crate::analysis::{Analysis, absence, field_or_name, is_same_colour, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Supply;
use crate::model::cords::{Cord, CordType};
use crate::model::optional::{Optional, Stated};
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
                let question = || "have jackets the colour of their feed".to_owned();
                let told = illegible.ask(&RULE, &fact, question);
                told.suffered_by([analysis.whole(id).clone()]);
            }
            None => {}
        }
    }
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
    let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
    let kind = analysis.graph.links.cord_types[cord.index()]?;
    let kind = &analysis.model.cord_types[kind];
    let Field::Given(feed) = &supply.feed else {
        let lack = lacks("supply", &supply.name, "feed", &supply.feed);
        return Some(Said::Lacks(lack, None));
    };
    // A feed that the site does not list is a fault of the records; one without a colour asks for none.
    let feeds = &analysis.model.site.feeds;
    let Some(listed) = feeds.find(&feed.value) else {
        return feeds.unreadable().map(Said::Unlisted);
    };
    let listed = &feeds[listed];
    let wanted = match &listed.colour {
        Optional::Absent => return None,
        Optional::Unreadable(_) => {
            let lack = lacks("feed", &listed.name, "colour", &listed.colour);
            return Some(Said::Lacks(lack, None));
        }
        Optional::Given(wanted) => wanted,
    };
    let Field::Given(colour) = &kind.colour else {
        let lack = lacks("cord type", &kind.name, "colour", &kind.colour);
        return Some(Said::Lacks(lack, Some(analysis.whole(id).clone())));
    };
    let is_right = is_same_colour(&colour.value, &wanted.value);
    (!is_right).then(|| {
        let wrong = other_colour(analysis, cord, id, kind, colour, listed, wanted);
        Said::Wrong(Box::new(wrong))
    })
}

fn other_colour(
    analysis: &Analysis<'_>,
    cord: Id<Cord>,
    id: ElementId,
    kind: &Named<CordType>,
    colour: &Spanned<Name>,
    feed: &Named<Feed>,
    wanted: &Spanned<Name>,
) -> Finding {
    let item = &analysis.model.cords[cord];
    let (cord_name, feed_name) = (&item.name.value, &feed.name.value);
    let headline = format!(
        "cord {cord_name} is {}, but it is on feed {feed_name}, which is {}: whoever goes by colour pulls or isolates the wrong feed",
        colour.value, wanted.value
    );
    let order = match right_type(analysis, kind, &wanted.value) {
        Some(right) => format!("use cord type {}", right.name.value),
        None => format!("order the cord with a {} jacket", wanted.value),
    };
    let advice = match analysis.feed_of_colour(cord) {
        Some(other) => format!(
            "Follow it first: by its colour it belongs on feed {}, and may be plugged in wrong. Only if it is right where it is, {order}.",
            other.name.value
        ),
        None => format!("Look whether it is plugged in right; if it is, {order}."),
    };
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
    .above([place(
        wanted.span,
        format!("feed {feed_name}: {}", wanted.value),
    )])
    .above(analysis.hops_above(id))
    .below([place(colour.span, format!("jacket: {}", colour.value))])
    .below(analysis.ends_of(cord))
    .about([cord_name.clone()])
    .advice(format!(
        "{advice} Colour alone never identifies a feed: go by the label and prove dead."
    ))
    .finish()
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
            "have jackets the colour of their feed? Wanted: the {fact} of {what} {}, which {how}",
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
