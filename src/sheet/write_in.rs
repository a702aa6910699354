//! Writing answers into the definitions: each at the place where its fact should stand, and nothing else
//! in the text changes.

use std::collections::BTreeMap;

use crate::finding::{Edit, Fact, FactState};
use crate::ink::{Written, Yaml};
use crate::source::{FileId, Source, Span};
use crate::yaml::{Kind, Limits, NodeId, Tree};

/// Answers of one file, each with a number that the caller knows it by.
pub(super) type Answers<'a> = [(usize, &'a Fact, &'a str)];

/// The edits that write answers into a file, and for each answer that cannot be written why, by its number.
pub(super) fn edits(
    source: &Source,
    file: FileId,
    answers: &Answers<'_>,
) -> (Vec<Edit>, Vec<(usize, &'static str)>) {
    let (tree, _) = Tree::parse(file, &source.text, &Limits::default());
    let tree = &tree;
    let (mut edits, mut refused) = (Vec::new(), Vec::new());
    let mut inserted: BTreeMap<Place, Keys<'_>> = BTreeMap::new();
    for &(number, fact, answer) in answers {
        let written = match fact.state {
            FactState::Absent => place(tree, fact).map(|(place, rest)| {
                inserted.entry(place).or_default().add(&rest, answer);
            }),
            FactState::Unreadable | FactState::Written => {
                replaced(tree, fact, answer).map(|edit| edits.push(edit))
            }
        };
        refused.extend(written.err().map(|why| (number, why)));
    }
    edits.extend(
        inserted
            .iter()
            .map(|(place, keys)| place.edit(source, keys)),
    );
    (edits, refused)
}

/// Keys that are written together, with their values or the keys below them.
#[derive(Default)]
struct Keys<'a>(Vec<(String, Value<'a>)>);

enum Value<'a> {
    Answer(&'a str),
    Keys(Keys<'a>),
}

impl<'a> Keys<'a> {
    fn add(&mut self, path: &[&str], answer: &'a str) {
        let Some((first, rest)) = path.split_first() else {
            return;
        };
        let known = self.0.iter_mut().find(|(key, _)| key == first);
        match (known, rest.is_empty()) {
            (Some((_, Value::Keys(keys))), false) => keys.add(rest, answer),
            (Some(_), _) => {}
            (None, true) => self.0.push(((*first).to_owned(), Value::Answer(answer))),
            (None, false) => {
                let mut keys = Self::default();
                keys.add(rest, answer);
                self.0.push(((*first).to_owned(), Value::Keys(keys)));
            }
        }
    }

    fn write(&self, between: &'static str, yaml: &mut Written<Yaml>) {
        for (number, (key, value)) in self.0.iter().enumerate() {
            yaml.ours(if number > 0 { between } else { "" });
            yaml.scalar(key).ours(": ");
            match value {
                Value::Answer(answer) => write_answer(key, answer, yaml),
                Value::Keys(keys) => {
                    yaml.ours("{");
                    keys.write(", ", yaml);
                    yaml.ours("}");
                }
            }
        }
    }
}

/// An answer as a value; approvals are a list, and the only one that is asked for.
fn write_answer(key: &str, answer: &str, yaml: &mut Written<Yaml>) {
    if key != "approvals" {
        yaml.value(answer);
        return;
    }
    let parts = answer.trim_matches(['[', ']']).split([',', ';']);
    let parts = parts.map(str::trim).filter(|part| !part.is_empty());
    yaml.ours("[");
    for (number, part) in parts.enumerate() {
        yaml.ours(if number > 0 { ", " } else { "" }).scalar(part);
    }
    yaml.ours("]");
}

/// A place where keys can be put in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Place {
    /// After the bracket of a mapping in brackets; and whether others follow.
    InBrackets(Span, bool),
    /// Before the first key of a mapping of lines.
    BeforeLine(Span),
    /// After a key without a value.
    AfterKey(Span),
    /// A value that stands for one key of what it could be.
    Short(Span, &'static str),
}

impl Place {
    fn edit(&self, source: &Source, keys: &Keys<'_>) -> Edit {
        let mut yaml = Written::<Yaml>::new();
        let (span, text) = match self {
            Self::InBrackets(span, is_followed) => {
                keys.write(", ", &mut yaml);
                let after = if *is_followed { ", " } else { "" };
                (*span, format!("{}{after}", yaml.as_str()))
            }
            Self::BeforeLine(span) => {
                let lines = keys.0.iter().map(|(key, value)| {
                    let mut line = Written::<Yaml>::new();
                    let one = Keys(vec![(key.clone(), value.by_reference())]);
                    one.write("", &mut line);
                    line.into_string()
                });
                let lo = span.lo as usize;
                let column = source.position_in_chars(lo).column;
                let indent = " ".repeat(column.saturating_sub(1));
                let end = source.line_end(lo);
                let lines = lines.map(|line| format!("{line}{end}{indent}"));
                (*span, lines.collect())
            }
            Self::AfterKey(span) => {
                keys.write(", ", &mut yaml);
                (*span, format!(" {{{}}}", yaml.as_str()))
            }
            Self::Short(span, key) => {
                keys.write(", ", &mut yaml);
                let own = source.slice(span.range());
                (*span, format!("{{{key}: {own}, {}}}", yaml.as_str()))
            }
        };
        Edit { span, text }
    }
}

impl<'a> Value<'a> {
    fn by_reference(&self) -> Value<'a> {
        match self {
            Self::Answer(answer) => Value::Answer(answer),
            Self::Keys(keys) => {
                let keys = keys.0.iter();
                let keys = keys.map(|(key, value)| (key.clone(), value.by_reference()));
                Value::Keys(Keys(keys.collect()))
            }
        }
    }
}

