//! The worked examples of the guide do what the guide says.

use std::fs;
use std::path::Path;

use crate::world::World;

/// The inside of the blocks of a page, each with the word behind its opening fence.
fn blocks(page: &str) -> Vec<(&str, &str)> {
    let blocks = page.split("\n```").skip(1).step_by(2);
    blocks
        .map(|block| block.split_once('\n').unwrap_or((block, "")))
        .collect()
}

#[test]
fn the_worked_example_is_taken_in_as_it_is_told() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("lint-docs/guides/taking-in.md");
    let page = fs::read_to_string(&path).unwrap();
    let [
        ("csv", sheet),
        ("yaml", map),
        ("sh", words),
        ("yaml", yaml),
        ("text", told),
        ..,
    ] = blocks(&page)[..]
    else {
        panic!("{:?}", blocks(&page));
    };
    assert!(map.lines().count() <= 10);
    let world = World::with(&[("map.yaml", map)]);
    // The letters of Windows-1252 that are used here are those of Latin-1.
    let bytes: Vec<u8> = sheet.chars().map(|c| u8::try_from(c).unwrap()).collect();
    fs::write(world.at("cords.csv"), bytes).unwrap();
    let words: Vec<&str> = words.split_whitespace().skip(1).collect();
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    let written = fs::read_to_string(world.at("cords.yaml")).unwrap();
    let (written, errors) = (written.trim_end(), ended.errors.trim_end());
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        let page = blessed(&page, ("yaml", yaml, written));
        fs::write(&path, blessed(&page, ("text", told, errors))).unwrap();
    } else {
        assert_eq!(yaml, written);
        assert_eq!(told, errors);
    }
}

#[test]
fn a_price_list_is_taken_in_as_it_is_told() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("lint-docs/guides/taking-in.md");
    let page = fs::read_to_string(&path).unwrap();
    let (before, section) = page.split_once("## Price lists\n").unwrap();
    let [
        ("csv", sheet),
        ("sh", words),
        ("yaml", yaml),
        ("text", told),
        ..,
    ] = blocks(section)[..]
    else {
        panic!("{:?}", blocks(section));
    };
    let world = World::with(&[("prices.csv", sheet)]);
    let words: Vec<&str> = words.split_whitespace().skip(1).collect();
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    let written = fs::read_to_string(world.at("offers.yaml")).unwrap();
    let (written, errors) = (written.trim_end(), ended.errors.trim_end());
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        let section = blessed(section, ("yaml", yaml, written));
        let section = blessed(&section, ("text", told, errors));
        fs::write(&path, format!("{before}## Price lists\n{section}")).unwrap();
    } else {
        assert_eq!(yaml, written);
        assert_eq!(told, errors);
    }
}

/// A page with another text in a block.
fn blessed(page: &str, (word, old, new): (&str, &str, &str)) -> String {
    let block = |text: &str| match text {
        "" => format!("\n```{word}\n```\n"),
        text => format!("\n```{word}\n{text}\n```\n"),
    };
    page.replacen(&block(old), &block(new), 1)
}

#[test]
fn a_site_begins_with_lists_as_it_is_told() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("lint-docs/guides/taking-in.md");
    let page = fs::read_to_string(&path).unwrap();
    let (before, section) = page
        .split_once("## A site that begins with lists\n")
        .unwrap();
    let [
        ("csv", devices),
        ("csv", strips),
        ("sh", words),
        ("yaml", yaml),
        ("text", told),
        ..,
    ] = blocks(section)[..]
    else {
        panic!("{:?}", blocks(section));
    };
    let world = World::with(&[("devices.csv", devices), ("strips.csv", strips)]);
    let words: Vec<&str> = words.split_whitespace().skip(1).collect();
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(1), "{}", ended.errors);
    let written = fs::read_to_string(world.at("quay/devices.yaml")).unwrap();
    let (written, output) = (written.trim_end(), ended.output.trim_end());
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        let section = blessed(section, ("yaml", yaml, written));
        let section = blessed(&section, ("text", told, output));
        let heading = "## A site that begins with lists\n";
        fs::write(&path, format!("{before}{heading}{section}")).unwrap();
    } else {
        assert_eq!(yaml, written);
        assert_eq!(told, output);
    }
}
