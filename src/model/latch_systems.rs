//! `latch-systems:` — latches that hold in mates of the same system only, described from the site's own papers.

use serde_json::{Value, json};

use crate::yaml::NodeId;

use super::decode::{Decode, Reader, list, record};
use super::text::RetentionRef;
use super::value::{Field, Name, Spanned};

record! {
    /// A latch that holds in mates of its own system, described from papers of the site's own; its name begins
    /// with `own-`.
    LatchSystem: "latch system";
    /// The kind of retention that it is: what the mate must have for it.
    "like" (required) => like: Field<RetentionRef>,
    /// Other systems of the site's own in whose parts it holds, too.
    "mates" => mates: Field<Systems>,
    /// The paper that says all this: data sheet, sheet number, date.
    "source" (required) => source: Field<Name>,
}

/// Latch systems by name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Systems(pub Vec<Spanned<RetentionRef>>);

impl Decode for Systems {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let wanted = "a list of latch systems like [own-catch]";
        let systems = list(reader, node, wanted, |reader, item| {
            let span = reader.tree.span(item);
            RetentionRef::decode(reader, item).map(|value| Spanned { value, span })
        });
        systems.map(Self)
    }

    fn schema() -> Value {
        json!({"type": "array", "items": RetentionRef::schema()})
    }
}
