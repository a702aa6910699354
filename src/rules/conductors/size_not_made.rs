//! `size-not-made`: is every cordage made in the size that the record gives?

use crate::analysis::{Analysis, TypeOrModel, place};
use crate::finding::{Fact, Finding, Level};
use crate::model::dual_marks::Marked;
use crate::model::value::{Field, Name};
use crate::quantity::{ConductorSize, Quantity};
use crate::rules::illegible::Illegible;
use crate::rules::sharers::Sharers;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::cordage::{Cordage, NotMade};

rule!(
    "size-not-made",
    Conductors,
    Error,
    "A cordage in a size that it is not made in: the order is wrong, or the cord is not what is printed on its jacket."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let (mut sharers, mut illegible) = (Sharers::of(analysis), Illegible::default());
    for (id, kind) in analysis.model.cord_types.iter() {
        let trunk = Part::of(&kind.conductor, kind.cordage.as_row());
        let legs = kind.legs.items().iter().map(|leg| {
            let cordage = leg.cordage.or_further(&kind.cordage);
            Part::of(&leg.conductor, cordage.as_row())
        });
        let unread = Fact::if_unreadable(kind, "conductor", &kind.conductor)
            .or_else(|| Fact::if_unreadable(kind, "cordage", &kind.cordage));
        if let Some(fact) = unread {
            let question = || {
                format!(
                    "is the cordage of cord type {} made in its size",
                    kind.name.value
                )
            };
            let told = illegible.ask(&RULE, &fact, question);
            told.suffered_by(sharers.names(TypeOrModel::CordType(id)));
        }
        // Legs are mostly alike: the first part that is at fault says it.
        let found = std::iter::once(trunk).chain(legs).flatten().next();
        let called = format!("cord type {}", kind.name.value);
        let owner = (&kind.name.value, called, TypeOrModel::CordType(id));
        findings.extend(found.map(|part| part.finding(owner, &mut sharers)));
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let cord = model.cord.known();
        let found = cord.and_then(|cord| Part::of(&cord.conductor, cord.cordage.as_row()));
        let called = format!("the cord of PDU model {}", model.name.value);
        let owner = (&model.name.value, called, TypeOrModel::PduModel(id));
        findings.extend(found.map(|part| part.finding(owner, &mut sharers)));
    }
    findings.extend(illegible.findings());
}

/// A length of cordage in a size that it is not made in.
struct Part<'a> {
    size: ConductorSize,
    size_at: Span,
    cordage: &'a Cordage,
    cordage_at: Span,
    not_made: NotMade,
}

impl<'a> Part<'a> {
    fn of(size: &Marked<ConductorSize>, cordage: Field<&'a Cordage>) -> Option<Self> {
        let (size, cordage) = (size.given()?, cordage.given()?);
        let not_made = cordage.value.not_made(size.value)?;
        Some(Self {
            size: size.value,
            size_at: size.span,
            cordage: cordage.value,
            cordage_at: cordage.span,
            not_made,
        })
    }

    fn finding(
        self,
        (name, called, kind): (&Name, String, TypeOrModel),
        sharers: &mut Sharers<'_>,
    ) -> Finding {
        let (cordage, size) = (&self.cordage.name, self.size.show());
        let NotMade { made_in, citation } = self.not_made;
        let headline = format!(
            "{called} cannot be what it is recorded as: {cordage} is not made in {size}, but in {made_in}; the order is wrong, or its jacket says what it is not"
        );
        let level = match citation.confidence.is_firm() {
            true => Level::Error,
            false => Level::Warning,
        };
        let advice = format!(
            "Read size and type off the jacket, and correct the record. If the jacket says {cordage} and {size}, take the cord out of use: no maker that keeps to the standard prints that."
        );
        Draft::new(&RULE, headline, self.size_at, "not made", citation)
            .level(level)
            .below([place(self.cordage_at, format!("{cordage}: {made_in}"))])
            .advice(advice)
            .about([name.clone()])
            .suffered_by(sharers.names(kind))
            .finish()
    }
}
