//! A cord on its way into a plan: where it goes, what it is, and what rules have said of plainer ones.

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::Receiver;
use crate::quantity::{Current, InUnits, Length, Quantity, amperes};
use crate::rules::Subject;
use crate::tables::Practice;

use super::Objective;
use super::ends::ends;
use super::make::{Make, Setting, Tried, Why, make};
use super::rack::RackPlan;

/// A cord on its way.
pub(super) struct Entry<'a> {
    pub label: String,
    pub rack: String,
    pub from: String,
    pub to: String,
    pub way: Length,
    /// What its cord would be long at its best outlet.
    pub best: Length,
    /// Volt-amperes, and what they are at the bank.
    pub draws: f64,
    pub amperes: Current,
    pub setting: Setting<'a>,
    pub tried: Tried,
    pub make: Make,
    pub why: Vec<Why>,
    /// What rules said of plainer properties, each with the property.
    pub objections: Vec<(&'static str, String)>,
    /// Rules whose questions about a type were answered by another one, or have no answer.
    pub settled: BTreeSet<(&'static str, String)>,
    /// Names of what it hangs on, and of what it feeds.
    pub near: Vec<String>,
}

impl<'a> Entry<'a> {
    /// The first proposal for a want at an outlet; `None` where no cord of the tables will do.
    pub fn of(
        analysis: &Analysis<'a>,
        plan: &RackPlan<'a>,
        (want, outlet, (length, best)): (usize, usize, (Length, Length)),
        label: String,
        (practice, objective): (Practice, Objective),
    ) -> Option<Self> {
        let (want, spot) = (&plan.wanted[want], &plan.problem.outlets[outlet]);
        let outlet = &plan.outlets[outlet];
        let route = analysis
            .route_from(outlet.id, Receiver::Inlet(want.inlet))?
            .ok()?;
        let pdu = &analysis.model.pdus[outlet.pdu].name.value;
        let model = analysis.graph.pdu_model(analysis.model, outlet.pdu)?;
        let table = analysis.graph.links.outlet_table(outlet.pdu)?;
        let own = table.outlet(model, outlet.id.number);
        let bank = &model.banks.items()[table.slot(outlet.id.number).bank as usize]
            .name
            .value;
        let feed = analysis
            .model
            .site
            .feeds
            .named(outlet.feed.0)
            .map(|(_, feed)| feed);
        let colour = feed.and_then(|feed| feed.colour.written().ok().flatten());
        let zone = analysis.zone_of_rack(Some(plan.rack));
        let link = &analysis.graph.links.inlets[want.inlet as usize];
        let above = analysis.graph.pdu(outlet.pdu)?;
        let mut near = vec![
            format!("{pdu}/{bank}"),
            analysis.model.devices[want.device].name.value.to_string(),
            analysis.inlet_name(link).to_string(),
        ];
        let upwards = analysis.graph.upwards(above);
        near.extend(upwards.map(|id| analysis.full_name(id).to_string()));
        let setting = Setting {
            practice,
            ends: ends(outlet.coupler, want.coupler, practice)?,
            colour: colour.map_or_else(|| "black".to_owned(), |colour| colour.value.to_string()),
            feed: colour.and(feed).map(|feed| feed.name.value.to_string()),
            air: analysis.air_in(zone).map(|air| air.value),
            zone,
            length,
            bought: bought(analysis, length),
            outlet_latch: own.latch.row().map(|hold| hold.retention),
            inlet_hold: analysis
                .inlet(want.inlet)
                .and_then(|(_, inlet)| inlet.retention.row())
                .map(|hold| hold.retention),
        };
        let amperes = amperes(want.draws / plan.problem.banks[spot.bank].volts);
        let thin = (objective == Objective::Cheapest).then_some(amperes);
        let (make, why) = make(analysis, &setting, Tried::default(), thin)?;
        Some(Self {
            label,
            rack: analysis.model.racks[plan.rack].name.value.to_string(),
            from: format!("{pdu}/{}", own.name.value),
            to: analysis.inlet_name(link).to_string(),
            way: route.length(),
            best,
            draws: want.draws,
            amperes,
            setting,
            tried: Tried::default(),
            make,
            why,
            objections: Vec::new(),
            settled: BTreeSet::new(),
            near,
        })
    }

    /// Takes the make for what was tried; whether there is one.
    fn remake(&mut self, analysis: &Analysis<'_>, objective: Objective) -> bool {
        let thin = (objective == Objective::Cheapest).then_some(self.amperes);
        match make(analysis, &self.setting, self.tried, thin) {
            Some((make, mut why)) => {
                for (property, said) in &self.objections {
                    let own = why.iter_mut().find(|why| why.property == *property);
                    own.into_iter().for_each(|why| why.because += said);
                }
                (self.make, self.why) = (make, why);
                true
            }
            None => false,
        }
    }

    /// The same; where there is no next candidate all stays as it is.
    pub fn try_step(
        &mut self,
        analysis: &Analysis<'_>,
        subject: Subject,
        finding: &Finding,
        objective: Objective,
    ) -> bool {
        let (tried, objections) = (self.tried, self.objections.len());
        let has_next = self.step(analysis, subject, finding, objective);
        if !has_next {
            self.tried = tried;
            self.objections.truncate(objections);
        }
        has_next
    }

    /// The next candidate after a finding; whether there is one.
    pub fn step(
        &mut self,
        analysis: &Analysis<'_>,
        subject: Subject,
        finding: &Finding,
        objective: Objective,
    ) -> bool {
        let Some(property) = self.tried.step(subject, &self.make, finding.rule) else {
            return false;
        };
        let was = self.why.iter().find(|why| why.property == property);
        let was = was.map_or("the plainest", |why| why.is.as_str());
        let said = finding.headline.trim_end_matches(" (as planned)");
        let said = format!("; not {was} ({}: {said})", finding.rule);
        self.objections.push((property, said));
        self.remake(analysis, objective)
    }
}

/// A length as it is bought, where that can be read back; or else in metres.
fn bought(analysis: &Analysis<'_>, length: Length) -> String {
    let told = analysis.on_tape(length);
    let is_same = |read: Length| (read.in_metres() - length.in_metres()).abs() < 1e-9;
    match Length::read(&told) {
        Ok(read) if is_same(read) => told,
        _ => length.show(),
    }
}
