//! How a run ends: what was judged, what was found, what was not checked, and the caution.

use super::caution::{CAUTION, NOT_CHECKED};
use super::words::{count, listed, one_line, spelt, wrapped};
use super::{Census, Counts, Look, Report, SiteReport, change};

/// The closing words of a run, ready for a terminal; ends with a line feed.
pub fn closing(report: &Report<'_>, look: &Look) -> String {
    let mut paragraphs: Vec<String> = report.sites.iter().map(judged).collect();
    paragraphs.push(found(report));
    paragraphs.extend(report.sites.iter().flat_map(change::told));
    paragraphs.extend(report.sites.iter().filter_map(missing));
    paragraphs.push(NOT_CHECKED.to_owned());
    paragraphs.push(CAUTION.to_owned());
    let shown: Vec<String> = paragraphs.iter().map(|text| set(text, look)).collect();
    shown.join("\n")
}

/// A paragraph wrapped line by line; lines that begin with blanks keep them.
fn set(paragraph: &str, look: &Look) -> String {
    let mut text = String::new();
    for line in paragraph.lines() {
        let words = line.trim_start();
        let indent = line.len() - words.len();
        let words = spelt(words, look.unicode);
        for part in wrapped(&words, look.width.saturating_sub(indent)) {
            text.push_str(&format!("{:indent$}{part}\n", ""));
        }
    }
    text
}

/// What there was to judge.
fn judged(site: &SiteReport<'_>) -> String {
    let census = &site.census;
    let subject = match (site.name, site.root) {
        (Some(name), "." | "") => one_line(name).into_owned(),
        (Some(name), root) => format!("{} ({})", one_line(name), one_line(root)),
        (None, "." | "") => "the site in this folder".to_owned(),
        (None, root) => format!("the site in {}", one_line(root)),
    };
    let files = count(census.files, "file", "files");
    let mut text = format!("Judged {subject}: {} from {files}.", things(census));
    match census.passed_over {
        0 => {}
        1 => text.push_str(" 1 other YAML file holds no section of a site and was passed over."),
        n => text.push_str(&format!(
            " {n} other YAML files hold no section of a site and were passed over."
        )),
    }
    text
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
    sentences.extend(
        noun(counts.open, "point", "points").map(|points| {
            format!("Not decided: {points}, for want of a fact; that is not a pass.")
        }),
    );
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

/// What kept a site from being judged as a whole; `None` if nothing did.
fn missing(site: &SiteReport<'_>) -> Option<String> {
    if site.complete() {
        return None;
    }
    let mut text =
        String::from("The judgement is not complete: more may be wrong than is shown.\n");
    for unread in site.unread {
        let path = site.shown(&unread.path);
        text.push_str(&format!(
            "  {}: could not be judged: {}\n",
            one_line(&path),
            one_line(&unread.why)
        ));
    }
    for rule in site.crashed {
        text.push_str(&format!(
            "  {}: this rule broke down, so what it looks for was not judged\n",
            one_line(rule)
        ));
    }
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::super::Known;
    use super::super::sample::{Sample, look, sample};
    use super::*;
    use crate::comparison::Comparison;

    fn closed(sample: &Sample) -> String {
        closing(&sample.report(), &look(400, true))
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
        let text = closing(&report, &look(400, true));
        let expected = "Found 1 new error and 1 new warning. Not decided: 1 point, for want of a \
                        fact; that is not a pass. Agreed: 1 departure, recorded with reason and \
                        date. Known: 2 findings on the snag list, still to be put right.\n\nSince \
                        main: 3 new and 3 agreed or known.\n";
        assert!(text.contains(expected), "{text}");
    }

    #[test]
    fn without_a_comparison_nothing_is_said_of_one() {
        assert!(!closed(&sample()).contains("Since"));
    }
}
