//! Sites that were moved, in repositories made for it.

use crate::failure::Failure;
use crate::host::folder::Folder;
use crate::host::git::{Moves, SiteAt, earlier_places, read_site_at};
use crate::input::FileGlobs;

/// The first line of a site's own file is its name here, unless it is empty.
fn name_of(bytes: &[u8]) -> Option<String> {
    let line = bytes.split(|&byte| byte == b'\n').next()?;
    let name = String::from_utf8(line.to_owned()).unwrap();
    Some(name).filter(|name| !name.is_empty())
}

/// A site's own file with this name, and lines that `like` decides.
fn site_file(name: &str, like: &str) -> String {
    let lines = (1..30).map(|line| format!("{like} {line}\n"));
    format!("{name}\n{}", lines.collect::<String>())
}

fn at(folder: &Folder, site: &str) -> Result<Option<SiteAt>, Failure> {
    read_site_at(
        "main",
        &folder.at(site),
        &|_| FileGlobs::default(),
        &name_of,
        &Moves::default(),
    )
}

fn places(folder: &Folder, site: &str) -> Vec<String> {
    earlier_places("main", &folder.at(site), &name_of, &Moves::default()).unwrap()
}

/// A repository with the sites `quay` and `pier`, which have little to do with each other, on a
/// branch for what is changed.
fn two_sites() -> Folder {
    let folder = Folder::repository(&["quay/rows/a.yaml", "pier/b.yaml"]);
    folder.put("quay/cordwright.yaml", &site_file("Quay", "brick"));
    folder.put("pier/cordwright.yaml", &site_file("Pier", "plank"));
    folder.commit();
    folder.git("", &["checkout", "--quiet", "-b", "side"]);
    folder
}

fn is_base_of(folder: &Folder, site: &str, base: &str) {
    let found = at(folder, site).unwrap().expect("a base");
    assert_eq!((found.at.as_str(), found.has_moved), (base, true));
    assert_eq!(found.input.files.len(), 2);
    assert_eq!(found.commit, folder.git("", &["rev-parse", "main"]).trim());
    assert_eq!(places(folder, site), [base]);
}

#[test]
fn a_site_that_stayed_is_read_where_it_is() {
    let folder = two_sites();
    folder.git("", &["mv", "quay/rows", "quay/lines"]);
    let found = at(&folder, "quay").unwrap().unwrap();
    assert_eq!((found.at.as_str(), found.has_moved), ("quay", false));
    assert_eq!(places(&folder, "quay"), ["quay"]);
}

#[test]
fn a_folder_renamed_is_known_again_however_it_was_done() {
    let folder = two_sites();
    folder.git("", &["mv", "quay", "dock"]);
    is_base_of(&folder, "dock", "quay");
    folder.put("dock/cordwright.yaml", &site_file("Dock", "brick"));
    folder.git("", &["add", "--all"]);
    is_base_of(&folder, "dock", "quay");
    folder.commit();
    is_base_of(&folder, "dock", "quay");
}

#[test]
fn a_folder_that_git_does_not_know_is_known_again_by_the_sites_name() {
    let folder = two_sites();
    std::fs::rename(folder.at("quay"), folder.at("dock")).unwrap();
    is_base_of(&folder, "dock", "quay");
    folder.put("dock/cordwright.yaml", &site_file("Quay", "other"));
    is_base_of(&folder, "dock", "quay");
    folder.commit();
    is_base_of(&folder, "dock", "quay");
    folder.put("dock/cordwright.yaml", &site_file("Dock", "other"));
    folder.commit();
    assert_eq!(at(&folder, "dock"), Ok(None));
    assert_eq!(places(&folder, "dock"), [""; 0]);
}

#[test]
fn a_site_at_the_top_may_come_from_a_folder_and_go_into_one() {
    let folder = Folder::repository(&["cordwright.yaml", "a.yaml"]);
    folder.git("", &["checkout", "--quiet", "-b", "side"]);
    std::fs::create_dir(folder.at("dock")).unwrap();
    folder.git("", &["mv", "cordwright.yaml", "a.yaml", "dock"]);
    is_base_of(&folder, "dock", ".");
    folder.commit();
    folder.git("", &["branch", "--force", "main"]);
    folder.git("", &["mv", "dock/cordwright.yaml", "dock/a.yaml", "."]);
    is_base_of(&folder, ".", "dock");
}

