//! Telling diagnostics: to editors that wait for them, and to those that ask.
//!
//! An editor that asks is told of the texts that it has open only when it asks, or it would show them
//! twice; of other files it is told until it asks for the whole workspace.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::PathBuf;

use lsp_types::{
    Diagnostic, DocumentDiagnosticReport, DocumentDiagnosticReportResult,
    FullDocumentDiagnosticReport, PublishDiagnosticsParams, RelatedFullDocumentDiagnosticReport,
    RelatedUnchangedDocumentDiagnosticReport, UnchangedDocumentDiagnosticReport, Uri,
    WorkspaceDiagnosticReport, WorkspaceDiagnosticReportResult, WorkspaceDocumentDiagnosticReport,
    WorkspaceFullDocumentDiagnosticReport, WorkspaceUnchangedDocumentDiagnosticReport,
};

use super::diagnostics;
use super::place::Places;
use super::uri;
use crate::host::{self, OpenableFiles};
use crate::source::FileId;

/// What was told last, by path; nothing is told twice.
#[derive(Debug, Default)]
pub(super) struct Told(BTreeMap<PathBuf, String>);

/// A file with its diagnostics.
pub(super) struct Report {
    pub path: PathBuf,
    uri: Uri,
    version: Option<i32>,
    list: Vec<Diagnostic>,
    id: String,
}

impl Report {
    /// The diagnostics of a file of the site.
    pub(super) fn of_file(
        places: &Places<'_>,
        file: FileId,
        pages: Option<&OpenableFiles>,
    ) -> Option<Self> {
        let list = diagnostics::of_file(places, file, pages);
        Some(Self::new(
            places.path(file),
            places.uri(file)?,
            places.version(file),
            list,
        ))
    }

    /// What there is to say of files that could not be read at all.
    pub(super) fn of_unread(places: &Places<'_>) -> Vec<Self> {
        let unread = places.site.unread();
        let reports = unread.filter_map(|unread| {
            let path = host::below(places.root, &unread.path);
            let uri = uri::of_path(&path)?;
            Some(Self::new(
                path,
                uri,
                None,
                vec![diagnostics::of_unread(unread)],
            ))
        });
        reports.collect()
    }

    fn new(path: PathBuf, uri: Uri, version: Option<i32>, list: Vec<Diagnostic>) -> Self {
        let mut hasher = DefaultHasher::new();
        serde_json::to_string(&list)
            .unwrap_or_default()
            .hash(&mut hasher);
        let id = format!("{:016x}", hasher.finish());
        Self {
            path,
            uri,
            version,
            list,
            id,
        }
    }

    /// What both say of one file.
    pub(super) fn joined(mut self, other: Self) -> Self {
        let new = other.list.into_iter();
        let new: Vec<Diagnostic> = new.filter(|one| !self.list.contains(one)).collect();
        self.list.extend(new);
        Self::new(self.path, self.uri, self.version, self.list)
    }

    /// The answer to an editor that asks, and has the answer of the id `known`.
    pub(super) fn answer(self, known: Option<&str>) -> DocumentDiagnosticReportResult {
        let report = match known == Some(self.id.as_str()) {
            true => DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
                related_documents: None,
                unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport {
                    result_id: self.id,
                },
            }),
            false => DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
                related_documents: None,
                full_document_diagnostic_report: self.full(),
            }),
        };
        report.into()
    }

    /// The part of an answer for the whole workspace.
    fn entry(self, known: &BTreeMap<String, String>) -> WorkspaceDocumentDiagnosticReport {
        let (uri, version) = (self.uri.clone(), self.version.map(i64::from));
        match known.get(self.uri.as_str()) == Some(&self.id) {
            true => WorkspaceUnchangedDocumentDiagnosticReport {
                uri,
                version,
                unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport {
                    result_id: self.id,
                },
            }
            .into(),
            false => WorkspaceFullDocumentDiagnosticReport {
                uri,
                version,
                full_document_diagnostic_report: self.full(),
            }
            .into(),
        }
    }

    fn full(self) -> FullDocumentDiagnosticReport {
        FullDocumentDiagnosticReport {
            result_id: Some(self.id),
            items: self.list,
        }
    }
}

/// The answer for the whole workspace.
pub(super) fn workspace(
    reports: Vec<Report>,
    known: &BTreeMap<String, String>,
) -> WorkspaceDiagnosticReportResult {
    let items = reports
        .into_iter()
        .map(|report| report.entry(known))
        .collect();
    WorkspaceDiagnosticReport { items }.into()
}

impl Told {
    /// What the editor must be told of a file; `None` if it was told so already, or if there is
    /// nothing to say and never was.
    pub(super) fn news(&mut self, report: Report) -> Option<PublishDiagnosticsParams> {
        let is_known = match self.0.get(&report.path) {
            Some(id) => *id == report.id,
            None => report.list.is_empty() && report.version.is_none(),
        };
        if is_known {
            return None;
        }
        self.0.insert(report.path, report.id);
        Some(PublishDiagnosticsParams::new(
            report.uri,
            report.list,
            report.version,
        ))
    }

    /// Takes back what was told of a file.
    pub(super) fn retract(&mut self, path: &PathBuf, uri: Uri) -> Option<PublishDiagnosticsParams> {
        self.0.remove(path)?;
        Some(PublishDiagnosticsParams::new(uri, Vec::new(), None))
    }

    /// Files of which something was told.
    pub(super) fn paths(&self) -> impl Iterator<Item = &PathBuf> {
        self.0.keys()
    }
}
