//! What the tables have of an approval mark, written as the pages of the rules are.

use crate::citation::Confidence;
use crate::tables::approvals::{self, Begins};
use crate::tables::marks::{self, Mark};

/// The page of a mark, in Markdown.
pub(super) fn page(mark: &Mark) -> String {
    let sections = [
        ("Where it will do", where_it_will_do(mark)),
        ("Since when", since_when(mark)),
        ("Basis", basis(mark)),
        (
            "Caution",
            "Advisory only. A mark can be forged: look at the parts in hand, and ask whoever gives the mark where in doubt; local code and a licensed electrician prevail.".to_owned(),
        ),
    ];
    let mut page = head(mark);
    for (title, body) in sections {
        page.push_str(&format!("\n\n## {title}\n\n{body}"));
    }
    page
}

fn head(mark: &Mark) -> String {
    let name = &mark.name;
    let spellings: Vec<String> = mark.spellings.iter().map(|s| format!("`{s}`")).collect();
    let spellings = match spellings.is_empty() {
        true => String::new(),
        false => format!("\n\nRead as this mark, too: {}.", spellings.join(", ")),
    };
    format!("# {name}\n\n{name} is {}.{spellings}", mark.what())
}

fn where_it_will_do(mark: &Mark) -> String {
    if !mark.is_approval() {
        return "Nowhere: by itself it is no approval of a cord with plug and connector."
            .to_owned();
    }
    let taking: Vec<String> = marks::markets(mark)
        .map(|market| {
            let weak = if market.is_settled() {
                ""
            } else {
                "; from memory, verify"
            };
            format!("{} ({}{weak})", market.name, market.countries.join(", "))
        })
        .collect();
    let plugs = match taking.is_empty() {
        true => "Cords with a wall plug: in no country of the tables.".to_owned(),
        false => format!("Cords with a wall plug: {}.", taking.join("; ")),
    };
    let any_body = approvals::all().filter(|m| m.takes_any_body(Begins::InternationalPlug));
    let codes: Vec<&str> = any_body
        .flat_map(|market| &market.countries)
        .map(String::as_str)
        .collect();
    let unclear = unclear(mark);
    format!(
        "{plugs}\n\nCords with a plug of IEC 60320 or IEC 60309: there, and wherever the mark of any independent body will do: {}.{unclear}",
        codes.join(", ")
    )
}

/// Where its name alone does not tell what it is.
fn unclear(mark: &Mark) -> String {
    let codes: Vec<&str> = approvals::all()
        .filter(|market| market.leaves_unclear(mark))
        .flat_map(|market| &market.countries)
        .map(String::as_str)
        .collect();
    match codes.is_empty() {
        true => String::new(),
        false => format!(
            "\n\nWhat stands beside it on the part decides, and is asked for, in {}.",
            codes.join(", ")
        ),
    }
}

fn since_when(mark: &Mark) -> String {
    let since = mark.since.map(|year| format!("Given since {year}. "));
    let since = since.unwrap_or_else(|| "The tables have no first year. ".to_owned());
    let next = mark.replaced_by.as_deref();
    let until = match (mark.until, next) {
        (Some(until), Some(next)) => {
            format!("Replaced by {next} in {until}; older parts may bear it.")
        }
        (Some(until), None) => format!("Given until {until}; older parts may bear it."),
        (None, _) => "It has not been replaced, as far as the tables know.".to_owned(),
    };
    format!("{since}{until}")
}

/// The source of the row; where it is weak, what that means for findings.
fn basis(mark: &Mark) -> String {
    let citation = &mark.citation;
    let weak = match citation.confidence {
        Confidence::FromMemory => {
            " Where it will do, nothing is asked of a cord that bears it, and nothing is proved by that."
        }
        _ => "",
    };
    format!("Source: {citation}.{weak}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page_of(name: &str) -> String {
        page(marks::find(name).unwrap())
    }

    #[test]
    fn a_mark_is_told_with_what_it_is_where_it_will_do_since_when_and_its_source() {
        let expected = "\
# PSE

PSE is a test of plug and connector by a certification body (Japan).

Read as this mark, too: `PSE diamond`, `Diamond PSE`, `PS-E diamond`.

## Where it will do

Cords with a wall plug: Japan (JP).";
        let page = page_of("<PS>E");
        assert!(page.starts_with(expected), "{page}");
        let says = |name: &str, words: &str| {
            let page = page_of(name);
            assert!(page.contains(words), "{page}");
        };
        says("pse", "Given since 2001. It has not been replaced");
        says(
            "pse",
            "Source: Electrical Appliance and Material Safety Law",
        );
        says("EK", "Replaced by KC in 2009; older parts may bear it.");
        says(
            "MET",
            "(from memory, verify). Where it will do, nothing is asked",
        );
        says("CE", "CE is the maker's own word, not an approval.");
        says("CE", "Nowhere: by itself it is no approval");
        says("HAR", "a mark of the cordage alone");
        says("TÜV", "is asked for, in US, PR, CA.");
        says(
            "UL",
            "a listing of the finished cord set by a testing laboratory (United States)",
        );
        for mark in marks::all() {
            let page = self::page(mark);
            assert_eq!(page.matches("Source: ").count(), 1, "{page}");
        }
    }
}
