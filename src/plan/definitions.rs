//! A plan as definitions of the format: what is judged is just what is written.

use crate::ink::{Written, Yaml};
use crate::quantity::Quantity;

use super::PlannedCord;
use super::make::{NewMake, NewType, OfMake};

/// Sections with new types and cords; empty where there is nothing new.
pub(super) fn sections(types: &[(String, NewType)], cords: &[PlannedCord]) -> Written<Yaml> {
    let mut yaml = Written::new();
    if !types.is_empty() {
        yaml.ours("cord-types:\n");
    }
    for (name, make) in types {
        yaml.ours("  ").scalar(name).ours(": ");
        of_type(&mut yaml, make);
        yaml.ours("\n");
    }
    if !cords.is_empty() {
        yaml.ours("cords:\n");
    }
    for cord in cords {
        yaml.ours("  ").scalar(&cord.name).ours(": ");
        of_cord(&mut yaml, cord);
        yaml.ours("\n");
    }
    yaml
}

/// What stands under the name of a type.
pub(super) fn of_type(yaml: &mut Written<Yaml>, new: &NewType) {
    match new {
        NewType::Plain(make) => plain(yaml, make),
        NewType::OfMake(of) => of_make(yaml, of),
    }
}

/// `{make: m1, length: 1.5 m, colour: blue}`
fn of_make(yaml: &mut Written<Yaml>, new: &OfMake) {
    yaml.ours("{make: ").scalar(&new.make);
    yaml.ours(", length: ").scalar(&new.bought);
    yaml.ours(", colour: ").scalar(&new.colour).ours("}");
}

/// `{plug: C14, connector: C13, …}`
fn plain(yaml: &mut Written<Yaml>, make: &NewMake) {
    yaml.ours("{plug: ").scalar(&make.plug.name);
    yaml.ours(", connector: ").scalar(&make.connector.name);
    yaml.ours(", conductor: ").scalar(&make.conductor.show());
    yaml.ours(", cordage: ").scalar(&make.cordage.name);
    yaml.ours(", length: ").scalar(&make.bought);
    yaml.ours(", rating: ").scalar(&make.rating.show());
    yaml.ours(", colour: ").scalar(&make.colour);
    if let Some(approval) = &make.approval {
        yaml.ours(", approvals: [").scalar(approval).ours("]");
    }
    if let Some((plug, connector)) = make.retention {
        yaml.ours(", retention: {plug: ").scalar(plug.word());
        yaml.ours(", connector: ")
            .scalar(connector.word())
            .ours("}");
    }
    if let Some(angle) = make.angle {
        yaml.ours(", angle: {connector: ").scalar(angle).ours("}");
    }
    yaml.ours("}");
}

/// `{type: …, from: pdu/outlet, to: device/inlet, state: to-fit}`
pub(super) fn of_cord(yaml: &mut Written<Yaml>, cord: &PlannedCord) {
    yaml.ours("{type: ").scalar(&cord.kind);
    yaml.ours(", from: ").scalar(&cord.from);
    yaml.ours(", to: ").scalar(&cord.to);
    yaml.ours(", state: to-fit}");
}
