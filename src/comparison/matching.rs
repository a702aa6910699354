//! Faults of two judgements matched, atom by atom.

use std::collections::BTreeMap;

use crate::finding::{Atom, Finding, Identity, Move, Since};

/// Findings that stand, each with how it stands to the earlier judgement; and what went away.
#[derive(Debug, PartialEq, Eq)]
pub struct Matched {
    /// What stands now; a finding of which some atoms were there before is told apart by them.
    pub now: Vec<Finding>,
    /// What was there before and is not now.
    pub gone: Vec<Finding>,
}

/// Matches atoms one for one by what makes them the faults that they are: a fault that is there twice now and was there once is
/// new once. What is there now but was agreed or is known, `set_aside`, is neither new nor gone.
/// A fault that has become graver by itself is new, whatever level its rule was given.
pub fn matched<'f>(
    now: Vec<Finding>,
    set_aside: impl IntoIterator<Item = &'f Finding>,
    before: &[Finding],
) -> Matched {
    let mut earlier = Earlier::of(before);
    let mut told = Vec::with_capacity(now.len());
    for finding in &now {
        let stands: Vec<Since> = finding
            .atoms()
            .map(|atom| earlier.since(finding, &atom))
            .collect();
        let mut parts = finding.parted_by(&stands);
        parts.sort_by_key(|(first, _)| stands[*first]);
        told.extend(parts.into_iter().map(|(first, part)| Finding {
            since: stands[first],
            ..part
        }));
    }
    for finding in set_aside {
        for atom in finding.atoms() {
            earlier.take(&atom);
        }
    }
    Matched {
        now: told,
        gone: earlier.left(),
    }
}

/// Atoms of the earlier judgement that nothing has been matched with yet.
struct Earlier<'a> {
    before: &'a [Finding],
    /// Each as the number of its finding and its own number there; the first one last.
    free: BTreeMap<Identity<'a>, Vec<(usize, usize)>>,
}

impl<'a> Earlier<'a> {
    fn of(before: &'a [Finding]) -> Self {
        let mut free: BTreeMap<Identity<'_>, Vec<(usize, usize)>> = BTreeMap::new();
        for (number, finding) in before.iter().enumerate().rev() {
            for (own, atom) in finding.atoms().enumerate() {
                free.entry(atom.identity()).or_default().push((number, own));
            }
        }
        Self { before, free }
    }

