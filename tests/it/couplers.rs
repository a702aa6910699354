//! Ratings of cord sets against published practice, and the rules of couplers at their limits.

use cordwright::analysis::Analysis;
use cordwright::finding::{Finding, Level, Verdict};
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;

use crate::pages::bases;
use crate::site::{judged, today};

/// A base site with one cord of a type from an outlet to a device with one inlet.
struct OneCord<'a> {
    base: &'a str,
    from: &'a str,
    kind: &'a str,
    inlet: &'a str,
    draw: &'a str,
}

impl OneCord<'_> {
    fn files(&self) -> Vec<(String, String)> {
        let Self {
            base,
            from,
            kind,
            inlet,
            draw,
        } = self;
        let cords = format!(
            "device-models:\n  load: {{height: 1 U, class: I, voltage: 100–240 V, rating: 3 kW, power-factor: 1, inlets: {{psu1: {inlet}}}, inlets-needed: 1}}\n\
             devices:\n  d-1: {{model: load, rack: r1, at: U10, draw: {draw}}}\n\
             cord-types:\n  t: {{{kind}, length: 1.5 m, colour: blue}}\n\
             cords:\n  W-1: {{type: t, from: {from}, to: d-1/psu1}}\n"
        );
        let base = (base.to_string(), bases()[*base].clone());
        vec![base, ("cords.yaml".into(), cords)]
    }

    fn with<T>(&self, look: impl Fn(&Analysis<'_>) -> T) -> T {
        let files = self.files().into_iter();
        let site = Site::read(SiteInput {
            files: files
                .map(|(path, text)| (path, text.into_bytes()))
                .collect(),
            ..SiteInput::default()
        });
        look(&site.analysis(today()))
    }

    /// The link that limits the cord, and its amperes.
    fn lowest(&self) -> (String, f64) {
        self.with(|analysis| {
            let cord = analysis.model.cords.find("W-1").unwrap();
            let id = analysis.graph.cord(cord).unwrap();
            let limit = analysis.held(id).lines().limit.unwrap();
            (limit.part.word().to_owned(), limit.current.in_amperes())
        })
    }

    /// Its worst current in amperes.
    fn current(&self) -> f64 {
        self.with(|analysis| {
            let cord = analysis.model.cords.find("W-1").unwrap();
            let id = analysis.graph.cord(cord).unwrap();
            analysis
                .flows
                .worst(analysis.graph, id)
                .unwrap()
                .current
                .in_amperes()
        })
    }

    fn found(&self, rule: &str) -> Vec<Finding> {
        let all = judged(&self.files()).findings;
        all.into_iter()
            .filter(|finding| finding.rule == rule)
            .collect()
    }
}

fn iec<'a>(kind: &'a str, draw: &'a str) -> OneCord<'a> {
    OneCord {
        base: "base-iec.yaml",
        from: "pdu-a/9",
        kind,
        inlet: "C14",
        draw,
    }
}

fn nec<'a>(kind: &'a str, draw: &'a str) -> OneCord<'a> {
    OneCord {
        base: "base-nec.yaml",
        from: "pdu-a/9",
        kind,
        inlet: "C14",
        draw,
    }
}

/// Sets of NEMA 5-15 and C13 as the trade sells them: 18 AWG for 10 A, 16 AWG for 13 A, 14 AWG for
/// 15 A (NEC Table 400.5(A)(1) column B gives 10, 13 and 18 A for the conductors; UL 60320-1 gives
/// 15 A for a C13 so marked).
#[test]
fn north_american_sets_carry_what_the_trade_says() {
    for (size, mark, amperes) in [
        ("18 AWG", "10 A", 10.0),
        ("16 AWG", "13 A", 13.0),
        ("14 AWG", "15 A", 15.0),
    ] {
        let kind = format!(
            "plug: NEMA 5-15, connector: C13, cordage: SJT, conductor: {size}, rating: {mark}"
        );
        let inlet = format!("{{coupler: C14, rating: {mark}}}");
        let set = OneCord {
            inlet: &inlet,
            ..nec(&kind, "100 W")
        };
        assert_eq!(set.lowest().1, amperes, "{kind}");
    }
}

