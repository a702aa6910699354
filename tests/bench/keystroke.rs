//! How long an editor waits after a keystroke: from the edit to the answer with the file's findings,
//! over the wire, at a site of 1,000 racks (`-- --racks N` for another size).
//!
//! What is shown at once is judged from what the keystroke touches; the last column says how long it
//! takes from the last keystroke until the whole site is judged anew, the pause before it included.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a bench has a clock, files and an audience"
)]

use std::time::{Duration, Instant};

use serde_json::{Value, json};

#[expect(dead_code, reason = "the tests use all of it, this bench a part")]
#[path = "../it/language_server/client.rs"]
mod client;
#[path = "../generator/dice.rs"]
mod dice;
#[expect(dead_code, reason = "other benches use all of it")]
#[path = "../generator/racks.rs"]
mod racks;

use client::{Buffer, Client};

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let at = words.iter().position(|word| word == "--racks");
    let size = at.and_then(|at| words.get(at + 1));
    let size: usize = size.map_or(1000, |text| text.parse().expect("a number of racks"));
    let folder = tempfile::tempdir().expect("a folder");
    for (path, text) in racks::site(size) {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().expect("a folder above")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    }
    let can = json!({
        "window": {"workDoneProgress": true},
        "textDocument": {"diagnostic": {}},
        "workspace": {"diagnostics": {"refreshSupport": true}},
    });
    let begun = Instant::now();
    let mut client = Client::start(folder.path(), can);
    let mut bench = Bench {
        file: format!("racks/r{:04}.yaml", size / 2),
        prefix: format!("{:04}", size / 2),
        client: &mut client,
    };
    bench.open();
    println!(
        "{size} racks, first judgement {:.0} ms",
        begun.elapsed().as_secs_f64() * 1e3
    );
    println!(
        "{:<34} {:>5} {:>8} {:>8} {:>8} {:>9}",
        "typed", "keys", "p50", "p95", "worst", "whole"
    );
    bench.run(
        "a comment",
        "devices:\n",
        "# moved from the old hall in spring\n",
    );
    bench.digits("a digit of a load", Duration::ZERO);
    bench.digits("a digit, the whole under way", PAUSE);
    bench.run("a cord, letter by letter", "cords:\n", &bench.cord());
    bench.label();
    bench.model();
}

/// Long enough that the whole judgement of the keystroke before has begun, too short for its end.
const PAUSE: Duration = Duration::from_millis(350);

struct Bench<'c> {
    client: &'c mut Client,
    file: String,
    prefix: String,
}

impl Bench<'_> {
    fn open(&mut self) -> Buffer {
        let file = self.file.clone();
        let buffer = self.client.open(&file);
        self.answer(&buffer);
        buffer
    }

    fn close(&mut self, buffer: &Buffer) {
        let uri = self.client.uri(&buffer.file);
        let before = self.refreshes();
        self.client.tell(
            "textDocument/didClose",
            json!({"textDocument": {"uri": uri}}),
        );
        while self.refreshes() == before {
            self.settled();
        }
    }

    /// Asks for the findings of the file.
    fn answer(&mut self, buffer: &Buffer) -> Value {
        let uri = self.client.uri(&buffer.file);
        self.client.ask(
            "textDocument/diagnostic",
            json!({"textDocument": {"uri": uri}}),
        )
    }

    /// How often the server has asked to be asked again: it does so after every reading of the site.
    fn refreshes(&self) -> usize {
        let heard = self.client.heard.iter();
        heard
            .filter(|(method, _)| method == "workspace/diagnostic/refresh")
            .count()
    }

    /// Waits until no judgement is due or under way, as a hover tells.
    fn settled(&mut self) -> Duration {
        let begun = Instant::now();
        loop {
            let uri = self.client.uri("types.yaml");
            let at = json!({"line": 1, "character": 3});
            let params = json!({"textDocument": {"uri": uri}, "position": at});
            let hover = self.client.ask("textDocument/hover", params);
            let text = hover["contents"]["value"].as_str().unwrap_or_default();
            if !text.contains("a new judgement is under way") {
                return begun.elapsed();
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Types `text` behind the first `mark`, a letter at a time.
    fn run(&mut self, what: &str, mark: &str, text: &str) {
        let mut buffer = self.open();
        let mut typed = mark.to_owned();
        let mut times = Vec::new();
        for letter in text.chars() {
            let next = format!("{typed}{letter}");
            times.push(self.key(&mut buffer, &typed, &next));
            typed = next;
        }
        self.show(what, times);
        self.close(&buffer);
    }

    /// Replaces `old` by `new` in one keystroke; how long the answer took.
    fn key(&mut self, buffer: &mut Buffer, old: &str, new: &str) -> Duration {
        let begun = Instant::now();
        self.client.edit(buffer, old, new);
        self.answer(buffer);
        begun.elapsed()
    }

    /// Changes a digit of every draw, each after a pause.
    fn digits(&mut self, what: &str, pause: Duration) {
        let mut buffer = self.open();
        let draws: Vec<String> = buffer
            .text
            .lines()
            .filter(|line| line.contains("draw: 1"))
            .map(str::to_owned)
            .collect();
        let mut times = Vec::new();
        for (at, draw) in draws.iter().enumerate() {
            let device = format!("at: U{}\n{draw}", at + 3);
            let other = device.replace("draw: 1", "draw: 2");
            std::thread::sleep(pause);
            times.push(self.key(&mut buffer, &device, &other));
        }
        self.show(what, times);
        self.close(&buffer);
    }

    fn cord(&self) -> String {
        let rack = &self.prefix;
        format!("  W-{rack}-99A: {{type: blue-2m, from: r{rack}-A/42, to: r{rack}-d01/psu1}}\n")
    }

    /// Types a label longer and shorter again.
    fn label(&mut self) {
        let mut buffer = self.open();
        let mut name = format!("  W-{}-01A", self.prefix);
        let mut times = Vec::new();
        for _ in 0..20 {
            let longer = format!("{name}x");
            times.push(self.key(&mut buffer, &format!("{name}:"), &format!("{longer}:")));
            name = longer;
        }
        self.show("a label", times);
        self.close(&buffer);
    }

    /// Changes the rating of the one model that all devices are of.
    fn model(&mut self) {
        self.file = "types.yaml".to_owned();
        let mut buffer = self.open();
        let mut times = Vec::new();
        for watts in 400..410 {
            let old = format!("rating: {watts} W");
            let new = format!("rating: {} W", watts + 1);
            times.push(self.key(&mut buffer, &old, &new));
        }
        self.show("a model that all devices have", times);
        self.close(&buffer);
    }

    fn show(&mut self, what: &str, mut times: Vec<Duration>) {
        let whole = self.settled().as_secs_f64() * 1e3;
        times.sort();
        let at = |share: f64| {
            let place = (times.len() as f64 * share).ceil() as usize;
            times[place.clamp(1, times.len()) - 1].as_secs_f64() * 1e3
        };
        println!(
            "{what:<34} {:>5} {:>5.1} ms {:>5.1} ms {:>5.1} ms {whole:>6.0} ms",
            times.len(),
            at(0.5),
            at(0.95),
            at(1.0),
        );
    }
}
