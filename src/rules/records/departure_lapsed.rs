//! `departure-lapsed`: does every departure still hold?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::cords::Departure;
use crate::model::site::{LevelWord, RuleLevel};
use crate::model::value::{Name, Named, Spanned};
use crate::rules::{Draft, rule};
use crate::source::Span;

rule!(
    "departure-lapsed",
    Records,
    Error,
    "A departure past its day, or without reason, signer or day: nobody stands for the risk that it lets through."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for departure in &analysis.model.departures {
        findings.extend(unsigned(departure));
        findings.extend(lapsed(analysis, departure));
    }
    let levels = analysis.model.site.levels.items().iter();
    findings.extend(levels.filter_map(off_without_reason));
}

fn unsigned(departure: &Spanned<Departure>) -> Option<Finding> {
    let item = &departure.value;
    let wanted = [
        (item.reason.is_absent(), "`reason`"),
        (item.agreed_by.is_absent(), "`agreed-by`"),
        (item.until.is_absent(), "`until`"),
    ];
    let missing: Vec<&str> = wanted
        .iter()
        .filter(|(lacks, _)| *lacks)
        .map(|(_, key)| *key)
        .collect();
    let what = match missing.as_slice() {
        [] => return None,
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and no {last}", first.join(", no ")),
    };
    let headline = format!(
        "the departure for {} (rule {}) has no {what}: it does not hold, and nobody stands for the risk",
        name(item.at.known()),
        name(item.rule.known())
    );
    let at = item.rule.span().unwrap_or(departure.span);
    Some(
        draft(item, headline, at, format!("no {what}"))
            .kind("unsigned")
            .advice("Add who agreed to it, why, and until which day; or put the finding right.")
            .finish(),
    )
}

fn lapsed(analysis: &Analysis<'_>, departure: &Spanned<Departure>) -> Option<Finding> {
    let item = &departure.value;
    let until = item
        .until
        .given()
        .filter(|until| until.value < analysis.today)?;
    let (day, today) = (until.value, analysis.today);
    let headline = format!(
        "the departure for {} (rule {}) ended on {day}: the fault that it let through counts again",
        name(item.at.known()),
        name(item.rule.known())
    );
    let note = match day.days_until(today) {
        1 => "ended yesterday".to_owned(),
        past => format!("ended {past} days ago"),
    };
    Some(
        draft(item, headline, until.span, note)
            .kind("past")
            .advice("Put the finding right; or have the departure agreed again, with a new day.")
            .finish(),
    )
}

fn off_without_reason(level: &Named<RuleLevel>) -> Option<Finding> {
    let is_off = level.level.known() == Some(&LevelWord::Off);
    let given = level
        .level
        .given()
        .filter(|_| is_off && level.reason.is_absent())?;
    let rule = &level.name.value;
    let headline = format!(
        "the site switches the rule {rule} off without a reason: it stays on, because nobody stands for the risk"
    );
    Some(
        Draft::new(&RULE, headline, given.span, "no reason", basis())
            .about(["site", rule])
            .kind("off")
            .advice(format!(
                "Write `{rule}: {{level: off, reason: …}}`, or take the line out."
            ))
            .finish(),
    )
}

fn draft(departure: &Departure, headline: String, at: Span, note: String) -> Draft {
    let names = [departure.at.known(), departure.rule.known()];
    Draft::new(&RULE, headline, at, note, basis()).about(names.map(name))
}

fn name(name: Option<&Name>) -> &str {
    name.map_or("an unnamed thing", Name::as_str)
}

fn basis() -> Citation {
    Citation::common_practice(
        "a departure is written down with its reason, who agreed, and its end",
    )
}
