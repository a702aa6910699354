//! A rack's outlets and the inlets that want one, as plain numbers: what is searched over.

/// Volt-amperes, volts, amperes and metres; everything by number.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Problem {
    /// Banks of all strips.
    pub banks: Vec<Bank>,
    /// Poles of the inputs of all strips.
    pub lines: Vec<Line>,
    /// Free outlets, strip by strip, from the foot up.
    pub outlets: Vec<Outlet>,
    /// Inlets without a cord.
    pub wants: Vec<Want>,
    /// For each want and outlet the way between them.
    pub ways: Vec<Vec<Way>>,
    /// Lengths that cords can be had in, the shortest first.
    pub lengths: Vec<f64>,
}

/// A bank with what it carries already.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bank {
    /// Volts between its poles.
    pub volts: f64,
    /// Amperes that it carries at worst.
    pub carries: f64,
    /// Amperes that it may carry; infinite where nobody knows.
    pub limit: f64,
    /// Its poles among [`Problem::lines`]; a neutral is none.
    pub lines: Vec<usize>,
}

/// A pole of a strip's input.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Line {
    /// The strip.
    pub strip: usize,
    /// Amperes that it carries at worst.
    pub carries: f64,
    /// Amperes that it may carry; infinite where nobody knows.
    pub limit: f64,
}

/// A free outlet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Outlet {
    /// Its bank.
    pub bank: usize,
    /// Its strip.
    pub strip: usize,
    /// Its place on the strip, from the foot.
    pub place: u32,
}

/// An inlet that wants a cord.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Want {
    /// Volt-amperes that it draws at worst, over the normal state and every single loss.
    pub draws: f64,
    /// The device: inlets of one device are kept apart.
    pub device: usize,
}

/// The way from an outlet to an inlet.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(super) enum Way {
    /// No cord may be led there: it does not mate, is on the wrong feed, or is out of reach.
    #[default]
    None,
    /// A cord may be led there.
    Some {
        /// The [`Problem::lengths`] that reach, are not too long and can be had, a bit for each; never none.
        lengths: u64,
        /// Whether the outlet is larger than the inlet asks for, and better kept for another.
        is_larger: bool,
    },
}

impl Way {
    /// Whether a cord may be led there.
    pub fn is_some(self) -> bool {
        self != Self::None
    }
}

impl Problem {
    /// The strips.
    pub fn strips(&self) -> usize {
        let strips = self.lines.iter().map(|line| line.strip + 1);
        strips.max().unwrap_or(0)
    }

    /// The other inlets of the device of a want: wants of one device stand side by side.
    pub fn siblings(&self, want: usize) -> impl Iterator<Item = usize> + '_ {
        let device = self.wants[want].device;
        let is_own = move |other: &usize| self.wants[*other].device == device;
        let before = (0..want).rev().take_while(is_own);
        before.chain((want + 1..self.wants.len()).take_while(is_own))
    }

    /// A number that problems have in common that are the same; others seldom do.
    pub fn sum(&self) -> u64 {
        let wants = self.wants.iter().map(|want| want.draws);
        let banks = self.banks.iter().map(|bank| bank.carries + bank.volts);
        let ways = self.ways.iter().flatten().map(|way| match way {
            Way::Some { lengths, .. } => f64::from(lengths.trailing_zeros()) + 1.0,
            Way::None => 0.0,
        });
        let numbers = wants.chain(banks).chain(ways).enumerate();
        let sum: f64 = numbers
            .map(|(place, number)| number * (place as f64 + 1.0))
            .sum();
        sum.to_bits()
    }

    /// Amperes that a want draws from a bank.
    pub fn amperes(&self, want: usize, bank: usize) -> f64 {
        self.wants[want].draws / self.banks[bank].volts
    }

    /// The least that the largest line of a strip can carry at worst, whatever the plan: a line load is never
    /// below the mean of all lines that the wants of the strip may be spread over, nor below what it carries
    /// already.
    pub fn least_line(&self, at: &[Option<usize>], strip: usize) -> f64 {
        let lines: Vec<&Line> = self
            .lines
            .iter()
            .filter(|line| line.strip == strip)
            .collect();
        let carried: f64 = lines.iter().map(|line| line.carries).sum();
        let own = at.iter().enumerate().filter_map(|(want, outlet)| {
            let outlet = &self.outlets[(*outlet)?];
            (outlet.strip == strip).then_some((want, outlet.bank))
        });
        let drawn = own.map(|(want, bank)| {
            let poles = self.banks[bank].lines.len() as f64;
            self.amperes(want, bank) * poles
        });
        let mean = (carried + drawn.sum::<f64>()) / lines.len().max(1) as f64;
        let most = lines.iter().map(|line| line.carries);
        most.fold(mean, f64::max)
    }

    /// The length of a want's cord at its best outlet, by its number; `None` where it has none.
    pub fn best_length(&self, want: usize) -> Option<u8> {
        let ways = self.ways[want].iter().filter_map(|way| match way {
            Way::Some { lengths, .. } => u8::try_from(lengths.trailing_zeros()).ok(),
            Way::None => None,
        });
        ways.min()
    }
}
