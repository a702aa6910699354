//! What an element may carry is one answer: trace, load schedule, drawing and hover give the same limit,
//! kind and margin of every element, and they say of it what the check says.

mod by_hand;

use std::collections::{BTreeMap, BTreeSet};

use cordwright::analysis::Analysis;
use cordwright::drawing::{self, Marks, Shape};
use cordwright::editor::{OpenSite, Task};
use cordwright::finding::{Finding, Verdict};
use cordwright::graph::{ElementId, ElementKind};
use cordwright::ink::Markdown;
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::policy::Policy;
use cordwright::rules;
use cordwright::schedule::{self, Kind};
use rayon::prelude::*;
use regex::Regex;
use serde_json::Value;

use crate::catalogue::plant;
use crate::dice::Dice;
use crate::mistakes;
use crate::site::{Files, read, today};
use crate::sound::layout::write;
use crate::world::World;

/// Sites that are tried, if the environment does not ask for more.
const SITES: u64 = 48;

fn sites() -> u64 {
    std::env::var("CORDWRIGHT_LIMITS").map_or(SITES, |sites| sites.parse().unwrap())
}

/// The rules that hold a current against what an element may carry.
const OVERLOADS: [&str; 10] = [
    "bank-overloaded",
    "circuit-overloaded",
    "line-overloaded",
    "failover-overloaded",
    "supply-overloaded",
    "neutral-overloaded",
    "coupler-overloaded",
    "coupler-in-hot-air",
    "conductor-underrated",
    "splitter-overloaded",
];

/// A sound site; with a mistake in it; with loads several times as large; with a fact left out or damaged.
fn site(seed: u64) -> Files {
    let mut dice = Dice::new(seed.wrapping_add(0x11_317));
    let sound = crate::sound::site(seed);
    let mutators = mistakes::all();
    let planted = (0..12).find_map(|_| {
        let mutator = mutators[dice.below(mutators.len())];
        plant(mutator, &sound, seed).map(|(site, _)| site)
    });
    let planted = planted.filter(|_| !seed.is_multiple_of(4)).unwrap_or(sound);
    let mut files: Files = write(&planted, seed).files.into_iter().collect();
    if seed % 3 == 1 {
        let times = 2 + dice.below(4);
        let draw = Regex::new(r"draw: (\d+) (V?A|W)").unwrap();
        for (_, text) in &mut files {
            let grown = draw.replace_all(text, |found: &regex::Captures<'_>| {
                let number: usize = found[1].parse().unwrap();
                format!("draw: {} {}", number * times, &found[2])
            });
            *text = grown.into_owned();
        }
    }
    if seed % 2 == 1 {
        for _ in 0..1 + dice.below(3) {
            damage(&mut files, &mut dice);
        }
    }
    files
}

/// A fact that a limit or a load rests on is left out, or cannot be read any more.
fn damage(files: &mut Files, dice: &mut Dice) {
    let keys = "draw|rating|conductor|ambient|breaker|power-factor|plug|connector|insulation|practice|capacity|continuous|continuous-load|fuse|cordage";
    let fact = Regex::new(&format!(r"\b({keys}): [^,{{}}\[\]\n]+(, |\n)")).unwrap();
    let places: Vec<_> = files
        .iter()
        .enumerate()
        .flat_map(|(file, (_, text))| {
            let found = fact.find_iter(text).map(move |found| (file, found.range()));
            found.collect::<Vec<_>>()
        })
        .collect();
    if places.is_empty() {
        return;
    }
    let (file, range) = places[dice.below(places.len())].clone();
    let text = &mut files[file].1;
    let (key, _) = text[range.clone()].split_once(':').unwrap();
    let end = if text[range.clone()].ends_with('\n') {
        "\n"
    } else {
        ", "
    };
    let other = format!("{key}: never mind{end}");
    text.replace_range(range, &other);
}

#[test]
fn every_output_gives_the_same_limit_and_says_what_the_check_says() {
    let tried: Vec<Tried> = (0..sites()).into_par_iter().map(tried).collect();
    let wrong: Vec<&String> = tried.iter().flat_map(|tried| &tried.wrong).collect();
    assert!(
        wrong.is_empty(),
        "{} in all, the first:\n{}",
        wrong.len(),
        wrong
            .iter()
            .take(12)
            .map(|wrong| wrong.as_str())
            .collect::<Vec<_>>()
            .join("\n")
    );
    // And the sites are such that there is something to disagree about.
    let of = |judged: &str| {
        tried
            .iter()
            .map(|tried| tried.judged[judged])
            .sum::<usize>()
    };
    let (within, above, open) = (of(""), of("above"), of("not decided"));
    assert!(
        within > 500 && above > 30 && open > 30,
        "{within} {above} {open}"
    );
}

