//! Degrees of protection by enclosures, as marked: `IP54`, `IPX4`.

use std::fmt;

use serde_json::{Value, json};

use crate::yaml::NodeId;

use super::decode::{Decode, Reader};
use super::text::clip;

/// A degree of protection of IEC 60529.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ingress {
    /// The first digit: against things that are put in. `None` where the mark has an X for it.
    pub solids: Option<u8>,
    /// The second digit: against water. `None` where the mark has an X for it, which says nothing.
    pub water: Option<u8>,
}

impl Ingress {
    /// Whether it keeps splashing water out: a second digit of 4 or more.
    pub fn keeps_splashes_out(self) -> bool {
        self.water.is_some_and(|water| water >= 4)
    }

    /// `IP` and the digits 0 to 6 and 0 to 9 or an X for either; letters that may follow say nothing
    /// of water.
    fn read(text: &str) -> Option<Self> {
        let digits = text.strip_prefix("IP")?.as_bytes();
        let (&[solids, water], letters) = digits.split_first_chunk()?;
        let is_known = matches!(solids, b'0'..=b'6' | b'X') && matches!(water, b'0'..=b'9' | b'X');
        let rest = match letters {
            [b'A'..=b'D', rest @ ..] | rest => rest,
        };
        let ends_well = matches!(rest, [] | [b'H' | b'M' | b'S' | b'W']);
        (is_known && ends_well).then(|| Self {
            solids: solids.is_ascii_digit().then(|| solids - b'0'),
            water: water.is_ascii_digit().then(|| water - b'0'),
        })
    }
}

impl fmt::Display for Ingress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digit =
            |digit: Option<u8>| digit.map_or_else(|| "X".to_owned(), |digit| digit.to_string());
        write!(f, "IP{}{}", digit(self.solids), digit(self.water))
    }
}

impl Decode for Ingress {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "a degree of protection like IP54")?;
        let found = Self::read(text);
        if found.is_none() {
            let headline = format!("`{}` is not a degree of protection", clip(text));
            let advice = "Write it as it is marked, like IP54 or IPX4.";
            reader.bad(reader.tree.span(node), headline, advice.into());
        }
        found
    }

    fn schema() -> Value {
        json!({
            "type": "string",
            "pattern": "^IP[0-6X][0-9X][A-D]?[HMSW]?$",
            "examples": ["IP54", "IPX4"],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_digit_speaks_of_water() {
        let water = |text| Ingress::read(text).map(|degree| degree.water);
        assert_eq!(water("IP54"), Some(Some(4)));
        assert_eq!(water("IPX4"), Some(Some(4)));
        assert_eq!(water("IP4X"), Some(None));
        assert_eq!(water("IP23CS"), Some(Some(3)));
        assert_eq!(water("IP44W"), Some(Some(4)));
        for wrong in [
            "", "IP", "IP5", "54", "ip54", "IP75", "IP545", "IP54 ", "IP54WC",
        ] {
            assert_eq!(water(wrong), None, "{wrong}");
        }
        let splash = |text| Ingress::read(text).unwrap().keeps_splashes_out();
        assert!(splash("IP44") && splash("IP67"));
        assert!(!splash("IP43") && !splash("IP5X"));
    }
}
