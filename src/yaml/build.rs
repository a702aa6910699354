//! From the parser's events to the tree. Only this file and the handling of errors know the parser.

use std::ops::Range;
use std::sync::Arc;

use granit_parser::{Event, Options, Parser, ScalarStyle, StrInput, StructureStyle, Tag, options};

use super::place::{self, Role};
use super::problem::Problems;
use super::tree::{Content, Node, NodeId, Style, Tagged, Tree};
use super::{Limits, Problem};
use crate::source::{FileId, Span};

/// Places are kept in 32 bits, and decoded text can be half as long again as the file.
pub(super) const MOST_BYTES: usize = i32::MAX as usize;

/// Reads all documents of `text`.
pub(super) fn build(file: FileId, text: &Arc<str>, limits: &Limits) -> (Tree, Vec<Problem>) {
    let mut builder = Builder::new(file, text, limits);
    if text.len() > limits.bytes.min(MOST_BYTES) {
        builder.too_large();
    } else {
        builder.read(Parser::new_from_str_with_options(
            text,
            parser_options(limits),
        ));
    }
    (builder.tree, builder.problems.into_list())
}

/// Reads `text` with the parser alone and counts its events: the cost below which no tree can be
/// built.
pub fn events_only(text: &str) -> usize {
    let options = parser_options(&Limits::default());
    let mut parser = Parser::new_from_str_with_options(text, options);
    let mut count = 0;
    while let Some(event) = parser.next_event() {
        count += usize::from(event.is_ok());
    }
    count
}

fn parser_options(limits: &Limits) -> Options {
    options! {
        block_nesting_limit: limits.depth,
        flow_nesting_limit: limits.depth,
        emit_anchor_events: true,
        emit_unresolved_aliases: true,
    }
}

/// A list or mapping whose end has not come yet.
pub(super) struct Open {
    pub(super) id: NodeId,
    is_mapping: bool,
    /// Written in brackets of its own, so that its end is the closing one.
    pub(super) bracketed: bool,
    /// Written without brackets, one entry per line.
    block: bool,
    children: u32,
}

pub(super) struct Builder<'s> {
    pub(super) text: &'s str,
    pub(super) limits: Limits,
    pub(super) tree: Tree,
    pub(super) problems: Problems,
    pub(super) open: Vec<Open>,
    /// The node of each anchor, by the parser's number for it.
    anchored: Vec<Option<NodeId>>,
    /// End of the last token: no later node starts before it.
    pub(super) last_end: usize,
}

impl<'s> Builder<'s> {
    fn new(file: FileId, text: &'s Arc<str>, limits: &Limits) -> Self {
        // About one node for twelve bytes is usual; too few only costs a copy.
        let expected = (text.len() / 16).min(limits.nodes);
        Self {
            text,
            limits: *limits,
            tree: Tree {
                file,
                text: Arc::clone(text),
                nodes: Vec::with_capacity(expected),
                heap: String::new(),
                roots: Vec::new(),
                anchors: Vec::new(),
                tags: Vec::new(),
                complete: true,
                breaks: Vec::new(),
            },
            problems: Problems::default(),
            open: Vec::new(),
            anchored: Vec::new(),
            last_end: 0,
        }
    }

    fn read(&mut self, mut parser: Parser<'s, StrInput<'s>>) {
        while let Some(event) = parser.next_event() {
            match event {
                Ok((event, span)) => {
                    let range = span.byte_range().unwrap_or(self.last_end..self.last_end);
                    self.take(event, range.clone());
                    if self.is_over_limit(range) {
                        return;
                    }
                }
                Err(error) => {
                    self.broken(&error);
                    if !matches!(parser.proceed_next_document(), Ok(true)) {
                        return;
                    }
                }
            }
        }
    }

