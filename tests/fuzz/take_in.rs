//! A spreadsheet → definitions.

use cordwright::judgement::FileRead;
use cordwright::model::Sections;
use cordwright::source::FileId;
use cordwright::take_in::{At, Mapping, Things, take_in};

use super::laid_out::{MOST_BYTES, settings};

/// The first byte tells what the rows are. The definitions can be read by us and by another reader,
/// hold a thing for each row that was taken, and every remark is of a row that is there.
pub fn run(bytes: &[u8]) {
    let Some((first, sheet)) = bytes.split_first() else {
        return;
    };
    let things = ALL[usize::from(*first) % ALL.len()];
    let sheet = &sheet[..sheet.len().min(MOST_BYTES)];
    let taken = take_in(things, &Mapping::default(), sheet, settings().today);
    let yaml = taken.yaml.as_str();
    let read = FileRead::new(FileId(0), "taken.yaml".to_owned(), yaml.as_bytes().to_vec());
    assert_eq!(read.broken, None, "{yaml}");
    let sections: &Sections = read.fragment.sections();
    let count = match things {
        Things::Cords => sections.cords.len(),
        Things::CordTypes => sections.cord_types.len(),
        Things::Devices => sections.devices.len(),
        Things::DeviceModels => sections.device_models.len(),
        Things::Circuits => sections.circuits.len(),
        Things::Pdus => sections.pdus.len(),
        Things::Racks => sections.racks.len(),
        Things::Offers => sections.offers.len(),
    };
    assert_eq!(count, taken.count, "{yaml}");
    if let Err(why) = serde_yaml::from_str::<serde_yaml::Value>(yaml) {
        panic!("{why} in {yaml}");
    }
    // A byte-order mark may hide the ends of rows; a workbook counts its own.
    let is_plain = sheet.iter().all(|byte| (1..0x80).contains(byte)) && !sheet.starts_with(b"PK");
    let rows = sheet
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count()
        + 1;
    for remark in &taken.remarks {
        if let At::Rows(named) = &remark.at {
            let are_there = named
                .iter()
                .all(|row| *row >= 1 && (!is_plain || *row <= rows));
            assert!(are_there, "{remark:?} of {rows} rows");
        }
    }
}

/// Those first that were there first, so that what was found stays what it was.
const ALL: [Things; 8] = [
    Things::Cords,
    Things::Devices,
    Things::Circuits,
    Things::CordTypes,
    Things::DeviceModels,
    Things::Pdus,
    Things::Racks,
    Things::Offers,
];
