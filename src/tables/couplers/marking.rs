//! National names with what the part is marked with behind them: `KS C 8305 16 A 250 V`, `IS 1293:2019 6 A`.
//!
//! Such a name is read where one coupler of its standard has that marking, and only one.

use super::{Coupler, Earth, Family, spelling};
use crate::quantity::InUnits;

/// A name in its parts.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Marking {
    /// What stands before the marking, folded, without the year of an edition; empty where there is neither.
    pub base: String,
    amperes: Option<f64>,
    volts: Option<f64>,
    /// Poles without the earth, and whether there is one.
    poles: Option<(u8, bool)>,
}

/// How poles are marked; `T` is the earth in the Romance languages.
const POLES: [(&str, (u8, bool)); 12] = [
    ("2P+PE", (2, true)),
    ("2P+E", (2, true)),
    ("2P+T", (2, true)),
    ("2P", (2, false)),
    ("3P+N+PE", (4, true)),
    ("3P+N+E", (4, true)),
    ("3P+N+T", (4, true)),
    ("3P+N", (4, false)),
    ("3P+PE", (3, true)),
    ("3P+E", (3, true)),
    ("3P+T", (3, true)),
    ("3P", (3, false)),
];

/// What may stand between the parts of a marking.
const JOINTS: [char; 6] = [' ', ',', ';', '/', '-', '_'];

impl Marking {
    /// The parts of a name with a marking; each kind may stand once.
    pub fn of(text: &str) -> Self {
        let mut marking = Self::default();
        if text.chars().nth(spelling::LONGEST).is_some() {
            return marking;
        }
        let capitals = text.trim().to_ascii_uppercase();
        let mut rest = capitals.as_str();
        while let Some(before) = marking.taken(rest) {
            rest = before.trim_end_matches(JOINTS);
        }
        let bare = without_year(rest);
        if bare != capitals {
            marking.base = spelling::folded(bare);
        }
        marking
    }

    /// What stands before the last part, if that is one that was not yet met.
    fn taken<'t>(&mut self, text: &'t str) -> Option<&'t str> {
        let poles = POLES.iter().find_map(|(word, poles)| {
            let before = text.strip_suffix(word)?;
            (before.is_empty() || before.ends_with(JOINTS)).then_some((before, *poles))
        });
        if let Some((before, poles)) = poles {
            return is_first(&mut self.poles, poles).then_some(before);
        }
        let (slot, bare) = match text.strip_suffix('A') {
            Some(bare) => (&mut self.amperes, bare),
            None => (
                &mut self.volts,
                text.trim_end_matches('~').trim_end().strip_suffix('V')?,
            ),
        };
        let bare = bare.trim_end();
        let before = bare.trim_end_matches(|letter: char| letter.is_ascii_digit() || letter == '.');
        let number = bare[before.len()..].parse().ok()?;
        let is_apart = before.ends_with(JOINTS);
        (is_apart && is_first(slot, number)).then_some(before)
    }

    /// Whether all that is written is true of the plain part.
    fn agrees(&self, coupler: &Coupler) -> bool {
        let current = coupler.iec.current.as_ref();
        let amperes = current.map(|current| current.value.in_amperes());
        let volts = coupler.voltage.as_ref();
        let volts = volts.map(|volts| volts.value.highest.in_volts());
        let poles = (coupler.poles.count(), coupler.earth == Earth::Contact);
        let is_named = coupler.earth != Earth::NotNamed;
        self.amperes.is_none_or(|written| amperes == Some(written))
            && self.volts.is_none_or(|written| volts == Some(written))
            && self
                .poles
                .is_none_or(|written| is_named && written == poles)
    }
}

/// Writes a part down, unless one of its kind was met.
fn is_first<T>(slot: &mut Option<T>, part: T) -> bool {
    let is_first = slot.is_none();
    slot.get_or_insert(part);
    is_first
}

/// `IS 1293:2019` and `GB 2099.1-2008` without the year.
fn without_year(text: &str) -> &str {
    let Some(at) = text
        .len()
        .checked_sub(5)
        .filter(|at| text.is_char_boundary(*at))
    else {
        return text;
    };
    let (before, year) = text.split_at(at);
    let (joint, digits) = (year.chars().next(), year.get(1..).unwrap_or_default());
    let is_year = matches!(joint, Some(':' | '-'))
        && digits.bytes().all(|digit| digit.is_ascii_digit())
        && (digits.starts_with("19") || digits.starts_with("20"));
    match is_year {
        true => before,
        false => text,
    }
}

