//! Single limits of the wiring rules that are no table of their own.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_current::{ampere, milliampere};
use uom::si::length::meter;
use uom::si::ratio::percent;
use uom::si::time::millisecond;

use super::by_size::ListedSize;
use super::{Practice, Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Current, Length, Ratio, Temperature, Time, degrees_celsius};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Constant {
    ContinuousLoad,
    EarthCurrentReinforced,
    StandingLeakage,
    VoltageDropBranch,
    VoltageDropTotal,
    CordInItRoom,
    ReceptacleLoad,
    ConventionalTripping,
    VoltageBand,
    SupplyTolerance,
    MinimumVoltageFactor,
    MaximumVoltageFactor,
    EarthFaultMultiple,
    ResidualMultiple,
    SelectiveResidualTime,
    BreakerHeat,
    BreakerReference,
    CoiledCord,
    LargestThirdHarmonic,
    PhaseImbalanceNoted,
    PhaseImbalanceLarge,
    PhaseImbalanceFloor,
    EquipmentOnPlug,
    EquipmentEarthCurrent,
    ReinforcedEarthConductor,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    constant: Constant,
    practice: Option<Practice>,
    percent: Option<f64>,
    milliamperes: Option<f64>,
    metres: Option<f64>,
    milliseconds: Option<f64>,
    celsius: Option<f64>,
    /// Rating of the receptacle that a limit is for.
    receptacle_amperes: Option<f64>,
    amperes: Option<f64>,
    size: Option<ListedSize>,
    #[serde(flatten)]
    provenance: Provenance,
}

static ROWS: LazyLock<Vec<(Row, Citation)>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("constants", include_str!("data/constants.yaml"));
    let cite = |row: &Row| table.cite(&row.provenance);
    let citations: Vec<_> = table.rows.iter().map(cite).collect();
    table.rows.into_iter().zip(citations).collect()
});

/// The first row of a constant, read in one of its units.
fn read<T>(
    constant: Constant,
    practice: Option<Practice>,
    value: impl Fn(&Row) -> Option<T>,
) -> Option<Cited<T>> {
    let rows = ROWS
        .iter()
        .filter(|(row, _)| row.constant == constant && row.practice == practice);
    let mut found = rows.filter_map(|(row, citation)| {
        let citation = citation.clone();
        value(row).map(|value| Cited { value, citation })
    });
    found.next()
}

fn share(row: &Row) -> Option<Ratio> {
    row.percent.map(Ratio::new::<percent>)
}

fn leakage(row: &Row) -> Option<Current> {
    row.milliamperes.map(Current::new::<milliampere>)
}

/// Share of an overcurrent device's rating that a load of three hours or more may take. `None` under IEC
/// practice, which has no such rule: there it is house policy.
pub fn continuous_load(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::ContinuousLoad, Some(practice), share)
}

/// Protective conductor current above which a high-integrity protective connection is needed.
pub fn earth_current_reinforced() -> Option<Cited<Current>> {
    read(Constant::EarthCurrentReinforced, None, leakage)
}

/// Share of a residual current device's rating that standing leakage may take.
pub fn standing_leakage() -> Option<Cited<Ratio>> {
    read(Constant::StandingLeakage, None, share)
}

/// Recommended voltage drop in a branch circuit alone; `None` where the practice gives none.
pub fn branch_voltage_drop(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::VoltageDropBranch, Some(practice), share)
}

/// Recommended voltage drop from the origin of the installation to the load.
pub fn total_voltage_drop(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::VoltageDropTotal, Some(practice), share)
}

/// How far the voltage of a public supply may lie from the nominal one, to either side.
pub fn voltage_band() -> Option<Cited<Ratio>> {
    read(Constant::VoltageBand, None, share)
}

/// How far below nominal the voltage of a public supply may sit, as the practice declares it.
pub fn supply_tolerance(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::SupplyTolerance, Some(practice), share)
}

/// Longest power-supply cord in a room under NEC Article 645.
pub fn cord_in_it_room() -> Option<Cited<Length>> {
    read(Constant::CordInItRoom, None, |row| {
        row.metres.map(Length::new::<meter>)
    })
}

