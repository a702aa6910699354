//! What a command makes never takes the place of definitions unasked, nor goes through a link.

use std::fs::{self, File};
use std::io::Read;
use std::os::unix::fs::symlink;
use std::process::{Command, Stdio};

use super::{SITE, all, read, right, site, told};
use crate::world::World;

/// Every command that makes something, without its file.
const MAKERS: [&[&str]; 4] = [
    &["check", "--format", "json"],
    &["check", "--format", "lines"],
    &["schedule", "cords", "--format", "csv"],
    &["drawing", "racks", "--format", "html"],
];

fn run_into(world: &World, words: &[&str], file: &str, more: &[&str]) -> crate::world::Ended {
    world.run(&[words, &["--output", file], more].concat())
}

#[test]
fn definitions_and_a_sites_own_files_are_not_written_over_unasked() {
    let hidden = [".drafts/yard.yaml", "left/out.YML", "deep/hut/shed.yaml"];
    for words in MAKERS {
        let world = site(&["hall"]);
        world.put("cordwright-snags.txt", "# None\n");
        hidden
            .iter()
            .for_each(|path| world.put(path, &right("yard")));
        world.put("deep/hut/cordwright.yaml", SITE);
        world.put("rows/half.yaml", "zones: {x: [\n");
        let own = ["hall.yaml", "cordwright.yaml", "cordwright-snags.txt"];
        let before = all(&world);
        for file in own
            .iter()
            .chain(&hidden)
            .chain(&["rows/half.yaml", "./hall.yaml"])
        {
            let text = read(world.at(file));
            let ended = run_into(&world, words, file, &[]);
            assert_eq!(ended.code, Some(2), "{words:?} {file}: {}", ended.errors);
            told(
                &ended.errors,
                &[
                    "cannot write ",
                    "Nothing was written. Name another file.",
                    "--over-definitions",
                ],
            );
            assert_eq!(read(world.at(file)), text, "{words:?}");
        }
        assert_eq!(all(&world), before);
        // Neither is one made by the way.
        let ended = run_into(&world, words, "left/cordwright-snags.txt", &[]);
        told(&ended.errors, &["this name is kept for a site's snag list"]);
        let ended = run_into(&world, words, "left/Cordwright.yaml", &[]);
        told(
            &ended.errors,
            &["this name is kept for the file that makes a folder a site"],
        );
        assert_eq!(all(&world), before);
    }
}

#[test]
fn who_asks_for_it_may_write_over_definitions() {
    let world = site(&["hall"]);
    world.put("drafts/yard.yaml", &right("yard"));
    for file in ["drafts/yard.yaml", "hall.yaml", "cordwright-snags.txt"] {
        let ended = run_into(&world, MAKERS[2], file, &["--over-definitions"]);
        assert_eq!(
            ended.errors.matches("cannot write").count(),
            0,
            "{}",
            ended.errors
        );
        assert!(
            read(world.at(file)).starts_with("cord,"),
            "{}",
            read(world.at(file))
        );
        world.put(file, &right("yard"));
    }
    let alone = world.run(&["check", "--over-definitions"]);
    assert_eq!(alone.code, Some(2));
    told(&alone.errors, &["--output"]);
}

#[test]
fn a_definition_by_any_name_counts_and_other_files_do_not() {
    let globs = "site: {name: Quay, practice: iec, files: {take-in: ['**/*.yaml', '**/*.def']}}\n";
    let world = World::with(&[("cordwright.yaml", globs), ("hall.def", &right("hall"))]);
    world.put("store/yard.txt", &right("yard"));
    symlink("store/yard.txt", world.at("yard.yaml")).unwrap();
    for file in ["hall.def", "store/yard.txt"] {
        let ended = run_into(&world, MAKERS[1], file, &[]);
        assert_eq!(ended.code, Some(2), "{file}");
        told(&ended.errors, &["it may hold definitions of the site at ."]);
    }
    let others = [
        ("pipeline.txt", "stages: [build, test]\n"),
        ("report.json", "{\"zones\": 1}"),
        ("notes.txt", &right("shed")),
    ];
    for (file, text) in others {
        world.put(file, text);
        // A report takes the place of the one before.
        for _ in 0..2 {
            let ended = run_into(&world, MAKERS[1], file, &[]);
            assert!(
                !ended.errors.contains("cannot write"),
                "{file}: {}",
                ended.errors
            );
            assert!(!read(world.at(file)).contains("stages"));
        }
        fs::remove_file(world.at(file)).unwrap();
    }
    for (file, text) in [
        ("pipeline.yaml", "stages: [build, test]\n"),
        ("empty.yaml", ""),
    ] {
        world.put(file, text);
        run_into(&world, MAKERS[1], file, &[]);
        assert!(!read(world.at(file)).contains("stages") && !read(world.at(file)).is_empty());
    }
    // Outside of any site, a name is all there is to go by.
    let outside = World::with(&[("hall.yaml", &right("hall"))]);
    let file = outside.at("hall.yaml");
    run_into(&world, MAKERS[1], file.to_str().unwrap(), &[]);
    assert_ne!(read(&file), right("hall"));
}

