//! Ambient factors against the published tables and the closed form.

use super::*;
use crate::citation::Confidence;
use crate::quantity::Area;
use crate::tables::cordage;
use uom::si::area::square_millimeter;

fn celsius(value: f64) -> Temperature {
    Temperature::new::<degree_celsius>(value)
}

fn mm2(value: f64) -> ConductorSize {
    ConductorSize::Metric(Area::new::<square_millimeter>(value))
}

fn column_value(column: Conductor, ambient: f64) -> Option<f64> {
    match read(column, celsius(ambient)) {
        AmbientFactor::Factor(cited) => Some(cited.value.get::<ratio>()),
        _ => None,
    }
}

/// NEC Table 310.15(B)(1)(1), 2023: upper end of the band, 60, 75 and 90 °C columns.
const NEC_310_15: [(f64, [Option<f64>; 3]); 12] = [
    (30.0, [Some(1.00), Some(1.00), Some(1.00)]),
    (35.0, [Some(0.91), Some(0.94), Some(0.96)]),
    (40.0, [Some(0.82), Some(0.88), Some(0.91)]),
    (45.0, [Some(0.71), Some(0.82), Some(0.87)]),
    (50.0, [Some(0.58), Some(0.75), Some(0.82)]),
    (55.0, [Some(0.41), Some(0.67), Some(0.76)]),
    (60.0, [None, Some(0.58), Some(0.71)]),
    (65.0, [None, Some(0.47), Some(0.65)]),
    (70.0, [None, Some(0.33), Some(0.58)]),
    (75.0, [None, None, Some(0.50)]),
    (80.0, [None, None, Some(0.41)]),
    (85.0, [None, None, Some(0.29)]),
];

#[test]
fn nec_factors_are_those_of_the_table_through_the_whole_band() {
    for (upper, [at_60, at_75, at_90]) in NEC_310_15 {
        for ambient in [upper, upper - 4.0] {
            assert_eq!(column_value(Conductor::Nec60, ambient), at_60, "{ambient}");
            assert_eq!(column_value(Conductor::Nec75, ambient), at_75, "{ambient}");
            assert_eq!(column_value(Conductor::Nec90, ambient), at_90, "{ambient}");
        }
    }
    assert_eq!(column_value(Conductor::Nec90, 85.1), None);
}

/// IEC 60364-5-52 Table B.52.14, PVC and XLPE/EPR.
#[test]
fn wiring_factors_are_those_of_table_b_52_14() {
    for (ambient, pvc, xlpe) in [
        (30.0, Some(1.00), Some(1.00)),
        (35.0, Some(0.94), Some(0.96)),
        (40.0, Some(0.87), Some(0.91)),
        (45.0, Some(0.79), Some(0.87)),
        (50.0, Some(0.71), Some(0.82)),
        (55.0, Some(0.61), Some(0.76)),
        (60.0, Some(0.50), Some(0.71)),
        (65.0, None, Some(0.65)),
        (70.0, None, Some(0.58)),
        (75.0, None, Some(0.50)),
        (80.0, None, Some(0.41)),
        (85.0, None, None),
    ] {
        assert_eq!(
            column_value(Conductor::WiringPvc70, ambient),
            pvc,
            "{ambient}"
        );
        assert_eq!(
            column_value(Conductor::WiringXlpe90, ambient),
            xlpe,
            "{ambient}"
        );
    }
}

/// BS 7671 Table 4F3A, both rows.
#[test]
fn cord_factors_are_those_of_table_4f3a() {
    for (ambient, at_60, at_90) in [
        (35.0, Some(0.91), Some(1.0)),
        (40.0, Some(0.82), Some(1.0)),
        (45.0, Some(0.71), Some(1.0)),
        (50.0, Some(0.58), Some(1.0)),
        (55.0, Some(0.41), Some(0.96)),
        (60.0, None, Some(0.83)),
        (65.0, None, Some(0.67)),
        (70.0, None, Some(0.47)),
        (75.0, None, None),
    ] {
        assert_eq!(column_value(Conductor::Cord60, ambient), at_60, "{ambient}");
        assert_eq!(column_value(Conductor::Cord90, ambient), at_90, "{ambient}");
    }
}

