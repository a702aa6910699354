//! What a jacket's colour says of its feed: another feed's colour misleads, a colour of no feed does not.

use cordwright::finding::{Finding, Level, Verdict};

use crate::pages::bases;
use crate::site::judged;

/// The base site with other feeds, and a cord of this colour on feed A.
fn said(feeds: &str, colour: &str) -> Vec<Finding> {
    let base = &bases()["base-iec.yaml"];
    let usual = "{A: {colour: blue}, B: {colour: red}}";
    assert!(base.contains(usual));
    let cords = format!(
        "\
device-models: {{box: {{height: 1 U, class: I, voltage: 200–240 V, rating: 300 W, power-factor: 0.97, inlets: {{psu1: C14}}, inlets-needed: 1}}}}
devices: {{box-1: {{model: box, rack: r1, at: U10, draw: 200 W}}}}
cord-types: {{thin: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, {colour}approvals: [BSI]}}}}
cords: {{W-1: {{type: thin, from: pdu-a/1, to: box-1/psu1}}}}
"
    );
    let files = vec![
        ("cordwright.yaml".to_owned(), base.replace(usual, feeds)),
        ("cords.yaml".to_owned(), cords),
    ];
    let own = judged(&files).findings.into_iter();
    own.filter(|found| found.rule == "feed-colour").collect()
}

fn verdicts(feeds: &str, colour: &str) -> Vec<Verdict> {
    let said = said(feeds, colour).into_iter();
    said.map(|found| found.verdict).collect()
}

const USUAL: &str = "{A: {colour: blue}, B: {colour: red}}";

#[test]
fn only_the_colour_of_another_feed_misleads() {
    for colour in ["blue", "Blue", "black", "white", "grey"] {
        assert_eq!(
            verdicts(USUAL, &format!("colour: {colour}, ")),
            [],
            "{colour}"
        );
    }
    let told = said(USUAL, "colour: red, ");
    assert_eq!(told.len(), 1);
    assert_eq!(
        (told[0].verdict, told[0].level),
        (Verdict::Broken, Level::Warning)
    );
    assert!(
        told[0].headline.contains("red, the colour of feed B"),
        "{}",
        told[0].headline
    );
    // A feed without a colour of its own may not have that of another either.
    let half = "{A: {}, B: {colour: red}}";
    assert_eq!(verdicts(half, "colour: red, "), [Verdict::Broken]);
    assert_eq!(verdicts(half, "colour: black, "), []);
}

#[test]
fn what_is_missing_or_cannot_be_read_is_asked() {
    assert_eq!(verdicts(USUAL, ""), [Verdict::Open]);
    assert_eq!(verdicts(USUAL, "colour: [red], "), [Verdict::Open]);
    for feeds in [
        "{A: {colour: blue}, B: {colour: [red]}}",
        "{A: {colour: [blue]}, B: {colour: red}}",
    ] {
        assert_eq!(
            verdicts(feeds, "colour: black, "),
            [Verdict::Open],
            "{feeds}"
        );
    }
    // It is its own feed's, whatever the other's is.
    assert_eq!(
        verdicts("{A: {colour: blue}, B: {colour: [red]}}", "colour: blue, "),
        []
    );
    assert_eq!(verdicts("{A: {}, B: {}}", "colour: red, "), []);
}

#[test]
fn two_feeds_of_one_colour_are_told_of_once() {
    let told = said("{A: {colour: blue}, B: {colour: Blue}}", "colour: blue, ");
    assert_eq!(told.len(), 1, "{told:#?}");
    assert!(
        told[0].headline.contains("feeds A and B are both"),
        "{}",
        told[0].headline
    );
}
