//! Residual current devices: their types and delays, and sockets that may do without one.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

/// A circuit with equipment on it: keys of the site, of its zone and of the circuit, and the socket.
fn site(site: &str, zone: &str, circuit: &str, socket: &str) -> String {
    format!(
        "site: {{practice: iec, {site}}}
zones: {{hall: {{ambient: 25 °C{zone}}}}}
racks: {{r1: {{zone: hall}}}}
supplies: {{s: {{feed: A, system: \"3/N/PE ~ 400/230 V 50 Hz\", capacity: 10 kVA, earthing: TN-S}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{rating: 16 A}}, receptacle: {socket}{circuit}}}}}
device-models: {{box: {{class: I, inlets: {{psu1: C14}}}}}}
devices: {{box-1: {{model: box, rack: r1}}}}
cord-types: {{c: {{plug: {socket}, connector: C13}}}}
cords: {{W-1: {{type: c, from: A-1, to: box-1/psu1}}}}
"
    )
}

fn by(rule: &str, text: String) -> Vec<Finding> {
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let found = judgement.findings.into_iter();
    found.filter(|found| found.rule == rule).collect()
}

fn verdicts(found: &[Finding]) -> Vec<Verdict> {
    found.iter().map(|found| found.verdict).collect()
}

#[test]
fn a_type_that_sees_sine_waves_alone_is_unfit_and_a_type_that_nobody_wrote_is_open() {
    let with = |keys: &str, circuit: &str| {
        let text = site(&format!("country: NL{keys}"), "", circuit, "CEE 7/3");
        verdicts(&by("rcd-type-unfit", text))
    };
    assert_eq!(
        with("", ", rcd: {rated: 30 mA, type: AC}"),
        [Verdict::Broken]
    );
    for kind in ["A", "F", "B"] {
        assert_eq!(
            with("", &format!(", rcd: {{rated: 30 mA, type: {kind}}}")),
            []
        );
    }
    assert_eq!(
        with(", rcds: {type: AC}", ", rcd: 30 mA"),
        [Verdict::Broken]
    );
    assert_eq!(
        with(", rcds: {type: AC}", ", rcd: {rated: 30 mA, type: A}"),
        []
    );
    assert_eq!(with(", rcds: {type: A}", ", rcd: 30 mA"), []);
    // Where there is none, there is no type.
    assert_eq!(with(", rcds: {type: AC}", ""), []);
    assert_eq!(with("", ""), []);
    for (keys, circuit) in [
        ("", ", rcd: 30 mA"),
        ("", ", rcd: {rated: 30 mA, type: ac}"),
        ("", ", rcd: {rated: 30 mA, type: [A]}"),
        (", rcds: {type: X}", ", rcd: 30 mA"),
        (", rcds: A", ", rcd: 30 mA"),
    ] {
        assert_eq!(with(keys, circuit), [Verdict::Open], "{keys} {circuit}");
    }
}

#[test]
fn three_lines_want_type_b() {
    let with = |kind: &str| {
        let text = site(
            "country: NL",
            "",
            &format!(", rcd: {{rated: 300 mA, type: {kind}}}"),
            "IEC 60309 16 A 3P+N+E 6h",
        )
        .replace("poles: [L1, N]", "poles: [L1, L2, L3, N]")
        .replace("psu1: C14", "psu1: IEC 60309 16 A 3P+N+E 6h")
        .replace("connector: C13", "connector: IEC 60309 16 A 3P+N+E 6h");
        verdicts(&by("rcd-type-unfit", text))
    };
    assert_eq!(with("A"), [Verdict::Broken]);
    assert_eq!(with("F"), [Verdict::Broken]);
    assert_eq!(with("B"), []);
}

#[test]
fn under_the_nec_there_are_no_such_types() {
    let text = site(
        "country: US",
        "",
        ", rcd: {rated: 6 mA, type: AC}",
        "NEMA 5-15",
    )
    .replace("practice: iec", "practice: nec");
    assert_eq!(by("rcd-type-unfit", text), []);
}

#[test]
fn who_uses_a_household_socket_decides_where_the_country_takes_that_for_a_reason() {
    use Verdict::{Broken, Open};
    let with = |keys: &str, zone: &str, circuit: &str| {
        let text = site(keys, zone, circuit, "CEE 7/3");
        verdicts(&by("socket-without-rcd", text))
    };
    let paper = ", risk-assessment: RA-7";
    for (keys, zone, circuit, wanted) in [
        ("country: NL", "", "", &[Open][..]),
        ("country: NL", ", users: ordinary", "", &[Broken]),
        ("country: NL", ", users: instructed", "", &[]),
        ("country: NL, users: skilled", "", "", &[]),
        (
            "country: NL, users: skilled",
            ", users: ordinary",
            "",
            &[Broken],
        ),
        (
            "country: NL",
            ", users: ordinary",
            ", purpose: dedicated",
            &[],
        ),
        (
            "country: NL",
            ", users: ordinary",
            ", purpose: general",
            &[Broken],
        ),
        ("country: NL", ", users: ordinary", paper, &[Broken]),
        ("country: NL", ", users: everybody", "", &[Open]),
        ("country: NL", "", ", purpose: mine", &[Open]),
        // Without a country nobody knows whether its rules take it.
        ("ambient: 25 °C", ", users: skilled", "", &[Open]),
        // Germany: the employer's paper alone.
        (
            "country: DE",
            ", users: skilled",
            ", purpose: dedicated",
            &[Open],
        ),
        ("country: DE", ", users: ordinary", "", &[Broken]),
        ("country: DE", ", users: ordinary", paper, &[]),
        ("country: DE", "", ", risk-assessment: [1]", &[Open]),
        // Britain: a paper, where no ordinary people use it.
        ("country: GB", ", users: instructed", paper, &[]),
        ("country: GB", ", users: ordinary", paper, &[Broken]),
        ("country: GB", "", paper, &[Open]),
        ("country: GB", "", "", &[Open]),
        // France: nothing.
        (
            "country: FR",
            ", users: skilled",
            ", purpose: dedicated, risk-assessment: RA-7",
            &[Broken],
        ),
    ] {
        assert_eq!(with(keys, zone, circuit), wanted, "{keys}{zone}{circuit}");
    }
}

#[test]
fn sockets_of_strips_are_judged_where_ordinary_people_use_them_and_outlets_of_strips_never() {
    use Verdict::{Broken, Open};
    let with = |keys: &str, zone: &str, socket: &str| {
        verdicts(&by("socket-without-rcd", site(keys, zone, "", socket)))
    };
    let sleeve = "IEC 60309 16 A 2P+E 6h";
    assert_eq!(with("country: NL", "", sleeve), []);
    assert_eq!(with("country: NL", ", users: instructed", sleeve), []);
    assert_eq!(with("country: NL", ", users: ordinary", sleeve), [Broken]);
    assert_eq!(
        with("country: NL, users: ordinary", "", "IEC 60309 63 A 2P+E 6h"),
        []
    );
    let others = "}, desk: {ambient: 25 °C, users: ordinary";
    assert_eq!(with("country: NL", others, sleeve), [Open]);
    assert_eq!(with("country: NL, users: ordinary", "", "C19"), []);
}

#[test]
fn a_device_is_read_short_or_whole_and_never_for_what_it_does_not_say() {
    let with = |rcd: &str| {
        let text = site(
            "country: NL, users: ordinary, rcds: {type: A}",
            "",
            &format!(", rcd: {rcd}"),
            "CEE 7/3",
        );
        verdicts(&by("socket-without-rcd", text))
    };
    assert_eq!(with("30 mA"), []);
    assert_eq!(with("{rated: 30 mA}"), []);
    assert_eq!(with("{rated: 300 mA}"), [Verdict::Broken]);
    for rcd in [
        "{type: A}",
        "{rated: fine, type: A}",
        "{}",
        "[30 mA]",
        "{rated: 30 A}",
        "{rated: 0 mA}",
    ] {
        assert_eq!(with(rcd), [Verdict::Open], "{rcd}");
    }
}

#[test]
fn one_that_waits_for_others_is_too_late_where_the_time_is_short() {
    let with = |system: &str, earthing: &str, delay: &str| {
        let rcd = format!(
            ", rcd: {{rated: 300 mA, type: A{delay}}}, wiring: {{conductor: 2.5 mm², length: 40 m, insulation: pvc-70}}"
        );
        let text = site(
            "country: NL, ambient: 25 °C, users: instructed",
            "",
            &rcd,
            "IEC 60309 16 A 2P+E 6h",
        )
        .replace("3/N/PE ~ 400/230 V 50 Hz", system)
        .replace("TN-S", &format!("{earthing}, fault-current: 200 A"))
        .replace(
            "rating: 16 A",
            "rating: 16 A, curve: D, breaking-capacity: 6 kA",
        )
        .replace(
            "connector: C13",
            "connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m",
        );
        let found = by("slow-disconnection", text);
        found
            .iter()
            .map(|found| (found.verdict, found.kind))
            .collect::<Vec<_>>()
    };
    let mains = "3/N/PE ~ 400/230 V 50 Hz";
    // 0.4 s and 0.2 s leave the 0.15 s of type S; 0.07 s do not.
    assert_eq!(with(mains, "TN-S", ", delay: S"), []);
    assert_eq!(with(mains, "TT", ", delay: S"), []);
    let higher = "3/N/PE ~ 480/277 V 50 Hz";
    assert_eq!(with(higher, "TN-S", ", delay: S"), []);
    assert_eq!(with(higher, "TT", ""), []);
    assert_eq!(with(higher, "TT", ", delay: none"), []);
    assert_eq!(
        with(higher, "TT", ", delay: S"),
        [(Verdict::Broken, "delay")]
    );
    assert_eq!(
        with(higher, "TT", ", delay: long"),
        [(Verdict::Open, "residual")]
    );
}
