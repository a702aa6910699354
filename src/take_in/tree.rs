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

/// Takes the rack strips of a saved tree: its files by their paths, and those that could not be read.
pub fn take_in_strips(
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
        match body["EquipmentType"].as_str() {
            Some("RackPDU") => strips.push(Strip::of(&resources, id, body, &mut remarks)),
            Some("AutomaticTransferSwitch" | "ManualTransferSwitch") => {
                switches.push(Switch::of(&resources, id, body, &mut remarks));
            }
            other => remarks.push(Remark::new(
                At::Resource(id.to_owned()),
                format!(
                    "it is no rack strip and no transfer switch but `{}`, and is not taken",
                    other.unwrap_or("?")
                ),
                "Describe it by hand, if cords hang on it.",
            )),
        }
    }
    if strips.is_empty() && switches.is_empty() {
        remarks.push(Remark::new(
            At::Whole,
            "no resource of a rack strip or a transfer switch is among the files",
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

/// What a check says of the definitions that are made.
fn faulty(finding: Finding) -> Remark {
    Remark::new(At::Whole, finding.headline, finding.remedy.advice)
}
