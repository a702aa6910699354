//! Bytes of a file to text.

use std::sync::Arc;

use super::Problem;
use crate::source::{FileId, Span};

/// The text of a file, byte for byte: offsets in it are offsets in the file.
///
/// A byte-order mark stays. Each byte that is not UTF-8 becomes `?`, so that the rest can still be
/// read; the problem has the range of the first such run. A file in UTF-16 or UTF-32 is named as
/// such, and one that is no text is named so; both become blanks: nothing in them could be read.
pub fn decode_text(file: FileId, bytes: Vec<u8>) -> (Arc<str>, Option<Problem>) {
    let whole = wide_encoding(&bytes)
        .map(|encoding| wide_problem(file, encoding, bytes.len()))
        .or_else(|| Some(no_text(file, first_of_no_text(&bytes)?)));
    if let Some(problem) = whole {
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

/// The encoding by the first bytes, as YAML 1.2.2 (5.2) tells them apart, if the others are a text in
/// it: what begins like one by chance is none.
fn wide_encoding(bytes: &[u8]) -> Option<&'static str> {
    let (encoding, is_text) = match bytes {
        [0, 0, 0xfe, 0xff, ..] | [0, 0, 0, _, ..] => ("UTF-32", is_wide(bytes, u32::from_be_bytes)),
        [0xff, 0xfe, 0, 0, ..] | [_, 0, 0, 0, ..] => ("UTF-32", is_wide(bytes, u32::from_le_bytes)),
        [0xfe, 0xff, ..] | [0, ..] => ("UTF-16", is_half_wide(bytes, u16::from_be_bytes)),
        [0xff, 0xfe, ..] | [_, 0, ..] => ("UTF-16", is_half_wide(bytes, u16::from_le_bytes)),
        _ => return None,
    };
    is_text.then_some(encoding)
}

fn is_wide(bytes: &[u8], unit: fn([u8; 4]) -> u32) -> bool {
    let (units, _) = bytes.as_chunks();
    let mut units = units.iter().map(|bytes| char::from_u32(unit(*bytes)));
    units.all(|c| c.is_some_and(is_of_text))
}

fn is_half_wide(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> bool {
    let (units, _) = bytes.as_chunks();
    let units = units.iter().map(|bytes| unit(*bytes));
    char::decode_utf16(units).all(|c| c.is_ok_and(is_of_text))
}

fn is_of_text(c: char) -> bool {
    !c.is_control() || c.is_whitespace()
}

/// Where a file that is no text shows it: one that begins with a zero byte or has one beside bytes
/// that are not UTF-8. Without one, such bytes are letters of an older encoding.
fn first_of_no_text(bytes: &[u8]) -> Option<usize> {
    let zero = bytes.iter().position(|byte| *byte == 0)?;
    match std::str::from_utf8(bytes) {
        Err(error) => Some(error.valid_up_to().min(zero)),
        Ok(_) => (zero < 4).then_some(zero),
    }
}

fn no_text(file: FileId, at: usize) -> Problem {
    Problem {
        span: Span::new(file, at, at + 1),
        message: "The file is not text, so nothing in it could be read.".to_owned(),
        advice: "Put the text back that belongs here, or take the file out of the site.".to_owned(),
        related: None,
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
