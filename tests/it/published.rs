//! Published three-phase examples, worked through a whole site: line currents of unbalanced delta
//! loads and the neutral of a wye.

use std::fmt::Write as _;

use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;

/// A site with one load on each pair of poles, given by its amperes at nominal voltage and its power
/// factor; cords a millimetre long, so that nothing drops on the way.
fn site(system: &str, poles: &str, volts: f64, loads: &[(&str, f64, f64)]) -> Site {
    let mut yaml = format!(
        "site: {{practice: iec, supply-tolerance: 0 %}}\nsupplies: {{s: {{system: {system}, sequence-proved: yes}}}}\ncircuits: {{c: {{from: s, poles: [{poles}], breaker: 125 A}}}}\n"
    );
    let (mut banks, mut rest) = (String::new(), [const { String::new() }; 3]);
    for (at, (pair, amperes, factor)) in loads.iter().enumerate() {
        write!(
            banks,
            "{pair}: {{between: {pair}, outlets: {{{at}: C19}}}}, "
        )
        .unwrap();
        writeln!(
            rest[0],
            "  m{at}: {{power-factor: {factor}, inlets: {{i: C20}}}}"
        )
        .unwrap();
        writeln!(
            rest[1],
            "  d{at}: {{model: m{at}, draw: {} VA}}",
            amperes * volts
        )
        .unwrap();
        writeln!(rest[2], "  w{at}: {{type: t, from: p/{at}, to: d{at}/i}}").unwrap();
    }
    let [models, devices, cords] = rest;
    write!(
        yaml,
        "pdu-models: {{m: {{plug: IEC 60309 125 A 3P+N+E, rating: 125 A, banks: {{{banks}}}}}}}\npdus: {{p: {{model: m, from: c}}}}\ncord-types: {{t: {{plug: C20, connector: C19, conductor: 16 mm², length: 0.1 m}}}}\ndevice-models:\n{models}devices:\n{devices}cords:\n{cords}"
    )
    .unwrap();
    let site = Site::read(SiteInput {
        files: vec![("cordwright.yaml".into(), yaml.clone().into_bytes())],
        ..SiteInput::default()
    });
    assert!(
        site.model.faults.is_empty() && site.graph.faults.is_empty(),
        "{yaml}"
    );
    site
}

/// Currents of the circuit's poles, in order.
fn currents(site: &Site) -> Vec<f64> {
    let circuit = site
        .graph
        .circuit(site.model.circuits.find("c").unwrap())
        .unwrap();
    let currents = site.flows.normal_currents(&site.graph, circuit);
    currents.map(|(_, current)| current.in_amperes()).collect()
}

fn assert_near(ours: &[f64], published: &[f64], within: f64) {
    for (ours, published) in ours.iter().zip(published) {
        assert!(
            (ours - published).abs() <= within,
            "{ours} against {published}"
        );
    }
}

const DELTA: (&str, &str) = ("3/PE ~ 208 V 60 Hz", "L1, L2, L3");
const WYE: (&str, &str) = ("3/N/PE ~ 400/230 V 50 Hz", "L1, L2, L3, N");

#[test]
fn an_unbalanced_delta_has_the_published_line_currents() {
    // A distributor's engineering note: branches of 105, 33 and 33 A give lines of 124.8, 124.8, 57.2 A.
    let site = site(
        DELTA.0,
        DELTA.1,
        208.0,
        &[
            ("L1-L2", 105.0, 1.0),
            ("L2-L3", 33.0, 1.0),
            ("L3-L1", 33.0, 1.0),
        ],
    );
    assert_near(&currents(&site), &[124.8, 124.8, 57.2], 0.05);
}

#[test]
fn unequal_power_factors_raise_a_line() {
    // Computed vectors, checked by two solvers: the third line is 13 % above √3 times its branch.
    let loads = [
        ("L1-L2", 10.0, 1.0),
        ("L2-L3", 10.0, 1.0),
        ("L3-L1", 10.0, 0.8),
    ];
    assert_near(
        &currents(&site(DELTA.0, DELTA.1, 208.0, &loads)),
        &[13.27, 17.32, 19.59],
        0.01,
    );
    let loads = [
        ("L1-L2", 10.0, 0.95),
        ("L2-L3", 5.0, 0.9),
        ("L3-L1", 7.0, 0.8),
    ];
    assert_near(
        &currents(&site(DELTA.0, DELTA.1, 208.0, &loads)),
        &[13.29, 13.64, 10.95],
        0.01,
    );
}

#[test]
fn the_neutral_of_a_wye_is_the_phasor_sum() {
    let neutral = |loads: [f64; 3]| {
        let loads: Vec<_> = ["L1-N", "L2-N", "L3-N"]
            .into_iter()
            .zip(loads)
            .map(|(pair, amperes)| (pair, amperes, 1.0))
            .collect();
        currents(&site(WYE.0, WYE.1, 230.0, &loads))[3]
    };
    // A textbook's 5, 8 and 10 A: 4.36 A.
    assert_near(&[neutral([5.0, 8.0, 10.0])], &[4.36], 0.005);
    // 10, 8 and 6 A were published as 15.1 A, by a lost sign; √12 A is right.
    let right = neutral([10.0, 8.0, 6.0]);
    assert_near(&[right], &[12f64.sqrt()], 0.005);
    assert!((right - 15.1).abs() > 10.0);
    assert_near(&[neutral([10.0, 10.0, 5.0])], &[5.0], 0.005);
}

#[test]
fn two_lines_without_a_neutral_have_the_voltage_between_them() {
    // 10 A at 208 V draw 10 A: neither line may be taken for a neutral, nor both for one.
    let site = site(
        "2/PE ~ 208 V 60 Hz",
        "L1, L2",
        208.0,
        &[("L1-L2", 10.0, 1.0)],
    );
    assert_near(&currents(&site), &[10.0, 10.0], 0.01);
}
