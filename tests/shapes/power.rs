//! Shapes of what hangs on what.

use super::{Files, HEAD, devices, each, site, strip};

/// A cord from outlet `n` of a strip to device `n`.
fn cord(n: usize, strip: &str, outlet: usize, more: &str) -> String {
    format!("  W-{n}: {{type: blue, from: {strip}/{outlet}, to: d{n}/psu1{more}}}")
}

fn on_one_strip(count: usize, more: impl Fn(usize) -> String) -> Files {
    let strips = strip(count) + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n";
    let cords = each(count, |n| cord(n, "p", n, &more(n)));
    site(HEAD.to_owned() + &strips + &devices(count, "recorder", "0.1 W") + "cords:\n" + &cords)
}

/// All devices on one strip.
pub fn one_strip(count: usize) -> Files {
    on_one_strip(count, |_| String::new())
}

/// All cords in one bundle.
pub fn one_bundle(count: usize) -> Files {
    on_one_strip(count, |_| ", bundle: all".to_owned())
}

/// Two cords in every bundle.
pub fn bundles(count: usize) -> Files {
    on_one_strip(count, |n| format!(", bundle: b{}", n / 2))
}

/// Strips of forty outlets, `feed` saying what feeds each, with a device on every outlet.
fn on_strips(count: usize, feed: impl Fn(usize) -> String) -> Files {
    let strips = count.div_ceil(40);
    let pdu = |n: usize| format!("  p{n}: {{model: strip, rack: r1, from: {}}}", feed(n));
    let cords = each(count, |n| {
        cord(n, &format!("p{}", (n - 1) / 40 + 1), (n - 1) % 40 + 1, "")
    });
    let pdus = strip(41) + "pdus:\n" + &each(strips, pdu);
    site(HEAD.to_owned() + &pdus + &devices(count, "recorder", "0.1 W") + "cords:\n" + &cords)
}

/// Strips with forty devices each, on one circuit.
pub fn one_circuit(count: usize) -> Files {
    on_strips(count, |_| "A1".to_owned())
}

/// Strips with forty devices each, every strip plugged into the one before.
pub fn devices_in_a_row(count: usize) -> Files {
    on_strips(count, in_a_row)
}

fn in_a_row(n: usize) -> String {
    match n {
        1 => "A1".to_owned(),
        _ => format!("p{}/41", n - 1),
    }
}

/// Strips with one device each, on one circuit.
pub fn strips_on_one_circuit(count: usize) -> Files {
    strips_with_one(count, |_| "A1".to_owned())
}

/// Strips with one device each, every strip plugged into the one before.
pub fn strips_in_a_row(count: usize) -> Files {
    strips_with_one(count, in_a_row)
}

fn strips_with_one(count: usize, feed: impl Fn(usize) -> String) -> Files {
    let pdu = |n: usize| format!("  p{n}: {{model: strip, rack: r1, from: {}}}", feed(n));
    let cords = each(count, |n| cord(n, &format!("p{n}"), 1, ""));
    let pdus = strip(41) + "pdus:\n" + &each(count, pdu);
    site(HEAD.to_owned() + &pdus + &devices(count, "recorder", "0.1 W") + "cords:\n" + &cords)
}

/// Strips of three banks on two circuits, with devices between: `draw` for each.
fn on_banks(count: usize, draw: &str) -> Files {
    let bank = |n: usize| {
        let outlets = format!("{}-{}", n * 14 - 13, n * 14);
        format!(
            "      B{n}: {{between: L{n}-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, outlets: {{{outlets}: C13}}}}"
        )
    };
    let model = "pdu-models:\n  strip:\n    plug: IEC 60309 32 A 3P+N+E 6h\n    rating: 32 A\n    cord: {cordage: H07RN-F, conductor: 6 mm², length: 3 m}\n    banks:\n";
    let strips = count.div_ceil(42);
    let pdu = |n: usize| {
        format!(
            "  a{n}: {{model: strip, rack: r1, from: A1}}\n  b{n}: {{model: strip, rack: r1, from: A2}}"
        )
    };
    let cords = each(count, |n| {
        let (strip, outlet) = ((n - 1) / 42 + 1, (n - 1) % 42 + 1);
        format!(
            "  W-{n}: {{type: blue, from: a{strip}/{outlet}, to: d{n}/psu1}}\n  X-{n}: {{type: red, from: b{strip}/{outlet}, to: d{n}/psu2}}"
        )
    });
    site(
        HEAD.to_owned()
            + model
            + &each(3, bank)
            + "pdus:\n"
            + &each(strips, pdu)
            + &devices(count, "pair", draw)
            + "cords:\n"
            + &cords,
    )
}

