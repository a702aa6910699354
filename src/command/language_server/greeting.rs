//! The first messages: until the editor has said what it can, it is asked to do so and nothing else.

use std::sync::mpsc::SyncSender;
use std::thread;
use std::time::Duration;

use lsp_server::{ErrorCode, Request, Response};
use lsp_types::InitializeParams;
use lsp_types::notification::{Exit, Notification as _};
use lsp_types::request::{Initialize, Request as _};
use serde::Deserialize;

use super::capabilities;
use super::client::Client;
use super::server::{Event, Talk};
use super::wire::{Heard, Said};
use crate::host;

/// How often it is looked whether the editor still runs.
const GLANCE: Duration = Duration::from_secs(2);

/// The editor, once it has said what it can; `None` if it is gone before.
///
/// # Errors
/// Why it cannot be understood any more.
pub(super) fn greeted(talk: &mut Talk) -> Result<Option<Client>, String> {
    loop {
        match talk.events.1.recv().unwrap_or(Event::Gone(None)) {
            Event::Heard(Heard::Request(request)) => {
                if let Some(client) = answered(talk, request) {
                    return Ok(Some(client));
                }
            }
            Event::Heard(Heard::Notification(told)) if told.method == Exit::METHOD => {
                return Ok(None);
            }
            Event::Gone(why) => return why.map_or(Ok(None), Err),
            _ => {}
        }
    }
}

/// Answers a question; the editor, if the question was the greeting.
fn answered(talk: &Talk, request: Request) -> Option<Client> {
    let (answer, client) = match greeting(&request) {
        Ok((client, editor)) => {
            if let Some(editor) = editor {
                watch(editor, talk.events.0.clone());
            }
            let answer = serde_json::json!({
                "capabilities": capabilities(&client),
                "serverInfo": {"name": "cordwright", "version": env!("CARGO_PKG_VERSION")},
            });
            (Response::new_ok(request.id, answer), Some(client))
        }
        Err((code, why)) => (Response::new_err(request.id, code as i32, why), None),
    };
    talk.mouth.say(Said::Message(answer.into()));
    client
}

/// What the editor can, and the number of its process.
fn greeting(request: &Request) -> Result<(Client, Option<u32>), (ErrorCode, String)> {
    if request.method != Initialize::METHOD {
        let why = format!("{} comes before {}", request.method, Initialize::METHOD);
        return Err((ErrorCode::ServerNotInitialized, why));
    }
    let params = InitializeParams::deserialize(&request.params);
    let params = params.map_err(|why| (ErrorCode::InvalidParams, why.to_string()))?;
    let client = Client::new(&params, &request.params);
    Ok((client, params.process_id))
}

/// Watches the process of the editor, so that an end of it is the end here even where the way from it
/// stays open. One that cannot be seen from here, as from within a container, is not watched.
fn watch(editor: u32, events: SyncSender<Event>) {
    if host::is_running(editor) != Some(true) {
        return;
    }
    thread::spawn(move || {
        while host::is_running(editor) != Some(false) {
            thread::sleep(GLANCE);
        }
        // The talk may be over already.
        let _ = events.send(Event::Gone(None));
    });
}
