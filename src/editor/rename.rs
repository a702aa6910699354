//! Renaming a thing across files, or saying why it may not be.

use crate::finding::Edit;
use crate::input::is_shared;
use crate::quantity::trap;
use crate::source::FileId;

use super::definition::Target;
use super::names::Kind;
use super::site::OpenSite;

/// Kinds that are found by name along a path: one name for two of them would lead astray.
const ON_PATHS: [Kind; 5] = [
    Kind::Supply,
    Kind::Circuit,
    Kind::Pdu,
    Kind::Cord,
    Kind::Device,
];

impl OpenSite {
    /// The thing at `byte` of a file, if it can be renamed.
    ///
    /// # Errors
    /// Why not, in plain words.
    pub fn may_rename(&self, file: FileId, byte: usize) -> Result<Target, String> {
        let target = self.target(file, byte).ok_or(
            "Nothing with a name of its own stands here. Put the cursor on the name of a cord, \
             device, PDU, circuit or another thing of the site.",
        )?;
        match target.kind {
            Kind::Outlet | Kind::Inlet | Kind::Leg | Kind::Rule => Err(format!(
                "The name of {} {} cannot be changed from here.",
                article(target.kind),
                target.kind.word()
            )),
            _ => {
                self.is_whole()?;
                self.is_own(&target).map(|()| target)
            }
        }
    }

    /// The edits that give a thing another name wherever it is named.
    ///
    /// # Errors
    /// Why it must not have that name, or why not every place can be edited, in plain words.
    pub fn rename(&self, target: &Target, new: &str) -> Result<Vec<Edit>, String> {
        let new = new.trim();
        self.is_whole()?;
        self.is_own(target)?;
        is_plain(new)?;
        self.is_free(target.kind, new)?;
        let mut edits = Vec::new();
        for span in self.references(target, true) {
            let source = self.source(span.file);
            if source.text.get(span.range()) != Some(target.name.as_str()) {
                let line = source.line_of(span.range().start) + 1;
                return Err(format!(
                    "{} is written with escapes in {}, line {line}. Write it plainly there first.",
                    target.name, source.path
                ));
            }
            edits.push(Edit {
                span,
                text: new.to_owned(),
            });
        }
        Ok(edits)
    }

    /// In a catalogue other sites may name it, which nobody sees from here.
    fn is_own(&self, target: &Target) -> Result<(), String> {
        let places = self.references(target, true).into_iter();
        let mut paths = places.map(|span| self.source(span.file).path.as_str());
        paths.find(|path| is_shared(path)).map_or(Ok(()), |path| {
            Err(format!(
                "{} stands in the catalogue file {path}, which other sites may read: under another \
                 name they would not find it. Add a new entry, and let one site after the other name \
                 that.",
                target.name
            ))
        })
    }

    /// What cannot be read now may hold the name too.
    fn is_whole(&self) -> Result<(), String> {
        let broken = self.files().iter().find(|file| file.is_broken());
        let path = broken.map(|file| file.now().path.as_str());
        let path = path.or(self.unread().next().map(|unread| unread.path.as_str()));
        path.map_or(Ok(()), |path| {
            Err(format!(
                "{path} cannot be read now, and the name may stand there too. Put that file right \
                 first."
            ))
        })
    }

    fn is_free(&self, kind: Kind, name: &str) -> Result<(), String> {
        let on_paths = ON_PATHS.contains(&kind);
        let mut taken = None;
        self.each_mention(&mut |mention| {
            let [other] = *mention.kinds else {
                return;
            };
            let clashes = other == kind || on_paths && ON_PATHS.contains(&other);
            if mention.defines && clashes && mention.text() == name {
                taken.get_or_insert((other, self.place_of(&mention)));
            }
        });
        taken.map_or(Ok(()), |(other, span)| {
            let source = self.source(span.file);
            let line = source.line_of(span.range().start) + 1;
            Err(format!(
                "{name} is the name of {} {} already ({}, line {line}): whoever looks for one \
                 would find the other.",
                article(other),
                other.word(),
                source.path
            ))
        })
    }
}

fn article(kind: Kind) -> &'static str {
    match kind {
        Kind::Inlet | Kind::Outlet => "an",
        _ => "a",
    }
}

/// Whether a name needs no quotes anywhere and is taken for nothing else.
fn is_plain(name: &str) -> Result<(), String> {
    let inner = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ' | '+' | '&');
    if !name.starts_with(char::is_alphanumeric) || !name.chars().all(inner) {
        return Err(
            "A name begins with a letter or digit and goes on with letters, digits, blanks, and \
             the signs - _ . + &."
                .to_owned(),
        );
    }
    trap::taken_for(name).map_or(Ok(()), |taken_for| {
        Err(format!(
            "Other readers of YAML take {name} for {taken_for}. Choose a name that is no number \
             and no word for yes or no."
        ))
    })
}