/// Heat balance: a conductor at Tc in air at Ta carries √((Tc − Ta)/(Tc − 30)) of its rating.
#[test]
fn printed_factors_follow_the_heat_balance_of_the_conductor() {
    for (column, limit, allowed) in [
        (Conductor::Nec60, 60.0, 0.005),
        (Conductor::Nec75, 75.0, 0.005),
        (Conductor::Nec90, 90.0, 0.005),
        (Conductor::WiringPvc70, 70.0, 0.005),
        (Conductor::WiringXlpe90, 90.0, 0.005),
        (Conductor::Cord60, 60.0, 0.005),
        // Printed a unit in the last place off the other tables.
        (Conductor::LargeCord90, 90.0, 0.011),
    ] {
        for step in steps(column) {
            let exact = ((limit - step.upto_celsius) / (limit - 30.0)).sqrt();
            let printed = step.factor.get::<ratio>();
            assert!(
                (printed - exact).abs() <= allowed + 1e-9,
                "{column:?} {} {printed} {exact}",
                step.upto_celsius
            );
        }
    }
}

#[test]
fn cool_air_earns_no_credit_and_warmer_air_never_does() {
    for column in COLUMNS.keys() {
        assert_eq!(column_value(*column, -40.0), Some(1.0));
        let factors: Vec<_> = (-40..=120)
            .map(|ambient| column_value(*column, f64::from(ambient)).unwrap_or(0.0))
            .collect();
        assert!(factors.is_sorted_by(|a, b| a >= b), "{column:?}");
        assert!(factors.last().is_some_and(|last| *last <= 0.0));
    }
}

#[test]
fn between_two_listed_temperatures_the_higher_is_read() {
    assert_eq!(column_value(Conductor::WiringPvc70, 40.1), Some(0.79));
    assert_eq!(column_value(Conductor::WiringPvc70, 30.5), Some(0.94));
}

#[test]
fn a_cord_reads_the_rows_of_the_table_that_rated_it() {
    let factor = |practice, name, section, ambient| match for_cord(
        practice,
        cordage::find(name),
        mm2(section),
        celsius(ambient),
    ) {
        AmbientFactor::Factor(cited) => Some(cited.value.get::<ratio>()),
        _ => None,
    };
    // PVC of 70 °C in a table based on 60 °C: the 60 °C row.
    assert_eq!(factor(Practice::Iec, "H05VV-F", 1.0, 45.0), Some(0.71));
    assert_eq!(factor(Practice::Iec, "H05V2V2-F", 1.0, 45.0), Some(1.0));
    assert_eq!(factor(Practice::Iec, "H07ZZ-F", 10.0, 45.0), Some(0.86));
    assert_eq!(factor(Practice::Nec, "SJT", 1.0, 45.0), Some(0.71));
    assert_eq!(factor(Practice::Nec, "H05V2V2-F", 1.0, 45.0), Some(0.87));
    assert_eq!(factor(Practice::Iec, "no such cord", 1.0, 45.0), Some(0.71));
    assert_eq!(factor(Practice::Iec, "H05VV-F", 1.0, 56.0), None);
}

#[test]
fn too_hot_is_refused_and_no_number_is_left_open() {
    let hot = for_wiring(Practice::Iec, WiringInsulation::Pvc70, celsius(61.0));
    assert!(matches!(hot, AmbientFactor::NotPermitted(_)));
    let no_number = for_wiring(Practice::Iec, WiringInsulation::Pvc70, celsius(f64::NAN));
    assert!(matches!(no_number, AmbientFactor::NotInTable { .. }));
}

#[test]
fn every_step_says_where_it_comes_from() {
    for step in COLUMNS.values().flatten() {
        assert!(!step.citation.clause.is_empty());
        assert_ne!(step.citation.confidence, Confidence::CommonPractice);
    }
}
