//! Power strips and transfer switches out of a saved tree of JSON resources, as the management standard for power equipment has
//! them (DMTF DSP8010: PowerDistribution 1.6.0, Circuit 1.9.0, Outlet 1.4.4). Files only; a link is an identity
//! among them, and none is followed further than from a strip to its circuits and outlets.

mod banks;
mod between;
mod couplers;
mod resources;
mod strip;
mod switch;
mod write;

use crate::date::Date;
use crate::finding::Finding;
use crate::rules::records::missing_key;

use super::Taken;
use super::new_site::Names;
use super::remark::{At, Remark, gathered};
use super::unreadable::findings;
use resources::Resources;
use strip::Strip;
use switch::Switch;

/// What the standard says of no strip.
const UNSAID: &str = "The resources do not say, and nobody guesses: breaking capacity of the breakers and what they let through, the input cord, where outlets sit, what holds a plug in them, and what feeds each strip.";
/// The same of transfer switches.
const UNSAID_OF_SWITCHES: &str = "Of transfer switches the resources do not say how long they take to go over, nor whether by semiconductors; and what they draw themselves is on their nameplates.";
/// The one number that is not what stands on the part. What the standard says of it is from memory, verify.
const DERATED: &str = "The rated current of a circuit is what it may carry once it is derated (DSP8010, from memory, verify): look at each breaker, a larger number may be marked on it.";

/// What is taken out of a saved tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Power strips.
    Pdus,
    /// Transfer switches: a kind of equipment each, and the device.
    TransferSwitches,
}

impl Units {
    /// Which of them a resource is of, by its `EquipmentType`.
    fn of(kind: Option<&str>) -> Option<Self> {
        match kind? {
            "RackPDU" => Some(Self::Pdus),
            "AutomaticTransferSwitch" | "ManualTransferSwitch" => Some(Self::TransferSwitches),
            _ => None,
        }
    }

    /// One of them, in words.
    pub fn one(self) -> &'static str {
        match self {
            Self::Pdus => "strip",
            Self::TransferSwitches => "transfer switch",
        }
    }

    /// Several of them, in words.
    pub fn several(self) -> &'static str {
        match self {
            Self::Pdus => "strips",
            Self::TransferSwitches => "transfer switches",
        }
    }

    /// As the program is asked for them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pdus => "pdus",
            Self::TransferSwitches => "transfer-switches",
        }
    }
}

/// Takes units of a saved tree: its files by their paths, and those that could not be read.
pub fn take_in_units(
    units: Units,
    files: &[(String, Vec<u8>)],
    unread: &[(String, String)],
    today: Date,
) -> Taken {
    let (resources, mut remarks) = Resources::read(files);
    remarks.extend(unread.iter().map(|(path, why)| {
        let at = At::Resource(path.clone());
        Remark::new(at, format!("it is not read: {why}"), "Save it again.")
    }));
    let (mut strips, mut switches) = (Vec::new(), Vec::new());
    for (id, body) in resources.of_type("PowerDistribution") {
        let kind = body["EquipmentType"].as_str();
        match Units::of(kind) {
            Some(Units::Pdus) if units == Units::Pdus => {
                strips.push(Strip::of(&resources, id, body, &mut remarks));
            }
            Some(Units::TransferSwitches) if units == Units::TransferSwitches => {
                switches.push(Switch::of(&resources, id, body, &mut remarks));
            }
            other => remarks.push(left(id, kind, other)),
        }
    }
    if strips.is_empty() && switches.is_empty() {
        remarks.push(Remark::new(
            At::Whole,
            format!("no resource of a {} is among the files", units.one()),
            "Save the tree from PowerEquipment on, each resource as JSON with its \"@odata.id\".",
        ));
    }
    let yaml = write::definitions(&strips, &switches, &mut remarks);
    let told = findings(yaml.as_str(), today).into_iter();
    remarks.extend(
        told.filter(|finding| finding.rule != missing_key::RULE.name)
            .map(faulty),
    );
    let has_breakers = strips.iter().any(Strip::has_breakers);
    let notes = [
        (!strips.is_empty(), UNSAID),
        (!switches.is_empty(), UNSAID_OF_SWITCHES),
        (has_breakers, DERATED),
    ];
    Taken {
        yaml,
        names: Names::default(),
        count: strips.len() + switches.len(),
        notes: notes
            .iter()
            .filter(|(says, _)| *says)
            .map(|(_, note)| (*note).to_owned())
            .collect(),
        remarks: gathered(remarks),
    }
}

/// What is not asked for, or is none of what can be taken.
fn left(id: &str, kind: Option<&str>, units: Option<Units>) -> Remark {
    let at = At::Resource(id.to_owned());
    match units {
        Some(units) => Remark::new(
            at,
            format!("it is a {}, and was not asked for", units.one()),
            format!("Take it with --of {}.", units.word()),
        ),
        None => Remark::new(
            at,
            format!(
                "it is no strip and no transfer switch but `{}`, and is not taken",
                kind.unwrap_or("?")
            ),
            "Describe it by hand, if cords hang on it.",
        ),
    }
}

/// What a check says of the definitions that are made.
fn faulty(finding: Finding) -> Remark {
    Remark::new(At::Whole, finding.headline, finding.remedy.advice)
}
