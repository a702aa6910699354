//! The bodies of messages as what they say, and the two threads that hear and speak.

use std::io::{BufRead, Write};
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread;
use std::time::Duration;

use lsp_server::{ErrorCode, Message, Notification, Request};
use lsp_types::notification::{Exit, Notification as _};
use serde::Serialize;
use serde_json::{Map, Value, json};

use super::frames;
use super::server::Event;

/// Values in one message; an editor sends a few hundred.
const MOST_VALUES: usize = 1_000_000;
/// Messages that wait to be heard, or to be sent: then whoever has more to say waits.
pub(super) const MOST_WAITING: usize = 1_024;
/// How long the last words may take to be sent to an editor that does not listen.
const LAST_WORDS: Duration = Duration::from_secs(2);

/// What the editor says.
#[derive(Debug)]
pub(super) enum Heard {
    /// A question.
    Request(Request),
    /// What has happened.
    Notification(Notification),
    /// An answer to a question of ours. None of them matters.
    Answer,
}

/// A message that cannot be understood, and what is answered.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Refused {
    jsonrpc: &'static str,
    id: Value,
    error: Value,
}

impl Refused {
    pub(super) fn new(id: Value, code: ErrorCode, why: impl Into<String>) -> Self {
        Self {
            jsonrpc: "2.0",
            id,
            error: json!({"code": code as i32, "message": why.into()}),
        }
    }
}

/// Reads the body of a message (JSON-RPC 2.0, sections 4 to 6, as the protocol narrows it).
pub(super) fn heard(body: &[u8]) -> Result<Heard, Refused> {
    let invalid = |id: Value, why: &str| Refused::new(id, ErrorCode::InvalidRequest, why);
    if values(body) > MOST_VALUES {
        let why = format!("a message of more than {MOST_VALUES} values");
        return Err(invalid(Value::Null, &why));
    }
    // The reader of JSON gives up where values lie in each other more than 128 deep.
    let value: Value = serde_json::from_slice(body)
        .map_err(|why| Refused::new(Value::Null, ErrorCode::ParseError, why.to_string()))?;
    let Value::Object(mut parts) = value else {
        return Err(invalid(Value::Null, "no object: messages come one by one"));
    };
    let id = parts.remove("id");
    match (parts.remove("method"), id) {
        (Some(Value::String(method)), None) => Ok(Heard::Notification(Notification {
            method,
            params: params(&mut parts),
        })),
        (Some(Value::String(method)), Some(written)) => {
            match serde_json::from_value(written.clone()) {
                Ok(id) => Ok(Heard::Request(Request {
                    id,
                    method,
                    params: params(&mut parts),
                })),
                Err(_) => Err(invalid(written, "the id is no text and no whole number")),
            }
        }
        (None, Some(_)) if parts.contains_key("result") || parts.contains_key("error") => {
            Ok(Heard::Answer)
        }
        (_, id) => Err(invalid(id.unwrap_or_default(), "no method is named")),
    }
}

fn params(parts: &mut Map<String, Value>) -> Value {
    parts.remove("params").unwrap_or_default()
}

/// How many values a body may hold at most, told by what stands between them: each takes far more
/// memory than the byte or two that it is written with.
fn values(body: &[u8]) -> usize {
    let (mut is_text, mut is_escape, mut count) = (false, false, 1);
    for byte in body {
        match byte {
            _ if is_escape => is_escape = false,
            b'\\' => is_escape = is_text,
            b'"' => is_text = !is_text,
            b',' | b'[' | b'{' if !is_text => count += 1,
            _ => {}
        }
    }
    count
}

/// Something that the editor is told.
#[derive(Debug)]
pub(super) enum Said {
    /// A message.
    Message(Message),
    /// The answer to one that was not understood.
    Refused(Refused),
}

/// The way to the editor.
#[derive(Debug)]
pub(super) struct Mouth {
    said: SyncSender<Said>,
    /// Hung up when everything is sent.
    sent: Receiver<()>,
}

impl Mouth {
    /// Speaks over `to`, on a thread of its own; an editor that does not listen any more is gone.
    pub(super) fn over(mut to: impl Write + Send + 'static, events: SyncSender<Event>) -> Self {
        let (said, waiting) = sync_channel::<Said>(MOST_WAITING);
        let (done, sent): (Sender<()>, _) = channel();
        thread::spawn(move || {
            for said in waiting {
                let written = match &said {
                    Said::Message(message) => frames::write(&mut to, &Framed::of(message)),
                    Said::Refused(refused) => frames::write(&mut to, refused),
                };
                if written.is_err() {
                    // If nobody takes events any more, the talk is over anyway.
                    let _ = events.send(Event::Gone(None));
                    break;
                }
            }
            drop(done);
        });
        Self { said, sent }
    }

