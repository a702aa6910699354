//! The advice on overloads: load goes only where it can be plugged in.

use crate::site::judged;

/// A full bank beside an empty one: load moves there only where its cords find outlets of their kind.
#[test]
fn load_moves_only_to_outlets_of_its_kind() {
    let advice = |outlet: &str| {
        let site = format!(
            "site: {{practice: iec}}
supplies: {{s: {{feed: A, system: \"3/N/PE ~ 400/230 V 50 Hz\", capacity: 100 kVA}}}}
circuits: {{c: {{from: s, poles: [L1, N], breaker: {{rating: 32 A}}}}}}
pdu-models:
  m:
    rating: 32 A
    banks:
      B1: {{between: L1-N, breaker: {{rating: 10 A}}, outlets: {{1-3: C13}}}}
      B2: {{between: L1-N, breaker: {{rating: 10 A}}, outlets: {{4-6: {outlet}}}}}
pdus: {{p: {{model: m, from: c}}}}
device-models: {{d: {{voltage: 100–240 V, inlets: {{psu: C14}}}}}}
devices: {{x: {{model: d, draw: 920 VA}}, y: {{model: d, draw: 920 VA}}, z: {{model: d, draw: 920 VA}}}}
cord-types: {{t: {{plug: C14, connector: C13}}}}
cords: {{W-1: {{type: t, from: p/1, to: x/psu}}, W-2: {{type: t, from: p/2, to: y/psu}}, W-3: {{type: t, from: p/3, to: z/psu}}}}
"
        );
        let found = judged(&vec![("cordwright.yaml".to_owned(), site)]).findings;
        let mut found = found.iter().filter(|f| f.rule == "bank-overloaded");
        let finding = found.next().expect("the full bank");
        finding.remedy.advice.clone()
    };
    let (same, other) = (advice("C13"), advice("C19"));
    // 12 A stand behind 10 A.
    assert!(
        same.starts_with("Move at least 2 A of load to bank B2"),
        "{same}"
    );
    assert!(
        other.starts_with("Take at least 2 A of load off"),
        "{other}"
    );
}
