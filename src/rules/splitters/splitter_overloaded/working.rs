//! The arithmetic of an overloaded splitter.

use crate::analysis::{Analysis, Link, Rating};
use crate::flow::Worst;
use crate::graph::ElementId;

/// What hangs on the part in the worst state, and the current that it makes.
pub(super) fn load_lines(analysis: &Analysis<'_>, part: ElementId, worst: Worst) -> Vec<String> {
    let own = analysis.load_working(part, worst);
    match own.is_empty() {
        true => analysis.sum_working(part, worst),
        false => own,
    }
}

pub(super) fn limit_lines(link: &Link) -> Vec<String> {
    match &link.rating {
        Rating::Known { working, .. } => working.clone(),
        Rating::Unknown { .. } => Vec::new(),
    }
}
