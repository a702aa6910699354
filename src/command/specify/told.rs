//! A plan in words and as a table.

use std::collections::{BTreeMap, BTreeSet};

use crate::ink::{Look, Page, Plain, Written, short};
use crate::plan::{Plan, PlannedCord, StripLoad};
use crate::quantity::{InUnits, show_rounded};
use crate::report::{CAUTION, count};
use crate::schedule::{self, Schedule, names, numbers, words};

const COLUMNS: &[schedule::Column] = &[
    names("cord"),
    names("from"),
    names("to"),
    names("rack"),
    names("type"),
    words("length"),
    words("way"),
];

/// What is told beside the plan itself.
pub(super) struct Said<'a> {
    /// Whether the reasons are asked for.
    pub with_reasons: bool,
    /// The files that it was written into.
    pub written: &'a [String],
    /// What is to be said of where a further device stands.
    pub doubts: &'a [String],
}

/// The plan of one site; ends with a line feed.
pub(super) fn told(root: &str, plan: &Plan, said: &Said<'_>, look: &Look) -> Written<Plain> {
    let mut page = Page::new(look);
    page.paragraph(&head(root, plan));
    page.blank();
    if let Some(why) = &plan.untried {
        page.paragraph(&format!("Nothing was planned: {}.", short(why)));
        page.blank();
        page.paragraph(CAUTION);
        return page.end();
    }
    if !plan.cords.is_empty() {
        for table in [cords(plan), strips(plan)] {
            schedule::write(&table, look, &mut page);
            page.blank();
        }
    }
    if said.with_reasons {
        reasons(&mut page, plan);
    }
    for (why, wanted, names) in by_cause(plan) {
        page.paragraph(&format!("No plan for {}: {why}. {wanted}", few(&names)));
        page.blank();
    }
    for finding in &plan.uneven {
        page.paragraph(&format!(
            "Uneven: {}. No turn of these cords from bank to bank would load the lines more alike.",
            finding.headline
        ));
        page.blank();
    }
    for line in wanted(plan) {
        page.paragraph(&line);
        page.blank();
    }
    for doubt in said.doubts {
        page.paragraph(&format!("Look there first: {doubt}"));
        page.blank();
    }
    page.paragraph(&end(plan, said.written));
    page.blank();
    page.paragraph(CAUTION);
    page.end()
}

fn cords(plan: &Plan) -> Schedule {
    Schedule {
        title: "Cords to fit".into(),
        columns: COLUMNS,
        rows: plan.cords.iter().map(row).collect(),
        ..Schedule::default()
    }
}

fn strips(plan: &Plan) -> Schedule {
    Schedule {
        title: "Loads with the plan fitted".into(),
        columns: STRIPS,
        rows: plan.strips.iter().map(strip).collect(),
        notes: STRIP_NOTES.iter().map(|note| (*note).to_owned()).collect(),
        ..Schedule::default()
    }
}

const STRIPS: &[schedule::Column] = &[
    names("PDU"),
    numbers("largest line A"),
    numbers("least any plan A"),
    numbers("may carry A"),
];
const STRIP_NOTES: &[&str] = &[
    "largest line A: the most loaded line of the strip after any single loss, with the plan fitted.",
    "least any plan A: the mean of its lines; no plan of the same inlets on this strip puts less on its largest.",
];

fn head(root: &str, plan: &Plan) -> String {
    match (&plan.name, root) {
        (Some(name), "." | "") => format!("Plan for {}.", short(name)),
        (Some(name), root) => format!("Plan for {} ({}).", short(name), short(root)),
        (None, root) => format!("Plan for the site in {}.", short(root)),
    }
}

fn row(cord: &PlannedCord) -> schedule::Row {
    let new = if cord.is_new { " (new)" } else { "" };
    vec![
        cord.name.clone(),
        cord.from.clone(),
        cord.to.clone(),
        cord.rack.clone(),
        format!("{}{new}", cord.kind),
        cord.bought.clone(),
        cord.way.clone(),
    ]
}

