//! An editor without a screen.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use lsp_server::{Message, Notification, Request, Response, ResponseError};
use serde_json::{Value, json};

/// Longer than anything here takes: only a server that hangs is waited for so long.
const PATIENCE: Duration = Duration::from_secs(60);

/// A server and what it has said.
pub struct Client {
    server: Child,
    to: Option<ChildStdin>,
    from: Receiver<Message>,
    root: PathBuf,
    next: i32,
    /// What was published last, by file name below the root.
    pub published: BTreeMap<String, Vec<Value>>,
    /// Every notification and question of the server, in order.
    pub heard: Vec<(String, Value)>,
    /// What the server said it can.
    pub capabilities: Value,
}

/// What an editor can that waits for diagnostics.
pub fn waits() -> Value {
    json!({
        "window": {"workDoneProgress": true},
        "workspace": {"workspaceEdit": {"documentChanges": true}},
        "textDocument": {
            "publishDiagnostics": {"relatedInformation": true},
            "hover": {"contentFormat": ["markdown", "plaintext"]},
            "completion": {"completionItem": {"documentationFormat": ["markdown"]}},
        },
    })
}

/// What an editor can that asks for diagnostics.
pub fn asks() -> Value {
    json!({
        "textDocument": {"diagnostic": {"relatedInformation": true}},
        "workspace": {"diagnostics": {"refreshSupport": true}},
    })
}

impl Client {
    /// Starts a server over `root`.
    pub fn start(root: &Path, can: Value) -> Self {
        Self::start_with(root, can, &std::env::var_os("PATH").unwrap_or_default())
    }

    /// As [`Client::start`], with programs of `path`.
    pub fn start_with(root: &Path, can: Value, path: &OsStr) -> Self {
        let mut server = Command::new(env!("CARGO_BIN_EXE_cordwright"))
            .arg("language-server")
            .current_dir(root)
            .env("PATH", path)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (messages, from) = channel();
        let mut output = BufReader::new(server.stdout.take().unwrap());
        std::thread::spawn(move || {
            while let Ok(Some(message)) = Message::read(&mut output) {
                if messages.send(message).is_err() {
                    return;
                }
            }
        });
        let mut client = Self {
            to: server.stdin.take(),
            server,
            from,
            root: root.canonicalize().unwrap(),
            next: 0,
            published: BTreeMap::new(),
            heard: Vec::new(),
            capabilities: Value::Null,
        };
        let uri = format!("file://{}", client.root.display());
        let answer = client.ask(
            "initialize",
            json!({"processId": null, "rootUri": uri, "capabilities": can,
                "workspaceFolders": [{"uri": uri, "name": "site"}]}),
        );
        client.capabilities = answer["capabilities"].clone();
        client.tell("initialized", json!({}));
        client
    }

    pub fn uri(&self, file: &str) -> String {
        format!("file://{}/{file}", self.root.display())
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        let message = Notification::new(method.to_owned(), params);
        self.write(message.into());
    }

    /// Sends a question and does not wait.
    pub fn pose(&mut self, method: &str, params: Value) -> i32 {
        self.next += 1;
        self.write(Request::new(self.next.into(), method.to_owned(), params).into());
        self.next
    }

