//! What may fall silent, and why.

mod at_large;

use std::collections::BTreeSet;
use std::sync::Mutex;

use super::facts::Loss;
use Loss::{Deleted, Unreadable};
use at_large::AT_LARGE;

/// Silences that are right.
pub struct Exception {
    /// The key whose fact is missing.
    pub key: &'static str,
    pub loss: Loss,
    pub reason: &'static str,
    /// The rules that fall silent.
    pub rules: &'static [&'static str],
}

const fn without(
    key: &'static str,
    reason: &'static str,
    rules: &'static [&'static str],
) -> Exception {
    let loss = Deleted;
    Exception {
        key,
        loss,
        reason,
        rules,
    }
}

const fn unread(
    key: &'static str,
    reason: &'static str,
    rules: &'static [&'static str],
) -> Exception {
    let loss = Unreadable;
    Exception {
        key,
        loss,
        reason,
        rules,
    }
}

/// Keys by which things hang together: a thing under a name, where it is fed from and where it stands,
/// and the couplers, which are pushed together or not.
const TIES: &[&str] = &[
    "circuits.from",
    "circuits.poles",
    "circuits.receptacle",
    "circuits.receptacle.coupler",
    "cord-types.connector",
    "cord-types.legs",
    "cord-types.legs.*",
    "cord-types.legs.*.connector",
    "cord-types.plug",
    "cords.from",
    "cords.to",
    "cords.to.*",
    "cords.type",
    "device-models.inlets",
    "device-models.inlets.*",
    "device-models.inlets.*.coupler",
    "devices.inlets",
    "devices.inlets.*",
    "devices.rack",
    "devices.zone",
    "devices.model",
    "pdu-models.banks",
    "pdu-models.banks.*",
    "pdu-models.banks.*.between",
    "pdu-models.banks.*.outlets",
    "pdu-models.banks.*.outlets.*",
    "pdu-models.banks.*.outlets.*.coupler",
    "pdu-models.plug",
    "pdus.from",
    "pdus.model",
    "pdus.rack",
    "racks.zone",
    "supplies.feed",
    "supplies.from",
    "supplies.system",
    "site.practice",
];

/// Sections of parts of a site's own, which are what all their keys say together.
const OWN_PARTS: [&str; 3] = ["coupler-types.", "cordage-types.", "latch-systems."];

pub fn is_tie(key: &str) -> bool {
    TIES.contains(&key) || OWN_PARTS.iter().any(|section| key.starts_with(section))
}

/// Keys that take any text: names, folders among them, and words that are the site's own. A folder that
/// is not there is told where folders are read.
const FREE: &[&str] = &[
    "cord-types.approvals",
    "cord-types.colour",
    "cords.bundle",
    "departures.agreed-by",
    "departures.at",
    "circuits.risk-assessment",
    "departures.reason",
    "devices.inlets.*.unused",
    "site.country",
    "site.feeds.*.colour",
    "site.files.catalogues",
    "site.files.leave-out",
    "site.files.take-in",
    "site.levels.*.reason",
    "site.levels.load-basis.reason",
    "site.name",
];

/// Whether what stands under a key can be any text: as it is taken, or in no section of ours, or told
/// of at another place.
pub fn is_free(key: &str) -> bool {
    FREE.contains(&key) || is_tie(key) || !is_ours(key)
}

fn is_ours(key: &str) -> bool {
    let mut astray = ["cabinets.", "r\u{430}\u{441}ks."].iter();
    !astray.any(|astray| key.starts_with(astray))
}

/// Silences that are right whatever the key: the fault is in what is written there, and goes with it.
fn is_written_there(rule: &str, key: &str, loss: Loss) -> bool {
    match rule {
        "departure-lapsed" => key.starts_with("site.levels."),
        "duplicate-name" => loss == Deleted,
        "unknown-key" => !is_ours(key),
        _ => false,
    }
}

