//! All that is found in the examples of the pages, in the same with a fact left out, and in sites with
//! a planted mistake: what holds for every finding is held against these.

use std::ops::Range;
use std::sync::{Arc, LazyLock};

use cordwright::finding::Finding;
use cordwright::judgement::Site;
use cordwright::policy::Policy;
use cordwright::rules::{self, RULES};
use rayon::prelude::*;
use regex::Regex;

use crate::catalogue::plant;
use crate::site::{Files, read, today};
use crate::sound::layout::write;
use crate::{mistakes, pages};

/// Sites that mistakes are planted in.
const SITES: usize = 150;
/// Mutators that are tried on a site.
const TRIED: usize = 12;
/// Mistakes that are planted in a site, each by itself.
const PLANTED: usize = 2;

/// A finding, and the site that it was made of.
pub struct Found {
    pub finding: Finding,
    pub site: Arc<Site>,
}

/// Everything that is found, departures and the snag list left aside.
pub fn everything() -> &'static [Found] {
    static ALL: LazyLock<Vec<Found>> = LazyLock::new(|| {
        let mut sites = pages::example_sites();
        let firsts = RULES.iter().map(|rule| pages::first_example(rule.name));
        let lacking: Vec<Files> = firsts.flat_map(|site| lacking(&site)).collect();
        sites.extend(lacking);
        sites.extend(planted());
        sites.par_iter().flat_map(of_site).collect()
    });
    &ALL
}

fn of_site(files: &Files) -> Vec<Found> {
    let site = Arc::new(read(files));
    let policy = Policy::of(&site.model);
    let outcome = rules::run(&site.analysis(today()), &[policy], |_| true);
    assert!(outcome.crashed.is_empty(), "{:?}", outcome.crashed);
    let findings = outcome.findings.into_iter();
    findings
        .map(|finding| Found {
            finding,
            site: Arc::clone(&site),
        })
        .collect()
}

/// A site with a fact less, once for each: a line of a thing's definition left out, or an entry of
/// one that stands in braces.
fn lacking(files: &Files) -> Vec<Files> {
    let fact = r"(?m)^ {4}[a-z-]+: [^{}\n]+\n|, [a-z-]+: [^,{}\n]+|[a-z-]+: [^,{}\n]+, ";
    let fact = Regex::new(fact).unwrap();
    let facts = files.iter().enumerate().flat_map(|(file, (_, text))| {
        let found = fact.find_iter(text);
        found.map(move |found| (file, found.range()))
    });
    let without = |(file, bytes): (usize, Range<usize>)| {
        let mut site = files.clone();
        site[file].1.replace_range(bytes, "");
        site
    };
    facts.map(without).collect()
}

fn planted() -> Vec<Files> {
    let mutators = mistakes::all();
    let of_seed = |seed: usize| {
        let sound = crate::sound::site(seed as u64);
        let tried = (0..TRIED).map(|at| mutators[(seed * TRIED + at) % mutators.len()]);
        let sites = tried.filter_map(|mutator| {
            let (site, planted) = plant(mutator, &sound, seed as u64)?;
            let mut files: Files = write(&site, seed as u64).files.into_iter().collect();
            let added = planted.file;
            files.extend(added.map(|(path, text)| (path.to_owned(), text.to_owned())));
            Some(files)
        });
        sites.take(PLANTED).collect::<Vec<Files>>()
    };
    (0..SITES).into_par_iter().flat_map(of_seed).collect()
}
