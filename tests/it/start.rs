//! A site to begin from: it is sound, and nothing is written over.

mod lists;

use std::fs;

use assert_cmd::Command;

fn run(words: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::cargo_bin("cordwright")
        .unwrap()
        .args(words)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn what_it_writes_has_nothing_to_put_right() {
    for practice in ["iec", "nec"] {
        let folder = tempfile::tempdir().unwrap();
        let dir = folder.path().join("new/quay");
        let dir = dir.to_str().unwrap();
        let (code, told, errors) = run(&["start", dir, "--practice", practice]);
        assert_eq!((code, errors.as_str()), (Some(0), ""));
        assert!(told.contains("cordwright check"), "{told}");
        let (code, told, _) = run(&["check", dir, "--fail-at", "note"]);
        assert_eq!(code, Some(0), "{told}");
        // Where the lines break depends on the path.
        let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words.contains("2 devices and 4 cords from 3 files"),
            "{told}"
        );
        assert!(words.contains("Found nothing to put right"), "{told}");
        // Nor is anything left open.
        assert!(!words.to_lowercase().contains("not decided"), "{told}");
    }
}

#[test]
fn nothing_is_written_over_or_half() {
    let folder = tempfile::tempdir().unwrap();
    let mine = folder.path().join("types.yaml");
    fs::write(&mine, "mine").unwrap();
    let (code, _, errors) = run(&[
        "start",
        folder.path().to_str().unwrap(),
        "--practice",
        "iec",
    ]);
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("is there already") && errors.contains("Nothing was written"),
        "{errors}"
    );
    assert_eq!(fs::read_to_string(mine).unwrap(), "mine");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn the_practice_is_not_chosen_for_anybody() {
    let folder = tempfile::tempdir().unwrap();
    let dir = folder.path().join("site");
    let (code, _, errors) = run(&["start", dir.to_str().unwrap()]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("--practice"), "{errors}");
    assert!(!dir.exists());
}
