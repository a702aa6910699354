//! A spreadsheet → definitions.

use cordwright::judgement::FileRead;
use cordwright::model::Sections;
use cordwright::source::FileId;
use cordwright::take_in::{Things, take_in};

use super::laid_out::{MOST_BYTES, settings};

/// The first byte tells what the rows are. The definitions can be read by us and by another reader,
/// hold a thing for each row that was taken, and every remark is of a row that is there.
pub fn run(bytes: &[u8]) {
    let Some((first, sheet)) = bytes.split_first() else {
        return;
    };
    let things = [Things::Cords, Things::Devices, Things::Circuits][usize::from(*first) % 3];
    let sheet = &sheet[..sheet.len().min(MOST_BYTES)];
    let taken = take_in(things, sheet.to_vec(), settings().today);
    let yaml = taken.yaml.as_str();
    let read = FileRead::new(FileId(0), "taken.yaml".to_owned(), yaml.as_bytes().to_vec());
    assert_eq!(read.broken, None, "{yaml}");
    let sections: &Sections = read.fragment.sections();
    let count = match things {
        Things::Cords => sections.cords.len(),
        Things::Devices => sections.devices.len(),
        Things::Circuits => sections.circuits.len(),
    };
    assert_eq!(count, taken.rows, "{yaml}");
    if let Err(why) = serde_yaml::from_str::<serde_yaml::Value>(yaml) {
        panic!("{why} in {yaml}");
    }
    let rows = sheet
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count()
        + 1;
    for remark in &taken.remarks {
        assert!(
            (1..=rows).contains(&remark.row),
            "{remark:?} of {rows} rows"
        );
    }
}
