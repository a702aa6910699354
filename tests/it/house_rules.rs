//! What DEVELOPERS.md promises of the project itself.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use cordwright::rules::RULES;

/// Lines that a source file may have.
const MOST_LINES: usize = 600;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files_below(folder: &str, ending: &str) -> Vec<PathBuf> {
    let files = walkdir::WalkDir::new(root().join(folder))
        .sort_by_file_name()
        .into_iter()
        .map(Result::unwrap);
    files
        .map(walkdir::DirEntry::into_path)
        .filter(|path| path.is_file() && path.to_string_lossy().ends_with(ending))
        .collect()
}

#[test]
fn the_top_level_holds_what_it_may_hold() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "tests",
        "example-repo",
        "lint-docs",
        "target",
    ];
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong at the top level"
        );
    }
}

#[test]
fn no_source_file_is_long() {
    for path in files_below("src", ".rs")
        .into_iter()
        .chain(files_below("tests", ".rs"))
    {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= MOST_LINES, "{} has {lines} lines", path.display());
    }
}

/// The rooms of `src`, each left of all that may use it.
const ROOMS: [&str; 32] = [
    "source",
    "budget",
    "citation",
    "date",
    "input",
    "spelling",
    "quantity",
    "ink",
    "failure",
    "tables",
    "yaml",
    "model",
    "policy",
    "finding",
    "graph",
    "flow",
    "analysis",
    "rules",
    "agreed",
    "comparison",
    "report",
    "trace",
    "schedule",
    "drawing",
    "judgement",
    "take_in",
    "remedy",
    "plan",
    "sheet",
    "host",
    "editor",
    "command",
];

/// A file without its unit tests, which end it; a line that names tests in another file is left out alone.
fn without_tests(text: &str) -> String {
    let mut kept = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("#[cfg(test)]\n") {
        kept.push_str(before);
        let (line, below) = after.split_once('\n').unwrap_or((after, ""));
        if !line.trim_end().ends_with(';') {
            return kept;
        }
        rest = below;
    }
    kept + rest
}

#[test]
fn no_room_uses_one_to_its_right() {
    let place = |room: &str| ROOMS.iter().position(|name| *name == room);
    let used = regex::Regex::new(r"\bcrate::([a-z_]+)").unwrap();
    for path in files_below("src", ".rs") {
        let below = path.strip_prefix(root().join("src")).unwrap();
        let first = below.iter().next().unwrap().to_string_lossy();
        let own = first.trim_end_matches(".rs");
        if ["lib", "main"].contains(&own) {
            continue;
        }
        let own_place = place(own).unwrap_or_else(|| panic!("{own} is no room"));
        let text = fs::read_to_string(&path).unwrap();
        for found in used.captures_iter(&without_tests(&text)) {
            let other = place(&found[1]).unwrap_or_else(|| panic!("{} is no room", &found[1]));
            assert!(
                other <= own_place,
                "{} uses {}, which is to its right",
                path.display(),
                &found[1]
            );
        }
    }
}

/// The wire to an editor; the texts of its messages are of the room of ink already.
const WIRE: &str = "command/language_server";

/// What makes bytes that leave the program, and where it may stand: the room of ink, the streams of the
/// host, and the few that hand on what a library made of our own words.
const WAYS_OUT: [(&str, &[&str]); 9] = [
    (r"\be?print(ln)?!", &[]),
    (r"\bwrite_all\(", &["ink/painter.rs", "host/", WIRE]),
    (r"\bio::(stdout|stderr)\b", &["host/"]),
    (
        r"\bdyn (io::)?Write\b|\bimpl (io::)?Write\b",
        &["host/", WIRE],
    ),
    (r"\bto_writer(_pretty)?\(", &[]),
    (r"\bto_string_pretty\(", &["ink/json.rs"]),
    (
        r"of_our_words_for_programs\(",
        &["ink/", "command/completions.rs", "command/manual.rs"],
    ),
    (r"\bWritten::(<Plain>::)?help\(", &["command/words.rs"]),
    (r"\bleak\(", &["tables.rs"]),
];

#[test]
fn nothing_leaves_the_program_but_by_the_one_way_out() {
    let ways: Vec<_> = WAYS_OUT
        .iter()
        .map(|(way, places)| (regex::Regex::new(way).unwrap(), places))
        .collect();
    for path in files_below("src", ".rs") {
        let below = path.strip_prefix(root().join("src")).unwrap();
        let below = below.to_string_lossy().replace('\\', "/");
        let text = fs::read_to_string(&path).unwrap();
        let text = without_tests(&text);
        let code = text.lines();
        let code = code.filter(|line| !line.trim_start().starts_with("//"));
        for line in code {
            for (way, places) in &ways {
                let is_allowed = places.iter().any(|place| below.starts_with(place));
                assert!(
                    is_allowed || !way.is_match(line),
                    "{below} writes past src/ink.rs: {}",
                    line.trim()
                );
            }
        }
    }
}

