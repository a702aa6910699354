//! An editor that says anything at all, over the wire of the language server.

use std::io::{self, Read, Write};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::thread;
use std::time::Duration;

use cordwright::command::talk;
use serde_json::{Value, json};
use tempfile::TempDir;

use super::editing::split;
use super::laid_out::MOST_BYTES;

/// Stands for the folder of the site in what the editor says.
pub const ROOT: &str = "$ROOT";
/// Begins what goes over the wire as it stands, without a length before it.
const RAW: u8 = b'!';
/// More messages only take time.
const MOST_MESSAGES: usize = 16;

/// A small site with a fault, on disk as the server wants it; the same for all talks.
fn site() -> &'static str {
    static SITE: OnceLock<(TempDir, String)> = OnceLock::new();
    let (_, root) = SITE.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a place for the site");
        let text = "site: {name: Quay, practice: iec}\n";
        std::fs::write(folder.path().join("cordwright.yaml"), text).expect("the site");
        let text = "cords:\n  W-1: {type: a, from: b/1, to: c/1}\n";
        std::fs::write(folder.path().join("cords.yaml"), text).expect("the cords");
        let root = format!("file://{}", folder.path().display());
        (folder, root)
    });
    root
}

/// The messages lie one behind the other. Whatever they are, the talk ends, and all that the server says
/// can be read; where each had its length before it, nothing was left unanswered or answered twice.
pub fn run(bytes: &[u8]) {
    let heard = Heard::default();
    let (input, is_framed) = input(&bytes[..bytes.len().min(MOST_BYTES)]);
    let said = Said {
        rest: input,
        heard: heard.clone(),
    };
    let ended = talk(said, heard.clone());
    assert!(ended.is_ok() || !is_framed, "{ended:?}");
    let answers = messages(&heard.all());
    let answers = answers
        .iter()
        .filter(|message| message.get("method").is_none());
    let last = answers.filter(|answer| answer["id"] == LAST);
    assert!(!is_framed || last.count() == 1, "no goodbye");
}

/// The id of the last question.
const LAST: &str = "the last";

/// What the editor says, the last being its goodbye; and whether every message has its length.
fn input(bytes: &[u8]) -> (Vec<Vec<u8>>, bool) {
    let params = json!({"processId": null, "rootUri": site(),
        "capabilities": {"window": {"workDoneProgress": true}, "textDocument": {"diagnostic": {}}}});
    let greeting = json!({"id": 0, "method": "initialize", "params": params});
    let ready = json!({"method": "initialized", "params": {}});
    let mut said = vec![framed(&greeting.to_string()), framed(&ready.to_string())];
    let mut is_framed = true;
    for part in split(bytes).into_iter().take(MOST_MESSAGES) {
        match part {
            [RAW, raw @ ..] => {
                said.push(raw.to_vec());
                is_framed = false;
            }
            body => {
                let text = String::from_utf8_lossy(body).replace(ROOT, site());
                // The talk would end early, which is as it should be.
                is_framed &=
                    !text.contains("exit") && !text.contains("shutdown") && !text.contains("\\u");
                said.push(framed(&text));
            }
        }
    }
    let goodbye = json!({"id": LAST, "method": "shutdown"});
    let exit = json!({"method": "exit"});
    said.push([framed(&goodbye.to_string()), framed(&exit.to_string())].concat());
    (said, is_framed)
}

fn framed(body: &str) -> Vec<u8> {
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

/// What the server says.
#[derive(Clone, Default)]
struct Heard(Arc<Mutex<Vec<u8>>>);

impl Heard {
    fn all(&self) -> Vec<u8> {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Whether the first judgement has ended.
    fn is_judged(&self) -> bool {
        let all = self.all();
        all.windows(7).any(|bytes| bytes == b"judged:")
    }
}

impl Write for Heard {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .extend(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What the editor still has to say.
struct Said {
    rest: Vec<Vec<u8>>,
    heard: Heard,
}

impl Read for Said {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        let Some(next) = self.rest.first() else {
            return Ok(0);
        };
        if self.rest.len() == 1 {
            // The goodbye waits for the first judgement, so that there is something to be asked for.
            let mut looks = 0..400;
            while !self.heard.is_judged() && looks.next().is_some() {
                thread::sleep(Duration::from_millis(2));
            }
        }
        let count = next.len().min(to.len());
        to[..count].copy_from_slice(&next[..count]);
        self.rest[0].drain(..count);
        if self.rest[0].is_empty() {
            self.rest.remove(0);
        }
        Ok(count)
    }
}

/// The messages of the server, each of which is one that an editor can read.
fn messages(mut wire: &[u8]) -> Vec<Value> {
    let mut messages = Vec::new();
    while !wire.is_empty() {
        let end = wire
            .windows(4)
            .position(|bytes| bytes == b"\r\n\r\n")
            .expect("a header");
        let header = std::str::from_utf8(&wire[..end]).expect("a header of text");
        let length = header.strip_prefix("Content-Length: ").expect("a length");
        let length: usize = length.parse().expect("a number");
        let (body, rest) = wire[end + 4..].split_at(length);
        let message: Value = serde_json::from_slice(body).expect("JSON");
        assert_eq!(message["jsonrpc"], "2.0", "{message}");
        let told = message["params"]["message"].as_str().unwrap_or_default();
        assert!(!told.contains("broke down"), "{told}");
        messages.push(message);
        wire = rest;
    }
    messages
}
