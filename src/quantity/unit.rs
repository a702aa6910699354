//! The units, how they are spelt, and which words people write instead.

use super::dimension::Dimension;

/// One unit of one dimension.
#[derive(Debug)]
pub(super) struct Unit {
    /// How it is written: `mm²`.
    pub sign: &'static str,
    /// What else is read: `mm2`.
    pub also: &'static [&'static str],
    /// Words that mean it but are not read, in lower case: offered as a correction.
    pub words: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// How many SI units one of it is, as a fraction: 30 mA is then the same number as 0.03 A, to the last bit.
    pub factor: (f64, f64),
    /// Where its zero lies, in SI units: only temperatures have one.
    pub zero: f64,
    /// Whether nobody gives a thousandth of one: what looks like it may be thousands.
    pub is_counted_whole: bool,
}

impl Unit {
    const fn new(sign: &'static str, dimension: Dimension, factor: (f64, f64)) -> Self {
        Self {
            sign,
            also: &[],
            words: &[],
            dimension,
            factor,
            zero: 0.0,
            is_counted_whole: false,
        }
    }

    const fn also(mut self, also: &'static [&'static str]) -> Self {
        self.also = also;
        self
    }

    const fn words(mut self, words: &'static [&'static str]) -> Self {
        self.words = words;
        self
    }

    const fn counted_whole(mut self) -> Self {
        self.is_counted_whole = true;
        self
    }

    const fn zero(mut self, zero: f64) -> Self {
        self.zero = zero;
        self
    }

    /// The number of SI units that `number` of this unit is.
    pub fn to_si(&self, number: f64) -> f64 {
        number * self.factor.0 / self.factor.1 + self.zero
    }

    /// How many of this unit a value in SI units is.
    pub fn number_in(&self, value: f64) -> f64 {
        (value - self.zero) * self.factor.1 / self.factor.0
    }

    /// Whether `spelling` is exactly one that is read.
    pub fn reads(&self, spelling: &str) -> bool {
        self.spellings().any(|known| known == spelling)
    }

    /// Every spelling that is read.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.sign).chain(self.also.iter().copied())
    }
}

/// In the order in which they are offered.
pub(super) static CURRENT: &[Unit] = &[
    Unit::new("A", Dimension::Current, (1.0, 1.0)).words(&[
        "amp", "amps", "ampere", "amperes", "aac", "a ac", "arms", "a rms",
    ]),
    Unit::new("mA", Dimension::Current, (1.0, 1e3)).words(&[
        "milliamp",
        "milliamps",
        "milliampere",
        "milliamperes",
    ]),
    Unit::new("kA", Dimension::Current, (1e3, 1.0))
        .words(&["kiloamp", "kiloamps", "kaic", "ka rms"]),
];

pub(super) static VOLTAGE: &[Unit] = &[
    Unit::new("V", Dimension::Voltage, (1.0, 1.0)).words(&[
        "volt", "volts", "vac", "v ac", "v a.c.", "v~", "v ~", "vrms", "v rms",
    ]),
    Unit::new("kV", Dimension::Voltage, (1e3, 1.0)).words(&["kilovolt", "kilovolts"]),
    Unit::new("mV", Dimension::Voltage, (1.0, 1e3)).words(&["millivolt", "millivolts"]),
];

pub(super) static LENGTH: &[Unit] = &[
    Unit::new("m", Dimension::Length, (1.0, 1.0))
        .words(&["metre", "metres", "meter", "meters", "mtr", "mtrs"]),
    Unit::new("mm", Dimension::Length, (1.0, 1e3)).words(&[
        "millimetre",
        "millimetres",
        "millimeter",
        "millimeters",
    ]),
    Unit::new("cm", Dimension::Length, (1.0, 1e2)).words(&[
        "centimetre",
        "centimetres",
        "centimeter",
        "centimeters",
    ]),
    Unit::new("km", Dimension::Length, (1e3, 1.0)).words(&[
        "kilometre",
        "kilometres",
        "kilometer",
        "kilometers",
    ]),
    Unit::new("ft", Dimension::Length, (0.3048, 1.0)).words(&["foot", "feet", "'", "′", "ft."]),
    Unit::new("in", Dimension::Length, (0.0254, 1.0)).words(&["inch", "inches", "\"", "″", "in."]),
];

pub(super) static AREA: &[Unit] = &[Unit::new("mm²", Dimension::Area, (1.0, 1e6))
    .also(&["mm2", "mm^2", "sqmm", "sq mm", "㎟"])
    .words(&[
        "sq. mm",
        "sq.mm",
        "qmm",
        "mm sq",
        "mmq",
        "square mm",
        "mm**2",
        "mm 2",
        "mm ²",
        "□",
    ])];

