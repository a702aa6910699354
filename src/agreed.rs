//! What has been agreed about findings: departures, which silence one rule at one thing for a time, and
//! the snag list, which accepts what is known.

use std::collections::BTreeSet;

use crate::date::Date;
use crate::finding::{Finding, Identity};
use crate::model::cords::Departure;
use crate::policy::Policy;
use crate::rules::{Acceptance, Answer, Departures, Known, outgrown, signed};

/// A finding that the site has departed from, with a reason, a signer and a date.
#[derive(Clone, Debug)]
pub struct Departed {
    /// What would have been found.
    pub finding: Finding,
    /// Why it is accepted.
    pub reason: String,
    /// Who agreed.
    pub agreed_by: String,
    /// The last day on which it holds, as written.
    pub until: String,
    /// Whether it holds whatever the number: the finding has one, and the departure was signed at none.
    pub unbounded: bool,
}

/// Findings apart by what has been agreed about them.
#[derive(Clone, Debug, Default)]
pub struct Parted {
    /// What stands.
    pub standing: Vec<Finding>,
    /// What is departed from.
    pub departed: Vec<Departed>,
    /// What the snag list accepts as known.
    pub known: Vec<Known>,
}

/// Splits findings by policies, atom by atom: let through is only what every one of them lets through.
pub fn part(policies: &[Policy<'_>], today: Date, findings: Vec<Finding>) -> Parted {
    let mut policies = policies.iter();
    let Some(first) = policies.next() else {
        return Parted {
            standing: findings,
            ..Parted::default()
        };
    };
    let mut parted = Agreed::of(first, today).part(findings);
    for policy in policies {
        parted.hold_by(policy, today);
    }
    parted
}

impl Parted {
    /// Keeps as let through only what another policy lets through as well.
    fn hold_by(&mut self, policy: &Policy<'_>, today: Date) {
        let mut other = Agreed::of(policy, today);
        let mut standing = Vec::new();
        let mut rest = |finding: &Finding| {
            let held = other.part(vec![finding.clone()]).standing;
            let atoms = held.iter().flat_map(Finding::atoms);
            let stands: BTreeSet<Identity<'_>> = atoms.map(|atom| atom.identity()).collect();
            let rest = match stands.is_empty() {
                true => Some(finding.clone()),
                false => finding.only(|atom| !stands.contains(&atom.identity())),
            };
            standing.extend(held);
            rest
        };
        let departed = std::mem::take(&mut self.departed).into_iter();
        self.departed = departed
            .filter_map(|departed| {
                let finding = rest(&departed.finding)?;
                Some(Departed {
                    finding,
                    ..departed
                })
            })
            .collect();
        let known = std::mem::take(&mut self.known).into_iter();
        self.known = known
            .filter_map(|known| {
                let finding = rest(&known.finding)?;
                Some(Known { finding, ..known })
            })
            .collect();
        self.standing.extend(standing);
        self.standing.sort_by(Finding::order);
    }
}

/// What one policy lets through. Each line of its snag list accepts one fault and is then used up.
struct Agreed<'m> {
    departures: Departures<'m>,
    acceptance: Acceptance<'m>,
}

impl<'m> Agreed<'m> {
    fn of(policy: &Policy<'m>, today: Date) -> Self {
        Self {
            departures: Departures::of(policy, today),
            acceptance: Acceptance::of(policy),
        }
    }

    /// Splits findings. What is departed from needs no line of the snag list.
    fn part(&mut self, findings: Vec<Finding>) -> Parted {
        let (standing, departed) = depart_by(&self.departures, findings);
        let (known, standing) = self.acceptance.part(standing);
        Parted {
            standing,
            departed,
            known,
        }
    }
}

/// Splits findings into those that stand and those that are departed from, whatever the snag list
/// says of them.
pub fn depart(
    policy: &Policy<'_>,
    today: Date,
    findings: Vec<Finding>,
) -> (Vec<Finding>, Vec<Departed>) {
    depart_by(&Departures::of(policy, today), findings)
}

fn depart_by(departures: &Departures<'_>, findings: Vec<Finding>) -> (Vec<Finding>, Vec<Departed>) {
    if departures.is_empty() {
        return (findings, Vec::new());
    }
    let (mut standing, mut departed) = (Vec::new(), Vec::new());
    for finding in findings {
        let answers: Vec<Answer<'_>> = finding
            .atoms()
            .map(|atom| departures.answer(&finding, &atom))
            .collect();
        for (first, part) in finding.parted_by(answers.iter().map(Answer::which)) {
            match answers[first] {
                Answer::Nothing => standing.push(part),
                Answer::LetsThrough(departure) => departed.push(record(departure, part)),
                Answer::Outgrown(departure) => standing.push(told_outgrown(departure, part)),
            }
        }
    }
    (standing, departed)
}

fn told_outgrown(departure: &Departure, mut finding: Finding) -> Finding {
    let told = signed(departure).and_then(|signed| outgrown("signed", signed, &finding));
    finding.arithmetic.extend(told);
    finding
}

fn record(departure: &Departure, finding: Finding) -> Departed {
    let text = |field: &crate::model::value::Field<crate::model::value::Name>| {
        field.known().map(ToString::to_string).unwrap_or_default()
    };
    Departed {
        unbounded: finding.measure.is_some() && departure.signed_at.is_absent(),
        finding,
        reason: text(&departure.reason),
        agreed_by: text(&departure.agreed_by),
        until: departure
            .until
            .known()
            .map(ToString::to_string)
            .unwrap_or_default(),
    }
}
