//! What conductors bear, typed anew from the standards and with the safe side taken where copies
//! differ: cords by BS 7671 Table 4F3A and 4F1A and by NEC Table 400.5(A)(1).

/// A conductor: its marking, its area in mm², and the amperes it bears in cords with two and with three
/// loaded conductors.
#[derive(Clone, Copy, Debug)]
pub struct Conductor {
    /// As written.
    pub marking: &'static str,
    /// In mm².
    pub area: f64,
    /// With two loaded conductors, in amperes.
    pub two: f64,
    /// With three loaded conductors, in amperes.
    pub three: f64,
}

const fn conductor(marking: &'static str, area: f64, two: f64, three: f64) -> Conductor {
    Conductor {
        marking,
        area,
        two,
        three,
    }
}

/// Metric sizes, rubber and plastic for 60 or 70 °C.
pub const METRIC: [Conductor; 8] = [
    conductor("0.75 mm²", 0.75, 6.0, 6.0),
    conductor("1.0 mm²", 1.0, 10.0, 10.0),
    conductor("1.5 mm²", 1.5, 16.0, 16.0),
    conductor("2.5 mm²", 2.5, 25.0, 20.0),
    conductor("4 mm²", 4.0, 32.0, 25.0),
    conductor("6 mm²", 6.0, 39.0, 34.0),
    conductor("10 mm²", 10.0, 51.0, 47.0),
    conductor("16 mm²", 16.0, 73.0, 63.0),
];

/// American sizes.
pub const GAUGES: [Conductor; 8] = [
    conductor("18 AWG", 0.823, 10.0, 7.0),
    conductor("16 AWG", 1.31, 13.0, 10.0),
    conductor("14 AWG", 2.08, 18.0, 15.0),
    conductor("12 AWG", 3.31, 25.0, 20.0),
    conductor("10 AWG", 5.26, 30.0, 25.0),
    conductor("8 AWG", 8.37, 40.0, 35.0),
    conductor("6 AWG", 13.3, 55.0, 45.0),
    conductor("4 AWG", 21.2, 70.0, 60.0),
];

/// Fixed wiring of two or three loaded conductors at 30 °C: PVC of 70 °C by IEC 60364-5-52 method B2,
/// and the largest device that NEC 240.4(D) and the 60 °C column allow.
pub const WIRING: [(&str, f64, f64); 6] = [
    ("2.5 mm²", 2.5, 20.0),
    ("4 mm²", 4.0, 27.0),
    ("6 mm²", 6.0, 34.0),
    ("10 mm²", 10.0, 46.0),
    ("16 mm²", 16.0, 62.0),
    ("25 mm²", 25.0, 80.0),
];

/// As [`WIRING`], American sizes.
pub const GAUGE_WIRING: [(&str, f64, f64); 6] = [
    ("14 AWG", 2.08, 15.0),
    ("12 AWG", 3.31, 20.0),
    ("10 AWG", 5.26, 30.0),
    ("8 AWG", 8.37, 40.0),
    ("6 AWG", 13.3, 55.0),
    ("4 AWG", 21.2, 70.0),
];

/// Share of its current that a cord bears in air of so many °C: the steeper of the tables, for 60 °C.
pub fn air_factor(celsius: f64) -> f64 {
    [(30.0, 1.0), (35.0, 0.91), (40.0, 0.82), (45.0, 0.71)]
        .into_iter()
        .find(|(upto, _)| celsius <= *upto)
        .map_or(0.5, |(_, factor)| factor)
}

/// Ohms of a metre of hot copper, one conductor of so many mm²: at the safe end.
pub fn ohms_per_metre(area: f64) -> f64 {
    0.0245 / area
}