/// Strips of three banks, many on each of two circuits.
pub fn three_banks(count: usize) -> Files {
    on_banks(count, "0.1 W")
}

/// The same with far more load than the circuits carry.
pub fn collapse_over_strips(count: usize) -> Files {
    on_banks(count, "50 W")
}

/// Strips that feed each other in one ring.
pub fn ring(count: usize) -> Files {
    strips_with_one(count, move |n| match n {
        1 => format!("p{count}/41"),
        _ => format!("p{}/41", n - 1),
    })
}

/// Pairs of strips that feed each other.
pub fn rings(count: usize) -> Files {
    strips_with_one(count, |n| {
        format!("p{}/41", if n % 2 == 0 { n - 1 } else { n + 1 })
    })
}

/// Strips that are each fed by a cord from one strip.
pub fn strips_behind_cords(count: usize) -> Files {
    let pdus = strip(count)
        + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n"
        + &each(count, |n| format!("  p{n}: {{model: strip, rack: r1}}"));
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: p/{n}, to: p{n}}}")
    });
    site(HEAD.to_owned() + &pdus + "cords:\n" + &cords)
}

/// Strips that all claim the same cord.
pub fn strips_behind_one_cord(count: usize) -> Files {
    let pdus = strip(4)
        + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n"
        + &each(count, |n| {
            format!("  p{n}: {{model: strip, rack: r1, from: W-1}}")
        });
    site(HEAD.to_owned() + &pdus + "cords:\n  W-1: {type: blue, from: p/1, to: p1}\n")
}

fn with_model(count: usize, more: &str) -> String {
    let inlets = each(count, |n| format!("      i{n}: {{coupler: C14}}"));
    format!(
        "{}---\ndevice-models:\n  big:\n    height: 1 U\n    class: I\n    voltage: 100–240 V\n    rating: 400 W\n    power-factor: 0.97\n    inlets-needed: 1\n    inlets:\n{inlets}{more}",
        HEAD.to_owned() + &strip(count)
    )
}

/// One device with a cord in each of its inlets.
pub fn one_device(count: usize) -> Files {
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: p/{n}, to: big/i{n}}}")
    });
    let rest = "devices: {big: {model: big, rack: r1, draw: 100 W}}\npdus: {p: {model: strip, rack: r1, from: A1}}\ncords:\n";
    site(with_model(count, rest) + &cords)
}

/// One device without a cord in any of its inlets.
pub fn one_bare_device(count: usize) -> Files {
    site(with_model(
        count,
        "devices: {big: {model: big, rack: r1, draw: 100 W}}\n",
    ))
}

/// As many devices as each of them has inlets.
pub fn inlets_times_devices(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: {{model: big, rack: r1, draw: 100 W}}");
    site(with_model(count, "devices:\n") + &each(count, device))
}

fn with_banks(count: usize) -> String {
    let bank = |n: usize| {
        format!(
            "      B{n}: {{between: L1-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, outlets: {{o{n}: C13}}}}"
        )
    };
    HEAD.to_owned()
        + "pdu-models:\n  strip:\n    plug: IEC 60309 32 A 3P+N+E 6h\n    rating: 32 A\n    cord: {cordage: H07RN-F, conductor: 6 mm², length: 3 m}\n    banks:\n"
        + &each(count, bank)
}

/// One strip with a device on every bank.
pub fn banks(count: usize) -> Files {
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: p/o{n}, to: d{n}/psu1}}")
    });
    site(
        with_banks(count)
            + "pdus: {p: {model: strip, rack: r1, from: A1}}\n"
            + &devices(count, "recorder", "0.1 W")
            + "cords:\n"
            + &cords,
    )
}

/// As many strips as each of them has banks.
pub fn banks_times_strips(count: usize) -> Files {
    let strip = |n: usize| format!("  p{n}: {{model: strip, rack: r1, from: A1}}");
    site(with_banks(count) + "pdus:\n" + &each(count, strip))
}

