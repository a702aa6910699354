//! What is departed from or known holds up to the number that it was signed at.

use super::{DEPARTURE, cords, flat, site};
use crate::repository::Repository;

/// What a command says on that day, with the exit code that is expected.
fn run(repository: &Repository, words: &[&str], code: i32) -> String {
    let words = [words, &["--on", "2026-11-25"]].concat();
    repository.world.run(&words).expect(code)
}

#[test]
fn a_departure_holds_up_to_what_it_was_signed_at() {
    let signed =
        |at: &str| DEPARTURE.replace("2027-03-31}", &format!("2027-03-31, signed-at: {at}}}"));
    let repository = site(1700);
    let judged = |code| {
        repository
            .world
            .run(&["check", "--on", "2026-11-25", "--fail-at", "warning"])
            .expect(code)
    };
    repository.put("agreed.yaml", &signed("{value: 8.5423 A, limit: 8 A}"));
    judged(0);
    repository.put("cords.yaml", &cords(1800));
    let told = flat(&judged(1));
    assert!(
        told.contains("signed at 8.5423 A against 8 A; it is now 9.0496 A against 8 A"),
        "{told}"
    );
    repository.put("cords.yaml", &cords(1650));
    judged(0);
    // A number that cannot be read lets nothing through.
    repository.put("agreed.yaml", &signed("{value: much, limit: 8 A}"));
    judged(1);
    // Without one it goes on holding at any, and that is noted.
    repository.put("agreed.yaml", DEPARTURE);
    repository.put("cords.yaml", &cords(1800));
    let told = flat(&judged(0));
    assert!(told.contains("1 of these holds at any number"), "{told}");
}

#[test]
fn a_snag_holds_up_to_what_it_was_written_at() {
    let repository = site(1700);
    let run = |words: &[&str], code| run(&repository, words, code);
    run(&["snags"], 0);
    let list = repository.read("cordwright-snags.txt");
    assert!(
        list.contains(" warning 8.5423A/8A bank-overloaded pdu-a/B1\n"),
        "{list}"
    );
    run(&["check", "--fail-at", "warning"], 0);
    repository.put("cords.yaml", &cords(1800));
    let told = flat(&run(&["check", "--fail-at", "warning"], 1));
    assert!(
        told.contains("accepted as known at 8.5423 A against 8 A; it is now 9.0496 A against 8 A"),
        "{told}"
    );
    // The list may only shrink: it is not signed anew unless it is asked for.
    run(&["snags"], 1);
    assert_eq!(
        repository
            .read("cordwright-snags.txt")
            .matches("bank-overloaded")
            .count(),
        0
    );
    repository.put("cordwright-snags.txt", &list);
    repository.put("cords.yaml", &cords(1650));
    run(&["snags"], 0);
    assert_eq!(repository.read("cordwright-snags.txt"), list);
}

/// Lists of an earlier release have no numbers, and one line for all that suffer.
#[test]
fn lists_of_an_earlier_release_go_on_and_are_noted() {
    let repository = site(1700);
    let run = |words: &[&str], code| run(&repository, words, code);
    run(&["snags"], 0);
    let list = repository
        .read("cordwright-snags.txt")
        .replace("8.5423A/8A ", "");
    repository.put("cordwright-snags.txt", &list);
    let told = flat(&run(&["check", "--fail-at", "warning"], 0));
    assert!(told.contains("at any number"), "{told}");
    run(&["snags"], 0);
    assert!(
        repository
            .read("cordwright-snags.txt")
            .contains("8.5423A/8A ")
    );
}
