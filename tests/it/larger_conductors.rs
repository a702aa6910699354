//! A larger conductor never creates a finding, on sound sites and on sites with a mistake in them.
//!
//! One rule could rightly speak: less resistance ahead of a breaker lets more fault current through it.
//! The breakers of these sites break all that their supply can drive, so that it stays silent too.

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::catalogue::{judge, plant};
use crate::mistakes;
use crate::sound::layout::write;
use crate::sound::ratings::{GAUGES, METRIC};
use crate::sound::tree::Node;

/// Sites whose conductors are enlarged.
const SITES: u64 = 150;

/// The next size of a conductor; none where a cordage is not made in it.
fn larger(size: &str, cordage: Option<&str>) -> Option<&'static str> {
    let sizes = [METRIC.as_slice(), GAUGES.as_slice()];
    let sizes = sizes
        .into_iter()
        .find(|sizes| sizes.iter().any(|own| own.marking == size))?;
    let at = sizes.iter().position(|own| own.marking == size)?;
    let next = sizes.get(at + 1)?;
    let largest = match cordage {
        Some("H03VV-F") => 0.75,
        Some("H05RN-F") => 2.5,
        Some("H05VV-F" | "H05V2V2-F" | "H05Z1Z1-F") => 4.0,
        Some("H05RR-F") => 6.0,
        Some(name) if name.starts_with("SJ") => 5.3,
        _ => f64::MAX,
    };
    (next.area <= largest).then_some(next.marking)
}

/// Makes every conductor one size larger.
fn enlarge(node: &mut Node, cordage: Option<&str>) {
    let own = node.get("cordage").map(|own| own.text().to_owned());
    let cordage = own.as_deref().or(cordage);
    match node {
        Node::Map(pairs) => {
            for (key, value) in pairs {
                match (key.as_str(), &*value) {
                    ("conductor", Node::Word(size)) => {
                        if let Some(next) = larger(size, cordage) {
                            *value = next.into();
                        }
                    }
                    _ => enlarge(value, cordage),
                }
            }
        }
        Node::List(items) => items.iter_mut().for_each(|item| enlarge(item, cordage)),
        Node::Word(_) | Node::Raw(_) => {}
    }
}

/// What is said of a site: rule, kind and things.
fn said(site: &Node, seed: u64) -> BTreeSet<String> {
    let findings = judge(&write(site, seed)).findings;
    let all = findings.iter();
    all.map(|finding| format!("{} {} {:?}", finding.rule, finding.kind, finding.about))
        .collect()
}

#[test]
fn a_larger_conductor_never_creates_a_finding() {
    let mutators = mistakes::all();
    (0..SITES).into_par_iter().for_each(|seed| {
        let mut sites = vec![("sound", crate::sound::site(seed))];
        let mutator = mutators[seed as usize % mutators.len()];
        let mistaken = plant(mutator, &sites[0].1, seed);
        sites.extend(mistaken.map(|(site, _)| (mutator.what, site)));
        for (what, mut site) in sites {
            let before = said(&site, seed);
            enlarge(&mut site, None);
            let after = said(&site, seed);
            let new: Vec<&String> = after.difference(&before).collect();
            assert!(new.is_empty(), "{what}, seed {seed}: {new:?}");
        }
    });
}

#[test]
fn conductors_are_enlarged_as_far_as_their_cordage_is_made() {
    assert_eq!(larger("1.5 mm²", Some("H05RN-F")), Some("2.5 mm²"));
    assert_eq!(larger("2.5 mm²", Some("H05RN-F")), None);
    assert_eq!(larger("10 AWG", Some("SJT")), None);
    assert_eq!(larger("10 AWG", Some("ST")), Some("8 AWG"));
    assert_eq!(larger("4 mm²", None), Some("6 mm²"));
}
