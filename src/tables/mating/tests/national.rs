//! National plugs and sockets, pair by pair.

use super::Cell::{Earthed, No, Undecided, Unearthed};
use super::check;

#[test]
fn swiss_and_italian_sockets() {
    check(
        "SN 441011",
        &[
            ("T25", "T15", Earthed),
            ("T15", "T25", No),
            ("T13", "CEE 7/4", No),
            ("T23", "CEE 7/4", No),
            ("T13", "CEE 7/7", No),
            ("T23", "CEE 7/7", No),
            ("T15", "CEE 7/7", No),
            ("T25", "CEE 7/7", No),
            ("T13", "CEE 7/6", No),
            ("T23", "CEE 7/17", No),
            ("T25", "CEE 7/17", No),
        ],
    );
    check(
        "CEI 23-50",
        &[
            ("CEI 23-50 P10", "CEI 23-50 S10", Unearthed),
            ("CEI 23-50 P11", "CEI 23-50 S10", Unearthed),
            ("CEI 23-50 P17/11", "CEI 23-50 S10", Unearthed),
            ("CEI 23-50 P30", "CEI 23-50 S10", Unearthed),
            ("CEI 23-50 P40", "CEI 23-50 S10", Unearthed),
            ("CEI 23-50 P30", "CEI 23-50 S11", Earthed),
            ("CEI 23-50 P40", "CEI 23-50 S11", Earthed),
            ("CEI 23-50 P30", "CEE 7/4", Earthed),
            ("CEI 23-50 P30", "CEE 7/7", Earthed),
            ("CEI 23-50 P40", "CEE 7/4", Earthed),
            ("CEI 23-50 P40", "CEE 7/7", Earthed),
            ("CEI 23-50 P30", "CEE 7/16", Unearthed),
            ("CEI 23-50 P40", "CEE 7/16", Unearthed),
            ("CEI 23-50 P30", "CEI 23-50 S16", No),
            ("CEI 23-50 P30", "CEI 23-50 S17", No),
            ("CEI 23-50 P40", "CEI 23-50 S16", Unearthed),
            ("CEI 23-50 P40", "CEI 23-50 S17", Earthed),
        ],
    );
}

#[test]
fn round_pins_of_the_old_british_pattern() {
    check(
        "BS 546",
        &[
            ("BS 546 2 A", "BS 546 2 A", Earthed),
            ("BS 546 2 A", "BS 546 5 A", No),
            ("BS 546 2 A", "BS 546 15 A", No),
            ("BS 546 2 A", "BS 546 30 A", No),
            ("BS 546 5 A", "BS 546 2 A", No),
            ("BS 546 5 A", "BS 546 30 A", No),
            ("BS 546 15 A", "BS 546 2 A", No),
            ("BS 546 15 A", "BS 546 30 A", No),
            ("BS 546 30 A", "BS 546 2 A", No),
            ("BS 546 30 A", "BS 546 5 A", No),
            ("BS 546 30 A", "BS 546 15 A", No),
            ("BS 546 30 A", "BS 546 30 A", Earthed),
        ],
    );
    check(
        "IS 1293",
        &[
            ("IS 1293 6 A", "BS 546 5 A", Earthed),
            ("BS 546 5 A", "IS 1293 6 A", Earthed),
            ("IS 1293 16 A", "BS 546 15 A", Earthed),
            ("BS 546 15 A", "IS 1293 16 A", Earthed),
            ("IS 1293 6 A", "IS 1293 2.5 A", Unearthed),
            ("IS 1293 10 A", "IS 1293 10 A", Earthed),
        ],
    );
}

