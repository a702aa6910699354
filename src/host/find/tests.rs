//! Finding sites in folders made for it.

use super::*;
use crate::host::folder::Folder;

fn find(folder: &Folder, paths: &[&str]) -> Result<Found, Failure> {
    let paths: Vec<PathBuf> = paths.iter().map(|path| folder.at(path)).collect();
    find_sites(&paths, |_| false, &Ignored::default())
}

/// Each site below the folder, with the places in it that are wanted.
fn sites(folder: &Folder, paths: &[&str]) -> Vec<(String, Option<Vec<String>>)> {
    let found = find(folder, paths).unwrap();
    let below = |given: Vec<Given>| given.into_iter().map(|one| one.below).collect();
    let mut sites: Vec<_> = found
        .sites
        .into_iter()
        .map(|site| {
            let root = site.dir.strip_prefix(folder.root()).unwrap().to_owned();
            (shown(&root), site.given.map(below))
        })
        .collect();
    sites.sort();
    sites
}

fn whole(name: &str) -> (String, Option<Vec<String>>) {
    (name.to_owned(), None)
}

fn part(name: &str, places: &[&str]) -> (String, Option<Vec<String>>) {
    let places = places.iter().map(|&place| place.to_owned()).collect();
    (name.to_owned(), Some(places))
}

#[test]
fn a_folder_means_every_site_in_it() {
    let folder = Folder::with(&[
        "quay/cordwright.yaml",
        "tower/cordwright.yaml",
        "tower/annex/cordwright.yaml",
        "README.md",
        ".hidden/cordwright.yaml",
        "target/cordwright.yaml",
    ]);
    let all = ["quay", "tower", "tower/annex"].map(whole);
    assert_eq!(sites(&folder, &[""]), all);
    assert_eq!(sites(&folder, &["quay", "quay/"]), [whole("quay")]);
    assert_eq!(sites(&folder, &["target"]), [whole("target")]);
}

#[test]
fn a_path_below_a_site_means_the_site_and_a_place_in_it() {
    let folder = Folder::with(&["quay/cordwright.yaml", "quay/rows/1.yaml", "quay/pdus.yaml"]);
    let two = sites(&folder, &["quay/rows", "quay/pdus.yaml", "quay/rows"]);
    assert_eq!(two, [part("quay", &["pdus.yaml", "rows"])]);
    let own = sites(&folder, &["quay/cordwright.yaml"]);
    assert_eq!(own, [part("quay", &["cordwright.yaml"])]);
    assert_eq!(sites(&folder, &["quay/rows", "quay"]), [whole("quay")]);
    assert_eq!(sites(&folder, &["quay", "quay/rows"]), [whole("quay")]);
}

#[test]
fn a_folder_between_sites_means_both_the_place_and_the_inner_site() {
    let folder = Folder::with(&[
        "cordwright.yaml",
        "plant/a.yaml",
        "plant/hut/cordwright.yaml",
    ]);
    let found = sites(&folder, &["plant"]);
    assert_eq!(found, [part(".", &["plant"]), whole("plant/hut")]);
    let given = &find(&folder, &["plant"]).unwrap().sites;
    let outer = given.iter().find_map(|site| site.given.as_ref()).unwrap();
    assert!(!outer[0].needed, "the inner site already answers for it");
}

#[test]
fn no_site_is_a_failure_with_advice() {
    let folder = Folder::with(&[
        "quay/cordwright.yml",
        "tower/Cordwright.YAML",
        "notes/a.yaml",
    ]);
    let advice = |path| find(&folder, &[path]).unwrap_err().advice.unwrap();
    assert!(advice("notes/a.yaml").contains("cordwright.yaml at its root"));
    assert!(advice("quay").contains("a cordwright.yml: name it cordwright.yaml"));
    assert!(advice("tower").contains("a Cordwright.YAML: name it cordwright.yaml"));
    let missing = find(&folder, &["nowhere"]).unwrap_err();
    assert!(missing.what.contains("no file or folder"), "{missing}");
}

