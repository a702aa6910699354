//! Other cords that an editor offers: each is written and the whole site judged anew.

use std::collections::BTreeSet;

use cordwright::editor::fixes::Fix;
use cordwright::editor::{OpenSite, Task};
use cordwright::finding::{Edit, Finding};
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::source::FileId;
use rayon::prelude::*;

use crate::pages::example_sites;
use crate::remedy::{TIDYING, with_mistakes};
use crate::site::{Files, judged, today};

fn opened(files: &Files) -> OpenSite {
    let files = files.iter();
    let files = files.map(|(path, text)| (path.clone(), text.clone().into_bytes()));
    let mut files: Vec<_> = files.collect();
    files.sort();
    let unread = Vec::new();
    let input = SiteInput {
        files,
        unread,
        ..SiteInput::default()
    };
    let task = Task::read(input, &[], Settings::on(today()));
    OpenSite::new(task.judge(|| true).unwrap())
}

/// The texts as they stand, with some edits made.
fn with(site: &OpenSite, edits: &[Edit]) -> Files {
    let mut texts: Files = site
        .files()
        .iter()
        .map(|file| (file.now().path.clone(), file.now().text.to_string()))
        .collect();
    let mut edits = edits.to_vec();
    edits.sort();
    for edit in edits.iter().rev() {
        let text = &mut texts[edit.span.file.0 as usize].1;
        text.replace_range(edit.span.range(), &edit.text);
    }
    texts
}

fn prints(findings: &[Finding]) -> BTreeSet<String> {
    let told = findings.iter().filter(|f| !TIDYING.contains(&f.rule));
    told.map(Finding::fingerprint).collect()
}

fn shown(site: &OpenSite) -> Vec<Finding> {
    let files = site.files().iter();
    let shown = files.flat_map(|file| site.findings(file.id()));
    shown.cloned().collect()
}

/// The other cords that are offered for a finding.
fn fits(site: &OpenSite, finding: &Finding) -> Vec<Fix> {
    let mut fixes = site.fixes(finding);
    fixes.retain(|fix| !fix.is_correction && fix.title.contains(": fit "));
    fixes
}

/// Takes every offer for itself; how many there were.
fn taken(files: &Files) -> usize {
    let mut site = opened(files);
    // What is judged stands elsewhere than it did when it was judged.
    for at in 0..files.len() as u32 {
        let text = format!("# Ümläuts 𝔸\n{}", site.source(FileId(at)).text);
        site.edit(FileId(at), &text);
    }
    if !site.is_settled() {
        return 0;
    }
    let before = prints(&judged(&with(&site, &[])).findings);
    let mut offers = 0;
    for finding in shown(&site) {
        for fix in fits(&site, &finding) {
            let after = prints(&judged(&with(&site, &fix.edits)).findings);
            let new: Vec<_> = after.difference(&before).collect();
            assert!(new.is_empty(), "{}: {new:?}", fix.title);
            let print = finding.fingerprint();
            assert!(!after.contains(&print), "{}: {print}", fix.title);
            offers += 1;
        }
    }
    offers
}

#[test]
fn a_cord_that_is_offered_puts_the_finding_right_and_nothing_else_wrong() {
    let of_seed = |seed: u64| taken(&with_mistakes(seed, 3));
    let offers: usize = (0..80_u64).into_par_iter().map(of_seed).sum();
    assert!(offers > 10, "{offers} offers");
    let offers: usize = example_sites().par_iter().map(taken).sum();
    assert!(offers > 5, "{offers} offers in the pages");
}

#[test]
fn nothing_is_offered_while_a_part_of_the_site_is_not_judged() {
    let mut sites = example_sites().into_iter().filter_map(|files| {
        let site = opened(&files);
        let found = shown(&site);
        let offered = found
            .into_iter()
            .find(|finding| !fits(&site, finding).is_empty());
        Some((site, offered?))
    });
    let (mut site, finding) = sites.next().unwrap();
    let file = FileId(0);
    let text = site.source(file).text.to_string();
    // Half typed, and then a meaning that no judgement has seen yet.
    for typed in ["half: [typed", "supplies: {one-more: {}}"] {
        site.edit(file, &format!("{text}\n{typed}\n"));
        assert!(fits(&site, &finding).is_empty(), "{typed}");
    }
}
