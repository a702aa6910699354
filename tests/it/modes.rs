//! Faults in each mode of a supply, worked out by hand: at, just below and just above each limit.
//!
//! One circuit and one cord: 0.2 ohm of wiring and 0.05 ohm of cord, line and earth alike, so that the loop has 0.5 ohm
//! of conductors. Behind each case stands the sum, and where its limit is from.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

const EDITION: &str = "edition: IEC 60364-4-41:2005+A1:2017";

/// What differs from one case to the next.
struct Case<'a> {
    site: &'a str,
    supply: &'a str,
    breaker: &'a str,
    circuit: &'a str,
    cord: &'a str,
}

const CASE: Case<'static> = Case {
    site: EDITION,
    supply: "",
    breaker: "rating: 16 A, curve: C, breaking-capacity: 6 kA",
    circuit: "",
    cord: "conductor: 1.5 mm², resistance: 0.05 ohm",
};

impl Case<'_> {
    fn said(&self, rule: &str) -> Vec<Finding> {
        let Self {
            site,
            supply,
            breaker,
            circuit,
            cord,
        } = self;
        let text = format!(
            "site: {{practice: iec, country: DE, ambient: 25 °C, {site}}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", {supply}}}}}
circuits: {{c: {{from: s, poles: [L1, N], breaker: {{{breaker}}}, receptacle: IEC 60309 16 A 2P+E 6h, wiring: {{length: 20 m, insulation: pvc-70, conductor: 4 mm², resistance: 0.2 ohm, earth-resistance: 0.2 ohm}}{circuit}}}}}
device-models: {{box: {{class: I, voltage: 220–240 V, rating: 500 W, power-factor: 0.97, inlets: {{psu: C14}}}}}}
devices: {{box-1: {{model: box, draw: 300 W}}}}
cord-types: {{lead: {{plug: IEC 60309 16 A 2P+E 6h, connector: C13, cordage: H05VV-F, length: 2 m, rating: 10 A, {cord}}}}}
cords: {{w: {{type: lead, from: c, to: box-1/psu}}}}
"
        );
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
        assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
        let found = judgement.findings.into_iter();
        found.filter(|found| found.rule == rule).collect()
    }

    /// What a rule says, in one word.
    #[track_caller]
    fn says(&self, rule: &str) -> &'static str {
        let found = self.said(rule);
        assert!(found.len() < 2, "{found:#?}");
        match found.first() {
            None => "nothing",
            Some(found) if found.verdict == Verdict::Open => "open",
            Some(found) => match found.level {
                Level::Note => "note",
                Level::Warning => "warning",
                _ => "error",
            },
        }
    }

    /// What is asked, by its whole key.
    fn asks(&self, rule: &str) -> Vec<String> {
        let found = self.said(rule);
        let wants = found.iter().flat_map(|found| &found.wants);
        wants.map(|fact| fact.full_key()).collect()
    }
}

fn inverter(figures: &str) -> String {
    format!("modes: {{inverter: {{fault-current: {{{figures}}}, earthing: TN-S}}}}")
}

fn disconnection(supply: &str, breaker: &str) -> &'static str {
    let breaker = format!("{breaker}, breaking-capacity: 6 kA");
    let case = Case {
        supply,
        breaker: &breaker,
        ..CASE
    };
    case.says("slow-disconnection")
}

