//! Price lists: each price in one currency that somebody names, and several lengths or colours in one cell.

use super::take_in;
use crate::world::World;

const MAKE: &str = "cord-makes:\n  m1: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 1.0 mm², rating: 10 A}\n";

/// What is written of the only row, and what is told.
fn row(headings: &str, row: &str) -> (String, String) {
    let ended = take_in("offers", &format!("name;make;{headings}\nO;m1;{row}\n"));
    let own = ended.yaml.lines().nth(1).unwrap_or_default();
    let own = own.trim_start_matches("  O: {make: m1");
    let own = own.strip_suffix('}').unwrap_or(own);
    let own = own.trim_start_matches(", ").to_owned();
    let is_sound = ended.code == Some(0);
    (own, if is_sound { String::new() } else { ended.told })
}

#[test]
fn a_price_list_is_taken_in_with_its_own_words() {
    let ended = take_in(
        "offers",
        "Offer no.;Make;Vendor;Length (m);Colour;Unit price (EUR);price.100 (EUR);MOQ;Pack size;Lead time (days);Valid to;Part no.;Tolerance\n\
         E-1;m1;east;0,5; 1;blue, red;2,40;2,10;10;5;5;2031-03-31;K-{colour};-0/+50 mm\n",
    );
    // `;` parts the cells of this list, so the lengths have slipped by one: they are told, not taken for others.
    assert_eq!(ended.code, Some(1), "{}", ended.yaml);
    let ended = take_in(
        "offers",
        "Offer no.\tMake\tVendor\tLength (m)\tColour\tUnit price (EUR)\tprice.100 (EUR)\tMOQ\tPack size\tLead time (days)\tValid to\tPart no.\tTolerance\n\
         E-1\tm1\teast\t0,5; 1\tblue, red\t2,40\t2,10\t10\t5\t5\t2031-03-31\tK-{colour}\t-0/+50 mm\n",
    );
    assert_eq!(
        ended.yaml,
        "offers:\n  E-1: {make: m1, supplier: east, lengths: [0.5 m, 1 m], colours: [blue, red], price: {'1': 2.40 EUR, '100': 2.10 EUR}, minimum: 10, multiple: 5, lead: 5 days, valid-until: 2031-03-31, part: 'K-{colour}', tolerance: '-0/+50 mm'}\n"
    );
    assert_eq!(ended.code, Some(0), "{}", ended.told);
}

#[test]
fn a_price_has_the_currency_that_somebody_names() {
    for (headings, cells, price) in [
        ("price", "2.40 EUR", "price: 2.40 EUR"),
        ("price (EUR)", "2,40", "price: 2.40 EUR"),
        ("price (€)", "2,40", "price: 2.40 EUR"),
        ("price", "2,40 €", "price: 2.40 EUR"),
        ("price;currency", "2,40;USD", "price: 2.40 USD"),
        ("currency;price", "USD;$2.40", "price: 2.40 USD"),
        ("price (EUR);currency", "2.40 EUR;EUR", "price: 2.40 EUR"),
        (
            "price;price.100;currency",
            "3;2;GBP",
            "price: {'1': 3 GBP, '100': 2 GBP}",
        ),
    ] {
        let (own, told) = row(headings, cells);
        assert_eq!(
            (own.as_str(), told.as_str()),
            (price, ""),
            "{headings}: {cells}"
        );
    }
}