const ELSEWHERE: &str = "it comes from elsewhere by an alias or a merge: write it by hand";
const NOT_A_MAPPING: &str = "there is no place for it as the thing is written: write it by hand";
const GONE: &str = "the thing is not where it was";

/// Where an absent fact is put in, and the keys from there on.
fn place<'f>(tree: &Tree, fact: &'f Fact) -> Result<(Place, Vec<&'f str>), &'static str> {
    let mut node = thing(tree, fact)?;
    let mut rest = fact.path();
    loop {
        match tree.kind(node) {
            Kind::Mapping => {}
            Kind::Alias => return Err(ELSEWHERE),
            Kind::Empty => return Ok((Place::AfterKey(tree.span(node)), rest)),
            Kind::Plain | Kind::Quoted if rest.len() < fact.path().len() => {
                let short = short_for(fact, rest.len()).ok_or(NOT_A_MAPPING)?;
                return Ok((Place::Short(tree.span(node), short), rest));
            }
            Kind::Plain | Kind::Quoted | Kind::Block | Kind::List => return Err(NOT_A_MAPPING),
        }
        let mut pairs = tree.pairs(node);
        let below =
            pairs.find(|(key, _)| rest.first().is_some_and(|part| tree.text(*key) == *part));
        match below {
            Some((_, value)) if rest.len() > 1 => {
                node = value;
                rest.remove(0);
            }
            Some(_) => return Err(GONE),
            None => return Ok((into(tree, node)?, rest)),
        }
    }
}

/// What a plain value stands for, where the fact lies inside it.
fn short_for(fact: &Fact, rest: usize) -> Option<&'static str> {
    let parts = fact.path();
    let above = parts.get(parts.len().checked_sub(rest + 1)?)?;
    match (*above, parts.first()) {
        ("breaker", _) => Some("rating"),
        ("rcd", _) => Some("rated"),
        (_, Some(&"inlets" | &"outlets")) => Some("coupler"),
        _ => None,
    }
}

/// The mapping of the thing that should have a fact.
fn thing(tree: &Tree, fact: &Fact) -> Result<NodeId, &'static str> {
    let path = tree.path_to(fact.span.lo as usize);
    if fact.owner.is_empty() {
        let roots = path.first().ok_or(GONE)?;
        let site = tree
            .pairs(*roots)
            .find(|(key, _)| tree.text(*key) == "site");
        return site.map(|(_, site)| site).ok_or(GONE);
    }
    let around = path.iter().rev().find_map(|around| {
        let mut pairs = tree.pairs(*around);
        pairs.find(|(key, _)| tree.span(*key) == fact.span)
    });
    around.map(|(_, thing)| thing).ok_or(GONE)
}

/// Where keys are put into a mapping.
fn into(tree: &Tree, mapping: NodeId) -> Result<Place, &'static str> {
    if tree.pairs(mapping).any(|(key, _)| tree.text(key) == "<<") {
        return Err(ELSEWHERE);
    }
    let span = tree.span(mapping);
    let first = tree.pairs(mapping).next();
    if tree.is_flow(mapping) {
        let at = span.lo as usize + 1;
        let is_bracket = tree.source(Span::new(tree.file(), at - 1, at)) == "{";
        let place = Place::InBrackets(Span::new(tree.file(), at, at), first.is_some());
        return is_bracket.then_some(place).ok_or(NOT_A_MAPPING);
    }
    let (key, _) = first.ok_or(NOT_A_MAPPING)?;
    let at = tree.span(key).lo as usize;
    let line = at - tree.column(at);
    let before = tree.source(Span::new(tree.file(), line, at));
    match before.bytes().all(|byte| byte == b' ') {
        true => Ok(Place::BeforeLine(Span::new(tree.file(), at, at))),
        false => Err(NOT_A_MAPPING),
    }
}

/// What cannot be read, or does not decide, replaced.
fn replaced(tree: &Tree, fact: &Fact, answer: &str) -> Result<Edit, &'static str> {
    let node = tree.node_at(fact.span.lo as usize).ok_or(GONE)?;
    let is_empty = tree.kind(node) == Kind::Empty;
    let is_plain = is_empty || matches!(tree.kind(node), Kind::Plain | Kind::Quoted);
    if !is_plain || tree.span(node) != fact.span || tree.anchor(node).is_some() {
        return Err(ELSEWHERE);
    }
    let key = fact.path().pop().unwrap_or_default();
    let mut yaml = Written::<Yaml>::new();
    // Right after the colon of a key without a value.
    yaml.ours(if is_empty { " " } else { "" });
    write_answer(key, answer, &mut yaml);
    Ok(Edit {
        span: fact.span,
        text: yaml.into_string(),
    })
}