#[test]
fn a_copy_of_a_site_that_is_still_there_has_no_base() {
    let folder = two_sites();
    folder.put("dock/cordwright.yaml", &site_file("Quay", "brick"));
    assert_eq!(places(&folder, "dock"), [""; 0]);
    folder.commit();
    assert_eq!(places(&folder, "dock"), [""; 0]);
    // In a sparse work tree it is there as well, though nobody sees it.
    folder.git("", &["sparse-checkout", "set", "--no-cone", "/dock/"]);
    assert!(!folder.at("quay").exists());
    assert_eq!(at(&folder, "dock"), Ok(None));
    assert_eq!(places(&folder, "dock"), [""; 0]);
}

#[test]
fn a_site_that_became_two_is_the_base_of_neither() {
    let folder = two_sites();
    folder.git("", &["mv", "quay", "dock"]);
    folder.put("wharf/cordwright.yaml", &site_file("Quay", "brick"));
    // As long as git does not know the second, the first is the one that was moved.
    is_base_of(&folder, "dock", "quay");
    assert_eq!(places(&folder, "wharf"), [""; 0]);
    folder.commit();
    for site in ["dock", "wharf"] {
        assert_eq!(places(&folder, site), [""; 0], "{site}");
    }
    // A name of its own for the one decides for the other.
    folder.put("wharf/cordwright.yaml", &site_file("Wharf", "brick"));
    folder.commit();
    is_base_of(&folder, "dock", "quay");
    assert_eq!(places(&folder, "wharf"), [""; 0]);
}

#[test]
fn a_site_that_became_two_unknown_to_git_is_the_base_of_neither() {
    let folder = two_sites();
    std::fs::rename(folder.at("quay"), folder.at("dock")).unwrap();
    folder.put("wharf/cordwright.yaml", &site_file("Quay", "brick"));
    for site in ["dock", "wharf"] {
        assert_eq!(places(&folder, site), [""; 0], "{site}");
    }
}

#[test]
fn two_that_it_may_have_been_are_both_named_and_none_is_taken() {
    let folder = two_sites();
    // By its text it was the one, by its name the other.
    folder.git("", &["rm", "--quiet", "-r", "quay", "pier"]);
    folder.put("dock/cordwright.yaml", &site_file("Pier", "brick"));
    folder.commit();
    assert_eq!(at(&folder, "dock"), Ok(None));
    assert_eq!(places(&folder, "dock"), ["pier", "quay"]);
}

#[test]
fn two_that_were_alike_are_both_named_and_none_is_taken() {
    for name in ["Quay", ""] {
        let folder = Folder::repository(&["quay/a.yaml", "pier/a.yaml"]);
        folder.put("quay/cordwright.yaml", &site_file(name, "brick"));
        folder.put("pier/cordwright.yaml", &site_file(name, "brick"));
        folder.commit();
        folder.git("", &["checkout", "--quiet", "-b", "side"]);
        folder.git("", &["rm", "--quiet", "-r", "pier"]);
        folder.git("", &["mv", "quay", "dock"]);
        assert_eq!(at(&folder, "dock"), Ok(None));
        assert_eq!(places(&folder, "dock"), ["pier", "quay"]);
    }
}

/// Each site's own file is looked into as often as it is compared, and not once for every other site.
#[test]
fn many_new_sites_are_known_again_without_looking_at_all_for_each() {
    const SITES: usize = 20;
    let then: Vec<String> = (0..SITES).map(|n| format!("old/{n}/a.yaml")).collect();
    let then: Vec<&str> = then.iter().map(String::as_str).collect();
    let folder = Folder::repository(&then);
    for n in 0..SITES {
        let file = site_file(&format!("Site {n}"), &format!("brick {n}"));
        folder.put(&format!("old/{n}/cordwright.yaml"), &file);
    }
    folder.commit();
    folder.git("", &["checkout", "--quiet", "-b", "side"]);
    std::fs::rename(folder.at("old"), folder.at("new")).unwrap();
    let looked_at = std::cell::Cell::new(0);
    let counted = |bytes: &[u8]| {
        looked_at.set(looked_at.get() + 1);
        name_of(bytes)
    };
    let moves = Moves::default();
    for n in 0..SITES {
        let site = folder.at(&format!("new/{n}"));
        let found = earlier_places("main", &site, &counted, &moves).unwrap();
        assert_eq!(found, [format!("old/{n}")]);
    }
    assert_eq!(looked_at.get(), 2 * SITES);
}
