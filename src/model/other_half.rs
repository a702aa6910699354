//! A coupler that is written by the half which does not belong where it stands: `receptacle: L6-30P`.

use crate::tables::couplers::{self, Coupler, Role, Side};
use crate::tables::words::Phrase;
use crate::yaml::NodeId;

use super::decode::Reader;
use super::fault::Fault;

/// Says so where a coupler of which both halves share a name is named as the wrong one. Its face is read all the
/// same. A name that only one half has, such as `C14`, is told where it is to mate.
pub(super) fn look(reader: &mut Reader<'_>, node: NodeId, coupler: &Coupler) {
    let text = reader.tree.text(node);
    if coupler.role != Role::Either || text == coupler.name {
        return;
    }
    let (Some(written), Some((wanted, place))) = (couplers::side_written(text), wanted(reader))
    else {
        return;
    };
    if written != wanted {
        reader.push(Fault::OtherHalf {
            span: reader.tree.span(node),
            text: text.into(),
            wanted,
            place,
            right: couplers::of_half(coupler, wanted).into(),
        });
    }
}

/// Which half belongs where the reader is, and what that place is called.
fn wanted(reader: &Reader<'_>) -> Option<(Side, Phrase)> {
    let mut keys = reader.key_words();
    let section = keys.next()?;
    let (_, rest) = (keys.next()?, keys);
    let (first, last) = (rest.clone().next()?, rest.last()?);
    let (side, place) = match (section, first, last) {
        ("cord-types", "plug", _) => (Side::Pins, "a plug"),
        ("cord-types", _, "connector") => (Side::Contacts, "a connector"),
        ("pdu-models", "plug", _) => (Side::Pins, "a plug"),
        ("pdu-models", "outlets" | "banks", _) => (Side::Contacts, "an outlet"),
        ("device-models", "inlets", _) => (Side::Pins, "an inlet"),
        ("device-models", "outlets", _) => (Side::Contacts, "an outlet"),
        ("circuits", "receptacle", _) => (Side::Contacts, "a {socket}"),
        _ => return None,
    };
    Some((side, Phrase::new(place)))
}
