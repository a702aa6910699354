//! A site that is edited, against the same texts judged from the start.

use cordwright::editor::{OpenSite, Task};
use cordwright::finding::Finding;
use cordwright::ink::Markdown;
use cordwright::input::SiteInput;
use cordwright::source::FileId;

use super::laid_out::{MOST_BYTES, assert_places, files, settings, whole_char};

/// Stands before each edit.
pub const EDIT: &[u8] = b"\n@@@";
/// More edits of one site only take time.
const MOST_EDITS: usize = 12;

/// A site, and edits of it: each a byte for the file, two for the place, one for how many bytes go,
/// and the text that comes there. What is shown once the whole is judged is what a judgement of the
/// same texts from the start finds.
pub fn run(bytes: &[u8]) {
    let bytes = &bytes[..bytes.len().min(MOST_BYTES)];
    let mut parts = split(bytes).into_iter();
    let files = files(parts.next().unwrap_or_default()).into_iter();
    // What an editor has open is text; that a file on disk is none is seen when it is read.
    let texts = files.map(|(path, bytes)| (path, String::from_utf8_lossy(&bytes).into()));
    let mut site = open(
        texts
            .map(|(path, text): (_, String)| (path, text.into_bytes()))
            .collect(),
    );
    for part in parts.take(MOST_EDITS) {
        edit(&mut site, part);
    }
    if !site.is_settled() {
        let whole = site.task(settings()).judge(|| true).expect("not given up");
        assert!(whole.crashed.is_empty(), "{:?}", whole.crashed);
        site.take(whole).expect("nobody has typed since");
    }
    assert_same(&site);
}

/// What stands between the marks.
pub fn split(bytes: &[u8]) -> Vec<&[u8]> {
    let mut parts = Vec::new();
    let mut rest = bytes;
    while let Some(at) = rest.windows(EDIT.len()).position(|window| window == EDIT) {
        parts.push(&rest[..at + 1]);
        rest = &rest[at + EDIT.len()..];
    }
    parts.push(rest);
    parts
}

fn open(files: Vec<(String, Vec<u8>)>) -> OpenSite {
    let input = SiteInput {
        files,
        ..SiteInput::default()
    };
    let whole = Task::read(input, &[], settings())
        .judge(|| true)
        .expect("not given up");
    assert!(whole.crashed.is_empty(), "{:?}", whole.crashed);
    OpenSite::new(whole)
}

fn edit(site: &mut OpenSite, part: &[u8]) {
    let [file, high, low, length, new @ ..] = part else {
        return;
    };
    let id = FileId((usize::from(*file) % site.files().len()) as u32);
    let text = site.source(id).text.to_string();
    let lo = usize::from(u16::from_be_bytes([*high, *low])) % (text.len() + 1);
    let lo = whole_char(&text, lo);
    let hi = whole_char(&text, lo + usize::from(*length));
    let new = String::from_utf8_lossy(new);
    let step = site.edit(id, &[&text[..lo], &new, &text[hi..]].concat());
    ask(site, id, lo + new.len());
    for file in step.files {
        assert!((file.0 as usize) < site.files().len());
    }
    for file in site.files() {
        for finding in site.findings(file.id()) {
            for (place, _) in finding.places() {
                let text = &site.source(place.span.file).text;
                assert!(place.span.range().end <= text.len(), "{finding:?}");
            }
        }
    }
    if site.is_settled() {
        assert_same(site);
    }
}

/// Everything that an editor asks of a place.
fn ask(site: &OpenSite, id: FileId, byte: usize) {
    site.hover::<Markdown>(id, byte, settings().today);
    site.offers(id, byte);
    if let Some(target) = site.target(id, byte) {
        site.definitions(&target);
        site.references(&target, true);
    }
    if let Ok(target) = site.may_rename(id, byte) {
        // That a name is taken, or cannot be written there, is said; it must not break down.
        let _ = site.rename(&target, "other-1");
    }
    for finding in site.findings(id).take(4) {
        site.fixes(finding);
    }
}

/// While a file cannot be read, its last good text counts, and of one that is no text there are only
/// bytes: then there is nothing to compare with.
fn assert_same(site: &OpenSite) {
    if site
        .files()
        .iter()
        .any(|file| !file.unreadable().is_empty())
        || shown(site).iter().any(|f| f.rule == "unreadable-file")
    {
        return;
    }
    let files = site.files().iter().map(|file| {
        let now = file.now();
        (now.path.clone(), now.text.as_bytes().to_vec())
    });
    let fresh = open(files.collect());
    let (shown, wanted) = (shown(site), shown(&fresh));
    for finding in &shown {
        assert_places(&fresh.whole().site.sources, finding);
    }
    let missing: Vec<_> = wanted.iter().filter(|f| !shown.contains(f)).collect();
    let surplus: Vec<_> = shown.iter().filter(|f| !wanted.contains(f)).collect();
    assert!(
        missing.is_empty() && surplus.is_empty(),
        "missing {missing:#?}, surplus {surplus:#?}"
    );
}

fn shown(site: &OpenSite) -> Vec<Finding> {
    let files = site.files().iter();
    files
        .flat_map(|file| site.findings(file.id()).cloned())
        .collect()
}
