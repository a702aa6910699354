//! The rules: what each is, the index of all of them, and how they are run.
//!
//! One rule is one file, `src/rules/<subject>/<rule>.rs`, one page, `lint-docs/<rule>.md`, and one
//! line in [`RULES`]. A rule looks at a [`Analysis`] and says what it finds; it does no I/O and knows
//! no other rule.

mod accepting;
mod again;
mod card;
mod departing;
mod draft;
mod half_typed;
mod illegible;
mod levels;
mod other_cords;
mod run;
mod sharers;
mod staying_up;
mod suffering;
mod told_once;
mod turned;

pub(crate) mod circuits;
pub(crate) mod conductors;
pub(crate) mod couplers;
pub(crate) mod identity;
pub(crate) mod jackets;
pub(crate) mod records;
pub(crate) mod retention;
pub(crate) mod routing;
pub(crate) mod splitters;

use crate::analysis::Analysis;
use crate::finding::{Finding, Level};
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::policy::Policy;
use crate::source::Span;
use crate::tables::Practice;

pub use accepting::{Acceptance, Known, hides_others, may_be_accepted, outgrown, snag_level};
pub use card::{RuleCard, cards};
pub use departing::{Answer, Departures, holds, signed};
pub use draft::Draft;
pub use levels::{Origin, Standing};
pub use run::{Outcome, run, run_on_change};

/// The room a rule lives in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// Is the definition itself sound.
    Records,
    /// Plugs, outlets, connectors and inlets.
    Couplers,
    /// Conductors and their protection.
    Conductors,
    /// Splitter cords.
    Splitters,
    /// What holds couplers together.
    Retention,
    /// Jackets and approvals.
    Jackets,
    /// Lengths and ways.
    Routing,
    /// Colours, labels and feeds.
    Identity,
    /// Circuits, banks and supplies.
    Circuits,
}

impl Subject {
    /// The subject's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Records => "records",
            Self::Couplers => "couplers",
            Self::Conductors => "conductors",
            Self::Splitters => "splitters",
            Self::Retention => "retention",
            Self::Jackets => "jackets",
            Self::Routing => "routing",
            Self::Identity => "identity",
            Self::Circuits => "circuits",
        }
    }
}

/// A rule.
#[derive(Debug)]
pub struct Rule {
    /// Its name.
    pub name: &'static str,
    /// The room it lives in.
    pub subject: Subject,
    /// Its level where neither the finding nor the site says otherwise.
    pub level: Level,
    /// The gravest that one of its findings may be by itself.
    pub gravest: Level,
    /// The practice under which alone it judges; `None` if under both.
    pub practice: Option<Practice>,
    /// The hazard in one line.
    pub summary: &'static str,
    /// Its page, `lint-docs/<name>.md`.
    pub page: &'static str,
    /// Names it went by in earlier releases, oldest first; they are still accepted.
    pub former_names: &'static [&'static str],
    /// How it comes to its findings.
    pub check: Check,
}

impl Rule {
    /// The name it was first released under.
    pub fn first_name(&self) -> &'static str {
        self.former_names.first().copied().unwrap_or(self.name)
    }

    /// Whether it judges under a practice. What a site without a practice is under is not known.
    pub fn binds(&self, practice: Option<Practice>) -> bool {
        self.practice.is_none_or(|only| Some(only) == practice)
    }

    /// Whether it goes, or once went, by this name.
    pub fn answers_to(&self, name: &str) -> bool {
        self.name == name || self.former_names.contains(&name)
    }
}

/// How a rule comes to its findings.
#[derive(Clone, Copy, Debug)]
pub enum Check {
    /// It looks at the site.
    Site(fn(&Analysis<'_>, &mut Vec<Finding>)),
    /// It looks at what was said of the site, and is therefore run last.
    Said(fn(&Analysis<'_>, &Said<'_>, &mut Vec<Finding>)),
    /// It looks at what a change made of the site, and speaks only where one is judged.
    Changed(fn(&Analysis<'_>, &Changed<'_>, &mut Vec<Finding>)),
}

/// Two states of a site, as the rules see them that look at a change.
#[derive(Clone, Copy, Debug)]
pub struct Changed<'a> {
    /// What the site has decided about its judgement after the change.
    pub now: Policy<'a>,
    /// What was decided before it.
    pub before: Policy<'a>,
    /// What was judged before, is still there and is not judged any more.
    pub lost: &'a [LostFile],
    /// Files that were judged before and that the site leaves out now.
    pub left_out: &'a [String],
    /// Devices whose load was known before and is not any more.
    pub unloaded: &'a [Id<Device>],
    /// What hangs now where nothing was judged before either.
    pub hung: &'a [Hung],
}

/// Devices that a change hangs on what no supply feeds, which it did not before either.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hung {
    /// Where what they hang on is defined.
    pub at: Span,
    /// What they hang on: `PDU`.
    pub what: &'static str,
    /// What that is called.
    pub name: Name,
    /// Those that did not hang there before, sorted.
    pub devices: Vec<Name>,
}

/// A file that was judged before a change, is still there, and is judged no more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LostFile {
    /// Its path before the change, below the site's root.
    pub path: String,
    /// What became of it, in words that finish "it …".
    pub fate: String,
    /// The things that it defined.
    pub things: Vec<Name>,
}

/// What the rules that look at the site have said.
#[derive(Clone, Copy, Debug)]
pub struct Said<'a> {
    /// All that they found.
    pub findings: &'a [Finding],
    /// Names of those that were run to their end.
    pub ran: &'a [&'static str],
}

