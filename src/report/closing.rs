//! How a run ends: what was judged, what was found, what was not checked, and the caution.

use super::caution::{CAUTION, NOT_CHECKED};
use super::folded::folded;
use super::words::{count, listed};
use super::{Census, Counts, Look, Report, SiteReport, change};
use crate::ink::{Page, Plain, Written, short};

/// The closing words of a run, ready for a terminal; ends with a line feed.
pub fn closing(report: &Report<'_>, look: &Look) -> Written<Plain> {
    let mut page = Page::new(look);
    for site in &report.sites {
        page.paragraph(&judged(site));
        page.blank();
    }
    page.paragraph(&found(report));
    page.blank();
    for words in report.sites.iter().filter_map(left_out) {
        page.paragraph(&words);
        page.blank();
    }
    for site in &report.sites {
        change::write(site, &mut page);
    }
    for site in report.sites.iter().filter(|site| !site.complete()) {
        missing(site, &mut page);
        page.blank();
    }
    let is_told = |site: &&SiteReport<'_>| report.is_verbose && !site.passed_over.is_empty();
    for site in report.sites.iter().filter(is_told) {
        passed_over(site, &mut page);
        page.blank();
    }
    for site in report.sites.iter().filter(|site| !site.assumed.is_empty()) {
        page.paragraph(&assumed(site));
        page.blank();
    }
    page.paragraph(NOT_CHECKED);
    page.blank();
    page.paragraph(CAUTION);
    page.end()
}

/// What there was to judge.
fn judged(site: &SiteReport<'_>) -> String {
    let census = &site.census;
    let subject = match (site.name, site.root) {
        (Some(name), "." | "") => short(name).into_owned(),
        (Some(name), root) => format!("{} ({})", short(name), short(root)),
        (None, "." | "") => "the site in this folder".to_owned(),
        (None, root) => format!("the site in {}", short(root)),
    };
    let files = count(census.files, "file", "files");
    let by = site
        .edition
        .map(|edition| format!(" by {}", short(edition)));
    let by = by.unwrap_or_default();
    let mut text = format!("Judged {subject}{by}: {} from {files}.", things(census));
    text.extend(stages(census));
    match census.passed_over {
        0 => {}
        1 => text.push_str(" 1 other YAML file holds no section of a site and was passed over."),
        n => text.push_str(&format!(
            " {n} other YAML files hold no section of a site and were passed over."
        )),
    }
    text
}

/// What is still to be done, where the site was judged as it hangs and as it is planned.
fn stages(census: &Census) -> Option<String> {
    let left = |cords: usize, what: &str| {
        (cords > 0).then(|| format!("{} still to be {what}", count(cords, "cord", "cords")))
    };
    let left = [
        left(census.to_fit, "fitted"),
        left(census.to_pull, "pulled"),
    ];
    let left: Vec<String> = left.into_iter().flatten().collect();
    let is_staged = !left.is_empty();
    is_staged.then(|| format!(" As fitted and as planned, with {}.", listed(&left)))
}

fn things(census: &Census) -> String {
    listed(&[
        count(census.supplies, "supply", "supplies"),
        count(census.circuits, "circuit", "circuits"),
        count(census.pdus, "PDU", "PDUs"),
        count(census.devices, "device", "devices"),
        count(census.cords, "cord", "cords"),
    ])
}

