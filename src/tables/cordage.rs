//! Cord types: what may be asked of a cord by the name printed on its jacket.

use std::borrow::Cow;
use std::sync::LazyLock;

use rustc_hash::FxHashMap;
use serde::Deserialize;
use smol_str::SmolStr;
use uom::si::electric_potential::volt;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::by_size::{ListedSize, is_larger, same_size};
use super::{Provenance, Table, spellings};
use crate::citation::{Citation, Cited, Confidence};
use crate::quantity::{ConductorSize, Quantity, Temperature, Voltage};
use crate::spelling::Glance;

mod advice;
mod own;
mod weaker;

pub use advice::advice;
pub use weaker::weaker;

/// Whose system the name belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Harmonised (HD 361) and IEC 60227/60245 names.
    Harmonised,
    /// NEC Table 400.4 and UL 62 names.
    Nec,
    /// Japanese names.
    Japan,
}

/// What the conductors are insulated with: decides the adiabatic constant and the table columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Insulation {
    /// PVC for conductors up to 70 °C.
    Pvc70,
    /// Heat-resistant PVC, up to 90 °C.
    Pvc90,
    /// Ordinary rubber, 60 °C.
    Rubber60,
    /// Ethylene propylene rubber or cross-linked polyethylene, 90 °C.
    Epr90,
    /// Halogen-free thermoplastic, 70 °C.
    HalogenFreeThermoplastic70,
    /// Halogen-free cross-linked, 90 °C.
    HalogenFreeCrosslinked90,
    /// Thermoplastic of UL 62, 60 to 105 °C as marked.
    Thermoplastic,
    /// Thermoset of UL 62, 60 to 105 °C as marked.
    Thermoset,
    /// Thermoplastic elastomer of UL 62, up to 105 °C.
    ThermoplasticElastomer,
}

impl Insulation {
    /// Whether it is rubber of any class, or a plastic made for 90 °C or more.
    pub fn stands_heat(self) -> bool {
        match self {
            Self::Rubber60
            | Self::Epr90
            | Self::Thermoset
            | Self::Pvc90
            | Self::HalogenFreeCrosslinked90
            | Self::ThermoplasticElastomer => true,
            Self::Pvc70 | Self::HalogenFreeThermoplastic70 | Self::Thermoplastic => false,
        }
    }
}

/// How hard a cord may be treated, in the words of its own standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Duty {
    /// IEC: light duty.
    Light,
    /// IEC: ordinary duty.
    Ordinary,
    /// IEC: heavy duty.
    Heavy,
    /// NEC: not hard usage.
    NotHard,
    /// NEC: hard usage (junior hard service).
    Hard,
    /// NEC: extra-hard usage (hard service).
    ExtraHard,
}

impl Duty {
    /// The classes of both practices on one scale. Common practice: NEC hard usage with ordinary duty,
    /// extra-hard usage with heavy duty, on the safe side.
    pub fn grade(self) -> u8 {
        match self {
            Self::Light | Self::NotHard => 1,
            Self::Ordinary | Self::Hard => 2,
            Self::Heavy | Self::ExtraHard => 3,
        }
    }
}

/// Rated voltage U0/U: to earth, and between conductors.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct RatedVoltage {
    /// U0: highest permitted nominal voltage between a conductor and earth.
    pub to_earth: Voltage,
    /// U: highest permitted nominal voltage between two conductors.
    pub between: Voltage,
}

/// The sizes a cordage is made in.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizes {
    /// Smallest conductor.
    pub smallest: ConductorSize,
    /// Largest conductor any edition read here allows.
    pub largest: ConductorSize,
    /// Largest conductor that all of them allow.
    pub undisputed: ConductorSize,
    /// The only sizes between them that it is made in, where its maker lists them; else empty.
    pub listed: Vec<ConductorSize>,
    /// Where the sizes come from.
    pub citation: Citation,
}

/// Whether a cordage is made in a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeFit {
    /// It is.
    Made,
    /// Editions disagree.
    Disputed,
    /// It is not: the type or the size in the record must be wrong.
    NotMade,
}

/// What a cordage is made in, where that is not the size in question.
#[derive(Clone, Debug, PartialEq)]
pub struct NotMade {
    /// The sizes, in words.
    pub made_in: String,
    /// Where they come from.
    pub citation: Citation,
}

/// Where a cordage may be used. `None`: not known, which is never a yes.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// Mechanical duty.
    pub duty: Duty,
    /// Gives off no halogen acid gas in a fire.
    pub halogen_free: Option<bool>,
    /// Jacket (at least) resists oil.
    pub oil_resistant: Option<bool>,
    /// Suitable for wet locations.
    pub wet: Option<bool>,
    /// Where this comes from.
    pub citation: Citation,
}

