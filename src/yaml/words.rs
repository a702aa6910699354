//! The parser's errors in plain words.

use std::ops::Range;

use granit_parser::ErrorKind as E;

/// What is wrong, and what to do about it.
pub(super) struct Words {
    pub(super) message: String,
    pub(super) advice: String,
}

fn words(message: impl Into<String>, advice: impl Into<String>) -> Words {
    Words {
        message: message.into(),
        advice: advice.into(),
    }
}

/// Explains an error found at byte `at` of `text`, with nesting limited to `depth` levels.
pub(super) fn explain(kind: &E, text: &str, at: usize, depth: usize) -> Words {
    brackets(kind)
        .or_else(|| quotes(kind))
        .or_else(|| layout(kind, text, at, depth))
        .or_else(|| characters(kind))
        .or_else(|| names_and_tags(kind))
        .unwrap_or_else(|| {
            words(
                format!("This cannot be read as YAML [{kind}]."),
                "Check this line and the one above it for a missing colon, quote or bracket.",
            )
        })
}

fn brackets(kind: &E) -> Option<Words> {
    Some(match kind {
        E::UnclosedFlowCollection { open } => words(
            format!("The bracket '{open}' is never closed."),
            format!("Add '{}' where the list ends.", closing(*open)),
        ),
        E::MismatchedFlowCollectionEnd { open, close } => words(
            format!("The bracket '{open}' is closed with '{close}'."),
            format!("Close it with '{}'.", closing(*open)),
        ),
        E::MisplacedFlowCollectionEnd => words(
            "This closing bracket has no opening one.",
            "Remove it, or put the whole value in quotes if the bracket is part of the text.",
        ),
        E::ExpectedFlowMappingSeparator | E::UnexpectedEofFlowMapping => words(
            "A comma or the closing '}' is missing before this.",
            "Put a comma between entries and '}' after the last one.",
        ),
        E::ExpectedFlowSequenceSeparator
        | E::UnexpectedEofFlowSequence
        | E::UnexpectedEofImplicitFlowMapping
        | E::InvalidColonPlacement => words(
            "A comma or the closing bracket is missing before this.",
            "Put a comma between entries and the closing bracket after the last one.",
        ),
        E::BlockEntryInFlowCollection | E::PlainScalarStartsWithDashFlowIndicator => words(
            "A list dash '-' cannot stand inside brackets.",
            "Separate entries in brackets with commas, or put the dash in quotes.",
        ),
        _ => return None,
    })
}

fn closing(open: char) -> char {
    if open == '{' { '}' } else { ']' }
}

fn quotes(kind: &E) -> Option<Words> {
    Some(match kind {
        E::UnclosedQuotedScalar | E::DocumentIndicatorInQuotedScalar => words(
            "This quotation mark is never closed.",
            "Add the same quotation mark where the text ends.",
        ),
        E::InvalidTrailingSingleQuotedScalar => words(
            "There is more text after the closing quotation mark.",
            "Put all of the value inside the quotes; write '' for a single quote inside them.",
        ),
        E::InvalidTrailingDoubleQuotedScalar => words(
            "There is more text after the closing quotation mark.",
            "Put all of the value inside the quotes; write \\\" for a double quote inside them.",
        ),
        E::UnknownQuotedScalarEscape
        | E::InvalidQuotedScalarHexEscape
        | E::InvalidLowSurrogateHexEscape
        | E::InvalidLowSurrogate
        | E::MissingLowSurrogate
        | E::UnpairedLowSurrogate
        | E::InvalidUnicodeEscape => words(
            "In this text, the characters after a backslash '\\' have no meaning.",
            "Use single quotes, or write \\\\ for a backslash inside double quotes.",
        ),
        _ => return None,
    })
}

fn layout(kind: &E, text: &str, at: usize, depth: usize) -> Option<Words> {
    Some(match kind {
        E::TabNotAllowed
        | E::TabInBlockIndentation
        | E::TabInIndentation
        | E::TabAtBlockScalarStart
        | E::TabInPlainScalar => words(
            "A tab is used where only spaces may stand.",
            "Replace each tab at the start of the line with spaces.",
        ),
        E::SimpleKeyExpected | E::InvalidSimpleKey => words(
            "A colon is missing after this name.",
            "Write 'name: value', with a space after the colon.",
        ),
        E::MappingKeyNotAllowed if is_lone_question(text, at) => words(
            "A question mark alone is no value.",
            "Leave the whole line out until the value is known: what it is wanted for is then asked.",
        ),
        E::MappingValueNotAllowed if has_earlier_colon(text, at) => words(
            "There is a second colon in this line.",
            "If it is part of the text, put the whole value in quotes.",
        ),
        E::MappingValueNotAllowed
        | E::MappingKeyNotAllowed
        | E::InvalidIndentation
        | E::InvalidBlockScalarIndent
        | E::InvalidQuotedScalarIndent
        | E::InvalidFlowScalarIndent
        | E::ExpectedBlockMappingKey
        | E::ExpectedBlockSequenceEntry
        | E::BlockSequenceEntryNotAllowed => words(
            "This line does not line up with the lines above it.",
            "Start it in the same column as the entries it belongs with, using spaces.",
        ),
        E::InvalidBlockEntryWhitespace | E::InvalidMappingValueWhitespace => words(
            "A space is missing here.",
            "Put one space (no tab) after a list dash '-' and after a colon ':'.",
        ),
        E::RecursionLimitExceeded => words(
            format!("Lists are nested here more than {depth} levels deep."),
            "Remove needless levels; no file of a site needs that many.",
        ),
        _ => return None,
    })
}

