//! By which offer a row is bought, at what price, and why by no other.

use crate::analysis::{Analysis, is_same_colour};
use crate::model::cords::CordType;
use crate::model::offers::{Code, Made, Offer, is_same_length};
use crate::model::value::{Field, Id, Named, Section};
use crate::quantity::{Days, Length, Money, Quantity};

use super::super::table::{UNKNOWN, given};

/// How a row is bought.
#[derive(Clone, Debug)]
pub(super) struct Buying {
    pub offer: String,
    pub supplier: String,
    /// How many, packs and the fewest that are sold heeded.
    pub count: usize,
    pub part: String,
    pub each: Option<Money>,
    pub sum: Option<Money>,
    pub lead: Option<Days>,
    /// Made to measure and not taken back, as far as anybody says.
    pub is_kept_for_good: bool,
    pub fits_labels: bool,
    /// How its length is made.
    pub tolerance: Option<String>,
    pub remarks: Vec<String>,
}

/// What a row asks an offer for.
#[derive(Clone, Copy, Debug)]
struct Wish<'a> {
    kind: &'a Named<CordType>,
    length: Option<Length>,
    count: usize,
}

/// The cheapest of the offers that hold, or why none does.
pub(super) fn buying(
    analysis: &Analysis<'_>,
    kinds: &[Id<CordType>],
    length: Option<Length>,
    count: usize,
) -> Result<Buying, Vec<String>> {
    let mut best: Option<Buying> = None;
    let (mut against, mut is_in_doubt) = (Vec::new(), false);
    for kind in kinds {
        let wish = Wish {
            kind: &analysis.model.cord_types[*kind],
            length,
            count,
        };
        for offer in analysis.offers_of_type(*kind) {
            match by(analysis, offer, wish) {
                Err(why) => against.push(format!("{}: {why}", offer.name.value)),
                Ok(found) => {
                    let is_cheaper = best.as_ref().map(|best| is_cheaper(&found, best));
                    is_in_doubt |= is_cheaper == Some(None);
                    if is_cheaper.is_none_or(|is| is == Some(true)) {
                        best = Some(found);
                    }
                }
            }
        }
    }
    let mut best = best.ok_or_else(|| why_none(analysis, kinds, against))?;
    if is_in_doubt {
        let remark = "prices in several currencies were not held against each other";
        best.remarks.push(remark.to_owned());
    }
    Ok(best)
}

fn why_none(analysis: &Analysis<'_>, kinds: &[Id<CordType>], against: Vec<String>) -> Vec<String> {
    let has_make = |kind: &Id<CordType>| analysis.graph.links.makes[kind.index()].is_some();
    if !against.is_empty() {
        return against;
    }
    let names_one = |kind: &Id<CordType>| !analysis.model.cord_types[*kind].make.is_absent();
    let why = if kinds.iter().any(has_make) {
        "nobody offers its make"
    } else if kinds.iter().any(names_one) {
        "the make that its type names is not there"
    } else {
        "its type names no make (`make`), and every offer is of one"
    };
    vec![why.to_owned()]
}

/// Whether one is cheaper; `None` across currencies. What has a price goes before what has none.
fn is_cheaper(one: &Buying, other: &Buying) -> Option<bool> {
    match (one.sum, other.sum) {
        (Some(one), Some(other)) => one.is_less(other),
        (one, other) => Some(one.is_some() && other.is_none()),
    }
}

