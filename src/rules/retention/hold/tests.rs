//! What holds a coupler, for each kind of lock and mate.

use super::*;
use crate::model::value::Spanned;
use crate::source::{FileId, Span};
use crate::tables::couplers::find;

fn given<T>(value: T) -> Field<T> {
    let span = Span::new(FileId(0), 0, 0);
    Field::Given(Spanned { value, span })
}

fn hold(coupler: &str, side: Side, own: Option<&str>, offered: Option<&str>) -> Hold<'static> {
    let kind = |word: Option<&str>| match word {
        None => Field::Absent,
        Some("?") => Field::Unreadable(Span::new(FileId(0), 0, 0)),
        Some(word) => given(Retention::find(word).unwrap().kind()),
    };
    Locks {
        coupler: given(find(coupler).unwrap()),
        side,
        own: kind(own),
        offered: kind(offered),
    }
    .hold()
}

#[test]
fn a_plug_is_held_by_what_outlet_and_plug_share() {
    let plug = |own, offered| hold("C14", Side::Pins, own, offered);
    use Retention::{Bail, OutletLatch, PinGrip, TwistLock};
    for (own, offered, expected) in [
        (Some("none"), None, Hold::Loose),
        (Some("none"), Some("none"), Hold::Loose),
        (Some("none"), Some("outlet-latch"), Hold::Loose),
        (Some("none"), Some("pin-grip"), Hold::Held(PinGrip.kind())),
        (None, Some("pin-grip"), Hold::Held(PinGrip.kind())),
        (Some("none"), Some("bail"), Hold::Held(Bail.kind())),
        (
            Some("outlet-latch"),
            Some("outlet-latch"),
            Hold::Held(OutletLatch.kind()),
        ),
        (
            Some("outlet-latch"),
            None,
            Hold::Unsupported(OutletLatch.kind()),
        ),
        (
            Some("outlet-latch"),
            Some("none"),
            Hold::Unsupported(OutletLatch.kind()),
        ),
        (Some("outlet-latch"), Some("?"), Hold::Unknown),
        (Some("pin-grip"), None, Hold::Unsupported(PinGrip.kind())),
        (
            Some("twist-lock"),
            None,
            Hold::Unsupported(TwistLock.kind()),
        ),
        (None, None, Hold::Unknown),
        (Some("?"), None, Hold::Unknown),
        (Some("?"), Some("bail"), Hold::Held(Bail.kind())),
    ] {
        assert_eq!(plug(own, offered), expected, "{own:?} in {offered:?}");
    }
}

#[test]
fn a_connector_is_held_by_what_inlet_and_connector_share() {
    let connector = |own, offered| hold("C13", Side::Contacts, own, offered);
    use Retention::{Bail, PinGrip, ScrewRing, ShroudLatch};
    for (own, offered, expected) in [
        (Some("pin-grip"), None, Hold::Held(PinGrip.kind())),
        (Some("none"), Some("pin-grip"), Hold::Loose),
        (Some("none"), Some("bail"), Hold::Held(Bail.kind())),
        (Some("bail"), Some("bail"), Hold::Held(Bail.kind())),
        (Some("bail"), None, Hold::Unsupported(Bail.kind())),
        (
            Some("shroud-latch"),
            None,
            Hold::Unsupported(ShroudLatch.kind()),
        ),
        (
            Some("shroud-latch"),
            Some("shroud-latch"),
            Hold::Held(ShroudLatch.kind()),
        ),
        (Some("shroud-latch"), Some("bail"), Hold::Held(Bail.kind())),
        (
            Some("screw-ring"),
            Some("shroud-latch"),
            Hold::Unsupported(ScrewRing.kind()),
        ),
        (
            Some("screw-ring"),
            Some("screw-ring"),
            Hold::Held(ScrewRing.kind()),
        ),
    ] {
        assert_eq!(connector(own, offered), expected, "{own:?} on {offered:?}");
    }
}

#[test]
fn some_couplers_hold_by_their_shape() {
    for (coupler, own, expected) in [
        ("NEMA L6-30", None, Hold::Held(Retention::TwistLock.kind())),
        (
            "NEMA L6-30",
            Some("none"),
            Hold::Held(Retention::TwistLock.kind()),
        ),
        (
            "NEMA 5-15",
            Some("twist-lock"),
            Hold::Unsupported(Retention::TwistLock.kind()),
        ),
        (
            "IEC 60309 16 A 2P+E 6h",
            None,
            Hold::Held(Retention::PinAndSleeveCatch.kind()),
        ),
    ] {
        assert_eq!(hold(coupler, Side::Pins, own, None), expected, "{coupler}");
    }
}