/// Whether nothing but a question mark stands behind a colon.
fn is_lone_question(text: &str, at: usize) -> bool {
    let rest = text.get(at..).unwrap_or_default();
    let line = rest.split(['\n', '\r', '#', ',', '}']).next();
    line.is_some_and(|line| line.trim_end() == "?")
        && line_before(text, at).trim_end().ends_with(':')
}

/// Whether the line up to `at` already has a colon that ends a name.
fn has_earlier_colon(text: &str, at: usize) -> bool {
    line_before(text, at).contains(": ")
}

fn characters(kind: &E) -> Option<Words> {
    Some(match kind {
        E::UnexpectedCharacter { character } if character.is_control() => words(
            format!(
                "There is an invisible control character here (U+{:04X}).",
                u32::from(*character)
            ),
            "Delete it; it often comes from copying out of another program.",
        ),
        E::UnexpectedCharacter { character } => words(
            format!("A value may not start with '{character}' unless it is in quotes."),
            "Put the whole value in quotes.",
        ),
        E::BomInsideDocument => words(
            "There is an invisible byte-order mark (U+FEFF) in the middle of the file.",
            "Delete it; it often comes from joining two files.",
        ),
        E::CommentNotSeparated => words(
            "A space is missing before the comment.",
            "Put a space before '#', or put the whole value in quotes.",
        ),
        E::CommentInterceptedScalar => words(
            "A comment stands in the middle of a text of several lines.",
            "Move the comment above the text, or put the text in quotes.",
        ),
        _ => return None,
    })
}

fn names_and_tags(kind: &E) -> Option<Words> {
    Some(match kind {
        E::MissingAnchorOrAliasName => words(
            "A name is missing after '&' or '*'.",
            "If the character is part of the text, put the whole value in quotes.",
        ),
        E::ExpectedNodeContent => words(
            "A value is missing before this.",
            "Write the value, or remove the comma or colon that announces it.",
        ),
        E::UndeclaredTagHandle
        | E::ExpectedTagBang
        | E::InvalidTagTerminator
        | E::InvalidGlobalTagCharacter
        | E::MissingTagUri
        | E::UnclosedVerbatimTag
        | E::InvalidTagEscape
        | E::InvalidTagUtf8
        | E::InvalidTagUtf8LeadingByte
        | E::InvalidTagUtf8TrailingByte => words(
            "A value that starts with '!' cannot be read.",
            "If the '!' is part of the text, put the whole value in quotes.",
        ),
        E::InvalidDocumentEnd => words(
            "There is text after '...', which ends the document.",
            "Put the text on a line of its own, or put the dots in quotes.",
        ),
        E::MissingDirectiveName
        | E::InvalidDirectiveName
        | E::InvalidDirectiveTerminator
        | E::MissingDocumentEndBeforeDirective
        | E::UnsupportedYamlMajorVersion => words(
            "A line that starts with '%' cannot be read here.",
            "Remove the line, or put the text in quotes.",
        ),
        _ => return None,
    })
}

/// The bytes to point at for an error that the parser found at byte `at`.
pub(super) fn range(kind: &E, text: &str, at: usize) -> Range<usize> {
    let rest = text.get(at..).unwrap_or_default();
    match kind {
        E::SimpleKeyExpected | E::InvalidSimpleKey => at..at + name_len(rest),
        E::TabInBlockIndentation | E::TabInIndentation => tab_before(text, at),
        E::MappingValueNotAllowed if !has_earlier_colon(text, at) => name_before(text, at),
        _ => at..at + rest.chars().next().map_or(0, char::len_utf8),
    }
}

/// Length of the text up to the end of its line or a comment.
fn name_len(rest: &str) -> usize {
    let line = rest.split(['\n', '\r']).next().unwrap_or_default();
    let name = line.split(" #").next().unwrap_or_default();
    name.trim_end().len()
}

/// The name at the start of the line, up to the colon at `at`.
fn name_before(text: &str, at: usize) -> Range<usize> {
    let name = line_before(text, at).trim_ascii_start();
    at - name.len()..at
}

/// The line of `at` up to there.
fn line_before(text: &str, at: usize) -> &str {
    let before = text.get(..at).unwrap_or_default();
    before.rsplit(['\n', '\r']).next().unwrap_or_default()
}

/// The nearest tab at or before `at` in its line; the character at `at` if there is none.
fn tab_before(text: &str, at: usize) -> Range<usize> {
    let end = text.len().min(at + 1);
    let line = line_before(text, end);
    match line.rfind('\t') {
        Some(tab) => {
            let lo = end - line.len() + tab;
            lo..lo + 1
        }
        None => range(&E::InvalidIndentation, text, at),
    }
}
