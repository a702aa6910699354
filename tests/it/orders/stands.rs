//! What stands against ordering a cord, by what its make and the offers of it say.

use super::{BLUE, DEVICES, MAKES, PLAIN, cell, rows};
use crate::pages::bases;

/// What cannot be read of a make or of an offer of it stands against its cords, and not against others.
#[test]
fn what_is_wrong_at_the_make_or_the_offer_stands_against_the_row() {
    let plain = PLAIN.replace("blue", "red");
    let stands = |make: &str, offer: &str| {
        let own = format!(
            "{DEVICES}cord-makes:\n  m1: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, rating: 10 A, approvals: [BSI]{make}}}\ncord-types:\n{BLUE}  plain: {{{plain}}}\ncords:\n  W-1: {{type: blue, from: pdu-a/1, to: rec-1/psu1, state: to-fit}}\n  W-2: {{type: plain, from: pdu-a/2, to: rec-2/psu1, state: to-fit}}\noffers:\n  O-1: {{make: m1, lengths: [1.5 m]{offer}}}\n"
        );
        let (rows, _) = rows(&own, &[]);
        let of = |name: &str| {
            let row = rows.iter().find(|row| cell(row, "type") == name);
            cell(row.unwrap(), "stands").to_owned()
        };
        assert_eq!(of("plain"), "", "{make}{offer}");
        of("blue")
    };
    assert_eq!(stands("", ""), "");
    for (make, offer) in [
        (", cores: many", ""),
        ("", ", colours: {blue: 1}"),
        ("", ", tolerance: some"),
    ] {
        let stands = stands(make, offer);
        assert!(
            stands.starts_with("not for order: "),
            "{make}{offer}: {stands}"
        );
    }
}

/// A cord from a supplier who may make it 400 mm shorter than its way: told while it does not hang.
#[test]
fn a_cord_that_may_come_too_short_is_told_before_it_is_fitted() {
    let told = |offer: &str, state: &str, more: &str| {
        let own = format!(
            "{DEVICES}{MAKES}cord-types:\n  blue: {{make: m1, length: 1 m, colour: blue}}\ncords:\n  W-1: {{type: blue, from: pdu-a/1, to: rec-2/psu1{state}{more}}}\noffers:\n  O-1: {{make: m1, lengths: [1 m]{offer}}}\n"
        );
        let base = bases()["base-iec.yaml"].clone();
        let files = vec![("a.yaml".to_owned(), base), ("b.yaml".to_owned(), own)];
        let findings = crate::site::judged(&files).findings;
        let own = findings.iter().filter(|f| f.rule == "cord-too-short");
        own.map(|f| f.headline.clone()).collect::<Vec<_>>()
    };
    // One that cannot be read leaves a question, and none where the cord hangs.
    let unread = ", tolerance: some";
    assert_eq!(
        told(unread, ", state: to-fit", ""),
        [
            "are cords of offer O-1 long enough? Open: `tolerance` of offer O-1 cannot be read (as planned)"
        ]
    );
    assert!(told(unread, ", state: fitted", "").is_empty());
    let to_fit = ", state: to-fit";
    let [short] = &told(", tolerance: -400/+0 mm", to_fit, "")[..] else {
        panic!("{:?}", told(", tolerance: -400/+0 mm", to_fit, ""));
    };
    assert!(
        short.starts_with("cord W-1 (1 m) may come shorter than its way"),
        "{short}"
    );
    for (offer, state, more) in [
        (", tolerance: -0/+400 mm", to_fit, ""),
        ("", to_fit, ""),
        (", tolerance: -400/+0 mm", ", state: fitted", ""),
        (", tolerance: -400/+0 mm", to_fit, ", length: 1 m"),
    ] {
        assert!(told(offer, state, more).is_empty(), "{offer}{state}{more}");
    }
}