/// What was found, and what stands beside it.
fn found(report: &Report<'_>) -> String {
    let counts = Counts::of(report);
    let is_compared = report.sites.iter().any(|site| site.comparison.is_some());
    let is_relative = is_compared || counts.known > 0;
    let new = if is_relative { "new " } else { "" };
    let noun = |n, one: &str, many: &str| (n > 0).then(|| count(n, one, many));
    let by_weight: Vec<String> = [
        noun(
            counts.errors,
            &format!("{new}error"),
            &format!("{new}errors"),
        ),
        noun(
            counts.warnings,
            &format!("{new}warning"),
            &format!("{new}warnings"),
        ),
        noun(counts.notes, &format!("{new}note"), &format!("{new}notes")),
    ]
    .into_iter()
    .flatten()
    .collect();
    let mut sentences = vec![match by_weight.as_slice() {
        [] => format!("Found nothing {new}to put right in what was judged."),
        some => format!("Found {}.", listed(some)),
    }];
    sentences.extend(noun(counts.open, "point", "points").map(|points| {
        let facts = match facts(report) {
            0 | 1 => "a fact".to_owned(),
            facts => count(facts, "fact", "facts"),
        };
        format!("Not decided: {points}, for want of {facts}; that is not a pass.")
    }));
    sentences.extend(
        noun(counts.departed, "departure", "departures")
            .map(|departures| format!("Agreed: {departures}, recorded with reason and date.")),
    );
    sentences.extend(
        noun(counts.known, "finding", "findings")
            .map(|known| format!("Known: {known} on the snag list, still to be put right.")),
    );
    sentences.extend(unbounded(report));
    sentences.join(" ")
}

/// How many facts are missing, each counted once however many questions hang on it.
fn facts(report: &Report<'_>) -> usize {
    let of_site = |site: &SiteReport<'_>| {
        let pieces = folded(site.findings).into_iter();
        let facts: usize = pieces.map(|piece| piece.facts().len()).sum();
        facts + site.left_out.map_or(0, |others| others.facts)
    };
    report.sites.iter().map(of_site).sum()
}

/// What was agreed to before numbers were signed holds at any number, and is noted.
fn unbounded(report: &Report<'_>) -> Option<String> {
    let sites = report.sites.iter();
    let unbounded: usize = sites
        .map(|site| {
            let departed = site.departed.iter().filter(|departed| departed.unbounded);
            let known = site.known.iter();
            let known =
                known.filter(|known| known.finding.measure.is_some() && known.signed.is_none());
            departed.count() + known.count()
        })
        .sum();
    (unbounded > 0).then(|| {
        let agreed = count(unbounded, "of these holds", "of these hold");
        format!("{agreed} at any number, for it was signed at none: write signed-at into departures, and let \"cordwright snags\" write the list anew.")
    })
}

/// What the site is silent about and something rests on.
fn assumed(site: &SiteReport<'_>) -> String {
    let rows = site.assumed.iter().map(|row| match row.things {
        1 => row.key.to_owned(),
        things => format!("{} ({things})", row.key),
    });
    let rows: Vec<String> = rows.collect();
    format!(
        "Taken for granted, because it is not written: {}. \"cordwright cite --assumed\" says what, and whether that is on the safe side.",
        listed(&rows)
    )
}

/// What is only counted; `None` if everything is shown.
fn left_out(site: &SiteReport<'_>) -> Option<String> {
    let others = site.left_out.filter(|others| others.count() > 0)?;
    let shown = site.findings.iter().filter(|f| !f.since.is_old());
    let shown = match shown.count() {
        0 => "None of these are shown".to_owned(),
        1 => "Only the one of these is shown that weighs most".to_owned(),
        most => format!("Only the {most} of these are shown that weigh most"),
    };
    Some(format!(
        "{shown}. Left out, by rule: {}. \"--most 0\" shows all.",
        others.by_rule()
    ))
}

/// What kept a site from being judged as a whole.
fn missing(site: &SiteReport<'_>, page: &mut Page<'_>) {
    page.paragraph("The judgement is not complete: more may be wrong than is shown.");
    for unread in site.unread {
        let path = site.shown(&unread.path);
        page.indented(2, &format!("{path}: could not be judged: {}", unread.why));
    }
    for rule in site.crashed {
        let what = "this rule broke down, so what it looks for was not judged";
        page.indented(2, &format!("{rule}: {what}"));
    }
}

