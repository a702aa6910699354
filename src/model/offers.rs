//! `offers:`, `orders:` and `store:` — who makes a cord at what price, what was ordered, and what lies in store.
//! Nothing electrical rests on any of it.

use serde_json::{Value, json};

use crate::date::Date;
use crate::quantity::{Days, InUnits, Length, Money, Ratio, Tolerance};
use crate::source::Span;
use crate::yaml::{Kind, NodeId};

use super::decode::{Decode, Reader, record, words};
use super::text::YesNo;
use super::value::{Field, Name, Section, Spanned};

record! {
    /// What a supplier offers of a make: lengths, colours, prices.
    Offer: "offer";
    /// The make of cord that is offered.
    "make" (required) => make: Field<Name>,
    /// Who offers it.
    "supplier" => supplier: Field<Name>,
    /// The last day on which the offer holds.
    "valid-until" => valid_until: Field<Date>,
    /// The fewest that are sold.
    "minimum" (above_zero) => minimum: Field<u32>,
    /// How many there are in a pack: a multiple of it is sold.
    "multiple" (above_zero) => multiple: Field<u32>,
    /// The price of one: alone, or from each quantity on: `{1: 2.40 EUR, 100: 2.10 EUR}`.
    "price" (above_zero) => price: Field<Prices>,
    /// How long a delivery takes.
    "lead" => lead: Field<Days>,
    /// The supplier's part number, in which `{colour}` and `{length}` stand for those of the type.
    "part" => part: Field<Name>,
    /// What stands in the part number for a colour or a length: `{blue: BL, 0.5 m: "05"}`.
    "codes" => codes: Section<Code>,
    /// The colours that are made; any where it is left out.
    "colours" => colours: Vec<Spanned<Name>>,
    /// The lengths that are made.
    "lengths" => lengths: Vec<Spanned<Length>>,
    /// The lengths that are made to measure.
    "made-to" => made_to: Field<MadeTo>,
    /// How much shorter and longer than ordered a cord may be: `-0/+50 mm`.
    "tolerance" => tolerance: Field<Tolerance>,
    /// Over what the length is measured: `jacket` or `couplers`.
    "length-over" => length_over: Field<LengthOver>,
    /// Whether the supplier fits the labels of the cords.
    "labels" => labels: Field<YesNo>,
}

record! {
    /// What stands in a part number for a colour or a length.
    Code: "code", short for "code";
    /// The letters or digits.
    "code" (required) => code: Field<Name>,
}

record! {
    /// Lengths that are made to measure.
    MadeTo: "made-to";
    /// The shortest.
    "from" (required, above_zero) => from: Field<Length>,
    /// The longest.
    "to" (required, above_zero) => to: Field<Length>,
    /// The step between two lengths; any length where it is left out.
    "step" (above_zero) => step: Field<Length>,
    /// Whether what was made to measure is taken back.
    "returns" => returns: Field<YesNo>,
}

words! {
    /// Over what the length of a cord is measured.
    LengthOver: "a way to measure a cord";
    /// Over the jacket between the couplers.
    Jacket = "jacket",
    /// Over all, couplers and all.
    Couplers = "couplers",
}

record! {
    /// An order that was placed.
    Purchase: "order";
    /// The day on which it was placed.
    "placed" => placed: Field<Date>,
    /// With whom.
    "supplier" => supplier: Field<Name>,
    /// What was ordered, by cord type.
    "lines" (required) => lines: Section<PurchaseLine>,
}

record! {
    /// Cords of one type on an order.
    PurchaseLine: "order line", short for "ordered";
    /// How many were ordered.
    "ordered" (required, above_zero) => ordered: Field<u32>,
    /// How many of them have come.
    "received" => received: Field<u32>,
    /// The maker's lot, as it is marked.
    "lot" => lot: Field<Name>,
}

record! {
    /// How many cords of a type lie in store.
    Stored: "store line", short for "count";
    /// How many there are.
    "count" (required) => count: Field<u32>,
    /// Where they lie.
    "at" => at: Field<Name>,
}

record! {
    /// How many cords are bought beyond those that are needed.
    SiteSpares: "spares";
    /// A share of those that are needed.
    "share" => share: Field<Ratio>,
    /// At least so many.
    "least" => least: Field<u32>,
    /// Of what they are counted: of each `type`, or of each type in every `rack`.
    "per" => per: Field<SparesPer>,
}

words! {
    /// Of what spares are counted.
    SparesPer: "what spares are counted of";
    /// Of each thing that is ordered.
    Type = "type",
    /// Of each thing that is ordered, in every rack.
    Rack = "rack",
}

/// The price of one by the quantity from which it holds, the smallest quantity first.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices(Vec<(u32, Money)>);

impl Prices {
    /// The price of one where so many are bought; `None` below the first quantity.
    pub fn of(&self, count: usize) -> Option<Money> {
        let holds = self.0.iter().rev();
        let mut holds = holds.filter(|(from, _)| count >= *from as usize);
        holds.next().map(|(_, price)| *price)
    }

    /// The fewest that a price is given for.
    pub fn fewest(&self) -> u32 {
        self.0.first().map_or(1, |(from, _)| *from)
    }
}

/// More steps of price than any list has.
const MOST_STEPS: usize = 20;

