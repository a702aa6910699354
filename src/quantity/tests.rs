//! Spellings, good and bad, of every quantity.

use super::*;

type Show = fn(&str) -> String;
type Fault = fn(&str) -> Misread;

/// The text as it is shown again.
fn shown<Q: Quantity>(text: &str) -> String {
    match Q::read(text) {
        Ok(quantity) => quantity.show(),
        Err(misread) => panic!("{text}: {misread:?}"),
    }
}

/// The fault of a text that must not read; its place lies in the text, and its correction reads.
#[track_caller]
fn misread<Q: Quantity>(text: &str) -> Misread {
    let Err(misread) = Q::read(text) else {
        panic!("{text} was read as {}", shown::<Q>(text));
    };
    assert!(
        text.get(misread.part.clone()).is_some(),
        "{text}: {misread:?}"
    );
    if let Some(right) = &misread.replacement {
        assert!(Q::read(right).is_ok(), "{text}: {misread:?}");
    }
    misread
}

#[test]
fn good_spellings_are_shown_in_the_usual_unit() {
    let table: &[(&str, &str, Show)] = &[
        ("10 A", "10 A", shown::<Current>),
        ("10A", "10 A", shown::<Current>),
        (" 10\u{a0}A ", "10 A", shown::<Current>),
        ("1e3 A", "1 kA", shown::<Current>),
        ("0.75 mA", "0.75 mA", shown::<Current>),
        ("500 mA", "0.5 A", shown::<Current>),
        ("6 kA", "6 kA", shown::<Current>),
        ("0 A", "0 A", shown::<Current>),
        ("012 A", "12 A", shown::<Current>),
        ("230 V", "230 V", shown::<Voltage>),
        ("11 kV", "11 kV", shown::<Voltage>),
        ("1.8 m", "1.8 m", shown::<Length>),
        ("40 cm", "0.4 m", shown::<Length>),
        ("28 mm", "28 mm", shown::<Length>),
        ("1070 mm", "1.07 m", shown::<Length>),
        ("6 ft", "1.829 m", shown::<Length>),
        ("19 in", "0.4826 m", shown::<Length>),
        ("1.2 km", "1.2 km", shown::<Length>),
        ("1.5 mm²", "1.5 mm²", shown::<Area>),
        ("1.5mm2", "1.5 mm²", shown::<Area>),
        ("1.5 mm^2", "1.5 mm²", shown::<Area>),
        ("420 W", "420 W", shown::<Power>),
        ("1.2 kW", "1.2 kW", shown::<Power>),
        ("0 W", "0 W", shown::<Power>),
        ("500 VA", "500 VA", shown::<ApparentPower>),
        ("40 kVA", "40 kVA", shown::<ApparentPower>),
        ("1.6 MVA", "1.6 MVA", shown::<ApparentPower>),
        ("30 °C", "30 °C", shown::<Temperature>),
        ("30 C", "30 °C", shown::<Temperature>),
        ("86 °F", "30 °C", shown::<Temperature>),
        ("32 F", "0 °C", shown::<Temperature>),
        ("-20 °C", "-20 °C", shown::<Temperature>),
        ("−20°C", "-20 °C", shown::<Temperature>),
        ("80 %", "80 %", shown::<Ratio>),
        ("0%", "0 %", shown::<Ratio>),
        ("50 Hz", "50 Hz", shown::<Frequency>),
        ("0.4 s", "0.4 s", shown::<Time>),
        ("40 ms", "40 ms", shown::<Time>),
        ("10 min", "10 min", shown::<Time>),
        ("0.35 ohm", "0.35 ohm", shown::<Resistance>),
        ("0.35 Ω", "0.35 ohm", shown::<Resistance>),
        ("0.35 \u{2126}", "0.35 ohm", shown::<Resistance>),
        ("22 mΩ", "22 mohm", shown::<Resistance>),
        ("15 kA²s", "15 kA²s", shown::<EnergyLetThrough>),
        ("900 A2s", "900 A²s", shown::<EnergyLetThrough>),
    ];
    for (text, expected, show) in table {
        assert_eq!(show(text), *expected, "{text}");
    }
}