#[test]
fn plugs_of_asia_and_south_america() {
    check(
        "JIS C 8303:2007",
        &[
            ("JIS C 8303 20 A 2P", "JIS C 8303 2P", Undecided),
            ("JIS C 8303 20 A 2P", "NEMA 1-15", Undecided),
            ("JIS C 8303 20 A 2P+E", "JIS C 8303 2P", Undecided),
            ("JIS C 8303 20 A 2P+E", "JIS C 8303 2P+E", Undecided),
            ("JIS C 8303 20 A 2P+E", "NEMA 1-15", Undecided),
            ("JIS C 8303 20 A 2P+E", "NEMA 5-15", Undecided),
            ("JIS C 8303 20 A 2P+E", "JIS C 8303 20 A 2P+E", Earthed),
            (
                "JIS C 8303 20 A 250 V 3P+E",
                "JIS C 8303 20 A 250 V 3P+E",
                Earthed,
            ),
        ],
    );
    check(
        "KS C 8305, SI 32",
        &[
            ("CEE 7/3", "KS C 8305", Earthed),
            ("KS C 8305", "CEE 7/4", Earthed),
            ("KS C 8305", "CEE 7/7", Earthed),
            ("KS C 8305", "CEE 7/16", Unearthed),
            ("KS C 8305", "CEE 7/17", Unearthed),
            ("SI 32", "CEE 7/16", Unearthed),
            ("SI 32", "CEE 7/4", No),
            ("SI 32", "CEE 7/7", No),
        ],
    );
    check(
        "TIS 166-2549",
        &[
            ("TIS 166", "TIS 166", Earthed),
            ("TIS 166", "NEMA 5-15", Earthed),
            ("TIS 166", "NEMA 1-15", Unearthed),
            ("TIS 166", "CEE 7/16", Unearthed),
            ("TIS 166", "CEE 7/4", Unearthed),
            ("TIS 166", "CEE 7/7", Unearthed),
            ("TIS 166", "SI 32", No),
            ("SI 32", "TIS 166", No),
            ("TIS 166", "DS 60884-2-D1", No),
            ("DS 60884-2-D1", "TIS 166", No),
        ],
    );
    check(
        "GB 1002, NBR 14136, SANS 164-2",
        &[
            ("GB 2099.1 16 A", "GB 2099.1 10 A", No),
            ("GB 2099.1 10 A", "GB 1002 2P", Undecided),
            ("GB 2099.1 16 A", "GB 1002 2P", No),
            ("GB 2099.1 10 A five-hole", "GB 1002 2P", Unearthed),
            ("GB 2099.1 10 A five-hole", "GB 1002 10 A", Earthed),
            ("GB 2099.1 10 A five-hole", "GB 1002 16 A", No),
            ("NBR 14136 10 A", "NBR 14136 2P", Unearthed),
            ("NBR 14136 20 A", "NBR 14136 2P", Unearthed),
            ("NBR 14136 10 A", "CEE 7/16", Undecided),
            ("NBR 14136 20 A", "CEE 7/16", Undecided),
            ("NBR 14136 10 A", "CEE 7/4", No),
            ("NBR 14136 20 A", "CEE 7/4", No),
            ("NBR 14136 10 A", "CEE 7/7", No),
            ("NBR 14136 20 A", "CEE 7/7", No),
            ("SANS 164-2", "CEE 7/16", Undecided),
        ],
    );
}

#[test]
fn plugs_without_an_earth() {
    check(
        "CEE 7 sheet XVII, DS 60884-2-D1",
        &[
            ("CEE 7/1", "CEE 7/16", Unearthed),
            ("CEE 7/1", "CEE 7/17", Unearthed),
            ("CEE 7/3", "CEE 7/17", Unearthed),
            ("CEE 7/5", "CEE 7/17", Unearthed),
            ("DS 60884-2-D1", "CEE 7/17", Unearthed),
            ("CEI 23-50 P11", "CEE 7/17", No),
            ("CEI 23-50 P17", "CEE 7/17", No),
            ("CEI 23-50 P30", "CEE 7/17", Unearthed),
            ("CEI 23-50 P40", "CEE 7/17", Unearthed),
        ],
    );
    check(
        "SN 441011",
        &[
            ("T12", "T11", Unearthed),
            ("T13", "T11", Unearthed),
            ("T15", "T11", Unearthed),
            ("T23", "T11", Unearthed),
            ("T25", "T11", Unearthed),
            ("T23", "T21", Unearthed),
            ("T25", "T21", Unearthed),
            ("T12", "T26", Unearthed),
            ("T13", "T26", Unearthed),
            ("T23", "T26", Unearthed),
            ("T13", "T21", No),
            ("T15", "T21", No),
            ("T12", "T12", Earthed),
            ("T12", "CEE 7/16", Unearthed),
            ("T15", "CEE 7/16", Unearthed),
            ("T25", "CEE 7/16", Unearthed),
        ],
    );
}