/// Declares the `RULE` of a file. The page is built in: a rule without one does not compile.
macro_rules! rule {
    ($name:literal, $subject:ident, $level:ident $(up to $gravest:ident)?, $summary:literal $(, only under $practice:ident)? $(, formerly $former:literal)*) => {
        $crate::rules::rule!(Site, $name, $subject, $level $(up to $gravest)?, $summary $(, only under $practice)? $(, formerly $former)*);
    };
    (@practice $practice:ident) => { Some($crate::tables::Practice::$practice) };
    (@practice) => { None };
    (@gravest $level:ident $gravest:ident) => { $crate::finding::Level::$gravest };
    (@gravest $level:ident) => { $crate::finding::Level::$level };
    ($looks_at:ident, $name:literal, $subject:ident, $level:ident $(up to $gravest:ident)?, $summary:literal $(, only under $practice:ident)? $(, formerly $former:literal)*) => {
        /// The rule, for the index.
        pub static RULE: $crate::rules::Rule = $crate::rules::Rule {
            name: $name,
            subject: $crate::rules::Subject::$subject,
            level: $crate::finding::Level::$level,
            gravest: $crate::rules::rule!(@gravest $level $($gravest)?),
            practice: $crate::rules::rule!(@practice $($practice)?),
            summary: $summary,
            page: include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/lint-docs/",
                $name,
                ".md"
            )),
            former_names: &[$($former),*],
            check: $crate::rules::Check::$looks_at(check),
        };
    };
}
pub(crate) use rule;

/// Every rule, by subject and then in the order of the catalogue.
pub static RULES: &[&Rule] = &[
    // records
    &records::unreadable_file::RULE,
    &records::unknown_key::RULE,
    &records::missing_key::RULE,
    &records::bad_quantity::RULE,
    &records::duplicate_name::RULE,
    &records::unknown_name::RULE,
    &records::double_booked::RULE,
    &records::unfed_inlet::RULE,
    &records::power_loop::RULE,
    &records::idle_definition::RULE,
    &records::load_basis::RULE,
    &records::pattern_idle::RULE,
    &records::catalogue_unread::RULE,
    &records::departure_lapsed::RULE,
    &records::departure_idle::RULE,
    &records::snag_idle::RULE,
    &records::policy_relaxed::RULE,
    &records::sight_lost::RULE,
    // couplers
    &couplers::coupler_mismatch::RULE,
    &couplers::coupler_overloaded::RULE,
    &couplers::nameplate_above_inlets::RULE,
    &couplers::rating_foreign::RULE,
    &couplers::coupler_temperature::RULE,
    &couplers::coupler_in_hot_air::RULE,
    &couplers::coupler_in_the_wet::RULE,
    &couplers::earth_interrupted::RULE,
    &couplers::neutral_missing::RULE,
    &couplers::voltage_out_of_range::RULE,
    &couplers::plug_below_connector::RULE,
    &couplers::plug_fuse::RULE,
    &couplers::polarity_unassured::RULE,
    // conductors
    &conductors::conductor_underrated::RULE,
    &conductors::conductor_below_minimum::RULE,
    &conductors::size_not_made::RULE,
    &conductors::conductor_unprotected::RULE,
    &conductors::fault_withstand::RULE,
    &conductors::slow_disconnection::RULE,
    &conductors::breaking_capacity::RULE,
    &conductors::voltage_drop::RULE,
    // splitters
    &splitters::splitter_overloaded::RULE,
    &splitters::splitter_defeats_redundancy::RULE,
    &splitters::splitter_in_series::RULE,
    // retention
    &retention::retention_missing::RULE,
    &retention::retention_unsupported::RULE,
    &retention::retention_one_ended::RULE,
    &retention::cord_in_line::RULE,
    // jackets
    &jackets::jacket_too_hot::RULE,
    &jackets::jacket_smoke::RULE,
    &jackets::jacket_in_plenum::RULE,
    &jackets::jacket_duty::RULE,
    &jackets::approval_missing::RULE,
    &jackets::plug_foreign::RULE,
    &jackets::supply_foreign::RULE,
    // routing
    &routing::cord_too_short::RULE,
    &routing::cord_too_long::RULE,
    &routing::cord_over_limit::RULE,
    &routing::cord_crosses_racks::RULE,
    &routing::angle_clash::RULE,
    &routing::space_shared::RULE,
    // identity
    &identity::feed_colour::RULE,
    &identity::wrong_feed::RULE,
    &identity::label_pattern::RULE,
    // circuits
    &circuits::circuit_overloaded::RULE,
    &circuits::bank_overloaded::RULE,
    &circuits::line_overloaded::RULE,
    &circuits::failover_overloaded::RULE,
    &circuits::supply_overloaded::RULE,
    &circuits::neutral_overloaded::RULE,
    &circuits::phase_imbalance::RULE,
    &circuits::outlet_unprotected::RULE,
    &circuits::input_chain_mismatch::RULE,
    &circuits::receptacle_shared::RULE,
    &circuits::pdu_in_series::RULE,
    &circuits::pdu_too_hot::RULE,
    &circuits::breaker_in_hot_air::RULE,
    &circuits::breakers_not_selective::RULE,
    &circuits::feed_shared::RULE,
    &circuits::supplies_insufficient::RULE,
    &circuits::single_corded::RULE,
    &circuits::earth_leakage::RULE,
    &circuits::rcd_leakage::RULE,
    &circuits::rcd_type_unfit::RULE,
    &circuits::socket_without_rcd::RULE,
    &circuits::inrush::RULE,
    &circuits::transfer_too_slow::RULE,
];

/// The rule of this name, or of this former name.
pub fn find(name: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.answers_to(name))
}

/// Whether a rule judges what is written by itself: what it finds may be why others find something.
pub(crate) fn is_of_records(name: &str) -> bool {
    find(name).is_some_and(|rule| rule.subject == Subject::Records)
}
