//! The rules of overload through whole sites: at, just below and just above each limit, under both
//! practices, and against published sums.
//!
//! Wiring and cords have no length here, so that currents are those of the loads to the last digit.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

/// A site with one circuit, one strip with one bank and one device that takes `draw`.
struct One {
    site: &'static str,
    system: &'static str,
    capacity: &'static str,
    breaker: &'static str,
    rating: &'static str,
    bank: &'static str,
    draw: String,
}

impl One {
    /// A unity power factor load of so many amperes at 230 V.
    fn iec(amperes: f64) -> Self {
        Self {
            site: "practice: iec",
            system: "1/N/PE ~ 230 V 50 Hz",
            capacity: "100 kVA",
            breaker: "{rating: 16 A}",
            rating: "32 A",
            bank: "",
            draw: format!("{} VA", amperes * 230.0),
        }
    }

    /// A unity power factor load of so many amperes at 120 V.
    fn nec(amperes: f64) -> Self {
        Self {
            site: "practice: nec",
            system: "1/N/PE ~ 120 V 60 Hz",
            capacity: "100 kVA",
            breaker: "{rating: 20 A}",
            rating: "30 A",
            bank: "",
            draw: format!("{} VA", amperes * 120.0),
        }
    }

    fn text(&self) -> String {
        let Self {
            site,
            system,
            capacity,
            breaker,
            rating,
            bank,
            draw,
        } = self;
        format!(
            "site: {{supply-tolerance: 0 %, {site}}}
supplies: {{s: {{feed: A, system: \"{system}\", capacity: {capacity}, sequence-proved: yes}}}}
circuits: {{c: {{from: s, poles: [L1, N], breaker: {breaker}}}}}
pdu-models: {{m: {{rating: {rating}, breakers: none, banks: {{B1: {{between: L1-N, {bank}outlets: {{1-9: C19}}}}}}}}}}
pdus: {{p: {{model: m, from: c}}}}
device-models: {{d: {{voltage: 100–240 V, inlets: {{psu: C20}}}}}}
devices: {{x: {{model: d, draw: {draw}}}}}
cord-types: {{t: {{plug: C20, connector: C19}}}}
cords: {{W-1: {{type: t, from: p/1, to: x/psu}}}}
"
        )
    }

    fn says(&self, rule: &str) -> Vec<Finding> {
        said(rule, &self.text())
    }

    /// The level of the one finding that something is overloaded; `None` if there is none.
    fn level(&self, rule: &str) -> Option<(Level, &'static str)> {
        let found = self.says(rule);
        assert!(found.len() < 2, "{found:#?}");
        found.first().map(|finding| (finding.level, finding.kind))
    }
}

/// What a rule says of a site, open points left out.
fn said(rule: &str, text: &str) -> Vec<Finding> {
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text.to_owned())]);
    assert!(judgement.crashed.is_empty());
    let found = judgement.findings.into_iter();
    found
        .filter(|f| f.rule == rule && f.verdict == Verdict::Broken)
        .collect()
}

const CIRCUIT: &str = "circuit-overloaded";

/// IEC 60364-4-43 433.1 knows the rating alone; a share of it is the owner's policy.
#[test]
fn an_iec_circuit_is_held_to_its_rating_and_to_house_policy() {
    for (amperes, expected) in [
        (15.99, None),
        (16.0, None),
        (16.01, Some((Level::Error, "rating"))),
    ] {
        assert_eq!(One::iec(amperes).level(CIRCUIT), expected, "{amperes} A");
    }
    let policy = |amperes| One {
        site: "practice: iec, continuous-load: 80 %",
        ..One::iec(amperes)
    };
    for (amperes, expected) in [
        (12.79, None),
        (12.8, None),
        (12.81, Some((Level::Warning, "house-limit"))),
        (16.0, Some((Level::Warning, "house-limit"))),
        (16.01, Some((Level::Error, "rating"))),
    ] {
        assert_eq!(policy(amperes).level(CIRCUIT), expected, "{amperes} A");
    }
    let said = policy(12.81).says(CIRCUIT);
    assert!(
        said[0].headline.contains("house policy"),
        "{}",
        said[0].headline
    );
}

/// NEC 210.20(A): 125 % of a continuous load, so 16 A on 20 A; the same the other way in 12/15, 24/30,
/// 40/50 and 48/60 A.
#[test]
fn a_nec_circuit_is_held_to_four_fifths() {
    for (breaker, most) in [
        ("{rating: 15 A}", 12.0),
        ("{rating: 20 A}", 16.0),
        ("{rating: 30 A}", 24.0),
        ("{rating: 50 A}", 40.0),
        ("{rating: 60 A}", 48.0),
    ] {
        let at = |amperes| One {
            breaker,
            rating: "100 A",
            ..One::nec(amperes)
        };
        assert_eq!(at(most - 0.01).level(CIRCUIT), None, "{breaker}");
        assert_eq!(at(most).level(CIRCUIT), None, "{breaker}");
        let above = Some((Level::Error, "continuous"));
        assert_eq!(at(most + 0.01).level(CIRCUIT), above, "{breaker}");
        let beyond = Some((Level::Error, "rating"));
        assert_eq!(at(most * 1.25 + 0.01).level(CIRCUIT), beyond, "{breaker}");
    }
}

/// The exception of NEC 210.20(A): a device listed for its whole rating. A policy of the site cannot
/// make it so; a stricter one counts besides, as a warning.
#[test]
fn only_the_breaker_itself_is_listed_for_more() {
    let listed = |amperes| One {
        breaker: "{rating: 20 A, continuous: 100 %}",
        ..One::nec(amperes)
    };
    assert_eq!(listed(20.0).level(CIRCUIT), None);
    assert_eq!(listed(20.01).level(CIRCUIT), Some((Level::Error, "rating")));
    let lax = |amperes| One {
        site: "practice: nec, continuous-load: 100 %",
        ..One::nec(amperes)
    };
    assert_eq!(
        lax(16.01).level(CIRCUIT),
        Some((Level::Error, "continuous"))
    );
    let strict = |amperes| One {
        site: "practice: nec, continuous-load: 60 %",
        ..One::nec(amperes)
    };
    assert_eq!(strict(12.0).level(CIRCUIT), None);
    assert_eq!(
        strict(12.01).level(CIRCUIT),
        Some((Level::Warning, "house-limit"))
    );
    assert_eq!(
        strict(16.01).level(CIRCUIT),
        Some((Level::Error, "continuous"))
    );
}

/// A share that cannot be read may be any: it is asked for. Without a practice the safe side counts.
#[test]
fn an_unreadable_share_is_asked_for_and_an_unreadable_practice_counts_as_four_fifths() {
    let at = |site: &'static str, amperes| One {
        site,
        ..One::iec(amperes)
    };
    assert_eq!(at("practice: ansi", 12.8).level(CIRCUIT), None);
    assert_eq!(
        at("practice: ansi", 12.81).level(CIRCUIT),
        Some((Level::Warning, "house-limit"))
    );
    let unread = "practice: iec, continuous-load: much";
    assert_eq!(at(unread, 12.81).level(CIRCUIT), None);
    let whole = at(unread, 16.01).level(CIRCUIT).map(|(level, _)| level);
    assert_eq!(whole, Some(Level::Error));
}

