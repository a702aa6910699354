//! A plan written into the definitions: new entries behind those that are there, in the files that hold their
//! like.

use std::collections::BTreeMap;

use crate::finding::Edit;
use crate::judgement::Site;
use crate::model::decode::Record;
use crate::model::value::Section;
use crate::source::{FileId, Source, Span};
use crate::yaml::{Kind, Limits, NodeId, Tree};

use super::Plan;

/// Entries as they stand under the keys of their sections.
#[derive(Clone, Debug, Default)]
pub(super) struct Sections {
    /// Of `cord-types`.
    pub types: Vec<String>,
    /// Of `cords`, each with the rack that its cord lies in.
    pub cords: Vec<(String, String)>,
}

/// What writes a plan.
#[derive(Clone, Debug, Default)]
pub struct Insertion {
    /// The edits, each an insertion.
    pub edits: Vec<Edit>,
}

/// The edits that write a plan into the definitions of its site; `None` where no file can take it.
pub fn inserted(plan: &Plan, site: &Site) -> Option<Insertion> {
    let places = Places::of(site);
    let mut by_file: BTreeMap<FileId, Vec<&str>> = BTreeMap::new();
    for (rack, entry) in &plan.sections.cords {
        by_file
            .entry(places.of_rack(rack)?)
            .or_default()
            .push(entry);
    }
    let mut edits = Vec::new();
    let types: Vec<&str> = plan.sections.types.iter().map(String::as_str).collect();
    let first = by_file.keys().next().copied();
    if let (false, Some(first)) = (types.is_empty(), first) {
        let file = places.types.unwrap_or(first);
        edits.push(append(site.sources.file(file), file, "cord-types", &types)?);
    }
    for (file, entries) in by_file {
        edits.push(append(site.sources.file(file), file, "cords", &entries)?);
    }
    Some(Insertion {
        edits: one_for_each_place(edits),
    })
}

/// The edit that puts a device of a rack into the definitions of a site, behind those that are in the rack; `None`
/// where no file can take it.
pub fn with_device(site: &Site, rack: &str, entry: &str) -> Option<Edit> {
    let model = &site.model;
    let racks = &site.graph.links.device_racks;
    let beside = model.devices.iter().filter_map(|(device, item)| {
        let own = racks[device.index()].map(|own| model.racks[own].name.value.as_str());
        (own == Some(rack)).then_some(item.name.span.file)
    });
    let file = most(beside).or_else(|| most(files_of(&model.devices)));
    let file = file.or_else(|| most(files_of(&model.racks)))?;
    append(site.sources.file(file), file, "devices", &[entry])
}

/// Two sections that go to the end of one file are one edit.
fn one_for_each_place(edits: Vec<Edit>) -> Vec<Edit> {
    let mut all: Vec<Edit> = Vec::new();
    for edit in edits {
        match all.iter_mut().find(|other| other.span == edit.span) {
            Some(other) => other.text.push_str(&edit.text),
            None => all.push(edit),
        }
    }
    all
}

/// The files that hold most of the cords of each rack, and of the site.
struct Places {
    racks: BTreeMap<String, FileId>,
    cords: Option<FileId>,
    types: Option<FileId>,
}

impl Places {
    fn of(site: &Site) -> Self {
        let model = &site.model;
        let mut by_rack: BTreeMap<String, Vec<FileId>> = BTreeMap::new();
        let mut devices: BTreeMap<String, Vec<FileId>> = BTreeMap::new();
        for (device, item) in model.devices.iter() {
            let rack = site.graph.links.device_racks[device.index()];
            let rack = rack.map(|rack| model.racks[rack].name.value.to_string());
            let Some(rack) = rack else {
                continue;
            };
            devices
                .entry(rack.clone())
                .or_default()
                .push(item.name.span.file);
            for (_, inlet) in site.graph.links.inlets_of(device) {
                let cord = inlet
                    .fed_by
                    .map(|(cord, _)| model.cords[cord].name.span.file);
                by_rack.entry(rack.clone()).or_default().extend(cord);
            }
        }
        let most_of = |files: &[FileId]| most(files.iter().copied());
        let racks = devices.iter().filter_map(|(rack, beside)| {
            let own = by_rack.get(rack).and_then(|files| most_of(files));
            let own = own.or_else(|| most(files_of(&model.cords)));
            Some((rack.clone(), own.or_else(|| most_of(beside))?))
        });
        let types = files_of(&model.cord_types);
        Self {
            racks: racks.collect(),
            cords: most(files_of(&model.cords)),
            types: most(types.filter(|file| !model.shared_files.contains(file))),
        }
    }

    fn of_rack(&self, rack: &str) -> Option<FileId> {
        self.racks.get(rack).copied().or(self.cords)
    }
}

fn files_of<T: Record>(section: &Section<T>) -> impl Iterator<Item = FileId> + '_ {
    section.items().iter().map(|item| item.name.span.file)
}

/// The file that comes most often; of several the first.
fn most(files: impl Iterator<Item = FileId>) -> Option<FileId> {
    let mut counts: BTreeMap<FileId, usize> = BTreeMap::new();
    files.for_each(|file| *counts.entry(file).or_default() += 1);
    let most = counts.into_iter().rev().max_by_key(|(_, count)| *count);
    most.map(|(file, _)| file)
}

