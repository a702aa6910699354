//! The limit of an element on small sites whose numbers can be done by hand.

use serde_json::Value;

use crate::world::World;

const STRIP: &str = "\
site: {practice: iec, ambient: 25 °C, supply-tolerance: 0 %, continuous-load: 80 %}
supplies: {s: {system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 100 kVA}}
circuits: {c: {from: s, poles: [L1, L2, L3, N], breaker: 16 A}}
pdu-models:
  m:
    plug: IEC 60309 16 A 3P+N+E
    rating: 16 A
    banks:
      B1: {between: L1-N, breaker: 10 A, outlets: {1-4: C13}}
      B2: {between: L2-N, breaker: 10 A, outlets: {5-8: C13}}
pdus: {p: {model: m, from: c}}
device-models: {d: {voltage: 230 V, power-factor: 1, inlets: {i: C14}}}
devices: {x: {model: d, draw: 2070 W}, y: {model: d, draw: 460 W}}
cord-types: {t: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, resistance: 0.000001 ohm}}
cords: {W-1: {type: t, from: p/1, to: x/i}, W-2: {type: t, from: p/5, to: y/i}}
";

fn traced_from(site: &str, name: &str) -> (Value, String) {
    let world = World::with(&[("cordwright.yaml", site)]);
    let json = world.run(&["trace", name, "--format", "json"]).expect(0);
    let json: Value = serde_json::from_str(&json).unwrap();
    let table = world.run(&["trace", name]).expect(0);
    (json["traces"][0]["paths"][0]["hops"].clone(), table)
}

fn hop<'h>(hops: &'h Value, what: &str) -> &'h Value {
    let mut hops = hops.as_array().unwrap().iter();
    hops.find(|hop| hop["what"] == what).unwrap()
}

/// 2070 W at 230 V are 9 A: within the 10 A of the breaker, 1 A above the 80 % of the house.
#[test]
fn a_share_that_may_be_used_is_the_limit_that_is_traced() {
    let (hops, table) = traced_from(STRIP, "c");
    let bank = hop(&hops, "bank B1 of PDU p");
    assert_eq!(bank["limit_amperes"], 8.0);
    assert_eq!(
        (&bank["limit_percent"], &bank["limit_rated_amperes"]),
        (&80.0.into(), &10.0.into())
    );
    assert_eq!(
        (&bank["limit"], &bank["limit_kind"]),
        (&"breaker".into(), &"house rule".into())
    );
    assert!(
        (bank["margin_amperes"].as_f64().unwrap() + 1.0).abs() < 1e-3,
        "{bank}"
    );
    assert_eq!(bank["judged"], "above");
    let told = table.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("ABOVE ITS LIMIT: 80 % of breaker, house rule"),
        "{table}"
    );
    let cord = hop(&hops, "cord W-2");
    assert_eq!(cord["judged"], "");
    // Without a house rule the whole breaker is the limit, and nothing is passed.
    let free = STRIP.replace(", continuous-load: 80 %", "");
    let (hops, table) = traced_from(&free, "c");
    let bank = hop(&hops, "bank B1 of PDU p");
    assert_eq!(
        (&bank["limit_amperes"], &bank["judged"]),
        (&10.0.into(), &"".into())
    );
    assert!(!table.contains("ABOVE"), "{table}");
}

#[test]
fn each_pole_has_its_own_current() {
    let (hops, table) = traced_from(STRIP, "c");
    let circuit = hop(&hops, "circuit c");
    let on: Vec<(&str, f64)> = circuit["currents"]
        .as_array()
        .unwrap()
        .iter()
        .map(|on| {
            (
                on["pole"].as_str().unwrap(),
                on["worst_amperes"].as_f64().unwrap().round(),
            )
        })
        .collect();
    assert_eq!(on[..3], [("L1", 9.0), ("L2", 2.0), ("L3", 0.0)]);
    assert_eq!(on[3].0, "N");
    // Four poles are four rows; only what hangs between two is one of "L1-N".
    let lines: Vec<&str> = table
        .lines()
        .skip_while(|line| !line.contains("circuit c "))
        .collect();
    let pole = |at: usize| {
        lines[at]
            .split_whitespace()
            .find(|word| word.starts_with(['L', 'N']))
    };
    assert_eq!(
        [pole(0), pole(1), pole(2), pole(3)],
        [Some("L1"), Some("L2"), Some("L3"), Some("N")]
    );
    assert_eq!(table.matches("L1-N").count(), 2, "bank and cord: {table}");
}

#[test]
fn what_is_not_known_is_no_room() {
    // A load that is missing.
    let (hops, _) = traced_from(&STRIP.replace("draw: 460 W", "rack: r1"), "c");
    let bank = hop(&hops, "bank B2 of PDU p");
    assert_eq!(
        (&bank["margin_amperes"], &bank["judged"]),
        (&Value::Null, &"not decided".into())
    );
    // A limit that is missing: the next one is the most that it can be.
    let (hops, table) = traced_from(&STRIP.replace("rating: 16 A\n", "depth: 1 m\n"), "c");
    let strip = hop(&hops, "PDU p");
    assert_eq!(
        (&strip["margin_amperes"], &strip["limit_unknown"]),
        (&Value::Null, &true.into())
    );
    assert!(strip["margin_at_most_amperes"].is_number(), "{strip}");
    let told = table.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("not decided: its rating is missing"),
        "{table}"
    );
    // No limit at all.
    let (hops, _) = traced_from(
        &STRIP.replace("breaker: 16 A", "wiring: {length: 1 m}"),
        "c",
    );
    let circuit = hop(&hops, "circuit c");
    assert_eq!(
        (&circuit["limit"], &circuit["judged"]),
        (&Value::Null, &"not decided".into())
    );
    // A cord that leads nowhere known carries nobody knows what.
    let (hops, _) = traced_from(&STRIP.replace("to: y/i", "to: z/i"), "c");
    let cord = hop(&hops, "cord W-2");
    assert_eq!(
        (&cord["worst_amperes"], &cord["judged"]),
        (&Value::Null, &"not decided".into())
    );
}

#[test]
fn a_supply_above_its_capacity_is_marked() {
    let small = STRIP.replace("capacity: 100 kVA", "capacity: 2.4 kVA");
    let (hops, _) = traced_from(&small, "s");
    let supply = hop(&hops, "supply s");
    assert_eq!(supply["judged"], "above");
    assert!(
        supply["margin_volt_amperes"].as_f64().unwrap() < 0.0,
        "{supply}"
    );
    // One line alone has more than its third, the whole is within.
    let (hops, table) = traced_from(&STRIP.replace("capacity: 100 kVA", "capacity: 4 kVA"), "s");
    assert_eq!(hop(&hops, "supply s")["judged"], "above");
    assert!(
        table.contains("L1 ABOVE ITS PART OF THE CAPACITY"),
        "{table}"
    );
}
