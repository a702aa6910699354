//! The words of `coupler-overloaded`.

use crate::analysis::{Analysis, Rating, exceeds, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Measure, Place};
use crate::flow::Worst;
use crate::graph::{Carrier, ElementId};
use crate::model::cords::CordType;
use crate::quantity::{Current, Quantity, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::couplers::catalogue;
use crate::rules::couplers::halves::{Half, Owner, borne_by};
use crate::source::Span;
use crate::tables::couplers::Side;

use super::{RULE, Rated, rated};

/// A coupler carries more than it is rated for.
pub(super) fn overloaded(
    analysis: &Analysis<'_>,
    id: ElementId,
    worst: Worst,
    (half, rating, limit): (&Half<'_>, &Rating, Current),
    all: &[Rated<'_>],
) -> Finding {
    let told = analysis.state_above(id, worst, limit);
    let (current, limit_shown) = show_pair(told.current, limit);
    let headline = format!(
        "{} ({}) is rated {limit_shown} and carries {current} {}: it can overheat, char and drop {}",
        half.what(analysis),
        half.name(),
        analysis.when(told.lost),
        sufferer(analysis, id),
    );
    let basis = rating.basis();
    let mark = marked_below(half, rating, limit);
    let first = basis.first().filter(|_| mark.is_none()).cloned();
    let mark = mark.filter(|_| matches!(half.owner, Owner::Outlet(_)));
    let first = first.unwrap_or_else(|| Citation::marked("rated current as marked"));
    let (span, note) = match mark {
        Some(mark) => (mark, format!("marked {limit_shown}")),
        None => (
            half.coupler.span,
            format!("{} may carry {limit_shown}", half.name()),
        ),
    };
    let (above, below) = around(analysis, id, half, all);
    let lost = told.lost.map(|lost| {
        let described = analysis.describe_loss(lost);
        place(
            analysis.name(lost.first()).span,
            format!("{described} is lost"),
        )
    });
    Draft::new(&RULE, headline, span, note, first)
        .level(borne_by(Level::Error, basis))
        .also(basis.iter().cloned())
        .above(above)
        .below(below)
        .below(analysis.moved_places(id, told.lost))
        .below(lost)
        .working(analysis.load_working(id, told))
        .working(working(rating, &current, &limit_shown))
        .working(analysis.worst_line(told, worst))
        .measured(Measure::above(worst.current, limit))
        .advice(advice(analysis, id, half, worst.current))
        .about([analysis.full_name(id)])
        .finish()
}

/// The mark of a part that bears less than its sheet says.
fn marked_below(half: &Half<'_>, rating: &Rating, limit: Current) -> Option<Span> {
    let is_simply_read = matches!(rating, Rating::Known { working, .. } if working.is_empty());
    let mark = half.mark.given().filter(|_| !is_simply_read)?;
    (mark.value == limit).then_some(mark.span)
}

fn working<'r>(
    rating: &'r Rating,
    current: &str,
    limit: &str,
) -> impl Iterator<Item = String> + use<'r> {
    let own = match rating {
        Rating::Known { working, .. } => working.as_slice(),
        Rating::Unknown { .. } => &[],
    };
    let comparison = format!("{current} is above {limit}");
    own.iter().cloned().chain(std::iter::once(comparison))
}

fn sufferer(analysis: &Analysis<'_>, id: ElementId) -> String {
    match analysis.device_fed_by(id) {
        Some(device) => format!("device {}", analysis.model.devices[device].name.value),
        None => "all that hangs on it".into(),
    }
}

/// The cord and the other couplers at it, with what each may carry, before and after the main one.
fn around(
    analysis: &Analysis<'_>,
    id: ElementId,
    main: &Half<'_>,
    all: &[Rated<'_>],
) -> (Vec<Place>, Vec<Place>) {
    let mut places = (Vec::new(), Vec::new());
    let mut is_past = false;
    let mut is_hop_due = true;
    for (half, rating) in all {
        let is_far = matches!(half.owner, Owner::Connector(_) | Owner::Inlet(_));
        let side = if is_past {
            &mut places.1
        } else {
            &mut places.0
        };
        if is_far && std::mem::take(&mut is_hop_due) {
            side.push(analysis.hop(id));
        }
        if half.owner == main.owner {
            is_past = true;
        } else if let Some(limit) = rating.current() {
            side.push(half.place(analysis, &format!(", {}", limit.show())));
        }
    }
    if is_hop_due {
        places.1.push(analysis.hop(id));
    }
    places
}

fn advice(analysis: &Analysis<'_>, id: ElementId, half: &Half<'_>, current: Current) -> String {
    let high = analysis.practice().and_then(|practice| {
        half.coupler
            .value
            .rated(practice)
            .only_where_marked
            .as_ref()
    });
    if let Some(high) = high.filter(|high| half.mark.is_absent() && !exceeds(current, high.value)) {
        let mark = high.value.show();
        return format!(
            "If the part in hand is marked {mark}, give it `rating: {mark}`; otherwise fit one that is so marked, or lower the load."
        );
    }
    let bears = |kind: &CordType| {
        let ends = [(&kind.plug, Side::Pins), (&kind.connector, Side::Contacts)];
        ends.iter().all(|(end, side)| {
            let rating = end
                .coupler()
                .map(|coupler| analysis.coupler_rating((coupler, *side), None, &kind.rating));
            let limit = rating.and_then(|rating| rating.current());
            limit.is_some_and(|limit| !exceeds(current, limit))
        })
    };
    if matches!(half.owner, Owner::Outlet(outlet) if matches!(outlet.on, Carrier::Device(_))) {
        return format!(
            "Plug it into an outlet that may carry {} or more, such as one of a strip, or lower the load.",
            show_rounded(current)
        );
    }
    match catalogue::instead(analysis, id, bears).filter(|_| half.owner.is_of_cord()) {
        Some(kind) => format!("Order {kind} of the cord types here, or lower the load."),
        None => format!(
            "Feed it through couplers rated at least {}, or lower the load.",
            show_rounded(current)
        ),
    }
}

/// A coupler without a figure: whether it bears its load stays open.
pub(super) fn unrated(analysis: &Analysis<'_>, id: ElementId) -> Option<Finding> {
    let all = rated(analysis, id);
    let (half, why) = all.iter().find_map(|(half, rating)| match rating {
        Rating::Unknown { why, .. } => Some((half, why)),
        Rating::Known { .. } => None,
    })?;
    let headline = format!(
        "does {} ({}) bear its load? Missing: its rated current (marked on it)",
        half.what(analysis),
        half.name()
    );
    let basis = half.coupler.value.citation.clone();
    let draft = Draft::new(
        &RULE,
        headline,
        half.coupler.span,
        format!("not decided: {why}"),
        basis,
    );
    let draft = draft
        .open()
        .above([analysis.hop(id)])
        .about([analysis.full_name(id)]);
    let advice = "Read the rated current off the part, or fit a coupler whose rating is known.";
    Some(draft.kind("rating").advice(advice).finish())
}
