//! Pairs of which a half is of the site's own: what the site says decides, and nothing else.

use super::{Mate, Why, fitting, mates};
use crate::tables::couplers::Coupler;

/// The answer for a pair with a half of the site's own; `None` where both are of the tables.
pub(super) fn pair(contacts: &Coupler, pins: &Coupler) -> Option<Mate> {
    let own = [contacts, pins]
        .into_iter()
        .find(|half| half.own_facts().is_some())?;
    if named(contacts, pins) || named(pins, contacts) || contacts.name == pins.name {
        return Some(fitting(contacts, pins, &own.citation, None));
    }
    let like = |half: &Coupler| half.own_facts().and_then(|facts| facts.like);
    Some(match (like(contacts), like(pins)) {
        (None, None) => apart(contacts, pins, own),
        (as_contacts, as_pins) => mates(as_contacts.unwrap_or(contacts), as_pins.unwrap_or(pins)),
    })
}

/// Whether the site says of `half` that it goes together with `other`.
fn named(half: &Coupler, other: &Coupler) -> bool {
    let facts = half.own_facts();
    facts.is_some_and(|facts| facts.mates.contains(&other.name))
}

fn apart(contacts: &Coupler, pins: &Coupler, own: &Coupler) -> Mate {
    Mate::DoesNotFit {
        why: Why::Pair(format!(
            "the coupler types of the site do not say that {contacts} takes {pins}"
        )),
        citation: own.citation.clone(),
    }
}
