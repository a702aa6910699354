//! What lies in a catalogue that several sites of a run read: a fault there is one fault, told once, with
//! the sites that suffer it.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use smol_str::SmolStr;

use super::Format;
use crate::finding::{Finding, Verdict};
use crate::input::{is_shared, joined};
use crate::source::Sources;

/// What was found at one site.
#[derive(Debug)]
pub struct FoundAt<'a> {
    /// The site's folder, as it is shown.
    pub root: &'a str,
    /// The site's files.
    pub sources: &'a Sources,
    /// The findings.
    pub findings: &'a mut Vec<Finding>,
}

/// What makes findings of several sites one: the place and what is wrong there. Of findings of one site
/// that are alike in all of that, the first goes with the first of another.
type Key = (
    (String, u32, u32),
    (&'static str, Verdict, &'static str, Vec<SmolStr>),
    usize,
);

/// Says of every finding in a catalogue which sites suffer it and, for people, leaves it at the one where
/// it weighs most. Programs get it at every site, for they may follow each by itself; only where a form
/// has one list for all sites, nobody is to read twice what says the same.
pub fn told_once(sites: &mut [FoundAt<'_>], format: Format) {
    if sites.len() < 2 {
        return;
    }
    let groups = groups(sites);
    let mut gone: Vec<Vec<usize>> = vec![Vec::new(); sites.len()];
    for group in groups.into_values() {
        let names: Vec<SmolStr> = group
            .iter()
            .map(|(site, _)| sites[*site].root.into())
            .collect();
        let lead = worst(sites, &group);
        for (at, (site, number)) in group.iter().enumerate() {
            let finding = &mut sites[*site].findings[*number];
            finding.sites.clone_from(&names);
            if at != lead && is_told_elsewhere(finding, format) {
                gone[*site].push(*number);
            }
        }
    }
    for (site, mut gone) in sites.iter_mut().zip(gone) {
        gone.sort_unstable();
        let mut number = 0..;
        site.findings.retain(|_| {
            number
                .next()
                .is_some_and(|at| gone.binary_search(&at).is_err())
        });
    }
}

/// The findings in catalogues, each with its site, in the order of the sites. What was there before a
/// change is merely counted.
fn groups(sites: &[FoundAt<'_>]) -> BTreeMap<Key, Vec<(usize, usize)>> {
    let mut groups: BTreeMap<Key, Vec<(usize, usize)>> = BTreeMap::new();
    for (at, site) in sites.iter().enumerate() {
        for (number, finding) in site.findings.iter().enumerate() {
            let span = finding.main.span;
            let path = &site.sources.file(span.file).path;
            if !is_shared(path) || finding.since.is_old() {
                continue;
            }
            let place = (joined(site.root, path), span.lo, span.hi);
            let what = (
                finding.rule,
                finding.verdict,
                finding.kind,
                finding.about.clone(),
            );
            let mut key = (place, what, 0);
            let is_here =
                |group: &Vec<(usize, usize)>| group.last().is_some_and(|(site, _)| *site == at);
            while groups.get(&key).is_some_and(is_here) {
                key.2 += 1;
            }
            groups.entry(key).or_default().push((at, number));
        }
    }
    groups
}

/// Which of a group weighs most; the first, where none does.
fn worst(sites: &[FoundAt<'_>], group: &[(usize, usize)]) -> usize {
    let finding = |at: usize| {
        let (site, number) = group[at];
        &sites[site].findings[number]
    };
    let mut worst = 0;
    for at in 1..group.len() {
        let (own, so_far) = (finding(at), finding(worst));
        let is_beyond = match (own.measure, so_far.measure) {
            (Some(own), Some(so_far)) => own.is_like(&so_far) && own.is_beyond(&so_far),
            _ => false,
        };
        let levels = Reverse(own.level).cmp(&Reverse(so_far.level));
        if levels.is_lt() || levels.is_eq() && is_beyond {
            worst = at;
        }
    }
    worst
}

/// Whether a form leaves a finding out that is told at another site.
fn is_told_elsewhere(finding: &Finding, format: Format) -> bool {
    match format {
        Format::Annotated | Format::Lines => true,
        // Who suffers it at each site is a result of its own.
        Format::Sarif => finding.sufferers.is_empty(),
        Format::Json | Format::Junit => false,
    }
}
