//! Strips as definitions: a model for each kind, and the strips themselves.

use super::strip::{Bank, Strip};
use crate::ink::{Written, Yaml, short};
use crate::take_in::is_too_long;
use crate::take_in::names::Names;
use crate::take_in::remark::{At, Remark};

/// The definitions of some strips.
pub(super) fn definitions(strips: &[Strip], remarks: &mut Vec<Remark>) -> Written<Yaml> {
    let mut models: Vec<Model<'_>> = Vec::new();
    let (mut names, mut labels) = (Names::default(), Names::default());
    let mut pdus = Written::new();
    for strip in strips {
        let body = model(strip);
        // Strips of one model that are alike share it; of one that differ, each has its own.
        let alike = models
            .iter()
            .find(|known| known.is_of == strip.model && known.body == body);
        let name = match alike {
            Some(model) => model.name.clone(),
            None => {
                let name = names.free(&fit(&strip.model));
                models.push(Model {
                    is_of: &strip.model,
                    name: name.clone(),
                    body,
                });
                name
            }
        };
        let label = labels.free(&fit(&strip.name));
        if label != strip.name {
            let what = format!(
                "its name `{}` is too long or another's: here it is `{label}`",
                short(&strip.name)
            );
            remarks.push(Remark::new(
                At::Resource(strip.id.clone()),
                what,
                "Give it the name on its label.",
            ));
        }
        pdus.ours("  ")
            .scalar(&label)
            .ours(": {model: ")
            .scalar(&name);
        for (key, value) in [(", rack: ", &strip.rack), (", note: ", &strip.note)] {
            if let Some(value) = value {
                pdus.ours(key).scalar(value);
            }
        }
        pdus.ours("}\n");
    }
    sections(&models, &pdus)
}

/// Models and strips under their sections.
fn sections(models: &[Model<'_>], pdus: &Written<Yaml>) -> Written<Yaml> {
    let mut yaml = Written::new();
    if !models.is_empty() {
        yaml.ours("pdu-models:\n");
    }
    for model in models {
        yaml.ours("  ")
            .scalar(&model.name)
            .ours(":\n")
            .push(&model.body);
    }
    if !pdus.is_empty() {
        yaml.ours("pdus:\n").push(pdus);
    }
    yaml
}

/// A model that is made of what strips say.
struct Model<'a> {
    /// What the strips call it.
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
        yaml.ours("          ")
            .scalar(&fit(&outlet.name))
            .ours(": {");
        if let Some(coupler) = outlet.coupler {
            yaml.ours("coupler: ").scalar(coupler);
        }
        if let Some(amperes) = outlet.rating {
            yaml.ours(if outlet.coupler.is_some() { ", " } else { "" });
            yaml.ours("rating: ").scalar(&format!("{amperes} A"));
        }
        yaml.ours("}\n");
    }
}