/// What a UPS drives on its inverter, as a multiple of its rated current, by the data sheets of several: 2.7 times for
/// 200 ms, then 1.5 times for 300 ms, then nothing. A 16 A breaker is sure to open at once from 5 (B), 10 (C) or 20 (D)
/// times its rating (IEC 60898-1 Table 7): 80, 160, 320 A, so that the UPS needs 16 × m ÷ k. What opens nothing takes
/// it down within 0.4 s (IEC 60364-4-41 Table 41.1, 230 V).
#[test]
fn a_breaker_opens_on_the_inverter_from_so_large_a_ups_on() {
    for (curve, multiple, rated, expected) in [
        ("B", 2.7, 29.6, "note"),     // 79.92 A
        ("B", 2.7, 29.7, "nothing"),  // 80.19 A
        ("B", 2.7, 30.0, "nothing"),  // 81 A
        ("B", 1.5, 53.3, "note"),     // 79.95 A
        ("B", 1.5, 53.4, "nothing"),  // 80.1 A
        ("C", 2.7, 24.0, "note"),     // 64.8 A: a UPS of 5.5 kVA
        ("C", 2.7, 59.2, "note"),     // 159.84 A
        ("C", 2.7, 59.3, "nothing"),  // 160.11 A
        ("C", 1.5, 106.6, "note"),    // 159.9 A
        ("C", 1.5, 106.7, "nothing"), // 160.05 A
        ("D", 2.7, 118.5, "note"),    // 319.95 A
        ("D", 2.7, 118.6, "nothing"), // 320.22 A
        ("D", 1.5, 213.3, "note"),    // 319.95 A
        ("D", 1.5, 213.4, "nothing"), // 320.1 A
    ] {
        let figures = format!("smallest: {:.2} A, lasts: 200 ms", multiple * rated);
        let breaker = format!("rating: 16 A, curve: {curve}");
        let said = disconnection(&inverter(&figures), &breaker);
        assert_eq!(said, expected, "{curve} {multiple} {rated}");
    }
    // At the limit, and what lasts too short for a time that the standard of breakers knows (0.1 s).
    let opens = |figures: &str| disconnection(&inverter(figures), "rating: 16 A, curve: B");
    assert_eq!(opens("smallest: 80 A, lasts: 200 ms"), "nothing");
    assert_eq!(opens("smallest: 80 A, lasts: 100 ms"), "nothing");
    assert_eq!(opens("smallest: 80 A, lasts: 99 ms"), "note");
}

/// IEC 60364-4-41:2005+A1:2017 411.3.2.5 and Annex D: where no device opens in time, it is enough that the voltage of
/// the electronics falls to 50 V within the time of the table and is off within 5 s. The loop has 0.5 ohm: 100 A leave
/// 50 V. Off within 0.4 s it needs no low voltage.
#[test]
fn an_inverter_may_go_down_in_the_place_of_a_breaker() {
    for (largest, lasts, expected) in [
        ("90 A", "5 s", "note"),
        ("90 A", "5.1 s", "warning"),
        ("99 A", "2 s", "note"),     // 49.5 V
        ("100 A", "2 s", "note"),    // 50 V
        ("101 A", "2 s", "warning"), // 50.5 V
        ("150 A", "400 ms", "note"),
        ("150 A", "410 ms", "warning"),
        // From 160 A on the breaker opens: 160 A × 0.5 ohm are 80 V.
        ("400 A", "2 s", "warning"),
        ("400 A", "400 ms", "note"),
    ] {
        let figures = format!("smallest: 54 A, largest: {largest}, lasts: {lasts}");
        let said = disconnection(&inverter(&figures), "rating: 16 A, curve: C");
        assert_eq!(said, expected, "{largest} {lasts}");
    }
}

/// The casing has the voltage along its protective conductor of 0.25 ohm: 200 A leave 50 V on it (IEC 60364-4-41
/// 411.3.2.1, the conventional touch voltage). A D breaker of 16 A opens from 320 A on.
#[test]
fn only_above_50_v_on_the_casing_it_may_kill() {
    for (largest, kills) in [("199 A", false), ("200 A", false), ("201 A", true)] {
        let supply = inverter(&format!("smallest: 54 A, largest: {largest}, lasts: 2 s"));
        let case = Case {
            supply: &supply,
            breaker: "rating: 16 A, curve: D",
            ..CASE
        };
        let found = case.said("slow-disconnection");
        let headline = &found[0].headline;
        assert_eq!(headline.contains("kill"), kills, "{headline}");
        assert!(headline.contains("on the inverter: 54 A"), "{headline}");
    }
}

