//! The rules of conductors at, just below and just above their limits.

use cordwright::finding::Verdict;

use crate::site::judged;

/// What differs from one test site to the next.
struct Case<'a> {
    practice: &'a str,
    supply: &'a str,
    circuit: &'a str,
    model: &'a str,
    draw: &'a str,
    kind: &'a str,
    cord: &'a str,
}

/// A sound site: one circuit, one cord at its receptacle, one device.
const SOUND: Case<'static> = Case {
    practice: "iec, country: GB, voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}",
    supply: "fault-current: 1 kA, earthing: TN-S",
    circuit: "breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}, wiring: {conductor: 4 mm², length: 5 m, insulation: pvc-70}",
    model: "rating: 16 A",
    draw: "5 A",
    kind: "conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m",
    cord: "",
};

impl Case<'_> {
    fn yaml(&self) -> String {
        let Self {
            practice,
            supply,
            circuit,
            model,
            draw,
            kind,
            cord,
        } = self;
        format!(
            "site: {{practice: {practice}, supply-tolerance: 0 %, ambient: 25 °C}}\n\
             supplies:\n  s: {{system: 1/N/PE ~ 230 V 50 Hz, capacity: 10 kVA, {supply}}}\n\
             circuits:\n  c: {{from: s, poles: [L1, N], receptacle: IEC 60309 16 A 2P+E 6h, {circuit}}}\n\
             device-models:\n  m: {{class: I, voltage: 230–240 V, {model}, inlets: {{i: C20}}}}\n\
             devices:\n  d: {{model: m, draw: {draw}}}\n\
             cord-types:\n  t: {{plug: IEC 60309 16 A 2P+E 6h, connector: C19, rating: 16 A, {kind}}}\n\
             cords:\n  w: {{type: t, from: c, to: d/i{cord}}}\n"
        )
    }

    /// How often a rule finds something broken, and how often it leaves something open.
    #[track_caller]
    fn says(&self, rule: &str) -> (usize, usize) {
        let judgement = judged(&vec![("cordwright.yaml".into(), self.yaml())]);
        assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
        let unread = judgement
            .findings
            .iter()
            .find(|finding| finding.rule == "unreadable-file");
        assert!(unread.is_none(), "{unread:?}");
        let own = judgement
            .findings
            .iter()
            .filter(|finding| finding.rule == rule);
        let broken = own
            .clone()
            .filter(|finding| finding.verdict == Verdict::Broken)
            .count();
        (broken, own.count() - broken)
    }
}

const SILENT: (usize, usize) = (0, 0);
const BROKEN: (usize, usize) = (1, 0);
const OPEN: (usize, usize) = (0, 1);

#[test]
fn a_sound_site_is_silent() {
    for rule in [
        "conductor-underrated",
        "conductor-below-minimum",
        "conductor-unprotected",
        "fault-withstand",
        "slow-disconnection",
        "breaking-capacity",
        "voltage-drop",
    ] {
        assert_eq!(SOUND.says(rule), SILENT, "{rule}");
    }
}

/// BS 7671 Table 4F3A: 1.5 mm² carries 16 A. The cord itself loses a few millivolts, so that a load of
/// 3 680 W at 230 V takes a little more than 16 A.
#[test]
fn capacity_is_met_from_below_and_passed_from_above() {
    for (draw, expected) in [
        ("3600 VA", SILENT),
        ("3650 VA", SILENT),
        ("3680 VA", BROKEN),
    ] {
        let wiring = "breaker: {rating: 16 A, curve: C}, wiring: {conductor: 10 mm², length: 0.1 m, insulation: pvc-70}";
        let case = Case {
            draw,
            circuit: wiring,
            ..SOUND
        };
        assert_eq!(case.says("conductor-underrated"), expected, "{draw}");
    }
}

/// The notes to BS 7671 Tables 4F1A and 4F2A: two layers carry 0.65 of the free cord, 10.4 A of 16 A.
#[test]
fn a_coil_carries_less() {
    let cord = ", surplus: coiled";
    for (draw, cord, expected) in [
        ("2350 VA", cord, SILENT),
        ("2420 VA", cord, BROKEN),
        ("2420 VA", "", SILENT),
    ] {
        let case = Case {
            draw,
            cord,
            ..SOUND
        };
        assert_eq!(case.says("conductor-underrated"), expected, "{draw}");
    }
}

