//! From a place that names a thing to where the thing is defined and to all that refer to it.

use crate::model::value::Name;
use crate::source::{FileId, Span};

use super::names::{Kind, Mention, visit};
use super::site::OpenSite;

/// A thing that a place names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: Name,
    /// Of an outlet, inlet or leg: the model or type that defines it.
    pub owner: Option<Name>,
    /// The place, where the text has it now.
    pub span: Span,
}

impl OpenSite {
    /// The thing that is named at `byte` of a file as it stands.
    pub fn target(&self, file: FileId, byte: usize) -> Option<Target> {
        let mut found: Option<(Span, Mention<'_>)> = None;
        visit(self.file(file).sections(), &mut |mention| {
            let span = self.place_of(&mention);
            let holds = span.range().start <= byte && byte <= span.range().end;
            let is_nearer = found.is_none_or(|(other, _)| span.hi - span.lo <= other.hi - other.lo);
            if holds && is_nearer {
                found = Some((span, mention));
            }
        });
        let (span, mention) = found?;
        let kind = self.kind_of(&mention)?;
        Some(Target {
            kind,
            name: mention.text().into(),
            owner: mention
                .owner
                .and_then(|owner| self.definer(kind, owner, mention.defines)),
            span,
        })
    }

    /// Where a thing is defined.
    pub fn definitions(&self, target: &Target) -> Vec<Span> {
        self.mentions_of(target, true)
            .into_iter()
            .map(|(span, _)| span)
            .collect()
    }

    /// Where a thing is named, the definition itself included if `with_definition`.
    pub fn references(&self, target: &Target, with_definition: bool) -> Vec<Span> {
        let all = self.mentions_of(target, false).into_iter();
        let wanted = all.filter(|(_, defines)| with_definition || !defines);
        wanted.map(|(span, _)| span).collect()
    }

    /// All places that name a thing, each with whether it is defined there.
    fn mentions_of(&self, target: &Target, only_definitions: bool) -> Vec<(Span, bool)> {
        let mut spans = Vec::new();
        self.each_mention(&mut |mention| {
            let is_wanted = mention.defines || !only_definitions;
            if is_wanted && mention.text() == target.name && self.is_of(&mention, target) {
                spans.push((self.place_of(&mention), mention.defines));
            }
        });
        spans.sort_unstable();
        spans.dedup();
        spans
    }

    fn is_of(&self, mention: &Mention<'_>, target: &Target) -> bool {
        if !mention.kinds.contains(&target.kind) {
            return false;
        }
        let owner = mention
            .owner
            .and_then(|owner| self.definer(target.kind, owner, mention.defines));
        owner == target.owner && self.kind_of(mention) == Some(target.kind)
    }

    /// Calls `each` for every place that names something.
    pub(super) fn each_mention<'a>(&'a self, each: &mut dyn FnMut(Mention<'a>)) {
        for file in self.files() {
            visit(file.sections(), each);
        }
    }

    /// The bytes of the name itself, where the text has them now.
    pub(super) fn place_of(&self, mention: &Mention<'_>) -> Span {
        let read = self.file(mention.span.file).read();
        let exact = mention.exact(&read.source.text);
        self.carry(exact.unwrap_or(mention.span))
    }

    /// What a place names: of several kinds the first that has a thing of this name.
    fn kind_of(&self, mention: &Mention<'_>) -> Option<Kind> {
        match mention.kinds {
            [only] => Some(*only),
            // A part is of the kind that its owner has.
            parts if mention.owner.is_some() => {
                let owner = mention.owner?;
                let has = |kind: &Kind| self.definer(*kind, owner, mention.defines).is_some();
                parts
                    .iter()
                    .find(|kind| has(kind))
                    .or(parts.first())
                    .copied()
            }
            several => several
                .iter()
                .copied()
                .find(|&kind| self.defines(kind, mention.text())),
        }
    }

    /// Whether a thing of this name is defined.
    pub(super) fn defines(&self, kind: Kind, name: &str) -> bool {
        self.files().iter().any(|file| {
            let sections = file.sections();
            match kind {
                Kind::Supply => sections.supplies.has(name),
                Kind::Circuit => sections.circuits.has(name),
                Kind::Pdu => sections.pdus.has(name),
                Kind::Device => sections.devices.has(name),
                Kind::Cord => sections.cords.has(name),
                _ => false,
            }
        })
    }

    /// The model or type that defines an outlet, inlet or leg of `owner`.
    fn definer(&self, kind: Kind, owner: &str, is_itself: bool) -> Option<Name> {
        if is_itself {
            return Some(owner.into());
        }
        self.files().iter().find_map(|file| {
            let sections = file.sections();
            match kind {
                Kind::Outlet => {
                    let strip = sections.pdus.named(owner).map(|(_, pdu)| &pdu.model);
                    let device = || sections.devices.named(owner).map(|(_, it)| &it.model);
                    strip.or_else(device)?.known().cloned()
                }
                // An outlet of a device model names an inlet of the same model.
                Kind::Inlet => match sections.devices.named(owner) {
                    Some((_, device)) => device.model.known().cloned(),
                    None => sections.device_models.named(owner).map(|_| owner.into()),
                },
                Kind::Leg => sections.cords.named(owner)?.1.cord_type.known().cloned(),
                _ => None,
            }
        })
    }
}