/// Editions: of BS 7671:2018 the clause was read, of its amendment 2 it was not; without an edition either may bind.
#[test]
fn whether_it_may_go_down_is_for_the_edition_to_say() {
    let supply = inverter("smallest: 54 A, lasts: 300 ms");
    for (site, expected) in [
        (EDITION, "note"),
        ("edition: BS 7671:2018", "note"),
        ("edition: BS 7671:2018+A2:2022", "open"),
        ("edition: IEC 60364-4-41:2005", "open"),
        ("note: no edition", "open"),
    ] {
        let case = Case {
            site,
            supply: &supply,
            ..CASE
        };
        assert_eq!(case.says("slow-disconnection"), expected, "{site}");
    }
}

/// 0.95 × 230 V around 0.5 ohm and the source, U0 ÷ I, must drive 160 A: the loop may have 1.3656 ohm, the source
/// 0.8656 ohm, which is 265.7 A (BS 7671 411.4.4, Cmin).
#[test]
fn a_generator_is_an_impedance_and_its_smallest_current_decides() {
    for (smallest, expected) in [("265 A", "warning"), ("266 A", "nothing")] {
        for supply in [
            format!("earthing: TN-S, fault-current: {{largest: 3 kA, smallest: {smallest}}}"),
            format!(
                "modes: {{mains: {{fault-current: 3 kA}}, generator: {{fault-current: {{largest: 1 kA, smallest: {smallest}, lasts: 10 s}}, earthing: TN-S}}}}, earthing: TN-S"
            ),
        ] {
            let said = disconnection(&supply, "rating: 16 A, curve: C");
            assert_eq!(said, expected, "{supply}");
        }
    }
    // Excitation that holds for 99 ms holds for no breaker; a generator is not off after that.
    let brief = "modes: {generator: {fault-current: {largest: 1 kA, smallest: 300 A, lasts: 99 ms}, earthing: TN-S}}";
    assert_eq!(disconnection(brief, "rating: 16 A, curve: C"), "warning");
}

/// A residual current device of 30 mA needs 0.15 A (IEC 61008-1 Table 1: 40 ms at five times), and a neutral that is
/// bonded to earth in the mode that feeds.
#[test]
fn a_residual_current_device_counts_where_the_mode_keeps_its_bond() {
    for (earthing, expected) in [
        (", earthing: TN-S", "nothing"),
        (", earthing: TN-C-S", "nothing"),
        ("", "open"),
        (", earthing: solid", "open"),
    ] {
        let supply = format!(
            "earthing: TN-S, modes: {{inverter: {{fault-current: {{smallest: 54 A, lasts: 300 ms}}{earthing}}}}}"
        );
        let case = Case {
            supply: &supply,
            circuit: ", rcd: 30 mA",
            ..CASE
        };
        assert_eq!(case.says("slow-disconnection"), expected, "{earthing}");
        let asked = case.asks("slow-disconnection");
        assert!(
            asked.iter().all(|key| key == "modes.inverter.earthing"),
            "{asked:?}"
        );
    }
}

/// The mains and the bypass are earthed as the supply is; a mode takes no figure from another.
#[test]
fn what_a_mode_does_not_say_is_asked_once_for_the_supply() {
    let supply = "earthing: TN-S, modes: {bypass: {fault-current: {largest: 5 kA}}, inverter: {fault-current: {largest: 90 A, smallest: 54 A}}, generator: {earthing: TN-S}}";
    let case = Case { supply, ..CASE };
    assert_eq!(
        case.asks("slow-disconnection"),
        [
            "modes.bypass.fault-current.smallest",
            "modes.inverter.earthing",
            "modes.inverter.fault-current.lasts",
            "modes.generator.fault-current",
        ]
    );
    assert_eq!(
        case.asks("breaking-capacity"),
        ["modes.generator.fault-current"]
    );
    assert_eq!(case.says("slow-disconnection"), "open");
    let thin = Case {
        cord: "conductor: 0.75 mm², resistance: 0.05 ohm",
        ..case
    };
    assert_eq!(
        thin.asks("fault-withstand"),
        [
            "modes.bypass.fault-current.smallest",
            "modes.inverter.fault-current.lasts",
            "modes.generator.fault-current"
        ]
    );
}

