//! Sockets and outlets behind breakers larger than their rating, as the wiring rules of each country have it:
//! the sound room is silent, the unsound one is told.

use cordwright::finding::{Finding, Level, Verdict};

use crate::site::judged;

/// What is said of a socket of the wiring behind a breaker, and of a strip plugged into it.
fn said(site: &str, socket: &str, plug: &str, amperes: u32) -> Vec<Finding> {
    let (system, poles) = match site.contains("nec") {
        true => ("1/N/PE ~ 120 V 60 Hz", "[L1, N]"),
        false => ("1/N/PE ~ 230 V 50 Hz", "[L1, N]"),
    };
    let text = format!(
        "site: {{{site}}}
supplies: {{s: {{feed: A, system: \"{system}\", capacity: 10 kVA}}}}
circuits: {{A-1: {{from: s, poles: {poles}, breaker: {{rating: {amperes} A}}, receptacle: {socket}, receptacles: 4}}}}
pdu-models: {{strip: {{plug: {plug}, rating: 8 A, breakers: none, banks: {{B: {{between: L1-N, outlets: {{1: {socket}}}}}}}}}}}
pdus: {{p: {{model: strip, from: A-1}}}}
"
    );
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let rules = ["input-chain-mismatch", "outlet-unprotected"];
    let findings = judgement.findings.into_iter();
    findings.filter(|f| rules.contains(&f.rule)).collect()
}

#[test]
fn sound_rooms_are_silent() {
    for (site, socket, plug, amperes) in [
        (
            "practice: iec, country: AU",
            "AS/NZS 3112 10 A",
            "AS/NZS 3112 10 A",
            20,
        ),
        (
            "practice: iec, country: NZ",
            "AS/NZS 3112 15 A",
            "AS/NZS 3112 10 A",
            20,
        ),
        ("practice: iec, country: GB", "BS 1363", "BS 1363", 32),
        ("practice: iec, country: SG", "BS 1363", "BS 1363", 20),
        ("practice: iec, country: FR", "CEE 7/5", "CEE 7/7", 20),
        ("practice: iec, country: DE", "CEE 7/3", "CEE 7/7", 16),
        ("practice: iec, country: ZA", "SANS 164-2", "SANS 164-2", 20),
        (
            "practice: iec, country: DK",
            "DS 60884-2-D1 13 A",
            "DS 60884-2-D1",
            13,
        ),
        (
            "practice: iec, country: IT",
            "CEI 23-50 P17/11",
            "CEI 23-50 S17",
            16,
        ),
        ("practice: iec, country: JP", "JIS C 8303", "JIS C 8303", 20),
        ("practice: nec, country: US", "NEMA 5-15", "NEMA 5-15", 20),
        ("practice: nec, country: CA", "NEMA 5-20", "NEMA 5-20", 20),
    ] {
        let found = said(site, socket, plug, amperes);
        let told: Vec<&str> = found.iter().map(|f| f.headline.as_str()).collect();
        assert_eq!(told, [""; 0], "{site}, {socket} behind {amperes} A");
    }
}

/// A socket that is made with several marks: where none is written, that is what to look at first.
#[test]
fn a_socket_without_its_mark_counts_as_the_least_and_the_mark_is_asked_for() {
    let found = said(
        "practice: iec, country: DK",
        "DS 60884-2-D1",
        "DS 60884-2-D1",
        13,
    );
    let receptacle = &found[0];
    assert_eq!(receptacle.verdict, Verdict::Open);
    let advice = &receptacle.remedy.advice;
    assert!(
        advice.starts_with("Read its mark: if that is DS 60884-2-D1 13 A, write it so."),
        "{advice}"
    );
}

#[test]
fn what_a_country_bars_is_a_warning_with_its_clause() {
    for (site, socket, amperes, standard) in [
        (
            "practice: nec, country: CA",
            "NEMA 5-15",
            20,
            "CSA C22.1 (CE Code)",
        ),
        (
            "practice: iec, country: AU",
            "AS/NZS 3112 10 A",
            40,
            "AS/NZS 3000",
        ),
        (
            "practice: iec, country: DE",
            "CEE 7/3",
            20,
            "DIN VDE 0100-510",
        ),
        ("practice: iec, country: FR", "CEE 7/5", 25, "NF C 15-100"),
        (
            "practice: iec, country: ZA",
            "SANS 164-2",
            25,
            "SANS 10142-1",
        ),
    ] {
        let found = said(site, socket, socket, amperes);
        let of_socket = found.iter().find(|f| f.kind == "receptacle");
        let of_socket = of_socket.unwrap_or_else(|| panic!("{site}, {socket}: {found:#?}"));
        assert_eq!(of_socket.verdict, Verdict::Broken);
        let is_national = !socket.starts_with("NEMA");
        assert!(!is_national || of_socket.level == Level::Warning, "{site}");
        let mut basis = of_socket.basis.iter();
        assert!(
            basis.any(|b| b.standard == standard),
            "{site}: {:#?}",
            of_socket.basis
        );
    }
}

#[test]
fn what_no_table_settles_is_asked_in_plain_words() {
    for (site, socket, amperes, words) in [
        (
            "practice: iec, country: PL",
            "CEE 7/5",
            20,
            "wiring rules of Poland say of it is not in the tables",
        ),
        (
            "practice: iec, country: BR",
            "NBR 14136 10 A",
            20,
            "Brazil allow it on up to 20 A is known from memory only",
        ),
        (
            "practice: iec",
            "AS/NZS 3112 10 A",
            20,
            "for the country of the site is missing",
        ),
        (
            "practice: iec, country: '?? x'",
            "AS/NZS 3112 10 A",
            20,
            "of ?? x say of it is not in the tables",
        ),
        (
            "practice: iec, country: []",
            "AS/NZS 3112 10 A",
            20,
            "for the country of the site cannot be read",
        ),
    ] {
        let found = said(site, socket, socket, amperes);
        assert!(!found.is_empty(), "{site}, {socket}");
        for finding in &found {
            assert_eq!(
                finding.verdict,
                Verdict::Open,
                "{site}: {}",
                finding.headline
            );
            assert!(
                finding.headline.contains(words),
                "{site}: {}",
                finding.headline
            );
            assert!(!finding.headline.contains("burn"), "{}", finding.headline);
        }
    }
}

#[test]
fn what_the_tables_leave_open_the_site_can_answer_by_its_own_source() {
    let with = |rule: &str| {
        let site = format!("practice: iec, country: KR, sockets: {{{rule}}}");
        said(&site, "KS C 8305", "KS C 8305", 20)
    };
    assert_eq!(with("KS C 8305: {behind: 20 A, source: KEC table}"), []);
    // A smaller figure than the breaker is no answer, nor one that cannot be read, nor one of another coupler.
    let small = with("KS C 8305: {behind: 16 A, source: KEC table}");
    assert!(small.iter().any(|found| found.verdict == Verdict::Broken));
    let source = small.iter().flat_map(|found| &found.basis);
    let source: Vec<String> = source.map(ToString::to_string).collect();
    assert!(
        source.contains(&"KEC table (as given by the site)".to_owned()),
        "{source:?}"
    );
    for rule in [
        "KS C 8305: {behind: plenty, source: KEC table}",
        "KS C 8305: {behind: 20 A}",
        "CEE 7/3: {behind: 20 A, source: KEC table}",
        "KS C 9999: {behind: 20 A, source: KEC table}",
    ] {
        let found = with(rule);
        assert!(!found.is_empty(), "{rule}");
        assert!(
            found.iter().all(|found| found.verdict == Verdict::Open),
            "{rule}"
        );
    }
    // What the tables know to be barred stays barred.
    let canada = "practice: nec, country: CA, sockets: {NEMA 5-15: {behind: 20 A, source: mine}}";
    let found = said(canada, "NEMA 5-15", "NEMA 5-15", 20);
    assert!(found.iter().any(|found| found.verdict == Verdict::Broken));
}

#[test]
fn a_receptacle_that_cannot_be_read_may_be_a_household_socket() {
    let without_rcd = |circuit: &str| {
        let text = format!(
            "site: {{practice: iec, country: DE}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 10 kVA}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{rating: 16 A}}, {circuit}}}}}
"
        );
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
        let mut found = judgement.findings.into_iter();
        found
            .find(|found| found.rule == "socket-without-rcd")
            .map(|found| (found.verdict, found.headline))
    };
    for circuit in [
        "receptacle: the one behind the door",
        "receptacle: {coupler: the grey one, ip: IP44}",
        "receptacle: the one behind the door, rcd: 300 mA",
        "receptacle: the one behind the door, rcd: sensitive",
    ] {
        let Some((verdict, headline)) = without_rcd(circuit) else {
            panic!("silent: {circuit}");
        };
        assert_eq!(verdict, Verdict::Open, "{headline}");
        assert!(headline.contains("cannot be read"), "{headline}");
    }
    for circuit in [
        "receptacle: the one behind the door, rcd: 30 mA",
        "receptacle: IEC 60309 16 A 2P+E 6h",
    ] {
        assert_eq!(without_rcd(circuit), None, "{circuit}");
    }
}