#[test]
fn every_kind_of_output_shows_that_raw_text_does_not_compile_into_it() {
    let kind = regex::Regex::new(r"(?m)^pub struct (\w+);$").unwrap();
    let mut kinds = 0;
    for path in files_below("src/ink", ".rs") {
        let text = fs::read_to_string(&path).unwrap();
        for found in kind.captures_iter(&text) {
            let name = &found[1];
            let before = &text[..found.get(0).unwrap().start()];
            let docs = before.rsplit("\n\n").next().unwrap();
            let fails = docs.split("```compile_fail\n").skip(1);
            let mut fails = fails.map(|rest| rest.split("/// ```").next().unwrap());
            let is_shown = fails.any(|fails| fails.contains(&format!("Written::<{name}>")));
            assert!(
                is_shown,
                "{name} does not show that raw text does not compile"
            );
            kinds += 1;
        }
    }
    assert!(kinds >= 9, "only {kinds} kinds of output are found");
}

#[test]
fn every_source_file_says_what_it_is() {
    for path in files_below("src", ".rs") {
        let text = fs::read_to_string(&path).unwrap();
        assert!(
            text.starts_with("//!"),
            "{} does not begin with its story",
            path.display()
        );
    }
}

#[test]
fn index_pages_and_files_name_the_same_rules() {
    let index: BTreeSet<String> = RULES.iter().map(|rule| rule.name.to_owned()).collect();
    assert_eq!(index.len(), RULES.len(), "a rule stands twice in the index");
    let guides = root().join("lint-docs/guides");
    let pages: BTreeSet<String> = files_below("lint-docs", ".md")
        .iter()
        .filter(|path| !path.starts_with(&guides))
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .filter(|name| name != "README")
        .collect();
    assert_eq!(index, pages, "index and pages differ");
    for rule in RULES {
        let file = root().join(format!(
            "src/rules/{}/{}.rs",
            rule.subject.word(),
            rule.name.replace('-', "_")
        ));
        assert!(
            file.is_file(),
            "{} has no file {}",
            rule.name,
            file.display()
        );
        assert!(
            rule.page.starts_with(&format!("# {}\n", rule.name)),
            "the page of {} begins otherwise",
            rule.name
        );
    }
}

#[test]
fn every_page_has_basis_and_caution() {
    for rule in RULES {
        for heading in [
            "## Sets it off",
            "## Put right",
            "## Putting it right",
            "## Basis",
            "## Caution",
        ] {
            assert!(
                rule.page.contains(&format!("\n{heading}\n")),
                "the page of {} lacks {heading}",
                rule.name
            );
        }
    }
}

/// The rules as a table, subject by subject.
fn table() -> String {
    let mut table = String::from("| rule | level | hazard |\n|---|---|---|\n");
    for group in RULES.chunk_by(|a, b| a.subject == b.subject) {
        writeln!(table, "| **{}** | | |", group[0].subject.word()).unwrap();
        for rule in group {
            writeln!(
                table,
                "| [{0}]({0}.md) | {1} | {2} |",
                rule.name,
                rule.level.word(),
                rule.summary
            )
            .unwrap();
        }
    }
    table
}

#[test]
fn the_table_of_rules_is_that_of_the_index() {
    let path = root().join("lint-docs/README.md");
    let text = fs::read_to_string(&path).unwrap();
    let (begin, end) = (
        "<!-- rules: made by the test that checks this table -->\n",
        "<!-- end of rules -->",
    );
    let from = text.find(begin).expect("the table's begin mark") + begin.len();
    let to = text.find(end).expect("the table's end mark");
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        fs::write(
            &path,
            format!("{}{}{}", &text[..from], table(), &text[to..]),
        )
        .unwrap();
    } else {
        assert_eq!(&text[from..to], table(), "the table of rules");
    }
}

#[test]
fn every_test_of_an_attack_is_there() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let (_, section) = guide.split_once("\n## Attacks").unwrap();
    let (section, _) = section.split_once("\n## ").unwrap();
    let named = regex::Regex::new(r"`([a-z_/.]+(?:::[a-z_]+)*)::([a-z_0-9]+)`").unwrap();
    for row in section
        .lines()
        .filter(|line| line.starts_with("| "))
        .skip(1)
    {
        let is_heading = row.starts_with("| **");
        assert!(is_heading || named.is_match(row), "no test: {row}");
    }
    for found in named.captures_iter(section) {
        let path = match found[1].starts_with("src/") {
            true => found[1].to_owned(),
            false => format!("tests/it/{}.rs", found[1].replace("::", "/")),
        };
        let text = fs::read_to_string(root().join(&path)).unwrap_or_default();
        let test = format!("fn {}()", &found[2]);
        assert!(text.contains(&test), "{path} has no {test}");
    }
}

/// What a newcomer reads in the first minutes; the rest stands in pages.
const MOST_WORDS: usize = 3_100;

#[test]
fn the_readme_is_short_and_its_links_lead_somewhere() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let words = readme.split_whitespace().count();
    assert!(words <= MOST_WORDS, "README.md has {words} words");
    let link = regex::Regex::new(r"\]\(([^)#:]+)\)").unwrap();
    for found in link.captures_iter(&readme) {
        assert!(
            root().join(&found[1]).exists(),
            "{} is not there",
            &found[1]
        );
    }
}

#[test]
fn readme_names_both_commands() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    for command in [
        "\ncargo run --release -- check example-repo\n",
        "\ncargo test",
    ] {
        assert!(readme.contains(command), "README.md lacks {command}");
    }
}
