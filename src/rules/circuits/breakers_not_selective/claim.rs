//! Who counts on a bank to open alone.

use crate::analysis::Analysis;
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::Bank;
use crate::model::value::{Named, Spanned};
use crate::quantity::Current;
use crate::rules::illegible::Illegible;
use crate::source::Span;
use crate::tables::Practice;

use super::RULE;

/// Who says that a bank opens alone.
pub(super) struct Claim<'a> {
    /// Where.
    pub at: Span,
    /// Up to which current, by its maker's table.
    pub upto: Option<&'a Spanned<Current>>,
    /// Whether the code asks for it, and nobody says so.
    pub by_code: bool,
}

impl<'a> Claim<'a> {
    /// `None` where nobody counts on it.
    ///
    /// # Errors
    /// What cannot be read.
    pub fn of(
        analysis: &Analysis<'a>,
        id: ElementId,
        is_critical: bool,
    ) -> Result<Option<Self>, Fact> {
        let Some(bank) = bank(analysis, id) else {
            return Ok(None);
        };
        let unread = |key: &str, at| {
            let field = crate::model::value::Field::<()>::Unreadable(at);
            bank_fact(analysis, id, key, &field)
        };
        let upto = bank.selective_up_to.written();
        let upto = upto.map_err(|at| unread("selective-up-to", at))?;
        let said = bank
            .selective
            .written()
            .map_err(|at| unread("selective", at))?;
        let is_said = said.is_some_and(|said| said.value.0);
        // Who says no claims nothing, whatever a table says; the code is not asked.
        let denied = said.is_some_and(|said| !said.value.0);
        let upto = upto.filter(|_| !denied);
        let claimed_at = upto
            .map(|upto| upto.span)
            .or(said.filter(|_| is_said).map(|said| said.span));
        Ok(match claimed_at {
            Some(at) => Some(Self {
                at,
                upto,
                by_code: false,
            }),
            None => is_critical.then(|| Self {
                at: said.map_or(bank.name.span, |said| said.span),
                upto: None,
                by_code: true,
            }),
        })
    }
}

/// The bank of an element.
pub(super) fn bank<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<&'a Named<Bank>> {
    let ElementKind::Bank(pdu, bank) = analysis.graph.kind(id) else {
        return None;
    };
    let banks = &analysis.graph.pdu_model(analysis.model, pdu)?.banks;
    banks.items().get(bank as usize)
}

/// The fact that a key of a bank should give.
pub(super) fn bank_fact<V: crate::model::optional::Stated>(
    analysis: &Analysis<'_>,
    id: ElementId,
    key: &str,
    field: &V,
) -> Fact {
    let name = bank(analysis, id).map_or("", |bank| bank.name.value.as_str());
    match analysis.graph.pdu_of(id) {
        Some(pdu) => analysis.pdu_model_fact(pdu, |model| {
            Fact::of(model, format!("banks.{key}"), Some(field)).within(name)
        }),
        None => analysis.breaker_fact(id, key, Some(field)),
    }
}

/// Whether the NEC asks all devices of the site to be selective.
pub(super) fn is_critical(analysis: &Analysis<'_>, illegible: &mut Illegible) -> bool {
    if analysis.practice() != Some(Practice::Nec) {
        return false;
    }
    let said = analysis.model.site.critical_operations.says_yes();
    said.unwrap_or_else(|at| {
        let fact = Fact::unreadable_of_site("critical-operations", at);
        illegible.ask(&RULE, &fact, || "must all breakers be selective".to_owned());
        false
    })
}
