//! The smallest thing that can be found, agreed to or new: one fault, at one thing that suffers it.

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

impl Finding {
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

    fn words(&self) -> impl Iterator<Item = &str> {
        let open = match self.verdict {
            Verdict::Open => "open",
            Verdict::Broken => "",
        };
        let names = self.about.iter().map(SmolStr::as_str);
        [self.first_name, self.kind, open].into_iter().chain(names)
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

    /// A name for it that survives moved lines, renamed files and changed numbers. Of a fault of
    /// the thing itself it is the finding's own.
    pub fn fingerprint(&self) -> String {
        let Some(sufferer) = self.sufferer else {
            return self.finding.fingerprint();
        };
        // The mark keeps a sufferer apart from one more thing that a finding is about.
        let to = ["\u{1e}", sufferer.as_str()];
        shown(fnv1a(self.finding.words().chain(to)))
    }
}

fn shown(hash: u64) -> String {
    format!("{hash:016x}")
}

/// FNV-1a, 64 bit: tiny, fixed for all time, and no secret is at stake.
fn fnv1a<'a>(parts: impl Iterator<Item = &'a str>) -> u64 {
    let bytes = parts.flat_map(|part| part.bytes().chain(std::iter::once(0x1f)));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
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
