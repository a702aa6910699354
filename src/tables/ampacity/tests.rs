//! Ampacities against the published tables.

use super::*;
use crate::citation::Confidence;
use crate::tables::cordage;
use uom::si::area::square_millimeter;

use crate::quantity::Area;

fn mm2(value: f64) -> ConductorSize {
    ConductorSize::Metric(Area::new::<square_millimeter>(value))
}

fn amperes_of(found: &Lookup<Current>) -> Option<f64> {
    found.value().map(|current| current.get::<ampere>())
}

fn read(practice: Practice, cordage: &str, size: ConductorSize, loaded: u8) -> Option<f64> {
    amperes_of(&flexible(practice, cordage::find(cordage), size, loaded))
}

/// NEC Table 400.5(A)(1), 2023: gauge, column A (three loaded), column B (two loaded).
const NEC_400_5: [(i8, f64, f64); 10] = [
    (18, 7.0, 10.0),
    (17, 9.0, 12.0),
    (16, 10.0, 13.0),
    (15, 12.0, 16.0),
    (14, 15.0, 18.0),
    (13, 17.0, 21.0),
    (12, 20.0, 25.0),
    (10, 25.0, 30.0),
    (8, 35.0, 40.0),
    (6, 45.0, 55.0),
];

/// BS 7671 Table 4F3A: mm², single-phase, three-phase.
const BS_4F3A: [(f64, f64, Option<f64>); 7] = [
    (0.5, 3.0, Some(3.0)),
    (0.75, 6.0, Some(6.0)),
    (1.0, 10.0, Some(10.0)),
    (1.25, 13.0, None),
    (1.5, 16.0, Some(16.0)),
    (2.5, 25.0, Some(20.0)),
    (4.0, 32.0, Some(25.0)),
];

/// BS 7671 Tables 4F1A and 4F2A: mm², 60 °C single- and three-phase, 90 °C single- and three-phase.
const BS_LARGE: [(f64, [f64; 4]); 3] = [
    (6.0, [39.0, 34.0, 55.0, 49.0]),
    (10.0, [51.0, 47.0, 76.0, 66.0]),
    (16.0, [73.0, 63.0, 103.0, 89.0]),
];

#[test]
fn nec_cords_carry_what_table_400_5_prints() {
    for (gauge, three, two) in NEC_400_5 {
        let size = ConductorSize::Awg(gauge);
        assert_eq!(read(Practice::Nec, "STOOW", size, 2), Some(two), "{gauge}");
        assert_eq!(
            read(Practice::Nec, "STOOW", size, 3),
            Some(three),
            "{gauge}"
        );
        let found = flexible(Practice::Nec, None, size, 2);
        assert!(found.remarks().is_empty(), "{gauge}");
    }
}

/// NEC Table 400.5(A)(3), applied to column A.
#[test]
fn more_than_three_loaded_conductors_start_from_column_a() {
    let size = ConductorSize::Awg(12);
    for (loaded, amperes) in [
        (4, 16.0),
        (6, 16.0),
        (7, 14.0),
        (9, 14.0),
        (10, 10.0),
        (20, 10.0),
    ] {
        let found = read(Practice::Nec, "SOOW", size, loaded);
        assert!(
            found.is_some_and(|a| (a - amperes).abs() < 1e-9),
            "{loaded}: {found:?}"
        );
    }
}

#[test]
fn small_metric_cords_carry_what_table_4f3a_prints() {
    for (section, single, three) in BS_4F3A {
        let size = mm2(section);
        let found = flexible(Practice::Iec, None, size, 2);
        assert_eq!(amperes_of(&found), Some(single), "{section}");
        assert!(found.remarks().is_empty(), "{section}");
        if let Some(three) = three {
            assert_eq!(
                amperes_of(&flexible(Practice::Iec, None, size, 3)),
                Some(three)
            );
        }
    }
}

#[test]
fn large_metric_cords_carry_what_tables_4f1a_and_4f2a_print() {
    for (section, [single_60, three_60, single_90, three_90]) in BS_LARGE {
        let size = mm2(section);
        assert_eq!(read(Practice::Iec, "H07RN-F", size, 2), Some(single_60));
        assert_eq!(read(Practice::Iec, "H07RN-F", size, 3), Some(three_60));
        assert_eq!(read(Practice::Iec, "H07ZZ-F", size, 2), Some(single_90));
        assert_eq!(read(Practice::Iec, "H07ZZ-F", size, 3), Some(three_90));
    }
}

#[test]
fn the_sets_every_rack_has_carry_what_the_trade_expects() {
    assert_eq!(
        read(Practice::Nec, "SJT", ConductorSize::Awg(18), 2),
        Some(10.0)
    );
    assert_eq!(
        read(Practice::Nec, "SJT", ConductorSize::Awg(16), 2),
        Some(13.0)
    );
    assert_eq!(read(Practice::Iec, "H05VV-F", mm2(1.0), 2), Some(10.0));
    assert_eq!(read(Practice::Iec, "H05VV-F", mm2(0.75), 2), Some(6.0));
}

