//! What is wrong with the couplers of a site's own.

use crate::model::coupler_types::{Half, OwnCoupler};
use crate::model::decode::{Key, Record};
use crate::model::fault::{Fault, Noted};
use crate::model::text::{CouplerRef, clip};
use crate::model::value::{Field, Name, Named, Section, Spanned};
use crate::source::Span;
use crate::spelling;
use crate::tables::couplers::{self, Role, Side};

/// Gathers what is wrong.
pub(super) struct Told<'a> {
    section: &'a Section<OwnCoupler>,
    /// Whether what is not found may stand in a part that could not be read.
    is_incomplete: bool,
    /// Every search for the nearest name looks at all of them: of many unknown ones the first have it.
    searches_left: u32,
    faults: Vec<Noted>,
}

impl<'a> Told<'a> {
    pub fn new(section: &'a Section<OwnCoupler>, is_incomplete: bool) -> Self {
        Self {
            section,
            is_incomplete,
            searches_left: 200,
            faults: Vec::new(),
        }
    }

    pub fn faults(self) -> Vec<Noted> {
        self.faults
    }

    /// A name that nothing is described under.
    pub fn unknown(&mut self, name: &str, span: Span, path: [Name; 2]) {
        if self.is_incomplete || self.section.has(name) {
            return;
        }
        let names = self.section.names().map(|name| name.value.as_str());
        let left = self.searches_left.checked_sub(1);
        self.searches_left = left.unwrap_or(0);
        let nearest = left.and_then(|_| spelling::nearest(name, names));
        let fault = Fault::UnknownWord {
            span,
            word: clip(name).into(),
            what: OwnCoupler::WHAT,
            nearest: nearest.map(|near| near.word.into()),
        };
        self.faults.push(Noted::new(fault, path));
    }

    /// Looks at what is said of one coupler.
    pub fn check(&mut self, item: &Named<OwnCoupler>) {
        self.check_name(item);
        self.check_like(item);
        self.check_missing(item);
        self.check_mates(item);
    }

    fn check_name(&mut self, item: &Named<OwnCoupler>) {
        let name = &item.name.value;
        let rest = name.strip_prefix(couplers::PREFIX);
        if rest.is_some_and(|rest| !rest.is_empty()) {
            return;
        }
        let headline = match couplers::find(name) {
            Some(listed) => format!(
                "this is a coupler of the tables ({}), which no site describes anew",
                listed.citation
            ),
            None => format!("the name does not begin with `{}`", couplers::PREFIX),
        };
        let advice = format!(
            "Let the names of your own couplers begin with `{}`, here and wherever they are used: so none of them hides one of the tables.",
            couplers::PREFIX
        );
        self.bad(item, "", item.name.span, headline, &advice);
    }

    fn check_like(&mut self, item: &Named<OwnCoupler>) {
        let Some(like) = item.like.given() else {
            return;
        };
        if matches!(like.value, CouplerRef::Own(_)) {
            let headline = format!(
                "{} is itself a coupler of the site's own",
                clip(&like.value.name)
            );
            let advice = "Name a coupler of the tables, or describe this one in full.";
            self.bad(item, "like", like.span, headline, advice);
        }
        let written = [item.half.span(), item.poles.span()];
        for span in written.into_iter().flatten() {
            let headline = format!(
                "a coupler that is like {} has its half and its poles",
                like.value.name
            );
            let advice = "Take it away; or take `like` away, and describe the coupler in full.";
            self.bad(item, "like", span, headline, advice);
        }
    }

    /// A coupler that is like none must say all that it is judged by.
    fn check_missing(&mut self, item: &Named<OwnCoupler>) {
        if !item.like.is_absent() {
            return;
        }
        let written = [
            ("half", item.half.is_absent()),
            ("poles", item.poles.is_absent()),
            ("current", item.current.is_absent()),
            ("voltage", item.voltage.is_absent()),
            ("mates", item.mates.is_absent()),
        ];
        for (key, _) in written.into_iter().filter(|(_, is_absent)| *is_absent) {
            let fault = Fault::MissingKey {
                span: item.name.span,
                owner: OwnCoupler::WHAT,
                name: item.name.value.clone(),
                key,
                holds: meaning(key),
            };
            self.push(item, fault, "");
        }
    }

    fn check_mates(&mut self, item: &Named<OwnCoupler>) {
        let Some(mates) = item.mates.given() else {
            return;
        };
        if mates.value.0.is_empty() && item.like.is_absent() {
            let headline = "it goes together with nothing, so that nobody can use it".to_owned();
            let advice = "Name the plugs or inlets that enter it, or the outlets that it enters, like [C14].";
            self.bad(item, "mates", mates.span, headline, advice);
        }
        for mate in &mates.value.0 {
            self.check_mate(item, mate);
        }
    }

    fn check_mate(&mut self, item: &Named<OwnCoupler>, mate: &Spanned<CouplerRef>) {
        let name = &mate.value.name;
        let other = match &mate.value {
            CouplerRef::Listed(listed) => Some(listed.role),
            CouplerRef::Own(_) => match self.section.named(name) {
                Some((_, other)) => role(other),
                None => {
                    let path = ["coupler-types".into(), item.name.value.clone()];
                    return self.unknown(name, mate.span, path);
                }
            },
        };
        let Some((own, other)) = role(item).zip(other) else {
            return;
        };
        if !may_mate(own, other) {
            let half = match own {
                Role::Contacts => "contacts",
                Role::Pins | Role::Either => "pins",
            };
            let headline = format!("{} has {half}, as the coupler itself has", clip(name));
            let advice = "Name the other half; in each IEC 60320 pair the odd number has contacts, the even one pins.";
            self.bad(item, "mates", mate.span, headline, advice);
        }
    }

    fn bad(
        &mut self,
        item: &Named<OwnCoupler>,
        key: &str,
        span: Span,
        headline: String,
        advice: &str,
    ) {
        let fault = Fault::BadValue {
            span,
            headline,
            advice: advice.to_owned(),
            edit: None,
        };
        self.push(item, fault, key);
    }

    fn push(&mut self, item: &Named<OwnCoupler>, fault: Fault, key: &str) {
        let keys = ["coupler-types", &item.name.value, key];
        let keys = keys.into_iter().filter(|key| !key.is_empty());
        self.faults.push(Noted::new(fault, keys.map(Name::from)));
    }
}

/// The part that a coupler of the site's own plays in a pair, where it is said.
fn role(item: &OwnCoupler) -> Option<Role> {
    match &item.like {
        Field::Given(like) => Some(like.value.role),
        Field::Absent => item.half.known().copied().map(Half::role),
        Field::Unreadable(_) => None,
    }
}

/// Whether two halves can belong to one pair at all.
fn may_mate(role: Role, other: Role) -> bool {
    let are_a_pair =
        |contacts: Role, pins: Role| contacts.may_be(Side::Contacts) && pins.may_be(Side::Pins);
    are_a_pair(role, other) || are_a_pair(other, role)
}

/// What a key holds, in the words of the format's description.
fn meaning(key: &str) -> &'static str {
    let mut keys = OwnCoupler::KEYS.iter();
    keys.find(|known: &&Key| known.name == key)
        .map_or("", |key| key.doc)
}