#[test]
fn an_unknown_load_is_left_open_once() {
    let case = Case { draw: "?", ..SOUND };
    assert_eq!(case.says("conductor-underrated"), OPEN);
    assert_eq!(case.says("voltage-drop"), OPEN);
}

/// IEC 60799 Table 1: a C19 needs 1.0 mm² up to 2 m and 1.5 mm² beyond.
#[test]
fn least_sections_hold_at_two_metres_and_not_beyond() {
    for (kind, expected) in [
        ("conductor: 1.0 mm², cordage: H05VV-F, length: 2 m", SILENT),
        (
            "conductor: 1.0 mm², cordage: H05VV-F, length: 2.01 m",
            BROKEN,
        ),
        ("conductor: 0.75 mm², cordage: H05VV-F, length: 2 m", BROKEN),
        (
            "conductor: 1.5 mm², cordage: H05VV-F, length: 2.01 m",
            SILENT,
        ),
    ] {
        assert_eq!(
            Case { kind, ..SOUND }.says("conductor-below-minimum"),
            expected,
            "{kind}"
        );
    }
}

/// A type that is too thin is told once, not again for a cord of it with a length of its own.
#[test]
fn a_thin_type_is_told_before_its_cords() {
    let said = |length, cord| {
        let kind = format!("conductor: 1.0 mm², cordage: H05VV-F, length: {length}");
        let case = Case {
            kind: &kind,
            cord,
            ..SOUND
        };
        case.says("conductor-below-minimum")
    };
    assert_eq!(said("2.5 m", ", length: 3 m"), BROKEN);
    assert_eq!(said("2 m", ", length: 3 m"), BROKEN);
    assert_eq!(said("2 m", ", length: 1 m"), SILENT);
}

/// IEC 60364-4-43 433.1 with 1.0 mm² (10 A) behind 16 A: the nameplate decides.
#[test]
fn the_nameplate_may_reach_the_capacity() {
    let kind = "conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m";
    for (model, expected) in [
        ("rating: 9.9 A", SILENT),
        ("rating: 10 A", SILENT),
        ("rating: 10.1 A", BROKEN),
    ] {
        assert_eq!(
            Case {
                kind,
                model,
                ..SOUND
            }
            .says("conductor-unprotected"),
            expected,
            "{model}"
        );
    }
    let breaker = "breaker: {rating: 10 A, curve: C}, wiring: {conductor: 4 mm², length: 5 m, insulation: pvc-70}";
    let at = Case {
        kind,
        model: "rating: 16 A",
        circuit: breaker,
        ..SOUND
    };
    assert_eq!(at.says("conductor-unprotected"), SILENT);
}

/// k²S² of 1.0 mm² PVC is 115² = 13 225 A²s (IEC 60364-4-43 434.5.2, Table 43A).
#[test]
fn let_through_may_reach_what_is_borne() {
    let kind = "conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m";
    for (let_through, expected) in [
        ("13.22 kA²s", SILENT),
        ("13225 A²s", SILENT),
        ("13.23 kA²s", BROKEN),
    ] {
        let circuit = format!(
            "breaker: {{rating: 16 A, curve: C, let-through: {let_through}}}, wiring: {{conductor: 4 mm², length: 5 m, insulation: pvc-70}}"
        );
        let case = Case {
            kind,
            circuit: &circuit,
            ..SOUND
        };
        assert_eq!(case.says("fault-withstand"), expected, "{let_through}");
    }
    assert_eq!(Case { kind, ..SOUND }.says("fault-withstand"), OPEN);
}

/// UL 489 fixes no instantaneous trip: of 218.5 V, 0.23 Ω of the source and twice the wiring, 27, 10 and
/// 4 times 16 A come about at the end of the cord.
#[test]
fn an_inverse_time_breaker_is_judged_only_where_its_trip_is_sure() {
    for (curve, ohms, expected) in [
        ("inverse-time", 0.1, SILENT),
        ("inverse-time", 0.5, OPEN),
        ("C", 0.5, SILENT),
        ("inverse-time", 1.7, BROKEN),
    ] {
        let circuit = format!(
            "breaker: {{rating: 16 A, curve: {curve}, let-through: 13 kA²s}}, wiring: {{conductor: 4 mm², length: 5 m, insulation: pvc-70, resistance: {ohms} ohm}}"
        );
        let case = Case {
            kind: "conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m",
            circuit: &circuit,
            ..SOUND
        };
        assert_eq!(case.says("fault-withstand"), expected, "{curve}, {ohms}");
    }
}

