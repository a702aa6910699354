//! `rcd-type-unfit`: does the residual current device see the currents that its equipment sends to earth?

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, Receiver};
use crate::model::circuits::Circuit;
use crate::model::residual::ResidualType;
use crate::model::value::{Field, Name, Named, Spanned};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::Practice;

rule!(
    "rcd-type-unfit",
    Circuits,
    Warning,
    "A residual current device of a type that does not see what its equipment sends to earth: on a fault it stays shut, and people are not protected.",
    only under Iec
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    if analysis.practice() != Some(Practice::Iec) {
        return;
    }
    let mut illegible = Illegible::default();
    let mut open = ToldOnce::default();
    for (id, circuit) in analysis.model.circuits.iter() {
        // One that cannot be read at all is asked for by who turns on its rating.
        let Ok(Some(device)) = circuit.rcd.written() else {
            continue;
        };
        let element = analysis.graph.circuit(id);
        let Some(load) = element.and_then(|id| Load::behind(analysis, id)) else {
            continue;
        };
        let name = &circuit.name.value;
        match &device.value.kind {
            Field::Given(kind) if kind.value >= load.wants => {}
            Field::Given(kind) => findings.push(unfit(circuit, kind, &load)),
            Field::Unreadable(at) => {
                let fact = unread(analysis, circuit, *at);
                let question = || {
                    format!("does the residual current device of circuit {name} see every fault")
                };
                let told = illegible.ask(&RULE, &fact, question);
                told.suffered_by([name.clone()]);
            }
            Field::Absent => {
                let told = open.tell((), || not_known(analysis, circuit));
                told.suffered_by([name.clone()]);
            }
        }
    }
    findings.extend(illegible.findings());
    findings.extend(open.findings());
}

/// What hangs on a circuit that asks most of the device.
struct Load {
    wants: ResidualType,
    /// The device that asks for it, and where its inlet says so.
    asking: (Name, Span),
}

impl Load {
    /// `None` where no equipment hangs there.
    fn behind(analysis: &Analysis<'_>, circuit: ElementId) -> Option<Self> {
        let below = analysis.graph.below(circuit).map(ElementId);
        let loads = below.filter_map(|id| {
            let (device, inlet) = match analysis.graph.receiver(id)? {
                Receiver::Inlet(number) => analysis.inlet(*number)?,
                Receiver::Pdu(_) | Receiver::Cord(_) => return None,
                // A cord that leads nobody knows where feeds equipment all the same.
                Receiver::Unknown => {
                    return Some(Self {
                        wants: ResidualType::A,
                        asking: (analysis.whole(id).clone(), analysis.place_of(id)),
                    });
                }
            };
            let coupler = inlet.coupler.given();
            let has_lines = coupler.is_some_and(|coupler| coupler.value.poles.lines >= 3);
            let name = analysis.model.devices[device].name.value.clone();
            let at = coupler.map_or(inlet.name.span, |coupler| coupler.span);
            Some(Self {
                wants: match has_lines {
                    true => ResidualType::B,
                    false => ResidualType::A,
                },
                asking: (name, at),
            })
        });
        loads.reduce(|most, load| if load.wants > most.wants { load } else { most })
    }
}

fn basis() -> Citation {
    Citation::new(
        "IEC 60364-5-53",
        "531.3.3 (types of residual current devices)",
        "2019",
        Confidence::TwoCopies,
    )
}

fn unfit(circuit: &Named<Circuit>, kind: &Spanned<ResidualType>, load: &Load) -> Finding {
    let name = &circuit.name.value;
    let (word, wanted) = (kind.value.word(), load.wants.word());
    let (equipment, inlet) = &load.asking;
    let why = match load.wants {
        ResidualType::B => format!(
            "it is of type {word}, and the rectifier of three-phase equipment such as {equipment} may send smooth direct current to earth, which only type B sees"
        ),
        _ => format!(
            "it is of type {word} and sees sinusoidal currents only, and the power supplies behind it, such as that of {equipment}, may send pulsating ones to earth"
        ),
    };
    let headline =
        format!("the residual current device of circuit {name} may stay shut on a fault: {why}");
    let but = match load.wants {
        ResidualType::B => {
            " A smaller type may do where the maker of the equipment says that no smooth current above 6 mA can flow to earth."
        }
        _ => "",
    };
    let note = format!("type {word}");
    Draft::new(&RULE, headline, kind.span, note, basis())
        .below([place(*inlet, format!("{equipment}: wants type {wanted}"))])
        .about([name.clone()])
        .advice(format!(
            "Have one of type {wanted} fitted, and write it like `rcd: {{rated: 30 mA, type: {wanted}}}`. Until then do not count on it.{but}"
        ))
        .finish()
}

/// The type where it cannot be read: at the circuit, or at the site, which may say it for all.
fn unread(analysis: &Analysis<'_>, circuit: &Named<Circuit>, at: Span) -> Fact {
    let said = match &analysis.model.site.rcds {
        Field::Given(site) => site.value.kind.span(),
        unread => unread.span(),
    };
    match said == Some(at) {
        true => Fact::unreadable_of_site("rcds.type", at),
        false => Fact::unreadable(circuit, "rcd.type", at),
    }
}

/// One word for the site: mostly its devices are all of one type.
fn not_known(analysis: &Analysis<'_>, circuit: &Named<Circuit>) -> Draft {
    let headline = "do the residual current devices see every fault of the power supplies behind them? Wanted: their type, which is missing";
    let site = analysis.site_place();
    let fact = match site {
        Some(at) => Fact::of_site("rcds.type", &Field::<()>::Absent, at),
        None => Fact::of(circuit, "rcd.type", Some(&Field::<()>::Absent)),
    };
    let note = "not decided: the type of the residual current devices is missing";
    Draft::new(&RULE, headline, fact.span, note, basis())
        .wants([fact])
        .kind("type")
        .about(["site"])
        .advice("Read the type off the devices: its letters, or a sine wave alone (AC), a sine wave and pulses (A), with a second wave (F), with a line and dashes (B). Write it once for all under `site`, like `rcds: {type: A}`, or at a circuit, like `rcd: {rated: 30 mA, type: A}`.")
}
