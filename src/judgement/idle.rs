//! What the site asks for and nobody does: patterns that mean no file, and a site without anything
//! to judge.

use rustc_hash::FxHashSet;

use crate::input::{PassedOver, Pattern, Reason, SITE_FILE, SNAG_FILE, Unread};
use crate::model::Model;
use crate::model::fault::{Fault, Noted};
use crate::model::value::{Name, Spanned};

/// Faults for the patterns of `site.files` that mean nothing: `read` are the files that were taken
/// in, whether or not they could be read.
pub(super) fn patterns<'a>(
    model: &Model,
    read: impl Iterator<Item = &'a str> + Clone,
    passed_over: &[PassedOver],
) -> Vec<Noted> {
    let Some(files) = model.site.files.known() else {
        return Vec::new();
    };
    let takes_in = |text: &str| {
        // One that cannot be understood is told of as such.
        Pattern::taking_in(text)
            .is_ok_and(|pattern| !read.clone().any(|path| pattern.matches(path)))
    };
    let used: FxHashSet<&str> = passed_over.iter().flat_map(patterns_of).collect();
    let leaves_out = |text: &str| {
        // What an earlier choice of files keeps in sight is read although it is left out.
        let means = |pattern: &Pattern| read.clone().any(|path| leaves(pattern, path));
        let pattern = Pattern::leaving_out(text);
        !used.contains(text) && pattern.is_ok_and(|pattern| !means(&pattern))
    };
    let idle_in = in_use(&files.take_in).iter();
    let idle_in = idle_in.filter(|text| takes_in(&text.value));
    let idle_out = in_use(&files.leave_out).iter();
    let idle_out = idle_out.filter(|text| leaves_out(&text.value));
    let idle_in = idle_in.map(|pattern| noted(pattern, "take-in"));
    idle_in
        .chain(idle_out.map(|pattern| noted(pattern, "leave-out")))
        .collect()
}

/// The patterns, unless they are too much to be used at all, which is said where files are read.
fn in_use(patterns: &[Spanned<Name>]) -> &[Spanned<Name>] {
    let texts = patterns.iter().map(|pattern| pattern.value.as_str());
    match Pattern::too_much(texts) {
        Some(_) => &[],
        None => patterns,
    }
}

/// The patterns that leave something out.
fn patterns_of(one: &PassedOver) -> impl Iterator<Item = &str> {
    let patterns = match &one.why {
        Reason::LeftOut(patterns) => patterns.as_slice(),
        _ => &[],
    };
    patterns.iter().map(AsRef::as_ref)
}

/// Whether a pattern leaves out a file, or a folder above it; a site's own files never are left out.
fn leaves(pattern: &Pattern, path: &str) -> bool {
    let folders = path.match_indices('/').map(|(end, _)| &path[..end]);
    let mut all = folders.chain([path]);
    ![SITE_FILE, SNAG_FILE].contains(&path) && all.any(|path| pattern.matches(path))
}

fn noted(pattern: &Spanned<Name>, list: &'static str) -> Noted {
    let fault = Fault::IdlePattern {
        span: pattern.span,
        pattern: pattern.value.clone(),
        list,
    };
    Noted::new(fault, ["site".into(), "files".into(), list.into()])
}

/// What keeps a site from being judged in which there is nothing to judge: an empty site would pass
/// whatever stands in its racks.
pub(super) fn nothing_to_judge(model: &Model, passed_over: &[PassedOver]) -> Option<Unread> {
    let things = [
        model.supplies.len(),
        model.circuits.len(),
        model.pdus.len(),
        model.devices.len(),
        model.cords.len(),
    ];
    // Where a part could not be read, that is said already.
    if things.iter().any(|count| *count > 0) || model.is_incomplete {
        return None;
    }
    let left_out = passed_over
        .iter()
        .filter(|one| matches!(one.why, Reason::LeftOut(_)));
    let advice = match left_out.count() {
        0 => "write them into this file or any YAML file below its folder",
        _ => "see with --verbose what `leave-out` under site.files leaves out",
    };
    Some(Unread {
        path: SITE_FILE.to_owned(),
        why: format!(
            "no supply, circuit, PDU, device or cord is in the files that were read; {advice}"
        ),
    })
}
