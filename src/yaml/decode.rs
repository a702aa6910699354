//! Bytes of a file to text.

use std::sync::Arc;

use super::Problem;
use crate::source::{FileId, Span};

/// The text of a file, byte for byte: offsets in it are offsets in the file.
///
/// A byte-order mark stays. Each byte that is not UTF-8 becomes `?`, so that the rest can still be
/// read; the problem has the range of the first such run. A file in UTF-16 or UTF-32 is named as
/// such and becomes blanks: nothing in it could be read.
pub fn decode_text(file: FileId, bytes: Vec<u8>) -> (Arc<str>, Option<Problem>) {
    if let Some(encoding) = wide_encoding(&bytes) {
        let problem = wide_problem(file, encoding, bytes.len());
        return (" ".repeat(bytes.len()).into(), Some(problem));
    }
    match String::from_utf8(bytes) {
        Ok(text) => (text.into(), None),
        Err(error) => replace_bad_bytes(file, error.as_bytes()),
    }
}

fn replace_bad_bytes(file: FileId, bytes: &[u8]) -> (Arc<str>, Option<Problem>) {
    let mut text = String::with_capacity(bytes.len());
    let mut first = None;
    let mut bad = 0;
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        let lo = text.len();
        text.extend(chunk.invalid().iter().map(|_| '?'));
        bad += chunk.invalid().len();
        if first.is_none() && lo < text.len() {
            first = Some(Span::new(file, lo, text.len()));
        }
    }
    let problem = first.map(|span| Problem {
        span,
        message: format!(
            "The file is not saved as UTF-8: {bad} {} cannot be read, the first here.",
            if bad == 1 { "byte" } else { "bytes" }
        ),
        advice: "Retype the letters shown as '?' and save the file with the encoding UTF-8."
            .to_owned(),
        related: None,
    });
    (text.into(), problem)
}

/// The encoding by the first bytes, as YAML 1.2.2 (5.2) tells them apart.
fn wide_encoding(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0, 0, 0xfe, 0xff, ..] | [0, 0, 0, _, ..] => Some("UTF-32"),
        [0xff, 0xfe, 0, 0, ..] | [_, 0, 0, 0, ..] => Some("UTF-32"),
        [0xfe, 0xff, ..] | [0xff, 0xfe, ..] => Some("UTF-16"),
        [0, byte, ..] | [byte, 0, ..] if *byte != 0 => Some("UTF-16"),
        _ => None,
    }
}

fn wide_problem(file: FileId, encoding: &str, len: usize) -> Problem {
    Problem {
        span: Span::new(file, 0, len.min(2)),
        message: format!("The file is saved as {encoding}, so nothing in it could be read."),
        advice: "Save the file again with the encoding UTF-8.".to_owned(),
        related: None,
    }
}