/// Outlets by ranges, as many as a range may hold.
pub fn outlet_ranges(count: usize) -> Files {
    let model = |n: usize| {
        format!(
            "  s{n}: {{plug: C14, rating: 10 A, banks: {{B1: {{between: L1-N, outlets: {{1-200: C13}}}}}}}}"
        )
    };
    site(HEAD.to_owned() + "pdu-models:\n" + &each(count, model))
}

/// Files of a strip of two hundred outlets each.
pub fn outlet_files(count: usize) -> Files {
    let mut files = site(HEAD.to_owned());
    files.extend((1..=count).map(|n| {
        let text = format!("pdu-models: {{s{n}: {{banks: {{b: {{outlets: {{1-90: C13}}}}}}}}}}\n");
        (format!("strips/{}/{n}.yaml", n % 100), text)
    }));
    files
}

fn with_legs(count: usize) -> String {
    let legs = each(count, |n| {
        format!("      l{n}: {{connector: C13, length: 1 m}}")
    });
    HEAD.to_owned()
        + "  many:\n    plug: C14\n    conductor: 1.0 mm²\n    cordage: H05VV-F\n    length: 1 m\n    rating: 10 A\n    legs:\n"
        + &legs
        + &strip(count)
        + "pdus: {p: {model: strip, rack: r1, from: A1}}\n"
}

/// One splitter with a device on every leg.
pub fn legs(count: usize) -> Files {
    let ends: Vec<String> = (1..=count).map(|n| format!("l{n}: d{n}/psu1")).collect();
    let cord = format!(
        "cords:\n  W-1: {{type: many, from: p/1, to: {{{}}}}}\n",
        ends.join(", ")
    );
    site(with_legs(count) + &devices(count, "recorder", "0.1 W") + &cord)
}

/// As many splitters as each of them has legs.
pub fn legs_times_splitters(count: usize) -> Files {
    let cord = |n: usize| format!("  W-{n}: {{type: many, from: p/{n}, to: {{l1: d{n}/psu1}}}}");
    site(with_legs(count) + &devices(count, "recorder", "0.1 W") + "cords:\n" + &each(count, cord))
}

/// Devices with an inlet on each of two strips, which are on circuits of their own.
fn on_two(count: usize, draw: &str, feeds: [&str; 2]) -> Files {
    let pdus = feeds.iter().zip(["a", "b"]);
    let pdus: String = pdus
        .map(|(feed, name)| format!("  {name}: {{model: strip, rack: r1, from: {feed}}}\n"))
        .collect();
    let cords = each(count, |n| {
        format!(
            "  W-{n}: {{type: blue, from: a/{n}, to: d{n}/psu1}}\n  X-{n}: {{type: red, from: b/{n}, to: d{n}/psu2}}"
        )
    });
    site(
        HEAD.to_owned()
            + &strip(count)
            + "pdus:\n"
            + &pdus
            + &devices(count, "pair", draw)
            + "cords:\n"
            + &cords,
    )
}

/// Far more load than two circuits carry.
pub fn collapse(count: usize) -> Files {
    on_two(count, "50 W", ["A1", "A2"])
}

/// A load that two circuits carry, and one does not.
pub fn collapse_on_one_loss(count: usize) -> Files {
    let watts = 90_000.0 / count as f64;
    on_two(count, &format!("{watts:.6} W"), ["A1", "A2"])
}

/// Devices on circuits by pairs, each with far more load than it carries.
pub fn two_circuits(count: usize) -> Files {
    let circuit = |n: usize, side: &str| {
        format!(
            "  {side}{n}: {{from: ups, poles: [L1, N], breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA}}, wiring: {{conductor: 2.5 mm², length: 30 m, insulation: xlpe-90}}, receptacle: C13}}"
        )
    };
    let circuits = each(count, |n| circuit(n, "x") + "\n" + &circuit(n, "y"));
    let cords = each(count, |n| {
        format!(
            "  W-{n}: {{type: blue, from: x{n}, to: d{n}/psu1}}\n  X-{n}: {{type: red, from: y{n}, to: d{n}/psu2}}"
        )
    });
    site(
        HEAD.to_owned()
            + "---\ncircuits:\n"
            + &circuits
            + &devices(count, "pair", "9 kW")
            + "cords:\n"
            + &cords,
    )
}

