//! Where those stand who suffer a fault of something that many share.

use rustc_hash::FxHashMap;

use crate::finding::Finding;
use crate::model::Model;
use crate::source::Span;

/// Gives every finding with sufferers the places of their definitions.
pub(super) fn place(model: &Model, findings: &mut [Finding]) {
    if findings.iter().all(|finding| finding.sufferers.is_empty()) {
        return;
    }
    let mut places: FxHashMap<&str, Vec<Span>> = FxHashMap::default();
    for name in model.names() {
        let own = places.entry(name.value.as_str()).or_default();
        own.push(name.span);
    }
    for finding in findings {
        let known = finding.sufferers.iter();
        let known = known.filter_map(|name| places.get(name.as_str()));
        let mut spans: Vec<Span> = known.flatten().copied().collect();
        spans.sort_unstable();
        finding.suffers_at = spans;
    }
}