/// What came of one site.
#[derive(Default)]
struct Tried {
    wrong: Vec<String>,
    judged: BTreeMap<String, usize>,
}

fn tried(seed: u64) -> Tried {
    let files = site(seed);
    let site = read(&files);
    let analysis = site.analysis(today());
    let outcome = rules::run(&analysis, &[Policy::of(&site.model)], |_| true);
    let hops = traced(&files, &analysis);
    let mut tried = Tried::default();
    for judged in ["", "above", "not decided"] {
        tried.judged.insert(judged.to_owned(), 0);
    }
    let mut wrong = |id: ElementId, what: String| {
        let name = analysis.describe(id);
        tried.wrong.push(format!(
            "seed {seed}: {name}: {what}\n{}",
            brief(&hops[&id])
        ));
    };
    for (id, what) in scheduled(&analysis, &hops) {
        wrong(id, what);
    }
    for (id, what) in drawn(&analysis, &hops) {
        wrong(id, what);
    }
    for (id, what) in elevated(&analysis, &hops) {
        wrong(id, what);
    }
    for (id, what) in hovered(&files, &analysis, &hops) {
        wrong(id, what);
    }
    for (id, what) in checked(&analysis, &outcome.findings, &hops) {
        wrong(id, what);
    }
    for hop in hops.values() {
        *tried
            .judged
            .entry(hop["judged"].as_str().unwrap().to_owned())
            .or_default() += 1;
    }
    tried
}

/// What there is to see of a hop that is wrong.
fn brief(hop: &Value) -> String {
    let keys = [
        "limit",
        "limit_kind",
        "limit_percent",
        "limit_amperes",
        "worst_amperes",
        "more_may_flow",
        "limits_untold",
        "judged",
    ];
    let shown = keys.map(|key| format!("{key} {}", hop[key]));
    format!("    {}", shown.join(", "))
}

type Hops = BTreeMap<ElementId, Value>;
type Wrong = Vec<(ElementId, String)>;

/// The hop of every element, as `trace` of its supply writes it.
fn traced(files: &Files, analysis: &Analysis<'_>) -> Hops {
    let files: Vec<(&str, &str)> = files
        .iter()
        .map(|(path, text)| (&**path, &**text))
        .collect();
    let world = World::with(&files);
    let by_name: BTreeMap<String, ElementId> = analysis
        .graph
        .elements()
        .map(|(id, _)| (analysis.describe(id), id))
        .collect();
    let mut hops = Hops::new();
    let heads = analysis
        .graph
        .elements()
        .filter(|(_, element)| element.feeder.is_none());
    for (head, _) in heads {
        let name = analysis.name(head).value.as_str();
        let ended = world.run(&["trace", name, "--format", "json"]);
        let json: Value = serde_json::from_str(&ended.output).unwrap();
        for hop in json["traces"][0]["paths"][0]["hops"].as_array().unwrap() {
            hops.insert(by_name[hop["what"].as_str().unwrap()], hop.clone());
        }
    }
    assert_eq!(hops.len(), analysis.graph.len());
    hops
}

