//! The poles that a circuit or an outlet hangs between.

use serde_json::Value;

/// Electrical contexts of the standard (DSP8010, Sensor and Circuit) that name two poles, and our names for them.
const CONTEXTS: [(&str, &str); 6] = [
    ("Line1ToNeutral", "L1-N"),
    ("Line2ToNeutral", "L2-N"),
    ("Line3ToNeutral", "L3-N"),
    ("Line1ToLine2", "L1-L2"),
    ("Line2ToLine3", "L2-L3"),
    ("Line3ToLine1", "L3-L1"),
];

/// What a resource says of its poles: by its context, or by the one voltage that it has between two of them.
pub(super) fn between(body: &Value) -> Option<&'static str> {
    let by_context = body["ElectricalContext"].as_str().and_then(poles);
    let voltages = body["PolyPhaseVoltage"].as_object();
    let by_voltage = || {
        let mut pairs = voltages
            .into_iter()
            .flatten()
            .filter_map(|(key, _)| poles(key));
        let first = pairs.next();
        first.filter(|_| pairs.next().is_none())
    };
    by_context.or_else(by_voltage)
}

fn poles(context: &str) -> Option<&'static str> {
    let known = CONTEXTS.iter().find(|(own, _)| *own == context);
    known.map(|(_, poles)| *poles)
}
