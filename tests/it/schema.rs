//! The JSON Schema of the format and the reading of files agree, by the word of an independent
//! validator and an independent reader of YAML.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

use cordwright::date::Date;
use cordwright::model::fault::Fault;
use cordwright::model::site::LevelWord;
use cordwright::model::{self, Model};
use cordwright::quantity::{
    ConductorSize, Current, LoadPower, Quantity, RackUnits, SystemMarking, Temperature,
    VoltageRange,
};
use cordwright::rules;
use cordwright::source::FileId;
use cordwright::tables::{cordage, couplers};
use cordwright::yaml::{Limits, Tree};
use jsonschema::Validator;
use serde_json::{Value, json};

use crate::dice::Dice;
use crate::pages::examples;
use crate::world::World;

/// The schema as the command writes it.
static SCHEMA: LazyLock<Value> = LazyLock::new(|| {
    let ended = World::with(&[]).run(&["schema"]);
    assert_eq!((ended.code, ended.errors.as_str()), (Some(0), ""));
    serde_json::from_str(&ended.output).unwrap()
});

static VALIDATOR: LazyLock<Validator> = LazyLock::new(|| {
    let options = jsonschema::options().should_validate_formats(true);
    options.build(&SCHEMA).unwrap()
});

/// What the other reader of YAML makes of a text; `None` where it is no YAML to it.
fn value(text: &str) -> Option<Value> {
    let value: serde_yaml::Value = serde_yaml::from_str(text).ok()?;
    serde_json::to_value(value).ok()
}

/// Words of faults that no schema finds.
const BEYOND: &str = "pattern that labels|shares of all inlets|begin with `own-`|a coupler of the tables|\
    itself a coupler|its half and its poles|together with nothing|as the coupler itself has|\
    residual current device trips|leaks|no wire of|no wiring is|no cord is|as little through|\
    extra-low voltage|that the tables know|stands twice";

/// What our reading says of how a text is written; `None` where none of our sections is in it.
fn faults(text: &str) -> Option<Vec<Fault>> {
    let (tree, problems) = Tree::parse(FileId(0), &text.into(), &Limits::default());
    let mut fragment = model::read(&tree);
    fragment.add_problems(problems.into_iter().map(|problem| Fault::Unreadable {
        span: problem.span,
        message: problem.message,
        advice: problem.advice,
        related: None,
    }));
    if !fragment.has_sections {
        return None;
    }
    let model = Model::assemble(vec![fragment], FileId(0));
    let mut faults = ill_set_levels(&model);
    faults.extend(model.faults.into_iter().map(|noted| noted.fault));
    faults.retain(|fault| match fault {
        // Names that other readers take for something else, and a site whose `site:` is elsewhere.
        Fault::Trap { .. } | Fault::MissingKey { key: "site", .. } => false,
        // What a name of the site's own stands for is in another place, or nowhere.
        Fault::UnknownWord { what, .. } => *what != "coupler type",
        Fault::MissingKey { owner, .. } if *owner == "coupler type" => false,
        // A schema knows names and not which half a letter means.
        Fault::OtherHalf { .. } => false,
        // Which patterns of labels can be used is not for a schema, nor are sums, nor what cannot be meant.
        Fault::BadValue { headline, .. } => {
            let mut beyond = BEYOND.split('|');
            !beyond.any(|words| headline.contains(words))
        }
        _ => true,
    });
    Some(faults)
}

/// What rules say of rules: unknown ones, and those switched off without a reason.
fn ill_set_levels(model: &Model) -> Vec<Fault> {
    let levels = model.site.levels.items().iter();
    let ill_set = levels.filter(|set| {
        let off = set.level.known() == Some(&LevelWord::Off) && set.reason.known().is_none();
        off || rules::find(&set.name.value).is_none()
    });
    let spans = ill_set.map(|set| set.name.span);
    let departures = model.departures.iter();
    let of_departures = departures.filter_map(|departure| {
        let rule = departure.value.rule.given()?;
        rules::find(&rule.value).is_none().then_some(rule.span)
    });
    let fault = |span| Fault::UnknownWord {
        span,
        word: "rule".into(),
        what: "rule",
        nearest: None,
    };
    spans.chain(of_departures).map(fault).collect()
}

