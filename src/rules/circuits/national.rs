//! Sockets behind larger breakers: what the wiring rules of the country say, where it is not settled.

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Level};
use crate::model::text::clip;
use crate::quantity::{Current, Quantity};
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::breaker_ahead::{self, Ahead, Behind};
use crate::tables::countries;
use crate::tables::couplers::{self, Coupler, Family};

/// How the rules of the site's country stand to a device ahead of something rated for less. Where the tables
/// leave it open, the site's own word counts.
pub(super) fn ahead(
    analysis: &Analysis<'_>,
    practice: Practice,
    behind: &Behind<'_>,
    device: Current,
) -> Ahead {
    let country = analysis.model.site.country.known();
    let country = country.map(|code| code.0.as_str());
    match breaker_ahead::ahead(country, practice, behind, device) {
        Ahead::Unsettled(perhaps) => {
            by_the_site(analysis, behind, device).unwrap_or(Ahead::Unsettled(perhaps))
        }
        settled => settled,
    }
}

/// What the site says of such sockets; `None` where it says nothing that can be read.
fn by_the_site(analysis: &Analysis<'_>, behind: &Behind<'_>, device: Current) -> Option<Ahead> {
    let is_of = |name: &str| match couplers::find(name) {
        Some(coupler) => coupler.name == behind.coupler.name,
        None => name == behind.coupler.name,
    };
    let mut rules = analysis.model.site.sockets.items().iter();
    let rule = rules.find(|rule| is_of(&rule.name.value))?;
    let (most, source) = (*rule.behind.known()?, rule.source.known()?);
    let citation = Citation::given_by_site(&clip(source));
    Some(match exceeds(device, most) {
        true => Ahead::UpTo(most, Some(citation)),
        false => Ahead::Allowed(citation),
    })
}

/// Something behind a breaker that is larger than its rating, where nobody here knows the rule.
pub(super) struct Unsettled<'a> {
    /// As in `the receptacle of circuit A-1 (CEE 7/5)`.
    pub what: &'a str,
    /// Its coupler.
    pub coupler: &'a Coupler,
    /// Where that stands.
    pub at: Span,
    pub rated: &'a Cited<Current>,
    pub device: Current,
    /// What is said from memory.
    pub perhaps: Option<Cited<Current>>,
}

impl Unsettled<'_> {
    pub(super) fn draft(&self, analysis: &Analysis<'_>, rule: &Rule) -> Draft {
        let country = &analysis.model.site.country;
        let (rated, device) = (self.rated.value.show(), self.device.show());
        let headline = format!(
            "may {} stand behind a breaker of {device}, though it is made for {rated}? Open: {}",
            self.what,
            self.why(analysis)
        );
        let fact = analysis
            .site_place()
            .filter(|_| country.known().is_none())
            .map(|at| Fact::of_site("country", country, at));
        let advice = match fact {
            Some(_) => format!(
                "Write the country of the site by its two letters, like `country: GB`; {}s of one country are ruled by its wiring rules.",
                analysis.words().socket
            ),
            None => format!(
                "{}Look it up in the wiring rules of the country. If they allow it, write so under `site`, like `sockets: {{{}: {{behind: {device}, source: code, clause and edition}}}}`; if not, fit a breaker of {rated} or less.",
                self.other_mark(),
                self.coupler.name
            ),
        };
        let basis = self.perhaps.as_ref().map(|cited| cited.citation.clone());
        let own = self.rated.citation.clone();
        Draft::new(
            rule,
            headline,
            self.at,
            format!("made for {rated}"),
            basis.clone().unwrap_or_else(|| own.clone()),
        )
        .also(basis.map(|_| own))
        .working([format!("breaker {device} > {rated}")])
        .kind("rules-unread")
        .advice(advice)
        .wants(fact)
        .open()
    }

    /// What to write where the part is one of the same shape that is marked for more.
    fn other_mark(&self) -> String {
        let is_it = |other: &&Coupler| {
            let rated = other.rated(Practice::Iec).current.as_ref();
            let is_enough = rated.is_some_and(|rated| rated.value >= self.device);
            is_enough && other.face().name == self.coupler.name
        };
        let mut others = couplers::all().filter(is_it);
        others.next().map_or_else(String::new, |other| {
            format!("Read its mark: if that is {other}, write it so. ")
        })
    }

    fn why(&self, analysis: &Analysis<'_>) -> String {
        let field = &analysis.model.site.country;
        let Some(code) = field.known() else {
            let how = crate::analysis::absence(field);
            return format!(
                "what its country's wiring rules allow, for the country of the site {how}"
            );
        };
        let name = countries::country(&code.0).map_or(code.0.as_str(), |country| &country.name);
        match &self.perhaps {
            Some(most) => format!(
                "that the wiring rules of {name} allow it on up to {} is known from memory only",
                most.value.show()
            ),
            None => format!("what the wiring rules of {name} say of it is not in the tables"),
        }
    }
}

/// Sockets of one country are ruled by that country's wiring rules, of which copies were read: what they
/// bar is a warning.
pub(super) fn level(coupler: &Coupler, of_others: Level) -> Level {
    match coupler.family {
        Family::National => Level::Warning,
        Family::Iec60309 | Family::Iec60320 | Family::Nema | Family::Own => of_others,
    }
}

/// What holds where the tables know no rule that allows more.
pub(super) fn own_rating_only() -> Citation {
    Citation::common_practice("a breaker protects what follows it up to the rated current of that")
}
