//! The sheet of a room on its way back: which cord was found in which outlet, as the `from` of that cord.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::date::Date;
use crate::finding::Fact;
use crate::judgement::Site;
use crate::model::cords::{Cord, CordState};
use crate::model::value::Named;
use crate::report::count;
use crate::schedule::far_ends;
use crate::spelling::nearest;
use crate::take_in::Remark;
use crate::take_in::table::Row;

use super::answers::{Answer, column};
use super::room::{AS_FOUND, CORD, OUTLET, PDU, room};

/// Words by which a row is as it says.
const AS_IT_SAYS: [&str; 7] = ["ok", "yes", "y", "x", "✓", "✔", "as recorded"];
/// Words by which nothing is plugged in.
const FREE: [&str; 8] = ["free", "empty", "none", "nothing", "no cord", "-", "–", "—"];
/// What may stand in the last column.
const LIKE: &str =
    "Write the label of the cord that is there, `free` where there is none, or `ok`.";

/// So many labels that no cord has are held against all that there are.
const MOST_SOUGHT: usize = 100;

/// What was found in a room.
#[derive(Default)]
struct Walk {
    /// Where each cord was found: the row, and the outlet.
    found: BTreeMap<String, Vec<(usize, String)>>,
    /// Cords that were not found where the sheet has them, with the row and the outlet.
    missed: Vec<(usize, String, String)>,
    rows: usize,
}

/// The cords that hang elsewhere than is recorded, what is to be said of the whole walk, and in the remarks what is
/// left to a person; `None` if this is no sheet of a room.
pub(super) fn answers(
    site: &Site,
    today: Date,
    rows: &[Row],
    remarks: &mut Vec<Remark>,
) -> Option<(Vec<Answer>, String)> {
    let (headings, rows) = rows.split_first()?;
    let [strip, outlet, cord, said] =
        [PDU, OUTLET, CORD, AS_FOUND].map(|name| column(headings, name));
    let (strip, outlet, cord, said) = (strip?, outlet?, cord?, said?);
    let recorded = Recorded::of(&site.analysis(today), &site.as_it_hangs(today));
    let mut walk = Walk::default();
    for row in rows.iter().filter(|row| !row.text(said).is_empty()) {
        walk.rows += 1;
        let outlet = format!("{}/{}", row.text(strip), row.text(outlet));
        let words = (row.text(cord), row.text(said));
        if let Err(remark) = walk.read(&recorded, row.number, outlet, words) {
            remarks.push(*remark);
        }
    }
    let (answers, as_recorded) = walk.moved(&recorded, remarks);
    walk.tell_missed(remarks);
    let note = format!(
        "{}: {as_recorded} as recorded, and {}.",
        count(walk.rows, "row is filled in", "rows are filled in"),
        count(
            answers.len(),
            "cord hangs elsewhere",
            "cords hang elsewhere"
        )
    );
    Some((answers, note))
}

impl Walk {
    fn read(
        &mut self,
        recorded: &Recorded<'_>,
        row: usize,
        outlet: String,
        (own, said): (&str, &str),
    ) -> Result<(), Box<Remark>> {
        if !recorded.outlets.contains_key(&outlet) {
            let what = format!("there is no outlet {outlet}");
            let advice = "Look at the names on the strip.";
            return Err(Box::new(Remark::of_row(row, what, advice)));
        }
        let word = said.to_lowercase();
        let (is_tick, is_free) = (
            AS_IT_SAYS.contains(&word.as_str()),
            FREE.contains(&word.as_str()),
        );
        if (is_tick || is_free) && recorded.cords.contains_key(said) {
            let what = format!("`{said}` may be the cord of this name, or a word for the row");
            let advice = "Correct the definitions by hand.";
            return Err(Box::new(Remark::of_row(row, what, advice)));
        }
        let there = match (is_tick, is_free) {
            (true, _) => own,
            (_, true) => "",
            _ => recorded
                .cord(said)
                .ok_or_else(|| Box::new(recorded.unknown(row, &outlet, said)))?,
        };
        if !own.is_empty() && own != there {
            self.missed.push((row, own.to_owned(), outlet.clone()));
        }
        if !there.is_empty() {
            let places = self.found.entry(there.to_owned()).or_default();
            places.push((row, outlet));
        }
        Ok(())
    }

