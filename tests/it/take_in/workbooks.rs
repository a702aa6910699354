//! Workbooks (.xlsx), made by hand so that they hold what no spreadsheet program writes.

use std::io::{Cursor, Write as _};

use cordwright::take_in::{Mapping, Taken, Things, take_in};
use zip::write::SimpleFileOptions;

use crate::site::today;

/// A workbook with these sheets, each a name and the inside of its `worksheet`.
pub fn workbook(sheets: &[(&str, &str)]) -> Vec<u8> {
    const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    const OFFICE: &str = "http://schemas.openxmlformats.org";
    let numbered = || sheets.iter().enumerate().map(|(at, sheet)| (at + 1, sheet));
    let listed: String = numbered()
        .map(|(n, (name, _))| format!("<sheet name=\"{name}\" sheetId=\"{n}\" r:id=\"r{n}\"/>"))
        .collect();
    let related: String = numbered()
        .map(|(n, _)| format!("<Relationship Id=\"r{n}\" Type=\"{OFFICE}/officeDocument/2006/relationships/worksheet\" Target=\"worksheets/s{n}.xml\"/>"))
        .collect();
    let mut parts = vec![
        (
            "[Content_Types].xml".to_owned(),
            format!("<Types xmlns=\"{OFFICE}/package/2006/content-types\"/>"),
        ),
        (
            "_rels/.rels".to_owned(),
            format!(
                "<Relationships xmlns=\"{OFFICE}/package/2006/relationships\"><Relationship Id=\"w\" Type=\"{OFFICE}/officeDocument/2006/relationships/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml".to_owned(),
            format!(
                "<workbook xmlns=\"{OFFICE}/spreadsheetml/2006/main\" xmlns:r=\"{OFFICE}/officeDocument/2006/relationships\"><sheets>{listed}</sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels".to_owned(),
            format!(
                "<Relationships xmlns=\"{OFFICE}/package/2006/relationships\">{related}</Relationships>"
            ),
        ),
    ];
    parts.extend(numbered().map(|(n, (_, inside))| {
        let text =
            format!("<worksheet xmlns=\"{OFFICE}/spreadsheetml/2006/main\">{inside}</worksheet>");
        (format!("xl/worksheets/s{n}.xml"), text)
    }));
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (path, text) in parts {
        zip.start_file(path, SimpleFileOptions::default()).unwrap();
        zip.write_all(format!("{HEAD}{text}").as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// A cell with a text in it.
pub fn text(at: &str, text: &str) -> String {
    format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>")
}

pub fn rows(rows: &[&[String]]) -> String {
    let rows = rows
        .iter()
        .map(|cells| format!("<row>{}</row>", cells.concat()));
    format!("<sheetData>{}</sheetData>", rows.collect::<String>())
}

fn number(at: &str, value: &str) -> String {
    format!("<c r=\"{at}\"><v>{value}</v></c>")
}

fn taken(bytes: &[u8], mapping: &str) -> (Taken, String) {
    let mapping = Mapping::read("map.yaml", mapping.as_bytes().to_vec()).unwrap();
    let taken = take_in(Things::CordTypes, &mapping, bytes, today());
    let told: Vec<String> = taken.remarks.iter().map(|remark| remark.told()).collect();
    let told = [taken.notes.join("\n"), told.join("\n")].concat();
    (taken, told)
}

fn headings() -> [String; 4] {
    [
        text("A1", "name"),
        text("B1", "plug"),
        text("C1", "length (m)"),
        text("D1", "conductor"),
    ]
}

#[test]
fn cells_of_a_workbook_are_read_as_a_spreadsheet_shows_them() {
    let inside = rows(&[
        &headings(),
        // 1.1 times 3 as it is stored, and a text that is no number to the workbook.
        &[
            text("A2", "a"),
            text("B2", "C14"),
            number("C2", "3.3000000000000003"),
            text("D2", "1,5 mm²"),
        ],
        &[
            text("A4", "b"),
            text("B4", "C14"),
            number("C4", "2"),
            text("D4", "1.0 mm²"),
            text("XFD4", "far"),
        ],
    ]);
    let (taken, told) = taken(
        &workbook(&[("Types", &inside), ("Old", "<sheetData/>")]),
        "",
    );
    let yaml = taken.yaml.as_str();
    assert!(
        yaml.contains("a: {plug: C14, length: 3.3 m, conductor: 1.5 mm²}"),
        "{yaml}"
    );
    assert!(
        yaml.contains("b: {plug: C14, length: 2 m, conductor: 1.0 mm²}"),
        "{yaml}"
    );
    assert!(
        told.contains("Only the sheet \"Types\" is read; --sheet NAME reads another: Old."),
        "{told}"
    );
    assert!(
        told.contains("row 4, column XFD: what stands here is under no heading"),
        "{told}"
    );
}

#[test]
fn a_number_that_a_workbook_keeps_is_never_asked_about() {
    let inside = rows(&[
        &headings(),
        &[
            text("A2", "a"),
            text("B2", "C14"),
            number("C2", "1.234"),
            text("D2", "1.0 mm²"),
        ],
        &[
            text("A3", "b"),
            text("B3", "C14"),
            text("C3", "1,234"),
            text("D3", "1.0 mm²"),
        ],
    ]);
    let book = workbook(&[("Types", &inside)]);
    for mapping in ["", "decimal: comma\n", "decimal: point\n"] {
        let (taken, told) = taken(&book, mapping);
        assert!(
            taken.yaml.as_str().contains("length: 1.234 m"),
            "{}",
            taken.yaml
        );
        let is_asked = told.contains(
            "row 3, column length (m): `1,234` may be 1.234 or 1234, so it is not taken.",
        );
        assert_eq!(is_asked, mapping.is_empty(), "{told}");
    }
}

#[test]
fn what_a_workbook_does_not_say_is_told() {
    let inside = rows(&[
        &headings(),
        &[
            text("A2", "a"),
            text("B2", "C14"),
            "<c r=\"C2\"><f>1+1</f></c>".to_owned(),
            text("D2", "1.0 mm²"),
        ],
        &[
            text("A3", "b"),
            "<c r=\"B3\" t=\"e\"><v>#REF!</v></c>".to_owned(),
            number("C3", "1"),
            text("D3", "1.0 mm²"),
        ],
    ]) + "<mergeCells count=\"3\"><mergeCell ref=\"D3:D9\"/><mergeCell ref=\"A1:B1\"/><mergeCell ref=\"B2:C2\"/></mergeCells>";
    let book = workbook(&[("Types", &inside)]);
    let (_, told) = taken(&book, "");
    for part in [
        "row 2, column C: a formula stands here without its value, so nothing is taken.",
        "row 3, column B: `#REF!` stands here, which is no value.",
        "row 3, column D: rows 3 to 9 share one cell here, so what stands in it is taken for row 3 alone.",
        "row 2, column B: columns B to C share one cell here, so what stands in it is taken for column B alone.",
    ] {
        assert!(told.contains(part), "{part}\nin {told}");
    }
    // Headings that share a cell lose nothing.
    assert!(!told.contains("columns A to B"), "{told}");
    let (none, told) = taken(&book, "sheet: Cords\n");
    assert_eq!(none.count, 0);
    assert_eq!(
        told,
        "there is no sheet `Cords` in the workbook. Sheets here: Types."
    );
}

#[test]
fn a_small_workbook_that_asks_for_much_is_refused_or_read_in_no_time() {
    let corner = rows(&[&headings(), &[text("A2", "a"), text("XFD1048576", "far")]]);
    let (far, told) = taken(&workbook(&[("T", &corner)]), "");
    assert_eq!(far.count, 1);
    assert!(told.contains("row 1048576"), "{told}");
    // What unpacks to 300 MB of blanks.
    let blank = format!("<sheetData>{}</sheetData>", " ".repeat(300 << 20));
    let book = workbook(&[("T", &blank)]);
    assert!(book.len() < 1 << 20);
    let (_, told) = taken(&book, "");
    assert!(
        told.starts_with("the workbook unpacks to more than 256 MB, so it is not read."),
        "{told}"
    );
}

#[test]
fn what_is_no_workbook_is_told_and_nothing_breaks_down() {
    let wild = [
        rows(&[&[text("ZZZZZZZZZZZZ1", "x")]]),
        rows(&[&[text("A99999999999", "x")]]),
        rows(&[&[text("äöü", "x")]]),
        "<sheetData><row r=\"4294967295\"><c><v>1</v></c></row><row><c><v>1</v></c></row></sheetData>".to_owned(),
        "<sheetData><row><c t=\"s\"><v>99</v></c></row></sheetData>".to_owned(),
        "<sheetData><row><c t=\"s\"><v>-1</v></c></row></sheetData>".to_owned(),
        "<sheetData><row>".to_owned(),
        "<sheetData/><mergeCells><mergeCell ref=\"??\"/></mergeCells>".to_owned(),
    ];
    for inside in wild {
        let (taken, told) = taken(&workbook(&[("T", &inside)]), "");
        assert_eq!(taken.count, 0, "{inside}");
        assert!(!told.is_empty(), "{inside}");
    }
    let sound = workbook(&[("T", &rows(&[&headings()]))]);
    for end in [4, 30, sound.len() / 2, sound.len() - 1] {
        let (_, told) = taken(&sound[..end], "");
        assert!(told.contains("no workbook that can be read"), "{told}");
    }
    let (_, told) = taken(&[0xd0, 0xcf, 0x11, 0xe0, 1, 2], "");
    assert!(told.contains("old kind (.xls)"), "{told}");
}

/// What a spreadsheet program shows as 10 % is kept as 0.1.
#[test]
fn a_share_that_may_be_shown_as_per_cent_is_asked_about() {
    let inside = rows(&[
        &[text("A1", "name"), text("B1", "third-harmonic (%)")],
        &[text("A2", "m"), number("B2", "0.1")],
        &[text("A3", "n"), number("B3", "10")],
        &[text("A4", "o"), text("B4", "0.5 %")],
    ]);
    let book = workbook(&[("Models", &inside)]);
    let taken = take_in(Things::DeviceModels, &Mapping::default(), &book, today());
    let yaml = taken.yaml.as_str();
    assert!(
        yaml.contains("  m: {}\n") && yaml.contains("n: {third-harmonic: 10 %}"),
        "{yaml}"
    );
    assert!(
        yaml.contains("'o': {third-harmonic: 0.5 %}")
            || yaml.contains("o: {third-harmonic: 0.5 %}"),
        "{yaml}"
    );
    let told: Vec<String> = taken.remarks.iter().map(|remark| remark.told()).collect();
    assert!(
        told.iter()
            .any(|told| told.starts_with("row 2, column third-harmonic (%): `0.1` may be 0.1 %")),
        "{told:?}"
    );
}