    fn take(&mut self, atom: &Atom<'a>) -> Option<&'a Finding> {
        let (number, _) = self.free.get_mut(&atom.identity())?.pop()?;
        self.before.get(number)
    }

    fn since(&mut self, finding: &Finding, atom: &Atom<'a>) -> Since {
        let Some(before) = self.take(atom) else {
            return Since::New;
        };
        let is_graver = finding.own_level > before.own_level;
        match (finding.measure, before.measure) {
            (Some(now), Some(then)) => match now.moved_since(&then) {
                Move::Worse => Since::Worse(then),
                _ if is_graver => Since::New,
                Move::Same => Since::Unchanged,
                Move::Better => Since::Better(then),
            },
            _ if is_graver => Since::New,
            _ => Since::Unchanged,
        }
    }

    /// What nothing was matched with, finding by finding.
    fn left(self) -> Vec<Finding> {
        let mut left: Vec<(usize, usize)> = self.free.into_values().flatten().collect();
        left.sort_unstable();
        let by_finding = left.chunk_by(|a, b| a.0 == b.0);
        let part = |atoms: &[(usize, usize)]| {
            let finding = self.before.get(atoms.first()?.0)?;
            // Both are in the order of the finding's atoms.
            let (mut number, mut left) = (0.., atoms.iter().peekable());
            finding.only(|_| {
                let own = number.next();
                left.next_if(|(_, left)| Some(*left) == own).is_some()
            })
        };
        by_finding.filter_map(part).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Level, Measure};
    use crate::quantity::amperes;

    /// An error about `thing`.
    fn finding(thing: &str) -> Finding {
        crate::finding::tests::finding("plug-fuse", 0, &[thing])
    }

    fn over(thing: &str, value: f64, limit: f64) -> Finding {
        Finding {
            measure: Some(Measure::above(amperes(value), amperes(limit))),
            ..finding(thing)
        }
    }

    fn of_type(cords: &[&str]) -> Finding {
        Finding {
            sufferers: cords.iter().copied().map(Into::into).collect(),
            ..finding("short")
        }
    }

    fn told(now: Vec<Finding>, before: &[Finding]) -> (Vec<(String, Option<&'static str>)>, usize) {
        let matched = matched(now, [], before);
        let told = matched.now.iter().map(|finding| {
            let names: Vec<&str> = finding
                .atoms()
                .filter_map(|a| a.sufferer().map(|n| n.as_str()))
                .collect();
            (names.join(" "), finding.since.word())
        });
        (told.collect(), matched.gone.len())
    }

    fn expect(all: &[(&str, &'static str)]) -> Vec<(String, Option<&'static str>)> {
        all.iter()
            .map(|(name, word)| ((*name).to_owned(), Some(*word)))
            .collect()
    }

    #[test]
    fn what_was_not_there_is_new_and_what_is_not_there_is_gone() {
        let moved = Finding {
            headline: "W-1, on another line".to_owned(),
            ..finding("W-1")
        };
        let (told, gone) = told(
            vec![moved, finding("W-3")],
            &[finding("W-1"), finding("W-2")],
        );
        assert_eq!(told, expect(&[("W-1", "unchanged"), ("W-3", "new")]));
        assert_eq!(gone, 1);
    }

    #[test]
    fn the_same_fault_once_more_is_new_once() {
        let (told, gone) = told(vec![finding("W-1"), finding("W-1")], &[finding("W-1")]);
        assert_eq!(told, expect(&[("W-1", "unchanged"), ("W-1", "new")]));
        assert_eq!(gone, 0);
    }

    #[test]
    fn what_grew_is_worse_and_what_shrank_is_better() {
        let before = [
            over("a", 10.2, 10.0),
            over("b", 10.2, 10.0),
            over("c", 10.2, 10.0),
        ];
        let now = vec![
            over("a", 12.2, 10.0),
            over("b", 10.1, 10.0),
            over("c", 10.2, 6.0),
        ];
        let (told, _) = told(now, &before);
        assert_eq!(
            told,
            expect(&[("a", "worse"), ("b", "better"), ("c", "worse")])
        );
    }

    #[test]
    fn one_more_cord_of_a_condemned_type_is_new() {
        let (told, gone) = told(
            vec![of_type(&["W-1", "W-2", "W-3"])],
            &[of_type(&["W-1", "W-9"])],
        );
        assert_eq!(told, expect(&[("W-2 W-3", "new"), ("W-1", "unchanged")]));
        assert_eq!(gone, 1);
    }

    #[test]
    fn what_became_graver_by_itself_is_new_whatever_its_rule_was_given() {
        let mild = |level| Finding {
            level,
            own_level: Level::Warning,
            ..finding("W-1")
        };
        for level in [Level::Warning, Level::Error] {
            let graver = matched(vec![finding("W-1")], [], &[mild(level)]);
            assert_eq!(graver.now[0].since, Since::New);
        }
        let weighs_more = matched(vec![mild(Level::Error)], [], &[mild(Level::Warning)]);
        assert_eq!(weighs_more.now[0].since, Since::Unchanged);
    }

    #[test]
    fn what_is_set_aside_is_not_gone() {
        let before = [finding("W-1"), finding("W-2")];
        let matched = matched(vec![], [&finding("W-1")], &before);
        assert_eq!(matched.gone, [finding("W-2")]);
        assert!(matched.now.is_empty());
    }
}
