//! What to buy: one row for each thing that is really different, less what hangs, lies in store or is on order, by
//! the best offer that holds.

pub(super) mod buying;
mod line;
pub(super) mod spares;
mod there;
pub(super) mod thing;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::LazyLock;

use crate::analysis::Analysis;
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Name};
use crate::quantity::{Currency, Length, Money, Quantity};

use super::table::{Column, NOTE, Row, Schedule, UNKNOWN, given, names, numbers, words};
use buying::Buying;
pub(super) use line::Line;
use spares::Spares;
use there::There;
use thing::TOLD;

/// The rules that stand against cords and types, by their names: errors, and what is not decided.
pub type Held = BTreeMap<Name, BTreeSet<&'static str>>;

/// The columns, with how each row is bought.
const WITH_OFFERS: &[Column] = &[
    names("type"),
    words("plug"),
    words("connector"),
    words("conductor"),
    words("cordage"),
    words("length"),
    words("colour"),
    words("rating"),
    words("approvals"),
    numbers("needed"),
    numbers("fitted"),
    numbers("in store"),
    numbers("on order"),
    numbers("spares"),
    numbers("order"),
    names("offer"),
    words("supplier"),
    words("part number"),
    words("made"),
    numbers("buy"),
    numbers("each"),
    numbers("sum"),
    words("lead"),
    words("labels to fit"),
    words("stands"),
    NOTE,
];

/// Of this column on a row tells what is bought.
const OFFERED: Range<usize> = 15..24;

/// The columns of a site where nobody offers anything.
static COLUMNS: LazyLock<Vec<Column>> = LazyLock::new(|| {
    let (before, behind) = (&WITH_OFFERS[..OFFERED.start], &WITH_OFFERS[OFFERED.end..]);
    [before, behind].concat()
});

/// One row for each thing that is different in anything that a maker must know, in the order of the definitions;
/// last what cannot be given back. `spares` is the percentage that is asked for, if any.
pub(super) fn order(analysis: &Analysis<'_>, spares: Option<u32>, held: &Held) -> Schedule {
    let spares = Spares::of(spares, &analysis.model.site);
    let lines = lines(analysis, held);
    let has_offers = !analysis.model.offers.is_empty();
    let is_held = lines.iter().any(|line| !line.stands.is_empty());
    let mut sums = Sums::default();
    let mut rows: Vec<(bool, Row)> = Vec::new();
    for line in lines {
        let bought = match line.wanted(spares) {
            Some(count) if count > 0 && has_offers => {
                Some(buying::buying(analysis, &line.kinds, line.length, count))
            }
            _ => None,
        };
        if let Some(Ok(buying)) = &bought {
            sums.add(buying);
        }
        let is_kept_for_good = matches!(&bought, Some(Ok(buying)) if buying.is_kept_for_good);
        rows.push((is_kept_for_good, row(line, spares, bought, has_offers)));
    }
    rows.sort_by_key(|(is_kept_for_good, _)| *is_kept_for_good);
    let rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
    let told = spares.map_or_else(
        || "How many spares are kept cannot be read: `spares` of the site.".to_owned(),
        Spares::told,
    );
    let mut notes = vec![told.as_str(), HOW];
    if is_held {
        notes.insert(0, NOT_FOR_ORDER);
    }
    let sums = sums.told();
    notes.extend(sums.iter().map(String::as_str));
    let columns = if has_offers { WITH_OFFERS } else { &COLUMNS };
    Schedule::new(columns, rows, &notes)
}

const HOW: &str = "order: needed and spares, less what is fitted, in store and on order by the `state` of each cord; one without a state is fitted. `store` and `orders` count where they say more than the cords do; what was received counts once it lies in store or its cord has a state. Input cords that belong to their PDU are not counted.";

pub(super) const NOT_FOR_ORDER: &str = "NOT FOR ORDER: errors or points that are not decided stand on rows of this list. \"cordwright check\" tells them.";

/// Cords by what they are, and types that lie in store or are on order though no cord is of them.
pub(super) fn lines(analysis: &Analysis<'_>, held: &Held) -> Vec<Line> {
    let there = there::there(analysis.model);
    let mut lines = Lines::default();
    for (cord, _) in analysis.model.cords.iter() {
        let kind = analysis.graph.links.cord_types[cord.index()];
        let line = lines.of(analysis, kind, || trunk(analysis, cord, kind));
        if let Some(kind) = kind {
            line.add_kind(analysis, kind, (&there, held));
        }
        line.add(analysis, cord, held);
    }
    for (kind, item) in analysis.model.cord_types.iter() {
        let is_there = |there: &There| there.in_store != Some(0) || there.on_order != Some(0);
        if there.get(&item.name.value).is_some_and(is_there) {
            let length = item.whole_length();
            let line = lines.of(analysis, Some(kind), || (String::new(), length));
            line.add_kind(analysis, kind, (&there, held));
        }
    }
    let mut lines = lines.all;
    lines.sort_by_key(|line| line.first);
    lines
}