fn circuit(n: usize, from: &str) -> String {
    format!(
        "  c{n}: {{from: {from}, poles: [L1, N], breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA}}, wiring: {{conductor: 2.5 mm², length: 10 m, insulation: xlpe-90}}, receptacle: C13}}"
    )
}

/// Circuits on one supply.
pub fn circuits(count: usize) -> Files {
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: c{n}, to: d{n}/psu1}}")
    });
    site(
        HEAD.to_owned()
            + "---\ncircuits:\n"
            + &each(count, |n| circuit(n, "ups"))
            + &devices(count, "recorder", "1 W")
            + "cords:\n"
            + &cords,
    )
}

/// Strips of one rack, each with more load than its bank and its circuit carry.
pub fn overloaded_rack(count: usize) -> Files {
    let circuit = |n: usize| {
        format!(
            "  c{n}: {{from: ups, poles: [L1, N], breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA}}, wiring: {{conductor: 2.5 mm², length: 10 m, insulation: xlpe-90}}, receptacle: IEC 60309 32 A 3P+N+E 6h}}"
        )
    };
    let pdu = |n: usize| format!("  p{n}: {{model: strip, rack: r1, from: c{n}}}");
    let cords = each(count, |n| {
        cord(n, &format!("p{n}"), 1, "")
            + "\n"
            + &format!("  X-{n}: {{type: blue, from: p{n}/2, to: e{n}/psu1}}")
    });
    let other = each(count, |n| {
        format!("  e{n}: {{model: recorder, rack: r1, draw: 1 kW}}")
    });
    site(
        HEAD.to_owned()
            + &strip(4)
            + "pdus:\n"
            + &each(count, pdu)
            + "---\ncircuits:\n"
            + &each(count, circuit)
            + &devices(count, "recorder", "3.2 kW")
            + &other
            + "cords:\n"
            + &cords,
    )
}

/// A supply for every circuit.
pub fn supplies(count: usize) -> Files {
    let supply = |n: usize| {
        format!(
            "  s{n}: {{feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 4 kVA, fault-current: 6 kA, earthing: TN-S}}"
        )
    };
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: c{n}, to: d{n}/psu1}}")
    });
    site(
        HEAD.to_owned()
            + "---\nsupplies:\n"
            + &each(count, supply)
            + "circuits:\n"
            + &each(count, |n| circuit(n, &format!("s{n}")))
            + &devices(count, "recorder", "1 W")
            + "cords:\n"
            + &cords,
    )
}

/// A strip that takes over for circuits of one device each.
pub fn take_over(count: usize) -> Files {
    let cords = each(count, |n| {
        format!(
            "  W-{n}: {{type: blue, from: c{n}, to: d{n}/psu1}}\n  X-{n}: {{type: red, from: p/{n}, to: d{n}/psu2}}"
        )
    });
    site(
        HEAD.to_owned()
            + &strip(count)
            + "pdus: {p: {model: strip, rack: r1, from: A1}}\n---\ncircuits:\n"
            + &each(count, |n| circuit(n, "ups"))
            + &devices(count, "pair", "0.1 W")
            + "cords:\n"
            + &cords,
    )
}

/// The same, with more load than the strip carries when one more circuit is lost.
pub fn take_over_too_much(count: usize) -> Files {
    let watts = format!("draw: {:.4} W", 7_000.0 / count as f64);
    site(take_over(count).remove(0).1.replace("draw: 0.1 W", &watts))
}

/// One device with an inlet on every circuit.
pub fn device_on_all_circuits(count: usize) -> Files {
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: c{n}, to: big/i{n}}}")
    });
    let rest = "devices: {big: {model: big, rack: r1, draw: 100 W}}\ncircuits:\n";
    site(with_model(count, rest) + &each(count, |n| circuit(n, "ups")) + "cords:\n" + &cords)
}

/// Cords that all come from one outlet.
pub fn one_outlet(count: usize) -> Files {
    let cords = each(count, |n| cord(n, "p", 1, ""));
    site(
        HEAD.to_owned()
            + &strip(4)
            + "pdus: {p: {model: strip, rack: r1, from: A1}}\n"
            + &devices(count, "recorder", "0.1 W")
            + "cords:\n"
            + &cords,
    )
}

