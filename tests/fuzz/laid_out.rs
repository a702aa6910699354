//! The files of a site as one run of bytes, and what is asked of all of them.

use std::collections::BTreeMap;

use cordwright::date::Date;
use cordwright::finding::Finding;
use cordwright::input::{SITE_FILE, SiteInput};
use cordwright::judgement::{Judgement, Settings, judge};
use cordwright::source::Sources;

/// Begins the line with the path of a file; what stands before the first is the site's own file.
pub const FILE: &str = "=== ";
/// More bytes than this only take time: large sites have tests of their own.
pub const MOST_BYTES: usize = 32 << 10;

/// The start of the character that a byte belongs to; the end of the text where it is shorter.
pub fn whole_char(text: &str, byte: usize) -> usize {
    let byte = byte.min(text.len());
    let mut starts = (0..=byte).rev();
    starts.find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

/// All rules, on a day that is always the same.
pub fn settings() -> Settings {
    Settings::on(Date::new(2026, 11, 25).expect("a day"))
}

/// The files that are written one behind the other; of two with the same path the later counts.
pub fn files(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut path = SITE_FILE.to_owned();
    let mut text: Vec<u8> = Vec::new();
    for line in bytes[..bytes.len().min(MOST_BYTES)].split_inclusive(|byte| *byte == b'\n') {
        match line.strip_prefix(FILE.as_bytes()) {
            Some(name) => {
                files.insert(path, std::mem::take(&mut text));
                path = String::from_utf8_lossy(name.trim_ascii()).into_owned();
            }
            None => text.extend_from_slice(line),
        }
    }
    files.insert(path, text);
    files
}

/// The site that they make.
pub fn site(bytes: &[u8]) -> SiteInput {
    SiteInput {
        files: files(bytes).into_iter().collect(),
        ..SiteInput::default()
    }
}

/// The site, judged by all rules, none of which may break down.
pub fn judged(input: SiteInput) -> Judgement {
    let judgement = judge(input, &settings());
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

/// All that was found: what stands, what is known, and what has been agreed to deviate.
pub fn found(judgement: &Judgement) -> impl Iterator<Item = &Finding> {
    let known = judgement.known.iter().map(|known| &known.finding);
    let departed = judgement.departed.iter().map(|departed| &departed.finding);
    judgement.findings.iter().chain(known).chain(departed)
}

/// Every place of a finding, and every edit, lies in its file's text and cuts no character.
pub fn assert_places(sources: &Sources, finding: &Finding) {
    let places = finding.places().map(|(place, _)| place.span);
    let edits = finding.remedy.edits.iter().map(|edit| edit.span);
    for span in places.chain(edits) {
        let text = &sources.file(span.file).text;
        assert!(text.get(span.range()).is_some(), "{span:?} of {finding:?}");
    }
}
