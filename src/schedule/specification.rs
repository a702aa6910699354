//! The specification sheet of each make of cord, as one sends it to a maker: what it is, how it is measured and
//! tested, and how many of each length and colour are wanted with which labels.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::model::cords::{Angle, CordType};
use crate::model::offers::Offer;
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::{Length, Quantity};
use crate::source::Span;
use crate::tables::cord_tests;
use crate::tables::couplers::{Coupler, Earth};

use super::figure::Figure;
use super::order::buying::tolerance;
use super::order::spares::Spares;
use super::order::{Held, Line, lines, thing};
use super::table::{Column, Row, Schedule, UNKNOWN, given, names, words};

const COLUMNS: &[Column] = &[
    names("make"),
    words("property"),
    words("is"),
    words("source"),
];

/// A block of rows for each make, in the order of the definitions. Cords of no known type are left to the order.
pub(super) fn specification(analysis: &Analysis<'_>, spares: Option<u32>, held: &Held) -> Schedule {
    let spares = Spares::of(spares, &analysis.model.site);
    let lines = lines(analysis, held);
    let is_held = lines.iter().any(|line| !line.stands.is_empty());
    let mut makes: Vec<Make> = Vec::new();
    let mut by_key: BTreeMap<Vec<String>, usize> = BTreeMap::new();
    for line in &lines {
        let Some(kind) = line.kinds.first() else {
            continue;
        };
        let at = *by_key.entry(key(analysis, *kind, line)).or_insert_with(|| {
            makes.push(Make::of(analysis, *kind));
            makes.len() - 1
        });
        makes[at].lines.push(line);
    }
    tell_apart(&mut makes);
    let mut rows = Vec::new();
    let mut figures = Vec::new();
    for make in &makes {
        rows.extend(make.rows(analysis, spares));
        figures.push(Figure::of(&make.name, make.kind));
    }
    let mut notes = vec![HOW];
    if is_held {
        notes.insert(0, super::order::NOT_FOR_ORDER);
    }
    let mut schedule = Schedule::new(COLUMNS, rows, &notes);
    schedule.figures = figures;
    schedule
}

/// Cords of one make that are not the same are named by their first type as well: `m1, as blue`.
fn tell_apart(makes: &mut [Make<'_>]) {
    let mut blocks: BTreeMap<String, usize> = BTreeMap::new();
    for make in makes.iter() {
        *blocks.entry(make.name.clone()).or_default() += 1;
    }
    for make in makes.iter_mut().filter(|make| blocks[&make.name] > 1) {
        make.name = format!("{}, as {}", make.name, make.kind.name.value);
    }
}

const HOW: &str = "Ends are seen with the earth (ground) pin uppermost. What a maker cannot keep to he asks about before he makes anything.";

/// All that cords have in common but length and colour: those of a make may be told apart by what a type adds to it.
fn key(analysis: &Analysis<'_>, kind: Id<CordType>, line: &Line) -> Vec<String> {
    match analysis.graph.links.makes[kind.index()] {
        Some(make) => {
            let mut key = thing::as_made(&analysis.model.cord_types[kind]);
            key.insert(0, make.index().to_string());
            key
        }
        None => {
            let cells = line.thing.iter().enumerate();
            let same = cells.filter(|(at, _)| ![thing::LENGTH, thing::COLOUR].contains(at));
            same.map(|(_, cell)| cell.clone()).collect()
        }
    }
}

struct Make<'a> {
    name: String,
    kind: &'a Named<CordType>,
    offers: Vec<&'a Named<Offer>>,
    lines: Vec<&'a Line>,
}

impl<'a> Make<'a> {
    fn of(analysis: &Analysis<'a>, kind: Id<CordType>) -> Self {
        let model = analysis.model;
        let make = analysis.graph.links.makes[kind.index()];
        let offers = analysis.offers_of_type(kind).collect();
        let kind = &model.cord_types[kind];
        let name = make.map_or(&kind.name.value, |make| &model.cord_makes[make].name.value);
        Self {
            name: name.to_string(),
            kind,
            offers,
            lines: Vec::new(),
        }
    }

