//! Values that nobody can mean: each is told at its place, judges nothing as sound, and leaves no
//! number in any output that is none.

use std::fmt::Write as _;

use cordwright::finding::Finding;
use cordwright::judgement::Judgement;

use crate::pages::bases;
use crate::site::{annotated, judged};
use crate::world::World;

/// A dual-corded device on the base site.
const LOAD: &str = "\
device-models:
  box: {height: 1 U, class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1, earth-current: 0.75 mA, inrush: 30 A}
devices:
  box-1: {model: box, rack: r1, at: U10, draw: 200 W}
cord-types:
  c14-blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  c14-red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
cords:
  W-1: {type: c14-blue, from: pdu-a/1, to: box-1/psu1}
  W-2: {type: c14-red, from: pdu-b/1, to: box-1/psu2}
";

/// What of a site is changed: the first text of the base site or of the load that is `from`.
struct Slip {
    from: &'static str,
    /// What stands there instead, each by itself; `«»` mark what a finding must lie on.
    to: &'static [&'static str],
}

const SLIPS: &[Slip] = &[
    Slip {
        from: "draw: 200 W",
        to: &[
            "draw: «0 W»",
            "draw: «0 VA»",
            "draw: «-200» W",
            "draw: «200»",
            "draw: «NaN W»",
            "draw: «.nan»",
            "draw: «inf W»",
            "draw: «-.inf»",
            "draw: «∞ W»",
            "draw: «1e400» W",
            "draw: «1e30 W»",
            "draw: «1e-30 W»",
            "draw: «1e-400 W»",
            "draw: «200 W W»",
            "draw«: »",
            "draw: «[200 W]»",
            "draw: «{}»",
        ],
    },
    Slip {
        from: "power-factor: 0.97",
        to: &[
            "power-factor: «0»",
            "power-factor: «-0.5»",
            "power-factor: «1.2»",
            "power-factor: «NaN»",
            "power-factor: «.inf»",
            "power-factor: «1e400»",
            "power-factor: «1e-300»",
            "power-factor: «0.0099»",
            "power-factor: «97 %»",
        ],
    },
    Slip {
        from: "rating: 300 W",
        to: &[
            "rating: «0 W»",
            "rating: «-300» W",
            "rating: «1e400» W",
            "rating: «inf W»",
        ],
    },
    Slip {
        from: "length: 1.5 m, rating",
        to: &[
            "length: «0» m, rating",
            "length: «-2» m, rating",
            "length: «0.0» m, rating",
            "length: «1e-9 m», rating",
            "length: «1e9 m», rating",
            "length: «NaN m», rating",
        ],
    },
    Slip {
        from: "conductor: 1.0 mm², cordage",
        to: &[
            "conductor: «0» mm², cordage",
            "conductor: «-1» mm², cordage",
            "conductor: «1e9 mm²», cordage",
            "conductor: «99 AWG», cordage",
        ],
    },
    Slip {
        from: "rating: 10 A, colour",
        to: &[
            "rating: «0 A», colour",
            "rating: «-10» A, colour",
            "rating: «1e400» A, colour",
        ],
    },
    Slip {
        from: "system: 3/N/PE ~ 400/230 V 50 Hz",
        to: &[
            "system: «5/N/PE» ~ 400/230 V 50 Hz",
            "system: «400»",
            "system: 3/N/PE ~ 0/«0» V",
            "system: 3/N/PE ~ 400/230 V «0» Hz",
            "system: «3/N/PE ~ 400/400 V 50 Hz»",
            "system: «3/N/PE ~ 230 V 50 Hz»",
            "system: 3/N/PE ~ NaN/«NaN V»",
            "system: 3/N/PE ~ 400/230 V «1e400» Hz",
            "«system»:",
            "system: «= 48 V»",
        ],
    },
    Slip {
        from: "capacity: 40 kVA",
        to: &[
            "capacity: «0 kVA»",
            "capacity: «-40» kVA",
            "capacity: «40»",
            "capacity: «inf kVA»",
        ],
    },
    Slip {
        from: "fault-current: 6 kA",
        to: &[
            "fault-current: «0 A»",
            "fault-current: «-6» kA",
            "fault-current: «1e400» A",
        ],
    },
    Slip {
        from: "poles: [L1, N]",
        to: &[
            "«poles»: []",
            "poles: [«L9»]",
            "poles: [L1, «L1»]",
            "«poles»:",
            "poles: [«N»]",
            "poles: «L1»",
        ],
    },
    Slip {
        from: "breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}",
        to: &[
            "breaker: «0 A»",
            "breaker: «-16» A",
            "«breaker»: {curve: C}",
            "breaker: «NaN A»",
            "breaker: «1e400» A",
            "«breaker»:",
            "«breaker»: {}",
            "breaker: {rating: 16 A, curve: C, breaking-capacity: «0 kA»}",
            "breaker: {rating: 16 A, curve: «Q», breaking-capacity: 6 kA}",
        ],
    },
    Slip {
        from: "wiring: {conductor: 4 mm², length: 10 m",
        to: &[
            "wiring: {conductor: 4 mm², length: «0» m",
            "wiring: {conductor: 4 mm², length: «-9» m",
            "wiring: {conductor: «0» mm², length: 10 m",
            "wiring: {resistance: «0» ohm, conductor: 4 mm², length: 10 m",
            "wiring: {resistance: «1e400» ohm, conductor: 4 mm², length: 10 m",
            // Readable, and no voltage is left behind it.
            "wiring: {resistance: 999999 ohm, conductor: «4 mm²», length: 10 m",
        ],
    },
    Slip {
        from: "B1: {between: L1-N",
        to: &[
            "B1: {between: «L1-L1»",
            "B1: {between: «L4-N»",
            "B1: {between: «L1»",
            "B1: {between: «L1-L2-L3»",
            "B1: {«between»: ",
        ],
    },
    Slip {
        from: "outlets: {1-8: C13}",
        to: &[
            "«outlets»: {}",
            "«outlets»:",
            "outlets: {«8-1»: C13}",
            "outlets: {«1-99999»: C13}",
            "outlets: {«\"\"»: C13}",
            "outlets: {1-8: C13, «3»: C13}",
            "outlets: {1-8: «C99»}",
            "outlets: {«1-8»: {rating: 10 A}}",
            "outlets: {1-8: {coupler: C13, rating: «0 A»}}",
        ],
    },
    Slip {
        from: "inlets: {psu1: C14, psu2: C14}",
        to: &[
            "«inlets»: {}",
            "inlets: {psu2: C14, «psu1»: }",
            "inlets: {psu2: C14, «\"\"»: C14}",
            "inlets: {psu1: {coupler: C14, share: 0 %}, psu2: {coupler: C14, share: «0 %»}}",
            "inlets: {psu1: {coupler: C14, share: «300 %»}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, share: «-10» %}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, share: 150 %}, psu2: {coupler: C14, share: «150 %»}}",
            "inlets: {psu1: {coupler: C14, share: 30 %}, psu2: {coupler: C14, share: «30 %»}}",
            "inlets: {psu1: {coupler: C14, rating: «0 A»}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, capacity: «0 W»}, psu2: C14}",
        ],
    },
    Slip {
        from: "inlets-needed: 1",
        to: &[
            "inlets-needed: «0»",
            "inlets-needed: «-1»",
            "inlets-needed: «5»",
            "inlets-needed: «99999999999»",
        ],
    },
    Slip {
        from: "voltage: 100–240 V",
        to: &[
            "voltage: «0» V",
            "voltage: «240–100 V»",
            "voltage: 100«–NaN V»",
            "voltage: «0»–240 V",
        ],
    },
    Slip {
        from: "earth-current: 0.75 mA",
        to: &[
            "earth-current: «-1» mA",
            "earth-current: «0.75»",
            "earth-current: «inf mA»",
        ],
    },
    Slip {
        from: "inrush: 30 A",
        to: &[
            "inrush: «0 A»",
            "inrush: «-30» A",
            "inrush: «1e400» A",
            "inrush: «NaN A»",
        ],
    },
    Slip {
        from: "supply-tolerance: 10 %",
        to: &[
            "supply-tolerance: «100 %»",
            "supply-tolerance: «150 %»",
            "supply-tolerance: «-10» %",
            "supply-tolerance: «NaN %»",
            "supply-tolerance: «10»",
        ],
    },
    Slip {
        from: "continuous-load: 80 %",
        to: &[
            "continuous-load: «300 %»",
            "continuous-load: «-80» %",
            "continuous-load: «0.8»",
        ],
    },
    Slip {
        from: "ambient: 25 °C\n",
        to: &[
            "ambient: «300 °C»\n",
            "ambient: «-300 °C»\n",
            "ambient: «NaN °C»\n",
            "ambient: «1e400» °C\n",
            "ambient: «25»\n",
        ],
    },
    Slip {
        from: "{ambient: 25 °C, vibration",
        to: &[
            "{ambient: «300 °C», vibration",
            "{ambient: «inf °C», vibration",
        ],
    },
    Slip {
        from: "outlet-pitch: 28 mm",
        to: &["outlet-pitch: «0» mm", "outlet-pitch: «-28» mm"],
    },
    Slip {
        from: "height: 42 U",
        to: &["height: «-1» U", "height: «42»", "height: «1e400» U"],
    },
    Slip {
        from: "W-1: {type: c14-blue, from: pdu-a/1",
        to: &[
            "«\"\"»: {type: c14-blue, from: pdu-a/1",
            "W-1: {type: «\"\"», from: pdu-a/1",
            "W-1: {type: c14-blue, from: «\"\"»",
            "W-1: {type: c14-blue, from: «/»",
            "W-1: {type: c14-blue, from: pdu-a/«0»",
            "W-1: {type: c14-blue, from: pdu-a/«999»",
        ],
    },
];

