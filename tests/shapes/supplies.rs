//! Shapes of supplies that are fed from others.

use super::{Files, HEAD, devices, each, site, strip};

/// Supplies with a circuit, a strip and an inlet of a device each, two devices' to a pair; `from` saying what feeds
/// each.
fn supplies_fed(count: usize, ahead: &str, from: impl Fn(usize) -> String) -> Files {
    let supply = |n: usize| {
        let feed = ["A", "B"][n % 2];
        format!(
            "  s{n}: {{feed: {feed}, from: {}, efficiency: 95 %, recharge: 1 W, input-power-factor: 1, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA}}",
            from(n)
        )
    };
    let circuit = |n: usize| {
        format!(
            "  C{n}: {{from: s{n}, poles: [L1, N], breaker: {{rating: 16 A, curve: C}}, receptacle: IEC 60309 16 A 2P+E 6h}}"
        )
    };
    let pdu = |n: usize| format!("  p{n}: {{model: strip, rack: r1, from: C{n}}}");
    let cords = each(count, |n| {
        format!(
            "  W-{n}: {{type: blue, from: p{n}/1, to: d{n}/psu1}}\n  X-{n}: {{type: red, from: p{}/2, to: d{n}/psu2}}",
            n % count + 1
        )
    });
    let mut files = site(
        HEAD.to_owned()
            + &strip(2)
            + "pdus:\n"
            + &each(count, pdu)
            + &devices(count, "pair", "0.1 W")
            + "cords:\n"
            + &cords,
    );
    let more = format!(
        "supplies:\n{ahead}{}circuits:\n{}",
        each(count, supply),
        each(count, circuit)
    );
    files.push(("supplies.yaml".to_owned(), more));
    files
}

/// Supplies that are all fed from one.
pub fn supplies_on_one(count: usize) -> Files {
    supplies_fed(count, "", |_| "ups".to_owned())
}

/// Supplies of two feeds, each second pair of them fed from one of its own.
pub fn supplies_in_pairs(count: usize) -> Files {
    let tr = |n: usize| format!("  t{n}: {{system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 99 kVA}}");
    supplies_fed(count, &each(count.div_ceil(2), tr), |n| {
        format!("t{}", n / 2 % count.div_ceil(2) + 1)
    })
}

/// Supplies that are each fed from the next.
pub fn supplies_in_a_row(count: usize) -> Files {
    supplies_fed(count, "", |n| {
        if n < count {
            format!("s{}", n + 1)
        } else {
            "ups".to_owned()
        }
    })
}