#[test]
fn a_bank_is_held_to_its_own_breaker() {
    let bank = |amperes| One {
        bank: "breaker: {rating: 10 A}, ",
        site: "practice: iec, continuous-load: 80 %",
        ..One::iec(amperes)
    };
    for (amperes, expected) in [
        (8.0, None),
        (8.01, Some((Level::Warning, "house-limit"))),
        (10.01, Some((Level::Error, "rating"))),
    ] {
        assert_eq!(
            bank(amperes).level("bank-overloaded"),
            expected,
            "{amperes} A"
        );
    }
    assert_eq!(One::iec(30.0).level("bank-overloaded"), None);
}

#[test]
fn a_strip_is_held_to_its_rating_without_a_share() {
    let site = "practice: iec, continuous-load: 80 %";
    let strip = |amperes| One {
        rating: "10 A",
        site,
        ..One::iec(amperes)
    };
    assert_eq!(strip(10.0).level("line-overloaded"), None);
    assert_eq!(
        strip(10.01).level("line-overloaded"),
        Some((Level::Error, "rating"))
    );
}

#[test]
fn a_supply_is_held_to_its_capacity() {
    let supply = |amperes| One {
        capacity: "2.3 kVA",
        ..One::iec(amperes)
    };
    assert_eq!(supply(10.0).level("supply-overloaded"), None);
    assert_eq!(
        supply(10.01).level("supply-overloaded"),
        Some((Level::Error, "whole"))
    );
}

