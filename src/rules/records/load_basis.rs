//! `load-basis`: what does the load of every device rest on?

mod lack;

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::date::Date;
use crate::finding::{Fact, Finding, Level, Measure};
use crate::flow::loads::{LoadBasis, complex_power};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Named, Spanned};
use crate::quantity::{Quantity, volt_amperes};
use crate::rules::illegible::Illegible;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};

rule!(
    "load-basis",
    Records,
    Note up to Error,
    "A load that rests on the nameplate, on an old measurement or on nothing: every sum above it is no better."
);

/// From this many times its nameplate on a draw cannot be meant as it stands: a digit too many, another unit, or
/// the nameplate of another device (common practice).
const BEYOND_MEANING: f64 = 2.0;

/// Days after which a measurement is old.
const OLD: i64 = 365;

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut lacking, mut illegible) = (ToldOnce::default(), Illegible::default());
    for (id, device) in analysis.model.devices.iter() {
        let model = analysis.graph.links.device_models[id.index()];
        let model = model.map(|model| &analysis.model.device_models[model]);
        match analysis.flows.loads.device(id).basis {
            Ok(LoadBasis::Nameplate) => findings.extend(nameplate(device, model)),
            Ok(LoadBasis::Draw) => {
                match device.measured.written() {
                    Ok(day) => {
                        findings.extend(day.and_then(|day| measured(device, *day, analysis.today)));
                    }
                    Err(at) => {
                        let fact = Fact::unreadable(device, "measured", at);
                        let name = &device.name.value;
                        let question = || format!("was the draw of device {name} measured of late");
                        illegible.ask(&RULE, &fact, question);
                    }
                }
                findings.extend(model.and_then(|model| above_nameplate(device, model)));
            }
            Err(why) => {
                let fact = analysis.load_gap(id).and_then(|gap| gap.fact);
                let Some(fact) = fact else { continue };
                // A fact that a model lacks is told once, not for every device.
                let is_shared = lack::is_of_model(&fact);
                let told = lacking.tell(fact.clone(), || lack::draft(fact, why));
                told.suffered_by(is_shared.then(|| device.name.value.clone()));
            }
        }
    }
    findings.extend(lacking.findings());
    findings.extend(illegible.findings());
}

fn nameplate(device: &Named<Device>, model: Option<&Named<DeviceModel>>) -> Option<Finding> {
    let (name, rating) = (&device.name, model?.rating.given()?);
    let rated = rating.value.show();
    let headline = format!(
        "no measured load of device {} is on record: its nameplate of {rated} counts, mostly more than it takes",
        name.value
    );
    Some(
        Draft::new(&RULE, headline, name.span, "no draw", basis())
            .below([place(rating.span, format!("nameplate {rated}"))])
            .about([name.value.clone()])
            .kind("nameplate")
            .advice("Measure it at its highest load, and write `draw` and the day as `measured`.")
            .finish(),
    )
}

fn measured(device: &Named<Device>, measured: Spanned<Date>, today: Date) -> Option<Finding> {
    let name = &device.name;
    let age = measured.value.days_until(today);
    let shown = measured.value;
    let again = "Measure it again at its highest load.";
    let (headline, working, advice, kind, level) = if age < 0 {
        let headline = format!(
            "the draw of device {} is said to be measured on {shown}, which is still to come: it is no measurement",
            name.value
        );
        let working = format!("{shown} is {} days after {today}", -age);
        let advice = format!("Correct the date, if it is a slip. {again}");
        (headline, working, advice, "future", Level::Warning)
    } else if age > OLD {
        let headline = format!(
            "the draw of device {} was measured on {shown}, {age} days ago: what it takes today may be more",
            name.value
        );
        let working = format!("{shown} to {today}: {age} days, of at most {OLD}");
        (headline, working, again.to_owned(), "old", Level::Note)
    } else {
        return None;
    };
    Some(
        Draft::new(
            &RULE,
            headline,
            measured.span,
            format!("measured {shown}"),
            basis(),
        )
        .level(level)
        .working([working])
        .about([name.value.clone()])
        .kind(kind)
        .advice(advice)
        .finish(),
    )
}

fn above_nameplate(device: &Named<Device>, model: &Named<DeviceModel>) -> Option<Finding> {
    let (draw, rating) = (device.draw.given()?, model.rating.given()?);
    let apparent = |load| complex_power(load, model).ok().map(|power| power.norm());
    let (taken, rated) = (apparent(draw.value)?, apparent(rating.value)?);
    // Rounding on the way through units must not make a difference.
    if taken <= rated * (1.0 + 1e-9) {
        return None;
    }
    let (name, shown, plate) = (&device.name.value, draw.value.show(), rating.value.show());
    let (level, what_for, advice) = if taken > BEYOND_MEANING * rated {
        (
            Level::Error,
            "one of the two is a slip, and all that is said of what feeds it rests on it",
            "Put this right before what feeds it: look at the nameplate and measure again. Mostly a digit or the unit is wrong.",
        )
    } else {
        (
            Level::Warning,
            "the figure is wrong, or the device is overloaded",
            "Look at the nameplate and measure again; the higher of the two must be planned for.",
        )
    };
    let headline =
        format!("device {name} is to draw {shown}, above its nameplate of {plate}: {what_for}");
    Some(
        Draft::new(
            &RULE,
            headline,
            draw.span,
            shown.clone(),
            Citation::marked("the nameplate"),
        )
        .level(level)
        .below([place(rating.span, format!("nameplate {plate}"))])
        .working([format!(
            "{shown} makes {taken:.1} VA, and the {plate} of the nameplate make {rated:.1} VA"
        )])
        .measured(Measure::above(volt_amperes(taken), volt_amperes(rated)))
        .about([name.clone()])
        .kind("above-nameplate")
        .advice(advice)
        .finish(),
    )
}

fn basis() -> Citation {
    Citation::common_practice("loads are planned from a measurement not older than a year")
}
