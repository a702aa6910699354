//! Paths as parts of URIs (RFC 3986).

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_encode_byte, utf8_percent_encode};

/// All but the unreserved characters and the slashes.
const IN_A_PATH: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'/')
    .remove(b'-')
    .remove(b'.')
    .remove(b'_')
    .remove(b'~');

/// A path as the path of a URI: the unreserved characters and the slashes stay, the rest is
/// percent-encoded.
pub fn encoded(path: &str) -> String {
    utf8_percent_encode(path, IN_A_PATH).to_string()
}

/// Whether every `%` of a URI stands before two hexadecimal digits; a library would pass others over.
pub fn is_encoded_well(uri: &str) -> bool {
    let is_hex =
        |rest: &str| rest.len() >= 2 && rest.as_bytes()[..2].iter().all(u8::is_ascii_hexdigit);
    uri.split('%').skip(1).all(is_hex)
}

/// Adds a character, percent-encoded whatever it is.
pub(super) fn percent(c: char, to: &mut String) {
    let mut bytes = [0; 4];
    let bytes = c.encode_utf8(&mut bytes).as_bytes();
    to.extend(bytes.iter().map(|&byte| percent_encode_byte(byte)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unreserved_characters_and_slashes_stay() {
        assert_eq!(encoded("a-b/c_d.e~f"), "a-b/c_d.e~f");
        assert_eq!(encoded("100 %/ø?#:"), "100%20%25/%C3%B8%3F%23%3A");
    }

    #[test]
    fn every_percent_sign_needs_two_digits() {
        for uri in ["", "a%2Fb", "%c3%B8"] {
            assert!(is_encoded_well(uri), "{uri}");
        }
        for uri in ["%", "%2", "a%zz", "%+f", "%2%20", "%é"] {
            assert!(!is_encoded_well(uri), "{uri}");
        }
    }
}