    /// The answer to a question.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        match self.try_ask(method, params) {
            Ok(answer) => answer,
            Err(why) => panic!("{method}: {why}"),
        }
    }

    /// The answer, or why there is none.
    pub fn try_ask(&mut self, method: &str, params: Value) -> Result<Value, String> {
        let id = self.pose(method, params);
        self.answer(id).map_err(|error| error.message)
    }

    pub fn answer(&mut self, id: i32) -> Result<Value, ResponseError> {
        loop {
            if let Some(Message::Response(response)) = self.hear()
                && response.id == id.into()
            {
                return response.response_result;
            }
        }
    }

    fn write(&mut self, message: Message) {
        message.write(self.to.as_mut().unwrap()).unwrap();
    }

    /// The next message; what it says is kept.
    fn hear(&mut self) -> Option<Message> {
        let message = self
            .from
            .recv_timeout(PATIENCE)
            .expect("the server says nothing more");
        match &message {
            Message::Notification(told) => {
                if told.method == "textDocument/publishDiagnostics" {
                    let file = self.file(told.params["uri"].as_str().unwrap());
                    let list = told.params["diagnostics"].as_array().unwrap().clone();
                    self.published.insert(file, list);
                }
                self.heard.push((told.method.clone(), told.params.clone()));
            }
            Message::Request(asked) => {
                self.heard
                    .push((asked.method.clone(), asked.params.clone()));
                let answer = Response::new_ok(asked.id.clone(), Value::Null);
                self.write(answer.into());
            }
            Message::Response(_) => {}
        }
        Some(message)
    }

    /// The name of a file below the root.
    pub fn file(&self, uri: &str) -> String {
        let root = self.uri("");
        uri.strip_prefix(&root).unwrap_or(uri).to_owned()
    }

    /// Listens until what was published is as wanted.
    pub fn until(&mut self, what: &str, wanted: impl Fn(&Self) -> bool) {
        while !wanted(self) {
            let Some(message) = self.hear() else {
                panic!("never: {what}");
            };
            drop(message);
        }
    }

    /// Opens a file with its text on disk.
    pub fn open(&mut self, file: &str) -> Buffer {
        let text = std::fs::read_to_string(self.root.join(file)).unwrap();
        self.open_as(file, &text)
    }

    pub fn open_as(&mut self, file: &str, text: &str) -> Buffer {
        let uri = self.uri(file);
        self.tell(
            "textDocument/didOpen",
            json!({"textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": text}}),
        );
        Buffer {
            file: file.to_owned(),
            text: text.to_owned(),
            version: 1,
        }
    }

    /// Replaces the first `old` of a buffer by `new`.
    pub fn edit(&mut self, buffer: &mut Buffer, old: &str, new: &str) {
        let at = buffer
            .text
            .find(old)
            .unwrap_or_else(|| panic!("no {old} in {}", buffer.text));
        let (start, end) = (buffer.position(at), buffer.position(at + old.len()));
        buffer.text.replace_range(at..at + old.len(), new);
        buffer.version += 1;
        let params = json!({
            "textDocument": {"uri": self.uri(&buffer.file), "version": buffer.version},
            "contentChanges": [{"range": {"start": start, "end": end}, "text": new}],
        });
        self.tell("textDocument/didChange", params);
    }

    /// The parameters that name a place: `back` bytes behind the start of the first `text`.
    pub fn at(&self, buffer: &Buffer, text: &str, back: usize) -> Value {
        let at = buffer
            .text
            .find(text)
            .unwrap_or_else(|| panic!("no {text}"));
        json!({
            "textDocument": {"uri": self.uri(&buffer.file)},
            "position": buffer.position(at + back),
        })
    }

    /// Rules and severities published of a file.
    pub fn rules(&self, file: &str) -> Vec<(String, u64)> {
        let list = self
            .published
            .get(file)
            .map(Vec::as_slice)
            .unwrap_or_default();
        list.iter().map(rule).collect()
    }

    pub fn has(&self, file: &str, wanted: &str) -> bool {
        self.rules(file).iter().any(|(rule, _)| rule == wanted)
    }

    /// Says goodbye; the exit code.
    pub fn end(mut self) -> Option<i32> {
        self.ask("shutdown", Value::Null);
        self.tell("exit", Value::Null);
        self.to = None;
        self.server.wait().unwrap().code()
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        // It has ended already, or the test has failed.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

pub fn rule(diagnostic: &Value) -> (String, u64) {
    let code = diagnostic["code"].as_str().unwrap().to_owned();
    (code, diagnostic["severity"].as_u64().unwrap())
}

/// A text that is open.
#[derive(Clone)]
pub struct Buffer {
    pub file: String,
    pub text: String,
    version: i32,
}

impl Buffer {
    fn position(&self, at: usize) -> Value {
        let before = &self.text[..at];
        let line = before.matches('\n').count();
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        json!({"line": line, "character": before[start..].encode_utf16().count()})
    }
}

/// The text that a list of edits makes of `text`.
pub fn edited(text: &str, edits: &Value) -> String {
    let source = cordwright::source::Source::new("", text);
    let byte = |at: &Value| {
        let number = |key: &str| at[key].as_u64().unwrap() as u32;
        let encoding = cordwright::editor::position::Encoding::Utf16;
        encoding.byte(&source, number("line"), number("character"))
    };
    let edits = edits.as_array().unwrap().iter();
    let mut edits: Vec<(usize, usize, String)> = edits
        .map(|edit| {
            let range = &edit["range"];
            let text = edit["newText"].as_str().unwrap().to_owned();
            (byte(&range["start"]), byte(&range["end"]), text)
        })
        .collect();
    edits.sort();
    let mut text = text.to_owned();
    for (lo, hi, new) in edits.into_iter().rev() {
        text.replace_range(lo..hi, &new);
    }
    text
}
