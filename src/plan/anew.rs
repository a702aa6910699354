//! Planning anew: a site without the cords that are only planned.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use crate::date::Date;
use crate::graph::Receiver;
use crate::input::SiteInput;
use crate::judgement::Site;
use crate::model::cords::{Cord, CordState};
use crate::model::value::Id;
use crate::source::FileId;

use super::{Asked, Plan};

/// The inlets that have a cord in a site, planned or fitted, and would have none by a plan that is made anew.
pub fn bared<'p>(plan: &'p Plan, site: &Site, today: Date) -> Vec<&'p str> {
    let analysis = site.analysis(today);
    let fed = site.graph.links.inlets.iter();
    let fed = fed.filter(|inlet| inlet.fed_by.is_some());
    let mut names = BTreeSet::new();
    for inlet in fed {
        names.insert(analysis.inlet_name(inlet));
        names.insert(site.model.devices[inlet.device].name.value.clone());
    }
    let unplanned = plan.unplanned.iter().map(|left| left.what.as_str());
    unplanned.filter(|what| names.contains(*what)).collect()
}

/// The texts of a site without its cords that are to fit, among the devices and racks that are asked for.
pub fn without_planned(site: &Site, input: &SiteInput, asked: &Asked) -> SiteInput {
    let mut cuts: BTreeMap<FileId, Vec<Range<usize>>> = BTreeMap::new();
    for (cord, item) in site.model.cords.iter() {
        let is_planned = item.state.known() == Some(&CordState::ToFit);
        if is_planned && is_asked(site, cord, asked) {
            let file = item.name.span.file;
            let text = &site.sources.file(file).text;
            let entry = item.name.span.range().start..item.body.range().end;
            cuts.entry(file).or_default().push(whole_entry(text, entry));
        }
    }
    let mut input = input.clone();
    for (file, cuts) in cuts {
        let source = site.sources.file(file);
        if let Some((_, bytes)) = input
            .files
            .iter_mut()
            .find(|(path, _)| *path == source.path)
        {
            *bytes = without(&source.text, cuts).into_bytes();
        }
    }
    input
}

fn is_asked(site: &Site, cord: Id<Cord>, asked: &Asked) -> bool {
    let links = &site.graph.links;
    let devices = links.cord_ends(cord).iter().filter_map(|end| match end.at {
        Receiver::Inlet(number) => Some(links.inlets[number as usize].device),
        Receiver::Pdu(_) | Receiver::Cord(_) | Receiver::Unknown => None,
    });
    let devices: Vec<_> = devices.map(|device| &site.model.devices[device]).collect();
    let mut names = asked
        .devices
        .iter()
        .filter_map(|name| name.split('/').next());
    let is_named = asked.devices.is_empty()
        || names.any(|name| devices.iter().any(|device| device.name.value == name));
    let in_rack = |rack: &String| {
        let mut racks = devices.iter().filter_map(|device| device.rack.known());
        racks.any(|own| own == rack.as_str())
    };
    // What hangs on another cord is no cord that an outlet could be found for.
    links.joint_above(cord).is_none()
        && is_named
        && (asked.racks.is_empty() || asked.racks.iter().any(in_rack))
        && !devices.is_empty()
}

/// The bytes of an entry with what parts it from the next: its lines, or the comma before it or behind it.
fn whole_entry(text: &str, entry: Range<usize>) -> Range<usize> {
    let line = text[..entry.start].rfind('\n').map_or(0, |at| at + 1);
    if text[line..entry.start].trim().is_empty() {
        let end = text[entry.end..]
            .find('\n')
            .map_or(text.len(), |at| entry.end + at + 1);
        return line..end;
    }
    // The comma before it goes with it, so that none is left behind the last one that stays.
    if let Some(before) = text[..entry.start].trim_end().strip_suffix(',') {
        return before.len()..entry.end;
    }
    let behind = &text[entry.end..];
    match behind.trim_start().strip_prefix(',') {
        Some(rest) => entry.start..text.len() - rest.trim_start_matches([' ', '\t']).len(),
        None => entry,
    }
}

fn without(text: &str, mut cuts: Vec<Range<usize>>) -> String {
    cuts.sort_by_key(|cut| cut.start);
    let (mut kept, mut from) = (String::with_capacity(text.len()), 0);
    for cut in cuts {
        add(&mut kept, text.get(from..cut.start).unwrap_or_default());
        from = from.max(cut.end);
    }
    add(&mut kept, text.get(from..).unwrap_or_default());
    kept
}

/// Goes on with what stands behind a cut: before the end of a group of keys no comma is left over.
fn add(kept: &mut String, rest: &str) {
    if rest.trim_start().starts_with('}') && kept.trim_end().ends_with(',') {
        kept.truncate(kept.trim_end().len() - 1);
    }
    kept.push_str(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str, entries: &[&str]) -> String {
        let places = entries.iter().map(|entry| {
            let start = text.find(entry).unwrap();
            whole_entry(text, start..start + entry.len())
        });
        without(text, places.collect())
    }

    #[test]
    fn entries_go_with_their_lines_or_their_commas() {
        let block = "cords:\n  a: {x: 1}  # told\n  b:\n    x: 2\n  c: {x: 3}\n";
        assert_eq!(
            cut(block, &["a: {x: 1}", "b:\n    x: 2"]),
            "cords:\n  c: {x: 3}\n"
        );
        let flow = "cords: {a: {x: 1}, b: {x: 2}, c: {x: 3}}";
        assert_eq!(cut(flow, &["a: {x: 1}"]), "cords: {b: {x: 2}, c: {x: 3}}");
        assert_eq!(cut(flow, &["c: {x: 3}"]), "cords: {a: {x: 1}, b: {x: 2}}");
        assert_eq!(cut(flow, &["b: {x: 2}", "c: {x: 3}"]), "cords: {a: {x: 1}}");
        assert_eq!(
            cut(flow, &["a: {x: 1}", "b: {x: 2}", "c: {x: 3}"]),
            "cords: {}"
        );
    }
}
