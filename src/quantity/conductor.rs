//! Conductor sizes in the two systems, and the areas that compare them.

use std::cmp::Ordering;
use std::f64::consts::PI;
use std::fmt;

use super::dimension::Dimension;
use super::misread::{Misread, quote};
use super::reading::{self, Wanted};
use super::scalar::Scalar;
use super::{Area, Form, Quantity, form, square_millimetres};

/// The size of a conductor as it is marked: the two systems are never interchangeable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ConductorSize {
    /// Nominal cross-section of IEC 60228.
    Metric(Area),
    /// American Wire Gauge (ASTM B258); 1/0 is 0, 2/0 is -1.
    Awg(i8),
}

/// The thinnest gauge read (0.05 mm²); thinner is no conductor of a power circuit (common practice).
const THINNEST_GAUGE: i8 = 30;

impl ConductorSize {
    /// The cross-section of copper; for a gauge that of the solid round wire.
    ///
    /// A gauge n has the diameter 0.127 mm × 92^((36 − n) / 39) (ASTM B258, computed).
    pub fn area(&self) -> Area {
        match self {
            Self::Metric(area) => *area,
            Self::Awg(gauge) => {
                let diameter = 0.127 * 92f64.powf((36.0 - f64::from(*gauge)) / 39.0);
                square_millimetres(PI / 4.0 * diameter * diameter)
            }
        }
    }

    /// Which of two sizes has the more copper.
    pub fn cmp_area(&self, other: &Self) -> Ordering {
        self.area().value.total_cmp(&other.area().value)
    }
}

impl fmt::Display for ConductorSize {
    /// As it is marked: `1.5 mm²`, `18 AWG`, `1/0 AWG`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Metric(area) => f.write_str(&area.show()),
            Self::Awg(gauge) if *gauge < 1 => write!(f, "{}/0 AWG", 1 - i16::from(*gauge)),
            Self::Awg(gauge) => write!(f, "{gauge} AWG"),
        }
    }
}

impl Quantity for ConductorSize {
    const WHAT: &'static str = "a conductor size";
    const EXAMPLE: &'static str = "1.5 mm²";

    fn read(text: &str) -> Result<Self, Misread> {
        let wanted = Wanted {
            what: Self::WHAT,
            example: "1.5 mm² or 14 AWG",
            dimensions: &[Dimension::Area],
            besides: Some("AWG"),
        };
        match gauge_number(text.trim()) {
            Some((number, tidy)) => read_gauge(text, number, tidy),
            None => reading::read(text, &wanted).map(|(area, _)| Self::Metric(Area::from_si(area))),
        }
    }

    fn form() -> Form {
        let area = form::with_unit(&[Dimension::Area]);
        let gauge = "(?:[1-4]/0|[0-9]|[12][0-9]|30)";
        let either = format!(r"(?:{area}|{gauge}\s*AWG|AWG\s*{gauge})");
        Form {
            words: "Cross-section of one conductor in mm², or its gauge in AWG.".to_owned(),
            pattern: form::whole(&either),
            examples: vec!["1.5 mm²", "18 AWG", "1/0 AWG"],
        }
        .above_zero()
    }

    fn show(&self) -> String {
        self.to_string()
    }
}

/// What stands beside `AWG`, before or after it, and whether the letters are right.
fn gauge_number(bare: &str) -> Option<(&str, bool)> {
    let capitals = bare.to_ascii_uppercase();
    let (letters, number) = if capitals.starts_with("AWG") {
        bare.split_at(3)
    } else if capitals.ends_with("AWG") {
        let (number, letters) = bare.split_at(bare.len() - 3);
        (letters, number)
    } else {
        return None;
    };
    Some((number.trim(), letters == "AWG"))
}

fn read_gauge(text: &str, number: &str, tidy: bool) -> Result<ConductorSize, Misread> {
    let Some(gauge) = gauge(number) else {
        return Err(Misread::of_all(
            text,
            format!("{} is no wire gauge", quote(text)),
            format!(
                "Gauges run in whole numbers from {THINNEST_GAUGE} AWG up to 1 AWG, then 1/0, 2/0, 3/0 and 4/0 AWG. \
                 Larger conductors are given in mm²."
            ),
        ));
    };
    let size = ConductorSize::Awg(gauge);
    let zeros = number.len() > 1 && number.starts_with('0');
    if tidy && !zeros && !number.starts_with('#') {
        return Ok(size);
    }
    let right = size.show();
    Err(Misread::of_all(
        text,
        format!("{} is not how a gauge is written here", quote(text)),
        format!("Write {right}."),
    )
    .with_replacement(Some(right)))
}

