//! Limits of jackets, marks and rooms, at and beside them.

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::judgement::Settings;

use crate::site::{judged_with, today};

/// A site of one cord from a strip to a device in one zone.
struct Site<'a> {
    site: &'a str,
    zone: &'a str,
    kind: &'a str,
}

impl Site<'_> {
    fn says(&self, rule: &str) -> Vec<Finding> {
        let Self { site, zone, kind } = self;
        let text = format!(
            "site: {{{site}}}
zones: {{z: {{{zone}}}}}
racks: {{r1: {{zone: z}}}}
supplies: {{u: {{system: 3/N/PE ~ 208/120 V 60 Hz}}}}
circuits: {{A: {{from: u, poles: [L1, N], breaker: 20 A, receptacle: NEMA 5-20}}}}
pdu-models:
  strip: {{plug: NEMA 5-20, rating: 16 A, cord: {{cordage: H07ZZ-F, length: 1 m, service: {{oil: yes, wet: yes}}}},
    banks: {{B1: {{between: L1-N, outlets: {{1-12: C13}}}}}}}}
pdus: {{p: {{model: strip, rack: r1, from: A}}}}
device-models: {{box: {{height: 2 U, inlets: {{psu: C14}}}}}}
devices: {{d: {{model: box, rack: r1}}}}
cord-types: {{t: {{plug: C14, connector: C13, conductor: 1 mm², {kind}}}}}
cords: {{W: {{type: t, from: p/1, to: d/psu}}}}
"
        );
        let mut settings = Settings::on(today());
        settings.only = vec![rule.to_owned()];
        judged_with(&vec![("cordwright.yaml".to_owned(), text)], &settings).findings
    }
}

/// What is said of a cordage in air of so many degrees: the level, or `None` for silence.
fn in_air(kind: &str, air: &str) -> Option<Level> {
    let zone = format!("ambient: {air}");
    let site = Site {
        site: "practice: iec, country: GB",
        zone: &zone,
        kind,
    };
    let said = site.says("jacket-too-hot");
    assert!(said.len() <= 1, "{said:?}");
    said.first().map(|finding| {
        assert_eq!(finding.verdict, Verdict::Broken);
        finding.level
    })
}

/// EN 50525-2-11: H05VV-F 70 °C, H05V2V2-F 90 °C. NEC Table 400.4: 60 °C, or as marked.
#[test]
fn air_at_the_limit_of_the_insulation_is_too_hot() {
    let (error, warning) = (Some(Level::Error), Some(Level::Warning));
    for (kind, air, said) in [
        ("cordage: H05VV-F, length: 1 m", "69.9 °C", None),
        ("cordage: H05VV-F, length: 1 m", "70 °C", error),
        ("cordage: H05VV-F, length: 1 m", "70.1 °C", error),
        ("cordage: H05V2V2-F, length: 1 m", "89 °C", None),
        ("cordage: SJT, length: 1 m", "59 °C", None),
        ("cordage: SJT, length: 1 m", "60 °C", error),
        (
            "cordage: SJT, temperature: 105 °C, length: 1 m",
            "89 °C",
            None,
        ),
        // What is recalled, not read, makes no error.
        ("cordage: H05RN-F, length: 1 m", "60 °C", warning),
        // A mark above the type's own limit does not raise it.
        (
            "cordage: H05VV-F, temperature: 105 °C, length: 1 m",
            "70 °C",
            error,
        ),
    ] {
        assert_eq!(in_air(kind, air), said, "{kind} in {air}");
    }
}

/// NEC 645.5(B)(1): 4.5 m, in such a room and under that practice only.
#[test]
fn four_and_a_half_metres_is_the_most() {
    let said = |practice: &str, zone: &str, length: &str| {
        let kind = format!("cordage: SJT, length: {length}");
        let site = format!("practice: {practice}, country: US, ambient: 25 °C");
        Site {
            site: &site,
            zone,
            kind: &kind,
        }
        .says("cord-over-limit")
        .len()
    };
    assert_eq!(said("nec", "article-645: yes", "4.49 m"), 0);
    assert_eq!(said("nec", "article-645: yes", "4.5 m"), 0);
    assert_eq!(said("nec", "article-645: yes", "4.501 m"), 1);
    // 15 ft is 4.572 m: the metric figure binds, on the safe side.
    assert_eq!(said("nec", "article-645: yes", "15 ft"), 1);
    assert_eq!(said("nec", "article-645: no", "9 m"), 0);
    assert_eq!(said("iec", "article-645: yes", "9 m"), 0);
}

