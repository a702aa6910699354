//! What the editor says, one method after the other.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use lsp_server::{ErrorCode, Notification, Request, RequestId, Response};
use lsp_types::notification::{self, Notification as _};
use lsp_types::request::{self, Request as _};
use lsp_types::{
    DocumentDiagnosticParams, DocumentDiagnosticReport, DocumentDiagnosticReportResult,
    FileChangeType, FileEvent, Uri, WorkspaceDiagnosticParams,
};
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::answers;
use super::documents::Document;
use super::place::Places;
use super::publish::{self, Report};
use super::server::{Due, Server};
use super::uri;
use crate::host;
use crate::ink::{Plain, Written};
use crate::input::{IGNORE_FILE, SITE_FILE};
use crate::source::FileId;

impl Server {
    /// Answers a question.
    pub(super) fn request(&mut self, request: Request) {
        if self.is_shut_down {
            let error = error(&request.id, ErrorCode::InvalidRequest, "after shutdown");
            return self.send(error.into());
        }
        self.judge_changed();
        let with_versions = self.client.versions_edits;
        match request.method.as_str() {
            request::Shutdown::METHOD => {
                self.is_shut_down = true;
                self.respond(request.id, Ok(()));
            }
            request::DocumentDiagnosticRequest::METHOD => self.diagnostics(request),
            request::WorkspaceDiagnosticRequest::METHOD => self.all_diagnostics(request),
            request::HoverRequest::METHOD => self.at::<request::HoverRequest>(
                request,
                |params| &params.text_document_position_params.text_document.uri,
                |places, file, params| Ok(answers::hover(places, file, params, host::today())),
            ),
            request::GotoDefinition::METHOD => self.at::<request::GotoDefinition>(
                request,
                |params| &params.text_document_position_params.text_document.uri,
                |places, file, params| Ok(answers::definition(places, file, params)),
            ),
            request::References::METHOD => self.at::<request::References>(
                request,
                |params| &params.text_document_position.text_document.uri,
                |places, file, params| Ok(answers::references(places, file, params)),
            ),
            request::Completion::METHOD => self.at::<request::Completion>(
                request,
                |params| &params.text_document_position.text_document.uri,
                |places, file, params| Ok(answers::completion(places, file, params)),
            ),
            request::CodeActionRequest::METHOD => self.at::<request::CodeActionRequest>(
                request,
                |params| &params.text_document.uri,
                |places, file, params| {
                    Ok(Some(answers::code_actions(
                        places,
                        file,
                        params,
                        with_versions,
                    )))
                },
            ),
            request::PrepareRenameRequest::METHOD => self.at::<request::PrepareRenameRequest>(
                request,
                |params| &params.text_document.uri,
                |places, file, params| answers::prepare_rename(places, file, params).map(Some),
            ),
            request::Rename::METHOD => self.at::<request::Rename>(
                request,
                |params| &params.text_document_position.text_document.uri,
                |places, file, params| answers::rename(places, file, params, with_versions),
            ),
            method => {
                let error = error(&request.id, ErrorCode::MethodNotFound, method);
                self.send(error.into());
            }
        }
    }

