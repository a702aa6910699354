//! The poles of a strip's outlets, and those that their bank brings.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level};
use crate::model::pdus::{Bank, Between, Outlet, PduModel};
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::rules::Draft;

use super::RULE;

/// A bank hangs between two poles.
const BROUGHT: u8 = 2;

/// Outlets with more poles than their bank brings, once for what is written once.
pub(super) fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, model) in analysis.model.pdu_models.iter() {
        let banks = model.banks.items().iter();
        let brought = banks.filter_map(|bank| Some((bank, bank.between.given()?)));
        for (bank, between) in brought {
            let outlets = bank.outlets.as_written();
            let too_many = outlets.filter_map(|outlet| {
                let coupler = outlet.coupler.given()?;
                (coupler.value.poles.count() > BROUGHT).then_some((outlet, coupler))
            });
            findings.extend(too_many.map(|(outlet, coupler)| {
                let draft = draft(model, bank, between, (outlet, coupler));
                draft.suffered_by(analysis.pdus_of(id).cloned()).finish()
            }));
        }
    }
}

fn draft(
    model: &Named<PduModel>,
    bank: &Named<Bank>,
    between: &Spanned<Between>,
    (outlet, coupler): (&Named<Outlet>, &Spanned<CouplerRef>),
) -> Draft {
    let (model, bank) = (&model.name.value, &bank.name.value);
    let (has, brought) = (coupler.value.poles.count(), between.value.show());
    let headline = format!(
        "outlet {} of PDU model {model} has {has} poles ({}), and bank {bank} brings two ({brought}): the others are dead, or they are on no record and nothing of them is judged",
        outlet.name.value, coupler.value.name
    );
    let basis = Citation::clone(&coupler.value.citation);
    Draft::new(&RULE, headline, coupler.span, format!("{has} poles"), basis)
        .level(Level::Warning)
        .below([place(between.span, format!("bank {bank}: {brought}"))])
        .about([model.clone(), bank.clone(), outlet.name.value.clone()])
        .kind("outlet")
        .advice("Read the coupler and the scheme of the banks off the PDU. A bank is judged between two poles; feed three-phase equipment from the circuit's own receptacle.")
}
