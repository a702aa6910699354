//! A site judged as a change of another.

use std::collections::BTreeSet;

use cordwright::finding::{Finding, Since};
use cordwright::input::SiteInput;
use cordwright::judgement::{Before, Judgement, Site};
use cordwright::policy::Policy;

use super::editing::split;
use super::laid_out::{assert_places, found, judged, settings, site};

/// The state before, and the one after. A change hides nothing that a judgement of the later state by
/// itself finds, and of no change there is nothing new and nothing gone.
pub fn run(bytes: &[u8]) {
    let mut parts = split(bytes).into_iter();
    let (before, after) = (parts.next().unwrap_or_default(), parts.next());
    let changed = change(site(before), site(after.unwrap_or(before)));
    for finding in found(&changed) {
        assert_places(&changed.sources, finding);
    }
    let alone = judged(site(after.unwrap_or(before)));
    let told = prints(found(&changed));
    let alone = prints(alone.findings.iter());
    let hidden: Vec<_> = alone.difference(&told).collect();
    assert!(hidden.is_empty(), "the change hides {hidden:?}");
    let same = change(site(before), site(before));
    let new = same
        .findings
        .iter()
        .filter(|finding| finding.since == Since::New);
    assert_eq!(new.collect::<Vec<_>>(), Vec::<&Finding>::new());
    let comparison = same.comparison.as_ref().expect("a comparison");
    assert!(comparison.gone.is_empty(), "{:?}", comparison.gone);
}

fn change(before: SiteInput, after: SiteInput) -> Judgement {
    let before = Site::read(before);
    let judgement = Site::read(after).judge_change(
        &settings(),
        &Before {
            site: Some(&before),
            revision: "main",
            policy: Policy::of(&before.model),
            lost: &[],
            left_out: &[],
            relaxations_hold: false,
        },
    );
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

fn prints<'a>(findings: impl Iterator<Item = &'a Finding>) -> BTreeSet<(&'static str, String)> {
    let atoms = findings.flat_map(|finding| {
        let names = finding.atoms().map(|atom| atom.fingerprint());
        names.map(|name| (finding.rule, name))
    });
    atoms.collect()
}
