//! What is wrong with the parts of a site's own.

use crate::citation::Citation;
use crate::model::catalogued::{Called, Catalogued};
use crate::model::decode::{Key, Record};
use crate::model::fault::{Fault, Noted};
use crate::model::text::clip;
use crate::model::value::{Field, Name, Named, Section};
use crate::source::Span;
use crate::spelling;
use crate::tables::own::{self, PREFIX};

/// Gathers what is wrong with the parts of one section.
pub(super) struct Told<'a, R> {
    /// The parts.
    pub section: &'a Section<R>,
    /// The key of the section.
    key: &'static str,
    /// Whether what is not found may stand in a part that could not be read.
    is_incomplete: bool,
    /// Every search for the nearest name looks at all of them: of many unknown ones the first have it.
    searches_left: u32,
    faults: Vec<Noted>,
}

impl<'a, R: Record> Told<'a, R> {
    pub fn new(key: &'static str, section: &'a Section<R>, is_incomplete: bool) -> Self {
        Self {
            section,
            key,
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
            what: R::WHAT,
            nearest: nearest.map(|near| near.word.into()),
        };
        self.faults.push(Noted::new(fault, path));
    }

    /// A name that a part of the site names as its mate, and under which nothing is described.
    pub fn unknown_mate(&mut self, item: &Named<R>, name: &str, span: Span) {
        self.unknown(name, span, [self.key.into(), item.name.value.clone()]);
    }

    /// A name that does not begin as the names of a site's own parts do; `listed` is the source of the row of
    /// the tables that goes by it.
    pub fn check_name(&mut self, item: &Named<R>, listed: Option<&Citation>) {
        let name = &item.name.value;
        if own::is_own(name) && name.len() > PREFIX.len() {
            return;
        }
        let headline = match listed {
            Some(citation) => format!(
                "this is a {} of the tables ({citation}), which no site describes anew",
                plain(R::WHAT)
            ),
            None => format!("the name does not begin with `{PREFIX}`"),
        };
        let advice = format!(
            "Let the names of your own {}s begin with `{PREFIX}`, here and wherever they are used: so none of them hides one of the tables.",
            plain(R::WHAT)
        );
        self.bad(item, "", item.name.span, headline, &advice);
    }

    /// A part that is like another of the site's own.
    pub fn check_like<T: Called>(&mut self, item: &Named<R>, like: &Field<Catalogued<T>>) {
        let Some(like) = like.given() else { return };
        if let Catalogued::Own(own) = &like.value {
            let what = plain(R::WHAT);
            let name = clip(own.called());
            let headline = format!("{name} is itself a {what} of the site's own");
            let advice = format!("Name a {what} of the tables, or describe this one in full.");
            self.bad(item, "like", like.span, headline, &advice);
        }
    }

    /// The keys that must be there and are not.
    pub fn check_missing<const N: usize>(
        &mut self,
        item: &Named<R>,
        absent: [(&'static str, bool); N],
    ) {
        for (key, _) in absent.into_iter().filter(|(_, is_absent)| *is_absent) {
            let fault = Fault::MissingKey {
                span: item.name.span,
                owner: R::WHAT,
                name: item.name.value.clone(),
                key,
                holds: meaning::<R>(key),
            };
            self.push(item, fault, "");
        }
    }

    /// Something that cannot be meant.
    pub fn bad(&mut self, item: &Named<R>, key: &str, span: Span, headline: String, advice: &str) {
        let fault = Fault::BadValue {
            span,
            headline,
            advice: advice.to_owned(),
            edit: None,
        };
        self.push(item, fault, key);
    }

    fn push(&mut self, item: &Named<R>, fault: Fault, key: &str) {
        let keys = [self.key, &item.name.value, key];
        let keys = keys.into_iter().filter(|key| !key.is_empty());
        self.faults.push(Noted::new(fault, keys.map(Name::from)));
    }
}

/// What a part is: a `coupler type` describes a `coupler`.
fn plain(what: &'static str) -> &'static str {
    what.strip_suffix(" type").unwrap_or(what)
}

/// What a key holds, in the words of the format's description.
fn meaning<R: Record>(key: &str) -> &'static str {
    let mut keys = R::KEYS.iter();
    keys.find(|known: &&Key| known.name == key)
        .map_or("", |key| key.doc)
}