/// One cord type.
#[derive(Clone, Debug, PartialEq)]
pub struct Cordage {
    /// Its first name, as printed on the jacket.
    pub name: SmolStr,
    /// Whose name it is.
    pub family: Family,
    /// Rated voltage.
    pub voltage: RatedVoltage,
    /// Highest operating temperature of the conductor; of a NEC cord without a marked rating, 60 °C.
    pub conductor_temperature: Temperature,
    /// Insulation of the conductors.
    pub insulation: Insulation,
    /// Sizes it is made in.
    pub sizes: Sizes,
    /// Where it may be used.
    pub service: Service,
    /// Standard behind name, voltage and temperature.
    pub citation: Citation,
}

impl Cordage {
    /// This cordage with a temperature marked on it: one that is marked below its type bears the mark alone.
    /// A mark above raises nothing.
    pub fn cooled_to(&self, mark: Option<Temperature>) -> Cow<'_, Self> {
        match mark {
            Some(mark) if mark < self.conductor_temperature => Cow::Owned(Self {
                conductor_temperature: mark,
                ..self.clone()
            }),
            _ => Cow::Borrowed(self),
        }
    }

    /// Ambient at which the conductor would be at its limit without any load: no use at or above it.
    pub fn ambient_limit(&self) -> Cited<Temperature> {
        Cited {
            value: self.conductor_temperature,
            citation: self.citation.clone(),
        }
    }

    /// What it is made in instead, where no edition read here makes it in the size.
    pub fn not_made(&self, size: ConductorSize) -> Option<NotMade> {
        (self.size_fit(size) == SizeFit::NotMade).then(|| {
            let mut citation = self.sizes.citation.clone();
            // Editions that disagree on the largest size agree that none beyond it is made.
            if citation.confidence == Confidence::Disputed {
                citation.confidence = self.citation.confidence;
            }
            NotMade {
                made_in: self.sizes.show(),
                citation,
            }
        })
    }

    /// Whether this cordage is made in the size, compared by cross-section.
    pub fn size_fit(&self, size: ConductorSize) -> SizeFit {
        if !self.sizes.has(size) {
            SizeFit::NotMade
        } else if is_larger(size, self.sizes.undisputed) {
            SizeFit::Disputed
        } else {
            SizeFit::Made
        }
    }
}

impl Sizes {
    /// The largest size that it is made in beyond dispute and that is no larger than this one; where all are
    /// larger, this one.
    pub fn at_or_below(&self, size: ConductorSize) -> ConductorSize {
        if is_larger(size, self.undisputed) {
            return self.undisputed;
        }
        let smaller = self.listed.iter().filter(|made| !is_larger(**made, size));
        let largest = smaller.reduce(|a, b| if is_larger(*b, *a) { b } else { a });
        largest.copied().unwrap_or(size)
    }

    /// The sizes in words: `18 to 16 AWG`.
    pub fn show(&self) -> String {
        match &self.listed[..] {
            [] => format!("{} to {}", self.smallest.show(), self.largest.show()),
            listed => {
                let sizes: Vec<String> = listed.iter().map(|size| size.show()).collect();
                sizes.join(", ")
            }
        }
    }

    /// Whether any edition allows the size.
    fn has(&self, size: ConductorSize) -> bool {
        let listed = &self.listed;
        let is_listed = listed.is_empty() || listed.iter().any(|&made| same_size(made, size));
        is_listed && within(self.smallest, size, self.largest)
    }
}

