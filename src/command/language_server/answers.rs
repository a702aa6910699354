//! Answers to what the editor asks of a place.

use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse,
    CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionResponse,
    CompletionTextEdit, Documentation, GotoDefinitionParams, GotoDefinitionResponse, Hover,
    HoverContents, HoverParams, Location, MarkupContent, MarkupKind, NumberOrString,
    PrepareRenameResponse, Range, ReferenceParams, RenameParams, TextDocumentPositionParams,
    TextEdit, WorkspaceEdit,
};

use super::diagnostics;
use super::edits::workspace_edit;
use super::place::Places;
use crate::date::Date;
use crate::editor::completion::{Offer, OfferKind};
use crate::finding::Finding;
use crate::ink::{Markdown, Plain, Written, short};
use crate::source::FileId;

pub(super) fn hover(
    places: &Places<'_>,
    file: FileId,
    params: &HoverParams,
    today: Date,
) -> Option<Hover> {
    let at = params.text_document_position_params.position;
    let byte = places.byte(file, at);
    let (contents, span) = match places.client.shows_markdown {
        true => {
            let hover = places.site.hover(file, byte, today)?;
            (in_markdown(hover.text), hover.span)
        }
        false => {
            let hover = places.site.hover(file, byte, today)?;
            (in_plain_text(hover.text), hover.span)
        }
    };
    Some(Hover {
        contents: HoverContents::Markup(contents),
        range: Some(places.range(span)),
    })
}

fn in_markdown(text: Written<Markdown>) -> MarkupContent {
    MarkupContent {
        kind: MarkupKind::Markdown,
        value: text.into_string(),
    }
}

fn in_plain_text(text: Written<Plain>) -> MarkupContent {
    MarkupContent {
        kind: MarkupKind::PlainText,
        value: text.into_string(),
    }
}

/// Args of our own in the kind of text that the editor takes.
fn documentation(args: &'static str, places: &Places<'_>) -> Documentation {
    fn written<K>(args: &'static str) -> Written<K> {
        let mut text = Written::new();
        text.ours(args);
        text
    }
    Documentation::MarkupContent(match places.client.documents_in_markdown {
        true => in_markdown(written(args)),
        false => in_plain_text(written(args)),
    })
}

/// A text for a place that takes no other than plain text.
fn plain(text: &str) -> String {
    Written::<Plain>::of(text).into_string()
}

pub(super) fn definition(
    places: &Places<'_>,
    file: FileId,
    params: &GotoDefinitionParams,
) -> Option<GotoDefinitionResponse> {
    let at = params.text_document_position_params.position;
    let target = places.site.target(file, places.byte(file, at))?;
    let spans = places.site.definitions(&target).into_iter();
    let found = spans.filter_map(|span| places.location(span)).collect();
    Some(GotoDefinitionResponse::Array(found))
}

pub(super) fn references(
    places: &Places<'_>,
    file: FileId,
    params: &ReferenceParams,
) -> Option<Vec<Location>> {
    let at = params.text_document_position.position;
    let target = places.site.target(file, places.byte(file, at))?;
    let spans = places
        .site
        .references(&target, params.context.include_declaration);
    Some(
        spans
            .into_iter()
            .filter_map(|span| places.location(span))
            .collect(),
    )
}

pub(super) fn completion(
    places: &Places<'_>,
    file: FileId,
    params: &CompletionParams,
) -> Option<CompletionResponse> {
    let at = params.text_document_position.position;
    let offers = places.site.offers(file, places.byte(file, at))?;
    let range = places.range(offers.span);
    let items = offers.list.into_iter().enumerate();
    let items = items
        .map(|(place, offer)| item(offer, place, range, places))
        .collect();
    Some(CompletionResponse::List(CompletionList {
        is_incomplete: offers.has_more,
        items,
    }))
}

fn item(offer: Offer, place: usize, range: Range, places: &Places<'_>) -> CompletionItem {
    let Offer {
        kind,
        label,
        text,
        detail,
        doc,
        ..
    } = offer;
    CompletionItem {
        kind: Some(match kind {
            OfferKind::Key => CompletionItemKind::PROPERTY,
            OfferKind::Name => CompletionItemKind::REFERENCE,
            OfferKind::Word => CompletionItemKind::VALUE,
        }),
        label: plain(&short(&label)),
        filter_text: Some(label),
        sort_text: Some(format!("{place:04}")),
        detail: (!detail.is_empty()).then(|| plain(&detail)),
        documentation: (!doc.is_empty()).then(|| documentation(doc, places)),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit::new(range, text))),
        ..CompletionItem::default()
    }
}

/// The fixes of all findings that lie in the range asked for, those the editor names first.
pub(super) fn code_actions(
    places: &Places<'_>,
    file: FileId,
    params: &CodeActionParams,
    with_versions: bool,
) -> CodeActionResponse {
    let only = params.context.only.as_ref();
    let is_wanted = |wanted: &CodeActionKind| {
        let wanted = wanted.as_str();
        wanted.is_empty() || wanted == CodeActionKind::QUICKFIX.as_str()
    };
    if only.is_some_and(|only| !only.iter().any(is_wanted)) {
        return Vec::new();
    }
    // Some editors ask for the cursor, and name the diagnostics of its whole line.
    let is_named = |range: Range, rule: &str| {
        let rule = NumberOrString::String(rule.to_owned());
        let mut named = params.context.diagnostics.iter();
        named.any(|named| named.range == range && named.code.as_ref() == Some(&rule))
    };
    let findings = places.site.findings(file);
    let meant = findings.filter(|finding| {
        let range = places.range(finding.main.span);
        meets(range, params.range) || is_named(range, finding.rule)
    });
    let actions = meant.flat_map(|finding| fixes(places, finding, with_versions));
    actions.map(CodeActionOrCommand::CodeAction).collect()
}

fn fixes(places: &Places<'_>, finding: &Finding, with_versions: bool) -> Vec<CodeAction> {
    let fixes = places.site.fixes(finding).into_iter();
    let actions = fixes.filter_map(|fix| {
        Some(CodeAction {
            title: plain(&fix.title),
            kind: Some(CodeActionKind::QUICKFIX),
            diagnostics: Some(vec![diagnostics::diagnostic(places, finding, None)]),
            edit: Some(workspace_edit(places, &fix.edits, with_versions)?),
            is_preferred: Some(fix.is_correction),
            ..CodeAction::default()
        })
    });
    actions.collect()
}

/// Whether two ranges share a place; a cursor at the end of a word is on it.
fn meets(a: Range, b: Range) -> bool {
    a.start <= b.end && b.start <= a.end
}

pub(super) fn prepare_rename(
    places: &Places<'_>,
    file: FileId,
    params: &TextDocumentPositionParams,
) -> Result<PrepareRenameResponse, String> {
    let byte = places.byte(file, params.position);
    let target = places.site.may_rename(file, byte)?;
    Ok(PrepareRenameResponse::RangeWithPlaceholder {
        range: places.range(target.span),
        placeholder: target.name.to_string(),
    })
}

pub(super) fn rename(
    places: &Places<'_>,
    file: FileId,
    params: &RenameParams,
    with_versions: bool,
) -> Result<Option<WorkspaceEdit>, String> {
    let byte = places.byte(file, params.text_document_position.position);
    let target = places.site.may_rename(file, byte)?;
    let edits = places.site.rename(&target, &params.new_name)?;
    Ok(workspace_edit(places, &edits, with_versions))
}
