//! `cordwright language-server`: the judgement in an editor, while definitions are being typed.
//!
//! The Language Server Protocol, version 3.17, over standard input and output. This room is the wire
//! alone: what there is to say comes from [`crate::editor`], in bytes, and is put into the protocol's
//! words here.

mod answers;
mod client;
mod diagnostics;
mod documents;
mod edits;
mod frames;
mod greeting;
mod messages;
mod place;
mod progress;
mod publish;
mod server;
mod shared;
mod uri;
mod wire;
mod work;

use std::io::{BufReader, Read, Write};

use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    DiagnosticOptions, DiagnosticServerCapabilities, HoverProviderCapability, OneOf,
    PositionEncodingKind, RenameOptions, ServerCapabilities, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
    WorkspaceFoldersServerCapabilities, WorkspaceServerCapabilities,
};

use super::exit::Exit;
use crate::failure::Failure;
use crate::host;
use client::Client;
use server::{Server, Talk};
use wire::Mouth;

/// Judge while you type, in an editor (LSP 3.17)
#[derive(Debug, clap::Args)]
#[command(after_help = HELP)]
pub(super) struct Args {
    /// Standard input and output; the only way there is, accepted because editors say so
    #[arg(long, hide = true)]
    stdio: bool,
}

const HELP: &str = "\
Editors start this by themselves: the README says how to tell them.

Example:
  cordwright language-server   speak LSP 3.17 over standard input and output";

/// Serves the editor at standard input and output until it says goodbye.
pub(super) fn run(_words: &Args) -> Result<Exit, Failure> {
    let (input, output) = host::talk_streams();
    talk(input, output)
}

/// Serves an editor that speaks over `from` and listens to `to` until it says goodbye, or is gone.
///
/// # Errors
/// It cannot be understood any more: where its next message begins cannot be told.
pub fn talk(
    from: impl Read + Send + 'static,
    to: impl Write + Send + 'static,
) -> Result<Exit, Failure> {
    let events = server::events();
    let mouth = Mouth::over(to, events.0.clone());
    wire::listen(BufReader::new(from), events.0.clone(), mouth.another());
    let mut talk = Talk { mouth, events };
    let ended = match greeting::greeted(&mut talk) {
        Ok(Some(client)) => Server::new(talk, client).serve(),
        Ok(None) => {
            talk.mouth.close();
            Ok(Exit::Failed)
        }
        Err(why) => {
            talk.mouth.close();
            Err(why)
        }
    };
    ended.map_err(|why| {
        Failure::new(format!("the talk with the editor broke off: {why}"))
            .advise("Editors start this command by themselves; it is of no use by hand.")
    })
}

fn capabilities(client: &Client) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(match client.encoding {
            crate::editor::position::Encoding::Utf8 => PositionEncodingKind::UTF8,
            crate::editor::position::Encoding::Utf16 => PositionEncodingKind::UTF16,
            crate::editor::position::Encoding::Utf32 => PositionEncodingKind::UTF32,
        }),
        text_document_sync: Some(TextDocumentSyncCapability::Options(
            TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::INCREMENTAL),
                save: Some(TextDocumentSyncSaveOptions::Supported(true)),
                ..TextDocumentSyncOptions::default()
            },
        )),
        diagnostic_provider: Some(DiagnosticServerCapabilities::Options(DiagnosticOptions {
            identifier: Some("cordwright".to_owned()),
            inter_file_dependencies: true,
            workspace_diagnostics: true,
            ..DiagnosticOptions::default()
        })),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some(["/", " ", "{", ","].map(str::to_owned).to_vec()),
            ..CompletionOptions::default()
        }),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
            ..CodeActionOptions::default()
        })),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: Default::default(),
        })),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: None,
        }),
        ..ServerCapabilities::default()
    }
}
