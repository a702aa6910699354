//! Two judgements of one state, by two policies: what stands by either of them stands.

use std::collections::{BTreeMap, BTreeSet};

use crate::agreed::{Departed, Parted};
use crate::finding::{Finding, Identity, Move};
use crate::rules::Known;

/// What stands by either judgement, each fault as the graver one tells it. Let through is only what
/// both let through.
pub fn stricter(own: Parted, other: Parted) -> Parted {
    let mut standing = own.standing;
    let mut whole: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (number, finding) in standing.iter().enumerate() {
        whole.entry(finding.fingerprint()).or_default().push(number);
    }
    for finding in other.standing {
        let like = whole.get_mut(&finding.fingerprint());
        let free = like.and_then(|like| {
            let is_it = |number: &usize| standing[*number].identity() == finding.identity();
            let at = like.iter().rposition(is_it)?;
            Some(like.remove(at))
        });
        match free {
            Some(number) => join(&mut standing[number], finding),
            None => standing.push(finding),
        }
    }
    standing.sort_by(Finding::order);
    let atoms = standing.iter().flat_map(Finding::atoms);
    let stands: BTreeSet<Identity<'_>> = atoms.map(|atom| atom.identity()).collect();
    let rest = |finding: &Finding| finding.only(|atom| !stands.contains(&atom.identity()));
    let departed = own.departed.into_iter().filter_map(|departed| {
        let finding = rest(&departed.finding)?;
        Some(Departed {
            finding,
            ..departed
        })
    });
    let departed = departed.collect();
    let known = own.known.into_iter().filter_map(|known| {
        let finding = rest(&known.finding)?;
        Some(Known { finding, ..known })
    });
    let known = known.collect();
    Parted {
        departed,
        known,
        standing,
    }
}

/// One fault that both judgements tell: with the graver level and number, and all who suffer.
fn join(own: &mut Finding, other: Finding) {
    let levels = (
        own.level.max(other.level),
        own.own_level.max(other.own_level),
    );
    let mut sufferers = std::mem::take(&mut own.sufferers);
    sufferers.extend(other.sufferers.iter().cloned());
    sufferers.sort_unstable();
    sufferers.dedup();
    let is_worse = match (&other.measure, &own.measure) {
        (Some(other), Some(own)) => other.moved_since(own) == Move::Worse,
        _ => false,
    };
    if is_worse {
        *own = other;
    }
    ((own.level, own.own_level), own.sufferers) = (levels, sufferers);
}
