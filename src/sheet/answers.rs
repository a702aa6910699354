//! A survey sheet on its way back: its answers, written into the definitions.

use std::collections::{BTreeMap, BTreeSet};

use crate::finding::{Edit, Fact, FactState, Finding, Verdict};
use crate::input::SiteInput;
use crate::judgement::{Settings, Site};
use crate::model::Model;
use crate::remedy::applied;
use crate::source::{FileId, Sources};
use crate::take_in::table::{Reading, Row, Table};

use super::missing::missing;
use super::{walk, write_in};

pub use crate::take_in::Remark;

/// What became of a sheet.
#[derive(Debug)]
pub struct Answered {
    /// The texts as they were read.
    pub sources: Sources,
    /// Files that the answers change, with their new text.
    pub changed: Vec<(String, String)>,
    /// The answers that writes, in the order of the rows.
    pub taken: Vec<TakenAnswer>,
    /// How the sheet was read, where that is worth telling.
    pub notes: Vec<String>,
    /// What was not taken, in the order of the rows.
    pub remarks: Vec<Remark>,
}

/// An answer that is taken.
#[derive(Debug)]
pub struct TakenAnswer {
    /// The fact that it is the answer to.
    pub fact: Fact,
    /// What was read.
    pub answer: String,
    /// The file of the thing, and the line that it or what stood there is on.
    pub place: (String, usize),
}

/// An answer: its row, the fact, and what was read.
pub(super) type Answer = (usize, Fact, String);

/// Writes the answers of a sheet into the texts of a site. Files that are `fixed`, each with the reason,
/// stay as they are. An answer that cannot be read where it stands then, or that somebody else has to
/// write by hand, is left out and told.
pub fn answered(
    input: SiteInput,
    fixed: &BTreeMap<String, String>,
    sheet: &[u8],
    settings: &Settings,
) -> Answered {
    let site = Site::read_within(input.clone(), &settings.budget);
    let Table {
        rows: all,
        mut notes,
        remarks: unread,
        shared,
    } = Table::read(sheet, Reading::default());
    let mut remarks = Vec::new();
    let (mut answers, mut asked) = (Vec::new(), Vec::new());
    if unread.is_empty() {
        match walk::answers(&site, settings.today, &all, &mut remarks) {
            Some((moved, note)) => {
                notes.push(note);
                answers = not_fixed(moved, (&site.sources, fixed), &mut remarks);
            }
            None => asked = rows(&all, &mut remarks),
        }
    }
    remarks.extend(unread);
    remarks.extend(shared.into_iter().map(|shared| shared.remark));
    let day_of_draw = days_of_draws(&site.model);
    let judged = site.judge(settings);
    let facts = by_words(&judged.findings);
    for Asked {
        row,
        thing,
        key,
        answer,
        day,
    } in asked
    {
        let Some(fact) = facts.get(&(thing.clone(), key.clone())) else {
            let what = format!("`{key}` of {thing} is not missing any more");
            remarks.push(Remark::of_row(
                row,
                what,
                "Look into the definitions; correct them by hand if this answer is another.",
            ));
            continue;
        };
        let path = &judged.sources.file(fact.span.file).path;
        if let Some(why) = fixed.get(path) {
            remarks.push(not_written(row, path, why));
            continue;
        }
        if let Some(measured) = day_of_draw.get(&fact.owner).filter(|_| key == "draw")
            && !day.is_empty()
        {
            answers.push((row, measured.clone(), day));
        }
        answers.push((row, (*fact).clone(), answer));
    }
    let before = prints(&judged.findings);
    let changed = settled(
        &judged.sources,
        &input,
        &before,
        settings,
        &mut answers,
        &mut remarks,
    );
    remarks.sort();
    remarks.dedup();
    let taken = answers.into_iter().map(|(_, fact, answer)| {
        let source = judged.sources.file(fact.span.file);
        let line = source.position_in_chars(fact.span.lo as usize).line;
        TakenAnswer {
            place: (source.path.clone(), line),
            fact,
            answer,
        }
    });
    Answered {
        taken: taken.collect(),
        sources: judged.sources,
        changed,
        notes,
        remarks,
    }
}

/// Those answers whose files may be written; the others are told.
fn not_fixed(
    answers: Vec<Answer>,
    (sources, fixed): (&Sources, &BTreeMap<String, String>),
    remarks: &mut Vec<Remark>,
) -> Vec<Answer> {
    let answers = answers.into_iter();
    let free = answers.filter(|(row, fact, _)| {
        let path = &sources.file(fact.span.file).path;
        let why = fixed.get(path);
        remarks.extend(why.map(|why| not_written(*row, path, why)));
        why.is_none()
    });
    free.collect()
}

fn not_written(row: usize, path: &str, why: &str) -> Remark {
    Remark::of_row(row, format!("{path} is not written"), why)
}

/// The place of the column with this heading.
pub(super) fn column(headings: &Row, name: &str) -> Option<usize> {
    let mut cells = headings.cells.iter();
    let named = cells.find(|(_, cell)| cell.text.eq_ignore_ascii_case(name));
    named.map(|(at, _)| *at)
}

/// A row that holds an answer.
struct Asked {
    row: usize,
    thing: String,
    key: String,
    answer: String,
    day: String,
}

