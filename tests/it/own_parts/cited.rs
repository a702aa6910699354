//! What `cite` shows of parts of a site's own.

use crate::world::World;

const SITE: &str = "\
site: {practice: iec, country: GB}
coupler-types:
  own-round-16:
    half: contacts
    poles: [L1, N, PE]
    current: 16 A
    voltage: 250 V
    mates: [own-round-16-plug, C14]
    one-way: yes
    source: \"sheet 4 \\u001b[31m## Forged\"
  own-round-16-plug: {half: pins, poles: [L1, N, PE], current: 16 A, voltage: 250 V, mates: [own-round-16], source: sheet 5}
  own-half: {half: pins, source: sheet 6}
cordage-types:
  own-flex: {like: H05VV-F, sizes: [0.75 mm², 1.0 mm²], source: sheet 7}
latch-systems:
  own-catch: {like: outlet-latch, source: sheet 8}
";

fn cite(name: &str, at: &str) -> (String, String, Option<i32>) {
    let world = World::with(&[("hall/cordwright.yaml", SITE)]);
    let ended = world.run(&["cite", name, "--in", at]);
    (ended.output, ended.errors, ended.code)
}

#[test]
fn each_part_of_a_sites_own_has_a_page() {
    for (name, wanted) in [
        (
            "own-round-16",
            &[
                "A coupler that a site describes itself",
                "16 A",
                "own-round-16-plug",
                "C14",
                "sheet 4",
            ][..],
        ),
        (
            "own-flex",
            &[
                "A cordage that a site describes itself",
                "0.75 mm², 1 mm²",
                "sheet 7",
            ],
        ),
        (
            "own-catch",
            &["A latch system that a site describes itself", "sheet 8"],
        ),
    ] {
        let (out, err, code) = cite(name, "hall");
        assert_eq!(code, Some(0), "{err}");
        for word in wanted {
            assert!(out.contains(word), "{name}: {word}\n{out}");
        }
        assert!(!out.contains('\u{1b}'), "{out}");
        assert!(!out.lines().any(|line| line.trim() == "Forged"), "{out}");
    }
}

#[test]
fn what_no_site_describes_fails_and_says_where_it_was_looked_for() {
    for (name, at) in [
        ("own-none", "hall"),
        ("own-half", "hall"),
        ("own-flex", "nowhere"),
    ] {
        let (out, err, code) = cite(name, at);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{name} {at}: {err}");
        let words: Vec<&str> = err.split_whitespace().collect();
        let words = words.join(" ");
        assert!(words.contains("--in PATH"), "{err}");
    }
}