fn strip(load: &StripLoad) -> schedule::Row {
    let amperes = |current: f64| format!("{current:.2}");
    vec![
        load.pdu.clone(),
        amperes(load.top.in_amperes()),
        amperes(load.least.in_amperes()),
        load.limit
            .map_or_else(|| "?".to_owned(), |limit| amperes(limit.in_amperes())),
    ]
}

/// What decided each type, once.
fn reasons(page: &mut Page, plan: &Plan) {
    let mut known = BTreeSet::new();
    for cord in &plan.cords {
        if !known.insert(&cord.kind) {
            continue;
        }
        page.paragraph(&format!("{}:", short(&cord.kind)));
        for why in &cord.why {
            let told = format!("{} {}: {}", why.property, short(&why.is), why.because);
            page.indented(2, &told);
        }
        page.blank();
    }
}

/// What cannot be planned, each cause once with all that suffer it.
fn by_cause(plan: &Plan) -> Vec<(&str, &str, Vec<&str>)> {
    let mut causes: Vec<(&str, &str, Vec<&str>)> = Vec::new();
    for left in &plan.unplanned {
        let cause = (left.why.as_str(), left.wanted.as_str());
        match causes
            .iter_mut()
            .find(|(why, wanted, _)| (*why, *wanted) == cause)
        {
            Some((.., names)) => names.push(&left.what),
            None => causes.push((cause.0, cause.1, vec![&left.what])),
        }
    }
    causes
}

/// Names that are given before the others are counted.
const NAMED: usize = 4;

fn few(names: &[&str]) -> String {
    let shown: Vec<_> = names.iter().take(NAMED).map(|name| short(name)).collect();
    let more = match names.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{}{more}", shown.join(", "))
}

/// The facts that open points of the plan want, each key once with whose it is; of points that want none what they
/// ask.
fn wanted(plan: &Plan) -> Vec<String> {
    let mut keys: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let mut others = BTreeSet::new();
    for finding in &plan.open {
        match finding.wants.first() {
            Some(fact) => {
                let owners = keys.entry(fact.full_key()).or_default();
                owners.insert(fact.owner.as_str());
            }
            None => {
                others.insert(finding.headline.as_str());
            }
        }
    }
    let facts = keys.iter().map(|(key, owners)| {
        let owners: Vec<&str> = owners.iter().copied().collect();
        format!("Not decided for want of `{key}` of {}.", few(&owners))
    });
    let others = others
        .into_iter()
        .map(|asked| format!("Not decided: {}", short(asked)));
    facts.chain(others).collect()
}

fn end(plan: &Plan, written: &[String]) -> String {
    let cords = count(plan.cords.len(), "cord", "cords");
    let types = count(plan.new_types, "new type", "new types");
    let (all, least) = (show_rounded(plan.length.0), show_rounded(plan.length.1));
    let mut text = match plan.cords.len() {
        0 => "No cord is planned.".to_owned(),
        _ => format!(
            "{cords} of {types}, {all} of cord in all; with every cord at its best outlet it would be {least}. Judged by all rules on the whole site: nothing new to put right{}.",
            if plan.uneven.is_empty() {
                ""
            } else {
                " but uneven lines"
            }
        ),
    };
    if !plan.unplanned.is_empty() {
        text += &format!(
            " {} without a plan.",
            count(plan.unplanned.len(), "inlet", "inlets")
        );
    }
    if !plan.open.is_empty() {
        text += &format!(
            " {} for want of facts; that is not a pass.",
            count(
                plan.open.len(),
                "point is not decided",
                "points are not decided"
            )
        );
    }
    if !written.is_empty() {
        let files: Vec<&str> = written.iter().map(String::as_str).collect();
        text += &format!(" Written into {}, as `state: to-fit`.", few(&files));
    }
    text
}
