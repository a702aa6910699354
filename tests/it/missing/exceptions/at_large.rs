//! Silences that are right and that only many sites show.

use super::{Exception, unread, without};

/// The same as [`super::EXCEPTIONS`], but a few sites need not need them.
pub(super) const AT_LARGE: &[Exception] = &[
    without(
        "supplies.fault-current.largest",
        "what contradicts it was the fault, and is all that is left",
        &["bad-quantity"],
    ),
    without(
        "supplies.fault-current.smallest",
        "what it contradicts can be relied on without it",
        &["breaking-capacity"],
    ),
    unread(
        "supplies.fault-current.smallest",
        "what it contradicted is the largest that is known, and the fault is told where it stands",
        &["breaking-capacity"],
    ),
    without(
        "circuits.wiring.earth-conductor",
        "an earth conductor is as thick as the lines unless another size is written",
        &["conductor-below-minimum"],
    ),
    without(
        "device-models.earth-current",
        "without a label no more leaks than the standard of the equipment lets it, which the report names",
        &["earth-leakage"],
    ),
    without(
        "supplies.from",
        "a supply is fed from no other unless one is written",
        &["feed-shared", "supply-overloaded"],
    ),
    without(
        "device-models.outlets",
        "equipment without outlets passes nothing on, and what is plugged in there is told to hang on nothing",
        &["outlet-unprotected", "transfer-too-slow"],
    ),
    unread(
        "device-models.outlets",
        "what hangs on outlets that cannot be read is told to be judged no further",
        &["outlet-unprotected", "transfer-too-slow"],
    ),
    unread(
        "device-models.outlets.*",
        "what hangs on outlets that cannot be read is told to be judged no further",
        &["outlet-unprotected"],
    ),
    unread(
        "device-models.outlets.*.coupler",
        "what hangs on outlets that cannot be read is told to be judged no further",
        &["outlet-unprotected"],
    ),
    without(
        "cord-types.cordage",
        "no size is wrong for a cordage that is not written",
        &["size-not-made"],
    ),
    unread(
        "devices.inlets.*.feed",
        "a feed that nobody knows is told, and that what depends on it is not judged",
        &["wrong-feed"],
    ),
    without(
        "cord-types.stand-out",
        "an end is of usual size unless another is written",
        &["angle-clash"],
    ),
    without(
        "cord-types.stand-out.connector",
        "an end is of usual size unless another is written",
        &["angle-clash"],
    ),
    without(
        "cord-types.resistance",
        "without a measured resistance that of the conductor's size holds",
        &["voltage-drop"],
    ),
    without(
        "circuits.wiring.earth-resistance",
        "without a measured resistance that of the conductor's size holds",
        &["slow-disconnection"],
    ),
    without(
        "cords.length",
        "a cord is as long as its type unless its own length is written",
        &["cord-too-short"],
    ),
    without(
        "devices.zone",
        "what is in no zone lies in the air of the site",
        &[
            "conductor-underrated",
            "conductor-unprotected",
            "coupler-in-hot-air",
            "jacket-too-hot",
        ],
    ),
    without(
        "racks.zone",
        "what is in no zone lies in the air of the site, and is dry",
        &["coupler-in-hot-air", "coupler-in-the-wet"],
    ),
    without(
        "devices.inlets",
        "an inlet is meant for no feed unless one is written",
        &["wrong-feed"],
    ),
    without(
        "devices.inlets.*.feed",
        "an inlet is meant for no feed unless one is written",
        &["wrong-feed"],
    ),
    without(
        "device-models.inlets.*.rating",
        "without a mark the rating of the sheet holds",
        &[
            "coupler-in-hot-air",
            "coupler-overloaded",
            "nameplate-above-inlets",
        ],
    ),
    without(
        "device-models.inlets.*.share",
        "inlets share alike unless their shares are written",
        &["bank-overloaded"],
    ),
    without(
        "pdu-models.banks.*.breaker.continuous",
        "a breaker is listed for more, or for less, than its share only where that is written",
        &["bank-overloaded", "failover-overloaded"],
    ),
    without(
        "device-models.rating",
        "without a nameplate the inlets bound what a device takes",
        &["conductor-unprotected"],
    ),
    without(
        "site.voltage-drop.cord",
        "the owner sets no limit unless one is written",
        &["voltage-drop"],
    ),
    without(
        "pdu-models.banks.*.outlets.*.rating",
        "without a mark the rating of the sheet holds",
        &["outlet-unprotected"],
    ),
    without(
        "site.phase-imbalance",
        "the owner sets no limit unless one is written",
        &["phase-imbalance"],
    ),
    without(
        "site.phase-imbalance.floor",
        "the owner sets no limit unless one is written",
        &["phase-imbalance"],
    ),
    without(
        "site.phase-imbalance.note",
        "the owner sets no limit unless one is written",
        &["phase-imbalance"],
    ),
    without(
        "supplies.protective-conductor",
        "a supply brings a protective conductor where its marking names one",
        &["earth-interrupted"],
    ),
    without(
        "cord-types.cordage",
        "next to the collapse of a voltage, which is told, what a supply delivers hangs on every ohm",
        &["supply-overloaded"],
    ),
    unread(
        "cord-types.cordage",
        "next to the collapse of a voltage, which is told, what a supply delivers hangs on every ohm",
        &["supply-overloaded"],
    ),
    unread(
        "cord-types.length",
        "next to the collapse of a voltage, which is told, what a supply delivers hangs on every ohm",
        &["supply-overloaded"],
    ),
    without(
        "device-models.rating",
        "the load that it stood for is asked at the device",
        &["phase-imbalance"],
    ),
    without(
        "devices.at",
        "a device shares no place where nobody knows its own, and the routes of its cords ask for it",
        &["space-shared"],
    ),
    unread(
        "devices.at",
        "a device shares no place where nobody knows its own, and the routes of its cords ask for it",
        &["space-shared"],
    ),
];
