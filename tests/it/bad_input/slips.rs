//! The slips that are tried: what of a sound site is changed, and to what.

/// What of a site is changed: the first text of the base site or of the load that is `from`.
pub struct Slip {
    pub from: &'static str,
    /// What stands there instead, each by itself; `«»` mark what a finding must lie on.
    pub to: &'static [&'static str],
}

/// One slip at a time in the base site or its load.
pub const SLIPS: &[Slip] = &[
    Slip {
        from: "draw: 200 W",
        to: &[
            "draw: «0 W»",
            "draw: «0 VA»",
            "draw: «-200» W",
            "draw: «200»",
            "draw: «NaN W»",
            "draw: «.nan»",
            "draw: «inf W»",
            "draw: «-.inf»",
            "draw: «∞ W»",
            "draw: «1e400» W",
            "draw: «1e30 W»",
            "draw: «1e-30 W»",
            "draw: «1e-400 W»",
            "draw: «200 W W»",
            "draw: «1.500» W",
            "draw: «1.500» VA",
            "draw«: »",
            "draw: «[200 W]»",
            "draw: «{}»",
        ],
    },
    Slip {
        from: "at: U10",
        to: &["at: «U0»", "at: «U43»", "at: «99 U»", "at: «-1 U»"],
    },
    Slip {
        from: "foot: U2, head: U20",
        to: &["foot: U2, head: «U43»", "foot: «20»"],
    },
    Slip {
        from: "power-factor: 0.97",
        to: &[
            "power-factor: «0»",
            "power-factor: «-0.5»",
            "power-factor: «1.2»",
            "power-factor: «NaN»",
            "power-factor: «.inf»",
            "power-factor: «1e400»",
            "power-factor: «1e-300»",
            "power-factor: «0.0099»",
            "power-factor: «97 %»",
        ],
    },
    Slip {
        from: "rating: 300 W",
        to: &[
            "rating: «0 W»",
            "rating: «-300» W",
            "rating: «1e400» W",
            "rating: «inf W»",
        ],
    },
    Slip {
        from: "length: 1.5 m, rating",
        to: &[
            "length: «0» m, rating",
            "length: «-2» m, rating",
            "length: «0.0» m, rating",
            "length: «1e-9 m», rating",
            "length: «1e9 m», rating",
            "length: «NaN m», rating",
        ],
    },
    Slip {
        from: "conductor: 1.0 mm², cordage",
        to: &[
            "conductor: «0» mm², cordage",
            "conductor: «-1» mm², cordage",
            "conductor: «1e9 mm²», cordage",
            "conductor: «99 AWG», cordage",
        ],
    },
    Slip {
        from: "rating: 10 A, colour",
        to: &[
            "rating: «0 A», colour",
            "rating: «-10» A, colour",
            "rating: «1e400» A, colour",
        ],
    },
    Slip {
        from: "system: 3/N/PE ~ 400/230 V 50 Hz",
        to: &[
            "system: «5/N/PE» ~ 400/230 V 50 Hz",
            "system: «400»",
            "system: 3/N/PE ~ 0/«0» V",
            "system: 3/N/PE ~ 400/230 V «0» Hz",
            "system: «3/N/PE ~ 400/400 V 50 Hz»",
            "system: «3/N/PE ~ 230 V 50 Hz»",
            "system: 3/N/PE ~ NaN/«NaN V»",
            "system: 3/N/PE ~ 400/230 V «1e400» Hz",
            "«system»:",
            "system: «= 48 V»",
        ],
    },
    Slip {
        from: "capacity: 40 kVA",
        to: &[
            "capacity: «0 kVA»",
            "capacity: «-40» kVA",
            "capacity: «40»",
            "capacity: «inf kVA»",
        ],
    },
    Slip {
        from: "fault-current: 6 kA",
        to: &[
            "fault-current: «0 A»",
            "fault-current: «-6» kA",
            "fault-current: «1e400» A",
            "fault-current: «0»",
            "fault-current: {largest: «0 A»}",
            "fault-current: {largest: 6 kA, smallest: «7 kA»}",
            "fault-current: {prospective: «6 kA», largest: 10 kA}",
            "fault-current: {prospective: «6 kA», smallest: 1 kA}",
            "fault-current: {largest: 6 kA, lasts: «0 s»}",
            "fault-current: {largest: 6 kA, lasts: «10 min»}",
            "fault-current: {largest: 6 kA, lasts: «300 A»}",
            "fault-current: {largest: 6 kA, of: «guessed»}",
            "fault-current: {smallest: 1 kA, of: «declared»}",
            "fault-current: {largest: «50 A»}",
            "fault-current: «[6 kA]»",
            "fault-current: «6 kA»\n    modes: {mains: {fault-current: 6 kA}}",
            "modes: {mains: {fault-current: 6 kA}, «mains»: {fault-current: 1 kA}}",
            "modes: {mains: {fault-current: 6 kA}, «invertor»: {fault-current: 90 A}}",
            "modes: {«UPS»: {fault-current: 6 kA}}",
            "modes: {mains: {fault-current: «0»}}",
            "modes: {mains: {fault-current: {largest: 6 kA, smallest: «7 kA»}}}",
            "modes: {mains: {fault-current: 6 kA, earthing: «earthed»}}",
            "modes: {mains: «6 kA»}",
            "modes: «{}»",
            "modes: «[mains]»",
            "modes: «mains»",
        ],
    },
    Slip {
        from: "poles: [L1, N]",
        to: &[
            "«poles»: []",
            "poles: [«L9»]",
            "poles: [L1, «L1»]",
            "«poles»:",
            "poles: [«N»]",
            "poles: «L1»",
        ],
    },
    Slip {
        from: "breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}",
        to: &[
            "breaker: «0 A»",
            "breaker: «-16» A",
            "«breaker»: {curve: C}",
            "breaker: «NaN A»",
            "breaker: «1e400» A",
            "«breaker»:",
            "«breaker»: {}",
            "breaker: {rating: 16 A, curve: C, breaking-capacity: «0 kA»}",
            "breaker: {rating: 16 A, curve: «Q», breaking-capacity: 6 kA}",
        ],
    },
    Slip {
        from: "wiring: {conductor: 4 mm², length: 10 m",
        to: &[
            "wiring: {conductor: 4 mm², length: «0» m",
            "wiring: {conductor: 4 mm², length: «-9» m",
            "wiring: {conductor: «0» mm², length: 10 m",
            "wiring: {resistance: «0» ohm, conductor: 4 mm², length: 10 m",
            "wiring: {resistance: «1e400» ohm, conductor: 4 mm², length: 10 m",
            // Readable, and no voltage is left behind it.
            "wiring: {resistance: 999999 ohm, conductor: «4 mm²», length: 10 m",
        ],
    },
    Slip {
        from: "B1: {between: L1-N",
        to: &[
            "B1: {between: «L1-L1»",
            "B1: {between: «L4-N»",
            "B1: {between: «L1»",
            "B1: {between: «L1-L2-L3»",
            "B1: {«between»: ",
        ],
    },
    Slip {
        from: "outlets: {1-8: C13}",
        to: &[
            "«outlets»: {}",
            "«outlets»:",
            "outlets: {«8-1»: C13}",
            "outlets: {«1-99999»: C13}",
            "outlets: {«\"\"»: C13}",
            "outlets: {1-8: C13, «3»: C13}",
            "outlets: {1-8: «C99»}",
            "outlets: {«1-8»: {rating: 10 A}}",
            "outlets: {1-8: {coupler: C13, rating: «0 A»}}",
        ],
    },
    Slip {
        from: "inlets: {psu1: C14, psu2: C14}",
        to: &[
            "«inlets»: {}",
            "inlets: {psu2: C14, «psu1»: }",
            "inlets: {psu2: C14, «\"\"»: C14}",
            "inlets: {psu1: {coupler: C14, share: 0 %}, psu2: {coupler: C14, share: «0 %»}}",
            "inlets: {psu1: {coupler: C14, share: «300 %»}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, share: «-10» %}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, share: 150 %}, psu2: {coupler: C14, share: «150 %»}}",
            "inlets: {psu1: {coupler: C14, share: 30 %}, psu2: {coupler: C14, share: «30 %»}}",
            "inlets: {psu1: {coupler: C14, rating: «0 A»}, psu2: C14}",
            "inlets: {psu1: {coupler: C14, capacity: «0 W»}, psu2: C14}",
        ],
    },
    Slip {
        from: "inlets-needed: 1",
        to: &[
            "inlets-needed: «0»",
            "inlets-needed: «-1»",
            "inlets-needed: «5»",
            "inlets-needed: «99999999999»",
        ],
    },
    Slip {
        from: "voltage: 100–240 V",
        to: &[
            "voltage: «0» V",
            "voltage: «240–100 V»",
            "voltage: 100«–NaN V»",
            "voltage: «0»–240 V",
        ],
    },
    Slip {
        from: "earth-current: 0.75 mA",
        to: &[
            "earth-current: «-1» mA",
            "earth-current: «0.75»",
            "earth-current: «inf mA»",
        ],
    },
    Slip {
        from: "inrush: 30 A",
        to: &[
            "inrush: «0 A»",
            "inrush: «-30» A",
            "inrush: «1e400» A",
            "inrush: «NaN A»",
        ],
    },
    Slip {
        from: "supply-tolerance: 10 %",
        to: &[
            "supply-tolerance: «100 %»",
            "supply-tolerance: «150 %»",
            "supply-tolerance: «-10» %",
            "supply-tolerance: «NaN %»",
            "supply-tolerance: «10»",
        ],
    },
    Slip {
        from: "continuous-load: 80 %",
        to: &[
            "continuous-load: «300 %»",
            "continuous-load: «-80» %",
            "continuous-load: «0.8»",
        ],
    },
    Slip {
        from: "ambient: 25 °C\n",
        to: &[
            "ambient: «300 °C»\n",
            "ambient: «-300 °C»\n",
            "ambient: «NaN °C»\n",
            "ambient: «1e400» °C\n",
            "ambient: «25»\n",
        ],
    },
    Slip {
        from: "{ambient: 25 °C, vibration",
        to: &[
            "{ambient: «300 °C», vibration",
            "{ambient: «inf °C», vibration",
        ],
    },
    Slip {
        from: "outlet-pitch: 28 mm",
        to: &["outlet-pitch: «0» mm", "outlet-pitch: «-28» mm"],
    },
    Slip {
        from: "height: 42 U",
        to: &["height: «-1» U", "height: «42»", "height: «1e400» U"],
    },
    Slip {
        from: "W-1: {type: c14-blue, from: pdu-a/1",
        to: &[
            "«\"\"»: {type: c14-blue, from: pdu-a/1",
            "W-1: {type: «\"\"», from: pdu-a/1",
            "W-1: {type: c14-blue, from: «\"\"»",
            "W-1: {type: c14-blue, from: «/»",
            "W-1: {type: c14-blue, from: pdu-a/«0»",
            "W-1: {type: c14-blue, from: pdu-a/«999»",
        ],
    },
];

/// Values that can be read and lie at the end of what is believed.
pub const EXTREMES: [(&str, &str); 11] = [
    ("power-factor: 0.97", "power-factor: «0.01»"),
    ("draw: 200 W", "draw: «100 MW»"),
    ("draw: 200 W", "draw: «200 kA»"),
    ("supply-tolerance: 10 %", "supply-tolerance: «99.999 %»"),
    ("ambient: 25 °C\n", "ambient: «250 °C»\n"),
    ("wiring: {", "wiring: {«resistance: 0.000001 ohm», "),
    ("capacity: 40 kVA", "capacity: «0.1 VA»"),
    ("fault-current: 6 kA", "fault-current: «0.01 mA»"),
    ("fault-current: 6 kA", "fault-current: «200 kA»"),
    ("continuous-load: 80 %", "continuous-load: «0 %»"),
    (
        "system: 3/N/PE ~ 400/230 V 50 Hz",
        "system: «1/N/PE ~ 1 mV»",
    ),
];
