//! `duplicate-name`: does every name stand for one thing?

use crate::analysis::{Analysis, place};
use crate::finding::Finding;
use crate::model::fault::{Fault, Noted};
use crate::rules::sharers::Sharers;
use crate::rules::{Draft, rule};

use super::written;

rule!(
    "duplicate-name",
    Records,
    Error,
    "One name for two things: whoever looks for one may pull, or switch off, the other."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut sharers = Sharers::of(analysis);
    let found = written::faults(analysis).filter_map(|noted| finding(&mut sharers, noted));
    findings.extend(found);
}

fn finding(sharers: &mut Sharers<'_>, noted: &Noted) -> Option<Finding> {
    let Fault::Repeated {
        name,
        what,
        first,
        again,
    } = &noted.fault
    else {
        return None;
    };
    let (headline, advice) = match *what {
        "key" => {
            let whose = written::whose(noted).map_or(String::new(), |whose| format!(" of {whose}"));
            (
                format!("key `{name}`{whose} stands twice: only the first is read, and the second guards nobody"),
                "Keep the one that is true.",
            )
        }
        "section" => (
            "the site has two `site:` sections: only the first is read, and what the second demands guards nobody".to_owned(),
            "Put all that holds for the site into one of them.",
        ),
        "cord" => (
            format!("two cords carry the label {name}: whoever unplugs one may drop the load on the other; only the first is judged"),
            "Give one of them another label, on the cord and here.",
        ),
        "PDU or device with outlets" => (
            format!("a PDU and a device with outlets are both called {name}: a cord from an outlet of {name} is taken to hang on the PDU, and may hang on the device"),
            "Give one of them another name, and correct the cords that are plugged into it.",
        ),
        what => (
            format!("a second {what} is called {name}: whoever looks for one may find the other; only the first is judged"),
            "Give one of them another name.",
        ),
    };
    let kind = if *what == "key" { "key" } else { "name" };
    let draft = Draft::new(&RULE, headline, *again, "again here", written::format())
        .above([place(*first, "first here")])
        .kind(kind);
    Some(
        written::told(draft, sharers, noted)
            .about([name.clone()])
            .advice(advice)
            .finish(),
    )
}