#[test]
fn the_schema_is_a_schema() {
    let problems: Vec<String> = jsonschema::draft7::meta::validator()
        .iter_errors(&SCHEMA)
        .map(|error| error.to_string())
        .collect();
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(SCHEMA["$schema"], "http://json-schema.org/draft-07/schema#");
}

/// What strict validators (ajv with all its strict modes, tried by hand) stop at: lists of types,
/// formats that they do not know, keys demanded where none of that name is told of.
#[test]
fn strict_validators_find_nothing_to_stop_at() {
    let mut todo = vec![&*SCHEMA];
    while let Some(schema) = todo.pop() {
        if let Some(Value::Array(types)) = schema.get("type") {
            let named = types.iter().filter(|one| **one != "null");
            assert_eq!(named.count(), 1, "{types:?}");
        }
        // A key of the format may be called so.
        assert!(
            !schema.get("format").is_some_and(Value::is_string),
            "{schema}"
        );
        if let Some(Value::Array(required)) = schema.get("required") {
            let told = |key: &Value| schema["properties"].get(key.as_str().unwrap());
            assert!(required.iter().all(|key| told(key).is_some()), "{schema}");
        }
        match schema {
            Value::Object(object) => todo.extend(object.values()),
            Value::Array(array) => todo.extend(array),
            _ => {}
        }
    }
}

#[test]
fn days_that_the_calendar_does_not_have_are_flagged() {
    for year in [0, 1900, 2000, 2027, 2028, 2096, 2100, 9999] {
        for (month, day) in (0..=13).flat_map(|month| (0..=32).map(move |day| (month, day))) {
            let text = format!("{year:04}-{month:02}-{day:02}");
            let departure = json!({"rule": "load-basis", "at": "d", "until": text});
            let exists = Date::new(year, month, day).is_some();
            assert_eq!(
                VALIDATOR.is_valid(&json!({"departures": [departure]})),
                exists,
                "{text}"
            );
        }
    }
}

/// Every object of the schema that has keys tells what each is for, and takes no other.
#[test]
fn every_key_is_described_and_no_other_is_taken() {
    let (mut keys, mut closed) = (0, 0);
    let mut todo = vec![&*SCHEMA];
    while let Some(schema) = todo.pop() {
        if let Some(Value::Object(properties)) = schema.get("properties")
            && schema.get("type").is_some()
        {
            assert_eq!(schema["additionalProperties"], false, "{schema}");
            closed += 1;
            for (key, schema) in properties {
                let description = schema["description"].as_str().unwrap_or_default();
                assert!(description.len() >= 8, "{key} is not described");
                keys += 1;
            }
        }
        match schema {
            Value::Object(object) => todo.extend(object.values()),
            Value::Array(array) => todo.extend(array),
            _ => {}
        }
    }
    assert!(closed >= 30 && keys >= 180, "{closed} {keys}");
}

fn example_repo() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-repo");
    let mut files = Vec::new();
    let mut folders = vec![root];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "yaml") {
                let text = std::fs::read_to_string(&path).unwrap();
                files.push((path.display().to_string(), text));
            }
        }
    }
    files.sort();
    files
}

/// Whether the table of planted mistakes has one of the writing for the file at `path`.
fn is_planted(readme: &str, path: &str) -> bool {
    const OF_WRITING: [&str; 4] = ["unknown-key", "missing-key", "bad-quantity", "unknown-name"];
    let rows = readme.lines().filter(|row| row.starts_with('|'));
    let mut rows = rows.filter(|row| {
        let file = row.split('`').nth(1);
        file.is_some_and(|file| path.ends_with(file))
    });
    rows.any(|row| OF_WRITING.iter().any(|rule| row.contains(rule)))
}

#[test]
fn every_file_of_the_example_site_is_valid_but_for_planted_mistakes() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-repo");
    let readme = std::fs::read_to_string(root.join("README.md")).unwrap();
    let (mut valid, mut ill) = (0, 0);
    for (path, text) in example_repo() {
        let errors: Vec<String> = VALIDATOR
            .iter_errors(&value(&text).unwrap())
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        let ours = faults(&text).unwrap_or_default();
        assert_eq!(
            errors.is_empty(),
            ours.is_empty(),
            "{path}: {errors:?} {ours:?}"
        );
        if errors.is_empty() {
            valid += 1;
        } else {
            ill += 1;
            assert!(is_planted(&readme, &path), "{path}: {errors:?}");
        }
    }
    assert!(valid >= 20 && ill >= 1, "{valid} {ill}");
}

