//! Remedies as a list to work by.

use rustc_hash::FxHashMap;

use crate::finding::Edit;
use crate::ink::{Look, Page, Plain, Written, short};
use crate::input::joined;
use crate::quantity::{Length, Quantity};
use crate::remedy::{Choice, Correction, Refit, Remedies};
use crate::report::{CAUTION, count};
use crate::source::{Sources, Span};

/// Things to do otherwise that are told one by one.
const MOST_OTHERS: usize = 200;
/// Cords that are named where many are to be changed alike.
const MOST_NAMED: usize = 12;

/// All remedies of a site, as a list for a terminal.
pub(super) fn told(
    root: &str,
    remedies: &Remedies,
    is_written: bool,
    look: &Look,
) -> Written<Plain> {
    let mut list = List(Page::new(look));
    list.line(0, &subject(root, remedies));
    list.corrections(root, remedies, is_written);
    list.refits(root, remedies, is_written);
    list.unwritten(root, remedies);
    list.others(root, remedies);
    list.rest(root, remedies);
    list.0.end()
}

fn subject(root: &str, remedies: &Remedies) -> String {
    let root = short(root);
    match remedies.name.as_deref().map(short) {
        Some(name) if root == "." => format!("Remedies for {name}"),
        Some(name) => format!("Remedies for {name} ({root})"),
        None => format!("Remedies for the site in {root}"),
    }
}

/// A list that is written line by line.
struct List<'a>(Page<'a>);

impl List<'_> {
    /// Args, wrapped; of an item, further lines stand two columns further in.
    fn line(&mut self, indent: usize, args: &str) {
        let hang = if indent > 0 { 2 } else { 0 };
        self.0.item(indent, indent + hang, args);
    }

    fn heading(&mut self, args: &str) {
        self.0.blank();
        self.line(0, args);
    }

    fn corrections(&mut self, root: &str, remedies: &Remedies, is_written: bool) {
        let done = match is_written {
            true => "Corrected in the definitions",
            false => "To correct in the definitions",
        };
        self.slips(root, remedies, done, &remedies.corrections);
        self.slips(root, remedies, "To correct by hand", &remedies.by_hand);
    }

    fn slips(&mut self, root: &str, remedies: &Remedies, what: &str, corrections: &[Correction]) {
        if corrections.is_empty() {
            return;
        }
        let number = count(corrections.len(), "slip", "slips");
        self.heading(&format!("{what}: {number}"));
        for correction in corrections {
            let place = place(root, &remedies.sources, correction.span);
            let what = corrected(&remedies.sources, correction);
            self.line(2, &format!("{place}: {what} [{}]", correction.rule));
        }
    }

    fn refits(&mut self, root: &str, remedies: &Remedies, is_written: bool) {
        let refits: Vec<&Refit> = remedies
            .refits
            .iter()
            .filter(|refit| !refit.choices.is_empty())
            .collect();
        if refits.is_empty() {
            return;
        }
        self.heading(&format!(
            "To fit instead: {}",
            count(refits.len(), "cord", "cords")
        ));
        for group in alike(&refits) {
            self.group(root, &remedies.corrected, &group, is_written);
        }
    }

    /// Cords that are to be changed alike.
    fn group(&mut self, root: &str, sources: &Sources, group: &[&Refit], is_written: bool) {
        let Some(first) = group.first() else { return };
        let place = place(root, sources, first.span);
        self.line(2, &format!("{}: {}", place, names(group)));
        let now = described(&first.kind, first.length);
        self.line(4, &format!("now: {now} [{}]", first.rules.join(", ")));
        for (at, choice) in first.choices.iter().enumerate() {
            let word = if at == 0 { "fit" } else { "or" };
            self.line(4, &format!("{word}: {}", first.described(choice)));
        }
        if !first.is_searched {
            self.line(4, "There may be more: not all other cords were tried.");
        }
        if first.choices.iter().any(Choice::is_belied) {
            self.line(4, "The name of the type tells another length: define a type for this one, and name that. So it is never written.");
        }
        if !first.edits.is_empty() {
            self.line(4, match is_written {
                true => "Written into the definitions. Change it at the rack before the site is used by them.",
                false => "The only choice: --write writes it into the definitions.",
            });
        }
    }

    /// Files that would change and are left alone.
    fn unwritten(&mut self, root: &str, remedies: &Remedies) {
        let files = &remedies.unwritten;
        if files.is_empty() {
            return;
        }
        let number = count(files.len(), "file", "files");
        self.heading(&format!("Never written, so change it by hand: {number}"));
        for (path, why) in files {
            self.line(2, &format!("{}: {why}", joined(root, path)));
        }
    }

    /// What is to be done in other ways, as the rules advise it.
    fn others(&mut self, root: &str, remedies: &Remedies) {
        let others = &remedies.others;
        if others.is_empty() {
            return;
        }
        self.heading(&format!(
            "To do otherwise: {}",
            count(others.len(), "thing", "things")
        ));
        for finding in others.iter().take(MOST_OTHERS) {
            let place = place(root, &remedies.corrected, finding.main.span);
            let of = finding.about.first().map_or("", |name| name.as_str());
            let of = short(of);
            let advice = &finding.remedy.advice;
            self.line(2, &format!("{place}: {of} [{}]", finding.rule));
            self.line(4, advice);
        }
        let more = others.len().saturating_sub(MOST_OTHERS);
        if more > 0 {
            self.line(
                2,
                &format!("And {more} more: \"cordwright check {root}\" tells them."),
            );
        }
    }

    fn rest(&mut self, root: &str, remedies: &Remedies) {
        self.0.blank();
        if let Some(why) = &remedies.untried {
            self.line(0, &format!("No other cords were tried: a part of the site was not judged ({why}), and what would be new there could not be seen. Put that right first."));
        }
        let unsearched = remedies
            .refits
            .iter()
            .filter(|refit| !refit.is_searched && refit.choices.is_empty())
            .count();
        if unsearched > 0 {
            let number = count(unsearched, "cord", "cords");
            self.line(0, &format!("For {number} of those not all other cords were tried: put right what is above, and run this again."));
        }
        if let Some(first) = remedies.cut_short_at() {
            let place = place(root, &remedies.corrected, first.span);
            self.line(0, &format!("{place}: the search for other cords ended here, at {}, since the site is large. --budget trials=N allows for more.", first.cord));
        }
        let is_sound = remedies.worst_left.is_none() && remedies.untried.is_none();
        let is_sound = is_sound && remedies.unwritten.is_empty();
        if is_sound && remedies.changed.is_empty() {
            self.line(0, "Nothing is left to put right.");
        } else {
            self.line(
                0,
                &format!("Why, and what is not decided, is told by \"cordwright check {root}\"."),
            );
        }
        self.line(0, CAUTION);
    }
}