#[test]
fn bad_spellings_are_put_right_where_one_meaning_is_safe() {
    let table: &[(&str, Option<&str>, Fault)] = &[
        ("10 a", Some("10 A"), misread::<Current>),
        ("10 amps", Some("10 A"), misread::<Current>),
        ("A 10", Some("10 A"), misread::<Current>),
        ("5 ma", Some("5 mA"), misread::<Current>),
        ("1 000 A", Some("1000 A"), misread::<Current>),
        ("1,000.5 A", Some("1000.5 A"), misread::<Current>),
        ("1.2 KW", Some("1.2 kW"), misread::<Power>),
        ("230 VAC", Some("230 V"), misread::<Voltage>),
        ("230 V AC", Some("230 V"), misread::<Voltage>),
        ("1,5 mm2", Some("1.5 mm²"), misread::<Area>),
        ("1.5 sq. mm", Some("1.5 mm²"), misread::<Area>),
        ("6 feet", Some("6 ft"), misread::<Length>),
        ("6'", Some("6 ft"), misread::<Length>),
        ("30 deg C", Some("30 °C"), misread::<Temperature>),
        ("-1,5 °C", Some("-1.5 °C"), misread::<Temperature>),
        ("50", Some("50 Hz"), misread::<Frequency>),
        ("50 hz", Some("50 Hz"), misread::<Frequency>),
        ("3 percent", Some("3 %"), misread::<Ratio>),
        // One meaning would be a guess.
        ("5 MA", None, misread::<Current>),
        ("5 MVa", None, misread::<Current>),
        ("600 MM", None, misread::<Length>),
        ("1,500 A", None, misread::<Current>),
        ("10", None, misread::<Current>),
        ("0.8", None, misread::<Ratio>),
        ("1.25", None, misread::<Ratio>),
        ("80", Some("80 %"), misread::<Ratio>),
        ("900 W", None, misread::<ApparentPower>),
        ("900 VA", None, misread::<Power>),
        ("10 kAA", None, misread::<Current>),
        // The correction would not read either.
        ("1,5 mm", None, misread::<Area>),
        ("9000 amps k", None, misread::<Current>),
        ("900000 amps", None, misread::<Current>),
    ];
    for (text, expected, read) in table {
        let misread = read(text);
        assert_eq!(
            misread.replacement.as_deref(),
            *expected,
            "{text}: {misread:?}"
        );
    }
}

