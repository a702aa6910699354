//! Whatever a stranger writes, in every kind of output.

use proptest::prelude::*;

use super::*;

/// Names that are made to do something.
const HOSTILE: [&str; 24] = [
    "\u{1b}]0;gone\u{7}",
    "::error file=a,line=1::gone",
    "a ::stop-commands::x",
    "##[error]gone",
    "x##vso[task.complete]",
    "```",
    "a ```` b",
    "<img src=x onerror=alert()>",
    "\" onload=\"x",
    "' onload='x",
    "]]>&lt;",
    "=cmd()",
    " =1+1",
    "＝1+1",
    "\t@x",
    "W\u{202e}-1",
    "a\u{0}b",
    "a\u{2028}b",
    "a\r\nb",
    "![x](https://example.org)",
    "<https://example.org>",
    "www.example.org a@b.org",
    "| a | b |\\",
    "\u{fffe}\u{ffff}\u{feff}",
];

fn anything() -> impl Strategy<Value = String> {
    let marks =
        "[\\PC\u{0}-\u{20}`|<>&\"'#:\\[\\]\\\\=@+*_\u{202e}\u{2028}\u{200d}\u{ffff}-]{0,60}";
    let hostile = proptest::sample::select(HOSTILE.to_vec()).prop_map(str::to_owned);
    let long = "[a:#`]{190,420}";
    prop_oneof![marks, hostile, long]
}

/// A text on one line, in which nothing steers.
#[track_caller]
fn assert_tame(text: &str) {
    for (_, c, harms) in harm::looked_at(text) {
        assert!(!harms, "{c:?} in {text:?}");
    }
}

/// No line that a build server takes for a command.
#[track_caller]
fn assert_commands_nothing(text: &str) {
    let azure = regex::Regex::new(r"##[A-Za-z0-9-]*\[").unwrap();
    for line in text.lines() {
        let begins = line.trim_start().strip_prefix("::");
        let is_command = begins.is_some_and(|rest| rest.starts_with(char::is_alphabetic));
        assert!(!is_command && !azure.is_match(line), "{line:?}");
    }
}

fn of<K: Kind>(text: &str) -> String {
    Written::<K>::of(text).into_string()
}