/// Refits that tell the same, put together in the order of their first.
fn alike<'a>(refits: &[&'a Refit]) -> Vec<Vec<&'a Refit>> {
    let is_alike = |a: &Refit, b: &Refit| {
        a.kind == b.kind
            && a.length == b.length
            && a.rules == b.rules
            && a.choices == b.choices
            && a.is_searched == b.is_searched
            && a.edits.is_empty() == b.edits.is_empty()
    };
    let mut groups: Vec<Vec<&'a Refit>> = Vec::new();
    // Only those of one type and of as many choices are held against each other.
    let mut by_kind: FxHashMap<_, Vec<usize>> = FxHashMap::default();
    for &refit in refits {
        let first = refit.choices.first().map(|choice| choice.kind.as_str());
        let near = by_kind.entry((refit.kind.as_str(), first)).or_default();
        match near.iter().find(|&&at| is_alike(groups[at][0], refit)) {
            Some(&at) => groups[at].push(refit),
            None => {
                near.push(groups.len());
                groups.push(vec![refit]);
            }
        }
    }
    groups
}

fn names(group: &[&Refit]) -> String {
    let named = group.iter().take(MOST_NAMED);
    let named: Vec<_> = named.map(|refit| short(&refit.cord)).collect();
    let more = group.len() - named.len();
    match more {
        0 => named.join(", "),
        _ => format!("{} and {more} more", named.join(", ")),
    }
}

fn described(kind: &str, length: Option<Length>) -> String {
    match length {
        Some(length) => format!("{} ({})", short(kind), length.show()),
        None => short(kind).into_owned(),
    }
}

fn corrected(sources: &Sources, correction: &Correction) -> String {
    match correction.edits.as_slice() {
        [Edit { span, text }] if !text.contains('\n') => {
            let old = sources.file(span.file).slice(span.range());
            match old.is_empty() {
                true => format!("add `{}`", text.trim()),
                false => format!("`{}` becomes `{}`", short(old), short(text)),
            }
        }
        _ => correction.advice.clone(),
    }
}

fn place(root: &str, sources: &Sources, span: Span) -> String {
    let source = sources.file(span.file);
    let at = source.position_in_chars(span.range().start);
    format!("{}:{}:{}", joined(root, &source.path), at.line, at.column)
}