    /// The cords that are not where they are recorded, and how many rows say what is recorded.
    fn moved(&self, recorded: &Recorded<'_>, remarks: &mut Vec<Remark>) -> (Vec<Answer>, usize) {
        let (mut answers, mut as_recorded) = (Vec::new(), 0);
        for (name, places) in &self.found {
            let outlets: BTreeSet<&String> = places.iter().map(|(_, outlet)| outlet).collect();
            let Some(cord) = recorded.cords.get(name.as_str()) else {
                for (row, outlet) in places {
                    remarks.push(recorded.unknown(*row, outlet, name));
                }
                continue;
            };
            let (row, outlet) = &places[0];
            if outlets.len() > 1 {
                let outlets: Vec<&str> = outlets.iter().map(|outlet| outlet.as_str()).collect();
                let what = format!("cord {name} is said to be in {}", outlets.join(" and in "));
                let advice = "Look again, and write it where its plug is.";
                remarks.extend(
                    places
                        .iter()
                        .map(|(row, _)| Remark::of_row(*row, what.clone(), advice)),
                );
                continue;
            }
            remarks.extend(to_be_fitted(cord, *row));
            let here = &recorded.outlets[outlet];
            // One that is to be fitted is in no outlet yet.
            let own = cord.from.known().map(|from| from.0.to_string());
            if here.iter().any(|own| own == name) || own.as_ref() == Some(outlet) {
                as_recorded += places.len();
                continue;
            }
            let fact = Fact::of(cord, "from", Some(&cord.from));
            answers.push((*row, fact, outlet.clone()));
        }
        answers.sort_by_key(|(row, ..)| *row);
        (answers, as_recorded)
    }

    /// What is gone from its outlet must be somewhere.
    fn tell_missed(&self, remarks: &mut Vec<Remark>) {
        let lost = self.missed.iter();
        let lost = lost.filter(|(_, cord, _)| !self.found.contains_key(cord));
        remarks.extend(lost.map(|(row, cord, outlet)| {
            let what = format!(
                "cord {cord} was not found in {outlet}, where the sheet has it, and nowhere else"
            );
            Remark::of_row(
                *row,
                what,
                "Find its plug and write its label there; if it hangs no more, take it out of the definitions.",
            )
        }));
    }
}

fn to_be_fitted(cord: &Named<Cord>, row: usize) -> Option<Remark> {
    let state = cord.state.known()?;
    if matches!(state, CordState::Fitted | CordState::ToPull) {
        return None;
    }
    let what = format!(
        "cord {} was found in the room, and is not recorded as fitted",
        cord.name.value
    );
    Some(Remark::of_row(
        row,
        what,
        "Write `state: fitted`, with the day in `fitted`.",
    ))
}

/// The room as the definitions have it.
struct Recorded<'a> {
    /// The cords in each outlet.
    outlets: BTreeMap<String, Vec<String>>,
    cords: BTreeMap<&'a str, &'a Named<Cord>>,
    /// Which cords lead to an inlet.
    to: BTreeMap<String, Vec<&'a str>>,
    /// For how many labels a like one was looked for.
    sought: Cell<usize>,
}

impl<'a> Recorded<'a> {
    fn of(planned: &Analysis<'a>, hanging: &Analysis<'_>) -> Self {
        let mut outlets: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let all = room(hanging, None).map_or_else(Vec::new, |all| all.rows);
        for row in all {
            if let [_, strip, outlet, _, cord, ..] = row.as_slice() {
                let own = outlets.entry(format!("{strip}/{outlet}")).or_default();
                own.extend((!cord.is_empty()).then(|| cord.clone()));
            }
        }
        let (mut cords, mut to) = (BTreeMap::new(), BTreeMap::<String, Vec<&str>>::new());
        for (id, cord) in planned.model.cords.iter() {
            let name = cord.name.value.as_str();
            cords.insert(name, cord);
            to.entry(far_ends(planned, id)).or_default().push(name);
        }
        Self {
            outlets,
            cords,
            to,
            sought: Cell::new(0),
        }
    }

    /// The cord that is called so, or the only one that leads to an inlet that is called so.
    fn cord(&self, said: &str) -> Option<&'a str> {
        let named = self.cords.get_key_value(said).map(|(name, _)| *name);
        named.or_else(|| match self.to.get(said)?.as_slice() {
            [only] => Some(only),
            _ => None,
        })
    }

    fn unknown(&self, row: usize, outlet: &str, said: &str) -> Remark {
        let what = format!("in {outlet} there is `{said}`, and no cord of the site is called so");
        let is_sought = self.sought.replace(self.sought.get() + 1) < MOST_SOUGHT;
        let names = self.cords.keys().copied();
        let near = is_sought.then(|| nearest(said, names)).flatten();
        let advice = match near {
            Some(near) => format!("{} If it is another, add the cord. {LIKE}", near.question()),
            None => format!("Add the cord, if it is one. {LIKE}"),
        };
        Remark::of_row(row, what, advice)
    }
}