fn scheduled(analysis: &Analysis<'_>, hops: &Hops) -> Wrong {
    let table = schedule::schedule(analysis, Kind::Loads);
    let columns: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
    let rows = table.rows.iter().map(|row| {
        columns
            .iter()
            .copied()
            .zip(row.iter().map(String::as_str))
            .collect::<BTreeMap<_, _>>()
    });
    let rows: Vec<BTreeMap<&str, &str>> = rows.collect();
    let mut wrong = Wrong::new();
    for (&id, hop) in hops {
        let name = analysis.describe(id);
        for row in rows
            .iter()
            .filter(|row| row["what"] == name && row["unit"] == "A")
        {
            let on = match row["pole"].contains('-') {
                true => hop,
                false => {
                    let currents = hop["currents"].as_array().unwrap();
                    currents
                        .iter()
                        .find(|on| on["pole"] == row["pole"])
                        .unwrap()
                }
            };
            let told = on["limit_amperes"]
                .as_f64()
                .map(|limit| format!("{limit:.2}"));
            let own = row["limit"]
                .trim_start_matches("≤ ")
                .trim_start_matches('?');
            if own != told.clone().unwrap_or_default() {
                wrong.push((id, format!("limit {own:?} is scheduled, {told:?} traced")));
            }
            let (said, is_above) = match row["limit of"].strip_prefix("above: ") {
                Some(said) => (said, true),
                None => (row["limit of"], false),
            };
            if on["limit"].is_string()
                && !said.ends_with(kind_words(on).trim_start_matches(" % of"))
            {
                wrong.push((id, format!("limit of {said:?} is scheduled")));
            }
            let known = on["margin_amperes"].as_f64();
            let left = known.or(on["margin_at_most_amperes"].as_f64());
            let (mark, number) = match row["margin"].strip_prefix("≤ ") {
                Some(number) => (true, number),
                None => (false, row["margin"]),
            };
            let is_same = match left {
                // Both are rounded.
                Some(left) => {
                    let own: f64 = number.parse().unwrap_or(f64::NAN);
                    (own - left).abs() < 0.006 && mark == known.is_none()
                }
                None => ["", "?"].contains(&number),
            };
            if !is_same {
                wrong.push((
                    id,
                    format!("margin {} is scheduled, {left:?} traced", row["margin"]),
                ));
            }
            if analysis.delivery(id).is_none() && is_above != (on["judged"] == "above") {
                wrong.push((id, format!("{said} is scheduled, {} traced", on["judged"])));
            }
        }
    }
    wrong
}

/// A number as it is shown to people: three digits at the least.
fn is_near(shown: &str, number: f64) -> bool {
    let unit = if shown.contains("mA") { 1e-3 } else { 1.0 };
    let digits: String = shown
        .replace('−', "-")
        .chars()
        .filter(|c| c.is_ascii_digit() || ".-".contains(*c))
        .collect();
    let value = digits.parse::<f64>().unwrap_or(f64::NAN) * unit;
    (value - number).abs() <= 0.006 * number.abs().max(0.01)
}

/// The words for a margin, with its number: `at most 2.1 A to spare`.
fn says_margin(text: &str, hop: &Value) -> bool {
    let (left, is_bound) = match (
        hop["margin_amperes"].as_f64(),
        hop["margin_at_most_amperes"].as_f64(),
    ) {
        (Some(left), _) => (left, false),
        (None, Some(left)) => (left, true),
        (None, None) => return !text.contains("to spare") || text.contains("is not known"),
    };
    let words = match (left < 0.0, is_bound) {
        (true, false) => r"(?:^|, )([\d.]+ m?A) above it",
        (true, true) => r"at least ([\d.]+ m?A) above it",
        (false, false) => r"(?:^|, )([\d.]+ m?A) to spare",
        (false, true) => r"at most ([\d.]+ m?A) to spare",
    };
    let found = Regex::new(words).unwrap().captures(text);
    found.is_some_and(|found| is_near(&found[1], left.abs()))
}

fn kind_words(hop: &Value) -> String {
    let percent = hop["limit_percent"].as_f64().unwrap();
    let share = if percent == 100.0 { "" } else { " % of " };
    format!(
        "{share}{}, {}",
        hop["limit"].as_str().unwrap(),
        hop["limit_kind"].as_str().unwrap()
    )
}

fn drawn(analysis: &Analysis<'_>, hops: &Hops) -> Wrong {
    let sheet = drawing::single_line(analysis, &Marks::default(), None);
    let words = sheet.shapes.iter().filter_map(|shape| match shape {
        Shape::Words(_, words, ..) if words != "~" => Some(words.as_str()),
        _ => None,
    });
    let words: Vec<&str> = words.collect();
    assert_eq!(words.len(), 2 * hops.len(), "a title and facts for each");
    let mut wrong = Wrong::new();
    let of = Regex::new(r" of (?:≤ )?([\d.]+ m?A) \(").unwrap();
    for ((&id, hop), facts) in hops.iter().zip(words.chunks(2)) {
        if analysis.delivery(id).is_some() {
            continue;
        }
        let facts = facts[1];
        let says = hop["limit_amperes"].as_f64().is_none_or(|limit| {
            let found = of.captures(facts);
            found.is_some_and(|found| is_near(&found[1], limit)) && facts.contains(&kind_words(hop))
        });
        let is_known = hop["worst_amperes"].is_number();
        if is_known && !(says && says_margin(facts, hop)) {
            wrong.push((id, format!("drawn as {facts:?}")));
        }
        let is_above = facts.contains("above it");
        if is_known && is_above != (hop["judged"] == "above") {
            wrong.push((
                id,
                format!("drawn as {facts:?}, traced as {}", hop["judged"]),
            ));
        }
    }
    wrong
}

