//! `outlet-unprotected`: is an outlet rated below the overcurrent device ahead of it?
//!
//! The device ahead is the bank's own breaker or, where the bank has none, the circuit's.

mod verdict;
mod words;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::flow::protection::breaker_field;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Breaker;
use crate::model::pdus::{Bank, Outlet, PduModel};
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::Current;
use crate::rules::rule;
use crate::tables::Practice;

use verdict::{Allowed, Verdict, allowed, judge};
use words::{Bare, finding, no_breaker_on_record, open, unread};

rule!(
    "outlet-unprotected",
    Circuits,
    Error,
    "An outlet rated below the breaker ahead of it: it can burn long before that breaker trips."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = analysis.practice() else {
        return;
    };
    let mut models = Models {
        analysis: *analysis,
        practice,
        seen: FxHashMap::default(),
    };
    for (id, element) in analysis.graph.elements() {
        if let ElementKind::Pdu(_) = element.kind {
            findings.extend(strip(&mut models, id));
        }
    }
}

/// Models with what may stand ahead of their outlets: many strips are of one, and it may have many.
struct Models<'a> {
    analysis: Analysis<'a>,
    practice: Practice,
    seen: FxHashMap<Id<PduModel>, Vec<OfBank<'a>>>,
}

/// The outlets of a bank, as they are written.
struct OfBank<'a> {
    bank: &'a Named<Bank>,
    outlets: Vec<&'a Named<Outlet>>,
    /// The least that may stand ahead of each of them and of those before it.
    least: Vec<Allowed>,
    /// The first of which that is not known.
    unknown: Option<usize>,
}

impl<'a> Models<'a> {
    fn banks(&mut self, model: Id<PduModel>) -> &[OfBank<'a>] {
        let (analysis, practice) = (self.analysis, self.practice);
        self.seen.entry(model).or_insert_with(|| {
            let banks = analysis.model.pdu_models[model].banks.items().iter();
            banks
                .map(|bank| OfBank::new(&analysis, practice, bank))
                .collect()
        })
    }
}

impl<'a> OfBank<'a> {
    fn new(analysis: &Analysis<'a>, practice: Practice, bank: &'a Named<Bank>) -> Self {
        let outlets: Vec<&Named<Outlet>> = bank.outlets.as_written().collect();
        let each = outlets.iter();
        let each: Vec<Allowed> = each.map(|it| allowed(analysis, practice, it)).collect();
        let least = each.iter().scan(Allowed::Any, |least, allowed| {
            *least = least.or_less(*allowed);
            Some(*least)
        });
        Self {
            bank,
            least: least.collect(),
            unknown: each.iter().position(|it| *it == Allowed::Unknown),
            outlets,
        }
    }

    /// The first outlet that this device ahead does not protect.
    fn bare(&self, ahead: Current) -> Option<&'a Named<Outlet>> {
        let first = self.least.partition_point(|least| least.bears(ahead));
        self.outlets.get(first).copied()
    }
}

/// The first outlet of a strip that its breaker does not protect; one finding for each strip.
fn strip(models: &mut Models<'_>, id: ElementId) -> Option<Finding> {
    let (analysis, practice) = (models.analysis, models.practice);
    let ElementKind::Pdu(pdu) = analysis.graph.kind(id) else {
        return None;
    };
    let model = analysis.graph.links.pdu_models[pdu.index()]?;
    let (mut undecided, mut blind, mut unsaid) = (None, None, None);
    for of_bank in models.banks(model) {
        let bank = of_bank.bank;
        let Some(ahead) = ahead(&analysis, id, bank) else {
            blind = blind.or_else(|| illegible(&analysis, id, bank));
            continue;
        };
        undecided = undecided.or(of_bank.unknown.map(|at| (of_bank.outlets[at], ahead)));
        let Some(outlet) = of_bank.bare(ahead.value) else {
            continue;
        };
        if let Verdict::Bare {
            link,
            rated,
            allowed,
            basis,
        } = judge(&analysis, practice, outlet, ahead)
        {
            if let Some(fact) = analysis.bank_breaker_fact(pdu, bank, ahead.value) {
                unsaid.get_or_insert((bank, fact));
                continue;
            }
            let bare = Bare {
                id,
                bank,
                outlet,
                link,
                rated,
                allowed,
                basis,
                ahead,
            };
            return Some(finding(&analysis, &bare));
        }
    }
    if let Some((bank, fact)) = unsaid {
        return Some(no_breaker_on_record(&analysis, id, bank, fact));
    }
    let Some((outlet, ahead)) = undecided else {
        return blind.map(|fact| unread(&analysis, id, fact));
    };
    match judge(&analysis, practice, outlet, ahead) {
        Verdict::Unknown(link) => Some(open(&analysis, id, outlet, link)),
        _ => None,
    }
}

/// Where it cannot be read what stands ahead of a bank's outlets. That a breaker has no rating at all
/// is said by the records.
fn illegible(analysis: &Analysis<'_>, id: ElementId, bank: &Named<Bank>) -> Option<Fact> {
    if let (Some(rating), ElementKind::Pdu(pdu)) =
        (unread_rating(&bank.breaker), analysis.graph.kind(id))
    {
        return Some(analysis.pdu_model_fact(pdu, |model| {
            let fact = Fact::of(model, "banks.breaker.rating", Some(&rating));
            fact.within(bank.name.value.clone())
        }));
    }
    let mut above = analysis.graph.upwards(id);
    above.find_map(|hop| {
        let rating = unread_rating(breaker_field(analysis.model, analysis.graph, hop)?)?;
        Some(analysis.breaker_fact(hop, "rating", Some(&rating)))
    })
}

/// The rating of a breaker that cannot be read, or of one of which nothing can.
fn unread_rating(breaker: &Field<Breaker>) -> Option<Field<Current>> {
    let at = match breaker {
        Field::Absent => return None,
        Field::Unreadable(at) => *at,
        Field::Given(breaker) => match breaker.value.rating {
            Field::Unreadable(at) => at,
            _ => return None,
        },
    };
    Some(Field::Unreadable(at))
}

/// The overcurrent device ahead of a bank's outlets.
fn ahead<'a>(
    analysis: &Analysis<'a>,
    pdu: ElementId,
    bank: &'a Bank,
) -> Option<&'a Spanned<Current>> {
    match bank.breaker.known() {
        Some(breaker) => breaker.rating.given(),
        None if !bank.breaker.is_absent() => None,
        // A strip that is fed from another strip stands behind that strip's bank.
        None => analysis
            .graph
            .upwards(pdu)
            .find_map(|hop| analysis.breaker_rating(hop)),
    }
}
