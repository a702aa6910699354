//! NEMA configurations that stand for a voltage: where there is a form of its own for less, equipment made for
//! more fits no outlet there.

use super::{Coupler, Earth, Family, RatedVoltage, all};
use crate::citation::Cited;
use crate::quantity::{InUnits, Voltage, percent};

/// Forms serve nominal voltages so much above their own: one for 125 V serves 127 V where that is the mains
/// (common practice).
fn reach(rated: RatedVoltage) -> Voltage {
    rated.highest * (percent(100.0) + percent(2.0))
}

/// The NEMA configuration that is made for this voltage where this one is made for more, with as many poles and
/// an earth alike, and what it is made for; `None` where there is none, or the coupler is no such.
pub fn form_of_its_own(
    coupler: &Coupler,
    voltage: Voltage,
) -> Option<(&'static Coupler, &'static Cited<RatedVoltage>)> {
    let own = coupler.voltage.as_ref()?.value;
    if coupler.family != Family::Nema || voltage >= own.highest {
        return None;
    }
    let has_earth = |coupler: &Coupler| coupler.earth != Earth::None;
    let forms = all().filter(|other| {
        other.family == Family::Nema
            && other.poles.count() == coupler.poles.count()
            && has_earth(other) == has_earth(coupler)
    });
    let rated = forms.filter_map(|other| Some((other, other.voltage.as_ref()?)));
    let fitting = rated
        .filter(|(_, rated)| rated.value.highest < own.highest && voltage <= reach(rated.value));
    // Of forms for one voltage the one that is known best stands for all.
    fitting.min_by(|(_, a), (_, b)| {
        let by_voltage = a
            .value
            .highest
            .in_volts()
            .total_cmp(&b.value.highest.in_volts());
        by_voltage.then(a.citation.confidence.cmp(&b.citation.confidence))
    })
}

#[cfg(test)]
mod tests {
    use super::super::find;
    use super::*;
    use uom::si::electric_potential::volt;

    fn made_for(name: &str, volts: f64) -> Option<f64> {
        let coupler = find(name).unwrap_or_else(|| panic!("{name}"));
        let found = form_of_its_own(coupler, Voltage::new::<volt>(volts));
        found.map(|(_, rated)| rated.value.highest.get::<volt>())
    }

    #[test]
    fn a_form_is_foreign_where_a_lower_one_serves() {
        for (name, volts, other) in [
            ("NEMA 5-15", 120.0, None),
            ("NEMA 5-15", 100.0, None),
            ("NEMA 5-15", 208.0, None),
            ("NEMA 6-15", 120.0, Some(125.0)),
            ("NEMA L6-30", 127.0, Some(125.0)),
            ("NEMA L6-30", 200.0, None),
            ("NEMA L6-30", 208.0, None),
            ("NEMA L6-30", 240.0, None),
            ("NEMA 7-15", 277.0, None),
            ("NEMA 7-15", 240.0, Some(250.0)),
            ("NEMA L15-30", 208.0, None),
            ("NEMA L16-20", 480.0, None),
            ("NEMA L16-20", 240.0, Some(250.0)),
            ("NEMA L21-20", 208.0, None),
            ("NEMA L22-20", 415.0, None),
            ("IEC 60309 32 A 2P+E 6h", 110.0, None),
        ] {
            assert_eq!(made_for(name, volts), other, "{name} at {volts} V");
        }
    }
}
