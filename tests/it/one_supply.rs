//! A small room with one supply: that a device runs on one of its inlets is no promise of a second supply.

use cordwright::finding::Level;

use crate::site::judged;

fn room(inlets: &str, more: &str) -> String {
    format!(
        "\
site: {{practice: iec, country: GB, ambient: 25 °C, feeds: {{A: {{colour: blue}}, B: {{colour: red}}}}}}
supplies:
  ups: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 3 kA}}
{more}circuits:
  A-1: &circuit
    from: ups
    poles: [L1, N]
    breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA}}
    wiring: {{conductor: 4 mm², length: 10 m, insulation: pvc-70}}
    receptacle: IEC 60309 16 A 2P+E 6h
  A-2: *circuit
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    breakers: none
    cord: {{cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}}
    banks: {{B: {{between: L1-N, outlets: {{1-4: C13}}}}}}
pdus:
  strip-1: {{model: strip, from: A-1}}
  strip-2: {{model: strip, from: A-2}}
device-models:
  box: {{class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, {inlets}}}
devices:
  box-1: {{model: box, draw: 200 W}}
cord-types:
  thin: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, approvals: [BSI]}}
cords:
  W-1: {{type: thin, from: strip-1/1, to: box-1/psu1}}
  W-2: {{type: thin, from: strip-2/1, to: box-1/psu2}}
"
    )
}

fn told(inlets: &str, more: &str) -> Vec<Level> {
    let files = vec![("cordwright.yaml".to_owned(), room(inlets, more))];
    let judgement = judged(&files);
    let own = judgement.findings.iter();
    let own = own.filter(|found| found.rule == "feed-shared");
    own.map(|found| found.level).collect()
}

#[test]
fn the_only_supply_is_shared_by_all_and_that_is_a_note() {
    let plain = "inlets: {psu1: C14, psu2: C14}";
    assert_eq!(told(plain, ""), [Level::Note]);
    assert_eq!(
        told(&format!("{plain}, inlets-needed: 1"), ""),
        [Level::Note]
    );
    // Where there is another supply the inlets could part, and are declared to.
    let other = "  mains: {feed: B, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 3 kA}\n";
    assert_eq!(
        told(&format!("{plain}, inlets-needed: 1"), other),
        [Level::Error]
    );
    // What is meant for two feeds and hangs on one is an error, whatever there is.
    let meant =
        "inlets: {psu1: {coupler: C14, feed: A}, psu2: {coupler: C14, feed: B}}, inlets-needed: 1";
    assert_eq!(told(meant, ""), [Level::Error]);
}
