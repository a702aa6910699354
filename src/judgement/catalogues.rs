//! Catalogues that the site names and in which nothing is read.

use std::collections::BTreeSet;

use crate::input::{MOST_CATALOGUES, NotRead, PassedOver, Reason, Unread, Way, is_shared};
use crate::model::Fragment;
use crate::model::fault::{Fault, Noted};
use crate::model::value::{Name, Spanned};
use crate::source::FileId;

/// Faults for the catalogues that the site names in vain; `root` is the site's own file.
pub(super) fn not_read(
    paths: &[&str],
    fragments: &[Fragment],
    root: FileId,
    unread: &[Unread],
    passed_over: &[PassedOver],
) -> Vec<Noted> {
    let mut sites = fragments.iter().map(|fragment| &fragment.sections().site);
    let site = sites.find_map(|site| site.known());
    let Some(files) = site.and_then(|site| site.files.known()) else {
        return Vec::new();
    };
    let holding = holding(paths, fragments, unread);
    // One more than may be named is told of, for all that come behind it.
    let named = files.catalogues.iter().take(MOST_CATALOGUES + 1);
    let named: Vec<&Spanned<Name>> = named.collect();
    let why_not = |at: usize, text: &str| {
        let is_again = named[..at].iter().any(|first| first.value == text);
        let mut refused = passed_over.iter().filter_map(|one| refused(one, text));
        match (Way::of(text), refused.next()) {
            _ if at == MOST_CATALOGUES => Some(NotRead::TooMany),
            _ if named[at].span.file != root => Some(NotRead::Elsewhere),
            _ if is_again => Some(NotRead::Again(text.to_owned())),
            (_, Some(why)) => Some(why.clone()),
            (Err(why), None) => Some(why),
            (Ok(way), None) => (!holds(&holding, &way)).then_some(NotRead::Nothing),
        }
    };
    let faults = named.iter().enumerate().filter_map(|(at, named)| {
        let why = why_not(at, named.value.as_str())?;
        Some(noted(named, why))
    });
    faults.collect()
}

/// Whether something may stand where nothing was read for that fault.
pub(super) fn hides(noted: &Noted) -> bool {
    matches!(&noted.fault, Fault::NoCatalogue { why, .. } if why.hides())
}

/// The files outside of the site that hold definitions, or may: of `paths` and their `fragments`, and of
/// what could not be read.
fn holding(paths: &[&str], fragments: &[Fragment], unread: &[Unread]) -> BTreeSet<String> {
    let holds = |fragment: &Fragment| fragment.has_sections || fragment.is_broken;
    let read = paths.iter().zip(fragments);
    let read = read.filter(|(_, fragment)| holds(fragment));
    let all = read.map(|(path, _)| *path);
    let all = all.chain(unread.iter().map(|one| one.path.as_str()));
    all.filter(|path| is_shared(path))
        .map(str::to_owned)
        .collect()
}

/// Why the host reads no catalogue that is named so, if it was this one that it met.
fn refused<'a>(one: &'a PassedOver, named: &str) -> Option<&'a NotRead> {
    match &one.why {
        Reason::Catalogue(why) if one.path == named => Some(why),
        _ => None,
    }
}

/// Whether something in the catalogue holds definitions, or may.
fn holds(holding: &BTreeSet<String>, way: &Way) -> bool {
    let folder = format!("{way}/");
    let first = holding.range(folder.clone()..).next();
    holding.contains(folder.trim_end_matches('/'))
        || first.is_some_and(|path| path.starts_with(&folder))
}

fn noted(named: &Spanned<Name>, why: NotRead) -> Noted {
    let fault = Fault::NoCatalogue {
        span: named.span,
        named: named.value.clone(),
        why,
    };
    Noted::new(fault, ["site".into(), "files".into(), "catalogues".into()])
}