/// Random texts met these.
#[test]
fn a_sign_of_ours_that_is_spelt_leaves_nothing_to_hide_behind() {
    for (text, spelt) in [
        ("\u{d7}\u{e0100}", "x?"),
        ("\u{b0}\u{fe00}", "?"),
        ("3 \u{d7}\u{200d}4", "3 x?4"),
    ] {
        assert_eq!(Written::<Plain>::of(text).spelt(false).as_str(), spelt);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn plain_text_steers_nothing_and_commands_nothing(text in anything(), width in 0..60usize) {
        let written = Written::<Plain>::of(&text);
        assert_tame(written.as_str());
        assert_commands_nothing(written.as_str());
        let look = Look { width, color: false, unicode: false };
        let mut page = Page::new(&look);
        page.item(2, 4, &text);
        page.beside(&Written::of("x"), &text);
        let page = page.end();
        page.as_str().lines().for_each(assert_tame);
        assert_commands_nothing(page.as_str());
        let complained = complaint(&text, Some(&text), &look);
        complained.as_str().lines().for_each(assert_tame);
        assert_commands_nothing(complained.as_str());
    }

    #[test]
    fn a_line_of_source_keeps_its_bytes(text in anything()) {
        let written = Written::of_source(&text);
        assert_tame(written.as_str());
        prop_assert_eq!(written.len(), text.len());
    }

    #[test]
    fn lines_are_one_line_and_lead_to_one_path(path in anything(), words in anything()) {
        let mut line = Written::<Line>::new();
        line.place(&path, 3, 4).ours(": ").theirs(&words);
        assert_tame(line.as_str());
        assert_commands_nothing(line.as_str());
        // What stands before the first `:3:4: ` is the path, and another path stands there otherwise.
        let place = line.as_str().split(":3:4: ").next().unwrap().to_owned();
        let decoded = percent_encoding::percent_decode_str(&place).decode_utf8().unwrap();
        let bare = decoded.strip_prefix("./").filter(|_| !path.starts_with("./"));
        prop_assert_eq!(bare.unwrap_or(&decoded), path);
    }

    #[test]
    fn markup_holds_no_mark_of_theirs(text in anything()) {
        for written in [of::<Html>(&text), of::<Xml>(&text)] {
            assert_tame(&written);
            assert_commands_nothing(&format!("<p>{written}"));
            let marks = ['<', '>', '"', '\'', '\u{fffe}', '\u{ffff}'];
            prop_assert!(!written.contains(marks), "{}", written);
            let bare = written.replace("&amp;", "").replace("&lt;", "").replace("&gt;", "");
            let bare = bare.replace("&quot;", "").replace("&#39;", "").replace("&#35;", "").replace("&#58;", "");
            prop_assert!(!bare.contains('&'), "{}", written);
        }
    }

    #[test]
    fn a_cell_is_one_cell_and_no_formula(text in anything()) {
        let mut rows = Rows::new();
        rows.row([text.as_str(), "end"]);
        let written = rows.end();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(written.as_str().as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        prop_assert_eq!(rows.len(), 1);
        prop_assert_eq!((rows[0].len(), &rows[0][1]), (2, "end"));
        assert_tame(&rows[0][0]);
        assert_commands_nothing(written.as_str());
        let begins = rows[0][0].trim_start().starts_with(['=', '+', '@', '＝', '＋', '－', '＠']);
        prop_assert!(!begins, "{}", written);
    }

    #[test]
    fn json_and_yaml_lose_nothing_and_steer_nothing(text in anything()) {
        let json = Written::<Json>::document(&text);
        assert_tame(json.as_str().trim_end());
        assert_commands_nothing(json.as_str());
        prop_assert_eq!(serde_json::from_str::<String>(json.as_str()).unwrap(), text.clone());
        let mut yaml = Written::<Yaml>::new();
        yaml.scalar(&text);
        assert_tame(yaml.as_str());
        assert_commands_nothing(yaml.as_str());
        prop_assert_eq!(serde_yaml::from_str::<String>(yaml.as_str()).unwrap(), text);
    }

    #[test]
    fn markdown_shows_the_words_and_nothing_else(text in anything(), is_cell: bool) {
        let mut written = Written::<Markdown>::new();
        if is_cell {
            written.ours("| a | b |\n|---|---|\n| ").theirs(&text).ours(" | end |\n");
        } else {
            written.theirs(&text).ours("\n");
        }
        let kinds = kinds_of_markdown(written.as_str());
        let allowed: &[&str] = match is_cell {
            true => &["root", "table", "row", "cell", "text", "code"],
            false => &["root", "paragraph", "text", "code"],
        };
        prop_assert!(kinds.iter().all(|kind| allowed.contains(kind)), "{:?} {:?}", kinds, written);
        let cells = kinds.iter().filter(|kind| **kind == "cell").count();
        prop_assert_eq!(cells, if is_cell { 4 } else { 0 }, "{:?}", written);
    }

    #[test]
    fn a_fence_holds(lines in proptest::collection::vec(anything(), 0..4)) {
        let mut written = Written::<Markdown>::new();
        written.table(&lines).ours("\n\nend\n");
        prop_assert_eq!(kinds_of_markdown(written.as_str()), ["root", "fence", "paragraph", "text"]);
    }
}

/// The kinds of all parts of a text, as a site that shows Markdown takes them.
fn kinds_of_markdown(text: &str) -> Vec<&'static str> {
    use ::markdown::mdast::Node;
    fn kinds(node: &Node, all: &mut Vec<&'static str>) {
        all.push(match node {
            Node::Root(_) => "root",
            Node::Paragraph(_) => "paragraph",
            Node::Text(_) => "text",
            Node::InlineCode(_) => "code",
            Node::Code(_) => "fence",
            Node::Table(_) => "table",
            Node::TableRow(_) => "row",
            Node::TableCell(_) => "cell",
            _ => "something else",
        });
        let below = node.children().into_iter().flatten();
        below.for_each(|node| kinds(node, all));
    }
    let mut options = ::markdown::ParseOptions::gfm();
    options.constructs.math_text = true;
    let mut all = Vec::new();
    kinds(&::markdown::to_mdast(text, &options).unwrap(), &mut all);
    all
}