/// Cords that all go to one inlet.
pub fn one_inlet(count: usize) -> Files {
    let cords = each(count, |n| {
        format!("  W-{n}: {{type: blue, from: p/{n}, to: d1/psu1}}")
    });
    site(
        HEAD.to_owned()
            + &strip(count)
            + "pdus: {p: {model: strip, rack: r1, from: A1}}\n"
            + &devices(1, "recorder", "0.1 W")
            + "cords:\n"
            + &cords,
    )
}

/// Strips in a row whose loads have harmonics.
pub fn harmonics(count: usize) -> Files {
    let files = strips_in_a_row(count);
    site(files[0].1.replacen(
        "power-factor: 0.97,",
        "power-factor: 0.97, third-harmonic: 20 %,",
        1,
    ))
}

/// Strips in a row whose loads nobody knows.
pub fn unknown_loads(count: usize) -> Files {
    let files = strips_in_a_row(count);
    site(
        files[0]
            .1
            .replace(", draw: 0.1 W", "")
            .replacen("rating: 400 W, ", "", 1),
    )
}

/// Models of a transfer switch with an outlet, and of what hangs behind it.
const SWITCHES: &str = "\
device-models:
  ats: {height: 1 U, class: I, voltage: 200–240 V, rating: 1 W, power-factor: 1, earth-current: 0.01 mA, inlets: {a: C14, b: C14}, outlets: {1-2: {coupler: C13, rating: 8 A}}, transfer: {kind: automatic, preferred: a, time: 8 ms}}
  little: {height: 1 U, class: I, voltage: 200–240 V, rating: 1 W, power-factor: 1, earth-current: 0.01 mA, inlets: {psu1: C14}, ride-through: 10 ms}
devices:
";

/// Transfer switches on two strips, `other` saying what feeds their other inlets, each with a device behind it.
fn on_switches(count: usize, other: impl Fn(usize) -> String) -> Files {
    let strips = strip(count)
        + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n  q: {model: strip, rack: r1, from: A2}\n";
    let pair = |n: usize| {
        format!(
            "  s{n}: {{model: ats, rack: r1, draw: 0.1 W}}\n  d{n}: {{model: little, rack: r1, draw: 0.1 W}}"
        )
    };
    let cords = each(count, |n| {
        format!(
            "  W-{n}: {{type: blue, from: p/{n}, to: s{n}/a}}\n  X-{n}: {{type: red, from: {}, to: s{n}/b}}\n  Y-{n}: {{type: blue, from: s{n}/1, to: d{n}/psu1}}",
            other(n)
        )
    });
    let mut files = site(HEAD.to_owned() + &strips + "cords:\n" + &cords);
    files.push((
        "switches.yaml".to_owned(),
        SWITCHES.to_owned() + &each(count, pair),
    ));
    files
}

/// Transfer switches between two strips.
pub fn switches(count: usize) -> Files {
    on_switches(count, |n| format!("q/{n}"))
}

/// Transfer switches, the other inlet of each on an outlet of the one before.
pub fn switches_behind_each_other(count: usize) -> Files {
    on_switches(count, |n| match n {
        1 => "q/1".to_owned(),
        _ => format!("s{}/2", n - 1),
    })
}

/// Transfer switches in pairs, the other inlet of each on an outlet of its neighbour.
pub fn switches_in_circles(count: usize) -> Files {
    on_switches(count, |n| format!("s{}/2", ((n - 1) ^ 1) + 1))
}

/// Lines of three cords each.
pub fn cords_in_line(count: usize) -> Files {
    let lines = count.div_ceil(3);
    let strips = strip(lines) + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n";
    let cords = each(lines, |n| {
        format!(
            "  W-{n}: {{type: blue, from: p/{n}}}\n  X-{n}: {{type: blue, from: W-{n}}}\n  Y-{n}: {{type: blue, from: X-{n}, to: d{n}/psu1}}"
        )
    });
    site(HEAD.to_owned() + &strips + &devices(lines, "recorder", "0.1 W") + "cords:\n" + &cords)
}

/// Cords that are all plugged into each other.
pub fn one_line_of_cords(count: usize) -> Files {
    let strips = strip(1) + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n";
    let cords = each(count, |n| match n {
        1 => "  W-1: {type: blue, from: p/1}".to_owned(),
        _ => format!("  W-{n}: {{type: blue, from: W-{}}}", n - 1),
    });
    site(HEAD.to_owned() + &strips + "cords:\n" + &cords)
}
