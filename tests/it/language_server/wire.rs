//! The language server over a wire on which anything may stand.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStderr, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// Longer than any end takes.
const PATIENCE: Duration = Duration::from_secs(60);

/// A server that raw bytes are sent to.
struct Raw {
    server: Child,
    to: Option<ChildStdin>,
    from: BufReader<ChildStdout>,
    errors: ChildStderr,
}

impl Raw {
    fn start() -> Self {
        let mut server = Command::new(env!("CARGO_BIN_EXE_cordwright"))
            .arg("language-server")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        Self {
            to: server.stdin.take(),
            from: BufReader::new(server.stdout.take().unwrap()),
            errors: server.stderr.take().unwrap(),
            server,
        }
    }

    fn put(&mut self, bytes: &[u8]) {
        self.to.as_mut().unwrap().write_all(bytes).unwrap();
    }

    fn body(&mut self, body: &str) {
        self.put(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    fn say(&mut self, message: &Value) {
        self.body(&message.to_string());
    }

    /// The next message of the server.
    fn hear(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(self.from.read_line(&mut line).unwrap() > 0, "it has ended");
            if let Some(told) = line.strip_prefix("Content-Length: ") {
                length = told.trim().parse().unwrap();
            }
            if line == "\r\n" {
                break;
            }
        }
        let mut body = vec![0; length];
        self.from.read_exact(&mut body).unwrap();
        serde_json::from_slice(&body).unwrap()
    }

    /// Whom the next message answers, and the code of its error.
    fn refusal(&mut self) -> (Value, i64) {
        let heard = self.hear();
        let code = heard["error"]["code"].as_i64();
        let Some(code) = code else {
            panic!("no refusal: {heard}");
        };
        (heard["id"].clone(), code)
    }

    fn greet(&mut self, editor: Value) {
        let params = json!({"processId": editor, "capabilities": {}, "rootUri": null});
        self.say(&json!({"id": 1, "method": "initialize", "params": params}));
        assert!(self.hear()["result"]["capabilities"].is_object());
        self.say(&json!({"method": "initialized", "params": {}}));
    }

    fn farewell(mut self) {
        self.say(&json!({"id": "last", "method": "shutdown"}));
        let answer = self.hear();
        assert_eq!(
            (&answer["id"], &answer["error"]),
            (&json!("last"), &Value::Null)
        );
        self.say(&json!({"method": "exit"}));
        assert_eq!(self.ended().0, Some(0));
    }

    /// The exit code and what stood on standard error, the way to the server staying open.
    fn ended(&mut self) -> (Option<i32>, String) {
        let begin = Instant::now();
        let status = loop {
            if let Some(status) = self.server.try_wait().unwrap() {
                break status;
            }
            assert!(begin.elapsed() < PATIENCE, "it does not end");
            std::thread::sleep(Duration::from_millis(20));
        };
        let mut told = String::new();
        self.errors.read_to_string(&mut told).unwrap();
        (status.code(), told)
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        // It has ended already, or the test has failed.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

const PARSE: i64 = -32700;
const INVALID_REQUEST: i64 = -32600;
const NO_METHOD: i64 = -32601;
const INVALID_PARAMS: i64 = -32602;
const NOT_GREETED: i64 = -32002;

#[test]
fn a_length_that_cannot_be_is_answered_and_ends_the_talk() {
    for (header, told) in [
        ("Content-Length: 99999999999\r\n\r\n{}", "99999999999 bytes"),
        ("Content-Length: a lot\r\n\r\n{}", "no number of bytes"),
        ("Content-Type: any\r\n\r\n{}", "do not tell its length"),
        ("\u{1b}[31m\r\n", "no colon"),
    ] {
        let mut raw = Raw::start();
        raw.put(header.as_bytes());
        assert_eq!(raw.refusal(), (Value::Null, INVALID_REQUEST));
        let (code, errors) = raw.ended();
        assert_eq!(code, Some(2), "{errors}");
        let words = errors.replace('│', " ");
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(told), "{errors}");
    }
}

#[test]
fn a_message_that_breaks_off_ends_the_talk() {
    let mut raw = Raw::start();
    raw.put(b"Content-Length: 30\r\n\r\n{\"id\": 1");
    raw.to = None;
    assert_eq!(raw.refusal(), (Value::Null, INVALID_REQUEST));
    assert_eq!(raw.ended().0, Some(2));
}

#[test]
fn what_cannot_be_understood_is_answered_and_the_talk_goes_on() {
    let mut raw = Raw::start();
    raw.body("{nonsense");
    assert_eq!(raw.refusal(), (Value::Null, PARSE));
    raw.say(&json!({"id": 7, "method": "shutdown"}));
    assert_eq!(raw.refusal(), (json!(7), NOT_GREETED));
    raw.say(&json!({"id": 8, "method": "initialize", "params": {"processId": "me"}}));
    assert_eq!(raw.refusal(), (json!(8), INVALID_PARAMS));
    raw.greet(Value::Null);
    raw.body(&"[".repeat(100_000));
    assert_eq!(raw.refusal(), (Value::Null, PARSE));
    raw.body(&"[".repeat(2_000_000));
    assert_eq!(raw.refusal(), (Value::Null, INVALID_REQUEST));
    raw.body("[{\"id\": 1, \"method\": \"shutdown\"}]");
    assert_eq!(raw.refusal(), (Value::Null, INVALID_REQUEST));
    raw.say(&json!({"id": 9, "method": "teleport"}));
    assert_eq!(raw.refusal(), (json!(9), NO_METHOD));
    raw.say(&json!({"id": 10, "method": "textDocument/hover", "params": {"textDocument": 5}}));
    assert_eq!(raw.refusal(), (json!(10), INVALID_PARAMS));
    raw.put(b"Content-Length: 4\r\n\r\n\"\xff\xfe\"");
    assert_eq!(raw.refusal(), (Value::Null, PARSE));
    raw.say(&json!({"id": 11.5, "method": "shutdown"}));
    assert_eq!(raw.refusal(), (json!(11.5), INVALID_REQUEST));
    raw.say(&json!({"method": "$/of/the/future", "params": [1]}));
    raw.farewell();
}

#[test]
fn an_edit_that_cannot_be_understood_is_told_to_whoever_types() {
    let mut raw = Raw::start();
    raw.greet(Value::Null);
    raw.say(&json!({"method": "textDocument/didChange", "params": {"contentChanges": "all"}}));
    let told = raw.hear();
    assert_eq!(told["method"], "window/showMessage");
    let message = told["params"]["message"].as_str().unwrap();
    assert!(message.contains("may not be up to date"), "{message}");
    raw.farewell();
}

#[cfg(unix)]
#[test]
fn it_ends_when_the_editor_is_gone_though_the_wire_stays_open() {
    let mut editor = Command::new("sleep").arg("600").spawn().unwrap();
    let mut raw = Raw::start();
    raw.greet(json!(editor.id()));
    editor.kill().unwrap();
    editor.wait().unwrap();
    assert_eq!(raw.ended().0, Some(2));
}

#[cfg(unix)]
#[test]
fn an_editor_that_cannot_be_seen_from_here_is_not_taken_for_gone() {
    let mut elsewhere = Command::new("true").spawn().unwrap();
    elsewhere.wait().unwrap();
    let mut raw = Raw::start();
    raw.greet(json!(elsewhere.id()));
    std::thread::sleep(Duration::from_secs(3));
    raw.farewell();
}