fn within(smallest: ConductorSize, size: ConductorSize, largest: ConductorSize) -> bool {
    let is_number = size.area().is_finite();
    is_number && !is_larger(smallest, size) && !is_larger(size, largest)
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Row {
    name: String,
    #[serde(default)]
    aliases: Vec<String>,
    /// Other names that are known from memory only.
    #[serde(default)]
    known_as: Vec<String>,
    /// Letters that may follow the name: O and OO oil-resistant, W wet locations.
    #[serde(default)]
    suffixes: Vec<String>,
    family: Family,
    volts: (f64, f64),
    celsius: f64,
    insulation: Insulation,
    source: String,
    confidence: Confidence,
    sizes: SizesRow,
    service: ServiceRow,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct SizesRow {
    from: ListedSize,
    to: ListedSize,
    undisputed: Option<ListedSize>,
    confidence: Confidence,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct ServiceRow {
    duty: Duty,
    halogen_free: Option<bool>,
    oil_resistant: Option<bool>,
    wet: Option<bool>,
    confidence: Confidence,
}

struct Catalogue {
    cordages: Vec<Cordage>,
    /// Those of them that go by a name from memory, with all that is said of them as from memory.
    remembered: Vec<Cordage>,
    by_name: FxHashMap<SmolStr, usize>,
    by_remembered_name: FxHashMap<SmolStr, usize>,
}

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("cordage", include_str!("data/cordage.yaml"));
    let mut catalogue = Catalogue {
        cordages: Vec::new(),
        remembered: Vec::new(),
        by_name: FxHashMap::default(),
        by_remembered_name: FxHashMap::default(),
    };
    for row in &table.rows {
        catalogue.enter(&table, row, "");
        for suffix in &row.suffixes {
            catalogue.enter(&table, row, suffix);
        }
    }
    catalogue
});

impl Catalogue {
    fn enter(&mut self, table: &Table<Row>, row: &Row, suffix: &str) {
        let index = self.cordages.len();
        let cordage = cordage(table, row, suffix);
        self.by_name.insert(folded(&cordage.name), index);
        if suffix.is_empty() {
            for alias in &row.aliases {
                self.by_name.insert(folded(alias), index);
            }
            if !row.known_as.is_empty() {
                let index = self.remembered.len();
                let names = row.known_as.iter().map(|name| (folded(name), index));
                self.by_remembered_name.extend(names);
                self.remembered.push(remembered(cordage.clone()));
            }
        }
        self.cordages.push(cordage);
    }
}

/// The same, as far as somebody knows who has its name from memory.
fn remembered(mut cordage: Cordage) -> Cordage {
    for citation in [
        &mut cordage.citation,
        &mut cordage.sizes.citation,
        &mut cordage.service.citation,
    ] {
        citation.confidence = citation.confidence.max(Confidence::FromMemory);
    }
    cordage
}

fn cordage(table: &Table<Row>, row: &Row, suffix: &str) -> Cordage {
    let cite = |confidence| {
        table.cite(&Provenance {
            source: row.source.clone(),
            confidence,
        })
    };
    Cordage {
        name: format!("{}{suffix}", row.name).into(),
        family: row.family,
        voltage: RatedVoltage {
            to_earth: Voltage::new::<volt>(row.volts.0),
            between: Voltage::new::<volt>(row.volts.1),
        },
        conductor_temperature: Temperature::new::<degree_celsius>(row.celsius),
        insulation: row.insulation,
        sizes: Sizes {
            smallest: row.sizes.from.0,
            largest: row.sizes.to.0,
            undisputed: row.sizes.undisputed.unwrap_or(row.sizes.to).0,
            listed: Vec::new(),
            citation: cite(row.sizes.confidence),
        },
        service: Service {
            duty: row.service.duty,
            halogen_free: row.service.halogen_free,
            oil_resistant: row
                .service
                .oil_resistant
                .map(|is| is || suffix.contains('O')),
            wet: row.service.wet.map(|is| is || suffix.contains('W')),
            citation: cite(row.service.confidence),
        },
        citation: cite(row.confidence),
    }
}

/// Names are compared without regard to case, blanks, hyphens and underscores.
fn folded(name: &str) -> SmolStr {
    name.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'))
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

/// The cordage of this name or alias.
pub fn find(name: &str) -> Option<&'static Cordage> {
    let name = folded(name);
    if let Some(index) = CATALOGUE.by_name.get(&name) {
        return CATALOGUE.cordages.get(*index);
    }
    let index = *CATALOGUE.by_remembered_name.get(&name)?;
    CATALOGUE.remembered.get(index)
}

/// A regular expression that every name and alias matches, in all the spellings that [`find`] reads.
pub fn pattern() -> String {
    let names = CATALOGUE.by_name.keys();
    spellings::spread(names.chain(CATALOGUE.by_remembered_name.keys()))
}

/// Every cordage, in the order of the table.
pub fn all() -> &'static [Cordage] {
    &CATALOGUE.cordages
}

/// The names as they are compared.
static FOLDED: LazyLock<Vec<(SmolStr, Glance)>> = LazyLock::new(|| {
    let names = all().iter().map(|cordage| folded(&cordage.name));
    names
        .map(|name| (name.clone(), Glance::of(&name)))
        .collect()
});