    fn take(&mut self, event: Event<'s>, range: Range<usize>) {
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                self.tag(tag.as_deref(), range.start);
                self.scalar(&text, style, range, anchor != 0 || tag.is_some());
            }
            Event::MappingStart(style, _, tag) => {
                self.tag(tag.as_deref(), range.start);
                self.start(true, style, range);
            }
            Event::SequenceStart(style, _, tag) => {
                self.tag(tag.as_deref(), range.start);
                self.start(false, style, range);
            }
            Event::MappingEnd | Event::SequenceEnd => self.end(range),
            Event::Alias(anchor) => self.alias(Some(anchor), range),
            Event::UnresolvedAlias(_) => self.alias(None, range),
            Event::Anchor(number, _) => self.anchor(number, range),
            // Without `---`, the range is that of the first token: no use before its node comes.
            Event::DocumentStart(false, _) => {}
            Event::DocumentStart(true, _) | Event::DocumentEnd => {
                self.last_end = self.last_end.max(range.end);
            }
            _ => {}
        }
    }

    fn scalar(&mut self, text: &str, style: ScalarStyle, range: Range<usize>, prop: bool) {
        let style = match style {
            ScalarStyle::Plain if range.is_empty() => return self.empty(range.start, prop),
            ScalarStyle::Plain => Style::Plain,
            ScalarStyle::Literal | ScalarStyle::Folded => Style::Block,
            _ => Style::Quoted,
        };
        let range = match style {
            Style::Block => self.with_block_header(range),
            Style::Quoted => {
                self.look_for_swallowed_line(&range);
                range
            }
            Style::Plain => range,
        };
        let content = self.scalar_content(text, style);
        self.push(range, content);
    }

    /// A line of a quoted text has to stand further right than the keys or dashes around it (YAML
    /// 1.2.2, 7.3). The parser lets it begin in their column: a quotation mark that was forgotten
    /// could then swallow whole sections up to the next one, and nobody would hear of it.
    fn look_for_swallowed_line(&mut self, range: &Range<usize>) {
        let around = self.open.iter().rev().find(|open| open.block);
        let swallowed = around.and_then(|open| {
            let column = place::indentation(self.text, self.lo(open.id));
            place::line_not_beyond(self.text, range, column)
        });
        let Some(line) = swallowed else { return };
        self.tree.complete = false;
        self.problems.push(Problem {
            span: self.span(line),
            message: "This line is read as a part of the quoted text that begins above it, and \
                      stands too far left for that."
                .to_owned(),
            advice: "Close the quotation mark where the text ends, or indent the line further \
                     than the key above it, using spaces."
                .to_owned(),
            related: Some((
                self.span(range.start..range.start + 1),
                "the quotation mark that is open here".to_owned(),
            )),
        });
    }

    /// The parser leaves out the `|` or `>` of a block scalar and runs on to the next token.
    fn with_block_header(&self, range: Range<usize>) -> Range<usize> {
        let header = place::find_mark(self.text, self.last_end, range.start, b"|>");
        let lo = header.unwrap_or(range.start);
        lo..place::end_of_block(self.text, lo, range.end)
    }

    /// Text that is a part of the file is kept as a range, any other is copied to the heap.
    fn scalar_content(&mut self, text: &str, style: Style) -> Content {
        let borrowed = offset_in(self.text, text);
        let lo = borrowed.unwrap_or(self.tree.heap.len());
        if borrowed.is_none() {
            self.tree.heap.push_str(text);
        }
        Content::Scalar {
            style,
            heap: borrowed.is_none(),
            lo: short(lo),
            hi: short(lo + text.len()),
        }
    }

    pub(super) fn empty(&mut self, given: usize, has_property: bool) {
        let role = self.role();
        let at = place::place_of_empty(self.text, role, self.last_end, given, has_property);
        self.push(at..at, Content::Empty);
    }

    /// What the next node will be to the collection around it.
    pub(super) fn role(&self) -> Role {
        match self.open.last() {
            None => Role::Document,
            Some(open) if !open.is_mapping => Role::Item,
            Some(open) if open.children.is_multiple_of(2) => Role::Key,
            Some(open) => Role::Value(open.block.then(|| self.lo(open.id))),
        }
    }

    fn start(&mut self, is_mapping: bool, style: StructureStyle, range: Range<usize>) {
        let flow = style == StructureStyle::Flow;
        let lo = self.start_of(is_mapping, flow, range.start);
        let bracket = self.text.as_bytes().get(lo);
        let bracketed = flow && !range.is_empty() && matches!(bracket, Some(b'[' | b'{'));
        let content = if is_mapping {
            Content::Mapping { flow, cut: false }
        } else {
            Content::List { flow, cut: false }
        };
        let hi = if bracketed { range.end } else { lo };
        let id = self.push(lo..hi, content);
        self.open.push(Open {
            id,
            is_mapping,
            bracketed,
            block: !flow,
            children: 0,
        });
    }

    /// A list in the same column as its key starts, for the parser, after its first dash.
    fn start_of(&self, is_mapping: bool, flow: bool, given: usize) -> usize {
        let under_key = self.open.last().is_some_and(|open| open.is_mapping);
        if is_mapping || flow || !under_key {
            return given;
        }
        place::find_mark(self.text, self.last_end, given, b"-").unwrap_or(given)
    }

    /// A collection ends after its bracket or, without brackets, with its last child.
    fn end(&mut self, range: Range<usize>) {
        let Some(open) = self.open.pop() else { return };
        if open.bracketed {
            self.last_end = self.last_end.max(range.end);
        }
        self.close(open.id);
    }

    pub(super) fn close(&mut self, id: NodeId) {
        let next = short(self.tree.nodes.len());
        let node = &mut self.tree.nodes[id.index()];
        node.hi = node.lo.max(short(self.last_end));
        node.next = next;
    }

    /// Adds a node; wherever the parser puts it, it stays after the token before.
    fn push(&mut self, range: Range<usize>, content: Content) -> NodeId {
        let id = NodeId(short(self.tree.nodes.len()));
        let lo = range.start.max(self.last_end);
        let hi = range.end.max(lo);
        self.last_end = hi;
        match self.open.last_mut() {
            Some(parent) => parent.children += 1,
            None => self.tree.roots.push(id),
        }
        self.tree.nodes.push(Node {
            lo: short(lo),
            hi: short(hi),
            next: id.0 + 1,
            content,
        });
        id
    }

    /// Comes right after the node that carries the anchor.
    fn anchor(&mut self, number: usize, range: Range<usize>) {
        let Some(last) = self.tree.nodes.len().checked_sub(1) else {
            return;
        };
        let id = NodeId(short(last));
        if self.anchored.len() <= number {
            self.anchored.resize(number + 1, None);
        }
        self.anchored[number] = Some(id);
        let span = self.span(range);
        self.tree.anchors.push((id, span));
    }

    fn alias(&mut self, anchor: Option<usize>, range: Range<usize>) {
        let mut target = anchor.and_then(|number| *self.anchored.get(number)?);
        if target.is_none() {
            self.problem(
                range.clone(),
                "There is no anchor of this name above this line.",
                "Write '&name' before the value that is meant, or put the text in quotes.",
            );
        }
        if let Some(parent) = target.filter(|id| self.open.iter().any(|open| open.id == *id)) {
            self.own_parent(range.clone(), parent);
            target = None;
        }
        self.push(range, Content::Alias(target));
    }

    fn own_parent(&mut self, range: Range<usize>, parent: NodeId) {
        let anchor = self.tree.anchor(parent);
        self.problems.push(Problem {
            span: self.span(range),
            message: "This refers to the list or section that it is part of, without end."
                .to_owned(),
            advice: "Write out what is meant here, or refer to another anchor.".to_owned(),
            related: anchor.map(|span| (span, "the anchor of that list or section".to_owned())),
        });
    }

    /// Notes the tag of the node that is about to be added.
    fn tag(&mut self, tag: Option<&Tag>, node_lo: usize) {
        let Some(tag) = tag else { return };
        let found = place::find_tag(self.text, self.last_end, node_lo);
        let (lo, hi) = found.unwrap_or((node_lo, node_lo));
        self.tree.tags.push(Tagged {
            node: NodeId(short(self.tree.nodes.len())),
            name: match tag.core_suffix() {
                Some(name) => format!("!!{name}"),
                None => format!("{}{}", tag.handle(), tag.suffix()),
            },
            span: self.span(lo..hi),
            is_foreign: tag.is_custom(),
        });
    }

    pub(super) fn problem(&mut self, range: Range<usize>, message: &str, advice: &str) {
        self.problems.push(Problem {
            span: self.span(range),
            message: message.to_owned(),
            advice: advice.to_owned(),
            related: None,
        });
    }

    pub(super) fn span(&self, range: Range<usize>) -> Span {
        Span::new(self.tree.file, range.start, range.end)
    }

    pub(super) fn lo(&self, id: NodeId) -> usize {
        self.tree.nodes[id.index()].lo as usize
    }
}

/// Where `part` lies in `whole`, if it is a slice of it.
fn offset_in(whole: &str, part: &str) -> Option<usize> {
    let lo = part.as_ptr().addr().checked_sub(whole.as_ptr().addr())?;
    (lo + part.len() <= whole.len()).then_some(lo)
}

/// Checked against `MOST_BYTES` before reading, so that nothing is lost.
fn short(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}
