//! Words of the standard for plugs and outlets, and the couplers that they mean.

/// `PlugType` of DSP8010, Circuit 1.9.0. Which coupler each means is in its name. What is wired in the field
/// (`Field_…`) has no plug that is named.
const PLUGS: [(&str, &str); 30] = [
    ("NEMA_5_15P", "NEMA 5-15"),
    ("NEMA_L5_15P", "NEMA L5-15"),
    ("NEMA_5_20P", "NEMA 5-20"),
    ("NEMA_L5_20P", "NEMA L5-20"),
    ("NEMA_L5_30P", "NEMA L5-30"),
    ("NEMA_6_15P", "NEMA 6-15"),
    ("NEMA_L6_15P", "NEMA L6-15"),
    ("NEMA_6_20P", "NEMA 6-20"),
    ("NEMA_L6_20P", "NEMA L6-20"),
    ("NEMA_L6_30P", "NEMA L6-30"),
    ("NEMA_L14_20P", "NEMA L14-20"),
    ("NEMA_L14_30P", "NEMA L14-30"),
    ("NEMA_L15_20P", "NEMA L15-20"),
    ("NEMA_L15_30P", "NEMA L15-30"),
    ("NEMA_L21_20P", "NEMA L21-20"),
    ("NEMA_L21_30P", "NEMA L21-30"),
    ("NEMA_L22_20P", "NEMA L22-20"),
    ("NEMA_L22_30P", "NEMA L22-30"),
    ("California_CS8265", "CS8265"),
    ("California_CS8365", "CS8365"),
    ("IEC_60320_C14", "C14"),
    ("IEC_60320_C20", "C20"),
    ("IEC_60309_316P6", "316P6"),
    ("IEC_60309_332P6", "332P6"),
    ("IEC_60309_363P6", "363P6"),
    ("IEC_60309_516P6", "516P6"),
    ("IEC_60309_532P6", "532P6"),
    ("IEC_60309_563P6", "563P6"),
    ("IEC_60309_460P9", "460P9"),
    ("IEC_60309_560P9", "560P9"),
];

/// `ReceptacleType` of DSP8010, Outlet 1.4.4. `BusConnection` is no coupler.
const OUTLETS: [(&str, &str); 13] = [
    ("NEMA_5_15R", "NEMA 5-15"),
    ("NEMA_5_20R", "NEMA 5-20"),
    ("NEMA_L5_20R", "NEMA L5-20"),
    ("NEMA_L5_30R", "NEMA L5-30"),
    ("NEMA_L6_20R", "NEMA L6-20"),
    ("NEMA_L6_30R", "NEMA L6-30"),
    ("IEC_60320_C13", "C13"),
    ("IEC_60320_C19", "C19"),
    ("CEE_7_Type_E", "CEE 7/5"),
    ("CEE_7_Type_F", "CEE 7/3"),
    ("SEV_1011_TYPE_12", "SEV 1011 type 12"),
    ("SEV_1011_TYPE_23", "SEV 1011 type 23"),
    ("BS_1363_Type_G", "BS 1363"),
];

/// The coupler that a word for a plug means.
pub(super) fn plug(word: &str) -> Option<&'static str> {
    meant(&PLUGS, word)
}

/// The coupler that a word for an outlet means.
pub(super) fn outlet(word: &str) -> Option<&'static str> {
    meant(&OUTLETS, word)
}

fn meant(words: &[(&str, &'static str)], word: &str) -> Option<&'static str> {
    let known = words.iter().find(|(own, _)| *own == word);
    known.map(|(_, coupler)| *coupler)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::InUnits;
    use crate::tables::Practice;
    use crate::tables::couplers::{Side, find};

    #[test]
    fn every_word_means_a_coupler_of_that_half() {
        for (words, side) in [(&PLUGS[..], Side::Pins), (&OUTLETS[..], Side::Contacts)] {
            for (word, name) in words {
                let coupler = find(name).unwrap_or_else(|| panic!("{name} is no coupler"));
                assert!(coupler.role.may_be(side), "{word}");
            }
        }
    }

    /// The second number of a NEMA word, and the two digits after the first of a pin-and-sleeve word, are amperes.
    #[test]
    fn the_amperes_in_a_word_are_those_of_its_coupler() {
        for (word, name) in PLUGS.iter().chain(&OUTLETS) {
            let number = word.trim_end_matches(['P', 'R']).rsplit('_').next();
            let amperes = match word.strip_prefix("IEC_60309_") {
                Some(code) => code.get(1..3),
                None => number.filter(|_| word.starts_with("NEMA")),
            };
            let Some(amperes) = amperes.and_then(|amperes| amperes.parse::<f64>().ok()) else {
                continue;
            };
            let coupler = find(name).unwrap_or_else(|| panic!("{name} is no coupler"));
            let practice = if [20.0, 30.0, 60.0, 15.0].contains(&amperes) {
                Practice::Nec
            } else {
                Practice::Iec
            };
            let rated = coupler.rated(practice).current.as_ref();
            let rated = rated.map(|rated| rated.value.in_amperes());
            assert_eq!(rated, Some(amperes), "{word}");
        }
    }
}
