//! How a run ends: what was judged, what was found, what was not checked, and the caution.

use super::caution::{CAUTION, NOT_CHECKED};
use super::words::{count, listed, one_line, spelt, wrapped};
use super::{Census, Counts, Look, Report, SiteReport};

/// The closing words of a run, ready for a terminal; ends with a line feed.
pub fn closing(report: &Report<'_>, look: &Look) -> String {
    let mut paragraphs: Vec<String> = report.sites.iter().map(judged).collect();
    paragraphs.push(found(report));
    paragraphs.extend(report.sites.iter().filter_map(left_out));
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
    let gone = report.sites.iter().filter_map(|site| site.put_right);
    let put_right = gone.reduce(|sum, n| sum + n);
    let is_relative = put_right.is_some() || counts.known > 0;
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
    sentences.extend(put_right.map(|n| format!("Put right since: {n}.")));
    sentences.join(" ")
}

/// What is only counted; `None` if everything is shown.
fn left_out(site: &SiteReport<'_>) -> Option<String> {
    let others = site.left_out.filter(|others| others.count() > 0)?;
    let shown = match site.findings.len() {
        0 => "None of these are shown".to_owned(),
        1 => "Only the one of these is shown that weighs most".to_owned(),
        most => format!("Only the {most} of these are shown that weigh most"),
    };
    Some(format!(
        "{shown}. Left out, by rule: {}. \"--most 0\" shows all.",
        others.by_rule()
    ))
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
    use super::super::Gravest;
    use super::super::sample::{Sample, look, sample};
    use super::*;

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
        report.sites[0].put_right = Some(3);
        report.sites[0].known = &sample.findings[..2];
        let text = closing(&report, &look(400, true));
        let expected = "Found 1 new error and 1 new warning. Not decided: 1 point, for want of a \
                        fact; that is not a pass. Agreed: 1 departure, recorded with reason and \
                        date. Known: 2 findings on the snag list, still to be put right. Put \
                        right since: 3.\n";
        assert!(text.contains(expected), "{text}");
    }

    #[test]
    fn what_is_left_out_is_counted_by_rule() {
        let sample = sample();
        let gravest = Gravest::of(&sample.findings, Some(1));
        let mut report = sample.report();
        report.sites[0].findings = &gravest.shown;
        report.sites[0].left_out = Some(&gravest.left_out);
        let text = closing(&report, &look(400, true));
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
        assert!(!closed(&sample()).contains("Put right since"));
    }
}
