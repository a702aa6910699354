//! The mapping file: what the columns of a spreadsheet hold, in the words of whoever typed it.

use std::collections::BTreeMap;
use std::sync::Arc;

use encoding_rs::Encoding;
use serde_json::{Value, json};

use crate::budget::Budget;
use crate::failure::Failure;
use crate::model::decode::{Decode, Reader, Slot, record, with_article};
use crate::model::fault::Fault;
use crate::model::text::clip;
use crate::model::value::{Field, Name, Spanned};
use crate::quantity::typed::DecimalMark;
use crate::source::{FileId, Source, Span};
use crate::yaml::{Limits, NodeId, Tree, decode_text};

/// What a mapping file says.
#[derive(Clone, Debug, Default)]
pub struct Mapping {
    /// Headings and what their columns hold.
    pub(super) columns: Vec<(String, String)>,
    /// Units of the numbers that stand without one, by key.
    pub(super) units: BTreeMap<String, String>,
    /// Words of the spreadsheet and what they mean, by key.
    pub(super) values: BTreeMap<String, BTreeMap<String, String>>,
    /// Headings whose columns are not taken, on purpose.
    pub(super) ignore: Vec<String>,
    /// Headings in whose columns an empty cell means what stands above it.
    pub(super) fill_down: Vec<String>,
    /// The rows that hold the headings.
    pub(super) headings: Vec<usize>,
    /// The sheet of a workbook.
    pub(super) sheet: Option<String>,
    pub(super) decimal: Option<DecimalMark>,
    pub(super) encoding: Option<&'static Encoding>,
}

impl Mapping {
    /// Reads a mapping file.
    ///
    /// # Errors
    /// The first thing in it that cannot be read: half a mapping would take in half a spreadsheet.
    pub fn read(path: &str, bytes: Vec<u8>) -> Result<Self, Failure> {
        let file = FileId(0);
        let (text, problem) = decode_text(file, bytes);
        let (tree, problems) = Tree::parse(file, &text, &Limits::default());
        let source = Source::new(path, Arc::clone(&text));
        let failed = |span: Span, what: &str, advice: &str| {
            let line = source.position_in_chars(span.lo as usize).line;
            Failure::new(format!("cannot use {path}: line {line}: {what}")).advise(advice)
        };
        if let Some(problem) = problem.iter().chain(&problems).next() {
            let what = problem.message.trim_end_matches('.');
            return Err(failed(problem.span, what, &problem.advice));
        }
        let mut reader = Reader::new(&tree, &Budget::default());
        let written: Written = match tree.roots().first() {
            Some(root) => reader.record(*root, None),
            None => Written::default(),
        };
        let (faults, _) = reader.finish();
        match faults.iter().find_map(|noted| said(&noted.fault)) {
            Some((span, what, advice)) => Err(failed(span, &what, &advice)),
            None => Ok(Self::of(written)),
        }
    }

    /// Sets the unit of a key, as `length=m` does.
    ///
    /// # Errors
    /// It is nothing like that.
    pub fn set_unit(&mut self, said: &str) -> Result<(), Failure> {
        let parts = said
            .split_once('=')
            .map(|(key, unit)| (key.trim(), unit.trim()));
        let Some((key, unit)) = parts.filter(|(key, unit)| !key.is_empty() && !unit.is_empty())
        else {
            let failure = Failure::new(format!("\"{said}\" names no key and its unit"));
            return Err(failure.advise("Write it like --unit length=m."));
        };
        self.units.insert(key.to_owned(), unit.to_owned());
        Ok(())
    }

    /// Sets the sheet of a workbook that is read.
    pub fn set_sheet(&mut self, sheet: &str) {
        self.sheet = Some(sheet.to_owned());
    }

    fn of(written: Written) -> Self {
        let texts = |names: Vec<Spanned<Name>>| names.into_iter().map(|name| name.value.into());
        let pairs = |pairs: Pairs<Name>| {
            let pairs = pairs.0.into_iter();
            pairs.map(|(key, value)| (String::from(key), String::from(value)))
        };
        let values = written.values.0.into_iter();
        Self {
            columns: pairs(written.columns).collect(),
            units: pairs(written.units).collect(),
            values: values
                .map(|(key, words)| (key.into(), pairs(words).collect()))
                .collect(),
            ignore: texts(written.ignore).collect(),
            fill_down: texts(written.fill_down).collect(),
            headings: written
                .headings
                .iter()
                .map(|row| row.value as usize)
                .collect(),
            sheet: written.sheet.known().map(|name| name.as_str().to_owned()),
            decimal: written.decimal.known().copied(),
            encoding: written.encoding.known().map(|named| named.0),
        }
    }
}

record! {
    /// What a mapping file may hold.
    Written: "mapping file";
    /// Headings and the keys that their columns hold.
    "columns" => columns: Pairs<Name>,
    /// Keys and the unit of their bare numbers.
    "units" => units: Pairs<Name>,
    /// Keys, and what words of the spreadsheet mean there.
    "values" => values: Pairs<Pairs<Name>>,
    /// Headings of columns that are not taken.
    "ignore" => ignore: Vec<Spanned<Name>>,
    /// Headings of columns in which an empty cell means what stands above it.
    "fill-down" => fill_down: Vec<Spanned<Name>>,
    /// The rows that hold the headings.
    "headings" (above_zero) => headings: Vec<Spanned<u32>>,
    /// The sheet of a workbook.
    "sheet" => sheet: Field<Name>,
    /// What stands before the decimals.
    "decimal" => decimal: Field<DecimalMark>,
    /// The encoding of a text that does not show its own.
    "encoding" => encoding: Field<Named>,
}

