//! Findings → edits → text.

use std::collections::BTreeMap;

use cordwright::finding::Edit;
use cordwright::input::SiteInput;
use cordwright::judgement::FileRead;
use cordwright::remedy::{Remedies, remedies};
use cordwright::source::{FileId, Sources};

use super::laid_out::{files, settings, site};

/// What is written can be read again, has lost none of its things, and differs in nothing but the edits.
pub fn run(bytes: &[u8]) {
    let remedies = remedies(site(bytes), &BTreeMap::new(), &settings());
    let corrections = remedies
        .corrections
        .iter()
        .flat_map(|correction| &correction.edits);
    let corrected = edited(&remedies.sources, corrections);
    for (_, source) in remedies.corrected.iter() {
        assert_eq!(source.text.as_ref(), corrected[&source.path], "corrected");
    }
    let refits = remedies.refits.iter().flat_map(|refit| &refit.edits);
    let wanted = edited(&remedies.corrected, refits);
    let before = files(bytes);
    for (path, text) in &remedies.changed {
        assert_eq!(text, &wanted[path], "nothing besides the edits");
        let read = |bytes: Vec<u8>| FileRead::new(FileId(0), path.clone(), bytes);
        let (old, new) = (read(before[path].clone()), read(text.clone().into_bytes()));
        assert_eq!(new.broken, None, "{text}");
        // The name of a section may have been put right, and then there are more.
        let kept = things(&old).into_iter().zip(things(&new));
        assert!(kept.into_iter().all(|(old, new)| old <= new), "{text}");
        let is_of_windows = |text: &str| !text.replace("\r\n", "").contains('\n');
        assert_eq!(
            is_of_windows(&old.source.text),
            is_of_windows(text),
            "{text:?}"
        );
    }
    assert_settled(&remedies, bytes);
}

/// The texts with the edits made, by means of our own: each byte outside an edit is copied.
fn edited<'a>(
    sources: &Sources,
    edits: impl Iterator<Item = &'a Edit>,
) -> BTreeMap<String, String> {
    let mut edits: Vec<&Edit> = edits.collect();
    edits.sort();
    edits.dedup();
    let texts = sources.iter().map(|(id, source)| {
        let (mut text, mut done) = (String::new(), 0);
        for edit in edits.iter().filter(|edit| edit.span.file == id) {
            let range = edit.span.range();
            assert!(done <= range.start, "two edits of the same bytes");
            text += &source.text[done..range.start];
            text += &edit.text;
            done = range.end;
        }
        (source.path.clone(), text + &source.text[done..])
    });
    texts.collect()
}

/// How many things of each kind a file defines.
fn things(read: &FileRead) -> [usize; 11] {
    let sections = read.fragment.sections();
    [
        sections.zones.len(),
        sections.racks.len(),
        sections.supplies.len(),
        sections.circuits.len(),
        sections.pdu_models.len(),
        sections.pdus.len(),
        sections.device_models.len(),
        sections.devices.len(),
        sections.cord_types.len(),
        sections.cords.len(),
        sections.departures.len(),
    ]
}

/// As deep as definitions lie within each other, and as cords are tried.
const MOST_ROUNDS: usize = 8;

/// Writing comes to an end.
fn assert_settled(first: &Remedies, bytes: &[u8]) {
    if first.changed.is_empty() {
        return;
    }
    let mut files = files(bytes);
    let mut changed = first.changed.clone();
    // What was corrected may bring to light what is behind it.
    for _ in 0..MOST_ROUNDS {
        if changed.is_empty() {
            return;
        }
        for (path, text) in changed {
            files.insert(path, text.into_bytes());
        }
        let input = SiteInput {
            files: files.clone().into_iter().collect(),
            ..SiteInput::default()
        };
        changed = remedies(input, &BTreeMap::new(), &settings()).changed;
    }
    panic!("written without end: {changed:?}");
}
