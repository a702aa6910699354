//! A reference that leads nowhere, and what is said of it.

use crate::analysis::{Analysis, TypeOrModel, place};
use crate::finding::{Finding, Place};
use crate::graph::LinkFault;
use crate::model::devices::DeviceModel;
use crate::model::fault::{Fault, Noted};
use crate::model::value::Name;
use crate::rules::records::named::Naming;
use crate::rules::records::written;
use crate::rules::sharers::Sharers;
use crate::rules::{self, Draft};
use crate::source::Span;
use crate::spelling::{Near, nearest};
use crate::tables::{cordage, couplers, own};

use super::RULE;

/// A reference that leads nowhere.
pub(super) struct Lost<'a> {
    span: Span,
    reference: &'a Name,
    what: &'static str,
    /// The thing that refers, and what it is called in a sentence where that is more than its name.
    owner: Name,
    /// Who uses that, where many share it.
    users: Vec<Name>,
    called: Option<String>,
    nearest: Option<Near<&'a str>>,
    kind: &'static str,
}

impl<'a> Lost<'a> {
    pub fn of_link(
        analysis: &Analysis<'_>,
        sharers: &mut Sharers<'_>,
        fault: &'a LinkFault,
    ) -> Option<Self> {
        let LinkFault::UnknownName {
            span,
            reference,
            what,
            nearest,
            owner,
        } = fault
        else {
            return None;
        };
        Some(Self {
            span: *span,
            reference,
            what,
            owner: owner.clone(),
            users: users(analysis, sharers, owner, *span),
            called: None,
            nearest: nearest.as_ref().map(|near| Near {
                word: near.word.as_str(),
                is_sure: near.is_sure && is_plain(&near.word),
            }),
            kind: "",
        })
    }

    /// A word that no table has.
    pub fn of_table(sharers: &mut Sharers<'_>, noted: &'a Noted) -> Option<Self> {
        let Fault::UnknownWord {
            span,
            word,
            what,
            nearest,
        } = &noted.fault
        else {
            return None;
        };
        let (owner, section) = (noted.thing(), noted.path.first());
        Some(Self {
            span: *span,
            reference: word,
            what,
            users: sharers.of_named(section.map_or("", Name::as_str), &owner),
            owner,
            called: None,
            nearest: nearest.as_deref().map(|word| Near {
                word,
                is_sure: false,
            }),
            kind: match own::is_own(word) {
                true => "",
                false => "table",
            },
        })
    }

    /// A rule that does not exist.
    pub fn of_rule(naming: &Naming<'a>) -> Self {
        let names = rules::RULES.iter().map(|rule| rule.name);
        Self {
            span: naming.rule.span,
            reference: &naming.rule.value,
            what: "rule",
            owner: naming.owner.into(),
            users: Vec::new(),
            called: Some(naming.called.clone()),
            nearest: nearest(&naming.rule.value, names),
            kind: "rule",
        }
    }

    pub fn finding(&self) -> Finding {
        let Self {
            reference,
            what,
            owner,
            ..
        } = self;
        let who = self.called.as_deref().unwrap_or(owner);
        let headline = match self.kind {
            "table" => format!(
                "{who} names the {what} `{reference}`, which no table knows: what it may carry and where it fits cannot be judged"
            ),
            "rule" => format!(
                "{who} names the rule `{reference}`, which does not exist, so it changes nothing"
            ),
            _ => format!(
                "{who} names the {what} `{reference}`, which is defined nowhere: what depends on it is not judged, and a fault there stays unseen"
            ),
        };
        let draft = Draft::new(
            &RULE,
            headline,
            self.span,
            format!("no such {what}"),
            written::format(),
        )
        .about([owner.clone(), (*reference).clone()])
        .suffered_by(self.users.iter().cloned())
        .kind(self.kind);
        if let Some(advice) = self.of_its_table() {
            return draft.advice(advice).finish();
        }
        match self.nearest {
            Some(near) if near.is_sure => draft
                .advice(near.question())
                .edit(self.span, near.word)
                .finish(),
            Some(near) => draft.advice(near.question()).finish(),
            None if self.kind == "table" => draft.advice(self.own_section()).finish(),
            None => draft
                .advice(format!("Define the {what}, or correct the name."))
                .finish(),
        }
    }

    /// Where a part that no table has is described.
    fn own_section(&self) -> String {
        let (what, section) = match self.what {
            "coupler" => ("coupler", "coupler-types"),
            _ => ("cordage", "cordage-types"),
        };
        format!(
            "Correct the name; a {what} that no table has is described under `{section}`, by a name that begins with `own-`."
        )
    }

    /// Which couplers or cordages may be meant, or which the standard has that is named.
    fn of_its_table(&self) -> Option<String> {
        let near = self.nearest.map(|near| near.word);
        match (self.kind, self.what) {
            ("table", "coupler") => couplers::advice(self.reference, near),
            ("table", "cordage type") => cordage::advice(self.reference),
            _ => None,
        }
    }

    /// While a part of the definitions cannot be read, one point for every kind of thing: what is
    /// not found may well stand there.
    pub fn undecided(lost: &[Self]) -> Vec<Finding> {
        let mut kinds: Vec<&str> = lost.iter().map(|lost| lost.what).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let each = kinds.into_iter().filter_map(|what| {
            let mut of_kind = lost.iter().filter(|lost| lost.what == what);
            let first = of_kind.next()?;
            let others: Vec<Place> = of_kind.map(|lost| place(lost.span, "nor this one")).collect();
            let headline = format!(
                "is there a {what} `{}`? It is not found. Open: a part of the definitions could not be read",
                first.reference
            );
            let advice = "Put the unreadable file right first; what is then still missing is told one by one.";
            Some(
                Draft::new(&RULE, headline, first.span, "not found in what was read", written::format())
                    .below(others.into_iter().take(MOST_SHOWN))
                    .about([what])
                    .kind("unread")
                    .advice(advice)
                    .open()
                    .finish(),
            )
        });
        each.collect()
    }
}

/// The devices of a model that itself refers to something: to a feed, by one of its inlets, or to an inlet, by
/// one of its outlets or as the one that it prefers.
fn users(
    analysis: &Analysis<'_>,
    sharers: &mut Sharers<'_>,
    owner: &Name,
    span: Span,
) -> Vec<Name> {
    let models = &analysis.model.device_models;
    let refers = |model: &DeviceModel| {
        let inlets = model.inlets.items().iter();
        let feeds = inlets.map(|inlet| inlet.feed.span());
        let behind = model.outlets.iter().map(|(_, inlet)| inlet.span());
        let transfer = model.transfer.written().ok().flatten();
        let preferred = transfer.map(|transfer| transfer.value.preferred.span());
        let mut all = feeds.chain(behind).chain(preferred);
        all.any(|at| at == Some(span))
    };
    let model = models.find(owner).filter(|&model| refers(&models[model]));
    let model = model.map(TypeOrModel::DeviceModel);
    model.map_or_else(Vec::new, |model| sharers.names(model))
}

/// Further places that are shown of one undecided point.
const MOST_SHOWN: usize = 2;

/// Whether a name needs no quotes anywhere in YAML.
fn is_plain(name: &str) -> bool {
    let inner =
        |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | ' ' | '+' | '&');
    name.starts_with(char::is_alphanumeric) && name.chars().all(inner)
}
