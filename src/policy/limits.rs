//! The keys of `site` that set a limit: each with how it is read and which way it gets stricter.

use crate::model::optional::Optional;
use crate::model::site::{DropLimits, ImbalanceLimits, Routing, Site};
use crate::model::value::{Name, Spanned};
use crate::quantity::Amount;
use crate::source::{FileId, Span};

/// A limit that the owner of a site may set.
#[derive(Debug)]
pub struct SiteLimit {
    /// The keys that lead to it below `site`, with points between: `voltage-drop.total`.
    pub key: &'static str,
    /// Which way it gets stricter.
    pub stricter: Stricter,
    read: fn(&Site) -> Reading,
}

/// Which way a limit gets stricter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stricter {
    /// A smaller number lets less through.
    Lower,
    /// A larger number lets less through.
    Higher,
    /// It is no number, or moves findings both ways: any other is taken for laxer.
    Neither,
}

/// What a state of a site says of a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// Nothing.
    Absent,
    /// Something that cannot be read.
    Unreadable,
    /// A number.
    Number(Amount),
    /// Words.
    Words(Name),
}

impl SiteLimit {
    /// What a site says of it.
    pub fn read(&self, site: &Site) -> Reading {
        (self.read)(site)
    }

    /// Whether one number lets less through than another.
    pub fn is_stricter(&self, number: Amount, other: Amount) -> bool {
        match self.stricter {
            Stricter::Lower => number.number() < other.number(),
            Stricter::Higher => number.number() > other.number(),
            Stricter::Neither => false,
        }
    }
}

macro_rules! limits {
    ($($key:literal $stricter:ident $group:ident $(. $field:ident)?;)+) => {
        /// All of them, in the order of the format.
        pub static LIMITS: &[SiteLimit] = &[$(SiteLimit {
            key: $key,
            stricter: Stricter::$stricter,
            read: |site| limits!(@read site $group $($field)?),
        }),+];
    };
    (@read $site:ident $group:ident $field:ident) => {
        match &$site.$group {
            Optional::Given(group) => number(&group.value.$field),
            Optional::Absent => Reading::Absent,
            Optional::Unreadable(_) => Reading::Unreadable,
        }
    };
    (@read $site:ident label) => { words(&$site.label) };
    (@read $site:ident $field:ident) => { number(&$site.$field) };
}

limits! {
    "continuous-load" Lower continuous_load;
    "supply-tolerance" Higher supply_tolerance;
    "voltage-drop.circuit" Lower voltage_drop.circuit;
    "voltage-drop.cord" Lower voltage_drop.cord;
    "voltage-drop.total" Lower voltage_drop.total;
    "label" Neither label;
    "routing.service-loop" Neither routing.service_loop;
    "routing.connector-bend" Neither routing.connector_bend;
    "routing.cross-run" Neither routing.cross_run;
    "routing.rail-slack" Higher routing.rail_slack;
    "routing.surplus" Lower routing.surplus;
    "phase-imbalance.note" Lower phase_imbalance.note;
    "phase-imbalance.warning" Lower phase_imbalance.warning;
    "phase-imbalance.floor" Lower phase_imbalance.floor;
}

fn number<Q: Copy + Into<Amount>>(limit: &Optional<Q>) -> Reading {
    Reading::of(limit, |value| Reading::Number((*value).into()))
}

fn words(limit: &Optional<Name>) -> Reading {
    Reading::of(limit, |value| Reading::Words(value.clone()))
}

impl Reading {
    fn of<T>(limit: &Optional<T>, read: impl Fn(&T) -> Self) -> Self {
        match limit.written() {
            Ok(Some(given)) => read(&given.value),
            Ok(None) => Self::Absent,
            Err(_) => Self::Unreadable,
        }
    }
}