/// A strip that stands in a rack is marked where its input or one of its banks is above its limit.
fn elevated(analysis: &Analysis<'_>, hops: &Hops) -> Wrong {
    let sheet = drawing::racks(analysis, &Marks::default());
    let words = sheet.shapes.iter().filter_map(|shape| match shape {
        Shape::Words(_, words, ..) | Shape::Upright(_, words, _) => Some(words.as_str()),
        _ => None,
    });
    let words: Vec<&str> = words.collect();
    let mut wrong = Wrong::new();
    for (&id, hop) in hops {
        let name = analysis.name(id).value.as_str();
        let strip = words
            .iter()
            .find(|words| words.split(' ').next() == Some(name));
        let Some(strip) = strip.filter(|_| matches!(analysis.graph.kind(id), ElementKind::Pdu(_)))
        else {
            continue;
        };
        let banks = analysis.graph.children(id);
        let mut banks =
            banks.filter(|at| matches!(analysis.graph.kind(*at), ElementKind::Bank(..)));
        let is_above =
            hop["judged"] == "above" || banks.any(|bank| hops[&bank]["judged"] == "above");
        if is_above != strip.contains("above its limit") {
            wrong.push((id, format!("drawn in its rack as {strip:?}")));
        }
    }
    wrong
}

fn hovered(files: &Files, analysis: &Analysis<'_>, hops: &Hops) -> Wrong {
    let files = files
        .iter()
        .map(|(path, text)| (path.clone(), text.clone().into_bytes()));
    let mut files: Vec<_> = files.collect();
    files.sort();
    let input = SiteInput {
        files,
        ..SiteInput::default()
    };
    let whole = Task::read(input, &[], Settings::on(today())).judge(|| true);
    let open = OpenSite::new(whole.unwrap());
    let mut wrong = Wrong::new();
    for (&id, hop) in hops {
        let kind = analysis.graph.kind(id);
        // Banks and legs are written in models, which many share.
        if !matches!(
            kind,
            ElementKind::Circuit(_) | ElementKind::Pdu(_) | ElementKind::Cord(_)
        ) {
            continue;
        }
        let span = analysis.name(id).span;
        let hover = open.hover::<Markdown>(span.file, span.lo as usize, today());
        let Some(hover) = hover else {
            wrong.push((id, "there is no hover".to_owned()));
            continue;
        };
        let text = hover.text.as_str().replace(['*', '\\'], "");
        let line = text.lines().find_map(|line| line.strip_prefix("- limit "));
        let says = hop["limit_amperes"].as_f64().is_none_or(|limit| {
            line.is_some_and(|line| is_near(line.split(", ").next().unwrap_or(""), limit))
                && text.contains(&kind_words(hop))
        });
        let left = line
            .and_then(|line| line.split_once(", "))
            .map_or("", |(_, left)| left);
        if !says || (hop["limit_amperes"].is_number() && !says_margin(left, hop)) {
            wrong.push((id, format!("hovers as\n{text}")));
        }
    }
    wrong
}