fn rows(all: &[Row], remarks: &mut Vec<Remark>) -> Vec<Asked> {
    let (headings, rows) = all
        .split_first()
        .map_or((None, all), |(first, rest)| (Some(first), rest));
    let at = |name: &str| column(headings?, name);
    let (Some(thing), Some(key), Some(answer)) = (at("thing"), at("key"), at("answer")) else {
        remarks.push(Remark::of_row(
            1,
            "this is no survey sheet: the columns `thing`, `key` and `answer` are not all there",
            "Take the file that \"cordwright survey --format csv\" writes, with --rack or --all for what is found in the room, and leave its headings.",
        ));
        return Vec::new();
    };
    let day = at("day");
    let rows = rows.iter().map(|row| Asked {
        row: row.number,
        thing: row.text(thing).to_owned(),
        key: row.text(key).to_owned(),
        answer: row.text(answer).to_owned(),
        day: day.map_or("", |day| row.text(day)).to_owned(),
    });
    rows.filter(|asked| !asked.answer.is_empty()).collect()
}

/// What a sheet calls a fact: the thing, and the key.
type Words = (String, String);

fn words(fact: &Fact) -> Words {
    (fact.whose(), fact.full_key())
}

/// The facts that are missing, by the words that a sheet has for them.
fn by_words(findings: &[Finding]) -> BTreeMap<Words, Fact> {
    let facts = missing(findings).into_iter();
    facts
        .map(|missing| (words(&missing.fact), missing.fact))
        .collect()
}

/// Where the day of a device's draw stands, or should stand.
fn days_of_draws(model: &Model) -> BTreeMap<crate::model::value::Name, Fact> {
    let devices = model.devices.items().iter();
    devices
        .map(|device| {
            let fact = Fact::of(device, "measured", Some(&device.measured));
            (device.name.value.clone(), fact)
        })
        .collect()
}

fn prints(findings: &[Finding]) -> BTreeSet<String> {
    findings.iter().map(Finding::fingerprint).collect()
}

/// The changed texts, once every answer that is left can be read where it stands; the others are taken
/// out of the answers and told.
fn settled(
    sources: &Sources,
    input: &SiteInput,
    before: &BTreeSet<String>,
    settings: &Settings,
    answers: &mut Vec<Answer>,
    remarks: &mut Vec<Remark>,
) -> Vec<(String, String)> {
    loop {
        let (edits, refused) = edits(sources, answers);
        drop_refused(answers, &refused, remarks);
        if !refused.is_empty() {
            continue;
        }
        let changed = applied(sources, &edits);
        if changed.is_empty() {
            return changed;
        }
        let unsound = unsound(input, before, settings, &changed, answers);
        if unsound.is_empty() {
            return changed;
        }
        drop_refused(answers, &unsound, remarks);
    }
}

/// Why an answer is not taken, by its number among the answers.
type Refused = Vec<(usize, String)>;

fn edits(sources: &Sources, answers: &[Answer]) -> (Vec<Edit>, Refused) {
    let mut by_file: BTreeMap<FileId, Vec<(usize, &Fact, &str)>> = BTreeMap::new();
    for (number, (_, fact, answer)) in answers.iter().enumerate() {
        let own = by_file.entry(fact.span.file).or_default();
        own.push((number, fact, answer));
    }
    let (mut edits, mut refused) = (Vec::new(), Vec::new());
    for (file, answers) in by_file {
        let (own, not_written) = write_in::edits(sources.file(file), file, &answers);
        edits.extend(own);
        let not_written = not_written.into_iter();
        refused.extend(not_written.map(|(number, why)| (number, why.to_owned())));
    }
    (edits, refused)
}

/// Takes all answers of the rows of those that are refused out, and tells why.
fn drop_refused(answers: &mut Vec<Answer>, refused: &Refused, remarks: &mut Vec<Remark>) {
    let mut rows = BTreeSet::new();
    for (number, why) in refused {
        let (row, fact, _) = &answers[*number];
        remarks.push(Remark::of_row(*row, format!("{fact}: {why}"), like(fact)));
        rows.insert(*row);
    }
    answers.retain(|(row, ..)| !rows.contains(row));
}

fn like(fact: &Fact) -> String {
    match fact.asked().map(|asked| asked.like) {
        Some("") | None => "Write it into the definitions.".to_owned(),
        Some(like) => format!("Write it like `{like}`."),
    }
}

/// Answers that cannot be read where they stand, or by which the text is not what it was.
fn unsound(
    input: &SiteInput,
    before: &BTreeSet<String>,
    settings: &Settings,
    changed: &[(String, String)],
    answers: &[Answer],
) -> Refused {
    let input = input.clone().with_texts(changed);
    let site = Site::read_within(input, &settings.budget);
    // No rule asks for the day of a draw, and one that cannot be read must not be taken either.
    let days = days_of_draws(&site.model).into_values();
    let days = days.filter(|day| day.state != FactState::Written);
    let judged = site.judge(settings);
    let mut still: BTreeMap<Words, Fact> = by_words(&judged.findings);
    still.extend(days.map(|day| (words(&day), day)));
    let unread = answers
        .iter()
        .enumerate()
        .filter_map(|(number, (_, fact, _))| {
            let left = still.get(&words(fact))?;
            let why = match left.state {
                FactState::Absent => "it does not come to its place: write it by hand",
                FactState::Unreadable => "the answer cannot be read",
                FactState::Written => "the answer does not say enough",
            };
            Some((number, why.to_owned()))
        });
    let unread: Refused = unread.collect();
    if !unread.is_empty() {
        return unread;
    }
    // What is written may never be a fault of the writing.
    const OF_WRITING: [&str; 5] = [
        "unknown-key",
        "bad-quantity",
        "unreadable-file",
        "duplicate-name",
        "sight-lost",
    ];
    let faults = judged.findings.iter().filter(|finding| {
        finding.verdict == Verdict::Broken
            && OF_WRITING.contains(&finding.rule)
            && !before.contains(&finding.fingerprint())
    });
    match faults.map(|finding| finding.headline.clone()).next() {
        Some(fault) => (0..answers.len())
            .map(|number| (number, format!("as written here, {fault}")))
            .collect(),
        None => Vec::new(),
    }
}
