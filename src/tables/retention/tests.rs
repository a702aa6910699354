//! Every kind of retention is known, and couplers that hold themselves are.

use super::*;
use crate::tables::couplers::find;

#[test]
fn every_kind_is_known_and_sourced() {
    for retention in Retention::WRITTEN
        .into_iter()
        .chain([Retention::PinAndSleeveCatch])
    {
        let kind = retention.kind();
        assert!(!kind.citation.standard.is_empty(), "{retention:?}");
        assert!(
            !kind.description.is_empty() && !kind.caution.is_empty(),
            "{retention:?}"
        );
        assert!(kind.holds || !kind.holds_on_plain_mate, "{retention:?}");
    }
    assert_eq!(KINDS.len(), 8, "no kind stands twice");
}

#[test]
fn words_of_the_format_lead_to_their_kind() {
    let words = [
        "none",
        "pin-grip",
        "shroud-latch",
        "outlet-latch",
        "bail",
        "screw-ring",
        "twist-lock",
    ];
    for (word, kind) in words.into_iter().zip(Retention::WRITTEN) {
        assert_eq!(Retention::find(word), Some(kind));
    }
    assert_eq!(
        Retention::find("pin-and-sleeve-catch"),
        None,
        "comes with the coupler"
    );
    assert_eq!(Retention::find("glue"), None);
}

#[test]
fn only_jaws_hold_on_a_plain_mate() {
    let holding: Vec<Retention> = Retention::WRITTEN
        .into_iter()
        .filter(|retention| retention.kind().holds_on_plain_mate)
        .collect();
    assert_eq!(holding, [Retention::PinGrip]);
}

#[test]
fn locking_blades_and_pin_and_sleeve_hold_themselves() {
    for (name, expected) in [
        ("NEMA L6-30", Some(Retention::TwistLock)),
        ("NEMA 5-15", None),
        ("IEC 60309 32 A 3P+N+E", Some(Retention::PinAndSleeveCatch)),
        ("C13", None),
        ("BS 1363", None),
    ] {
        assert_eq!(find(name).unwrap().held_by_shape(), expected, "{name}");
    }
}
