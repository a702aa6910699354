//! The words of `coupler-in-hot-air`.

use crate::finding::{Finding, Measure};
use crate::flow::Worst;
use crate::graph::ElementId;
use crate::model::value::Spanned;
use crate::quantity::{Current, InUnits, Quantity, Temperature, show_pair};
use crate::rules::Draft;
use crate::rules::couplers::halves::Half;
use crate::survey::{Survey, place};

use super::RULE;
use super::air::{hottest_mean, share_in_hot_air};

pub(super) fn too_hot(
    survey: &Survey<'_>,
    id: ElementId,
    worst: Worst,
    half: &Half<'_>,
    air: Spanned<Temperature>,
    rating: Current,
) -> Finding {
    let (limit, clause) = hottest_mean();
    let (share, practice) = share_in_hot_air();
    let measure = Measure::above(worst.current, rating * share);
    let (current, most) = show_pair(worst.current, rating * share);
    let loaded = 100.0 * worst.current.in_amperes() / rating.in_amperes();
    let rating = rating.show();
    let air_shown = air.value.show();
    let headline = format!(
        "{} ({}) carries {current} {}, {loaded:.0} % of its {rating}, in air at {air_shown}: its contacts may overheat",
        half.what(survey),
        half.name(),
        survey.when(worst.lost),
    );
    let note = format!("{}: {rating}, in air up to {}", half.name(), limit.show());
    Draft::new(&RULE, headline, half.coupler.span, note, clause)
        .also([practice])
        .above([place(air.span, format!("air at {air_shown}")), survey.hop(id)])
        .below(survey.moved_places(id, worst.lost))
        .working(survey.load_working(id, worst))
        .measured(measure)
        .working([format!("{rating} × {} = {most}; {current} is above it", share.show())])
        .advice("Cool the place, lower the load, or ask the maker of the coupler what it bears in this air.")
        .about([survey.full_name(id)])
        .finish()
}