/// Puts the limits of `from` in the place of those of `into`, shown where those stood.
pub(super) fn put(from: &Site, into: &mut Site) {
    let none = Span::new(FileId(0), 0, 0);
    let anchor = into.name.span().or(into.practice.span()).unwrap_or(none);
    let at = |own: Option<Span>| own.unwrap_or(anchor);
    into.continuous_load = from
        .continuous_load
        .shown_at(at(into.continuous_load.span()));
    into.supply_tolerance = from
        .supply_tolerance
        .shown_at(at(into.supply_tolerance.span()));
    into.label = from.label.shown_at(at(into.label.span()));
    into.keep_sockets_of(from);
    let place = at(into.voltage_drop.span());
    into.voltage_drop = with(&from.voltage_drop, place, |limits| DropLimits {
        circuit: limits.circuit.shown_at(place),
        cord: limits.cord.shown_at(place),
        total: limits.total.shown_at(place),
    });
    let place = at(into.routing.span());
    into.routing = with(&from.routing, place, |routing| Routing {
        service_loop: routing.service_loop.shown_at(place),
        connector_bend: routing.connector_bend.shown_at(place),
        cross_run: routing.cross_run.shown_at(place),
        rail_slack: routing.rail_slack.shown_at(place),
        surplus: routing.surplus.shown_at(place),
    });
    let place = at(into.phase_imbalance.span());
    into.phase_imbalance = with(&from.phase_imbalance, place, |limits| ImbalanceLimits {
        note: limits.note.shown_at(place),
        warning: limits.warning.shown_at(place),
        floor: limits.floor.shown_at(place),
    });
}

/// A group of keys with every one of them shown at one place.
fn with<T>(field: &Optional<T>, place: Span, make: impl FnOnce(&T) -> T) -> Optional<T> {
    match field {
        Optional::Given(given) => Optional::Given(Spanned {
            value: make(&given.value),
            span: place,
        }),
        Optional::Absent => Optional::Absent,
        Optional::Unreadable(_) => Optional::Unreadable(place),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model;
    use crate::model::decode::Record;
    use crate::yaml::{Limits, Tree};

    fn site(text: &str) -> Site {
        let text = format!("site: {{{text}}}");
        let (tree, _) = Tree::parse(FileId(7), &text.as_str().into(), &Limits::default());
        model::Model::assemble(vec![model::read(&tree)], FileId(7)).site
    }

    /// Every key of the site that sets a limit says so in the format, and stands in the table.
    #[test]
    fn the_format_marks_the_keys_of_the_table_and_no_others() {
        let marked = |keys: &'static [model::decode::Key], group: &str| {
            let limits = keys.iter().filter(|key| key.is_limit);
            limits
                .map(|key| format!("{group}{}", key.name))
                .collect::<Vec<_>>()
        };
        let mut all = marked(Site::KEYS, "");
        all.extend(marked(DropLimits::KEYS, "voltage-drop."));
        all.extend(marked(Routing::KEYS, "routing."));
        all.extend(marked(ImbalanceLimits::KEYS, "phase-imbalance."));
        let mut table: Vec<&str> = LIMITS.iter().map(|limit| limit.key).collect();
        all.sort();
        table.sort();
        assert_eq!(all, table);
    }

    #[test]
    fn every_limit_is_put_into_another_state_and_shown_there() {
        let from = site(
            "name: A, continuous-load: 70 %, supply-tolerance: 6 %, label: 'W-.*', \
             voltage-drop: {circuit: 1 %, cord: 2 %, total: 3 %}, \
             routing: {service-loop: 1 m, connector-bend: 2 m, cross-run: 3 m, rail-slack: 130 %, surplus: 4 m}, \
             phase-imbalance: {note: 1 %, warning: 2 %, floor: 3 A}",
        );
        for own in ["name: B", "name: B, voltage-drop: {total: 9 %}, label: x"] {
            let mut into = site(own);
            let before = into.voltage_drop.span();
            put(&from, &mut into);
            for limit in LIMITS {
                assert_eq!(limit.read(&into), limit.read(&from), "{}", limit.key);
                assert!(
                    !matches!(limit.read(&into), Reading::Absent),
                    "{}",
                    limit.key
                );
            }
            let shown = into.voltage_drop.span();
            assert_eq!(shown, before.or(into.name.span()));
        }
        let mut into = from.clone();
        put(&Site::default(), &mut into);
        assert!(
            LIMITS
                .iter()
                .all(|limit| limit.read(&into) == Reading::Absent)
        );
    }
}