pub const EXCEPTIONS: &[Exception] = &[
    without(
        "circuits.breaker.ambient",
        "a breaker in a panel is judged only where its air is written",
        &["breaker-in-hot-air"],
    ),
    without(
        "pdu-models.banks.*.breaker.ambient",
        "where it is not written how warm it is at a breaker, the air of its strip counts",
        &["breaker-in-hot-air"],
    ),
    without(
        "devices.draw",
        "without a draw the nameplate counts, and what that overloads is told as overloaded",
        &["breaker-in-hot-air"],
    ),
    without(
        "pdu-models.banks.*.breaker.calibrated-at",
        "a breaker without a mark of its own has the air of its standard",
        &["breaker-in-hot-air"],
    ),
    without(
        "circuits.breaker.continuous",
        "a breaker is listed for more than its share only where that is written",
        &["circuit-overloaded"],
    ),
    without(
        "circuits.rcd",
        "a circuit has no residual current device unless one is written",
        &["rcd-leakage"],
    ),
    without(
        "circuits.rcd.type",
        "a device is of the site's type unless its own is written",
        &["rcd-type-unfit"],
    ),
    without(
        "circuits.receptacle",
        "a circuit that nothing is plugged into need not have a receptacle",
        &["input-chain-mismatch"],
    ),
    without(
        "cord-types.angle",
        "an end is straight unless an angle is written",
        &["angle-clash"],
    ),
    without(
        "cord-types.angle.plug",
        "an end is straight unless an angle is written",
        &["angle-clash"],
    ),
    without(
        "cord-types.cores",
        "a set has a core for every contact unless fewer are written (IEC 60799)",
        &["earth-interrupted"],
    ),
    without(
        "cord-types.fuse",
        "a plug has the fuse of its kind, or none, unless one is written",
        &["plug-fuse"],
    ),
    without(
        "cord-types.legs.*.rating",
        "without a mark the rating of the sheet holds",
        &["splitter-overloaded"],
    ),
    without(
        "cord-types.rating",
        "without a mark the rating of the sheet holds",
        &[
            "conductor-below-minimum",
            "rating-foreign",
            "splitter-overloaded",
        ],
    ),
    without(
        "cord-types.retention",
        "nothing is relied on that is not written",
        &["retention-unsupported"],
    ),
    without(
        "cord-types.retention.connector",
        "nothing is relied on that is not written",
        &["retention-unsupported"],
    ),
    without(
        "cord-types.retention.plug",
        "nothing is relied on that is not written",
        &["retention-unsupported"],
    ),
    without(
        "cords.bundle",
        "a cord lies alone unless its bundle is written",
        &["conductor-underrated"],
    ),
    without(
        "cords.length",
        "a cord is as long as its type unless its own length is written",
        &["conductor-below-minimum"],
    ),
    without(
        "cords.surplus",
        "a surplus hangs free unless a coil is written",
        &["conductor-underrated"],
    ),
    without(
        "departures.agreed-by",
        "the departure without it is the fault, and is told",
        &["departure-idle"],
    ),
    without(
        "departures.reason",
        "the departure without it is the fault, and is told",
        &["departure-idle"],
    ),
    without(
        "departures.until",
        "the departure without it is the fault, and is told",
        &["departure-idle"],
    ),
    without(
        "device-models.inlets.*.capacity",
        "where no inlet gives a capacity, the number of inlets alone is judged",
        &["supplies-insufficient"],
    ),
    without(
        "device-models.inlets.*.feed",
        "an inlet is meant for no feed unless one is written",
        &["feed-shared", "wrong-feed"],
    ),
    without(
        "device-models.inlets-needed",
        "nothing is promised of a device that does not say it",
        &["supplies-insufficient"],
    ),
    without(
        "device-models.inrush",
        "a site that gives no inrush is not judged by it",
        &["inrush"],
    ),
    without(
        "device-models.rail-travel",
        "a device stands still unless a travel is written",
        &["cord-too-short"],
    ),
    without(
        "device-models.rating",
        "the nameplate is itself the figure in doubt",
        &["load-basis", "nameplate-above-inlets"],
    ),
    without(
        "device-models.rear-clearance",
        "only what closes behind a device gives it a clearance",
        &["angle-clash"],
    ),
    without(
        "devices.critical",
        "a device is not critical unless that is written",
        &["single-corded", "supplies-insufficient"],
    ),
    without(
        "devices.draw",
        "a device takes what its nameplate says unless a draw is written",
        &[
            "bank-overloaded",
            "circuit-overloaded",
            "conductor-underrated",
            "coupler-in-hot-air",
            "coupler-overloaded",
            "departure-idle",
            "failover-overloaded",
            "line-overloaded",
            "nameplate-above-inlets",
            "phase-imbalance",
            "snag-idle",
            "supply-overloaded",
            "voltage-drop",
        ],
    ),
    without(
        "devices.measured",
        "a draw is planned unless a day of measuring is written",
        &["load-basis"],
    ),
    without(
        "devices.inlets.*.unused",
        "an inlet is in use unless it is said to stay free",
        &["unfed-inlet"],
    ),
    without(
        "devices.inlets",
        "an inlet is in use unless it is said to stay free",
        &["unfed-inlet"],
    ),
    without(
        "pdu-models.ambient-limit",
        "the maker allows any air unless a limit is written; the couplers have their own",
        &["pdu-too-hot"],
    ),
    without(
        "pdu-models.banks.*.breaker",
        "a bank has no breaker unless one is written: the circuit's stands ahead of it",
        &[
            "bank-overloaded",
            "breaker-in-hot-air",
            "breaking-capacity",
            "failover-overloaded",
            "fault-withstand",
            "inrush",
            "polarity-unassured",
        ],
    ),
    without(
        "pdu-models.banks.*.breaker.let-through",
        "a breaker that guards against overload guards against short circuit (IEC 60364-4-43 435.1)",
        &["fault-withstand"],
    ),
    without(
        "pdu-models.banks.*.selective",
        "nobody counts on a bank unless it is written",
        &["breakers-not-selective"],
    ),
    without(
        "pdu-models.banks.*.selective-up-to",
        "nobody counts on a bank unless it is written",
        &["breakers-not-selective"],
    ),
    without(
        "pdu-models.banks.*.outlets.*.latch",
        "nothing is relied on that is not written",
        &["retention-one-ended"],
    ),
    without(
        "pdu-models.banks.*.outlets.*.rating",
        "without a mark the rating of the sheet holds",
        &["rating-foreign"],
    ),
    without(
        "pdus.rack",
        "what is in no rack lies in the air of the site",
        &[
            "conductor-underrated",
            "conductor-unprotected",
            "fault-withstand",
            "jacket-too-hot",
            "pdu-too-hot",
        ],
    ),
    without(
        "racks.zone",
        "what is in no zone lies in the air of the site",
        &[
            "conductor-underrated",
            "conductor-unprotected",
            "fault-withstand",
            "jacket-too-hot",
            "pdu-too-hot",
        ],
    ),
    without(
        "site.continuous-load",
        "the owner sets no share unless one is written; that of the code binds by itself",
        &[
            "bank-overloaded",
            "circuit-overloaded",
            "failover-overloaded",
        ],
    ),
    without(
        "site.feeds",
        "a feed has no colour unless one is written",
        &["feed-colour"],
    ),
    without(
        "site.feeds.*.colour",
        "a feed has no colour unless one is written",
        &["feed-colour"],
    ),
    without(
        "site.label",
        "labels have no pattern unless one is written",
        &["label-pattern"],
    ),
    without(
        "site.levels",
        "the rule stands as it is unless a level is written",
        &["departure-lapsed"],
    ),
    without(
        "site.routing",
        "a site allows any surplus unless a limit is written",
        &["cord-too-long"],
    ),
    without(
        "site.routing.surplus",
        "a site allows any surplus unless a limit is written",
        &["cord-too-long"],
    ),
    without(
        "site.voltage-drop",
        "the owner sets no limit unless one is written; a collapse is told all the same",
        &["voltage-drop"],
    ),
    without(
        "site.voltage-drop.circuit",
        "the owner sets no limit unless one is written",
        &["voltage-drop"],
    ),
    without(
        "site.voltage-drop.total",
        "the owner sets no limit unless one is written",
        &["voltage-drop"],
    ),
    without(
        "zones.air",
        "a zone is a room unless something else is written",
        &["jacket-in-plenum"],
    ),
    without(
        "zones.ambient",
        "a zone has the air of the site unless its own is written",
        &[
            "breaker-in-hot-air",
            "conductor-underrated",
            "conductor-unprotected",
            "coupler-in-hot-air",
            "jacket-too-hot",
            "pdu-too-hot",
        ],
    ),
    without(
        "zones.article-645",
        "a zone is no Article 645 room unless that is written",
        &["cord-over-limit"],
    ),
    without(
        "zones.duty",
        "a zone asks for no more than it says",
        &["jacket-duty"],
    ),
    without(
        "zones.halogen-free",
        "a zone asks for no more than it says",
        &["jacket-smoke"],
    ),
    without(
        "zones.retention",
        "a zone asks for no more than it says",
        &["retention-missing"],
    ),
    without(
        "supplies.fault-current.of",
        "nothing is added to a figure unless its origin is written",
        &["breaking-capacity"],
    ),
    without(
        "zones.wet",
        "a place is dry unless it is said to be wet",
        &["coupler-in-the-wet", "jacket-duty"],
    ),
    unread(
        "device-models.inlets.*.feed",
        "a feed that nobody knows is told, and that what depends on it is not judged",
        &["wrong-feed"],
    ),
    unread(
        "departures.rule",
        "the departure is told to change nothing",
        &["departure-idle"],
    ),
    unread(
        "departures.until",
        "a departure without a day is told as such",
        &["departure-idle", "departure-lapsed"],
    ),
    unread(
        "site.levels",
        "the rule stands as it is where its level cannot be read",
        &["departure-lapsed"],
    ),
];

