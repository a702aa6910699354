//! What is said of a cord type whose marks do not pass.

use crate::analysis::{Analysis, place};
use crate::finding::{Fact, Finding, Place};
use crate::model::cords::CordType;
use crate::model::optional::Stated;
use crate::model::text::clip;
use crate::model::value::{Id, Named};
use crate::rules::Draft;
use crate::tables::approvals::{Begins, Market};
use crate::tables::countries::Country;
use crate::tables::marks;

use super::{Fault, RULE};

/// A cord type that is judged.
pub(super) struct Case<'a> {
    pub analysis: &'a Analysis<'a>,
    pub id: Id<CordType>,
    pub kind: &'a Named<CordType>,
    pub country: &'a Country,
    pub market: &'a Market,
    pub begins: Begins,
}

/// Marks that a finding names one by one.
const MOST: usize = 6;

impl Case<'_> {
    pub(super) fn told(&self, fault: &Fault) -> Finding {
        let (kind, marks) = (self.kind, &self.kind.approvals);
        let at = marks.place().unwrap_or(kind.name.span);
        let mut notes = self.notes();
        let note = match (fault, notes.is_empty()) {
            (Fault::Unreadable, true) => "the approvals cannot be read".to_owned(),
            (_, true) => "approvals are missing".to_owned(),
            (_, false) => notes.remove(0).note,
        };
        let known = marks.words().take(MOST).filter_map(marks::find);
        let draft = Draft::new(
            &RULE,
            self.headline(fault),
            at,
            note,
            self.market.citation.clone(),
        )
        .also(known.map(|mark| mark.citation.clone()))
        .below(notes)
        .below(self.cords())
        .working([self.wanted()])
        .advice(self.advice(fault))
        .about([kind.name.value.clone()])
        .suffered_by(self.analysis.cords_of(self.id).cloned());
        match fault {
            _ if fault.is_broken(self.market) => draft.finish(),
            Fault::NoApproval | Fault::Elsewhere | Fault::Unsettled => draft.open().finish(),
            Fault::NoPlug => draft
                .wants([Fact::of(kind, "plug", Some(&kind.plug))])
                .finish(),
            _ => draft
                .wants([Fact::of(kind, "approvals", Some(marks))])
                .finish(),
        }
    }

    fn headline(&self, fault: &Fault) -> String {
        let (name, country) = (&self.kind.name.value, &self.country.name);
        let open = match fault {
            Fault::NoApproval if fault.is_broken(self.market) => {
                return format!(
                    "no mark on record shows that somebody independent has tested plug and connector of cord type {name} (site's country: {country}): a counterfeit would not show"
                );
            }
            Fault::Elsewhere if fault.is_broken(self.market) => {
                return format!(
                    "cord type {name} was tested for other countries: it has no mark on record that the site's country ({country}) takes on {}, and its rules may ask for more",
                    self.cords_in_words()
                );
            }
            Fault::NoMark => "Missing: its marks (on plug, connector and jacket)".to_owned(),
            Fault::Unreadable => "Open: its marks cannot be read".to_owned(),
            Fault::NoPlug => {
                "Open: its plug decides which marks will do, and is not known".to_owned()
            }
            Fault::Unknown(mark) => format!("Open: the mark {mark} is not known here"),
            Fault::Unclear(mark) => {
                format!("Open: {} may be any of several marks", mark.name)
            }
            Fault::Replaced(mark) => {
                format!(
                    "Open: {} was replaced, and the cord may be older",
                    mark.name
                )
            }
            Fault::NoApproval | Fault::Elsewhere | Fault::Unsettled => {
                "Open: what it asks for is not known well enough".to_owned()
            }
        };
        format!("is cord type {name} approved for the site's country ({country})? {open}")
    }

    /// What each of its marks is, where it stands.
    fn notes(&self) -> Vec<Place> {
        let given = self.kind.approvals.given().iter().take(MOST);
        given
            .map(|mark| place(mark.span, self.remark(&mark.value)))
            .collect()
    }

    fn remark(&self, text: &str) -> String {
        let Some(mark) = marks::find(text) else {
            return format!("{} is not known here", clip(text));
        };
        let name = &mark.name;
        if let (Some(until), Some(next), true) =
            (mark.until, &mark.replaced_by, self.market.takes(mark))
        {
            return format!("{name} was replaced by {next} in {until}");
        }
        format!("{name} is {}", mark.what())
    }

    fn cords_in_words(&self) -> &'static str {
        match self.begins {
            Begins::WallPlug => "cords with a wall plug",
            Begins::InternationalPlug => "cords like this",
        }
    }

    /// The marks that would do.
    fn wanted(&self) -> String {
        let (name, marks) = (&self.market.name, self.list());
        let whole = if self.market.whole_set {
            "; this market approves the cord set as a whole"
        } else {
            ""
        };
        if self.market.takes_any_body(self.begins) {
            return format!(
                "{name}, plug that is no wall plug: the mark of any independent body, such as: {marks}"
            );
        }
        format!("marks for {name}, any one of: {marks}{whole}")
    }

    fn list(&self) -> String {
        let all = self.market.marks();
        let first = all.iter().take(MOST).map(|mark| mark.name.as_str());
        let first: Vec<&str> = first.collect();
        match all.len().saturating_sub(MOST) {
            0 => first.join(", "),
            more => format!("{} and {more} more", first.join(", ")),
        }
    }

    fn advice(&self, fault: &Fault) -> String {
        let code = &self.country.code;
        match fault {
            Fault::Unknown(mark) => {
                let near = marks::nearest(mark).map(|near| format!("{} ", near.question()));
                let near = near.unwrap_or_default();
                return format!(
                    "{near}Look at plug, connector and cord, and write each mark by its letters; `cordwright cite {code}` lists those that will do."
                );
            }
            Fault::Unclear(mark) => {
                return format!(
                    "Write what stands beside {} on the part, as in `c{0}us` or `{0} NRTL`.",
                    mark.name
                );
            }
            Fault::NoPlug => return "Write down the plug.".to_owned(),
            _ => {}
        }
        let marks = self.market.marks();
        let first = marks.first().map_or("so", |mark| mark.name.as_str());
        let all = match marks.len() > MOST {
            true => format!(" (all: `cordwright cite {code}`)"),
            false => String::new(),
        };
        if self.market.takes_any_body(self.begins) {
            return format!(
                "Look at plug, connector and cord for the mark of an independent body, such as {}. If one is there, write it under `approvals`; else order cords that bear one.",
                self.list()
            );
        }
        format!(
            "Look at plug, connector and cord for one of these marks: {}{all}. If one is there, write it under `approvals`; else order cords marked {first}.",
            self.list(),
        )
    }

    /// The first of the cords of the type, and how many there are.
    fn cords(&self) -> Option<Place> {
        let (first, count) = self.analysis.first_cord_of(self.id)?;
        let note = match count - 1 {
            0 => format!("cord {}", first.value),
            1 => format!("cord {}, and one more of this type", first.value),
            more => format!("cord {}, and {more} more of this type", first.value),
        };
        Some(place(first.span, note))
    }
}
