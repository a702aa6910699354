//! What a zone asks of a jacket: the use, the oil and the wet.

use crate::analysis::field_or_name;
use crate::model::places::{Duty as Asked, Zone};
use crate::model::text::YesNo;
use crate::model::value::Named;
use crate::rules::jackets::run::Run;
use crate::source::Span;
use crate::tables::cordage::{Cordage, Duty};

/// What a zone asks of a jacket.
pub(super) struct Strain {
    pub kind: &'static str,
    /// `Err` where it cannot be read.
    pub is_asked: fn(&Zone) -> Result<bool, Span>,
    pub at: fn(&Named<Zone>) -> Span,
    /// What it is, for the middle of a sentence.
    pub words: &'static str,
    /// How to keep it away.
    pub protect: &'static str,
    pub stands: fn(&Run<'_>, &Cordage, &Zone) -> Option<bool>,
    pub harm: &'static str,
}

pub(super) static STRAINS: [Strain; 3] = [
    Strain {
        kind: "duty",
        is_asked: |zone| Ok(zone.duty.written()?.is_some()),
        at: |zone| field_or_name(&zone.duty, &zone.name),
        words: "the use",
        protect: "cover it so that nobody treads on it or drags it",
        stands: |run, cordage, zone| {
            let duty = zone.duty.written().ok()??.value;
            // Common practice: nobody treads on what stays within a rack, and light equipment comes with
            // a light cord.
            let is_sheltered = run.is_within_a_rack && duty == Asked::Ordinary;
            Some(is_sheltered || cordage.service.duty.grade() >= asked(duty))
        },
        harm: "the jacket wears through and live parts may come bare",
    },
    Strain {
        kind: "oil",
        is_asked: |zone| zone.oil.says_yes(),
        at: |zone| field_or_name(&zone.oil, &zone.name),
        words: "oil",
        protect: "keep the oil away from it",
        stands: |run, cordage, _| {
            run.serves(cordage.service.oil_resistant, |s| {
                s.oil.known().copied().map(|YesNo(yes)| yes)
            })
        },
        harm: "oil swells and cracks the jacket and live parts may come bare",
    },
    Strain {
        kind: "wet",
        is_asked: |zone| zone.wet.says_yes(),
        at: |zone| field_or_name(&zone.wet, &zone.name),
        words: "wet places",
        protect: "keep it dry",
        stands: |run, cordage, _| {
            run.serves(cordage.service.wet, |s| {
                s.wet.known().copied().map(|YesNo(yes)| yes)
            })
        },
        harm: "water gets in and may put the equipment's metal parts at mains voltage",
    },
];

fn asked(duty: Asked) -> u8 {
    match duty {
        Asked::Light => 1,
        Asked::Ordinary => 2,
        Asked::Heavy => 3,
    }
}

pub(super) fn duty_words(duty: Duty) -> &'static str {
    match duty {
        Duty::Light => "light duty",
        Duty::Ordinary => "ordinary duty",
        Duty::Heavy => "heavy duty",
        Duty::NotHard => "not hard usage",
        Duty::Hard => "hard usage",
        Duty::ExtraHard => "extra-hard usage",
    }
}