/// The name of its type, and its length up to the connector or the split.
fn trunk(
    analysis: &Analysis<'_>,
    cord: Id<Cord>,
    kind: Option<Id<CordType>>,
) -> (String, Option<Length>) {
    let length = kind.and_then(|_| analysis.length_of(cord, None));
    (given(&analysis.model.cords[cord].cord_type), length)
}

#[derive(Default)]
struct Lines {
    all: Vec<Line>,
    by_thing: BTreeMap<Vec<String>, usize>,
}

impl Lines {
    fn of(
        &mut self,
        analysis: &Analysis<'_>,
        kind: Option<Id<CordType>>,
        cord: impl FnOnce() -> (String, Option<Length>),
    ) -> &mut Line {
        let (name, length) = cord();
        let thing = match kind {
            Some(kind) => thing::thing(analysis, &analysis.model.cord_types[kind], length),
            None => thing::unknown(&name),
        };
        let at = *self.by_thing.entry(thing.clone()).or_insert_with(|| {
            self.all.push(Line::of(thing, length));
            self.all.len() - 1
        });
        &mut self.all[at]
    }
}

fn row(
    line: Line,
    spares: Option<Spares>,
    bought: Option<Result<Buying, Vec<String>>>,
    has_offers: bool,
) -> Row {
    let number = |number: Option<usize>| {
        number.map_or_else(|| UNKNOWN.to_owned(), |number| number.to_string())
    };
    let numbers = [
        Some(line.needed),
        Some(line.fitted),
        line.in_store(),
        line.on_order(),
        spares.map(|spares| line.spares(spares)),
        line.wanted(spares),
    ];
    let mut row = vec![line.types.join(", ")];
    // Behind the cells lies what keeps apart things of which something is not known.
    row.extend(line.thing.into_iter().take(TOLD));
    row.extend(numbers.map(number));
    let mut notes = line.notes;
    if has_offers {
        match bought {
            Some(Ok(buying)) => row.extend(buying_cells(buying, &line.labels, &mut notes)),
            Some(Err(why)) => {
                let mut cells = vec![String::new(); OFFERED.len()];
                cells[0] = UNKNOWN.to_owned();
                row.extend(cells);
                notes.extend(why);
            }
            None => row.extend(vec![String::new(); OFFERED.len()]),
        }
    }
    let stands: Vec<&str> = line.stands.into_iter().collect();
    row.push(match stands.as_slice() {
        [] => String::new(),
        rules => format!("not for order: {}", rules.join(", ")),
    });
    row.push(notes.join("; "));
    row
}

fn buying_cells(buying: Buying, labels: &[String], notes: &mut Vec<String>) -> Row {
    let price =
        |price: Option<Money>| price.map_or_else(|| UNKNOWN.to_owned(), |price| price.show());
    notes.extend(buying.remarks);
    vec![
        buying.offer,
        buying.supplier,
        buying.part,
        buying.tolerance.unwrap_or_default(),
        buying.count.to_string(),
        price(buying.each),
        price(buying.sum),
        buying
            .lead
            .map_or_else(|| UNKNOWN.to_owned(), |lead| lead.show()),
        match buying.fits_labels {
            true => labels.join(", "),
            false => String::new(),
        },
    ]
}

/// What is bought of each supplier.
#[derive(Default)]
struct Sums {
    by_supplier: BTreeMap<String, OfSupplier>,
}

#[derive(Default)]
struct OfSupplier {
    rows: usize,
    without_price: usize,
    sums: BTreeMap<Currency, Option<Money>>,
}

impl Sums {
    fn add(&mut self, buying: &Buying) {
        let of = self.by_supplier.entry(buying.supplier.clone()).or_default();
        of.rows += 1;
        match buying.sum {
            None => of.without_price += 1,
            Some(sum) => {
                let so_far = of.sums.entry(sum.currency());
                so_far
                    .and_modify(|so_far| *so_far = so_far.and_then(|so_far| so_far.plus(sum)))
                    .or_insert(Some(sum));
            }
        }
    }

    /// A sentence for each supplier, in the order of their names.
    fn told(&self) -> Vec<String> {
        let each = self.by_supplier.iter().map(|(supplier, of)| {
            let sums = of.sums.values().flatten().map(Quantity::show);
            let mut parts: Vec<String> = sums.collect();
            if of.without_price > 0 {
                parts.push(format!("{} without a price", of.without_price));
            }
            let rows = if of.rows == 1 { "row" } else { "rows" };
            format!("{supplier}: {} {rows}, {}.", of.rows, parts.join(" and "))
        });
        each.collect()
    }
}
