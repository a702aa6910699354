//! The smallest thing that can be found, agreed to or new: one fault, at one thing that suffers it.

use std::borrow::Cow;
use std::collections::BTreeMap;

use smol_str::SmolStr;

use super::{Finding, Verdict};

/// One fault at one thing that suffers it. A cord type that is too thin is one finding, and an atom
/// for each cord of the type: a further cord is a further fault.
#[derive(Clone, Copy, Debug)]
pub struct Atom<'f> {
    finding: &'f Finding,
    sufferer: Option<&'f SmolStr>,
}

/// What makes a fault the one that it is, in full. A fingerprint is short for it, and somebody who looks
/// for them finds two faults of one fingerprint; faults are held against each other by this.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Identity<'f> {
    first_name: &'static str,
    kind: &'static str,
    verdict: Verdict,
    about: &'f [SmolStr],
    sufferer: Option<&'f SmolStr>,
}

impl Finding {
    /// What makes it the fault that it is, whoever suffers it.
    pub(crate) fn identity(&self) -> Identity<'_> {
        Identity {
            first_name: self.first_name,
            kind: self.kind,
            verdict: self.verdict,
            about: &self.about,
            sufferer: None,
        }
    }

    /// Its atoms, in order of the sufferers' names; one where the thing at fault is itself what
    /// suffers.
    pub fn atoms(&self) -> impl Iterator<Item = Atom<'_>> {
        let itself = self.sufferers.is_empty().then_some(None);
        let others = self.sufferers.iter().map(Some);
        itself.into_iter().chain(others).map(|sufferer| Atom {
            finding: self,
            sufferer,
        })
    }

    /// The finding with those of its atoms alone that `keep` takes; `None` if it takes none.
    pub fn only(&self, mut keep: impl FnMut(Atom<'_>) -> bool) -> Option<Self> {
        let kept: Vec<Option<&SmolStr>> = self
            .atoms()
            .filter(|atom| keep(*atom))
            .map(|atom| atom.sufferer)
            .collect();
        if kept.is_empty() {
            return None;
        }
        let mut part = self.clone();
        part.sufferers = kept.into_iter().flatten().cloned().collect();
        Some(part)
    }

    /// The finding in parts, one for all atoms of the same key, each with the number of its first atom;
    /// in the order of those. There is a key for every atom.
    pub fn parted_by<K: Ord>(&self, keys: impl IntoIterator<Item = K>) -> Vec<(usize, Self)> {
        let mut places = BTreeMap::new();
        let mut parts: Vec<(usize, Vec<SmolStr>)> = Vec::new();
        let mut bare = self.clone();
        let mut sufferers = std::mem::take(&mut bare.sufferers).into_iter();
        for (number, key) in keys.into_iter().enumerate() {
            let place = *places.entry(key).or_insert(parts.len());
            if place == parts.len() {
                parts.push((number, Vec::new()));
            }
            parts[place].1.extend(sufferers.next());
        }
        let parts = parts.into_iter().map(|(number, sufferers)| {
            let part = Self {
                sufferers,
                ..bare.clone()
            };
            (number, part)
        });
        parts.collect()
    }

    /// A name for the fault as a whole, whoever suffers it, that survives moved lines, renamed files
    /// and changed numbers.
    pub fn fingerprint(&self) -> String {
        shown(fnv1a(self.words()))
    }

    fn words(&self) -> impl Iterator<Item = Cow<'_, str>> {
        let open = match self.verdict {
            Verdict::Open => "open",
            Verdict::Broken => "",
        };
        let names = self.about.iter().map(|name| without_marks(name));
        let fixed = [self.first_name, self.kind, open].map(Cow::Borrowed);
        fixed.into_iter().chain(names)
    }
}

impl<'f> Atom<'f> {
    /// The thing that suffers: of a fault of its own, the thing that the finding is about.
    pub fn sufferer(&self) -> Option<&'f SmolStr> {
        self.sufferer.or_else(|| self.finding.about.first())
    }

    /// The things that it is about: those of its finding and, where it is another, who suffers.
    pub fn names(&self) -> impl Iterator<Item = &'f str> {
        let about = self.finding.about.iter();
        about.chain(self.sufferer).map(SmolStr::as_str)
    }

    /// What makes it the fault that it is.
    pub(crate) fn identity(&self) -> Identity<'f> {
        Identity {
            sufferer: self.sufferer,
            ..self.finding.identity()
        }
    }

    /// A name for it that survives moved lines, renamed files and changed numbers. Of a fault of
    /// the thing itself it is the finding's own.
    pub fn fingerprint(&self) -> String {
        let Some(sufferer) = self.sufferer else {
            return self.finding.fingerprint();
        };
        let to = [SUFFERED_BY.into(), without_marks(sufferer)];
        shown(fnv1a(self.finding.words().chain(to)))
    }
}

fn shown(hash: u64) -> String {
    format!("{hash:016x}")
}

/// What ends each part of a fingerprint.
const END: char = '\u{1f}';
/// The part that keeps a sufferer apart from one more thing that a finding is about.
const SUFFERED_BY: &str = "\u{1e}";
/// What stands before one of these marks, or itself, in a name that holds it.
const ESCAPE: char = '\u{10}';