#[test]
fn what_is_wrong_is_said_and_shown() {
    let table: &[(&str, &str, &str, Fault)] = &[
        ("10", "10", "10 A, 10 mA or 10 kA", misread::<Current>),
        ("1.10", "1.10", "drop the last zero", misread::<Current>),
        ("012", "012", "12 A, 12 mA or 12 kA", misread::<Current>),
        ("12:30", "12:30", "(750)", misread::<Current>),
        ("NO", "NO", "true or false", misread::<Current>),
        (" on ", "on", "true or false", misread::<Voltage>),
        ("", "", "Nothing is written", misread::<Length>),
        (".inf", ".inf", "always has an end", misread::<Current>),
        ("∞ A", "∞ A", "always has an end", misread::<Current>),
        ("nan A", "nan A", "not known", misread::<Current>),
        ("0x10 A", "0x10 A", "10 A", misread::<Current>),
        ("1e999 A", "1e999", "10 A", misread::<Current>),
        ("2 x", "x", "A, mA or kA", misread::<Current>),
        ("~10 A", "~10 A", "estimate", misread::<Current>),
        ("ten A", "ten A", "one number", misread::<Current>),
        ("10 W", "W", "together with its voltage", misread::<Current>),
        ("420 W", "W", "power factor", misread::<ApparentPower>),
        ("420 VA", "VA", "power factor", misread::<Power>),
        ("2.5 mm", "mm", "the ² was lost", misread::<Area>),
        ("10 kWh", "kWh", "W, kW or MW", misread::<Power>),
        ("5 MA", "MA", "M stands for a million", misread::<Current>),
        ("10 A max", "max", "comment", misread::<Current>),
        ("10-16 A", "-16 A", "one number", misread::<Current>),
        ("10 A to 16 A", "to 16 A", "one number", misread::<Current>),
        ("-5 A", "-5", "minus", misread::<Current>),
        ("0 m", "0", "no resistance", misread::<Length>),
        ("0 ohm", "0", "endless", misread::<Resistance>),
        ("0 Hz", "0", "Direct current", misread::<Frequency>),
        (
            "900 kA",
            "900 kA",
            "900 A or 900 mA meant",
            misread::<Current>,
        ),
        (
            "1000 °C",
            "1000 °C",
            "-60 °C to 250 °C",
            misread::<Temperature>,
        ),
        ("80", "80", "80 %", misread::<Ratio>),
        ("0.8", "0.8", "0.8 % or 80 %", misread::<Ratio>),
        ("1.500 W", "1.500", "Is it 1.5 or 1500?", misread::<Power>),
        ("1.500W", "1.500", "Is it 1.5 or 1500?", misread::<Power>),
        (
            "12.000 W",
            "12.000",
            "Is it 12.0 or 12000?",
            misread::<Power>,
        ),
        (
            "1.237 VA",
            "1.237",
            "Is it 1.2370 or 1237?",
            misread::<ApparentPower>,
        ),
    ];
    for (text, part, advice, read) in table {
        let misread = read(text);
        assert_eq!(&text[misread.part.clone()], *part, "{misread:?}");
        assert!(misread.advice.contains(advice), "{text}: {misread:?}");
    }
}

/// Where thousands cannot be meant, three digits after the point are decimals.
#[test]
fn decimals_that_nobody_takes_for_thousands_are_read() {
    for text in [
        "1.5 W", "1.50 W", "1.5000 W", "1.2370 W", "0.500 W", "1.500 kW", "0.500 kW",
    ] {
        assert!(Power::read(text).is_ok(), "{text}");
    }
    assert!(ApparentPower::read("1.500 kVA").is_ok());
    assert!(Area::read("0.750 mm²").is_ok() && Area::read("1.500 mm²").is_ok());
    assert!(Current::read("1.600 A").is_ok() && Current::read("0.750 mA").is_ok());
    assert!(Length::read("1.500 m").is_ok());
}

#[test]
fn a_rating_of_zero_is_refused_and_a_draw_of_zero_is_not() {
    assert_eq!(Power::read("0 W"), Ok(watts(0.0)));
    assert!(Power::read_above_zero(" 0 W ").is_err());
    assert_eq!(
        Current::read_above_zero(" 0 A ").unwrap_err().part,
        1..4,
        "the blanks are not at fault"
    );
    assert!(LoadPower::read_above_zero("0 VA").is_err());
    assert!(
        Temperature::read_above_zero("0 °C").is_ok(),
        "frost is not nothing"
    );
    assert_eq!(Current::read_above_zero("10 A"), Ok(amperes(10.0)));
}

#[test]
fn equal_values_in_different_units_are_equal() {
    assert_eq!(Current::read("30 mA"), Current::read("0.03 A"));
    assert_eq!(Length::read("40 cm"), Length::read("0.4 m"));
    assert_eq!(Area::read("2.5 mm²"), Ok(square_millimetres(2.5)));
    assert_eq!(Ratio::read("80 %"), Ok(percent(80.0)));
    assert_eq!(Temperature::read("30 °C"), Ok(degrees_celsius(30.0)));
    assert_eq!(Length::read("1 in"), Length::read("25.4 mm"));
}

/// Whether the quantity comes back from its own text within the four digits that are shown.
fn comes_back<Q: Scalar>(value: f64) {
    let quantity = Q::from_si(value);
    let again = Q::read(&quantity.show()).unwrap_or_else(|misread| panic!("{value}: {misread:?}"));
    let error = (again.to_si() - value).abs();
    assert!(
        error <= value.abs() * 5.1e-4,
        "{value} became {}",
        quantity.show()
    );
    assert_eq!(
        again.show(),
        quantity.show(),
        "showing twice changes nothing"
    );
}