/// BS 7671 Table 41.3: a C16 needs a loop of at most 1.37 Ω (1.365 625 Ω before rounding). Of it 0.23 Ω
/// are the source's and 2 × 0.067 812 5 Ω the cord's, which leaves 2 × 0.5 Ω for the wiring.
#[test]
fn the_loop_may_reach_the_limit() {
    let kind = "conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, resistance: 0.0678125 ohm";
    for (ohms, expected) in [("0.4999", SILENT), ("0.5", SILENT), ("0.5001", BROKEN)] {
        let circuit = format!(
            "breaker: {{rating: 16 A, curve: C}}, wiring: {{conductor: 4 mm², length: 5 m, insulation: pvc-70, resistance: {ohms} ohm, earth-resistance: {ohms} ohm}}"
        );
        let case = Case {
            kind,
            circuit: &circuit,
            ..SOUND
        };
        assert_eq!(case.says("slow-disconnection"), expected, "{ohms}");
        let circuit = format!("{circuit}, rcd: 30 mA");
        let case = Case {
            kind,
            circuit: &circuit,
            ..SOUND
        };
        assert_eq!(case.says("slow-disconnection"), SILENT, "{ohms}");
    }
}

#[test]
fn earthing_that_the_table_does_not_settle_is_left_open() {
    for (supply, expected) in [
        ("fault-current: 1 kA", OPEN),
        ("fault-current: 1 kA, earthing: TT", (1, 0)),
        ("fault-current: 1 kA, earthing: IT", OPEN),
        ("earthing: TN-S", OPEN),
        ("fault-current: 1 kA, earthing: TN-C-S", SILENT),
    ] {
        assert_eq!(
            Case { supply, ..SOUND }.says("slow-disconnection"),
            expected,
            "{supply}"
        );
    }
}

#[test]
fn breaking_capacity_may_equal_the_fault_current() {
    for (supply, expected) in [
        ("fault-current: 5.99 kA, earthing: TN-S", SILENT),
        ("fault-current: 6 kA, earthing: TN-S", SILENT),
        ("fault-current: 6.01 kA, earthing: TN-S", BROKEN),
        ("earthing: TN-S", OPEN),
    ] {
        assert_eq!(
            Case { supply, ..SOUND }.says("breaking-capacity"),
            expected,
            "{supply}"
        );
    }
}

/// 2 × 10 A × 0.115 Ω are 2.3 V, 1 % of 230 V.
#[test]
fn a_drop_just_below_its_limit_passes() {
    for (ohms, expected) in [("0.110", SILENT), ("0.120", BROKEN)] {
        let kind =
            format!("conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, resistance: {ohms} ohm");
        let case = Case {
            kind: &kind,
            draw: "2270 VA",
            ..SOUND
        };
        assert_eq!(case.says("voltage-drop"), expected, "{ohms}");
    }
}

#[test]
fn without_limits_only_a_collapse_is_said() {
    let practice = "iec, country: GB";
    let kind = "conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, resistance: 1 ohm";
    assert_eq!(
        Case {
            practice,
            kind,
            draw: "2 kVA",
            ..SOUND
        }
        .says("voltage-drop"),
        SILENT
    );
    assert_eq!(
        Case {
            practice,
            kind,
            draw: "9 kVA",
            ..SOUND
        }
        .says("voltage-drop"),
        BROKEN
    );
}

/// NEC Table 310.16, copper: 8 AWG carries 40 A in the 60 °C column, and 50 A in that for 75 °C (110.14(C)).
#[test]
fn terminals_that_are_marked_for_more_carry_more() {
    let says = |terminals: &str| {
        let mut base = crate::pages::bases()["base-nec.yaml"].clone();
        let wiring = "wiring: {conductor: 12 AWG, length: 10 m, insulation: thhn}";
        let thick =
            format!("wiring: {{conductor: 8 AWG, length: 10 m, insulation: thhn{terminals}}}");
        base = base.replacen("breaker: {rating: 20 A,", "breaker: {rating: 50 A,", 1);
        base = base.replacen(wiring, &thick, 1);
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), base)]);
        let own = judgement.findings.into_iter();
        let own: Vec<_> = own
            .filter(|found| found.rule == "conductor-unprotected")
            .collect();
        let about = own
            .iter()
            .filter(|found| found.about.iter().any(|name| name == "A-1"));
        about
            .map(|found| (found.verdict, found.wants.len()))
            .collect::<Vec<_>>()
    };
    assert_eq!(says(", terminals: 75 °C"), []);
    assert_eq!(says(", terminals: 90 °C"), []);
    for low in ["", ", terminals: 60 °C", ", terminals: 74 °C"] {
        assert_eq!(says(low), [(Verdict::Broken, 0)], "{low}");
    }
    assert_eq!(says(", terminals: hot"), [(Verdict::Open, 1)]);
}

