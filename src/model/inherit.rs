//! What a site says once for all its circuits. It counts where a circuit says nothing itself; what cannot be
//! read at either place is unknown, and never something from further off.

use super::circuits::{Breaker, Circuit, Wiring};
use super::optional::Optional;
use super::residual::ResidualDevice;
use super::site::{Site, SiteBreakers, SiteResidualDevices, SiteWiring};
use super::value::{Field, Section, Spanned};

/// Gives circuits what the site says of all of them.
pub(super) fn to_circuits(
    circuits: &mut Section<Circuit>,
    Site {
        wiring,
        breakers,
        rcds,
        ..
    }: &Site,
) {
    if wiring.is_absent() && breakers.is_absent() && rcds.is_absent() {
        return;
    }
    for circuit in circuits.items_mut() {
        // A landlord's wiring is none of the site's.
        if circuit.item.landlords_alone().is_none() {
            inherit_wiring(&mut circuit.item.wiring, wiring);
        }
        inherit_breaker(&mut circuit.item.breaker, breakers);
        inherit_residual(&mut circuit.item.rcd, rcds);
    }
}

/// A circuit of which nothing is written has the wiring of the site, of which no size is known.
fn inherit_wiring(own: &mut Field<Wiring>, site: &Field<SiteWiring>) {
    if let (Field::Absent, Some(span)) = (&*own, site.span()) {
        let value = Wiring::default();
        *own = Field::Given(Spanned { value, span });
    }
    let Field::Given(own) = own else { return };
    fill(
        &mut own.value.insulation,
        inherited(site, |site| &site.insulation),
    );
    fill(
        &mut own.value.grouped,
        inherited(site, |site| &site.grouped),
    );
}

fn inherit_breaker(own: &mut Field<Breaker>, site: &Field<SiteBreakers>) {
    let Field::Given(own) = own else { return };
    fill(&mut own.value.curve, inherited(site, |site| &site.curve));
    let capacity = inherited(site, |site| &site.breaking_capacity);
    fill(&mut own.value.breaking_capacity, capacity);
}

/// A circuit without such a device gets none.
fn inherit_residual(own: &mut Optional<ResidualDevice>, site: &Field<SiteResidualDevices>) {
    let Optional::Given(own) = own else { return };
    fill(&mut own.value.kind, inherited(site, |site| &site.kind));
}

/// What the site says under a key, if what it says can be read at all.
fn inherited<S, T: Clone>(site: &Field<S>, key: impl Fn(&S) -> &Field<T>) -> Field<T> {
    match site {
        Field::Given(site) => key(&site.value).clone(),
        Field::Unreadable(span) => Field::Unreadable(*span),
        Field::Absent => Field::Absent,
    }
}

fn fill<T>(own: &mut Field<T>, further: Field<T>) {
    if own.is_absent() {
        *own = further;
    }
}