#[test]
fn an_output_that_is_a_link_is_refused_whatever_is_asked_for() {
    for words in MAKERS {
        let world = site(&["hall"]);
        world.put("real.txt", "mine");
        for (link, target) in [
            ("to-a-file", "real.txt"),
            ("to-nothing", "none"),
            ("to-a-site", "hall.yaml"),
        ] {
            symlink(target, world.at(link)).unwrap();
            let before = all(&world);
            for more in [&[][..], &["--over-definitions"]] {
                let ended = run_into(&world, words, link, more);
                assert_eq!(ended.code, Some(2), "{words:?} {link}");
                told(
                    &ended.errors,
                    &[
                        "it is a link, which is not followed",
                        "Nothing was written. Name the file itself.",
                    ],
                );
            }
            assert_eq!(all(&world), before);
            assert!(world.at(link).is_symlink());
        }
        assert_eq!(read(world.at("real.txt")), "mine");
    }
}

#[test]
fn streams_are_written_to() {
    for words in MAKERS {
        let world = site(&["hall"]);
        let expected = world.run(words).output;
        assert!(!expected.is_empty());
        assert_eq!(run_into(&world, words, "/dev/stdout", &[]).output, expected);
        let ended = run_into(&world, words, "/dev/null", &[]);
        assert_eq!(ended.output, "");
        assert!(!ended.errors.contains("cannot write"), "{}", ended.errors);
        // Standard output that is a file is added to, as whoever opened it meant.
        let file = world.at("told.txt");
        fs::write(&file, "before\n").unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_cordwright"));
        command
            .current_dir(world.at(""))
            .args(words)
            .args(["--output", "/dev/stdout"]);
        let told = File::options().append(true).open(&file).unwrap();
        command.stdout(told).stderr(Stdio::null());
        command.status().unwrap();
        assert_eq!(read(&file), format!("before\n{expected}"));
        // A pipe with a name.
        let pipe = world.at("pipe");
        assert!(
            Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success()
        );
        let reader = std::thread::spawn({
            let pipe = pipe.clone();
            move || {
                let mut text = String::new();
                File::open(pipe).unwrap().read_to_string(&mut text).unwrap();
                text
            }
        });
        run_into(&world, words, "pipe", &[]);
        assert_eq!(reader.join().unwrap(), expected);
    }
}

// A device that is always full is known on this system alone.
#[cfg(target_os = "linux")]
#[test]
fn a_stream_that_takes_nothing_more_is_a_failure() {
    let world = site(&["hall"]);
    for words in MAKERS {
        let ended = run_into(&world, words, "/dev/full", &[]);
        assert_eq!(ended.code, Some(2), "{}", ended.errors);
        told(
            &ended.errors,
            &["cannot write to /dev/full: the disk is full"],
        );
    }
}

#[test]
fn an_output_that_finds_no_room_leaves_the_one_before() {
    let world = site(&["hall"]);
    world.put("report.svg", "before");
    for words in [MAKERS[0], MAKERS[3]] {
        let words = [words, &["--output", "report.svg"]].concat();
        let ended = super::run_on_a_full_disk(&world, 0, &words);
        assert_eq!(ended.code, Some(2), "{}", ended.errors);
        told(
            &ended.errors,
            &["cannot write report.svg: it would be larger than a file may be"],
        );
        assert_eq!(read(world.at("report.svg")), "before");
        assert_eq!(all(&world), ["cordwright.yaml", "hall.yaml", "report.svg"]);
    }
}

#[test]
fn what_is_taken_in_is_new_and_behind_no_link() {
    let world = World::with(&[("d.csv", "name,model\nD1,m\n"), ("mine.yaml", "mine")]);
    symlink("none.yaml", world.at("link.yaml")).unwrap();
    symlink("mine.yaml", world.at("linked.yaml")).unwrap();
    for file in ["mine.yaml", "link.yaml", "linked.yaml"] {
        let words = ["take-in", "d.csv", "--of", "devices"];
        let ended = run_into(&world, &words, file, &[]);
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        told(
            &ended.errors,
            &["something is there already", "Nothing was written."],
        );
    }
    assert_eq!(read(world.at("mine.yaml")), "mine");
    assert_eq!(
        all(&world),
        ["d.csv", "link.yaml", "linked.yaml", "mine.yaml"]
    );
}