/// BS 7671 Table 4F3A: 1.5 mm² carries 16 A; in air at 40 °C times 0.82 as a 60 °C cord = 13.1 A, and all of
/// it as one of 90 °C.
#[test]
fn cordage_marked_below_its_type_bears_no_more_than_its_mark() {
    let says = |mark: &str| {
        let kind = format!("conductor: 1.5 mm², cordage: H05V2V2-F, length: 1.5 m{mark}");
        let case = Case {
            draw: "14 A",
            kind: &kind,
            ..SOUND
        };
        let yaml = case.yaml().replace("ambient: 25 °C", "ambient: 40 °C");
        let judgement = judged(&vec![("cordwright.yaml".into(), yaml)]);
        let own = judgement.findings.into_iter();
        let own = own.filter(|found| found.rule == "conductor-underrated");
        own.map(|found| {
            let wants = found.wants.iter().map(|fact| fact.key.to_string());
            (found.verdict, wants.collect::<Vec<_>>())
        })
        .collect::<Vec<_>>()
    };
    for bears in ["", ", temperature: 90 °C", ", temperature: 105 °C"] {
        assert_eq!(says(bears), [], "{bears}");
    }
    for cool in [", temperature: 60 °C", ", temperature: 70 °C"] {
        assert_eq!(says(cool), [(Verdict::Broken, vec![])], "{cool}");
    }
    let unread = says(", temperature: warm");
    assert_eq!(unread, [(Verdict::Open, vec!["temperature".to_owned()])]);
}

/// The same of the cord of a strip: 2.5 mm² H05VV-F carries 25 A, H05V2V2-F in air at 50 °C all of it, and
/// marked for 60 °C 0.58 of it (BS 7671 Table 4F3A).
#[test]
fn the_cord_of_a_strip_that_is_marked_below_its_type_bears_its_mark() {
    let says = |mark: &str| {
        let mut base = crate::pages::bases()["base-iec.yaml"].clone();
        let cord = "cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}";
        assert!(base.contains(cord) && base.contains("hall: {ambient: 25 °C"));
        let hot = format!("cord: {{cordage: H05V2V2-F, conductor: 2.5 mm², length: 2 m{mark}}}");
        base = base.replace(cord, &hot);
        base = base.replace("hall: {ambient: 25 °C", "hall: {ambient: 62 °C");
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), base)]);
        let own = judgement.findings.iter();
        own.filter(|found| found.rule == "jacket-too-hot").count()
    };
    assert_eq!((says(""), says(", temperature: 60 °C")), (0, 2));
}