/// Examples whose mistake is in the writing, and why. All others must be valid.
const ILL_WRITTEN: [(&str, &str); 13] = [
    ("unreadable-file", "no YAML"),
    ("unknown-key", "keys that do not exist"),
    (
        "missing-key",
        "keys that are not there, and a file that is no YAML",
    ),
    ("bad-quantity", "values that cannot be meant"),
    ("coupler-in-the-wet", "a word that is neither yes nor no"),
    ("supply-foreign", "a word that is neither yes nor no"),
    (
        "duplicate-name",
        "one name twice, which is no mapping to many readers",
    ),
    (
        "unknown-name",
        "a rule or a coupler of a wrong name, and a file that is no YAML",
    ),
    (
        "unfed-inlet",
        "a file that is no YAML, so that a cord may be missing",
    ),
    ("breaker-in-hot-air", "a mark that is no temperature"),
    ("departure-lapsed", "a rule switched off without a reason"),
    ("input-chain-mismatch", "a breaker without its rating"),
    ("line-overloaded", "a power strip without its rating"),
];

#[test]
fn every_example_is_valid_unless_its_mistake_is_in_the_writing() {
    let mut ill = BTreeSet::new();
    let mut valid = 0;
    for (page, path, text) in examples() {
        // What is plain text to others holds no definitions.
        let Some(value) = value(&text).filter(|value| !value.is_string()) else {
            ill.insert(page);
            continue;
        };
        let ours = faults(&text).unwrap_or_default();
        assert_eq!(
            VALIDATOR.is_valid(&value),
            ours.is_empty(),
            "{page} {path}: {ours:?}\n{text}"
        );
        if ours.is_empty() {
            valid += 1;
        } else {
            ill.insert(page);
        }
    }
    let listed: BTreeSet<String> = ILL_WRITTEN.iter().map(|(page, _)| (*page).into()).collect();
    assert_eq!(ill, listed);
    assert!(valid >= 300, "{valid}");
}

/// Files that are valid, as values.
fn sound() -> Vec<Value> {
    let of_pages = examples().into_iter().map(|(_, _, text)| text);
    let texts = example_repo().into_iter().map(|(_, text)| text);
    let values = texts.chain(of_pages).filter_map(|text| value(&text));
    values.filter(|value| VALIDATOR.is_valid(value)).collect()
}

/// The places of all keys below a value, as JSON pointers to the mapping and the key.
fn keys(value: &Value, at: &str, found: &mut Vec<(String, String)>) {
    match value {
        Value::Object(object) => {
            for (key, value) in object {
                found.push((at.to_owned(), key.clone()));
                let step = key.replace('~', "~0").replace('/', "~1");
                keys(value, &format!("{at}/{step}"), found);
            }
        }
        Value::Array(array) => {
            for (index, value) in array.iter().enumerate() {
                keys(value, &format!("{at}/{index}"), found);
            }
        }
        _ => {}
    }
}

/// Damages many sound files at one key each, and hands over each damaged value and its text.
fn damaged(
    seed: u64,
    times: usize,
    mut damage: impl FnMut(&mut Dice, &mut serde_json::Map<String, Value>, &str),
    mut then: impl FnMut(&Value, &str),
) {
    let sound = sound();
    let mut dice = Dice::new(seed);
    for _ in 0..times {
        let mut value = sound[dice.below(sound.len())].clone();
        let mut places = Vec::new();
        keys(&value, "", &mut places);
        // A file may be empty of keys.
        if places.is_empty() {
            continue;
        }
        let (at, key) = &places[dice.below(places.len())];
        let mapping = value.pointer_mut(at).and_then(Value::as_object_mut);
        damage(&mut dice, mapping.unwrap(), key);
        then(&value, &serde_yaml::to_string(&value).unwrap());
    }
}

