//! Days of fitting that do not go with the state of their cord.

use crate::model::Model;
use crate::model::cords::{Cord, CordState};
use crate::model::fault::Noted;
use crate::model::value::Named;

use super::bad;

/// Cords that have a day of fitting and are not fitted.
pub(super) fn check(model: &Model) -> impl Iterator<Item = Noted> {
    model.cords.items().iter().filter_map(fitted_and_not)
}

fn fitted_and_not(cord: &Named<Cord>) -> Option<Noted> {
    let (day, state) = (cord.fitted.given()?, cord.state.given()?);
    if matches!(state.value, CordState::Fitted | CordState::ToPull) {
        return None;
    }
    let headline = format!(
        "fitted on {}, and its `state` says {}: nobody can tell whether the cord hangs",
        day.value,
        state.value.word()
    );
    let advice = "Look whether it hangs; then write `state: fitted`, or take the day out.";
    let path = ["cords".into(), cord.name.value.clone(), "fitted".into()];
    Some(bad(day.span, headline, advice, path))
}