/// What is not judged because it is not the site's, a line each.
fn passed_over(site: &SiteReport<'_>, page: &mut Page<'_>) {
    page.paragraph("Passed over, and not judged:");
    for one in site.passed_over {
        let path = site.shown(&one.path);
        page.indented(2, &format!("{path}: {}", one.why));
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Sample, look, sample};
    use super::super::{Gravest, Known};
    use super::*;
    use crate::comparison::Comparison;

    fn closed(sample: &Sample) -> String {
        closing(&sample.report(), &look(400, true)).into_string()
    }

    #[test]
    fn a_clean_run_says_what_was_judged_and_what_was_not() {
        let expected = format!(
            "Judged Løft pumping station: 1 supply, 1 circuit, 1 PDU, 2 devices and 2 cords from 3 \
             files. 1 other YAML file holds no section of a site and was passed over.\n\n\
             Found nothing to put right in what was judged.\n\n{NOT_CHECKED}\n\n{CAUTION}\n"
        );
        assert_eq!(closed(&sample().clean()), expected);
    }

    #[test]
    fn the_edition_by_which_was_judged_is_named() {
        let sample = sample();
        let mut report = sample.report();
        report.sites[0].edition = Some("BS 7671:2018");
        let text = closing(&report, &look(400, true)).into_string();
        assert!(
            text.starts_with("Judged Løft pumping station by BS 7671:2018: "),
            "{text}"
        );
    }

    #[test]
    fn what_could_not_be_judged_is_named() {
        let sample = Sample {
            root: "løft",
            ..sample().clean().broken()
        };
        let text = closed(&sample);
        let expected = "\
The judgement is not complete: more may be wrong than is shown.
  løft/plan 2/über.yaml: could not be judged: not UTF-8 at byte 17
  retention-missing: this rule broke down, so what it looks for was not judged
";
        assert!(text.contains(expected), "{text}");
        assert!(text.starts_with("Judged Løft pumping station (løft): "));
    }

    #[test]
    fn what_is_passed_over_is_named_where_that_is_asked_for() {
        let sample = sample();
        let mut report = sample.report();
        let quiet = closing(&report, &look(400, true)).into_string();
        assert!(!quiet.contains("Passed over"), "{quiet}");
        report.is_verbose = true;
        let expected = "\
Passed over, and not judged:
  drafts/: left out by \"drafts/**\" under site.files
  empty.yaml: holds no section of a site
";
        let text = closing(&report, &look(400, true)).into_string();
        assert!(text.contains(expected), "{text}");
    }

    #[test]
    fn a_comparison_counts_what_is_new_and_what_is_gone() {
        let sample = sample();
        let mut report = sample.report();
        let comparison = Comparison {
            revision: "main".to_owned(),
            ..Comparison::default()
        };
        let known: Vec<Known> = sample.findings[..2]
            .iter()
            .cloned()
            .map(Known::at_what_it_is)
            .collect();
        report.sites[0].comparison = Some(&comparison);
        report.sites[0].known = &known;
        let text = closing(&report, &look(400, true)).into_string();
        let expected = "Found 1 new error and 1 new warning. Not decided: 1 point, for want of a \
                        fact; that is not a pass. Agreed: 1 departure, recorded with reason and \
                        date. Known: 2 findings on the snag list, still to be put right.\n\nSince \
                        main: 3 new and 3 agreed or known.\n";
        assert!(text.contains(expected), "{text}");
    }

    #[test]
    fn what_is_left_out_is_counted_by_rule() {
        let sample = sample();
        let gravest = Gravest::of(&sample.findings, Some(1));
        let mut report = sample.report();
        report.sites[0].findings = &gravest.shown;
        report.sites[0].left_out = Some(&gravest.left_out);
        let text = closing(&report, &look(400, true)).into_string();
        let whole = closed(&sample);
        let (before, after) = whole.split_once(NOT_CHECKED).expect("what is not checked");
        let between = text.strip_prefix(before).expect("the same counts");
        let rules = gravest.left_out.by_rule();
        let expected = format!(
            "Only the one of these is shown that weighs most. Left out, by rule: {rules}. \"--most 0\" shows all.\n\n{NOT_CHECKED}{after}"
        );
        assert_eq!(between, expected);
    }

    #[test]
    fn without_a_comparison_nothing_is_said_of_one() {
        assert!(!closed(&sample()).contains("Since"));
    }
}
