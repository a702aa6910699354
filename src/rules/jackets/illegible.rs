//! Zones of which it cannot be read what they ask of a jacket: nobody knows whether the cords there do
//! for it.

use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::places::Zone;
use crate::model::value::{Field, Named};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::survey::Survey;

use super::run::Run;

/// What cannot be read of zones, once for each place however many cords lie there.
#[derive(Default)]
pub(super) struct Illegible(ToldOnce<Span>);

impl Illegible {
    /// Adds a run in a zone with what stands under a key there, if that cannot be read.
    pub fn add<T>(
        &mut self,
        survey: &Survey<'_>,
        run: &Run<'_>,
        rule: &Rule,
        (zone, key, field): (&Named<Zone>, &'static str, &Field<T>),
    ) {
        let Field::Unreadable(at) = *field else {
            return;
        };
        let name = &zone.name.value;
        let told = self.0.tell(at, || {
            let headline = format!(
                "whether the jackets in zone {name} do for it cannot be said: its `{key}` cannot be read"
            );
            let note = format!("not decided: `{key}` cannot be read");
            let basis = Citation::marked("what the zone asks of its cords");
            Draft::new(rule, headline, at, note, basis)
                .wants([Fact::of(zone, key, Some(field))])
                .about([name.clone()])
                .kind("illegible")
                .advice(format!("Write what the zone asks as its `{key}`."))
        });
        told.suffered_by([run.whole(survey).clone()]);
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}