#[test]
fn a_price_that_is_not_sure_is_asked_about() {
    for (headings, cells, asked) in [
        (
            "price",
            "2.40",
            "`2.40` does not say for sure in which currency",
        ),
        (
            "price (net)",
            "2.40",
            "`2.40` does not say for sure in which currency",
        ),
        (
            "price (EUR/100)",
            "240",
            "`240` does not say for sure in which currency",
        ),
        (
            "price",
            "$2.40",
            "`$2.40` does not say for sure in which currency",
        ),
        (
            "price;currency",
            "2.40;",
            "`2.40` does not say for sure in which currency",
        ),
        ("price (EUR)", "2.40 USD", "`2.40 USD` is in EUR and in USD"),
        ("price (USD)", "2.40 €", "`2.40 €` is in EUR and in USD"),
        ("price (EUR)", "$2.40", "`$2.40` is in $ and in EUR"),
        (
            "price (EUR)",
            "0,00",
            "`0,00` would make it the cheapest of all",
        ),
        (
            "price (EUR);currency",
            "2.40;USD",
            "`2.40` is in EUR and in USD",
        ),
        ("price (EUR)", "1,250", "`1,250` may be 1.250 or 1250"),
        ("price (EUR)", "1.250", "`1.250` may be 1.250 or 1250"),
        (
            "price;currency",
            "1.250;EUR",
            "`1.250` may be 1.250 or 1250",
        ),
    ] {
        let (own, told) = row(headings, cells);
        assert_eq!(own, "", "{headings}: {cells}");
        assert!(told.contains(asked), "{told}");
    }
    // What is no price stays as it stands, and is told.
    let (own, told) = row("price", "on request");
    assert_eq!(own, "price: on request");
    assert!(told.contains("`on request`"), "{told}");
    let (_, told) = row("price;price.100", "2.40 EUR;2.10 USD");
    assert!(told.contains("of two currencies"), "{told}");
}

#[test]
fn the_unit_of_the_whole_list_is_that_of_prices_without_one() {
    let world = World::with(&[(
        "list.csv",
        "name,make,length,unit price\nA,m1,1,2.40\nB,m1,2,2.60 USD\n",
    )]);
    let words = "take-in list.csv --of offers --unit price=EUR --unit length=m";
    let ended = world.run(&words.split(' ').collect::<Vec<_>>());
    assert_eq!(
        ended.output,
        "offers:\n  A: {make: m1, lengths: [1 m], price: 2.40 EUR}\n  B: {make: m1, lengths: [2 m], price: 2.60 USD}\n"
    );
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
}

#[test]
fn what_may_be_one_or_two_is_asked_about() {
    let (own, told) = row("lengths (m)", "1,2");
    assert_eq!(own, "");
    assert!(
        told.contains("may be one length with decimals or two lengths"),
        "{told}"
    );
    for (cell, lengths) in [
        ("0,5", "lengths: [0.5 m]"),
        ("0,5 m, 1 m", "lengths: [0.5 m, 1 m]"),
        ("0.5/1/2 m", "lengths: [0.5 m, 1 m, 2 m]"),
    ] {
        assert_eq!(
            row("lengths (m)", cell),
            (lengths.to_owned(), String::new())
        );
    }
    let (_, told) = row("lengths", "0.5/1 m");
    assert!(
        told.contains("`0.5` is a length without its unit"),
        "{told}"
    );
    // Without colours it would be an offer of every colour.
    let (own, told) = row("colours", "blue/red");
    assert_eq!(own, "colours: [blue/red]");
    assert!(
        told.contains("may be one colour of two or two colours, and is taken as one"),
        "{told}"
    );
}

#[test]
fn offers_without_a_make_twice_or_of_none_are_told() {
    let ended = take_in("offers", "name,make,minimum\nA,m1,0\nB,,5\nA,m1,1\n,m1,1\n");
    assert_eq!(ended.code, Some(1));
    assert_eq!(
        ended.yaml,
        "offers:\n  A: {make: m1, minimum: 0}\n  B: {minimum: 5}\n"
    );
    for told in [
        "row 2, column minimum",
        "row 3: offer B has no `make`",
        "row 4: `A` stands in row 2 already, and is not taken again",
        "row 5: the offer has no name, and is not taken",
        "Took 2 rows, with 4 things to put right.",
    ] {
        assert!(ended.told.contains(told), "{told} in {}", ended.told);
    }
    let without = take_in("offers", "name,supplier\nA,east\n");
    assert!(
        without
            .told
            .contains("column `make` is missing: an offer must have it"),
        "{}",
        without.told
    );
    // Whether a make is there only the site knows.
    let taken = take_in("offers", "name,make\nA,m9\n");
    assert_eq!(taken.code, Some(0), "{}", taken.told);
    let world = World::with(&[
        ("cordwright.yaml", "site: {practice: iec}\n"),
        ("makes.yaml", MAKE),
        ("offers.yaml", &taken.yaml),
    ]);
    let ended = world.run(&["check"]);
    assert!(
        ended
            .output
            .contains("A names the cord make `m9`, which is defined nowhere"),
        "{}",
        ended.output
    );
}
