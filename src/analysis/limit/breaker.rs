//! What a breaker may carry: its rating, and the share of it that a continuous load may take.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Cited, Confidence};
use crate::finding::Fact;
use crate::model::circuits::Breaker;
use crate::model::optional::Optional;
use crate::model::value::{Field, Name, Spanned};
use crate::quantity::{Current, Ratio, percent};
use crate::source::Span;
use crate::tables::{Practice, constants};

use super::{Kind, Limit, Limits, Missing, Part, Step};

/// The limits of a breaker; `owner` says whose it is and which name to point at.
pub(super) fn limits<'a>(
    analysis: &Analysis<'_>,
    breaker: &Field<Breaker>,
    owner: impl Fn() -> (String, &'a Spanned<Name>),
    fact: impl Fn(&str, Option<&Field<Current>>) -> Fact,
) -> Limits {
    let given = breaker.known();
    let Some((breaker, rating)) =
        given.and_then(|breaker| Some((breaker, breaker.rating.given()?)))
    else {
        let (owner, name) = owner();
        let own = given.and_then(|breaker| breaker.rating.span());
        return Limits::unknown(Missing {
            what: format!("the rating of the breaker of {owner}"),
            at: own.unwrap_or_else(|| field_or_name(breaker, name)),
            owner,
            name: name.value.clone(),
            is_of_model: false,
            fact: Some(fact("rating", given.map(|breaker| &breaker.rating))),
        });
    };
    let rated = rating.value;
    let basis = rating_basis(analysis.practice());
    let whole = Limit::whole(Part::Breaker, Kind::Marking, rated, rating.span, basis);
    let shares = continuous_shares(analysis, breaker)
        .map(|share| whole.only(share.cited, (share.step, share.kind), share.said));
    let lines = shares.collect::<Vec<_>>();
    let missing = unreadable_share(analysis, breaker).map(|unreadable| {
        let (owner, name) = owner();
        let (at, fact) = match unreadable {
            UnreadableShare::Own(at) => (at, fact("continuous", Some(&Field::Unreadable(at)))),
            UnreadableShare::Site(at) => (at, Fact::unreadable_of_site("continuous-load", at)),
        };
        Missing {
            what: format!("the share of its breaker that {owner} may carry without end"),
            at,
            owner,
            name: name.value.clone(),
            is_of_model: false,
            fact: Some(fact),
        }
    });
    Limits {
        lines: std::iter::once(whole).chain(lines).collect(),
        missing,
        ..Limits::default()
    }
}

fn rating_basis(practice: Option<Practice>) -> Vec<Citation> {
    let marked = Citation::marked("breaker as marked");
    let clause = match practice {
        Some(Practice::Iec) => Some(Citation::new(
            "IEC 60364-4-43",
            "433.1",
            "2008",
            Confidence::TwoCopies,
        )),
        Some(Practice::Nec) => {
            constants::continuous_load(Practice::Nec).map(|share| share.citation)
        }
        None => None,
    };
    std::iter::once(marked).chain(clause).collect()
}

/// A share of a breaker's rating: how bad it is to cross it, what it is, and whose it is.
struct Share {
    step: Step,
    kind: Kind,
    cited: Cited<Ratio>,
    said: &'static str,
}

/// The shares of its rating that a breaker may carry without end.
///
/// The code's share binds unless the breaker itself is listed for more; what the owner or the maker
/// sets below it counts besides.
fn continuous_shares(analysis: &Analysis<'_>, breaker: &Breaker) -> impl Iterator<Item = Share> {
    let code = code_share(analysis, breaker);
    let bound = code.as_ref().map(|code| code.cited.value);
    let is_stricter = |share: &Share| bound.is_none_or(|code| share.cited.value < code);
    let house = house_share(analysis, breaker).filter(is_stricter);
    let below_whole = |share: &Share| share.cited.value < percent(100.0);
    house.into_iter().chain(code).filter(below_whole)
}

/// A share that stands somewhere and cannot be read: it may be any.
enum UnreadableShare {
    Own(Span),
    Site(Span),
}

fn unreadable_share(analysis: &Analysis<'_>, breaker: &Breaker) -> Option<UnreadableShare> {
    match (&breaker.continuous, &analysis.model.site.continuous_load) {
        (Optional::Unreadable(at), _) => Some(UnreadableShare::Own(*at)),
        (Optional::Absent, Optional::Unreadable(at)) => Some(UnreadableShare::Site(*at)),
        _ => None,
    }
}

fn code_share(analysis: &Analysis<'_>, breaker: &Breaker) -> Option<Share> {
    let is_nec = analysis.practice() == Some(Practice::Nec);
    let code = constants::continuous_load(Practice::Nec).filter(|_| is_nec)?;
    // A breaker whose own share cannot be read may be listed for more.
    let own = breaker.continuous.written().ok()?;
    let listed = own.map(|own| own.value).filter(|own| *own > code.value);
    Some(Share {
        step: Step::Code,
        kind: Kind::Code,
        cited: Cited {
            value: listed.unwrap_or(code.value),
            ..code
        },
        said: "the most that code allows a load that never pauses",
    })
}

/// What the maker or the owner sets; what cannot be read is asked for. Where nobody says which practice binds,
/// the code's share stands in, as the safe side.
fn house_share(analysis: &Analysis<'_>, breaker: &Breaker) -> Option<Share> {
    let (own, site) = (&breaker.continuous, &analysis.model.site.continuous_load);
    let (cited, kind, said) = match (own, site) {
        (Optional::Given(own), _) => (
            marked(own.value, "continuous share as given for this breaker"),
            Kind::Marking,
            "the most that it is given for where a load never pauses",
        ),
        (Optional::Absent, Optional::Given(site)) => (
            marked(site.value, "house policy of this site (`continuous-load`)"),
            Kind::House,
            "house policy, not code",
        ),
        _ if analysis.practice().is_some() => return None,
        _ => (
            constants::continuous_load(Practice::Nec)?,
            Kind::SafeSide,
            "the safe side, for the practice is not known",
        ),
    };
    Some(Share {
        step: Step::House,
        kind,
        cited,
        said,
    })
}

fn marked(value: Ratio, what: &str) -> Cited<Ratio> {
    Cited {
        value,
        citation: Citation::marked(what),
    }
}