/// Largest cord-and-plug load on a receptacle of a NEC circuit with several receptacles.
pub fn receptacle_load(receptacle: Current) -> Option<Cited<Current>> {
    read(Constant::ReceptacleLoad, Some(Practice::Nec), |row| {
        for_receptacle(row, receptacle)
    })
}

fn for_receptacle(row: &Row, receptacle: Current) -> Option<Current> {
    is_rated(receptacle, row.receptacle_amperes?).then_some(Current::new::<ampere>(row.amperes?))
}

/// Largest share of third harmonic that the current of equipment can have whose maker gives none.
pub fn largest_third_harmonic() -> Option<Cited<Ratio>> {
    read(Constant::LargestThirdHarmonic, None, share)
}

/// Largest departure of a line current from the mean of all that is passed over.
pub fn phase_imbalance_noted() -> Option<Cited<Ratio>> {
    read(Constant::PhaseImbalanceNoted, None, share)
}

/// Largest departure of a line current from the mean of all that is only worth a note.
pub fn phase_imbalance_large() -> Option<Cited<Ratio>> {
    read(Constant::PhaseImbalanceLarge, None, share)
}

/// Mean current below which unevenness of the lines is passed over.
pub fn phase_imbalance_floor() -> Option<Cited<Current>> {
    read(Constant::PhaseImbalanceFloor, None, |row| {
        row.amperes.map(Current::new::<ampere>)
    })
}

fn is_rated(rating: Current, amperes: f64) -> bool {
    (rating - Current::new::<ampere>(amperes)).abs() < Current::new::<milliampere>(1.0)
}

/// Share of its plug's rating that the rating of equipment may be; `None` where the practice has no such rule.
pub fn equipment_on_plug(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::EquipmentOnPlug, Some(practice), share)
}

/// Size from which on a single protective conductor is a high-integrity connection by itself.
pub fn reinforced_earth_conductor() -> Option<Cited<ConductorSize>> {
    read(Constant::ReinforcedEarthConductor, None, |row| {
        row.size.map(|size| size.0)
    })
}

/// Earth current above which equipment with an ordinary plug must say so beside its inlet.
pub fn equipment_earth_current() -> Option<Cited<Current>> {
    read(Constant::EquipmentEarthCurrent, None, leakage)
}

/// Multiple of a conductor's ampacity that the conventional tripping current of its device may not exceed.
pub fn conventional_tripping() -> Option<Cited<Ratio>> {
    read(Constant::ConventionalTripping, None, share)
}

/// Voltage factor Cmin: the share of the nominal voltage that a fault may find.
pub fn minimum_voltage_factor() -> Option<Cited<Ratio>> {
    read(Constant::MinimumVoltageFactor, None, share)
}

/// Voltage factor cmax: by how much a fault current may exceed what was computed at nominal voltage.
pub fn maximum_voltage_factor() -> Option<Cited<Ratio>> {
    read(Constant::MaximumVoltageFactor, None, share)
}

/// Multiple of an overcurrent device's rating that an earth fault should drive. `None` under IEC
/// practice, which fixes times instead.
pub fn earth_fault_multiple(practice: Practice) -> Option<Cited<Ratio>> {
    read(Constant::EarthFaultMultiple, Some(practice), share)
}

/// Multiple of its rated residual current at which a residual current device opens in time for every
/// row of IEC 60364-4-41 Table 41.1.
pub fn residual_multiple() -> Option<Cited<Ratio>> {
    read(Constant::ResidualMultiple, None, share)
}

/// By when a residual current device that waits for others has opened at that multiple.
pub fn selective_residual_time() -> Option<Cited<Time>> {
    read(Constant::SelectiveResidualTime, None, |row| {
        row.milliseconds.map(Time::new::<millisecond>)
    })
}

/// What each kelvin above its reference costs a breaker that heat opens, as a share of its rating, where its maker
/// gives no figure.
pub fn breaker_heat() -> Option<Cited<Ratio>> {
    read(Constant::BreakerHeat, None, share)
}

/// The air in which the standard of a practice's breakers has them carry their rating.
pub fn breaker_reference(practice: Practice) -> Option<Cited<Temperature>> {
    read(Constant::BreakerReference, Some(practice), |row| {
        row.celsius.map(degrees_celsius)
    })
}