    /// Says something. An editor that is gone hears nothing.
    pub(super) fn say(&self, said: Said) {
        let _ = self.said.send(said);
    }

    /// Another that speaks over the same wire.
    pub(super) fn another(&self) -> SyncSender<Said> {
        self.said.clone()
    }

    /// Waits until everything is sent, though not for ever.
    pub(super) fn close(self) {
        let Self { said, sent } = self;
        drop(said);
        // Either way there is nothing more to do: all is sent, or nobody listens.
        let _ = sent.recv_timeout(LAST_WORDS);
    }
}

#[derive(Serialize)]
struct Framed<'m> {
    jsonrpc: &'static str,
    #[serde(flatten)]
    message: &'m Message,
}

impl<'m> Framed<'m> {
    fn of(message: &'m Message) -> Self {
        Self {
            jsonrpc: "2.0",
            message,
        }
    }
}

/// Listens to `from` on a thread of its own, and answers by itself what cannot be understood.
pub(super) fn listen(
    mut from: impl BufRead + Send + 'static,
    events: SyncSender<Event>,
    said: SyncSender<Said>,
) {
    thread::spawn(move || {
        let end = loop {
            match frames::read(&mut from) {
                Ok(None) => break None,
                Ok(Some(body)) => {
                    let heard = heard(&body);
                    let is_exit = matches!(&heard, Ok(Heard::Notification(told)) if told.method == Exit::METHOD);
                    let passed_on = match heard {
                        Ok(heard) => events.send(Event::Heard(heard)).is_ok(),
                        Err(refused) => said.send(Said::Refused(refused)).is_ok(),
                    };
                    // An end of either side ends the other.
                    if is_exit || !passed_on {
                        return;
                    }
                }
                Err(why) => {
                    let refused = Refused::new(Value::Null, ErrorCode::InvalidRequest, &*why);
                    let _ = said.send(Said::Refused(refused));
                    break Some(why);
                }
            }
        };
        // The way out must be free to close before the server is told.
        drop(said);
        let _ = events.send(Event::Gone(end));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(body: &str) -> (Value, i64) {
        let refused = heard(body.as_bytes()).unwrap_err();
        (refused.id, refused.error["code"].as_i64().unwrap())
    }

    #[test]
    fn questions_news_and_answers_are_told_apart() {
        let heard = |body: &str| heard(body.as_bytes()).unwrap();
        let asked = heard(r#"{"jsonrpc": "2.0", "id": "a", "method": "m", "params": [1]}"#);
        assert!(matches!(asked, Heard::Request(asked) if asked.params == json!([1])));
        let told = heard(r#"{"method": "exit"}"#);
        assert!(matches!(told, Heard::Notification(told) if told.method == "exit"));
        for answer in [
            r#"{"id": 3, "result": null}"#,
            r#"{"id": null, "error": {}}"#,
        ] {
            assert!(matches!(heard(answer), Heard::Answer));
        }
    }

    #[test]
    fn what_cannot_be_understood_is_refused_under_its_own_id() {
        let (unparsed, invalid) = (
            ErrorCode::ParseError as i64,
            ErrorCode::InvalidRequest as i64,
        );
        let deep = "[".repeat(100_000);
        for (body, expected) in [
            ("{", (Value::Null, unparsed)),
            ("", (Value::Null, unparsed)),
            (deep.as_str(), (Value::Null, unparsed)),
            ("[]", (Value::Null, invalid)),
            ("7", (Value::Null, invalid)),
            ("{}", (Value::Null, invalid)),
            (r#"{"id": 7}"#, (json!(7), invalid)),
            (r#"{"id": 7, "method": 8}"#, (json!(7), invalid)),
            (r#"{"id": 1.5, "method": "m"}"#, (json!(1.5), invalid)),
            (r#"{"id": null, "method": "m"}"#, (Value::Null, invalid)),
            (r#"{"id": {}, "method": "m"}"#, (json!({}), invalid)),
        ] {
            assert_eq!(refused(body), expected, "{body}");
        }
        assert_eq!(refused_bytes(b"{\"a\": \"\xff\"}"), unparsed);
    }

    fn refused_bytes(body: &[u8]) -> i64 {
        heard(body).unwrap_err().error["code"].as_i64().unwrap()
    }

    #[test]
    fn a_body_of_more_values_than_anybody_sends_is_refused_before_it_is_taken_apart() {
        let many = format!("[{}0]", "0,".repeat(MOST_VALUES));
        assert_eq!(refused(&many).1, ErrorCode::InvalidRequest as i64);
        // Commas of a text are no values.
        let text = format!(
            r#"{{"method": "m", "params": "\"{}"}}"#,
            ",".repeat(MOST_VALUES)
        );
        assert!(heard(text.as_bytes()).is_ok());
    }
}
