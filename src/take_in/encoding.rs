//! The bytes of a spreadsheet that was saved as text, as text.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// A text, and how it was read.
pub(super) struct Decoded {
    pub text: String,
    /// What had to be guessed, or got lost.
    pub notes: Vec<String>,
}

/// The text of a file, in the encoding that is named, or else that it shows.
///
/// # Errors
/// Why it is no text.
pub(super) fn decoded(
    bytes: &[u8],
    named: Option<&'static Encoding>,
) -> Result<Decoded, &'static str> {
    if bytes.starts_with(&[0xff, 0xfe, 0, 0]) || bytes.starts_with(&[0, 0, 0xfe, 0xff]) {
        return Err("the file is saved as UTF-32, so nothing in it could be read");
    }
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return Ok(read(bytes.get(mark..).unwrap_or_default(), encoding));
    }
    if let Some(encoding) = named {
        return Ok(read(bytes, encoding));
    }
    if let Some(encoding) = half_zeros(bytes) {
        return Ok(read(bytes, encoding));
    }
    let zero = bytes.iter().position(|byte| *byte == 0);
    let is_utf_8 = std::str::from_utf8(bytes).is_ok();
    // One among the cells does no harm; beside bytes that are no letters it shows that this is no text.
    if zero.is_some_and(|at| !is_utf_8 || at < 4) {
        return Err("the file is not text, so nothing in it could be read");
    }
    if is_utf_8 {
        return Ok(read(bytes, UTF_8));
    }
    let mut read = read(bytes, WINDOWS_1252);
    read.notes.push(
        "The file does not say in which encoding it is saved, and it is no UTF-8: it is read as Windows-1252, which is a guess. Look at the letters that are not English; where they are wrong, name another in a mapping file: `encoding: windows-1251`."
            .to_owned(),
    );
    Ok(read)
}

fn read(bytes: &[u8], encoding: &'static Encoding) -> Decoded {
    let (text, has_lost) = encoding.decode_without_bom_handling(bytes);
    let lost = has_lost.then(|| {
        format!(
            "Some bytes mean nothing in {}: they are shown as \u{fffd}.",
            encoding.name()
        )
    });
    Decoded {
        text: text.into_owned(),
        notes: lost.into_iter().collect(),
    }
}

/// UTF-16 without its mark, by the zeros in every second place; a text of any length of our letters has
/// nearly only such pairs.
fn half_zeros(bytes: &[u8]) -> Option<&'static Encoding> {
    let head = bytes.get(..400).unwrap_or(bytes);
    let zeros = |from: usize| {
        let each = head.iter().skip(from).step_by(2);
        each.filter(|byte| **byte == 0).count() * 4
    };
    match (zeros(0), zeros(1)) {
        (0, some) if some > head.len() => Some(UTF_16LE),
        (some, 0) if some > head.len() => Some(UTF_16BE),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf_16(text: &str, unit: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(unit).collect()
    }

    #[test]
    fn a_text_is_read_in_the_encodings_that_spreadsheets_save_it_in() {
        let text = "Länge;Gerät\n1,5;µ-1\n";
        let marked = format!("\u{feff}{text}");
        let latin: Vec<u8> = text.chars().map(|c| u32::from(c) as u8).collect();
        for (bytes, notes) in [
            (text.as_bytes().to_vec(), 0),
            (marked.as_bytes().to_vec(), 0),
            (utf_16(text, u16::to_le_bytes), 0),
            (utf_16(text, u16::to_be_bytes), 0),
            (utf_16(&marked, u16::to_le_bytes), 0),
            (utf_16(&marked, u16::to_be_bytes), 0),
            (latin.clone(), 1),
        ] {
            let Ok(read) = decoded(&bytes, None) else {
                panic!("{bytes:?}");
            };
            assert_eq!((&*read.text, read.notes.len()), (text, notes), "{bytes:?}");
        }
        // Whoever names the encoding has not guessed.
        let read = decoded(&latin, Some(WINDOWS_1252)).ok();
        assert!(read.is_some_and(|read| read.text == text && read.notes.is_empty()));
    }

    #[test]
    fn what_is_no_text_is_refused() {
        for bytes in [
            &[0xff, 0xfe, 0, 0, 65, 0, 0, 0][..],
            b"PK\x03\x04\0\0\xff",
            b"a,b\0c\n",
        ] {
            assert!(decoded(bytes, None).is_err(), "{bytes:?}");
        }
        assert!(decoded(b"", None).is_ok());
    }
}