/// Share of its capacity that a cord coiled up by hand should carry; a guide, not a limit.
pub fn coiled_cord() -> Option<Cited<Ratio>> {
    read(Constant::CoiledCord, None, share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_those_of_the_rules_they_cite() {
        let share = |found: Option<Cited<Ratio>>| found.map(|f| f.value.get::<percent>().round());
        // NEC 210.20(A): 125 % the other way round. IEC 60364 has no such rule.
        assert_eq!(share(continuous_load(Practice::Nec)), Some(80.0));
        assert_eq!(share(continuous_load(Practice::Iec)), None);
        // IEC 60364-5-53 531.3.2; IEC 60364-4-43 433.1.
        assert_eq!(share(standing_leakage()), Some(30.0));
        assert_eq!(share(conventional_tripping()), Some(145.0));
        // NEC 210.19 and 215.2 informational notes; IEC 60364-5-52 Table G.52.1.
        assert_eq!(share(branch_voltage_drop(Practice::Nec)), Some(3.0));
        assert_eq!(share(total_voltage_drop(Practice::Nec)), Some(5.0));
        assert_eq!(share(total_voltage_drop(Practice::Iec)), Some(5.0));
        // BS 7671 411.4.4 (Cmin); notes to its Tables 4F1A and 4F2A, two layers.
        assert_eq!(share(minimum_voltage_factor()), Some(95.0));
        assert_eq!(share(coiled_cord()), Some(65.0));
        // IEC 60909-0 Table 1, up to 1000 V, +10 %.
        assert_eq!(share(maximum_voltage_factor()), Some(110.0));
        // IEC 61008-1 Table 1: 0.04 s at five times the rated residual current.
        assert_eq!(share(residual_multiple()), Some(500.0));
        let waits = selective_residual_time().map(|found| found.value.get::<millisecond>().round());
        assert_eq!(waits, Some(150.0));
        assert_eq!(share(earth_fault_multiple(Practice::Nec)), Some(500.0));
        assert_eq!(share(earth_fault_multiple(Practice::Iec)), None);
        // IEC 60898-1 and UL 489.
        let reference = |practice| breaker_reference(practice).map(|found| found.value);
        assert_eq!(reference(Practice::Iec), Some(degrees_celsius(30.0)));
        assert_eq!(reference(Practice::Nec), Some(degrees_celsius(40.0)));
        // IEC 60364-5-54 543.7.
        let leakage = |found: Option<Cited<Current>>| found.map(|f| f.value);
        let milliamperes = |value| Some(Current::new::<milliampere>(value));
        assert_eq!(leakage(earth_current_reinforced()), milliamperes(10.0));
        // NEC 645.5(B)(1).
        let metres = cord_in_it_room().map(|found| found.value.get::<meter>());
        assert_eq!(metres, Some(4.5));
    }

    /// UL 60950-1, deviation to 3.2.1: a plug of 125 %; IEC 60950-1 5.1.7.1.
    #[test]
    fn ratings_of_the_input_chain_are_those_of_the_rules_they_cite() {
        let plug = equipment_on_plug(Practice::Nec).map(|found| found.value);
        assert!(plug.is_some_and(|share| (share.get::<percent>() * 1.25 - 100.0).abs() < 1e-9));
        assert_eq!(equipment_on_plug(Practice::Iec), None);
        let inlet = equipment_earth_current().map(|found| found.value);
        assert_eq!(inlet, Some(Current::new::<milliampere>(3.5)));
        // BS 7671 543.7.1.203 (i).
        let thick = reinforced_earth_conductor().map(|found| found.value.to_string());
        assert_eq!(thick.as_deref(), Some("10 mm²"));
    }

    /// NEC Table 210.21(B)(2).
    #[test]
    fn receptacles_carry_their_load_of_the_table() {
        let load = |rating| {
            let found = receptacle_load(Current::new::<ampere>(rating));
            found.map(|found| found.value.get::<ampere>())
        };
        for (rating, expected) in [(15.0, 12.0), (20.0, 16.0), (30.0, 24.0)] {
            assert_eq!(load(rating), Some(expected));
        }
        assert_eq!(load(17.0), None);
    }
}