/// The gauge of `18`, `1/0`, and of the spellings `00` and `#18` that are read only to correct them.
fn gauge(number: &str) -> Option<i8> {
    let number = number.strip_prefix('#').unwrap_or(number);
    match number {
        "0" | "1/0" => return Some(0),
        "00" | "2/0" => return Some(-1),
        "000" | "3/0" => return Some(-2),
        "0000" | "4/0" => return Some(-3),
        _ => {}
    }
    let plain = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    let gauge = plain.then(|| number.parse().ok()).flatten()?;
    (1..=THINNEST_GAUGE).contains(&gauge).then_some(gauge)
}

#[cfg(test)]
mod tests {
    use super::super::InUnits;
    use super::*;

    /// The areas tabulated in ASTM B258, to the last digit given.
    #[test]
    fn gauges_have_the_areas_of_the_standard() {
        for (gauge, square_millimetres) in [
            (18, 0.8230),
            (17, 1.0378),
            (16, 1.3087),
            (15, 1.6502),
            (14, 2.0809),
            (13, 2.6240),
            (12, 3.3088),
            (11, 4.1723),
            (10, 5.2612),
            (9, 6.6342),
            (8, 8.3656),
            (7, 10.549),
            (6, 13.302),
        ] {
            let area = ConductorSize::Awg(gauge).area().in_square_millimetres();
            let half_last_digit = if square_millimetres < 10.0 {
                5e-5
            } else {
                5e-4
            };
            assert!(
                (area - square_millimetres).abs() <= half_last_digit,
                "{gauge}: {area}"
            );
        }
        // ASTM B258: 4/0 is 0.4600 inches across, the other fixed point of the system.
        let diameter = (ConductorSize::Awg(-3).area().in_square_millimetres() * 4.0 / PI).sqrt();
        assert!((diameter - 0.46 * 25.4).abs() < 1e-3);
    }

    #[test]
    fn sizes_compare_by_copper() {
        let size = |text| ConductorSize::read(text).unwrap();
        for (smaller, larger) in [
            ("0.75 mm²", "18 AWG"),
            ("18 AWG", "1.0 mm²"),
            ("14 AWG", "2.5 mm²"),
            ("1 AWG", "1/0 AWG"),
        ] {
            assert_eq!(size(smaller).cmp_area(&size(larger)), Ordering::Less);
        }
    }

    #[test]
    fn both_systems_are_read_and_shown() {
        for (text, shown) in [
            ("1.5 mm²", "1.5 mm²"),
            ("1.0mm2", "1 mm²"),
            ("2.5 mm^2", "2.5 mm²"),
            ("2.5 sq mm", "2.5 mm²"),
            ("2.5sqmm", "2.5 mm²"),
            ("2.5 ㎟", "2.5 mm²"),
            ("18 AWG", "18 AWG"),
            ("AWG 18", "18 AWG"),
            ("AWG18", "18 AWG"),
            ("1/0 AWG", "1/0 AWG"),
            ("AWG 4/0", "4/0 AWG"),
            ("0 AWG", "1/0 AWG"),
        ] {
            let size = ConductorSize::read(text).unwrap();
            assert_eq!(size.show(), shown);
            assert_eq!(ConductorSize::read(&size.show()), Ok(size));
        }
    }

    #[test]
    fn what_is_no_size_is_not_read() {
        for (text, replacement) in [
            ("18 awg", Some("18 AWG")),
            ("00 AWG", Some("2/0 AWG")),
            ("#18 AWG", Some("18 AWG")),
            ("1,5 mm²", Some("1.5 mm²")),
            ("1.5 sq. mm", Some("1.5 mm²")),
            ("1.5 SQMM", Some("1.5 mm²")),
            ("14", None),
            ("18.5 AWG", None),
            ("31 AWG", None),
            ("-1 AWG", None),
            ("5/0 AWG", None),
            ("AWG", None),
            ("AWG 18 AWG", None),
            ("2.5 mm", None),
            ("250 kcmil", None),
            ("0 mm²", None),
            ("2000 mm²", None),
        ] {
            let misread = ConductorSize::read(text).unwrap_err();
            assert_eq!(
                misread.replacement.as_deref(),
                replacement,
                "{text}: {misread:?}"
            );
        }
        let bare = ConductorSize::read("14").unwrap_err().advice;
        assert!(bare.contains("14 mm² or 14 AWG"), "{bare}");
    }
}