/// Keys taken away, misspelt, or put where they do not belong: the reading finds a fault exactly
/// where the schema refuses.
#[test]
fn wrong_keys_are_refused_by_both_or_by_none() {
    const STRANGE: [&str; 6] = ["rating", "conductor", "from", "plug", "length", "name"];
    let (mut refused, mut taken) = (0, 0);
    damaged(
        1,
        1500,
        |dice, mapping, key| {
            let value = mapping.remove(key).unwrap();
            match dice.below(3) {
                0 => {}
                1 => drop(mapping.insert(format!("{key}x"), value)),
                _ => drop(mapping.insert(STRANGE[dice.below(STRANGE.len())].into(), value)),
            }
        },
        |value, text| {
            let Some(ours) = faults(text) else {
                return;
            };
            assert_eq!(
                VALIDATOR.is_valid(value),
                ours.is_empty(),
                "{ours:?}\n{text}"
            );
            if ours.is_empty() {
                taken += 1
            } else {
                refused += 1
            }
        },
    );
    assert!(refused > 500 && taken > 100, "{refused} {taken}");
}

/// Any value in any place: what the schema refuses, the reading refuses too.
#[test]
fn what_the_schema_refuses_the_reading_refuses() {
    let values = [
        json!(null),
        json!([]),
        json!({}),
        json!(""),
        json!(0),
        json!(1),
        json!(12.5),
        json!(true),
        json!("10 A"),
        json!("10A"),
        json!("0 A"),
        json!("-5 A"),
        json!("1e3 A"),
        json!("+5 mA"),
        json!("10 a"),
        json!("1.5 mm2"),
        json!("AWG 18"),
        json!("0 AWG"),
        json!("1/0 AWG"),
        json!("31 AWG"),
        json!("0.0 m"),
        json!(".5 m"),
        json!("6 ft"),
        json!("230 V"),
        json!("100 V - 240 V"),
        json!("420 W"),
        json!("0 W"),
        json!("-20 °C"),
        json!("86 F"),
        json!("80 %"),
        json!("U12"),
        json!("44 U"),
        json!("3/N/PE ~ 400/230 V 50 Hz"),
        json!("3NPE~400/230V,50Hz"),
        json!("208Y/120 V"),
        json!("c13"),
        json!("IEC C 13"),
        json!("nema 5-15p"),
        json!("EN 60309-2 32A 6h 3P+N+PE"),
        json!("h05vvf"),
        json!("C99"),
        json!("thhn"),
        json!("c"),
        json!("none"),
        json!("off"),
        json!("L1-N"),
        json!("L1"),
        json!("2027-03-31"),
        json!("0.95"),
        json!("2"),
        json!("02"),
        json!("yes"),
        json!("on"),
        json!({"level": "off"}),
        json!({"rating": "10 A"}),
        json!([{"rule": "inrush"}]),
    ];
    let (mut refused, mut beyond) = (0, 0);
    damaged(
        2,
        3000,
        |dice, mapping, key| {
            mapping.insert(key.to_owned(), values[dice.below(values.len())].clone());
        },
        |value, text| {
            let Some(ours) = faults(text) else {
                return;
            };
            match (VALIDATOR.is_valid(value), ours.is_empty()) {
                (false, true) => {
                    let error = VALIDATOR.iter_errors(value).next().unwrap();
                    panic!("{}: {error}\n{text}", error.instance_path());
                }
                (false, false) => refused += 1,
                // Sizes that cannot be meant, and voltages that do not fit their conductors.
                (true, false) => beyond += 1,
                (true, true) => {}
            }
        },
    );
    assert!(
        refused > 1500 && beyond < refused / 10,
        "{refused} {beyond}"
    );
}

/// Whether the whole of a text matches the pattern of a quantity.
fn fits(pattern: &str, text: &str) -> bool {
    let schema = json!({"type": "string", "pattern": pattern});
    jsonschema::is_valid(&schema, &json!(text))
}

fn reads_like_its_pattern<Q: Quantity>(good: &[&str], bad: &[&str]) {
    let form = Q::form();
    for text in form.examples.iter().chain(good) {
        assert!(Q::read(text).is_ok() && fits(&form.pattern, text), "{text}");
    }
    for text in bad {
        assert!(
            Q::read(text).is_err() && !fits(&form.pattern, text),
            "{text}"
        );
    }
}

