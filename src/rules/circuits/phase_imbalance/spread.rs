//! How the currents of three lines differ.

use crate::analysis::Analysis;
use crate::graph::ElementId;
use crate::model::circuits::Pole;
use crate::quantity::{InUnits, Quantity, Ratio, amperes, percent};

/// The currents of three lines, in amperes.
pub(super) struct Spread {
    pub lines: [(Pole, f64); 3],
    pub mean: f64,
    /// The one farthest from the mean.
    pub farthest: (Pole, f64),
}

impl Spread {
    pub fn of(analysis: &Analysis<'_>, id: ElementId) -> Option<Self> {
        let currents = analysis.flows.normal_currents(analysis.graph, id);
        let mut lines = currents.filter(|(pole, _)| *pole != Pole::N);
        let mut next = || {
            lines
                .next()
                .map(|(pole, current)| (pole, current.in_amperes()))
        };
        let lines = [next()?, next()?, next()?];
        let mean = lines.iter().map(|(_, current)| current).sum::<f64>() / 3.0;
        let from_mean = |(_, current): &(Pole, f64)| (current - mean).abs();
        let farthest = lines
            .into_iter()
            .reduce(|a, b| if from_mean(&b) > from_mean(&a) { b } else { a })?;
        Some(Self {
            lines,
            mean,
            farthest,
        })
    }

    /// The line that carries most, and the one that carries least.
    pub fn ends(&self) -> ((Pole, f64), (Pole, f64)) {
        let [first, ..] = self.lines;
        let most = self
            .lines
            .into_iter()
            .fold(first, |a, b| if b.1 > a.1 { b } else { a });
        let least = self
            .lines
            .into_iter()
            .fold(first, |a, b| if b.1 < a.1 { b } else { a });
        (most, least)
    }

    pub fn imbalance(&self) -> Ratio {
        percent((self.farthest.1 - self.mean).abs() / self.mean * 100.0)
    }

    pub fn working(&self) -> Vec<String> {
        let shown: Vec<String> = self
            .lines
            .iter()
            .map(|(_, current)| amperes(*current).show())
            .collect();
        let mean = amperes(self.mean).show();
        let named: Vec<String> = self
            .lines
            .iter()
            .zip(&shown)
            .map(|((pole, _), current)| format!("{} {current}", pole.word()))
            .collect();
        vec![
            named.join(", "),
            format!("mean: ({}) ÷ 3 = {mean}", shown.join(" + ")),
            format!(
                "largest departure: |{} − {mean}| ÷ {mean} = {}",
                amperes(self.farthest.1).show(),
                self.imbalance().show()
            ),
        ]
    }
}