pub(super) static ACTIVE: &[Unit] = &[
    Unit::new("W", Dimension::Active, (1.0, 1.0))
        .words(&["watt", "watts"])
        .counted_whole(),
    Unit::new("kW", Dimension::Active, (1e3, 1.0)).words(&["kilowatt", "kilowatts"]),
    Unit::new("MW", Dimension::Active, (1e6, 1.0)).words(&["megawatt", "megawatts"]),
];

pub(super) static APPARENT: &[Unit] = &[
    Unit::new("VA", Dimension::Apparent, (1.0, 1.0))
        .words(&[
            "voltampere",
            "voltamperes",
            "volt-ampere",
            "volt-amperes",
            "v·a",
        ])
        .counted_whole(),
    Unit::new("kVA", Dimension::Apparent, (1e3, 1.0)),
    Unit::new("MVA", Dimension::Apparent, (1e6, 1.0)),
];

/// 0 °C in kelvin, by definition (SI Brochure).
pub(super) const ICE_POINT: f64 = 273.15;

pub(super) static TEMPERATURE: &[Unit] = &[
    Unit::new("°C", Dimension::Temperature, (1.0, 1.0))
        .also(&["C", "℃", "ºC"])
        .words(&[
            "celsius",
            "° c",
            "deg c",
            "degc",
            "degrees c",
            "degrees celsius",
            "centigrade",
        ])
        .zero(ICE_POINT),
    Unit::new("°F", Dimension::Temperature, (5.0, 9.0))
        .also(&["F", "℉", "ºF"])
        .words(&[
            "fahrenheit",
            "° f",
            "deg f",
            "degf",
            "degrees f",
            "degrees fahrenheit",
        ])
        .zero(ICE_POINT - 32.0 * 5.0 / 9.0),
];

pub(super) static RATIO: &[Unit] =
    &[Unit::new("%", Dimension::Ratio, (1.0, 1e2))
        .words(&["percent", "per cent", "pct", "pc", "％"])];

pub(super) static FREQUENCY: &[Unit] = &[Unit::new("Hz", Dimension::Frequency, (1.0, 1.0))
    .words(&["hertz", "cps", "cycles", "c/s", "~"])];

pub(super) static TIME: &[Unit] = &[
    Unit::new("s", Dimension::Time, (1.0, 1.0)).words(&["sec", "secs", "second", "seconds"]),
    Unit::new("ms", Dimension::Time, (1.0, 1e3)).words(&["msec", "millisecond", "milliseconds"]),
    Unit::new("min", Dimension::Time, (60.0, 1.0)).words(&["mins", "minute", "minutes"]),
];

pub(super) static RESISTANCE: &[Unit] = &[
    // The sign of the ohm is spelt with the Greek letter; Unicode also has a letter of its own for it.
    Unit::new("ohm", Dimension::Resistance, (1.0, 1.0))
        .also(&["Ω", "\u{2126}"])
        .words(&["ohms"]),
    Unit::new("mohm", Dimension::Resistance, (1.0, 1e3))
        .also(&["mΩ", "m\u{2126}"])
        .words(&["milliohm", "milliohms", "mohms"]),
];

pub(super) static RACK_UNITS: &[Unit] = &[Unit::new("U", Dimension::RackUnits, (1.0, 1.0))
    // What racks are counted in where German is spoken.
    .also(&["HE"])
    .words(&["ru", "rmu", "units", "unit", "rack units"])];

pub(super) static LET_THROUGH: &[Unit] = &[
    Unit::new("A²s", Dimension::LetThrough, (1.0, 1.0)).also(&["A2s", "A^2s", "A²·s"]),
    Unit::new("kA²s", Dimension::LetThrough, (1e3, 1.0)).also(&["kA2s", "kA^2s", "kA²·s"]),
];

/// Units of things that are never wanted here, so that they can be named when they turn up.
pub(super) static FOREIGN: &[(&str, &str)] = &[
    ("AWG", "a wire gauge"),
    ("ga", "a wire gauge, American or British"),
    ("gauge", "a wire gauge, American or British"),
    ("SWG", "a British wire gauge"),
    ("kcmil", "an area in thousands of circular mils"),
    ("MCM", "an area in thousands of circular mils"),
    ("Wh", "an energy"),
    ("kWh", "an energy"),
    ("J", "an energy"),
    ("Ah", "a battery's charge"),
    ("var", "a reactive power"),
    ("kvar", "a reactive power"),
    ("hp", "a motor's mechanical power"),
    ("BTU/h", "a heat flow"),
    ("kg", "a mass"),
    ("lb", "a mass"),
    ("h", "a time in hours"),
    ("dB", "a level"),
];
