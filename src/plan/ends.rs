//! The two ends of a cord between an outlet and an inlet.

use crate::quantity::Current;
use crate::tables::Practice;
use crate::tables::couplers::{Coupler, Side};
use crate::tables::mating::{suitable_for_inlet, suitable_plugs_for};

/// The ends of a cord.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ends {
    /// The plug.
    pub plug: &'static Coupler,
    /// The connector.
    pub connector: &'static Coupler,
    /// What the set of both is rated for: the lower of the two, where both are known.
    pub rated: Current,
    /// Whether the outlet gives more than the inlet asks for.
    pub is_larger: bool,
}

/// The ends that fit best: the surest connector, and the surest plug that is rated for no less (IEC 60799, plug
/// not below connector). `None` where nothing fits, or no rating is known.
pub(super) fn ends(outlet: &Coupler, inlet: &Coupler, practice: Practice) -> Option<Ends> {
    let rated = |coupler: &Coupler, side| {
        let rated = coupler.rated_as(side, practice).current.as_ref()?;
        Some(rated.value)
    };
    let connector = *suitable_for_inlet(inlet).first()?;
    let bears = rated(connector, Side::Contacts)?;
    let plugs = suitable_plugs_for(outlet).into_iter();
    let plugs = plugs.filter_map(|plug| Some((plug, rated(plug, Side::Pins)?)));
    let enough = plugs.filter(|(_, bears_too)| *bears_too >= bears);
    let (plug, of_plug) = enough.reduce(|a, b| if b.1 < a.1 { b } else { a })?;
    Some(Ends {
        plug,
        connector,
        rated: if of_plug < bears { of_plug } else { bears },
        is_larger: of_plug > bears,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::InUnits;
    use crate::tables::couplers::find;

    fn between(outlet: &str, inlet: &str, practice: Practice) -> Option<(String, String, f64)> {
        let ends = ends(find(outlet)?, find(inlet)?, practice)?;
        let (plug, connector) = (ends.plug.name.to_string(), ends.connector.name.to_string());
        Some((plug, connector, ends.rated.in_amperes()))
    }

    /// IEC 60320-1 and -2-2: 10 A and 16 A; the 15 A and 20 A of North America hold only where they are marked.
    #[test]
    fn ends_are_those_of_the_outlet_and_the_inlet() {
        let all = |plug: &str, connector: &str, amperes| {
            Some((plug.to_owned(), connector.to_owned(), amperes))
        };
        assert_eq!(
            between("C13", "C14", Practice::Iec),
            all("C14", "C13", 10.0)
        );
        assert_eq!(
            between("C13", "C14", Practice::Nec),
            all("C14", "C13", 10.0)
        );
        assert_eq!(
            between("C19", "C20", Practice::Iec),
            all("C20", "C19", 16.0)
        );
        assert_eq!(
            between("C19", "C14", Practice::Iec),
            all("C20", "C13", 10.0)
        );
        assert_eq!(between("C13", "C20", Practice::Iec), None);
    }
}