/// 6 mm² PVC in conduit carries 34 A with three loaded conductors and 0.86 of it with four (IEC 60364-5-52 Tables
/// B.52.4 and E.52.1): behind 32 A it is the third harmonic of the loads that decides, and who does not know it asks.
#[test]
fn a_neutral_that_may_warm_the_wiring_is_a_question_and_no_fault() {
    let says = |harmonic: &str| {
        let base = crate::pages::bases()["base-iec.yaml"].clone();
        let own = format!(
            "circuits:\n  A-9:\n    from: ups-a\n    poles: [L1, L2, L3, N]\n    breaker: {{rating: 32 A, curve: C, breaking-capacity: 6 kA}}\n    wiring: {{conductor: 6 mm², length: 5 m, insulation: pvc-70}}\n    receptacle: IEC 60309 32 A 3P+N+E 6h\npdu-models:\n  strip-32:\n    plug: IEC 60309 32 A 3P+N+E 6h\n    rating: 32 A\n    cord: {{cordage: H07RN-F, conductor: 6 mm², length: 3 m}}\n    banks: {{B1: {{between: L1-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12 kA²s}}, outlets: {{1-8: C13}}}}}}\npdus:\n  pdu-9: {{model: strip-32, rack: r1, from: A-9}}\ndevice-models:\n  one: {{class: I, voltage: 220–240 V, rating: 2 A, inlets: {{psu1: C14}}{harmonic}}}\ndevices:\n  d-1: {{model: one, rack: r1, draw: 100 VA}}\ncord-types:\n  blue: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}}\ncords:\n  W-1: {{type: blue, from: pdu-9/1, to: d-1/psu1}}\n"
        );
        let judgement = judged(&vec![("a.yaml".into(), base), ("b.yaml".into(), own)]);
        let own = judgement.findings.into_iter();
        let own = own.filter(|f| f.rule == "conductor-unprotected" && f.about[0] == "A-9");
        own.map(|found| {
            let wants = found.wants.iter().map(|fact| fact.full_key());
            (found.verdict, wants.collect::<Vec<_>>())
        })
        .collect::<Vec<_>>()
    };
    let key = vec!["third-harmonic".to_owned()];
    assert_eq!(says(", third-harmonic: 5 %"), []);
    assert_eq!(says(", third-harmonic: 20 %"), [(Verdict::Broken, vec![])]);
    assert_eq!(says(", third-harmonic: 45 %"), [(Verdict::Broken, vec![])]);
    // The neutral alone decides, and has a rule of its own.
    assert_eq!(says(", third-harmonic: 46 %"), []);
    assert_eq!(says(""), [(Verdict::Open, key.clone())]);
    assert_eq!(says(", third-harmonic: some"), [(Verdict::Open, key)]);
}

/// NEC 310.15(E)(1) and (2), 400.5(A): the neutral of 120/240 V three-wire is not counted, so that 10 AWG of SOOW
/// carries 30 A; that of two lines of a wye is, and it carries 25 A.
#[test]
fn a_neutral_between_opposed_lines_is_no_loaded_conductor() {
    let is_unprotected = |system: &str| {
        let text = format!(
            "site: {{practice: nec, country: US, ambient: 25 °C}}
racks: {{r1: {{height: 42 U}}}}
supplies: {{s: {{feed: A, system: {system:?}, capacity: 20 kVA, earthing: TN-S, fault-current: 5 kA}}}}
circuits: {{A-1: {{from: s, poles: [L1, L2, N], breaker: {{rating: 30 A, curve: inverse-time}}, wiring: {{conductor: 10 AWG, length: 5 m, insulation: thhn}}, receptacle: NEMA L14-30R}}}}
pdu-models: {{m: {{plug: NEMA L14-30P, rating: 30 A, breakers: none, cord: {{cordage: SOOW, conductor: 10 AWG, length: 2 m, listed: no}}, banks: {{B1: {{between: L1-N, outlets: {{1: C19}}}}, B2: {{between: L1-L2, outlets: {{2: C19}}}}}}}}}}
pdus: {{pdu-a: {{model: m, rack: r1, from: A-1}}}}
"
        );
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
        let mut found = judgement.findings.into_iter();
        found.any(|found| found.rule == "conductor-unprotected")
    };
    assert!(!is_unprotected("120/240 V"));
    assert!(is_unprotected("208Y/120 V"));
}

#[test]
fn a_mark_that_no_cordage_bears_is_told() {
    let says = |mark: &str| {
        let kind =
            format!("conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, temperature: {mark}");
        let case = Case {
            kind: &kind,
            ..SOUND
        };
        let judgement = judged(&vec![("cordwright.yaml".into(), case.yaml())]);
        let mut told = judgement.findings.iter();
        told.any(|f| f.rule == "bad-quantity" && f.headline.contains("no cordage is marked"))
    };
    assert_eq!(
        ["25 °C", "59 °C", "60 °C", "70 °C"].map(says),
        [true, true, false, false]
    );
}

/// Once, at the make, whether two types are of it or none.
#[test]
fn a_mark_at_a_make_is_told_once() {
    for types in [
        "",
        "cord-types:\n  blue: {make: m, length: 1.5 m}\n  red: {make: m, length: 2 m}\n",
    ] {
        let make = "cord-makes:\n  m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, temperature: 25 °C}\n";
        let files = vec![("cordwright.yaml".into(), format!("{make}{types}"))];
        let judgement = judged(&files);
        let told = judgement.findings.iter();
        let told = told.filter(|f| f.headline.contains("no cordage is marked"));
        assert_eq!(told.count(), 1, "{types}");
    }
}