/// A row by an offer, or why it cannot be.
fn by(analysis: &Analysis<'_>, offer: &Named<Offer>, wish: Wish<'_>) -> Result<Buying, String> {
    if let Some(ended) = analysis.ended(offer) {
        return Err(ended);
    }
    let length = wish.length.ok_or("the length is not known")?;
    let shown = analysis.on_tape(length);
    let made = offer.made(length);
    let made = made.ok_or_else(|| format!("it is not made in {shown}"))?;
    let colour = wish.kind.colour.known().map(|colour| colour.as_str());
    if !offer.is_made_in(colour) {
        return Err(format!("it is not made in {}", colour.unwrap_or(UNKNOWN)));
    }
    let count = sold(offer, wish.count)?;
    let mut remarks = Vec::new();
    let each = match &offer.price {
        Field::Given(prices) => prices.value.of(count),
        Field::Absent => None,
        Field::Unreadable(_) => {
            remarks.push("its price cannot be read".to_owned());
            None
        }
    };
    if let Made::ToMeasure(returns) = made {
        remarks.push(match returns {
            Some(true) => "made to measure".to_owned(),
            Some(false) => "made to measure, not taken back".to_owned(),
            None => "made to measure; nobody says whether it is taken back".to_owned(),
        });
    }
    Ok(Buying {
        offer: offer.name.value.to_string(),
        supplier: given(&offer.supplier),
        count,
        part: part(offer, colour, (length, &shown), &mut remarks),
        each,
        sum: each.and_then(|each| each.times(count)),
        lead: offer.lead.known().copied(),
        is_kept_for_good: matches!(made, Made::ToMeasure(None | Some(false))),
        fits_labels: offer.labels.known().is_some_and(|says| says.0),
        tolerance: tolerance(offer, ", "),
        remarks,
    })
}

/// `within -0/+50 mm, over the jacket`
pub(in crate::schedule) fn tolerance(offer: &Offer, between: &str) -> Option<String> {
    let tolerance = offer.tolerance.known();
    let tolerance = tolerance.map(|tolerance| format!("within {}", tolerance.show()));
    let over = offer.length_over.known();
    let over = over.map(|over| format!("over the {}", over.word()));
    let both: Vec<String> = tolerance.into_iter().chain(over).collect();
    (!both.is_empty()).then(|| both.join(between))
}

/// How many are sold where so many are wanted.
fn sold(offer: &Offer, wanted: usize) -> Result<usize, String> {
    let or_one = |field: &Field<u32>, what: &str| match field {
        Field::Absent => Ok(1),
        Field::Given(given) => Ok(given.value as usize),
        Field::Unreadable(_) => Err(format!("its {what} cannot be read")),
    };
    let (minimum, multiple) = (
        or_one(&offer.minimum, "minimum")?,
        or_one(&offer.multiple, "multiple")?,
    );
    let fewest = offer.price.known().map_or(1, |prices| prices.fewest());
    let least = wanted.max(minimum).max(fewest as usize);
    Ok(least
        .div_ceil(multiple.max(1))
        .saturating_mul(multiple.max(1)))
}

/// The part number with colour and length put in; `?` where one of them has no code, or nobody gives any.
fn part(
    offer: &Offer,
    colour: Option<&str>,
    (length, shown): (Length, &str),
    remarks: &mut Vec<String>,
) -> String {
    let Some(pattern) = offer.part.known() else {
        return UNKNOWN.to_owned();
    };
    let of_length =
        |name: &str| Length::read(name).is_ok_and(|named| is_same_length(named, length));
    let of_colour = |name: &str| colour.is_some_and(|own| is_same_colour(name, own));
    let (mut part, mut rest) = (String::new(), pattern.as_str());
    while let Some((before, behind)) = rest.split_once('{') {
        let Some((name, after)) = behind.split_once('}') else {
            break;
        };
        let code = match name {
            "colour" => code(&offer.codes, of_colour, colour),
            "length" => code(&offer.codes, of_length, Some(shown)),
            _ => None,
        };
        let Some(code) = code else {
            remarks.push(format!("its part number lacks a code for {{{name}}}"));
            return UNKNOWN.to_owned();
        };
        part = part + before + &code;
        rest = after;
    }
    part + rest
}

/// The code of a colour or a length; where an offer has no codes at all, what it stands for.
fn code(
    codes: &Section<Code>,
    is_of: impl Fn(&str) -> bool,
    plain: Option<&str>,
) -> Option<String> {
    let own = codes.items().iter().find(|code| is_of(&code.name.value));
    match own {
        Some(own) => own.code.known().map(ToString::to_string),
        None if codes.is_empty() && codes.unreadable().is_none() => plain.map(str::to_owned),
        None => None,
    }
}