/// The bases of a coupler's names, folded.
pub(super) fn bases(coupler: &Coupler) -> impl Iterator<Item = String> + '_ {
    written_bases(coupler).map(|base| spelling::folded(&base))
}

/// The names of a coupler without the marking that stands in them.
pub(super) fn written_bases(coupler: &Coupler) -> impl Iterator<Item = String> + '_ {
    let is_national = coupler.family == Family::National;
    let names = coupler.aliases.iter().chain([&coupler.name]);
    let names = names.filter(move |_| is_national);
    names.map(|name| {
        let mut rest = name.as_str();
        let mut marking = Marking::default();
        while let Some(before) = marking.taken(rest) {
            rest = before.trim_end_matches(JOINTS);
        }
        rest.to_owned()
    })
}

impl Marking {
    /// Of the couplers of its base those that it may mean: `plain` if that has the marking, as the base alone
    /// means it; else all that have it.
    pub fn meant<'c>(
        &self,
        of_base: impl Iterator<Item = &'c Coupler>,
        plain: Option<&'c Coupler>,
    ) -> Vec<&'c Coupler> {
        match plain {
            Some(plain) if self.agrees(plain) => vec![plain],
            _ => of_base.filter(|one| self.agrees(one)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{CATALOGUE, find};
    use super::*;

    #[test]
    fn a_marking_is_parted_from_the_name() {
        for (text, base, amperes, volts, poles) in [
            (
                "KS C 8305 16 A 250 V",
                "KSC8305",
                Some(16.0),
                Some(250.0),
                None,
            ),
            ("CEE 7/7 16A/250V~", "CEE7/7", Some(16.0), Some(250.0), None),
            ("IS 1293:2019 2.5 A", "IS1293", Some(2.5), None, None),
            (
                "NBR 14136 10 A 2P+T",
                "NBR14136",
                Some(10.0),
                None,
                Some((2, true)),
            ),
            ("BS 1363/A", "", None, None, None),
            ("16 A", "", None, None, None),
            ("C 16 A 10 A", "C16A", Some(10.0), None, None),
        ] {
            let marking = Marking::of(text);
            let parts = (marking.amperes, marking.volts, marking.poles);
            assert_eq!(
                (marking.base.as_str(), parts),
                (base, (amperes, volts, poles)),
                "{text}"
            );
        }
    }

    #[test]
    fn a_name_is_read_with_the_marking_that_it_alone_has() {
        for (text, name) in [
            ("CEE 7/7 16 A", Some("CEE 7/7")),
            ("CEE 7/7 10 A", None),
            ("CEE 7/16 2P 2.5 A 250 V", Some("CEE 7/16")),
            ("BS 1363 13 A 250 V", Some("BS 1363")),
            ("bs1363 13a", Some("BS 1363")),
            ("SI 32 16 A", Some("SI 32")),
            ("SI 32 10 A", None),
            ("KS C 8305 16 A 250 V", Some("KS C 8305")),
            ("NBR 14136 10 A 2P+T", Some("NBR 14136 10 A")),
            ("NBR 14136 20A 250V", Some("NBR 14136 20 A")),
            ("IS 1293:2019 6 A", Some("IS 1293 6 A")),
            ("IS 1293:2019", Some("IS 1293 6 A")),
            ("GB 2099.1-2008 10 A", Some("GB 2099.1 10 A")),
            ("GB/T 1002 10 A", Some("GB 2099.1 10 A")),
            ("AS/NZS 3112:2017 10 A 250 V", Some("AS/NZS 3112 10 A")),
            ("T13 10 A", Some("SN 441011 T13")),
            ("JIS C 8303 15 A 125 V 2P+E", Some("JIS C 8303 2P+E")),
            ("JIS C 8303 15A 125V", Some("JIS C 8303")),
            ("JIS C 8303 15 A 250 V", None),
            ("JIS C 8303 15 A 110 V 2P+E", None),
            ("NEMA 5-15 15 A", None),
            ("250 V", None),
            ("", None),
        ] {
            let found = find(text).map(|coupler| coupler.name.as_str());
            assert_eq!(found, name, "{text}");
        }
    }

    #[test]
    fn of_several_all_are_told() {
        let meant = CATALOGUE.marked("JIS C 8303 15 A 250 V 2P");
        assert_eq!(meant.len(), 1);
        let meant = CATALOGUE.marked("JIS C 8303 15 A 250 V");
        assert_eq!(meant.len(), 4);
    }
}
