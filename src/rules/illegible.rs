//! What a rule turns on and nobody can read: neither what is written there holds, nor what it would
//! mean to leave it out.

use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::value::Name;
use crate::source::Span;

use super::told_once::{Told, ToldOnce};
use super::{Draft, Rule};

/// Questions that are open since something cannot be read, once for each such place however many suffer.
#[derive(Default)]
pub(super) struct Illegible(ToldOnce<Span>);

impl Illegible {
    /// Asks what cannot be told: `does device rec-1 live through a loss`.
    pub fn ask(
        &mut self,
        rule: &Rule,
        fact: &Fact,
        question: impl FnOnce() -> String,
    ) -> &mut Told {
        self.0.tell(fact.span, || {
            let key = fact.full_key();
            let (whose, question) = (fact.whose(), question());
            let headline =
                format!("{question}? Open: `{key}` of {whose} cannot be read");
            let note = format!("not decided: `{key}` cannot be read");
            let basis = Citation::marked("what the definitions say, as far as it can be read");
            let name = match fact.owner.as_str() {
                "" => Name::from("site"),
                _ => fact.owner.clone(),
            };
            Draft::new(rule, headline, fact.span, note, basis)
                .wants([fact.clone()])
                .about([name])
                .kind("illegible")
                .advice(format!(
                    "Write `{key}` of {whose} as it is meant, or take the line out if nothing is meant."
                ))
        })
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}