/// A site with a slip in it.
struct Slipped {
    text: String,
    /// The bytes that a finding must touch.
    at: std::ops::Range<usize>,
}

fn sound() -> String {
    format!("{}{LOAD}", bases()["base-iec.yaml"])
}

fn slipped(from: &str, to: &str) -> Slipped {
    let sound = sound();
    let start = sound.find(from).unwrap_or_else(|| panic!("no {from:?}"));
    let open = to.find('«').expect("a mark");
    let close = to.find('»').expect("a mark") - '«'.len_utf8();
    let put = to.replace(['«', '»'], "");
    Slipped {
        text: sound.replacen(from, &put, 1),
        at: start + open..start + close,
    }
}

fn judge(text: &str) -> Judgement {
    let judgement = judged(&vec![("cordwright.yaml".into(), text.into())]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

fn touches(finding: &Finding, at: &std::ops::Range<usize>) -> bool {
    let span = finding.main.span;
    (span.lo as usize) <= at.end && at.start <= (span.hi as usize)
}

#[test]
fn the_site_without_a_slip_is_sound() {
    let judgement = judge(&sound());
    let told: Vec<&str> = judgement
        .findings
        .iter()
        .map(|f| f.headline.as_str())
        .collect();
    assert!(told.is_empty(), "{told:#?}");
}

#[test]
fn every_slip_is_told_at_its_place() {
    let (mut wrong, mut tried) = (String::new(), 0);
    for Slip { from, to } in SLIPS {
        for to in *to {
            let slipped = slipped(from, to);
            let judgement = judge(&slipped.text);
            tried += 1;
            let mut findings = judgement.findings.iter();
            if !findings.any(|finding| touches(finding, &slipped.at)) {
                let others = judgement.findings.iter();
                let others: Vec<_> = others
                    .map(|f| (judgement.sources.text(f.main.span), f.headline.as_str()))
                    .collect();
                writeln!(wrong, "{to}: nothing there, but {others:#?}").unwrap();
            }
        }
    }
    assert!(tried >= 120, "{tried}");
    assert!(wrong.is_empty(), "{wrong}");
}

/// Words for numbers that are none, behind a blank or a mark, and before a blank or a unit.
fn no_numbers(text: &str) -> Vec<&str> {
    let words = text.split(|c: char| c.is_whitespace() || "()[]{},:;=/–\"'`".contains(c));
    let bare = |word: &str| word.trim_start_matches(['-', '+']).to_ascii_lowercase();
    words
        .filter(|word| matches!(&*bare(word), "nan" | "inf" | "infinity" | "∞"))
        .collect()
}

/// Values that can be read and lie at the end of what is believed.
const EXTREMES: [(&str, &str); 11] = [
    ("power-factor: 0.97", "power-factor: «0.01»"),
    ("draw: 200 W", "draw: «100 MW»"),
    ("draw: 200 W", "draw: «200 kA»"),
    ("supply-tolerance: 10 %", "supply-tolerance: «99.999 %»"),
    ("ambient: 25 °C\n", "ambient: «250 °C»\n"),
    ("wiring: {", "wiring: {«resistance: 0.000001 ohm», "),
    ("capacity: 40 kVA", "capacity: «0.1 VA»"),
    ("fault-current: 6 kA", "fault-current: «0.01 mA»"),
    ("fault-current: 6 kA", "fault-current: «200 kA»"),
    ("continuous-load: 80 %", "continuous-load: «0 %»"),
    (
        "system: 3/N/PE ~ 400/230 V 50 Hz",
        "system: «1/N/PE ~ 1 mV»",
    ),
];

/// What is written is shown as it is written, in excerpts; no number of ours may be none.
#[test]
fn no_output_holds_a_number_that_is_none() {
    assert_eq!(
        no_numbers("3 A, -inf V, information, `NaN`"),
        ["-inf", "NaN"]
    );
    let slips = SLIPS
        .iter()
        .flat_map(|slip| slip.to.iter().map(|to| (slip.from, *to)));
    for (from, to) in slips.chain(EXTREMES) {
        let slipped = slipped(from, to);
        let judgement = judge(&slipped.text);
        // Findings about the writing quote it.
        let findings = judgement.findings.iter().cloned();
        let others: Vec<Finding> = findings.filter(|f| f.rule != "bad-quantity").collect();
        let told = annotated(&judgement, &others);
        let own_lines: Vec<&str> = told.lines().filter(|line| !line.contains('│')).collect();
        let own_words = own_lines.join("\n");
        let found = no_numbers(&own_words);
        assert!(found.is_empty(), "{to}: {found:?}\n{told}");
    }
}

#[test]
fn no_path_holds_a_number_that_is_none() {
    let words: [&[&str]; 6] = [
        &["trace", "box-1"],
        &["trace", "box-1", "--format", "json"],
        &["trace", "A-1"],
        &["trace", "pdu-a", "--format", "json"],
        &["trace", "ups-a"],
        &["check", "--format", "json"],
    ];
    let slips = SLIPS.iter().map(|slip| (slip.from, slip.to[0])).take(4);
    for (from, to) in EXTREMES.into_iter().chain(slips) {
        let world = World::with(&[("cordwright.yaml", &slipped(from, to).text)]);
        for words in words {
            let ended = world.run(words);
            assert!(
                !ended.errors.contains("panicked"),
                "{to} {words:?}: {}",
                ended.errors
            );
            let found = no_numbers(&ended.output);
            assert!(
                found.is_empty(),
                "{to} {words:?}: {found:?}\n{}",
                ended.output
            );
        }
    }
}

/// Air hotter than the insulation may get: nothing may be carried, and that is said.
#[test]
fn air_above_the_conductors_temperature_leaves_nothing_to_carry() {
    let Slipped { text, .. } =
        slipped("{ambient: 25 °C, vibration", "{ambient: «80 °C», vibration");
    let judgement = judge(&text);
    for rule in ["conductor-underrated", "jacket-too-hot"] {
        let told = judgement.findings.iter().any(|f| f.rule == rule);
        assert!(told, "{rule} says nothing");
    }
}

/// A load that no voltage can feed: the collapse is said, and no sum passes.
#[test]
fn a_load_beyond_all_bounds_collapses_the_voltage() {
    for draw in ["draw: «100 MW»", "draw: «200 kA»"] {
        let judgement = judge(&slipped("draw: 200 W", draw).text);
        let collapses = |f: &&Finding| f.headline.contains("collapse");
        assert!(judgement.findings.iter().any(|f| collapses(&f)), "{draw}");
        for rule in ["circuit-overloaded", "bank-overloaded", "supply-overloaded"] {
            assert!(
                judgement.findings.iter().any(|f| f.rule == rule),
                "{draw}: {rule}"
            );
        }
    }
}

#[test]
fn a_bank_on_poles_that_its_strip_has_not_is_told() {
    for bank in ["B1: {between: «L1-L3»", "B1: {between: «L2-N»"] {
        let judgement = judge(&slipped("B1: {between: L1-N", bank).text);
        let told = judgement
            .findings
            .iter()
            .find(|f| f.rule == "input-chain-mismatch");
        assert!(
            told.unwrap()
                .headline
                .contains("banks on 3 poles and a plug with 2")
        );
        let open = judgement
            .findings
            .iter()
            .any(|f| f.rule == "bank-overloaded");
        assert!(open, "its load passes");
    }
}

/// Ten thousand devices on one outlet: told once for the outlet, and the run ends.
#[test]
fn ten_thousand_devices_on_one_outlet() {
    let mut text = sound();
    text.push_str("  # more\n");
    let mut devices = String::from("devices:\n");
    let mut cords = String::from("cords:\n");
    for number in 0..10_000 {
        writeln!(
            devices,
            "  box-x{number}: {{model: box, rack: r1, at: U10, draw: 200 W}}"
        )
        .unwrap();
        writeln!(
            cords,
            "  X-{number}: {{type: c14-blue, from: pdu-a/2, to: box-x{number}/psu1}}"
        )
        .unwrap();
    }
    let files = vec![
        ("cordwright.yaml".to_owned(), text),
        ("devices.yaml".to_owned(), devices),
        ("cords.yaml".to_owned(), cords),
    ];
    let judgement = judged(&files);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let of = |rule: &str| judgement.findings.iter().filter(|f| f.rule == rule).count();
    assert!(of("double-booked") >= 1);
    assert!(
        of("bank-overloaded") + of("coupler-overloaded") >= 1,
        "the load passes"
    );
}

/// Ten thousand outlets of one circuit, a device on each.
#[test]
fn ten_thousand_devices_on_one_circuit() {
    let mut files = vec![("cordwright.yaml".to_owned(), sound())];
    let banks: String = (0..50)
        .map(|bank| {
            format!(
                "      B{bank}: {{between: L1-N, breaker: 16 A, outlets: {{{}-{}: C13}}}}\n",
                bank * 200,
                bank * 200 + 199
            )
        })
        .collect();
    let mut more = format!(
        "pdu-models:\n  endless:\n    plug: IEC 60309 16 A 2P+E 6h\n    rating: 16 A\n    banks:\n{banks}\
         pdus: {{pdu-z: {{model: endless, rack: r1, from: A-1}}}}\ndevices:\n"
    );
    let mut cords = String::from("cords:\n");
    for number in 0..10_000 {
        writeln!(
            more,
            "  box-x{number}: {{model: box, rack: r1, at: U10, draw: 200 W}}"
        )
        .unwrap();
        writeln!(
            cords,
            "  X-{number}: {{type: c14-blue, from: pdu-z/{number}, to: box-x{number}/psu1}}"
        )
        .unwrap();
    }
    more.push_str(&cords);
    files.push(("more.yaml".to_owned(), more));
    let judgement = judged(&files);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    for rule in ["circuit-overloaded", "line-overloaded", "supply-overloaded"] {
        assert!(
            judgement.findings.iter().any(|f| f.rule == rule),
            "{rule} says nothing"
        );
    }
    let collapses = judgement
        .findings
        .iter()
        .any(|f| f.headline.contains("collapse"));
    assert!(collapses, "two megawatts through one breaker");
}

/// Texts without end in every kind of place are told, and the run ends.
#[test]
fn texts_without_end() {
    let long = "x".repeat(200_000);
    for (from, to) in [
        ("name: Example", format!("name: {long} Example")),
        ("draw: 200 W", format!("draw: {long} W")),
        ("draw: 200 W", format!("draw: {} W", "9".repeat(200_000))),
        ("plug: C14", format!("plug: {long}")),
        ("cordage: H05VV-F", format!("cordage: {long}")),
        ("model: box", format!("model: {long}")),
        ("class: I", format!("class: {long}")),
        ("class: I", format!("{long}: I")),
        ("W-1:", format!("{long}:")),
        ("system: 3/N/PE", format!("system: {long}")),
        ("supply-tolerance: 10 %", format!("label: {long}")),
    ] {
        let sound = sound();
        assert!(sound.contains(from), "{from}");
        let judgement = judge(&sound.replacen(from, &to, 1));
        let silent = from == "name: Example";
        assert_eq!(judgement.findings.is_empty(), silent, "{from}");
    }
}