    fn rows(&self, analysis: &Analysis<'_>, spares: Option<Spares>) -> Vec<Row> {
        let mut said = Vec::new();
        said.push(Said::plain("cord", self.described()));
        said.push(Said::plain(
            "drawing",
            Figure::of(&self.name, self.kind).line(),
        ));
        said.extend(self.couplers(analysis));
        said.extend(self.jacket());
        said.extend(self.marks());
        said.extend(self.measured());
        said.extend(self.wanted(analysis, spares));
        said.into_iter()
            .map(|said| vec![self.name.clone(), said.property, said.is, said.source])
            .collect()
    }

    /// `Cord set, C14 to C13, 3 × 1 mm², H05VV-F, 10 A`, in the order that the trade describes cords in.
    fn described(&self) -> String {
        let kind = self.kind;
        let what = if kind.legs.is_empty() {
            "Cord set"
        } else {
            "Splitter cord"
        };
        let rating = thing::or_unknown(kind.rating.as_written());
        let parts = [
            format!("{} to {}", thing::plug(kind), thing::connectors(kind)),
            thing::conductor(kind),
            thing::cordage(kind),
            rating,
        ];
        format!("{what}, {}", parts.join(", "))
    }

    fn couplers(&self, analysis: &Analysis<'_>) -> Vec<Said> {
        let kind = self.kind;
        let mut said = vec![coupler(analysis, "plug", kind.plug.row())];
        if kind.legs.is_empty() {
            said.push(coupler(analysis, "connector", kind.connector.row()));
        }
        for leg in kind.legs.items() {
            let what = format!("connector of leg {}", leg.name.value);
            said.push(coupler(analysis, &what, leg.connector.row()));
        }
        said.push(Said::plain("plug leaves", angle(kind.plug_angle())));
        if kind.legs.is_empty() {
            let leaves = angle(kind.connector_angle(None));
            said.push(Said::plain("connector leaves", leaves));
        }
        if let Some(ends) = kind.retention.known() {
            said.push(Said::plain("plug held by", given(&ends.plug)));
            said.push(Said::plain("connector held by", given(&ends.connector)));
        }
        if let Some(air) = kind.hot_air.known() {
            let is = format!("{} up to {}", shown(&air.amperes), shown(&air.at));
            said.push(Said::plain("couplers in hot air", is));
        }
        if let Some(degree) = kind.connector_ip.known() {
            said.push(Said::plain("connector on its inlet", degree.to_string()));
        }
        said
    }

    fn jacket(&self) -> Vec<Said> {
        let kind = self.kind;
        let mut said = vec![
            Said::plain("conductors", thing::conductor(kind)),
            match kind.cordage.row() {
                Some(row) => Said {
                    property: "cordage".into(),
                    is: format!(
                        "{}, {} to earth and {} between conductors, to {}",
                        thing::cordage(kind),
                        row.voltage.to_earth.show(),
                        row.voltage.between.show(),
                        row.conductor_temperature.show()
                    ),
                    source: row.citation.to_string(),
                },
                None => Said::plain("cordage", thing::cordage(kind)),
            },
        ];
        for leg in kind.legs.items() {
            let flex = kind.flex_of(leg);
            let is = [
                flex.conductor.as_written(),
                flex.cordage.as_written(),
                flex.length.known().map(Quantity::show),
            ];
            let is: Vec<String> = is.into_iter().flatten().collect();
            said.push(Said::plain(
                &format!("leg {}", leg.name.value),
                is.join(", "),
            ));
        }
        said
    }

    fn marks(&self) -> Vec<Said> {
        let kind = self.kind;
        let mut said = vec![
            Said::plain("rated current", thing::or_unknown(kind.rating.as_written())),
            Said::plain("approvals", thing::approvals(kind)),
        ];
        said.extend(
            kind.plug_fuse()
                .map(|fuse| Said::plain("fuse in the plug", fuse.value.show())),
        );
        said
    }