/// A maximum that the utility declares says nothing of the least: 16 kA on paper may be 0.8 ohm.
#[test]
fn a_declared_maximum_answers_breaking_capacity_alone() {
    for figures in ["largest: 5.9 kA", "prospective: 5.9 kA, of: declared"] {
        let supply = format!("earthing: TN-S, fault-current: {{{figures}}}");
        let case = Case {
            supply: &supply,
            ..CASE
        };
        assert_eq!(case.says("breaking-capacity"), "nothing");
        assert_eq!(case.asks("slow-disconnection"), ["fault-current.smallest"]);
        // Measured where it is plugged in: 0.95 × 230 V ÷ (0.5 × 1.275 + 0.1) ohm = 296 A.
        let case = Case {
            circuit: ", at-receptacle: {earth-loop: 0.5 ohm, source: report 7}",
            ..case
        };
        assert_eq!(case.says("slow-disconnection"), "nothing", "{figures}");
    }
}

/// IEC 60364-4-43 434.5.1: at the limit it breaks. IEC 60909-0 Table 1: 1.10 on what was computed at nominal voltage;
/// what fails by that alone is a warning.
#[test]
fn breaking_capacity_takes_the_largest_of_all_modes() {
    for (supply, expected) in [
        ("fault-current: {largest: 6 kA, smallest: 1 kA}", "nothing"),
        ("fault-current: {largest: 6.01 kA, smallest: 1 kA}", "error"),
        (
            "modes: {bypass: {fault-current: 6 kA}, mains: {fault-current: 3 kA}}",
            "nothing",
        ),
        (
            "modes: {bypass: {fault-current: 6.01 kA}, mains: {fault-current: 3 kA}}",
            "error",
        ),
        (
            "fault-current: {prospective: 5.45 kA, of: computed}",
            "nothing",
        ), // 5.995 kA
        (
            "fault-current: {prospective: 5.46 kA, of: computed}",
            "warning",
        ), // 6.006 kA
        ("fault-current: {largest: 5.46 kA, of: measured}", "warning"),
        ("fault-current: {largest: 6.01 kA, of: computed}", "error"),
        ("fault-current: {largest: 6 kA, of: declared}", "nothing"),
        (
            "fault-current: {prospective: 5.45 kA, of: somehow}",
            "nothing",
        ),
        ("fault-current: {prospective: 5.46 kA, of: somehow}", "open"),
    ] {
        let case = Case { supply, ..CASE };
        assert_eq!(case.says("breaking-capacity"), expected, "{supply}");
    }
    let case = Case {
        supply: "modes: {bypass: {fault-current: 6.01 kA}, mains: {fault-current: 3 kA}}",
        ..CASE
    };
    let headline = &case.said("breaking-capacity")[0].headline;
    assert!(
        headline.contains("6.01 kA can flow there on bypass"),
        "{headline}"
    );
}

/// Symmetrical components: I1 ÷ I3 = 3 X″d ÷ (X″d + X2 + X0), always less than 3. With X″d = X2 = 15 %, X0 = 5 % it is
/// 1.29: 2.01 kA between the lines are 2.58 kA to earth.
#[test]
fn a_generator_may_drive_more_to_earth_than_between_its_lines() {
    for (figures, earthing, expected) in [
        ("largest: 2 kA", "TN-S", "nothing"), // below 6 kA whatever X2 and X0 are
        ("largest: 2.01 kA", "TN-S", "open"),
        ("largest: 2.01 kA", "IT", "nothing"),
        ("largest: 2.01 kA, earth: 2.58 kA", "TN-S", "nothing"),
        ("largest: 4.65 kA, earth: 6 kA", "TN-S", "nothing"),
        ("largest: 4.65 kA, earth: 6.01 kA", "TN-S", "error"),
    ] {
        let supply = format!(
            "modes: {{generator: {{fault-current: {{{figures}, smallest: 500 A}}, earthing: {earthing}}}}}"
        );
        let case = Case {
            supply: &supply,
            ..CASE
        };
        assert_eq!(case.says("breaking-capacity"), expected, "{supply}");
    }
}

