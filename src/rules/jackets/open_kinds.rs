//! What is not decided, once for each kind of cord.

use crate::analysis::{Analysis, absence, field_or_name};
use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::value::Field;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, Rule};
use crate::source::Span;

use super::run::Run;

/// What is not decided, once for each kind of cord however many there are of it.
#[derive(Default)]
pub(super) struct OpenKinds(ToldOnce<Span>);

impl OpenKinds {
    /// Adds the finding that `headline` and `advice` make, unless the kind has one already. The
    /// place is its cordage, or where that should stand.
    pub fn add(
        &mut self,
        analysis: &Analysis<'_>,
        run: &Run<'_>,
        rule: &Rule,
        words: impl Fn(&str) -> OpenWords,
        demand: Option<Place>,
    ) {
        let told = self.0.tell(run.kind.span, || {
            let words = words(&run.describe_kind());
            let at = field_or_name(run.cordage, run.kind);
            let note = match run.cordage {
                Field::Given(cordage) => cordage.value.name.to_string(),
                missing => format!("not decided: its cordage {}", absence(missing)),
            };
            Draft::new(rule, words.headline, at, note, words.basis)
                .wants(run.cordage_fact(analysis))
                .above(demand)
                .about([run.kind.value.clone()])
                .advice(words.advice)
        });
        told.suffered_by([run.whole(analysis).clone()]);
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

/// The words of an open finding.
pub(super) struct OpenWords {
    pub headline: String,
    pub basis: Citation,
    pub advice: String,
}