/// UL 60320-1: without the mark a C13 is the 10 A part, whatever the conductor bears.
#[test]
fn an_unmarked_connector_limits_a_thick_cord() {
    let kind = "plug: NEMA 5-15, connector: C13, cordage: SJT, conductor: 14 AWG";
    assert_eq!(nec(kind, "100 W").lowest(), ("connector".to_owned(), 10.0));
    // The inlet of the device is unmarked too.
    let kind = "plug: NEMA 5-15, connector: C13, cordage: SJT, conductor: 14 AWG, rating: 15 A";
    assert_eq!(nec(kind, "100 W").lowest(), ("inlet".to_owned(), 10.0));
}

/// A 1 mm² set of C14 and C13 is the 10 A set of IEC 60799 and of every maker; a mark of 15 A does
/// not raise it (IEC 60320-1, standard sheet C13: 10 A).
#[test]
fn the_metric_set_carries_10_amperes() {
    for rating in ["10 A", "15 A"] {
        let kind = format!(
            "plug: C20, connector: C13, cordage: H05VV-F, conductor: 1.0 mm², rating: {rating}"
        );
        assert_eq!(iec(&kind, "100 W").lowest().1, 10.0, "{rating}");
    }
}

/// The draw at which a cord carries just so many amperes.
fn draw_for(amperes: f64, cord: impl Fn(&str) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 3000.0);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if cord(&format!("{middle:.4} W")) < amperes {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// IEC 60320-1, standard sheet C13: 10 A.
#[test]
fn a_coupler_is_overloaded_just_above_its_rating() {
    let kind = "plug: C20, connector: C13, cordage: H05VV-F, conductor: 1.5 mm²";
    let watts = draw_for(10.0, |draw| iec(kind, draw).current());
    for (share, found) in [(0.999, 0), (1.001, 1)] {
        let draw = format!("{:.2} W", watts * share);
        let findings = iec(kind, &draw).found("coupler-overloaded");
        assert_eq!(findings.len(), found, "{draw}: {findings:?}");
        assert!(
            findings
                .iter()
                .all(|f| f.level == Level::Error && f.verdict == Verdict::Broken)
        );
    }
}

/// 80 % of 10 A in air above 35 °C (common practice; IEC 60320-1 clause 1 for the air).
#[test]
fn hot_air_counts_above_80_per_cent_and_above_35_degrees() {
    let kind = "plug: C20, connector: C13, cordage: H05VV-F, conductor: 1.5 mm²";
    let watts = draw_for(8.0, |draw| iec(kind, draw).current());
    let found = |share: f64, air: &str| {
        let draw = format!("{:.2} W", watts * share);
        let mut files = iec(kind, &draw).files();
        let hall = "hall: {ambient: 25 °C";
        assert!(files[0].1.contains(hall));
        files[0].1 = files[0].1.replace(hall, &format!("hall: {{ambient: {air}"));
        let findings = judged(&files).findings;
        findings
            .iter()
            .filter(|f| f.rule == "coupler-in-hot-air")
            .count()
    };
    assert_eq!(found(0.999, "36 °C"), 0);
    assert_eq!(found(1.001, "36 °C"), 1);
    assert_eq!(found(1.001, "35 °C"), 0);
    assert_eq!(found(1.001, "34.9 °C"), 0);
    assert_eq!(found(1.001, "35.1 °C"), 1);
    // 8 A × 1.26 is above 10 A: the coupler is overloaded in any air.
    assert_eq!(found(1.24, "36 °C"), 1);
    assert_eq!(found(1.26, "36 °C"), 0);
}

/// UL 60320-1: 15 A holds for a part so marked, and for no other; the advice says so.
#[test]
fn a_dual_rating_counts_only_as_marked() {
    let found = |mark: &str, inlet: &str| {
        let kind =
            format!("plug: NEMA 5-15, connector: C13, cordage: SJT, conductor: 14 AWG{mark}");
        let set = OneCord {
            inlet,
            ..nec(&kind, "1.2 kW")
        };
        set.found("coupler-overloaded")
    };
    let unmarked = found("", "C14");
    assert_eq!(unmarked.len(), 1);
    assert!(
        unmarked[0].remedy.advice.contains("rating: 15 A"),
        "{unmarked:?}"
    );
    assert_eq!(
        found(", rating: 15 A", "{coupler: C14, rating: 15 A}").len(),
        0
    );
    assert_eq!(found(", rating: 15 A", "C14").len(), 1);
}

/// IEC 60799, 5.2.2 binds under IEC practice; elsewhere it is worth knowing.
#[test]
fn a_low_plug_is_an_error_under_iec_practice_only() {
    let kind = "plug: C14, connector: C19, cordage: H05VV-F, conductor: 1.5 mm²";
    for (set, level) in [
        (iec(kind, "100 W"), Level::Error),
        (nec(kind, "100 W"), Level::Note),
    ] {
        let findings = set.found("plug-below-connector");
        assert_eq!(
            findings.iter().map(|f| f.level).collect::<Vec<_>>(),
            [level]
        );
    }
}

/// IEC 60309 series I under NEC practice: 32 A counts as 30 A. A C13 of 15 A is at home there.
#[test]
fn foreign_ratings_go_both_ways() {
    let nec_set = |connector: &str, rating: &str| {
        let kind = format!(
            "plug: IEC 60309 32 A 2P+E 6h, connector: {connector}, cordage: SJT, conductor: 10 AWG, rating: {rating}"
        );
        nec(&kind, "100 W").found("rating-foreign").len()
    };
    assert_eq!(nec_set("IEC 60309 32 A 2P+E 6h", "32 A"), 1);
    assert_eq!(nec_set("IEC 60309 32 A 2P+E 6h", "30 A"), 0);
    assert_eq!(nec_set("C13", "15 A"), 0);
    assert_eq!(nec_set("C13", "16 A"), 1);
}

/// BS 1363-1 Table 2: 3 A on 0.5 mm², 13 A from 0.75 mm².
#[test]
fn plug_fuses_are_held_against_table_2() {
    for (size, fuse, found) in [
        ("0.5 mm²", "3 A", 0),
        ("0.5 mm²", "5 A", 1),
        ("0.75 mm²", "13 A", 0),
        ("1.5 mm²", "13 A", 0),
        ("1.5 mm²", "16 A", 1),
    ] {
        let kind = format!(
            "plug: BS 1363, connector: C13, cordage: H05VV-F, conductor: {size}, fuse: {fuse}"
        );
        let findings = iec(&kind, "100 W").found("plug-fuse");
        assert_eq!(findings.len(), found, "{size} {fuse}");
    }
}

/// IEC 60309-2: the 16 A plug bears 16 A, whatever the strip is rated for. Where the strip's own
/// rating is no higher, its line is the matter, and other rules speak.
#[test]
fn the_plug_of_a_pdu_is_held_against_its_line() {
    let kind = "plug: C20, connector: C19, cordage: H05VV-F, conductor: 2.5 mm²";
    let set = OneCord {
        inlet: "C20",
        ..iec(kind, "3.6 kW")
    };
    for (rating, names) in [("32 A", vec!["W-1", "pdu-a"]), ("16 A", vec!["W-1"])] {
        let mut files = set.files();
        files[0].1 = files[0].1.replace(
            "rating: 16 A\n    cord",
            &format!("rating: {rating}\n    cord"),
        );
        let findings = judged(&files).findings;
        let about = findings.iter().filter(|f| f.rule == "coupler-overloaded");
        let mut about: Vec<&str> = about.map(|f| f.about[0].as_str()).collect();
        about.sort_unstable();
        assert_eq!(about, names, "{rating}");
    }
}

/// An outlet for two faces counts as the plug in it: 16 A with C20, 10 A with C14 (IEC 60320-1).
#[test]
fn an_outlet_of_two_faces_counts_as_its_plug() {
    for (plug, amperes) in [("C20", 16.0), ("C14", 10.0)] {
        let kind = format!("plug: {plug}, connector: C19, cordage: H05VV-F, conductor: 2.5 mm²");
        let set = OneCord {
            inlet: "C20",
            ..iec(&kind, "100 W")
        };
        let mut files = set.files();
        files[0].1 = files[0].1.replace("{9-10: C19}", "{9-10: C13/C19}");
        let site = Site::read(SiteInput {
            files: files
                .into_iter()
                .map(|(path, text)| (path, text.into_bytes()))
                .collect(),
            ..SiteInput::default()
        });
        let analysis = site.analysis(today());
        let id = analysis
            .graph
            .cord(analysis.model.cords.find("W-1").unwrap());
        let outlet = analysis.links(id.unwrap()).remove(0);
        assert_eq!(outlet.kind.word(), "outlet");
        assert_eq!(outlet.rating.current().unwrap().in_amperes(), amperes);
    }
}

/// The keying of IEC 60309 is what keeps a plug out of another voltage: no advice may undo it.
#[test]
fn no_plug_of_another_voltage_is_advised() {
    // At 230 V between line and neutral 6 h is right (IEC 60309-2 Table 104), all others are wrong.
    for (receptacle, plug) in [(6, 9), (6, 4), (9, 6), (4, 6), (9, 4), (4, 9), (9, 7)] {
        let text = format!(
            "circuits:\n  A-2:\n    from: ups-a\n    poles: [L2, N]\n    receptacle: IEC 60309 16 A 2P+E {receptacle}h\n\
             pdu-models:\n  strip:\n    plug: IEC 60309 16 A 2P+E {plug}h\n    rating: 16 A\n    banks: {{B1: {{between: L1-N, outlets: {{1-8: C13}}}}}}\n\
             pdus:\n  pdu-c: {{model: strip, rack: r1, from: A-2}}\n"
        );
        let base = ("base-iec.yaml".to_owned(), bases()["base-iec.yaml"].clone());
        let found = judged(&vec![base, ("c.yaml".into(), text)]).findings;
        let mut found = found
            .iter()
            .filter(|finding| finding.rule == "coupler-mismatch");
        let advice = &found.next().expect("they do not go together").remedy.advice;
        for hour in [4, 7, 9] {
            let name = format!("2P+E {hour}h");
            assert!(
                !advice.contains(&name),
                "{plug}h in {receptacle}h: {advice}"
            );
        }
        let is_one_right = receptacle == 6 || plug == 6;
        assert_eq!(advice.contains("2P+E 6h"), is_one_right, "{advice}");
    }
}

/// A mark that is written once and repeated holds on one coupler and is foreign on another.
#[test]
fn a_repeated_mark_is_judged_on_every_outlet() {
    let outlets = "{1-2: {coupler: C19, rating: &mark 15 A}, 3-4: {coupler: C13, rating: *mark}}";
    let text = format!(
        "site: {{practice: iec}}\npdu-models: {{m: {{rating: 16 A, banks: {{B1: {{between: L1-N, outlets: {outlets}}}}}}}}}\n"
    );
    let judgement = judged(&vec![("cordwright.yaml".into(), text)]);
    let found = judgement.findings.iter();
    let found = found.filter(|finding| finding.rule == "rating-foreign");
    assert_eq!(found.count(), 1, "{:?}", judgement.findings);
}