impl Decode for Prices {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        if reader.kind(node) != Kind::Mapping {
            return Money::decode(reader, node).map(|price| Self(vec![(1, price)]));
        }
        // What is for nothing is mostly not known, and would be the cheapest of all.
        reader.must_be_above_zero();
        let mut steps: Vec<(u32, Money)> = Vec::new();
        let mut is_whole = true;
        reader.entries(node, "price", |reader, from, value| {
            let quantity = from.value.parse::<u32>().ok().filter(|from| *from > 0);
            reader.zero_is_nonsense();
            let price = Money::decode(reader, value);
            match (quantity, price) {
                (Some(from), Some(price)) if steps.len() < MOST_STEPS => steps.push((from, price)),
                (Some(_), None) => is_whole = false,
                _ => {
                    is_whole = false;
                    no_quantity(reader, from.span);
                }
            }
        });
        steps.sort_by_key(|(from, _)| *from);
        let mut pairs = steps.windows(2);
        let is_in_one =
            pairs.all(|two| two[0].0 < two[1].0 && two[0].1.currency() == two[1].1.currency());
        if !is_in_one {
            let headline =
                "the prices are of two currencies, or two are of one quantity".to_owned();
            let advice = "Write one price for each quantity, all in one currency; another currency is another offer.";
            reader.bad(reader.tree.span(node), headline, advice.to_owned());
        }
        if steps.is_empty() && is_whole {
            reader.wanted(node, "a price, or prices by quantity");
        }
        (is_whole && is_in_one && !steps.is_empty()).then_some(Self(steps))
    }

    fn schema() -> Value {
        let by_quantity = json!({
            "type": "object",
            "propertyNames": {"pattern": "^0*[1-9][0-9]*$"},
            "additionalProperties": Money::schema(),
            "minProperties": 1,
        });
        json!({"anyOf": [Money::schema(), by_quantity]})
    }
}

fn no_quantity(reader: &mut Reader<'_>, span: Span) {
    let headline = "this is no quantity from which a price holds".to_owned();
    let advice = "Write a whole number, a colon and the price of one: `100: 2.10 EUR`.";
    reader.bad(span, headline, advice.to_owned());
}

/// How a length comes to be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Made {
    /// It is one of those that are kept.
    Kept,
    /// It is made to measure, and taken back or not, or nobody knows.
    ToMeasure(Option<bool>),
}

/// Lengths that differ by less are the same: a tenth of a millimetre.
const SAME_METRES: f64 = 1e-4;

impl Offer {
    /// How a length is made; `None` where it is not, or nobody says that it is.
    pub fn made(&self, length: Length) -> Option<Made> {
        let is_kept = |kept: &Spanned<Length>| is_same_length(kept.value, length);
        if self.lengths.iter().any(is_kept) {
            return Some(Made::Kept);
        }
        let to_measure = self.made_to.known().filter(|made| made.makes(length))?;
        let returns = to_measure.returns.known().map(|says| says.0);
        Some(Made::ToMeasure(returns))
    }
}

impl MadeTo {
    fn makes(&self, length: Length) -> bool {
        let (Some(from), Some(to)) = (self.from.known(), self.to.known()) else {
            return false;
        };
        let beyond = (length - *from).in_metres();
        let is_within = beyond > -SAME_METRES && (*to - length).in_metres() > -SAME_METRES;
        is_within
            && match &self.step {
                Field::Absent => true,
                Field::Unreadable(_) => false,
                Field::Given(step) => {
                    let steps = (beyond / step.value.in_metres()).round();
                    is_same_length(step.value * steps, length - *from)
                }
            }
    }
}

/// Whether two lengths are the same for anybody who buys a cord.
pub fn is_same_length(one: Length, other: Length) -> bool {
    (one - other).in_metres().abs() < SAME_METRES
}

impl PurchaseLine {
    /// How many are still to come; `None` where that cannot be read.
    pub fn outstanding(&self) -> Option<u32> {
        let received = match &self.received {
            Field::Absent => 0,
            Field::Unreadable(_) => return None,
            Field::Given(received) => received.value,
        };
        Some(self.ordered.known()?.saturating_sub(received))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::metres;

    fn given<T>(value: T) -> Field<T> {
        let span = Span::new(crate::source::FileId(0), 0, 0);
        Field::Given(Spanned { value, span })
    }

    #[test]
    fn lengths_are_made_in_steps() {
        let made_to = MadeTo {
            from: given(metres(0.5)),
            to: given(metres(3.0)),
            step: given(metres(0.1)),
            returns: given(YesNo(false)),
        };
        let offer = Offer {
            made_to: given(made_to),
            ..Offer::default()
        };
        for length in [0.5, 0.6, 1.7, 3.0] {
            let made = offer.made(metres(length));
            assert_eq!(made, Some(Made::ToMeasure(Some(false))), "{length}");
        }
        for length in [0.4, 0.55, 3.1] {
            assert_eq!(offer.made(metres(length)), None, "{length}");
        }
        assert_eq!(Offer::default().made(metres(1.0)), None);
    }

    #[test]
    fn a_price_holds_from_its_quantity_on() {
        let price = |text| crate::quantity::Quantity::read(text).unwrap();
        let prices = Prices(vec![(10, price("2.40 EUR")), (100, price("2.10 EUR"))]);
        assert_eq!(prices.of(9), None);
        assert_eq!(prices.of(99), Some(price("2.40 EUR")));
        assert_eq!(prices.of(100), Some(price("2.10 EUR")));
        assert_eq!(prices.fewest(), 10);
    }
}