/// IEC 60364-4-43 434.5.2: 0.75 mm² in PVC bears (115 × 0.75)² = 7 439 A²s. On the inverter the current flows until it
/// is off, if no breaker has opened. A C breaker of 16 A is sure to open at once from 160 A on: just below that it
/// need not.
#[test]
fn what_a_cord_bears_is_judged_over_all_that_may_flow() {
    for (figures, expected) in [
        ("smallest: 54 A, largest: 54 A, lasts: 2.55 s", "nothing"), // 7 436 A²s
        ("smallest: 54 A, largest: 54 A, lasts: 2.56 s", "warning"), // 7 465 A²s
        ("smallest: 30 A, largest: 60 A, lasts: 2 s", "nothing"),    // 7 200 A²s
        ("smallest: 30 A, largest: 61 A, lasts: 2 s", "warning"),    // 7 442 A²s
        ("smallest: 54 A, largest: 200 A, lasts: 290 ms", "nothing"), // 160 A: 7 424 A²s
        ("smallest: 54 A, largest: 200 A, lasts: 300 ms", "warning"), // 160 A: 7 680 A²s
        ("smallest: 170 A, largest: 200 A, lasts: 300 ms", "nothing"), // 0.1 s: 4 000 A²s
    ] {
        let supply = inverter(figures);
        let case = Case {
            supply: &supply,
            cord: "conductor: 0.75 mm², resistance: 0.05 ohm",
            ..CASE
        };
        assert_eq!(case.says("fault-withstand"), expected, "{figures}");
    }
}

/// What cannot be read, or contradicts itself, is open for every rule that it concerns, and never a default.
#[test]
fn what_cannot_be_read_of_modes_is_open() {
    for supply in [
        "earthing: TN-S, modes: {}",
        "earthing: TN-S, modes: [mains]",
        "earthing: TN-S, modes: {mains: {fault-current: 3 kA}, invertor: {fault-current: 90 A}}",
        "earthing: TN-S, modes: {mains: {fault-current: {largest: 1 kA, smallest: 3 kA}}}",
        "earthing: TN-S, modes: {mains: {fault-current: 0}}",
        "earthing: TN-S, modes: {mains: 3 kA}",
        "earthing: TN-S, fault-current: {largest: 1 kA, smallest: 3 kA}",
        "earthing: TN-S, fault-current: 0",
        "earthing: TN-S, fault-current: {}",
    ] {
        let case = Case { supply, ..CASE };
        for rule in ["breaking-capacity", "slow-disconnection"] {
            assert_eq!(case.says(rule), "open", "{rule} {supply}");
        }
    }
    let beside = "earthing: TN-S, fault-current: 90 kA, modes: {mains: {fault-current: 3 kA}}";
    let case = Case {
        supply: beside,
        ..CASE
    };
    assert_eq!(case.says("bad-quantity"), "error");
    assert_eq!(case.says("breaking-capacity"), "nothing");
}

/// An inverter that may be off before a breaker opens, and a supply of which nobody says that it is one.
#[test]
fn how_long_it_lasts_is_asked_where_it_decides() {
    let case = |supply| Case { supply, ..CASE };
    let supply = "modes: {inverter: {fault-current: {smallest: 300 A}, earthing: TN-S}}";
    assert_eq!(
        case(supply).asks("slow-disconnection"),
        ["modes.inverter.fault-current.lasts"]
    );
    let unread =
        "modes: {inverter: {fault-current: {smallest: 300 A, lasts: long}, earthing: TN-S}}";
    assert_eq!(
        case(unread).asks("slow-disconnection"),
        ["modes.inverter.fault-current.lasts"]
    );
    let alone = "earthing: TN-S, fault-current: {prospective: 90 A, lasts: 300 ms}";
    assert_eq!(case(alone).asks("slow-disconnection"), ["modes"]);
    let unread = "earthing: TN-S, fault-current: {prospective: 900 A, lasts: long}";
    assert_eq!(
        case(unread).asks("slow-disconnection"),
        ["fault-current.lasts"]
    );
}