/// Puts entries behind the last one of a section of a file, or a new section at its end; `None` where the section
/// is written in a way that nothing can be added to.
fn append(source: &Source, file: FileId, section: &'static str, entries: &[&str]) -> Option<Edit> {
    let (tree, _) = Tree::parse(file, &source.text, &Limits::default());
    let text: &str = &source.text;
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let found = tree.roots().iter().rev().find_map(|root| {
        let mut pairs = tree.pairs(*root);
        pairs.find(|(key, _)| tree.text(*key) == section)
    });
    let (at, added) = match found {
        None => at_the_end(&tree, text, section, entries),
        Some((key, value)) if tree.kind(value) == Kind::Empty => {
            let own = tree.span(key).range();
            let indent = tree.column(own.start) + 2;
            (end_of_line(text, own.end), lines(entries, indent))
        }
        Some((_, value)) => in_section(&tree, text, value, entries)?,
    };
    Some(Edit {
        span: Span::new(file, at, at),
        text: added.replace('\n', line_end),
    })
}

fn in_section(tree: &Tree, text: &str, value: NodeId, entries: &[&str]) -> Option<(usize, String)> {
    if tree.kind(value) != Kind::Mapping {
        return None;
    }
    let (last_key, last) = tree.pairs(value).last()?;
    if tree.is_flow(value) {
        return Some((
            tree.span(last).range().end,
            format!(", {}", entries.join(", ")),
        ));
    }
    let indent = tree.column(tree.span(last_key).range().start);
    let end = tree
        .span(last)
        .range()
        .end
        .max(tree.span(last_key).range().end);
    Some((end_of_line(text, end), lines(entries, indent)))
}

fn lines(entries: &[&str], indent: usize) -> String {
    let indent = " ".repeat(indent);
    let lines = entries.iter().map(|entry| format!("\n{indent}{entry}"));
    lines.collect()
}

/// A new section behind all others; in a document of its own where the last one takes none.
fn at_the_end(tree: &Tree, text: &str, section: &str, entries: &[&str]) -> (usize, String) {
    let last = tree.roots().last();
    let takes = last.is_some_and(|root| tree.kind(*root) == Kind::Mapping && !tree.is_flow(*root));
    let is_ended = text.trim_end().ends_with("\n...");
    let own = if takes && !is_ended { "" } else { "---\n" };
    let gap = if text.ends_with('\n') || text.is_empty() {
        ""
    } else {
        "\n"
    };
    let entries = lines(entries, 2);
    (text.len(), format!("{gap}\n{own}{section}:{entries}\n"))
}

/// The end of the line that a byte is in: before its line feed.
fn end_of_line(text: &str, byte: usize) -> usize {
    // What ends with a line feed, as a block of text does, has its line end there.
    let ends_a_line = byte > 0 && text.as_bytes().get(byte - 1) == Some(&b'\n');
    let from = if ends_a_line { byte - 1 } else { byte };
    let rest = text.get(from..).unwrap_or_default();
    let end = from + rest.find('\n').unwrap_or(rest.len());
    match text.get(..end) {
        Some(before) if before.ends_with('\r') => end - 1,
        _ => end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn appended(text: &str) -> Option<String> {
        let source = Source::new("a.yaml", text);
        let edit = append(&source, FileId(0), "cords", &["W-2: {b}", "W-3: {c}"])?;
        let at = edit.span.range().start;
        Some(format!("{}{}{}", &text[..at], edit.text, &text[at..]))
    }

    #[test]
    fn entries_go_behind_the_last_one() {
        for (text, after) in [
            (
                "cords:\n  W-1: {a}\nracks: {}\n",
                "cords:\n  W-1: {a}\n  W-2: {b}\n  W-3: {c}\nracks: {}\n",
            ),
            (
                "cords:\n    W-1: {a} # old",
                "cords:\n    W-1: {a} # old\n    W-2: {b}\n    W-3: {c}",
            ),
            (
                "cords: {W-1: {a}}\n",
                "cords: {W-1: {a}, W-2: {b}, W-3: {c}}\n",
            ),
            (
                "cords:\nracks: {}\n",
                "cords:\n  W-2: {b}\n  W-3: {c}\nracks: {}\n",
            ),
            (
                "racks: {}\n",
                "racks: {}\n\ncords:\n  W-2: {b}\n  W-3: {c}\n",
            ),
            ("racks: {}", "racks: {}\n\ncords:\n  W-2: {b}\n  W-3: {c}\n"),
            (
                "cords:\r\n  W-1: {a}\r\n",
                "cords:\r\n  W-1: {a}\r\n  W-2: {b}\r\n  W-3: {c}\r\n",
            ),
            (
                "racks: {}\n...\n",
                "racks: {}\n...\n\n---\ncords:\n  W-2: {b}\n  W-3: {c}\n",
            ),
        ] {
            assert_eq!(appended(text).as_deref(), Some(after), "{text}");
        }
    }

    #[test]
    fn what_is_no_mapping_takes_nothing() {
        assert_eq!(appended("x: &a {}\ncords: *a\n"), None);
        assert_eq!(appended("cords: [1]\n"), None);
        assert_eq!(appended("cords: ~\n"), None);
    }
}