#[test]
fn a_size_of_the_other_system_reads_the_next_smaller_listed_one_and_says_so() {
    for (practice, asked, read_as, amperes) in [
        (Practice::Nec, mm2(1.0), ConductorSize::Awg(18), 10.0),
        (Practice::Nec, mm2(1.5), ConductorSize::Awg(16), 13.0),
        (Practice::Iec, ConductorSize::Awg(18), mm2(0.75), 6.0),
        (Practice::Iec, ConductorSize::Awg(16), mm2(1.25), 13.0),
        (Practice::Iec, ConductorSize::Awg(14), mm2(1.5), 16.0),
    ] {
        let found = flexible(practice, None, asked, 2);
        assert_eq!(amperes_of(&found), Some(amperes));
        let remark = Remark::SmallerSizeRead {
            asked,
            read: read_as,
        };
        assert_eq!(found.remarks(), [remark]);
    }
}

#[test]
fn three_phase_in_1_25_square_millimetres_falls_back_to_1() {
    let found = flexible(Practice::Iec, None, mm2(1.25), 3);
    assert_eq!(amperes_of(&found), Some(10.0));
    assert_eq!(found.remarks().len(), 1);
}

#[test]
fn a_size_below_the_table_is_left_open() {
    for (practice, size) in [
        (Practice::Nec, mm2(0.75)),
        (Practice::Nec, ConductorSize::Awg(20)),
        (Practice::Iec, mm2(0.34)),
        (Practice::Iec, mm2(0.0)),
        (Practice::Iec, mm2(f64::NAN)),
        (Practice::Nec, mm2(-1.0)),
    ] {
        assert_eq!(flexible(practice, None, size, 2).value(), None);
    }
}

#[test]
fn a_cordage_in_a_size_it_is_not_made_in_bears_what_its_largest_size_does() {
    let svt = |size| read(Practice::Nec, "SVT", ConductorSize::Awg(size), 2);
    assert!(svt(14).is_some());
    assert_eq!(svt(14), svt(17));
    let h03 = |size| read(Practice::Iec, "H03VV-F", mm2(size), 2);
    assert!(h03(1.5).is_some());
    assert_eq!(h03(1.5), h03(0.75));
}

#[test]
fn the_disputed_size_of_svt_carries_the_undisputed_one() {
    let found = flexible(
        Practice::Nec,
        cordage::find("SVT"),
        ConductorSize::Awg(16),
        2,
    );
    assert_eq!(amperes_of(&found), Some(12.0));
    assert_eq!(found.citation().confidence, Confidence::Disputed);
}

/// Japanese and British tables differ for the same section: 7 and 6 A, 12 and 13 A.
#[test]
fn of_two_tables_for_one_cord_the_lower_stands() {
    assert_eq!(read(Practice::Iec, "VCTF", mm2(0.75), 2), Some(6.0));
    assert_eq!(read(Practice::Iec, "VCTF", mm2(1.25), 2), Some(12.0));
    assert_eq!(read(Practice::Iec, "VCTF", mm2(2.0), 2), Some(16.0));
    assert_eq!(read(Practice::Iec, "VCTF", mm2(0.5), 2), None);
}

#[test]
fn a_loaded_neutral_lowers_the_three_phase_value_and_five_loaded_are_left_open() {
    let four = flexible(Practice::Iec, None, mm2(2.5), 4);
    assert!(amperes_of(&four).is_some_and(|a| (a - 17.2).abs() < 1e-9));
    assert_eq!(flexible(Practice::Iec, None, mm2(2.5), 5).value(), None);
}

#[test]
fn more_copper_never_carries_less_and_more_loaded_conductors_never_more() {
    let mut sizes: Vec<_> = (1..400).map(|n| mm2(f64::from(n) * 0.05)).collect();
    sizes.extend((2..=24).map(ConductorSize::Awg));
    sizes.sort_by(|a, b| a.cmp_area(b));
    for practice in [Practice::Iec, Practice::Nec] {
        for name in [None, Some("H07RN-F"), Some("H07ZZ-F"), Some("STOOW")] {
            let cordage = name.and_then(cordage::find);
            for loaded in 0..=4 {
                let carried: Vec<_> = sizes
                    .iter()
                    .filter_map(|size| amperes_of(&flexible(practice, cordage, *size, loaded)))
                    .collect();
                assert!(
                    carried.is_sorted(),
                    "{practice:?} {name:?} {loaded}: {carried:?}"
                );
            }
            for size in &sizes {
                let carried: Vec<_> = (0..=4)
                    .filter_map(|n| amperes_of(&flexible(practice, cordage, *size, n)))
                    .collect();
                assert!(carried.is_sorted_by(|a, b| a >= b), "{carried:?}");
            }
        }
    }
}

#[test]
fn every_row_says_where_it_comes_from() {
    let table = Table::<Row>::embedded("ampacity", include_str!("../data/ampacity.yaml"));
    for row in &table.rows {
        assert!(!table.cite(&row.provenance).clause.is_empty());
        assert!(row.amperes > 0.0 && (row.loaded == 2 || row.loaded == 3));
    }
}
