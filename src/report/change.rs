//! What a change made of a site, in the closing words: how faults stand, what came and went.

use super::SiteReport;
use super::words::{count, listed};
use crate::comparison::{Balance, ChangedKey, Comparison, Gone, Ledger, Tally, Watts};
use crate::finding::{Finding, Since};
use crate::ink::{Page, short};
use crate::model::value::Name;

/// Names that are shown of each kind; the count says how many there are.
const SHOWN: usize = 12;

/// A paragraph, and lines further in that belong to it.
struct Part {
    head: String,
    lines: Vec<String>,
}

impl From<String> for Part {
    fn from(head: String) -> Self {
        let lines = Vec::new();
        Self { head, lines }
    }
}

/// Tells of the change that a site was judged as; nothing where it was not.
pub(super) fn write(site: &SiteReport<'_>, page: &mut Page<'_>) {
    let Some(comparison) = site.comparison else {
        return;
    };
    for part in parts(site, comparison) {
        page.paragraph(&part.head);
        part.lines.iter().for_each(|line| page.indented(2, line));
        page.blank();
    }
}

fn parts(site: &SiteReport<'_>, comparison: &Comparison) -> Vec<Part> {
    let mut parts = vec![standing(site, comparison).into()];
    parts.extend(better(site.findings));
    parts.extend(gone(&comparison.gone));
    parts.extend(balance(&comparison.balance));
    if !comparison.gone.is_empty() {
        parts.extend(keys(&comparison.changed_keys));
    }
    parts.extend(relaxed(comparison).map(Part::from));
    parts
}

/// `Since main: 2 new, 1 worse, 12 unchanged, 3 gone.`
fn standing(site: &SiteReport<'_>, comparison: &Comparison) -> String {
    let mut tally = Tally::of(site.findings);
    let others = site.left_out.iter();
    others.for_each(|others| tally.join(&others.tally));
    let gone: usize = comparison
        .gone
        .iter()
        .map(|gone| gone.fingerprints.len())
        .sum();
    let atoms = |finding: &Finding| finding.atoms().count();
    let departed = site
        .departed
        .iter()
        .map(|departed| atoms(&departed.finding));
    let known = site.known.iter().map(|known| atoms(&known.finding));
    let agreed: usize = departed.chain(known).sum();
    let parts: Vec<String> = [
        (tally.new, "new"),
        (tally.worse, "worse"),
        (tally.better, "better"),
        (tally.unchanged, "unchanged"),
        (gone, "gone"),
        (agreed, "agreed or known"),
    ]
    .into_iter()
    .filter(|(number, _)| *number > 0)
    .map(|(number, word)| format!("{number} {word}"))
    .collect();
    let revision = short(&comparison.revision);
    match parts.as_slice() {
        [] => format!("Since {revision}: nothing was found, then or now."),
        some => format!("Since {revision}: {}.", listed(some)),
    }
}

fn better(findings: &[Finding]) -> Option<Part> {
    let better = findings
        .iter()
        .filter_map(|finding| match (finding.since, finding.measure) {
            (Since::Better(then), Some(now)) => {
                let at = finding.about.first().map_or("", Name::as_str);
                Some(format!(
                    "{} at {}: {} now, {} before",
                    finding.rule,
                    short(at),
                    now.show(),
                    then.show()
                ))
            }
            _ => None,
        });
    lines("Better, and still to be put right:", better)
}

fn gone(gone: &[Gone]) -> Option<Part> {
    let gone = gone.iter().map(|gone| {
        let at = gone.names.first().map_or("", Name::as_str);
        let open = if gone.is_open() { ", not decided" } else { "" };
        format!("{} at {}{open}", gone.rule, short(at))
    });
    lines("Found before and not any more:", gone)
}

fn lines(heading: &str, lines: impl Iterator<Item = String>) -> Option<Part> {
    let mut lines: Vec<String> = lines.collect();
    let more = lines.len().saturating_sub(SHOWN);
    lines.truncate(SHOWN);
    if more > 0 {
        lines.push(format!("and {more} more"));
    }
    (!lines.is_empty()).then(|| Part {
        head: heading.to_owned(),
        lines,
    })
}

/// What came and went, by name, with its watts.
fn balance(balance: &Balance) -> Option<Part> {
    if !balance.is_moved() {
        return None;
    }
    let moved = balance.ledgers.iter().filter(|ledger| {
        ledger.before != ledger.now || !ledger.gone.is_empty() || !ledger.come.is_empty()
    });
    let moved = moved.map(|ledger| {
        format!(
            "{}: {} before, {} now{}",
            ledger.many,
            ledger.before,
            ledger.now,
            names(balance, ledger)
        )
    });
    let load = format!(
        "load of all devices: {} before, {} now",
        watts(&balance.watts_before),
        watts(&balance.watts_now)
    );
    Some(Part {
        head: "The balance of the change:".to_owned(),
        lines: moved.chain([load]).collect(),
    })
}

fn names(balance: &Balance, ledger: &Ledger) -> String {
    let load = |sum: &Watts| match ledger.one {
        "device" => format!(" ({})", watts(sum)),
        _ => String::new(),
    };
    let mut text = String::new();
    if !ledger.gone.is_empty() {
        let load = load(&balance.watts_gone);
        text.push_str(&format!("; taken out: {}{load}", some(&ledger.gone)));
    }
    if !ledger.come.is_empty() {
        let load = load(&balance.watts_come);
        text.push_str(&format!("; added: {}{load}", some(&ledger.come)));
    }
    text
}

fn some(names: &[Name]) -> String {
    let shown: Vec<String> = names
        .iter()
        .take(SHOWN)
        .map(|name| short(name).into_owned())
        .collect();
    match names.len().saturating_sub(SHOWN) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}

fn watts(sum: &Watts) -> String {
    let known = format!("{:.0} W", sum.known);
    match sum.unknown {
        0 => known,
        unknown => format!(
            "at least {known}, without {}",
            count(unknown, "device of unknown load", "devices of unknown load")
        ),
    }
}

fn keys(keys: &[ChangedKey]) -> Option<Part> {
    let read = |text: &Option<String>| match text {
        Some(text) => short(text).into_owned(),
        None => "nothing".to_owned(),
    };
    let keys = keys.iter().map(|key| {
        let (before, now) = (read(&key.before), read(&key.now));
        format!("{}: {before} before, {now} now", short(&key.key))
    });
    lines(
        "These read otherwise than before, and may be why findings went away:",
        keys,
    )
}

fn relaxed(comparison: &Comparison) -> Option<String> {
    let things = match comparison.relaxations {
        0 => return None,
        1 => "1 thing that was held before".to_owned(),
        many => format!("{many} things that were held before"),
    };
    Some(match comparison.relaxations_hold {
        true => format!(
            "The change relaxes {things}: that holds here, because --relaxations tell was asked for."
        ),
        false => format!("The change relaxes {things}: it was judged as if it did not."),
    })
}
