//! Messages on the wire: lines that say how many bytes follow, an empty line, and so many bytes.
//!
//! Whatever stands there, no more is held than a message may have. Where the next message begins
//! cannot be told any more once a length cannot be read: then the talk is over.

use std::io::{self, BufRead, ErrorKind, Read, Write};

use serde::Serialize;

/// Bytes of a message. The largest text that is read has as many, and an editor sends one that changes
/// a part of it only.
const MOST_BYTES: u64 = 64 << 20;
/// Bytes of the lines before a message.
const MOST_HEADER_BYTES: u64 = 4 << 10;

/// The bytes of the next message; `None` where there is an end in its place.
///
/// # Errors
/// Why it cannot be told where the next message begins, in plain words.
pub(super) fn read(from: &mut impl BufRead) -> Result<Option<Vec<u8>>, String> {
    let Some(length) = length(&mut from.take(MOST_HEADER_BYTES))? else {
        return Ok(None);
    };
    if length > MOST_BYTES {
        return Err(format!(
            "a message of {length} bytes was announced, and {MOST_BYTES} are taken at most"
        ));
    }
    // Memory is taken as the bytes arrive, not as they are announced.
    let mut body = Vec::new();
    let read = from.take(length).read_to_end(&mut body);
    read.map_err(|error| format!("a message cannot be read: {error}"))?;
    match body.len() as u64 == length {
        true => Ok(Some(body)),
        false => Err("it ended in the middle of a message".to_owned()),
    }
}

/// The length that the lines before a message tell.
fn length(header: &mut impl BufRead) -> Result<Option<u64>, String> {
    let mut length = None;
    let mut is_first = true;
    loop {
        let mut line = String::new();
        match header.read_line(&mut line) {
            Ok(0) if is_first => return Ok(None),
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::InvalidData => {
                return Err("the lines before a message are no text".to_owned());
            }
            Err(error) => return Err(format!("nothing can be read: {error}")),
        }
        is_first = false;
        let Some(line) = line.strip_suffix('\n') else {
            let what = "the lines before a message break off, or are longer than 4096 bytes";
            return Err(what.to_owned());
        };
        let line = line.strip_suffix('\r').unwrap_or(line);
        if line.is_empty() {
            let what = "the lines before a message do not tell its length";
            return length.ok_or_else(|| what.to_owned()).map(Some);
        }
        let Some((name, value)) = line.split_once(':') else {
            return Err("a line before a message has no colon".to_owned());
        };
        if name.trim().eq_ignore_ascii_case("Content-Length") {
            let what = "the length of a message is no number of bytes";
            length = Some(value.trim().parse().map_err(|_| what.to_owned())?);
        }
    }
}

/// Writes a message.
///
/// # Errors
/// The system's own: the editor may be gone.
pub(super) fn write(to: &mut impl Write, message: &impl Serialize) -> io::Result<()> {
    let body = serde_json::to_vec(message)?;
    write!(to, "Content-Length: {}\r\n\r\n", body.len())?;
    to.write_all(&body)?;
    to.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_all(mut text: &[u8]) -> Result<Vec<Vec<u8>>, String> {
        let mut bodies = Vec::new();
        while let Some(body) = read(&mut text)? {
            bodies.push(body);
        }
        Ok(bodies)
    }

    #[test]
    fn messages_come_one_after_the_other() {
        let text = b"Content-Length: 2\r\n\r\n{}content-length:3\r\nContent-Type: x\r\n\r\n[1]";
        assert_eq!(read_all(text).unwrap(), [b"{}".to_vec(), b"[1]".to_vec()]);
        assert_eq!(read_all(b"").unwrap(), Vec::<Vec<u8>>::new());
        let mut written = Vec::new();
        write(&mut written, &serde_json::json!({"é": 1})).unwrap();
        assert_eq!(read_all(&written).unwrap(), ["{\"é\":1}".as_bytes()]);
    }

    #[test]
    fn what_hides_where_the_next_message_begins_ends_the_talk() {
        let endless = b"X".repeat(1 << 20);
        for (text, why) in [
            (
                b"Content-Length: 99999999999\r\n\r\n{}".as_slice(),
                "99999999999 bytes",
            ),
            (
                b"Content-Length: 99999999999999999999999\r\n\r\n",
                "no number",
            ),
            (b"Content-Length: -1\r\n\r\n", "no number"),
            (b"Content-Length: 3\r\n\r\n{}", "in the middle"),
            (b"Content-Length 3\r\n\r\n{}", "no colon"),
            (b"Content-Type: x\r\n\r\n{}", "do not tell"),
            (b"Content-Len", "break off"),
            (b"\xff\xfe: 1\r\n", "no text"),
            (&endless, "longer than 4096"),
        ] {
            let told = read_all(text).unwrap_err();
            assert!(told.contains(why), "{told}");
        }
    }
}