#[test]
fn what_is_shown_reads_as_the_same() {
    for step in 0..=400 {
        // From 10^-1 to 10^3 in steps that hit no round number.
        let value = 10f64.powf(f64::from(step) / 100.0 - 1.0);
        comes_back::<Current>(value);
        comes_back::<Voltage>(value);
        comes_back::<Length>(value);
        comes_back::<Area>(value.max(0.1) * 1e-6);
        comes_back::<Power>(value * 1.001);
        comes_back::<ApparentPower>(value * 1.001);
        comes_back::<Temperature>(223.0 + value / 4.0);
        comes_back::<Ratio>(value / 1000.0);
        comes_back::<Frequency>(value.clamp(1.0, 999.0));
        comes_back::<Time>(value);
        comes_back::<Resistance>(value);
        comes_back::<EnergyLetThrough>(value.max(1.0));
    }
}

#[test]
fn every_example_reads() {
    fn reads<Q: Quantity>() {
        assert!(Q::read(Q::EXAMPLE).is_ok(), "{}", Q::EXAMPLE);
        assert!(Q::WHAT.starts_with("a ") || Q::WHAT.starts_with("an "));
    }
    reads::<Current>();
    reads::<Voltage>();
    reads::<Length>();
    reads::<Area>();
    reads::<Power>();
    reads::<ApparentPower>();
    reads::<Temperature>();
    reads::<Ratio>();
    reads::<Frequency>();
    reads::<Time>();
    reads::<Resistance>();
    reads::<EnergyLetThrough>();
    reads::<ConductorSize>();
    reads::<RackUnits>();
    reads::<VoltageRange>();
    reads::<LoadPower>();
    reads::<SystemMarking>();
}

/// Reads the text as everything; what is said of it must stay inside it.
fn read_as_everything(text: &str) {
    fn one<Q: Quantity>(text: &str) {
        match Q::read(text) {
            Ok(quantity) => assert!(Q::read(&quantity.show()).is_ok(), "{text}"),
            Err(misread) => {
                assert!(
                    text.get(misread.part.clone()).is_some(),
                    "{text:?}: {misread:?}"
                );
                if let Some(right) = &misread.replacement {
                    assert!(Q::read(right).is_ok(), "{text:?}: {misread:?}");
                }
            }
        }
    }
    one::<Current>(text);
    one::<Length>(text);
    one::<Area>(text);
    one::<Temperature>(text);
    one::<Ratio>(text);
    one::<Resistance>(text);
    one::<ConductorSize>(text);
    one::<RackUnits>(text);
    one::<VoltageRange>(text);
    one::<LoadPower>(text);
    one::<SystemMarking>(text);
}

#[test]
fn no_text_stops_the_reader() {
    // Pieces out of which spellings are made, so that chance gets past the first character.
    const PIECES: [&str; 44] = [
        "0", "1", "9", "12", "400", "230", "999999", ".", ",", "'", " ", "\u{a0}", "-", "−", "–",
        "e", "E+", "A", "m", "k", "M", "V", "VA", "W", "mm", "²", "^2", "Ω", "°", "C", "F", "%",
        "U", "AWG", "/", "N", "PE", "~", "Y", "Hz", "to", "…", "\u{0}", "😀",
    ];
    // A linear congruential generator with Knuth's constants: the same texts on every run.
    let mut state: u64 = 0x00C0_FFEE;
    let mut next = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for _ in 0..8_000 {
        let text: String = (0..next(9)).map(|_| PIECES[next(PIECES.len())]).collect();
        read_as_everything(&text);
        let bytes: Vec<u8> = (0..next(12)).map(|_| next(256) as u8).collect();
        read_as_everything(&String::from_utf8_lossy(&bytes));
    }
    read_as_everything(&"9".repeat(100_000));
    read_as_everything(&format!("1 {}", "é".repeat(100_000)));
}