    /// Answers a question about a place in a file; with nothing, if no judged site has the file.
    fn at<R>(
        &mut self,
        request: Request,
        uri_of: impl Fn(&R::Params) -> &Uri,
        answer: impl Fn(&Places<'_>, FileId, &R::Params) -> Result<R::Result, String>,
    ) where
        R: request::Request,
        R::Params: DeserializeOwned,
        R::Result: Serialize + Default,
    {
        let Some(params) = self.params::<R::Params>(&request) else {
            return;
        };
        let path = uri::to_path(uri_of(&params));
        let place = path.and_then(|path| self.place(&path));
        let result = place
            .as_ref()
            .and_then(|(root, file)| Some(answer(&self.places(root)?, *file, &params)));
        let result = result.unwrap_or_else(|| Ok(R::Result::default()));
        let refused = |why: String| error(&request.id, ErrorCode::RequestFailed, &why);
        self.respond(request.id.clone(), result.map_err(refused));
    }

    fn params<P: DeserializeOwned>(&self, request: &Request) -> Option<P> {
        let params = serde_json::from_value(request.params.clone());
        params
            .map_err(|why| {
                let error = error(&request.id, ErrorCode::InvalidParams, &why.to_string());
                self.send(error.into());
            })
            .ok()
    }

    /// The diagnostics of one file. Before the first judgement of its site nothing is said at all:
    /// the answer waits.
    fn diagnostics(&mut self, request: Request) {
        let Some(params) = self.params::<DocumentDiagnosticParams>(&request) else {
            return;
        };
        let path = uri::to_path(&params.text_document.uri);
        let root = path.as_ref().and_then(|path| host::site_of(path));
        // A file of a catalogue waits for all sites that may read it.
        let mut held = self.sites.iter_mut();
        let held = held.find(|(own, held)| {
            held.open.is_none() && root.as_ref().is_none_or(|root| root == *own)
        });
        if let Some((_, held)) = held {
            return held.parked.push(request);
        }
        let report = path
            .and_then(|path| self.place(&path))
            .and_then(|(root, file)| self.report_of(&root, file));
        let known = params.previous_result_id.as_deref();
        let answer = report.map(|report| report.answer(known));
        let nothing = DocumentDiagnosticReportResult::Report(DocumentDiagnosticReport::Full(
            Default::default(),
        ));
        self.respond(request.id, Ok(answer.unwrap_or(nothing)));
    }

    /// The diagnostics of all files, when all sites are judged.
    fn all_diagnostics(&mut self, request: Request) {
        let Some(params) = self.params::<WorkspaceDiagnosticParams>(&request) else {
            return;
        };
        self.asks_for_all = true;
        self.retract(|_, _| true);
        let waiting = self.sites.values_mut().find(|held| held.open.is_none());
        if let Some(held) = waiting {
            return held.parked.push(request);
        }
        let known = params.previous_result_ids.into_iter();
        let known: BTreeMap<String, String> = known
            .map(|known| (known.uri.as_str().to_owned(), known.value))
            .collect();
        let mut reports = Vec::new();
        for root in self.sites.keys() {
            let Some(places) = self.places(root) else {
                continue;
            };
            let files = places.site.files().iter();
            let own = files.filter(|file| !self.is_told_at_another(root, file.id()));
            reports.extend(own.filter_map(|file| self.report_of(root, file.id())));
            reports.extend(Report::of_unread(&places));
        }
        self.respond(request.id, Ok(publish::workspace(reports, &known)));
    }

    /// Takes note of what has happened.
    pub(super) fn notification(&mut self, told: Notification) {
        match told.method.as_str() {
            notification::Initialized::METHOD => self.begin_talk(),
            notification::DidOpenTextDocument::METHOD => {
                if let Some(params) = self.told_of::<notification::DidOpenTextDocument>(told) {
                    let document = params.text_document;
                    self.opened(Document {
                        uri: document.uri,
                        version: document.version,
                        text: document.text,
                    });
                }
            }
            notification::DidChangeTextDocument::METHOD => {
                if let Some(params) = self.told_of::<notification::DidChangeTextDocument>(told)
                    && let Some(path) = settled(&params.text_document.uri)
                    && let Some(document) = self.documents.get_mut(&path)
                {
                    let version = params.text_document.version;
                    document.change(version, params.content_changes, self.client.encoding);
                    self.changed.insert(path);
                }
            }
            notification::DidCloseTextDocument::METHOD => {
                if let Some(params) = self.told_of::<notification::DidCloseTextDocument>(told)
                    && let Some(path) = settled(&params.text_document.uri)
                {
                    self.documents.close(&path);
                    self.on_disk(&path);
                }
            }
            notification::DidSaveTextDocument::METHOD => {
                // Other programs may have written too, and nobody else would say so.
                if let Some(params) = self.told_of::<notification::DidSaveTextDocument>(told)
                    && let Some(path) = settled(&params.text_document.uri)
                    && !self.client.watches
                {
                    self.ignored = Arc::default();
                    self.on_disk(&path);
                }
            }
            notification::DidChangeWatchedFiles::METHOD => {
                if let Some(params) = self.told_of::<notification::DidChangeWatchedFiles>(told) {
                    self.files_changed(params.changes);
                }
            }
            notification::DidChangeWorkspaceFolders::METHOD => {
                if let Some(params) = self.told_of::<notification::DidChangeWorkspaceFolders>(told)
                {
                    let uris = params.event.added.iter().map(|folder| &folder.uri);
                    let folders: Vec<PathBuf> = uris.filter_map(uri::to_path).collect();
                    self.find_sites(&folders);
                    self.client.folders.extend(folders);
                    for folder in params.event.removed {
                        self.leave(&folder.uri);
                    }
                }
            }
            notification::Cancel::METHOD => {
                if let Some(params) = self.told_of::<notification::Cancel>(told) {
                    self.cancel(params.id);
                }
            }
            _ => {}
        }
    }

    /// What is told. An edit that was not understood leaves another text here than the editor has.
    fn told_of<N: notification::Notification>(&mut self, told: Notification) -> Option<N::Params>
    where
        N::Params: DeserializeOwned,
    {
        let params = serde_json::from_value(told.params);
        params
            .map_err(|why| {
                let mut message = Written::new();
                message.ours("What the editor told by ").ours(N::METHOD);
                message
                    .ours(" cannot be understood (")
                    .theirs(&why.to_string());
                message
                    .ours("). What is shown may not be up to date until the file is opened again.");
                self.show(message);
            })
            .ok()
    }

    fn opened(&mut self, document: Document) {
        let Some(path) = settled(&document.uri) else {
            return;
        };
        self.documents.open(path.clone(), document);
        if let Some((root, _)) = host::place_in_site(&path) {
            self.add(root);
        } else {
            self.add_readers(&path);
        }
        if self.client.pulls {
            self.retract(|_, told| told == path);
        }
        self.changed.insert(path);
    }

    /// What is on disk counts again for a file.
    fn on_disk(&mut self, path: &Path) {
        match host::site_of(path) {
            Some(root) => {
                if let Some(held) = self.sites.get_mut(&root) {
                    held.want(Due::Walk);
                }
            }
            None => self.reread_catalogues(|_| false),
        }
    }

    fn files_changed(&mut self, changes: Vec<FileEvent>) {
        self.ignored = Arc::default();
        let mut may_find = false;
        for FileEvent { uri, typ } in changes {
            let Some(path) = settled(&uri) else {
                continue;
            };
            let is_called = |name: &str| path.file_name().is_some_and(|own| own == name);
            let is_site_file = is_called(SITE_FILE);
            may_find |= is_site_file && typ == FileChangeType::CREATED;
            if is_called(IGNORE_FILE) {
                may_find = true;
                self.ignores_otherwise(path.parent());
            } else {
                self.file_changed(&path, is_site_file, typ);
            }
        }
        if may_find {
            // Another work tree may have come, with copies of all sites in it: they are no sites.
            self.find_sites(&self.client.folders.clone());
        }
    }

    /// What is ignored in a folder is something else now: its sites may have other files.
    fn ignores_otherwise(&mut self, folder: Option<&Path>) {
        let Some(folder) = folder else {
            return;
        };
        let sites = self.sites.iter_mut();
        let concerned =
            sites.filter(|(root, _)| root.starts_with(folder) || folder.starts_with(root));
        concerned.for_each(|(_, held)| held.want(Due::Walk));
    }

    fn file_changed(&mut self, path: &Path, is_site_file: bool, how: FileChangeType) {
        if self.documents.get(path).is_none() || how == FileChangeType::DELETED {
            self.on_disk(path);
        }
        let root = path
            .parent()
            .filter(|_| is_site_file && how == FileChangeType::DELETED);
        if let Some(root) = root.map(Path::to_owned) {
            self.sites.remove(&root);
            self.retract(|_, told| told.starts_with(&root));
        }
    }

    fn leave(&mut self, folder: &Uri) {
        let Some(folder) = uri::to_path(folder) else {
            return;
        };
        self.client.folders.retain(|open| *open != folder);
        self.sites.retain(|root, _| !root.starts_with(&folder));
        self.retract(|_, told| told.starts_with(&folder));
    }

    /// Gives up a question that waits.
    fn cancel(&mut self, id: lsp_types::NumberOrString) {
        let id = match id {
            lsp_types::NumberOrString::Number(id) => RequestId::from(id),
            lsp_types::NumberOrString::String(id) => RequestId::from(id),
        };
        let waited = self.sites.values_mut().any(|held| {
            let before = held.parked.len();
            held.parked.retain(|request| request.id != id);
            held.parked.len() < before
        });
        if waited {
            self.send(error(&id, ErrorCode::RequestCanceled, "cancelled").into());
        }
    }
}

/// The path of a text: that by which its site knows it, if one does.
fn settled(uri: &Uri) -> Option<PathBuf> {
    let path = uri::to_path(uri)?;
    Some(match host::place_in_site(&path) {
        Some((root, below)) => root.join(below),
        None => host::settled(&path),
    })
}

fn error(id: &RequestId, code: ErrorCode, why: &str) -> Response {
    let why = Written::<Plain>::of(why);
    Response::new_err(id.clone(), code as i32, why.into_string())
}
