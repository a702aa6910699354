//! Strips and transfer switches as definitions: a model for each kind, and the things themselves.

use super::strip::{Bank, Identity, Strip};
use super::switch::Switch;
use crate::ink::{Written, Yaml, short};
use crate::take_in::is_too_long;
use crate::take_in::names::Names;
use crate::take_in::remark::{At, Remark};

/// The definitions of some strips and transfer switches.
pub(super) fn definitions(
    strips: &[Strip],
    switches: &[Switch],
    remarks: &mut Vec<Remark>,
) -> Written<Yaml> {
    let strips = strips.iter().map(|strip| (&strip.identity, model(strip)));
    let switches = switches.iter();
    let switches = switches.map(|switch| (&switch.identity, switch_model(switch)));
    let mut yaml = sections(["pdu-models", "pdus"], strips, remarks);
    yaml.push(&sections(["device-models", "devices"], switches, remarks));
    yaml
}

/// Things and their models under their sections.
fn sections<'a>(
    [models_key, things_key]: [&'static str; 2],
    things: impl Iterator<Item = (&'a Identity, Written<Yaml>)>,
    remarks: &mut Vec<Remark>,
) -> Written<Yaml> {
    let mut models: Vec<Model<'_>> = Vec::new();
    let (mut names, mut labels) = (Names::default(), Names::default());
    let mut written = Written::new();
    for (identity, body) in things {
        // Things of one model that are alike share it; of one that differ, each has its own.
        let alike = models
            .iter()
            .find(|known| known.is_of == identity.model && known.body == body);
        let name = match alike {
            Some(model) => model.name.clone(),
            None => {
                let name = names.free(&fit(&identity.model));
                models.push(Model {
                    is_of: &identity.model,
                    name: name.clone(),
                    body,
                });
                name
            }
        };
        let label = labels.free(&fit(&identity.name));
        if label != identity.name {
            let what = format!(
                "its name `{}` is too long or another's: here it is `{label}`",
                short(&identity.name)
            );
            remarks.push(Remark::new(
                At::Resource(identity.id.clone()),
                what,
                "Give it the name on its label.",
            ));
        }
        thing(&mut written, identity, (&label, &name));
    }
    let mut yaml = Written::new();
    if !models.is_empty() {
        yaml.ours(models_key).ours(":\n");
    }
    for model in &models {
        yaml.ours("  ")
            .scalar(&model.name)
            .ours(":\n")
            .push(&model.body);
    }
    if !written.is_empty() {
        yaml.ours(things_key).ours(":\n").push(&written);
    }
    yaml
}

fn thing(written: &mut Written<Yaml>, identity: &Identity, (label, model): (&str, &str)) {
    written
        .ours("  ")
        .scalar(label)
        .ours(": {model: ")
        .scalar(model);
    for (key, value) in [(", rack: ", &identity.rack), (", note: ", &identity.note)] {
        if let Some(value) = value {
            written.ours(key).scalar(value);
        }
    }
    written.ours("}\n");
}

/// A model that is made of what things say.
struct Model<'a> {
    /// What the things call it.
    is_of: &'a str,
    name: String,
    body: Written<Yaml>,
}

/// A name that may stand as a key.
fn fit(name: &str) -> String {
    match is_too_long(name) {
        true => name
            .chars()
            .filter(|c| c.is_ascii_graphic())
            .take(60)
            .collect(),
        false => name.to_owned(),
    }
}

fn model(strip: &Strip) -> Written<Yaml> {
    let mut yaml = Written::new();
    if let Some(plug) = strip.plug {
        yaml.ours("    plug: ").scalar(plug).ours("\n");
    }
    if let Some(amperes) = strip.rating {
        yaml.ours("    rating: ")
            .scalar(&format!("{amperes} A"))
            .ours("\n");
    }
    yaml.ours("    banks:\n");
    let mut names = Names::default();
    for bank in &strip.banks {
        yaml.ours("      ")
            .scalar(&names.free(&fit(&bank.name)))
            .ours(":\n");
        write_bank(&mut yaml, bank);
    }
    yaml
}

fn write_bank(yaml: &mut Written<Yaml>, bank: &Bank) {
    if let Some(pair) = bank.between {
        yaml.ours("        between: ").scalar(pair).ours("\n");
    }
    if let Some(amperes) = bank.breaker {
        yaml.ours("        breaker: ")
            .scalar(&format!("{amperes} A"))
            .ours("\n");
    }
    if let Some(note) = &bank.note {
        yaml.ours("        note: ").scalar(note).ours("\n");
    }
    yaml.ours("        outlets:\n");
    for outlet in &bank.outlets {
        yaml.ours("          ").scalar(&fit(&outlet.name));
        write_coupler(yaml, outlet.coupler, outlet.rating);
    }
}

fn write_coupler(yaml: &mut Written<Yaml>, coupler: Option<&str>, rating: Option<f64>) {
    yaml.ours(": {");
    if let Some(coupler) = coupler {
        yaml.ours("coupler: ").scalar(coupler);
    }
    if let Some(amperes) = rating {
        yaml.ours(if coupler.is_some() { ", " } else { "" });
        yaml.ours("rating: ").scalar(&format!("{amperes} A"));
    }
    yaml.ours("}\n");
}

fn switch_model(switch: &Switch) -> Written<Yaml> {
    let mut yaml = Written::new();
    yaml.ours("    transfer: {");
    if let Some(kind) = switch.kind {
        yaml.ours("kind: ").scalar(kind);
    }
    if let Some(preferred) = &switch.preferred {
        yaml.ours(", preferred: ").scalar(&fit(preferred));
    }
    yaml.ours("}\n    inlets:\n");
    for inlet in &switch.inlets {
        yaml.ours("      ").scalar(&fit(&inlet.name));
        write_coupler(&mut yaml, inlet.coupler, inlet.rating);
    }
    yaml.ours("    outlets:\n");
    for outlet in &switch.outlets {
        yaml.ours("      ").scalar(&fit(&outlet.name));
        write_coupler(&mut yaml, outlet.coupler, outlet.rating);
    }
    yaml
}