/// What is said of a cord from a receptacle of the wiring, where the use is ordinary.
fn across_the_floor(cordage: &str) -> usize {
    let text = format!(
        "site: {{practice: nec, country: US, ambient: 25 °C}}
zones: {{office: {{ambient: 25 °C, vibration: none, air: room, duty: ordinary}}}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 120 V 60 Hz\", capacity: 5 kVA}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: 20 A, receptacle: NEMA 5-20}}}}
device-models: {{box: {{class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {{psu: C14}}}}}}
devices: {{box-1: {{model: box, zone: office, draw: 100 W}}}}
cord-types: {{lead: {{plug: NEMA 5-15, connector: C13, conductor: 18 AWG, cordage: {cordage}, length: 2 m, rating: 10 A}}}}
cords: {{W-1: {{type: lead, from: A-1, to: box-1/psu}}}}
"
    );
    let files = vec![("cordwright.yaml".to_owned(), text)];
    let findings = crate::site::judged(&files).findings.into_iter();
    findings.filter(|found| found.rule == "jacket-duty").count()
}

/// A duty below the zone's is found, the same and above are not; oil and wet only where known.
#[test]
fn duty_is_judged_grade_by_grade() {
    let said = |cordage: &str, zone: &str| {
        let kind = format!("cordage: {cordage}, length: 1 m");
        let site = Site {
            site: "practice: nec, country: US, ambient: 25 °C",
            zone,
            kind: &kind,
        };
        let said = site.says("jacket-duty");
        let open = said
            .iter()
            .filter(|finding| finding.verdict == Verdict::Open)
            .count();
        (said.len() - open, open)
    };
    for (cordage, light, ordinary, heavy) in [
        ("SVT", 0, 1, 1),
        ("SJT", 0, 0, 1),
        ("SO", 0, 0, 0),
        ("H03VV-F", 0, 1, 1),
        ("H05VV-F", 0, 0, 1),
        ("H07RN-F", 0, 0, 0),
    ] {
        assert_eq!(said(cordage, "duty: light"), (light, 0), "{cordage}");
        // Within a rack nobody treads on it; across the floor somebody does.
        assert_eq!(said(cordage, "duty: ordinary"), (0, 0), "{cordage}");
        assert_eq!(across_the_floor(cordage), ordinary, "{cordage}");
        assert_eq!(said(cordage, "duty: heavy"), (heavy, 0), "{cordage}");
    }
    // NEC Table 400.4: O oil-resistant, W wet locations.
    assert_eq!(said("SJT", "oil: yes, wet: yes"), (2, 0));
    assert_eq!(said("SJTO", "oil: yes, wet: yes"), (1, 0));
    assert_eq!(said("SJTOOW", "oil: yes, wet: yes"), (0, 0));
    assert_eq!(said("H05Z1Z1-F", "oil: yes, wet: yes"), (0, 2));
}

/// What is advised for a C19 cord of H05VV-F in a wet and oily place, for a load and further types.
fn advised(load: &str, types: &str) -> String {
    let text = format!(
        "site: {{practice: iec, country: DE, ambient: 30 °C}}
zones: {{z: {{oil: yes, wet: yes}}}}
racks: {{r1: {{zone: z}}}}
supplies: {{u: {{system: 3/N/PE ~ 400/230 V 50 Hz}}}}
circuits: {{A: {{from: u, poles: [L1, N], breaker: 16 A, receptacle: IEC 60309 16 A 2P+E 6h}}}}
pdu-models:
  strip: {{plug: IEC 60309 16 A 2P+E 6h, rating: 16 A, cord: {{cordage: H07RN-F, conductor: 2.5 mm², length: 1 m}},
    banks: {{B1: {{between: L1-N, outlets: {{1-4: C19}}}}}}}}
pdus: {{p: {{model: strip, rack: r1, from: A}}}}
device-models: {{box: {{height: 2 U, voltage: 200–240 V, power-factor: 1, inlets: {{psu: C20}}}}}}
devices: {{d: {{model: box, rack: r1{load}}}}}
cord-types:
  t: {{plug: C20, connector: C19, conductor: 1 mm², cordage: H05VV-F, length: 2 m}}
{types}cords: {{W: {{type: t, from: p/1, to: d/psu}}}}
"
    );
    let mut settings = Settings::on(today());
    settings.only = vec!["jacket-duty".to_owned()];
    let found = judged_with(&vec![("cordwright.yaml".to_owned(), text)], &settings).findings;
    found[0].remedy.advice.clone()
}

/// BS 7671 Table 4F3A: a cord of 1 mm² carries 10 A, one of 1.5 mm² 15 A or more.
#[test]
fn another_jacket_is_advised_in_a_size_that_carries_the_load() {
    let small = advised(", draw: 1200 W", "");
    let expected = "a cord of H05RN-F with 1 mm² conductors in its place";
    assert!(small.contains(expected), "{small}");
    // A size that it does not have now, of a cordage whose sizes are remembered.
    let large = advised(", draw: 3000 W", "");
    let expected = "a cord of H05RN-F with 1.5 mm² conductors (ask whether it is made so)";
    assert!(large.contains(expected), "{large}");
    // Nobody says what flows: no size is.
    let unknown = advised("", "");
    let expected = "a cord of H05RN-F, in a size that carries its load,";
    assert!(unknown.contains(expected), "{unknown}");
}

/// A type of the site is named only if it carries the load, is long enough and is for the voltage.
#[test]
fn a_type_of_the_site_is_advised_only_where_it_will_do() {
    let named = |load: &str, kind: &str| {
        let kind = format!("  other: {{plug: C20, connector: C19, {kind}}}\n");
        advised(load, &kind).contains("cord type other")
    };
    let good = "conductor: 1.5 mm², cordage: H07RN-F, length: 2 m";
    assert!(named(", draw: 3000 W", good));
    assert!(named(", draw: 1200 W", &good.replace("1.5 mm²", "1 mm²")));
    assert!(!named(", draw: 3000 W", &good.replace("1.5 mm²", "1 mm²")));
    assert!(!named(
        ", draw: 3000 W",
        &good.replace("length: 2 m", "length: 1.5 m")
    ));
    assert!(!named(
        ", draw: 3000 W",
        &good.replace("H07RN-F", "H05VV-F")
    ));
    assert!(!named("", good), "what flows is not known");
}

/// Any one mark of the country will do; a mark of the cordage, of another country or of the maker will not.
#[test]
fn one_mark_of_the_country_will_do() {
    let said = |country: &str, marks: &str| {
        let kind = format!("cordage: H05VV-F, length: 1 m, approvals: [{marks}]");
        let site = format!("practice: iec, country: {country}, ambient: 25 °C");
        let said = Site {
            site: &site,
            zone: "air: room",
            kind: &kind,
        }
        .says("approval-missing");
        assert!(said.iter().all(|finding| finding.level == Level::Warning));
        said.first().map(|finding| finding.verdict)
    };
    assert_eq!(said("DE", "VDE"), None);
    assert_eq!(said("DE", "vde, CE"), None);
    assert_eq!(said("DE", "CE"), Some(Verdict::Broken));
    assert_eq!(said("DE", "HAR, CE"), Some(Verdict::Broken));
    assert_eq!(said("US", "VDE"), Some(Verdict::Broken));
    assert_eq!(said("US", "cULus"), None);
    assert_eq!(said("DE", ""), Some(Verdict::Open));
    assert_eq!(said("GH", "BSI"), Some(Verdict::Open));
    assert_eq!(said("UK", "BSI"), None);
    assert_eq!(said("United States", "VDE"), Some(Verdict::Broken));
    assert_eq!(said("Atlantis", "VDE"), Some(Verdict::Open));
}

/// Saudi Arabia's plugs are disputed: never more than an open point, whatever the site sets.
#[test]
fn wall_plugs_are_those_of_the_country_or_of_none() {
    let said = |country: &str| {
        let site = format!("practice: iec, country: {country}, ambient: 25 °C");
        let mut site = Site {
            site: &site,
            zone: "air: room",
            kind: "cordage: H05VV-F, length: 1 m",
        };
        let said = site.says("plug-foreign");
        let as_errors = format!("{}, levels: {{plug-foreign: error}}", site.site);
        site.site = &as_errors;
        for (plain, as_error) in said.iter().zip(site.says("plug-foreign")) {
            assert_eq!(plain.verdict, as_error.verdict);
            let is_error = as_error.level == Level::Error;
            assert_eq!(is_error, plain.verdict == Verdict::Broken);
        }
        said.first().map(|finding| (finding.verdict, finding.level))
    };
    for (country, expected) in [
        ("US", None),
        ("JP", None),
        ("GB", Some((Verdict::Broken, Level::Warning))),
        ("SA", Some((Verdict::Open, Level::Warning))),
        ("XX", Some((Verdict::Open, Level::Warning))),
    ] {
        assert_eq!(said(country), expected, "{country}");
    }
}

/// What `supply-foreign` says of a supply in a country: the finding's verdict and kind.
fn of_supply(country: &str, marking: &str) -> Vec<(Verdict, &'static str)> {
    let text = format!(
        "site: {{practice: iec, {country}ambient: 25 °C}}\nsupplies: {{s: {{system: {marking}}}}}\n"
    );
    let mut settings = Settings::on(today());
    settings.only = vec!["supply-foreign".to_owned()];
    let files = vec![("cordwright.yaml".to_owned(), text)];
    let said = judged_with(&files, &settings).findings;
    said.iter()
        .map(|finding| (finding.verdict, finding.kind))
        .collect()
}

/// NEC 220.5(A), 2023: the nominal voltages that loads are computed at; IEC 60038, 2009, Table 1: those of
/// public supplies at 50 Hz and 60 Hz (both from memory, verify). 415/240 V: common practice.
#[test]
fn standard_systems_are_at_home() {
    for (country, markings) in [
        (
            "US",
            [
                "1/N/PE ~ 120 V 60 Hz",
                "2/N/PE ~ 240/120 V 60 Hz",
                "208Y/120 V 60 Hz",
                "3/PE ~ 240 V 60 Hz",
                "480Y/277 V 60 Hz",
                "3/PE ~ 480 V 60 Hz",
                "600Y/347 V 60 Hz",
                "3/N/PE ~ 415/240 V 60 Hz",
            ]
            .as_slice(),
        ),
        (
            "DE",
            &[
                "3/N/PE ~ 400/230 V 50 Hz",
                "1/N/PE ~ 230 V 50 Hz",
                "3/PE ~ 400 V 50 Hz",
            ],
        ),
        ("JP", &["2/N/PE ~ 200/100 V 50 Hz", "3/PE ~ 200 V 60 Hz"]),
        ("BE", &["3/PE ~ 230 V 50 Hz"]),
        ("MX", &["3/N/PE ~ 220/127 V 60 Hz"]),
    ] {
        for marking in markings {
            let said = of_supply(&format!("country: {country}, "), marking);
            assert_eq!(said, [], "{country}: {marking}");
        }
    }
}

#[test]
fn a_marking_of_another_country_is_told() {
    let (broken, open) = (Verdict::Broken, Verdict::Open);
    for (country, marking, said) in [
        ("US", "3/N/PE ~ 400/230 V 60 Hz", &[] as &[_]), // within 10 % of 240 V
        ("US", "3/N/PE ~ 400/230 V 50 Hz", &[(broken, "frequency")]),
        ("US", "3/N/PE ~ 380/220 V 60 Hz", &[]),
        ("US", "1/N/PE ~ 200 V 60 Hz", &[(broken, "voltage")]),
        ("GB", "3/N/PE ~ 208/120 V 50 Hz", &[(broken, "voltage")]),
        (
            "GB",
            "208Y/120 V 60 Hz",
            &[(broken, "voltage"), (broken, "frequency")],
        ),
        ("GB", "3/N/PE ~ 400/230 V", &[(open, "frequency")]),
        ("DE", "3/PE ~ 208 V 50 Hz", &[(broken, "voltage")]),
        // Lists disagree on what lies between lines in the one, and to the neutral in the other.
        ("GB", "3/PE ~ 208 V 50 Hz", &[(open, "voltage")]),
        ("MY", "3/N/PE ~ 208/120 V 50 Hz", &[(open, "voltage")]),
        ("XX", "3/N/PE ~ 400/230 V 50 Hz", &[(open, "")]),
    ] {
        let country = format!("country: {country}, ");
        assert_eq!(of_supply(&country, marking), said, "{country}{marking}");
    }
    assert_eq!(of_supply("", "3/N/PE ~ 400/230 V 50 Hz"), [(open, "")]);
}

/// The level follows the practice, and Article 645 relieves floors, not plenums.
#[test]
fn air_spaces_are_judged_by_practice() {
    let said = |practice: &str, zone: &str| {
        let site = format!("practice: {practice}, country: US, ambient: 25 °C");
        let site = Site {
            site: &site,
            zone,
            kind: "cordage: H05Z1Z1-F, length: 1 m",
        };
        let said = site.says("jacket-in-plenum");
        said.iter()
            .map(|finding| (finding.verdict, finding.level))
            .next()
    };
    let (error, warning) = (
        Some((Verdict::Broken, Level::Error)),
        Some((Verdict::Broken, Level::Warning)),
    );
    assert_eq!(said("nec", "air: plenum"), error);
    assert_eq!(said("nec", "air: plenum, article-645: yes"), error);
    assert_eq!(said("iec", "air: plenum"), warning);
    assert_eq!(said("nec", "air: underfloor, article-645: yes"), None);
    assert_eq!(said("nec", "air: underfloor, article-645: no"), error);
    assert_eq!(
        said("nec", "air: underfloor"),
        Some((Verdict::Open, Level::Warning))
    );
    assert_eq!(said("iec", "air: underfloor"), None);
    assert_eq!(said("nec", "air: room"), None);
}