    /// How its length is measured, and what each cord is tested for before it leaves the works.
    fn measured(&self) -> Vec<Said> {
        if self.kind.is_adapter() {
            return vec![Said::plain(
                "adapter",
                "plug and connector in one body, no cord between".into(),
            )];
        }
        let mut ways: Vec<String> = Vec::new();
        for offer in &self.offers {
            let way = tolerance(offer, " ");
            ways.extend(way.filter(|way| !ways.contains(way)));
        }
        let measured = match ways.is_empty() {
            true => format!("{UNKNOWN} to be agreed: over what it is measured, and the tolerance"),
            false => ways.join("; or "),
        };
        let mut said = vec![Said::plain("length", measured)];
        said.push(Said::plain(
            "every cord is tested for",
            "continuity and polarity of each conductor; insulation; earth resistance as below"
                .into(),
        ));
        if let Some(least) = cord_tests::insulation() {
            said.push(Said {
                property: "insulation".into(),
                is: format!(
                    "at least {} Mohm at {} V DC",
                    least.value.megohms, least.value.volts
                ),
                source: least.citation.to_string(),
            });
        }
        said
    }

    /// A row for each length and colour: how many, the limit of its earth, and its labels.
    fn wanted(&self, analysis: &Analysis<'_>, spares: Option<Spares>) -> Vec<Said> {
        let each = self.lines.iter().flat_map(|line| {
            let shown = thing::lengths(analysis, self.kind, line.length);
            let name = format!("{shown}, {}", line.thing[thing::COLOUR]);
            let count = line.wanted(spares);
            let count = count.map_or_else(|| UNKNOWN.to_owned(), |count| count.to_string());
            let mut said = vec![Said::plain(
                &name,
                format!("{count} to be made ({})", line.types.join(", ")),
            )];
            said.extend(earth_of(self.kind, line.length).map(|(is, citation)| Said {
                property: format!("{name}: earth at 20 °C"),
                is,
                source: citation.to_string(),
            }));
            if !line.labels.is_empty() {
                said.push(Said::plain(
                    &format!("{name}: labels"),
                    line.labels.join(", "),
                ));
            }
            said
        });
        each.collect()
    }
}

/// Whether a cord has an earth conductor, as far as anybody says: two cores have none, nor has a plug without a contact
/// for it.
pub(super) fn has_earth(kind: &CordType) -> bool {
    let has_contact = |plug: &Coupler| plug.earth != Earth::None;
    kind.cores.known() != Some(&2) && kind.plug.row().is_none_or(has_contact)
}

/// The most that the earth of a cord may measure, up to the longest leg.
pub(super) fn earth_of(kind: &CordType, trunk: Option<Length>) -> Option<(String, Citation)> {
    if !has_earth(kind) {
        return None;
    }
    let legs = kind.legs.items().iter();
    let longest = legs.filter_map(|leg| leg.length.known().copied());
    let longest = longest.reduce(|a, b| if b > a { b } else { a });
    let whole = trunk? + longest.unwrap_or_default();
    let limit = cord_tests::earth_resistance(*kind.conductor.known()?, whole)?;
    Some((format!("at most {}", limit.value.show()), limit.citation))
}

fn shown<T: Quantity>(field: &Field<T>) -> String {
    field
        .known()
        .map_or_else(|| UNKNOWN.to_owned(), Quantity::show)
}

fn angle(written: Result<Option<&Spanned<Angle>>, Span>) -> String {
    match written {
        Ok(Some(angle)) => angle.value.word().to_owned(),
        Ok(None) => Angle::Straight.word().to_owned(),
        Err(_) => UNKNOWN.to_owned(),
    }
}

/// A coupler with what it is rated at and where that stands.
fn coupler(analysis: &Analysis<'_>, what: &str, row: Option<&Coupler>) -> Said {
    let Some(row) = row else {
        return Said::plain(what, UNKNOWN.to_owned());
    };
    let mut is = vec![row.name.clone()];
    is.extend(
        row.voltage
            .as_ref()
            .map(|voltage| voltage.value.highest.show()),
    );
    if let Some(practice) = analysis.practice() {
        let rated = row.rated(practice).current.as_ref();
        is.extend(rated.map(|rated| rated.value.show()));
    }
    is.extend(
        row.pin_temperature
            .as_ref()
            .map(|pins| format!("pins to {}", pins.value.show())),
    );
    Said {
        property: what.to_owned(),
        is: is.join(", "),
        source: row.citation.to_string(),
    }
}

/// One thing that is said of a make.
struct Said {
    property: String,
    is: String,
    source: String,
}

impl Said {
    fn plain(property: &str, is: String) -> Self {
        Self {
            property: property.to_owned(),
            is,
            source: String::new(),
        }
    }
}