/// The known name most like a misspelt one, if any is near; ties go to the first in the table.
pub fn nearest(name: &str) -> Option<&'static str> {
    /// Jaro–Winkler likeness below which two names are not taken for the same word.
    const ALIKE: f64 = 0.8;
    /// Characters of the longest text that is held against the names.
    const LONGEST: usize = 64;
    let wanted = folded(name);
    let glance = Glance::of(&wanted);
    if glance.len() > LONGEST {
        return None;
    }
    let mut best: Option<(f64, &'static str)> = None;
    for (cordage, (name, other)) in all().iter().zip(FOLDED.iter()) {
        // Names that are alike have half of their letters in common, of both together.
        let common = glance.most_in_common(other) as f64;
        if common / (glance.len() as f64) + common / (other.len() as f64) < 0.99 {
            continue;
        }
        let likeness = strsim::jaro_winkler(&wanted, name);
        if likeness >= ALIKE && best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, &cordage.name));
        }
    }
    best.map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn awg(gauge: i8) -> ConductorSize {
        ConductorSize::Awg(gauge)
    }

    #[test]
    fn every_name_is_found_and_no_two_rows_share_one() {
        for cordage in all() {
            assert_eq!(find(&cordage.name), Some(cordage), "{}", cordage.name);
            assert!(!cordage.citation.standard.is_empty(), "{}", cordage.name);
            assert_eq!(cordage.size_fit(cordage.sizes.smallest), SizeFit::Made);
        }
    }

    #[test]
    fn iec_numbers_name_the_same_cordage_as_the_harmonised_names() {
        let pairs = [
            ("60227 IEC 53", "H05VV-F"),
            ("60227 iec 52", "H03VV-F"),
            ("60245 IEC 66", "H07RN-F"),
            ("h05vvf", "H05VV-F"),
        ];
        for (alias, name) in pairs {
            assert_eq!(find(alias).map(|found| found.name.as_str()), Some(name));
        }
    }

    #[test]
    fn names_from_memory_say_that_they_are() {
        for (text, name) in [
            ("60227 IEC 53 (RVV)", "H05VV-F"),
            ("60227 KS IEC 53", "H05VV-F"),
            ("247 NM 53", "H05VV-F"),
            ("3183Y", "H05VV-F"),
            ("3093y", "H05V2V2-F"),
            ("2192Y", "H03VV-F"),
            ("60245 IEC 57 (YZW)", "H05RN-F"),
        ] {
            let found = find(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(found.name, name, "{text}");
            let said = [
                &found.citation,
                &found.sizes.citation,
                &found.service.citation,
            ];
            assert!(
                said.iter()
                    .all(|one| one.confidence == Confidence::FromMemory)
            );
        }
        let twice = |name: &SmolStr| CATALOGUE.by_name.contains_key(name);
        assert!(!CATALOGUE.by_remembered_name.keys().any(twice));
    }

    /// JIS C 3306: 0.6 mm of insulation and 1.0 mm of jacket, against 0.6 mm and 0.8 mm of H05VV-F.
    #[test]
    fn the_japanese_cord_is_of_ordinary_duty() {
        for name in ["VCTF", "HVCTF"] {
            assert_eq!(find(name).map(|it| it.service.duty), Some(Duty::Ordinary));
        }
    }

    /// NEC Table 400.4 and its notes: O oil, W wet, J or V 300 V, neither 600 V.
    #[test]
    fn letters_of_a_nec_name_say_what_the_table_says() {
        for (name, volts, oil, wet, duty) in [
            ("SVT", 300.0, false, false, Duty::NotHard),
            ("SJT", 300.0, false, false, Duty::Hard),
            ("SJTO", 300.0, true, false, Duty::Hard),
            ("SJTW", 300.0, false, true, Duty::Hard),
            ("SJTOOW", 300.0, true, true, Duty::Hard),
            ("SOOW", 600.0, true, true, Duty::ExtraHard),
            ("STOOW", 600.0, true, true, Duty::ExtraHard),
            ("SEOOW", 600.0, true, true, Duty::ExtraHard),
        ] {
            let Some(cordage) = find(name) else {
                panic!("{name} is not in the table");
            };
            assert!(
                (cordage.voltage.between.get::<volt>() - volts).abs() < 1e-9,
                "{name}"
            );
            assert_eq!(cordage.service.oil_resistant, Some(oil), "{name}");
            assert_eq!(cordage.service.wet, Some(wet), "{name}");
            assert_eq!(cordage.service.duty, duty, "{name}");
        }
    }

    #[test]
    fn svt_is_made_in_small_sizes_only_and_its_largest_is_disputed() {
        let fit = |gauge| find("SVT").map(|svt| svt.size_fit(awg(gauge)));
        assert_eq!(fit(20), Some(SizeFit::NotMade));
        assert_eq!(fit(18), Some(SizeFit::Made));
        assert_eq!(fit(17), Some(SizeFit::Made));
        assert_eq!(fit(16), Some(SizeFit::Disputed));
        assert_eq!(fit(14), Some(SizeFit::NotMade));
    }

    #[test]
    fn a_misspelt_name_finds_its_neighbour_and_nonsense_finds_nothing() {
        assert_eq!(nearest("H05VVF-"), Some("H05VV-F"));
        assert_eq!(nearest("SJTOOV"), Some("SJTOO"));
        assert_eq!(nearest("garden hose"), None);
        assert_eq!(nearest(""), None);
        assert_eq!(find(""), None);
    }
}
