//! Faults of the definitions as written, for the rules that make findings of them.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::Place;
use crate::graph::LinkFault;
use crate::model::fault::Noted;
use crate::model::value::Name;
use crate::rules::Draft;
use crate::rules::sharers::Sharers;

/// All faults of the definitions as written.
pub fn faults<'a>(analysis: &Analysis<'a>) -> impl Iterator<Item = &'a Noted> {
    let shown_by_links = analysis
        .graph
        .faults
        .iter()
        .filter_map(|fault| match fault {
            LinkFault::Written(noted) => Some(noted),
            _ => None,
        });
    analysis.model.faults.iter().chain(shown_by_links)
}

/// The source of what a definition may hold.
pub fn format() -> Citation {
    Citation::marked("the definition format")
}

/// Whose fault it is, for the middle of a sentence: `rating` of `breaker` of `A-12`.
pub fn whose(noted: &Noted) -> Option<String> {
    let keys = noted.path.get(1..).filter(|keys| !keys.is_empty())?;
    let section = noted.path.first().map_or("", Name::as_str);
    let mut words: Vec<String> = keys.iter().rev().map(|key| format!("`{key}`")).collect();
    words.extend(match section {
        "site" => Some("the site".to_owned()),
        "departures" => Some("a departure".to_owned()),
        _ => None,
    });
    Some(words.join(" of "))
}

/// What follows from a fault beyond the key that has it, for the end of a headline.
pub fn fallout(analysis: &Analysis<'_>, noted: &Noted) -> &'static str {
    match &noted.path[..] {
        [section, name, ..] if analysis.model.own_parts.lack(section, name) => {
            "; nothing that has it is judged"
        }
        _ => "",
    }
}

/// Names the thing first and then the keys, and shows who uses the thing, and where the text is in
/// use elsewhere.
pub fn told(draft: Draft, sharers: &mut Sharers<'_>, noted: &Noted) -> Draft {
    let thing = noted.thing();
    let keys = noted.path.iter().filter(|&key| *key != thing).cloned();
    let names: Vec<Name> = std::iter::once(thing.clone()).chain(keys).collect();
    let section = noted.path.first().map_or("", Name::as_str);
    let users = sharers.of_named(section, &thing);
    draft.about(names).suffered_by(users).below(uses(noted))
}

fn uses(noted: &Noted) -> impl Iterator<Item = Place> {
    noted
        .uses
        .iter()
        .map(|&at| place(at, "in use here too, through an alias or a merge"))
}
