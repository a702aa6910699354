//! Elements behind the same overcurrent devices stand together in the graph: what hangs on those
//! devices alone is worked out once for all of them.

use crate::analysis::Analysis;
use crate::flow::protection::head;
use crate::graph::ElementId;

/// What was worked out for the section of the graph that was looked at last, and the head of that section.
pub(super) struct Section<T>(Option<(ElementId, T)>);

impl<T: Copy> Section<T> {
    /// None looked at yet.
    pub fn new() -> Self {
        Self(None)
    }

    /// What `work_out` says of the head of an element's section. It may ask for nothing that hangs on
    /// the element itself, such as its own conductors.
    pub fn of(
        &mut self,
        analysis: &Analysis<'_>,
        id: ElementId,
        work_out: impl FnOnce(ElementId) -> T,
    ) -> T {
        let head = head(analysis.graph, id);
        match self.0 {
            Some((last, known)) if last == head => known,
            _ => self.0.insert((head, work_out(head))).1,
        }
    }
}