/// Three devices on a delta of 208 V, with these amperes between L1-L2, L2-L3 and L3-L1.
fn delta(amperes: [f64; 3], rating: &str) -> String {
    let [a, b, c] = amperes.map(|amperes| amperes * 208.0);
    format!(
        "site: {{practice: nec, supply-tolerance: 0 %}}
supplies: {{s: {{feed: A, system: \"3/PE ~ 208 V 60 Hz\", capacity: 100 kVA, sequence-proved: yes}}}}
circuits: {{c: {{from: s, poles: [L1, L2, L3], breaker: {{rating: 400 A}}}}}}
pdu-models:
  m:
    rating: {rating}
    banks:
      B1: {{between: L1-L2, outlets: {{1: C19}}}}
      B2: {{between: L2-L3, outlets: {{2: C19}}}}
      B3: {{between: L3-L1, outlets: {{3: C19}}}}
pdus: {{p: {{model: m, from: c}}}}
device-models: {{d: {{voltage: 100–240 V, inlets: {{psu: C20}}}}}}
devices: {{x: {{model: d, draw: {a} VA}}, y: {{model: d, draw: {b} VA}}, z: {{model: d, draw: {c} VA}}}}
cord-types: {{t: {{plug: C20, connector: C19}}}}
cords: {{W-1: {{type: t, from: p/1, to: x/psu}}, W-2: {{type: t, from: p/2, to: y/psu}}, W-3: {{type: t, from: p/3, to: z/psu}}}}
"
    )
}

/// A distributor's published note on unbalanced delta loads: 105, 33 and 33 A between the lines make
/// 124.8, 124.8 and 57.2 A in them.
#[test]
fn unequal_loads_between_lines_add_up_as_published() {
    let found = said("line-overloaded", &delta([105.0, 33.0, 33.0], "100 A"));
    let [finding] = &found[..] else {
        panic!("{found:#?}")
    };
    let working = finding.arithmetic.join("\n");
    assert!(
        working.contains("L1 124.8 A, L2 124.8 A, L3 57.16 A"),
        "{working}"
    );
    assert!(
        working.contains("√(105² + 33² + 105 × 33) = 124.8 A"),
        "{working}"
    );
    // As printed, to the last digit: between 124.75 and 124.85 A.
    let within = |rating| said("line-overloaded", &delta([105.0, 33.0, 33.0], rating));
    assert!(within("124.85 A").is_empty());
    assert_eq!(within("124.75 A").len(), 1);
}

/// Unequal power factors turn the phasors: 10, 5 and 7 A at 0.95, 0.90 and 0.80 make 13.29, 13.64 and
/// 10.95 A, by the law of cosines at each terminal: √(I² + J² − 2 · I · J · cos(120° + φ − ψ)).
#[test]
fn unequal_power_factors_turn_the_phasors() {
    let site = |sequence: &str| {
        let mut text = delta([10.0, 5.0, 7.0], "10 A").replace("sequence-proved: yes", sequence);
        let model = "d: {voltage: 100–240 V, inlets: {psu: C20}}";
        let models = [("x", "0.95"), ("y", "0.90"), ("z", "0.80")].map(|(device, factor)| {
            text = text.replace(
                &format!("{device}: {{model: d"),
                &format!("{device}: {{model: d{device}"),
            );
            format!(
                "d{device}: {{voltage: 100–240 V, power-factor: {factor}, inlets: {{psu: C20}}}}"
            )
        });
        text.replace(model, &models.join(", "))
    };
    let working = |sequence| {
        let found = said("line-overloaded", &site(sequence));
        let [finding] = &found[..] else {
            panic!("{found:#?}")
        };
        finding.arithmetic.join("\n")
    };
    let turn = std::f64::consts::FRAC_PI_6;
    let proved = working("sequence-proved: yes");
    assert!(
        proved.contains("L1 13.29 A, L2 13.64 A, L3 10.95 A"),
        "{proved}"
    );
    assert!(proved.contains("phasor sum on L2"), "{proved}");
    assert!(proved.contains("= 13.64 A"), "{proved}");
    // What a pocket calculator makes of it: 30° more seen back from L1, 30° less on to L3.
    let (back, on) = (0.95f64.acos() + turn, 0.90f64.acos() - turn);
    let in_phase = 10.0 * back.cos() + 5.0 * on.cos();
    let lagging = 10.0 * back.sin() + 5.0 * on.sin();
    assert!(proved.contains(&format!("= {in_phase:.2} A")), "{proved}");
    assert!(proved.contains(&format!("= {lagging:.3} A")), "{proved}");
    // In the other sequence the angles count the other way: L1 has √(10² + 7² − 140 · cos(120° − φ + ψ)).
    let (ab, ca) = (0.95f64.acos(), 0.80f64.acos());
    let other = (149.0 - 140.0 * (std::f64::consts::TAU / 3.0 - ab + ca).cos()).sqrt();
    let open = working("sequence-proved: no");
    assert!(open.contains(&format!("L1 {other:.2} A")), "{open}");
    assert!(open.contains("L1-L3-L2"), "{open}");
}

/// Equal loads between lines: √3 times one of them (any textbook).
#[test]
fn equal_loads_between_lines_make_root_three() {
    // 10 A × √3 = 17.3205 A.
    assert!(said("line-overloaded", &delta([10.0; 3], "17.33 A")).is_empty());
    assert_eq!(
        said("line-overloaded", &delta([10.0; 3], "17.31 A")).len(),
        1
    );
}

/// Loads of so many amperes on L1, L2 and L3 of a star of 400/230 V, with a third-harmonic share.
fn star(amperes: [f64; 3], harmonic: &str, extra: &str, limit: &str) -> String {
    let [a, b, c] = amperes.map(|amperes| amperes * 230.0);
    format!(
        "site: {{practice: iec, supply-tolerance: 0 %{extra}}}
supplies: {{s: {{feed: A, system: \"3/N/PE ~ 400/230 V 50 Hz\", capacity: 100 kVA, sequence-proved: yes}}}}
circuits: {{c: {{from: s, poles: [L1, L2, L3, N], breaker: {{rating: {limit}}}}}}}
pdu-models:
  m:
    rating: {limit}
    banks:
      B1: {{between: L1-N, outlets: {{1: C19}}}}
      B2: {{between: L2-N, outlets: {{2: C19}}}}
      B3: {{between: L3-N, outlets: {{3: C19}}}}
pdus: {{p: {{model: m, from: c}}}}
device-models: {{d: {{voltage: 100–240 V, {harmonic}inlets: {{psu: C20}}}}}}
devices: {{x: {{model: d, draw: {a} VA}}, y: {{model: d, draw: {b} VA}}, z: {{model: d, draw: {c} VA}}}}
cord-types: {{t: {{plug: C20, connector: C19}}}}
cords: {{W-1: {{type: t, from: p/1, to: x/psu}}, W-2: {{type: t, from: p/2, to: y/psu}}, W-3: {{type: t, from: p/3, to: z/psu}}}}
"
    )
}

/// Neutral of unequal loads, a textbook formula: √(Ia² + Ib² + Ic² − IaIb − IbIc − IcIa). 10, 8 and 6 A
/// make 3.46 A; with the last bank lost, 10 and 8 A make √(10² + 8² − 10 · 8) = 9.165 A.
#[test]
fn the_neutral_carries_the_worst_of_all_states() {
    let rule = "neutral-overloaded";
    assert!(said(rule, &star([10.0, 8.0, 6.0], "", "", "9.17 A")).is_empty());
    let found = said(rule, &star([10.0, 8.0, 6.0], "", "", "9.16 A"));
    assert!(!found.is_empty());
    assert!(
        found[0].headline.contains("9.17 A when"),
        "{}",
        found[0].headline
    );
}

/// Third harmonics add up arithmetically (any power-quality textbook): three lines of 10 A with 50 %
/// make 15 A on the neutral, where the fundamentals cancel.
#[test]
fn third_harmonics_add_up_on_the_neutral() {
    let rule = "neutral-overloaded";
    let harmonic = "third-harmonic: 50 %, ";
    let normal = said(rule, &star([10.0; 3], harmonic, "", "14.9 A"));
    assert!(!normal.is_empty());
    // One bank lost: 10 A of fundamental and 10 A of third harmonic, 14.14 A, are less than 15 A.
    assert!(
        normal[0].headline.contains("15 A in normal running"),
        "{}",
        normal[0].headline
    );
    assert!(said(rule, &star([10.0; 3], harmonic, "", "15 A")).is_empty());
}

/// Largest departure from the mean, as a share of it: the measure that motor standards use for voltages.
#[test]
fn unevenness_is_noted_and_then_warned_of() {
    let level = |amperes, extra| {
        let found = said("phase-imbalance", &star(amperes, "", extra, "100 A"));
        assert!(found.len() < 2, "{found:#?}");
        found.first().map(|finding| finding.level)
    };
    // Mean 20 A throughout.
    for (amperes, expected) in [
        ([22.0, 19.0, 19.0], None),
        ([22.1, 19.0, 18.9], Some(Level::Note)),
        ([24.0, 18.0, 18.0], Some(Level::Note)),
        ([24.1, 18.0, 17.9], Some(Level::Warning)),
        ([16.0, 22.0, 22.0], Some(Level::Note)),
        ([15.9, 22.0, 22.1], Some(Level::Warning)),
    ] {
        assert_eq!(level(amperes, ""), expected, "{amperes:?}");
    }
    // A mean below 10 A is passed over, unless the site asks for less.
    assert_eq!(level([15.0, 7.0, 7.9], ""), None);
    assert_eq!(level([15.0, 7.0, 8.0], ""), Some(Level::Warning));
    let own = ", phase-imbalance: {note: 30 %, warning: 60 %, floor: 5 A}";
    assert_eq!(level([15.0, 7.0, 7.9], own), Some(Level::Note));
    assert_eq!(level([12.0, 9.0, 9.0], own), None);
}

/// A device on two circuits, 10 A in all, that moves to one of them; and one of `beside` A on one alone.
fn pair(needed: u32, beside: f64) -> String {
    let (both, beside) = (10.0 * 230.0, beside * 230.0);
    format!(
        "site: {{practice: iec, supply-tolerance: 0 %, continuous-load: 80 %}}
supplies:
  a: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 100 kVA}}
  b: {{feed: B, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 100 kVA}}
circuits:
  c: {{from: a, poles: [L1, N], breaker: {{rating: 16 A}}}}
  e: {{from: b, poles: [L1, N], breaker: {{rating: 16 A}}}}
pdu-models: {{m: {{rating: 32 A, banks: {{B1: {{between: L1-N, outlets: {{1-9: C19}}}}}}}}}}
pdus: {{p: {{model: m, from: c}}, q: {{model: m, from: e}}}}
device-models:
  d: {{voltage: 100–240 V, inlets: {{l: C20, r: C20}}, inlets-needed: {needed}}}
  f: {{voltage: 100–240 V, inlets: {{psu: C20}}}}
devices: {{x: {{model: d, draw: {both} VA}}, y: {{model: f, draw: {beside} VA}}}}
cord-types: {{t: {{plug: C20, connector: C19}}}}
cords:
  W-1: {{type: t, from: p/1, to: x/l}}
  W-2: {{type: t, from: q/1, to: x/r}}
  W-3: {{type: t, from: p/2, to: y/psu}}
"
    )
}

#[test]
fn what_takes_over_is_judged_with_the_load_that_moves() {
    let rule = "failover-overloaded";
    // 10 A move to a circuit that carries 2.8 A besides: 12.8 A is the limit.
    assert!(said(rule, &pair(1, 2.8)).is_empty());
    let found = said(rule, &pair(1, 2.81));
    let [finding] = &found[..] else {
        panic!("{found:#?}")
    };
    assert_eq!(
        (finding.level, finding.kind),
        (Level::Warning, "house-limit")
    );
    assert_eq!(finding.about, ["c"]);
    assert!(
        finding
            .headline
            .starts_with("lose supply b and circuit c carries 12.81 A")
    );
    let working = finding.arithmetic.join("\n");
    assert!(
        working.contains("load moves here from x; normally 7.81 A"),
        "{working}"
    );
    assert_eq!(said(rule, &pair(1, 6.01))[0].kind, "rating");
    // A device that needs both inlets goes down instead: nothing moves, unless its record is wrong.
    assert!(said(rule, &pair(2, 2.8)).is_empty());
    let found = said(rule, &pair(2, 6.01));
    let [finding] = &found[..] else {
        panic!("{found:#?}")
    };
    assert_eq!((finding.level, finding.kind), (Level::Warning, "rating"));
    let unless =
        "if x does not stop when its record says so: lose supply b and circuit c carries 16.01 A";
    assert!(finding.headline.starts_with(unless), "{}", finding.headline);
}

/// What is too much already is not told again, unless a loss makes it worse in kind.
#[test]
fn a_loss_is_silent_where_the_normal_state_speaks() {
    // Normally 13 A, above the policy; with the loss 18 A, above the rating.
    assert_eq!(said("failover-overloaded", &pair(1, 8.0))[0].kind, "rating");
    assert_eq!(said(CIRCUIT, &pair(1, 8.0))[0].kind, "house-limit");
    // Normally 17 A already.
    assert!(said("failover-overloaded", &pair(1, 12.0)).is_empty());
    assert_eq!(said(CIRCUIT, &pair(1, 12.0))[0].kind, "rating");
}

/// A load that nobody knows leaves the sum a lower bound: broken if that is too much, else open.
#[test]
fn an_unknown_load_is_never_a_pass() {
    let site = |beside: f64| {
        let both = format!("draw: {} VA", 10.0 * 230.0);
        pair(1, beside).replace(&format!(", {both}"), "")
    };
    let verdicts = |beside, rule: &str| {
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), site(beside))]);
        let own = judgement.findings.into_iter().filter(|f| f.rule == rule);
        own.map(|f| (f.verdict, f.about.first().cloned().unwrap_or_default()))
            .collect::<Vec<_>>()
    };
    let open = |name: &str| (Verdict::Open, name.into());
    // One open point for the device, whatever it hangs on.
    assert_eq!(verdicts(5.0, CIRCUIT), [open("x")]);
    let broken = (Verdict::Broken, "c".into());
    assert_eq!(verdicts(17.0, CIRCUIT), [broken, open("x")]);
    assert_eq!(verdicts(5.0, "failover-overloaded"), [open("x")]);
    assert_eq!(verdicts(5.0, "supply-overloaded"), [open("x")]);
}

#[test]
fn a_supply_is_judged_with_the_load_that_moves() {
    let rule = "failover-overloaded";
    let site = |capacity: &str| {
        pair(1, 2.0).replace("capacity: 100 kVA", &format!("capacity: {capacity}"))
    };
    // 12 A at 230 V are 2.76 kVA.
    assert!(said(rule, &site("2.76 kVA")).is_empty());
    let found = said(rule, &site("2.75 kVA"));
    let [finding] = &found[..] else {
        panic!("{found:#?}")
    };
    assert_eq!((finding.kind, finding.about[0].as_str()), ("whole", "a"));
}

/// NEC Table 210.21(B)(3) for 15, 20 and 30 A; 10 and 16 A outlets behind 16 A as Europe makes them.
#[test]
fn outlets_stand_behind_what_they_may() {
    let is_bare = |practice: &str, outlet: &str, breaker: &str| {
        let text = One::iec(1.0).text();
        let text = text.replace("practice: iec", &format!("practice: {practice}"));
        let text = text.replace("1-9: C19", &format!("1-9: {outlet}"));
        let text = text.replace(
            "breaker: {rating: 16 A}",
            &format!("breaker: {{rating: {breaker}}}"),
        );
        !said("outlet-unprotected", &text).is_empty()
    };
    for (practice, outlet, within, beyond) in [
        ("iec", "C13", "16 A", "16.1 A"),
        ("iec", "C19", "16 A", "20 A"),
        ("nec", "C13", "20 A", "20.1 A"),
        ("nec", "{coupler: C13, rating: 15 A}", "20 A", "25 A"),
        ("nec", "NEMA 5-15", "20 A", "25 A"),
        ("nec", "NEMA 5-20", "20 A", "25 A"),
        ("nec", "NEMA L6-30", "30 A", "30.1 A"),
    ] {
        assert!(
            !is_bare(practice, outlet, within),
            "{practice} {outlet} {within}"
        );
        assert!(
            is_bare(practice, outlet, beyond),
            "{practice} {outlet} {beyond}"
        );
    }
}

/// Two outlets whose coupler is written once and repeated, of which the second is rated less.
#[test]
fn an_outlet_is_not_taken_for_another_of_the_same_words() {
    let outlets = "1-8: {coupler: &face C19, rating: 16 A}, 9: {coupler: *face, rating: 2 A}";
    let text = One::iec(1.0).text().replace("1-9: C19", outlets);
    let found = said("outlet-unprotected", &text);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].headline.starts_with("outlet 9 "), "{found:?}");
}