#[test]
fn patterns_take_what_reading_takes() {
    reads_like_its_pattern::<Current>(
        &["10A", " 10 A ", "0 A", "+1 mA", "1e-2 kA", ".5 A", "10. A"],
        &[
            "10", "A", "-1 A", "10 a", "10 V", "1,5 A", "inf A", "NaN A", "1 0 A", "10 A A",
            "~10 A",
        ],
    );
    reads_like_its_pattern::<Temperature>(
        &["-20 °C", "−20 C", "0 °C", "86 °F"],
        &["20", "20 K", "- °C"],
    );
    reads_like_its_pattern::<ConductorSize>(
        &["1.5mm2", "2.5 mm^2", "AWG18", "0 AWG", "30 AWG", "4/0 AWG"],
        &[
            "0 mm²", "0.0 mm²", "00 AWG", "31 AWG", "5/0 AWG", "#18 AWG", "18 awg", "1.5 mm", "14",
        ],
    );
    reads_like_its_pattern::<ConductorSize>(&["4 ㎟", "4 sq mm", "4sqmm"], &["4 ㎠"]);
    reads_like_its_pattern::<LoadPower>(&["0 W", "1.2 kW"], &["420", "1.2 KW", "-1 W", "5 V"]);
    reads_like_its_pattern::<RackUnits>(
        &["44U", "12.5 U", "42 HE"],
        &["44", "u12", "2 RU", "-1 U"],
    );
    reads_like_its_pattern::<VoltageRange>(
        &["100-240 V", "100 V – 240 V", "0.1-0.24 kV"],
        &["100–240", "100 to 240 V", "115/230 V", "230", "0 V"],
    );
    reads_like_its_pattern::<SystemMarking>(
        &["3/N/PE~400/230V,50Hz", "2 N PE ∼ 240/120 V", "480Y/277 V"],
        &[
            "400 V",
            "3/N/PE",
            "4/N ~ 400/230 V",
            "3/PEN ~ 400/230 V",
            "= 48 V",
            "3~400",
        ],
    );
}

/// What a definition calls a coupler or a cordage type.
fn named(definition: &str) -> Validator {
    let mut schema = SCHEMA["definitions"][definition].clone();
    schema["$schema"] = SCHEMA["$schema"].clone();
    jsonschema::validator_for(&schema).unwrap()
}

#[test]
fn every_coupler_and_cordage_is_named_in_the_schema() {
    let (coupler, cord) = (named("coupler"), named("cordage"));
    let spellings = |name: &str| [name.to_owned(), name.to_lowercase(), name.replace(' ', "")];
    let mut seen = 0;
    for name in couplers::names().into_iter().flat_map(spellings) {
        assert!(
            couplers::find(&name).is_some() && coupler.is_valid(&json!(name)),
            "{name}"
        );
        seen += 1;
    }
    for name in cordage::all()
        .iter()
        .flat_map(|cordage| spellings(&cordage.name))
    {
        assert!(
            cordage::find(&name).is_some() && cord.is_valid(&json!(name)),
            "{name}"
        );
        seen += 1;
    }
    assert!(seen > 900, "{seen}");
    let others = "IEC 60320 C13|C-13|5-15P|NEMA L6-30R|EN 60309 16 A 1P+N+PE 6h|NEMA IG5-20R|HG 5-15P|\
        NEMA 5-15 hospital grade|L6-20R-IG|NEMA_L6_30P|332P6W|5100c9w|IEC_60309_460P9|CEE 32A 5p|\
        CEE 16A 3p blue|CEE 17 63 A 5-pin 6h|IEC 309 32A 3P+N+E|60309, 32 A, 2P+E, 230 V|\
        IEC 60309 60A 4P5W 9h|320 C14|IEC 60320-2-2 sheet I|CS8365C|California_CS8265|CEE 7-7|BS 1363 13 A|\
        BS 1363/A|CEE 7/7 16 A|KS C 8305 16 A 250 V|NBR 14136 10 A 2P+T|IS 1293:2019 6 A|SI 32 16A/250V~|\
        JIS C 8303 15 A 125 V 2P+E|GB 2099.1-2008 10 A|GB/T 1002 10 A 2P|T26|CSA L6-30R|CSA 5-15P|DS 60884-2-D1 13 A";
    for name in others.split('|') {
        assert!(
            couplers::find(name).is_some() && coupler.is_valid(&json!(name)),
            "{name}"
        );
    }
    let none = "C99|NEMA 5-16|IEC 60309 33 A 2P+E|IEC 60309 32 A|13||H05|999P99W|CEE 16A 3p|CEE 32A|SS 145|\
        type F|L14-50R";
    for name in none.split('|') {
        assert!(
            couplers::find(name).is_none() && !coupler.is_valid(&json!(name)),
            "{name}"
        );
        assert!(
            cordage::find(name).is_none() && !cord.is_valid(&json!(name)),
            "{name}"
        );
    }
}
