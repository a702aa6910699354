//! Markings as they stand on plates and drawings, and ones that contradict themselves.

use super::super::{InUnits, hertz, volts};
use super::*;

fn marking(text: &str) -> SystemMarking {
    SystemMarking::read(text).unwrap_or_else(|misread| panic!("{text}: {misread:?}"))
}

#[test]
fn markings_are_read_and_shown() {
    use Arrangement::{Delta, Single, SplitPhase, TwoOfWye, Wye};
    for (text, arrangement, shown) in [
        ("3/N/PE ~ 400/230 V 50 Hz", Wye, "3/N/PE ~ 400/230 V 50 Hz"),
        ("3N~400/230V", Wye, "3/N ~ 400/230 V"),
        (
            "3 / N / PE ~ 230/400 V, 50Hz",
            Wye,
            "3/N/PE ~ 400/230 V 50 Hz",
        ),
        ("3/N/PE ~ 208/120 V 60 Hz", Wye, "3/N/PE ~ 208/120 V 60 Hz"),
        ("3/N/PE ~ 480/277 V 60 Hz", Wye, "3/N/PE ~ 480/277 V 60 Hz"),
        ("3/PE ~ 400/230 V 50 Hz", Wye, "3/PE ~ 400/230 V 50 Hz"),
        ("3/PE ~ 208 V 60 Hz", Delta, "3/PE ~ 208 V 60 Hz"),
        ("3~ 400 V", Delta, "3 ~ 400 V"),
        ("3/N ~ 400 V / 230 V", Wye, "3/N ~ 400/230 V"),
        ("3/PE ~ 11 kV 50 Hz", Delta, "3/PE ~ 11000 V 50 Hz"),
        ("1/N/PE ~ 230 V 50 Hz", Single, "1/N/PE ~ 230 V 50 Hz"),
        ("2/PE ~ 208 V 60 Hz", Single, "2/PE ~ 208 V 60 Hz"),
        (
            "2/N/PE ~ 240/120 V 60 Hz",
            SplitPhase,
            "2/N/PE ~ 240/120 V 60 Hz",
        ),
        ("2/N ~ 208/120 V", TwoOfWye, "2/N ~ 208/120 V"),
        ("208Y/120 V", Wye, "3/N ~ 208/120 V"),
        ("480Y/277 V 60 Hz", Wye, "3/N ~ 480/277 V 60 Hz"),
        ("120/240 V 60 Hz", SplitPhase, "2/N ~ 240/120 V 60 Hz"),
    ] {
        let read = marking(text);
        assert_eq!(read.arrangement, arrangement, "{text}");
        assert_eq!(read.show(), shown, "{text}");
        assert_eq!(marking(shown), read, "{text}");
    }
}

#[test]
fn the_parts_of_a_marking_are_told_apart() {
    let three = marking("3/N/PE ~ 400/230 V 50 Hz");
    assert_eq!(
        (three.lines, three.neutral, three.protective_earth),
        (3, true, true)
    );
    assert_eq!(three.line_to_line, Some(volts(400.0)));
    assert_eq!(three.line_to_neutral, Some(volts(230.0)));
    assert_eq!(three.frequency, Some(hertz(50.0)));
    let one = marking("1/N ~ 230 V");
    assert_eq!((one.line_to_line, one.frequency), (None, None));
    assert_eq!(one.line_to_neutral.unwrap().in_volts(), 230.0);
}

#[test]
fn contradictions_are_refused() {
    for (text, said) in [
        ("3/N/PE ~ 400/120 V 50 Hz", "do not belong"),
        ("3/N/PE ~ 240/120 V 60 Hz", "do not belong"),
        ("2/N/PE ~ 240/100 V", "do not belong"),
        ("3/N/PE ~ 230/230 V", "do not belong"),
        ("208Y/100 V", "do not belong"),
        ("3/N/PE ~ 400 V 50 Hz", "one is marked"),
        ("2/N/PE ~ 240 V 60 Hz", "one is marked"),
        ("1/N/PE ~ 400/230 V", "two are marked"),
        ("1/PE ~ 230 V", "return"),
        ("3/PEN ~ 400/230 V", "PEN"),
        ("2/PE ⎓ 48 V", "direct-current"),
        ("48 V DC", "direct-current"),
        ("240/120 V", "which conductors"),
        ("400/230 V 50 Hz", "which conductors"),
        ("230 V", "which conductors"),
        ("~ 230 V", "which conductors"),
        ("208Y120 V", "which conductors"),
        ("3/N/PE 400/230 V 50 Hz", "which conductors"),
        ("4/N/PE ~ 400/230 V", "no set of conductors"),
        ("3P+N+E ~ 400/230 V", "no set of conductors"),
        ("3/N/PE ~ 400/230", "no voltage"),
        ("3/N/PE", "no voltage"),
        ("", "missing"),
        ("NO", "no system marking"),
    ] {
        let misread = SystemMarking::read(text).unwrap_err();
        assert!(misread.headline.contains(said), "{text}: {misread:?}");
        assert!(text.get(misread.part).is_some(), "{text}");
    }
}

#[test]
fn the_smallest_wrong_part_is_named() {
    for (text, part) in [
        ("3/N/PE ~ 400/230 V 50", "50"),
        ("3/N/PE ~ 400/230 V 50 hz", "hz"),
        ("3/N/PE ~ 400/230 v 50 Hz", "v"),
        ("3/N/PE ~ 4x0/230 V", "4x0"),
        ("3/Q ~ 400/230 V", "3/Q"),
        ("20Q8Y/120 V", "20Q8"),
    ] {
        let misread = SystemMarking::read(text).unwrap_err();
        assert_eq!(&text[misread.part.clone()], part, "{misread:?}");
    }
}
