//! Earth faults where the installation has an electrode of its own (TT): so little current flows through the
//! ground that only a residual current device opens, and only if the electrode is good enough for it.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::circuits::{Circuit, Earthing, Supply};
use crate::model::optional::Optional;
use crate::model::sources::State;
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Current, InUnits, Quantity, Resistance, Voltage, show_rounded, volts};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::told_once::ToldOnce;
use crate::tables::constants;
use crate::tables::words::Words;

use super::RULE;
use super::missing::residual_unreadable;
use super::verdict::waits_too_long;

/// The circuits of TT systems of which something is said.
#[derive(Default)]
pub(super) struct Electrodes(ToldOnce<Id<Circuit>>);

impl Electrodes {
    /// Looks at the circuit of an end that people touch, in a state of its supply; whether that is a TT system, where
    /// nothing else counts.
    pub fn meet(
        &mut self,
        analysis: &Analysis<'_>,
        (end, supply): (ElementId, &Named<Supply>),
        state: &State<'_>,
        gaps: &mut Gaps,
    ) -> bool {
        if state.earthed() != Some(Earthing::Tt) {
            return false;
        }
        let Some(id) = analysis.graph.circuit_of(end) else {
            return true;
        };
        let circuit = &analysis.model.circuits[id];
        let words = analysis.words();
        let sufferer = || [analysis.full_name(end)];
        match (circuit.residual(), &supply.electrode) {
            (Err(at), _) => {
                let about = circuit.name.value.clone();
                gaps.miss(about, "residual", |_| {
                    residual_unreadable(circuit, at, words)
                });
            }
            (Ok(None), _) => {
                let told = self
                    .0
                    .tell(id, || no_device(circuit, (supply, state), words));
                told.suffered_by(sufferer());
            }
            (Ok(Some(_)), Optional::Unreadable(_)) => {
                let about = supply.name.value.clone();
                gaps.miss(about, "electrode", |_| unreadable(supply, words));
            }
            (Ok(Some(rcd)), _) if self.waits(analysis, end, (id, rcd), supply, gaps) => {}
            (Ok(Some(rcd)), Optional::Given(electrode)) => {
                let touched = touch_voltage(electrode.value, rcd.value);
                if touched.in_volts() > most().in_volts() * (1.0 + 1e-9) {
                    let told = self.0.tell(id, || too_high(circuit, rcd, electrode, words));
                    told.suffered_by(sufferer());
                }
            }
            // It is proved on site against the rating of the residual current device.
            (Ok(Some(_)), Optional::Absent) => {}
        }
        true
    }

    /// Whether the device of a circuit waits for others longer than the fault may last, or that cannot be told; it
    /// is said here.
    fn waits(
        &mut self,
        analysis: &Analysis<'_>,
        end: ElementId,
        (id, rcd): (Id<Circuit>, &Spanned<Current>),
        supply: &Supply,
        gaps: &mut Gaps,
    ) -> bool {
        let circuit = &analysis.model.circuits[id];
        match waits_too_long(analysis, end, supply) {
            Ok(waits) => {
                if waits {
                    let told = self.0.tell(id, || too_late(circuit, rcd, analysis.words()));
                    told.suffered_by([analysis.full_name(end)]);
                }
                waits
            }
            Err(gap) => {
                gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
                true
            }
        }
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

/// The highest voltage that a casing may keep without anything opening.
pub(super) fn most() -> Voltage {
    volts(50.0)
}

fn touch_voltage(electrode: Resistance, residual: Current) -> Voltage {
    electrode * residual
}

fn basis() -> Citation {
    Citation::new(
        "IEC 60364-4-41",
        "411.5 (TT systems: RA × IΔn at most 50 V)",
        "2005+A1:2017",
        Confidence::TwoCopies,
    )
}

fn no_device(
    circuit: &Named<Circuit>,
    (supply, state): (&Named<Supply>, &State<'_>),
    words: &Words,
) -> Draft {
    let Words {
        an_earth,
        residual_device,
        casing,
        electrode,
        ..
    } = words;
    let name = &circuit.name.value;
    let headline = format!(
        "{an_earth} fault on circuit {name} may open nothing: supply {} is a TT system{}, and no {residual_device} is on record; the {casing} stays live",
        supply.name.value,
        state.phrase()
    );
    let note = format!("no {residual_device}");
    Draft::new(&RULE, headline, circuit.name.span, note, basis())
        .above([crate::analysis::place(
            field_or_name(state.earthing, &supply.name),
            "TT".to_owned(),
        )])
        .kind("no-residual")
        .about([name.clone()])
        .advice(format!("Have a {residual_device} fitted that suits the {electrode}, and write it like `rcd: 30 mA`."))
}

fn too_late(circuit: &Named<Circuit>, rcd: &Spanned<Current>, words: &Words) -> Draft {
    let Words {
        an_earth,
        residual_device,
        casing,
        ..
    } = words;
    let name = &circuit.name.value;
    let headline = format!(
        "{an_earth} fault on circuit {name} may leave the {casing} live too long: its {residual_device} is of type S and waits for others"
    );
    let note = "type S: opens within 0.15 s".to_owned();
    Draft::new(&RULE, headline, rcd.span, note, basis())
        .also(constants::selective_residual_time().map(|time| time.citation))
        .kind("delay")
        .about([name.clone()])
        .advice(format!(
            "Have a {residual_device} fitted that opens at once."
        ))
}

fn too_high(
    circuit: &Named<Circuit>,
    rcd: &Spanned<Current>,
    measured: &Spanned<Resistance>,
    words: &Words,
) -> Draft {
    let Words {
        an_earth,
        casing,
        electrode,
        ..
    } = words;
    let residual_device = words.residual_device_of(rcd.value);
    let name = &circuit.name.value;
    let touched = touch_voltage(measured.value, rcd.value);
    let (shown, limit) = (show_rounded(touched), most().show());
    let headline = format!(
        "{an_earth} fault on circuit {name} may leave the {casing} at {shown} without end: the {electrode} is too poor for its {residual_device}"
    );
    let note = format!("opens from {}", rcd.value.show());
    Draft::new(&RULE, headline, rcd.span, note, basis())
        .above([crate::analysis::place(
            measured.span,
            format!("{electrode} of {}", measured.value.show()),
        )])
        .working([format!(
            "{} × {} = {shown} > {limit}",
            measured.value.show(),
            rcd.value.show()
        )])
        .measured(Measure::above(touched, most()))
        .kind("electrode")
        .about([name.clone()])
        .advice(format!(
            "Fit a {} of a lower rating, or have the {electrode} improved and measured again.",
            words.residual_device
        ))
}

fn unreadable(supply: &Named<Supply>, words: &Words) -> Gap {
    let Words {
        electrode,
        residual_device,
        ..
    } = words;
    let name = &supply.name.value;
    let fact = Fact::of(supply, "electrode", Some(&supply.electrode));
    Gap {
        about: name.clone(),
        kind: "electrode",
        span: fact.span,
        headline: format!(
            "is the {electrode} behind supply {name} good enough for its {residual_device}s? Open: its `electrode` cannot be read"
        ),
        missing: "`electrode` cannot be read".to_owned(),
        basis: basis(),
        advice: "Read the resistance off the test record, and write it like `electrode: 20 ohm`."
            .to_owned(),
        wants: vec![fact],
    }
}