#[test]
fn a_site_whose_own_file_is_misnamed_is_not_lost_beside_another() {
    let folder = Folder::with(&[
        "quay/cordwright.yaml",
        "quay/old/cordwright.yml",
        "tower/cordwright.yml",
        "hut/CORDWRIGHT.yaml",
        "notes/cordwright.yaml.bak",
    ]);
    let found = find(&folder, &[""]).unwrap();
    let names = found.misnamed.iter().map(|path| path.rsplit('/').next());
    let names: Vec<_> = names.flatten().collect();
    // What lies in a site is read there as any other file.
    assert_eq!(names, ["CORDWRIGHT.yaml", "cordwright.yml"]);
    assert!(found.misnamed[1].ends_with("tower/cordwright.yml"));
}

#[test]
fn one_wrong_path_among_right_ones_is_not_passed_over() {
    let folder = Folder::with(&["quay/cordwright.yaml", "notes/a.yaml"]);
    assert!(find(&folder, &["quay", "notes"]).is_err());
}

#[test]
fn a_buffer_that_is_not_saved_yet_has_a_site() {
    let folder = Folder::with(&["quay/cordwright.yaml"]);
    let path = folder.at("quay/new.yaml");
    let found = find_sites(
        std::slice::from_ref(&path),
        |typed| typed == path,
        &Ignored::default(),
    )
    .unwrap();
    assert_eq!(found.sites[0].given.as_ref().unwrap()[0].below, "new.yaml");
    assert_eq!(site_of(&path), Some(folder.at("quay")));
}

#[test]
fn a_place_holds_whole_names_only() {
    let given = |below: &str| Given {
        below: below.to_owned(),
        typed: below.to_owned(),
        needed: true,
    };
    assert!(given("rows").holds("rows/1.yaml"));
    assert!(given("rows/1.yaml").holds("rows/1.yaml"));
    assert!(!given("rows").holds("rows-2/1.yaml"));
    assert!(!given("rows/1.yaml").holds("rows/1.yaml.yaml"));
}

#[test]
fn a_place_where_nothing_is_read_is_missed() {
    let folder = Folder::with(&["cordwright.yaml", "a.yaml", "README.md"]);
    let found = find(&folder, &["README.md", "a.yaml"]).unwrap();
    let mut input = SiteInput::default();
    input.files.push(("a.yaml".to_owned(), Vec::new()));
    assert_eq!(found.sites[0].misses(&input).unwrap().below, "README.md");
    input.unread.push(Unread {
        path: "README.md".to_owned(),
        why: "no permission".to_owned(),
    });
    assert_eq!(found.sites[0].misses(&input), None);
}

#[test]
fn narrowing_keeps_to_a_place() {
    let folder = Folder::with(&[
        "quay/cordwright.yaml",
        "quay/rows/1.yaml",
        "tower/cordwright.yaml",
        "notes/a.yaml",
    ]);
    let narrow = |places: &[&str]| {
        let mut found = find(&folder, &[""]).unwrap();
        let places: Vec<PathBuf> = places.iter().map(|place| folder.at(place)).collect();
        found
            .narrow(&places, &Ignored::default())
            .map(|()| found.sites)
    };
    let quay = narrow(&["quay/rows"]).unwrap();
    assert_eq!(quay.len(), 1);
    assert!(quay[0].wants("rows/1.yaml") && !quay[0].wants("cordwright.yaml"));
    assert!(quay[0].misses(&SiteInput::default()).is_some());
    let both = narrow(&["tower", "quay/rows"]).unwrap();
    assert!(both[1].wants("cordwright.yaml") && both[1].misses(&SiteInput::default()).is_none());
    assert_eq!(narrow(&[""]).unwrap().len(), 2);
    assert_eq!(narrow(&[]).unwrap().len(), 2);
    assert!(
        narrow(&["notes"])
            .unwrap_err()
            .what
            .contains("none of the sites")
    );
}
