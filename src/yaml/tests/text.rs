//! Bytes to text.

use super::super::decode_text;
use super::{FILE, parse};

#[test]
fn utf8_and_a_byte_order_mark_stay_as_they_are() {
    let bytes = "\u{feff}a: é\r\n".as_bytes();
    let (text, problem) = decode_text(FILE, bytes.to_vec());
    assert_eq!(text.as_bytes(), bytes);
    assert_eq!(problem, None);
}

#[test]
fn bytes_that_are_not_utf8_are_replaced_one_for_one() {
    let (text, problem) = decode_text(FILE, b"a: caf\xe9 x\nb: \xe2\x82\n".to_vec());
    assert_eq!(&*text, "a: caf? x\nb: ??\n");
    let problem = problem.unwrap();
    assert_eq!(problem.span.range(), 6..7);
    assert!(problem.message.contains("3 bytes"), "{}", problem.message);
    assert_eq!(parse(&text).1, []);
}

#[test]
fn wide_encodings_are_named_and_cause_no_further_problems() {
    let wide = |text: &str| {
        text.encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect::<Vec<_>>()
    };
    let big = "a: 1\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
    let widest = "a: 1\n".chars().flat_map(|c| u32::from(c).to_le_bytes());
    for (bytes, name) in [
        (wide("\u{feff}a: {\n"), "UTF-16"),
        (wide("a: {\n"), "UTF-16"),
        (big, "UTF-16"),
        (widest.collect(), "UTF-32"),
    ] {
        let len = bytes.len();
        let (text, problem) = decode_text(FILE, bytes);
        assert_eq!(text.len(), len);
        assert!(problem.unwrap().message.contains(name));
        assert_eq!(parse(&text).1, []);
    }
}

#[test]
fn a_file_that_is_no_text_is_not_taken_for_a_wide_encoding() {
    for (bytes, at) in [
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".as_slice(), 0),
        (b"\x7fELF\x02\x01\x01\0\0\0\xff", 7),
        (b"PK\x03\x04\x14\0\x08\0\xe9", 5),
        (b"\0asm\x01\0\0\0", 0),
        (b"a\0\x01\0", 1),
        // A surrogate without its other half, behind a mark.
        (b"\xff\xfea\0\0\xd8b\0", 0),
        (b"\xff\xfe\0\0\0\0\x11\0", 0),
    ] {
        let (text, problem) = decode_text(FILE, bytes.to_vec());
        assert_eq!(&*text, " ".repeat(bytes.len()), "{bytes:?}");
        let problem = problem.unwrap();
        assert!(
            problem.message.contains("not text"),
            "{bytes:?}: {problem:?}"
        );
        assert_eq!(problem.span.range(), at..at + 1, "{bytes:?}");
    }
    // A stray zero byte in a text is told where it stands, and what is before it is read.
    let (text, problem) = decode_text(FILE, b"a: 1\nb: \0\n".to_vec());
    assert_eq!((&*text, problem), ("a: 1\nb: \0\n", None));
    assert!(parse(&text).1[0].message.contains("U+0000"));
}