/// A name in which no mark of a fingerprint is left, and which no other name becomes. Nobody's name has
/// any, but for who wants two faults to be taken for one.
fn without_marks(name: &str) -> Cow<'_, str> {
    let is_mark = |c: char| c == END || c == ESCAPE || SUFFERED_BY.contains(c);
    if !name.contains(is_mark) {
        return Cow::Borrowed(name);
    }
    let written = name.chars().flat_map(|c| {
        let escape = is_mark(c).then_some(ESCAPE);
        // Out of the way of all marks, by one number for each.
        let c = if is_mark(c) {
            char::from(c as u8 + 0x40)
        } else {
            c
        };
        escape.into_iter().chain([c])
    });
    Cow::Owned(written.collect())
}

/// FNV-1a, 64 bit: tiny and fixed for all time. It is no proof that two faults are the same.
fn fnv1a<'a>(parts: impl Iterator<Item = Cow<'a, str>>) -> u64 {
    let start = 0xcbf2_9ce4_8422_2325;
    parts.fold(start, |hash, part| {
        let bytes = part.bytes().chain([END as u8]);
        bytes.fold(hash, |hash: u64, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        })
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::tests::finding;
    use super::*;

    fn shared() -> Finding {
        Finding {
            sufferers: vec!["W-1".into(), "W-2".into()],
            ..finding("plug-fuse", 1, &["short"])
        }
    }

    #[test]
    fn a_fault_of_the_thing_itself_is_one_atom_under_the_findings_own_name() {
        let own = finding("plug-fuse", 1, &["W-1", "lamp"]);
        let atoms: Vec<Atom<'_>> = own.atoms().collect();
        assert_eq!(atoms.len(), 1);
        assert_eq!(atoms[0].fingerprint(), own.fingerprint());
        assert_eq!(atoms[0].sufferer().unwrap(), "W-1");
        assert_eq!(atoms[0].names().collect::<Vec<_>>(), ["W-1", "lamp"]);
    }

    #[test]
    fn every_sufferer_of_a_shared_fault_is_an_atom_of_its_own() {
        let shared = shared();
        let names: Vec<String> = shared.atoms().map(|atom| atom.fingerprint()).collect();
        assert_eq!(names.len(), 2);
        assert_ne!(names[0], names[1]);
        assert!(!names.contains(&shared.fingerprint()));
        // A thing more that a finding is about is not a sufferer.
        let about = finding("plug-fuse", 1, &["short", "W-1"]);
        assert_ne!(about.fingerprint(), names[0]);
    }

    #[test]
    fn marks_within_names_make_no_two_faults_one() {
        let suffered = |about: &[&str], by: &str| Finding {
            sufferers: vec![by.into()],
            ..finding("plug-fuse", 1, about)
        };
        let all = [
            finding("plug-fuse", 1, &["a", "b", "c"]),
            finding("plug-fuse", 1, &["a\u{1f}b", "c"]),
            finding("plug-fuse", 1, &["a", "b\u{1f}c"]),
            finding("plug-fuse", 1, &["a\u{10}_b", "c"]),
            finding("plug-fuse", 1, &["a\u{10}\u{1f}b", "c"]),
            finding("plug-fuse", 1, &["a", "\u{1e}", "b"]),
            finding("plug-fuse", 1, &["a\u{1f}\u{1e}", "b"]),
            finding("plug-fuse", 1, &["a\u{1f}\u{1e}\u{1f}b"]),
            suffered(&["a"], "b"),
            suffered(&["a"], "\u{1e}b"),
            suffered(&["a", "\u{1e}"], "b"),
        ];
        let atoms: Vec<Atom<'_>> = all.iter().flat_map(Finding::atoms).collect();
        let named: BTreeSet<String> = atoms.iter().map(Atom::fingerprint).collect();
        let told: BTreeSet<Identity<'_>> = atoms.iter().map(Atom::identity).collect();
        assert_eq!((named.len(), told.len()), (all.len(), all.len()));
    }

    #[test]
    fn a_part_of_a_finding_keeps_the_atoms_that_are_wanted() {
        let shared = shared();
        let part = shared.only(|atom| atom.sufferer().is_some_and(|name| name == "W-2"));
        assert_eq!(part.unwrap().sufferers, ["W-2"]);
        assert_eq!(shared.only(|_| false), None);
        assert_eq!(shared.only(|_| true), Some(shared.clone()));
        let own = finding("plug-fuse", 1, &["W-1"]);
        assert_eq!(own.only(|_| true), Some(own.clone()));
    }

    #[test]
    fn parts_are_told_apart_by_their_keys_in_the_order_of_their_first_atoms() {
        let shared = Finding {
            sufferers: ["W-1", "W-2", "W-3", "W-4"].map(Into::into).into(),
            ..finding("plug-fuse", 1, &["short"])
        };
        let parts = shared.parted_by([7, 3, 7, 9]);
        let told = parts
            .iter()
            .map(|(first, part)| (*first, part.sufferers.join(" ")));
        let told: Vec<(usize, String)> = told.collect();
        let expected = [(0, "W-1 W-3"), (1, "W-2"), (3, "W-4")];
        assert_eq!(
            told,
            expected.map(|(first, names)| (first, names.to_owned()))
        );
        assert_eq!(shared.parted_by([1; 4]), [(0, shared.clone())]);
        let own = finding("plug-fuse", 1, &["W-1"]);
        assert_eq!(own.parted_by(["x"]), [(0, own.clone())]);
    }
}