impl Decode for DecimalMark {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        match reader.scalar(node, "comma or point")? {
            "comma" => Some(Self::Comma),
            "point" => Some(Self::Point),
            other => {
                let headline = format!("`{}` is no mark before decimals", clip(other));
                let advice = "Write comma or point.".to_owned();
                reader.bad(reader.tree.span(node), headline, advice);
                None
            }
        }
    }

    fn schema() -> Value {
        json!({"enum": ["comma", "point"]})
    }
}

/// An encoding by its name.
#[derive(Clone, Copy, Debug)]
pub struct Named(&'static Encoding);

impl Decode for Named {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let text = reader.scalar(node, "an encoding like windows-1252")?;
        let encoding = Encoding::for_label(text.as_bytes());
        if encoding.is_none() {
            let headline = "no encoding is known by this name".to_owned();
            let advice = "Write one like utf-8, windows-1252 or windows-1251.".to_owned();
            reader.bad(reader.tree.span(node), headline, advice);
        }
        encoding.map(Self)
    }

    fn schema() -> Value {
        json!({"type": "string"})
    }
}

/// Names and what stands under them, in the order in which they are written.
#[derive(Clone, Debug)]
pub struct Pairs<T>(Vec<(Name, T)>);

impl<T> Default for Pairs<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Decode> Slot for Pairs<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let read = Self::decode(reader, node);
        *self = read.unwrap_or_default();
    }

    fn spoil(&mut self, _: Span) {}

    fn schema() -> Value {
        json!({"type": "object"})
    }
}

impl<T: Decode> Decode for Pairs<T> {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let mut pairs = Vec::new();
        reader.entries(node, "meaning", |reader, name, value| {
            pairs.extend(T::decode(reader, value).map(|value| (name.value, value)));
        });
        Some(Self(pairs))
    }

    fn schema() -> Value {
        json!({"type": "object"})
    }
}

/// What is wrong with a mapping file, and what to do; words that other readers take for something else do
/// no harm here.
fn said(fault: &Fault) -> Option<(Span, String, String)> {
    let (what, advice) = match fault {
        Fault::Trap { .. } => return None,
        Fault::UnknownKey {
            key,
            owner,
            known,
            nearest,
            ..
        } => {
            let what = format!("`{key}` is no key of {}", with_article(owner));
            let advice = match nearest {
                Some(near) => near.question(),
                None => format!("Keys here: {}.", known.join(", ")),
            };
            (what, advice)
        }
        Fault::BadValue {
            headline, advice, ..
        } => (headline.clone(), advice.clone()),
        Fault::Unreadable {
            message, advice, ..
        } => (message.trim_end_matches('.').to_owned(), advice.clone()),
        Fault::Repeated { name, .. } => {
            let advice = "Take one of the two out.".to_owned();
            (format!("`{name}` stands there twice"), advice)
        }
        _ => (
            "it cannot be read".to_owned(),
            "Look at this line.".to_owned(),
        ),
    };
    Some((fault.span(), what, advice))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Mapping, Failure> {
        Mapping::read("m.yaml", text.as_bytes().to_vec())
    }

    #[test]
    fn a_mapping_says_what_the_columns_hold() {
        let text = "columns: {Kabel-Nr: name, No: length}\nunits: {length: m}\nignore: [Bemerkung]\nheadings: [2, 3]\ndecimal: comma\nencoding: windows-1252\nvalues: {colour: {blau: blue}}\n";
        let Ok(mapping) = read(text) else {
            panic!("{:?}", read(text));
        };
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(
            mapping.columns,
            [pair("Kabel-Nr", "name"), pair("No", "length")]
        );
        assert_eq!(
            (mapping.headings, mapping.ignore),
            (vec![2, 3], vec!["Bemerkung".to_owned()])
        );
        assert_eq!(mapping.decimal, Some(DecimalMark::Comma));
        assert_eq!(mapping.values["colour"]["blau"], "blue");
        assert!(read("").is_ok());
    }

    #[test]
    fn a_mapping_that_cannot_be_read_is_not_used() {
        for (text, line, part) in [
            ("colums: {}\n", 1, "`colums` is no key of a mapping file"),
            ("ignore: []\ncolumns: [a]\n", 2, "a list stands here"),
            ("columns: {a: [b]}\n", 1, "a list stands here"),
            ("\ndecimal: dot\n", 2, "dot"),
            ("encoding: klingon\n", 1, "no encoding"),
            ("headings: [0]\n", 1, "0"),
            ("columns: {a: b\n", 1, ""),
            ("- a\n", 1, ""),
        ] {
            let Err(failure) = read(text) else {
                panic!("{text} was read");
            };
            assert!(failure.what.contains(&format!("line {line}")), "{failure}");
            assert!(failure.what.contains(part), "{failure}");
        }
    }
}
