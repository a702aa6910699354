//! `rating-foreign`: is a part relied on for more than the site's practice allows its couplers?
//!
//! The definitions are judged, not each cord: one mark, one finding.

mod part;

use crate::analysis::{Analysis, TypeOrModel};
use crate::finding::{Fact, FactState, Finding};
use crate::model::cords::CordType;
use crate::model::decode::Record;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Name, Named};
use crate::quantity::Current;
use crate::rules::illegible::Illegible;
use crate::rules::rule;
use crate::rules::sharers::Sharers;

use part::{Here, Part};

rule!(
    "rating-foreign",
    Couplers,
    Error,
    "A rating relied on that does not hold at this site, such as 15 A on a C13 under IEC practice: the coupler may be overloaded."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no rating is foreign; that it is missing is an error of its own.
    let Some(practice) = analysis.practice() else {
        return;
    };
    let mut marks = Marks {
        here: Here::of(analysis, practice),
        sharers: Sharers::of(analysis),
        illegible: Illegible::default(),
        findings,
    };
    for (id, kind) in analysis.model.cord_types.iter() {
        marks.of_cord_type(TypeOrModel::CordType(id), kind);
    }
    for (id, model) in analysis.model.pdu_models.iter() {
        let banks = model.banks.items().iter();
        for outlet in banks.flat_map(|bank| bank.outlets.as_written()) {
            let both = (&outlet.coupler, &outlet.rating);
            let called = ("outlet", &outlet.name.value, "banks.outlets.rating");
            marks.of_model(TypeOrModel::PduModel(id), model, called, both);
        }
    }
    for (id, model) in analysis.model.device_models.iter() {
        let of = TypeOrModel::DeviceModel(id);
        for inlet in model.inlets.items() {
            let both = (&inlet.coupler, &inlet.rating);
            marks.of_model(
                of,
                model,
                ("inlet", &inlet.name.value, "inlets.rating"),
                both,
            );
        }
        for (outlet, _) in model.outlets.as_written() {
            let both = (&outlet.coupler, &outlet.rating);
            marks.of_model(
                of,
                model,
                ("outlet", &outlet.name.value, "outlets.rating"),
                both,
            );
        }
    }
    let Marks { illegible, .. } = marks;
    findings.extend(illegible.findings());
}

/// The marks of a site as they are gone through.
struct Marks<'f, 'a> {
    here: Here,
    sharers: Sharers<'a>,
    illegible: Illegible,
    findings: &'f mut Vec<Finding>,
}

impl Marks<'_, '_> {
    /// One mark, one finding; and a plug below its connector is a fault of its own.
    fn of_cord_type(&mut self, of: TypeOrModel, kind: &Named<CordType>) {
        let what = format!("cord type {}", kind.name.value);
        let fact = || Fact::of(kind, "rating", Some(&kind.rating));
        let part = |half, coupler| Part::new(&what, &kind.name, half, (coupler, &kind.rating));
        let is_found = self.judge(part("connector", &kind.connector), fact(), of);
        if !is_found && !has_low_plug(&self.here, kind) {
            self.judge(part("plug", &kind.plug), fact(), of);
        }
        for leg in kind.legs.items() {
            let what = format!("leg {} of {what}", leg.name.value);
            let fact = Fact::of(kind, "legs.rating", Some(&leg.rating));
            let both = (&leg.connector, &*leg.rating);
            let part = Part::new(&what, &kind.name, "connector", both);
            self.judge(part, fact.within(leg.name.value.clone()), of);
        }
    }

    /// An outlet or inlet of a model: what it is, its name, and the key of its mark.
    fn of_model<T: Record>(
        &mut self,
        of: TypeOrModel,
        model: &Named<T>,
        (word, name, key): (&str, &Name, &'static str),
        both: (&Field<CouplerRef>, &Field<Current>),
    ) {
        let what = format!("{word} {name} of {} {}", T::WHAT, model.name.value);
        let fact = Fact::of(model, key, Some(both.1)).within(name.clone());
        let part = Part::new(&what, &model.name, "coupler", both);
        self.judge(part, fact, of);
    }

    /// Whether a mark is found that does not hold. One that cannot be read is asked for.
    fn judge(&mut self, part: Option<Part<'_>>, fact: Fact, of: TypeOrModel) -> bool {
        let Some(part) = part else { return false };
        if fact.state == FactState::Unreadable {
            let question = || format!("does the rating of {} hold here", part.what);
            let told = self.illegible.ask(&RULE, &fact, question);
            told.suffered_by(self.sharers.names(of));
            return false;
        }
        let found = part.judged(&self.here);
        let found = found.map(|draft| draft.suffered_by(self.sharers.names(of)).finish());
        let is_found = found.is_some();
        self.findings.extend(found);
        is_found
    }
}

fn has_low_plug(here: &Here, kind: &CordType) -> bool {
    let [plug, connector] = [&kind.plug, &kind.connector]
        .map(|half| half.coupler().and_then(|coupler| here.most(coupler)));
    plug.zip(connector)
        .is_some_and(|(plug, connector)| plug.value < connector.value)
}
