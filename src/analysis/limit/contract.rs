//! What a landlord's contract allows: nothing burns beyond it, but he may cut it off.

use crate::citation::Citation;
use crate::finding::Fact;
use crate::model::circuits::Circuit;
use crate::model::text::clip;
use crate::model::value::{Field, Named};

use super::{Kind, Limit, Limits, Missing, Part, Step};

/// Adds what the contract of a circuit allows, if its receptacle is a landlord's.
pub(super) fn add(limits: &mut Limits, circuit: &Named<Circuit>) {
    let Some(figures) = circuit.landlords() else {
        return;
    };
    let source = figures.source.known().map(|source| clip(source));
    match &figures.contracted {
        Field::Given(contracted) => {
            let basis = Citation::given_by_site(&source.unwrap_or_default());
            let (current, at) = (contracted.value, contracted.span);
            let whole = Limit::whole(Part::Contract, Kind::Contract, current, at, vec![basis]);
            limits.lines.push(Limit {
                step: Step::House,
                ..whole
            });
        }
        field => {
            let name = &circuit.name;
            limits.missing.get_or_insert_with(|| Missing {
                what: format!("the contracted current of circuit {}", name.value),
                at: field.span().unwrap_or(name.span),
                owner: format!("circuit {}", name.value),
                name: name.value.clone(),
                is_of_model: false,
                fact: Some(Fact::of(circuit, "at-receptacle.contracted", Some(field))),
            });
        }
    }
}
