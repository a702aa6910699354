//! `size-not-made`: is every cordage made in the size that the record gives?

use crate::analysis::{Analysis, TypeOrModel, place};
use crate::finding::{Fact, Finding, Level};
use crate::model::flex::Flex;
use crate::model::optional::Stated;
use crate::model::value::Name;
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
    let mut sizes = Sizes {
        sharers: Sharers::of(analysis),
        illegible: Illegible::default(),
        findings,
    };
    for (id, kind) in analysis.model.cord_types.iter() {
        let called = || format!("cord type {}", kind.name.value);
        let unread = |key, field: &dyn Stated| Fact::if_unreadable(kind, key, field);
        let parts = kind.flexes().map(|(leg, flex)| {
            let unread = match leg {
                None => {
                    unread("conductor", flex.conductor).or_else(|| unread("cordage", flex.cordage))
                }
                // What a leg has of its trunk is asked there.
                Some(leg) => unread("legs.conductor", &leg.conductor)
                    .or_else(|| unread("legs.cordage", &leg.cordage))
                    .map(|fact| fact.within(leg.name.value.clone())),
            };
            Part {
                unread,
                not_made: Unmade::of(flex),
            }
        });
        sizes.judge(&kind.name.value, TypeOrModel::CordType(id), called, parts);
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let called = || format!("the cord of PDU model {}", model.name.value);
        let unread = |key, field: &dyn Stated| Fact::if_unreadable(model, key, field);
        let part = match model.cord.known() {
            Some(cord) => Part {
                unread: unread("cord.conductor", &cord.conductor)
                    .or_else(|| unread("cord.cordage", &cord.cordage)),
                not_made: Unmade::of(cord.flex()),
            },
            None => Part {
                unread: unread("cord", &model.cord),
                not_made: None,
            },
        };
        let of = TypeOrModel::PduModel(id);
        sizes.judge(&model.name.value, of, called, std::iter::once(part));
    }
    let Sizes { illegible, .. } = sizes;
    findings.extend(illegible.findings());
}

/// The sizes of a site as they are gone through.
struct Sizes<'f, 'a> {
    sharers: Sharers<'a>,
    illegible: Illegible,
    findings: &'f mut Vec<Finding>,
}

impl Sizes<'_, '_> {
    /// Judges what a type or model is made of. Legs are mostly alike: the first part that is at fault says it.
    fn judge<'p>(
        &mut self,
        name: &Name,
        kind: TypeOrModel,
        called: impl Fn() -> String,
        parts: impl Iterator<Item = Part<'p>>,
    ) {
        let mut first = None;
        for part in parts {
            if let Some(fact) = part.unread {
                let question = || format!("is the cordage of {} made in its size", called());
                let told = self.illegible.ask(&RULE, &fact, question);
                told.suffered_by(self.sharers.names(kind));
            }
            first = first.or(part.not_made);
        }
        let found = first.map(|unmade| {
            let owner = (name, called(), kind);
            unmade.finding(owner, &mut self.sharers)
        });
        self.findings.extend(found);
    }
}

/// A length of cordage.
struct Part<'a> {
    /// Its size or its type, where that cannot be read.
    unread: Option<Fact>,
    not_made: Option<Unmade<'a>>,
}

/// A cordage in a size that it is not made in.
struct Unmade<'a> {
    size: ConductorSize,
    size_at: Span,
    cordage: &'a Cordage,
    cordage_at: Span,
    not_made: NotMade,
}

impl<'a> Unmade<'a> {
    fn of(flex: Flex<'a>) -> Option<Self> {
        let cordage = flex.cordage.as_row();
        let (size, cordage) = (flex.conductor.given()?, cordage.given()?);
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
        let (level, then) = match citation.confidence.is_firm() {
            true => (
                Level::Error,
                "take the cord out of use: no maker that keeps to the standard prints that",
            ),
            false => (
                Level::Warning,
                "look up its sizes in the standard, which are not firmly known here, before you rely on the cord",
            ),
        };
        let advice = format!(
            "Read size and type off the jacket, and correct the record. If the jacket says {cordage} and {size}, {then}."
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