fn at_large(rule: &str, key: &str, loss: Loss) -> bool {
    let mut lines = AT_LARGE.iter();
    lines.any(|line| line.key == key && line.loss == loss && line.rules.contains(&rule))
}

/// A rule, a key and what became of it.
pub type Line = (&'static str, &'static str, Loss);

/// Which lines were needed.
#[derive(Default)]
pub struct Used(Mutex<BTreeSet<Line>>);

fn lines() -> impl Iterator<Item = Line> {
    let excepted = EXCEPTIONS.iter();
    excepted.flat_map(|line| line.rules.iter().map(|rule| (*rule, line.key, line.loss)))
}

/// Whether some line is about what becomes of this key while one of these rules speaks.
pub fn is_named(speaking: &BTreeSet<&str>, key: &str, loss: Loss) -> bool {
    lines().any(|(rule, of, own)| of == key && own == loss && speaking.contains(rule))
}

impl Used {
    /// Whether a line excepts this; it is used then.
    pub fn excepts(&self, rule: &str, key: &str, loss: Loss) -> bool {
        let line = lines().find(|line| *line == (rule, key, loss));
        let is_used = line.map(|line| self.0.lock().unwrap().insert(line));
        is_used.is_some() || is_written_there(rule, key, loss) || at_large(rule, key, loss)
    }

    /// Lines that except nothing.
    pub fn idle(&self) -> Vec<Line> {
        let used = self.0.lock().unwrap();
        lines().filter(|line| !used.contains(line)).collect()
    }
}