/// What the check says of elements, held against what the outputs say.
fn checked(analysis: &Analysis<'_>, findings: &[Finding], hops: &Hops) -> Wrong {
    let fuse_too_small =
        |finding: &&Finding| finding.rule == "plug-fuse" && finding.kind == "small";
    let ours = findings
        .iter()
        .filter(|finding| OVERLOADS.contains(&finding.rule) || fuse_too_small(finding));
    let ours: Vec<&Finding> = ours.collect();
    let broken = ours
        .iter()
        .filter(|finding| finding.verdict == Verdict::Broken);
    let broken: BTreeSet<&str> = broken
        .flat_map(|finding| &finding.about)
        .map(|name| &**name)
        .collect();
    let open = ours
        .iter()
        .filter(|finding| finding.verdict == Verdict::Open);
    let open: Vec<&&Finding> = open.collect();
    let mut wrong = Wrong::new();
    for (&id, hop) in hops {
        let name = analysis.full_name(id);
        // A cord's connector is judged with what it is pushed on.
        let behind = analysis
            .graph
            .children(id)
            .map(|child| analysis.full_name(child));
        let behind: Vec<_> = behind.collect();
        let is_at = |name: &str| broken.contains(name);
        let is_cord = matches!(
            analysis.graph.kind(id),
            ElementKind::Cord(_) | ElementKind::Leg(..)
        );
        let found = is_at(&name) || (is_cord && behind.iter().any(|name| is_at(name)));
        let is_bank = matches!(analysis.graph.kind(id), ElementKind::Bank(..));
        let judged = hop["judged"].as_str().unwrap();
        if is_at(&name) && judged != "above" {
            wrong.push((
                id,
                format!("the check finds it overloaded, shown as {judged:?}"),
            ));
        }
        if judged == "above" && !found {
            wrong.push((
                id,
                "shown as above its limit, and the check is silent".to_owned(),
            ));
        }
        if judged == "not decided" && !is_told_of(analysis, id, findings) {
            wrong.push((
                id,
                "shown as not decided, and the check is silent".to_owned(),
            ));
        }
        let device = analysis.flows.unknown_below(id);
        let device = device.map(|device| analysis.model.devices[device].name.value.as_str());
        let is_open = device.is_some_and(|device| {
            open.iter()
                .any(|finding| finding.about.iter().any(|about| *about == *device))
        });
        if is_open && judged.is_empty() && hop["limit"].is_string() {
            wrong.push((
                id,
                "a load below is open, and it is shown as in order".to_owned(),
            ));
        }
        let whole = analysis.whole(id);
        let lacks = open.iter().any(|finding| {
            let is_about = finding.about.contains(&name);
            let is_limit = ["limit-missing", "capacity", "rating"].contains(&finding.kind);
            let is_part = ["coupler-in-hot-air", "conductor-underrated"].contains(&finding.rule);
            (is_about && is_limit) || (is_part && !is_bank && finding.sufferers.contains(whole))
        });
        // What is told of a splitter is of one of its parts.
        let cord = |id| match analysis.graph.kind(id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => Some(cord),
            _ => None,
        };
        let is_part = |other: &ElementId| cord(id).is_some() && cord(id) == cord(*other);
        let mut parts = hops
            .iter()
            .filter(|(other, _)| **other == id || is_part(other));
        if lacks && parts.all(|(_, hop)| hop["judged"] == "") {
            wrong.push((
                id,
                "its limit is open, and it is shown as in order".to_owned(),
            ));
        }
    }
    wrong
}

/// Whether a load below an element, or a fact of its own limits, is told of as missing or unreadable.
fn is_told_of(analysis: &Analysis<'_>, id: ElementId, findings: &[Finding]) -> bool {
    let (model, links) = (analysis.model, &analysis.graph.links);
    let mut names = BTreeSet::from([
        analysis.full_name(id),
        analysis.whole(id).clone(),
        "site".into(),
    ]);
    for at in analysis.graph.below(id).map(ElementId) {
        if let ElementKind::Cord(cord) | ElementKind::Leg(cord, _) = analysis.graph.kind(at) {
            names.insert(model.cords[cord].name.value.clone());
        }
        if let Some(device) = analysis.device_fed_by(at) {
            names.insert(model.devices[device].name.value.clone());
            let kind = links.device_models[device.index()];
            names.extend(kind.map(|kind| model.device_models[kind].name.value.clone()));
        }
    }
    names.extend(
        analysis
            .flows
            .unknown_below(id)
            .map(|device| model.devices[device].name.value.clone()),
    );
    for at in analysis.graph.upwards(id) {
        match analysis.graph.kind(at) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                let kind = links.cord_types[cord.index()];
                names.extend(kind.map(|kind| model.cord_types[kind].name.value.clone()));
            }
            ElementKind::Pdu(pdu) | ElementKind::Bank(pdu, _) => {
                let kind = links.pdu_models[pdu.index()];
                names.extend(kind.map(|kind| model.pdu_models[kind].name.value.clone()));
            }
            ElementKind::Circuit(circuit) => {
                names.insert(model.circuits[circuit].name.value.clone());
            }
            ElementKind::Supply(_) => {}
        }
    }
    names.extend(model.zones.names().map(|name| name.value.clone()));
    findings.iter().any(|finding| {
        let told = finding.about.iter().chain(&finding.sufferers);
        told.into_iter().any(|name| names.contains(name))
    })
}
