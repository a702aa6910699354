//! A site in which nothing has an honest name.

use super::HOSTILE;

/// Names of things; in every turn, a thing goes by another one.
pub struct Names(pub usize);

/// All things that have names, and words that are taken as they are written.
const THINGS: [&str; 25] = [
    "site",
    "feed",
    "colour",
    "zone",
    "rack",
    "supply",
    "circuit",
    "strip",
    "bank",
    "pdu",
    "model",
    "inlet",
    "device",
    "other device",
    "type",
    "splitter",
    "leg",
    "cord",
    "split cord",
    "lost cord",
    "reason",
    "signer",
    "no type",
    "key",
    "note",
];

impl Names {
    /// The name of a thing: a hostile one, with something to tell it from the others.
    pub fn of(&self, thing: &str) -> String {
        let at = THINGS
            .iter()
            .position(|other| *other == thing)
            .expect(thing);
        let hostile = HOSTILE[(at + self.0) % HOSTILE.len()];
        // What stands before the last slash is the thing that a part belongs to.
        let hostile = match thing {
            "inlet" | "leg" | "bank" => hostile.replace('/', "\\"),
            _ => hostile.to_owned(),
        };
        format!("{hostile}{at}")
    }
}

/// The file of the site that has an honest name.
pub const OWN: &str = "cordwright.yaml";

/// The name in quotes, which every reader of YAML takes for the same.
pub fn quoted(name: &str) -> String {
    serde_json::to_string(name).unwrap()
}

/// The files of the site, some of them by hostile names.
pub fn files(names: &Names) -> [(String, String); 4] {
    let n = |thing: &str| quoted(&names.of(thing));
    let part = |thing: &str, part: &str| quoted(&format!("{}/{part}", names.of(thing)));
    let inlet = |thing: &str| quoted(&format!("{}/{}", names.of(thing), names.of("inlet")));
    let site = format!(
        "site:
  name: {site}
  practice: iec
  ambient: 25 °C
  label: 'W-[0-9]+'
  feeds: {{{feed}: {{colour: {colour}}}}}
  levels: {{plug-fuse: {{level: off, reason: {reason}}}}}
zones: {{{zone}: {{ambient: 25 °C, air: room}}}}
racks: {{{rack}: {{zone: {zone}, height: 10 U, width: 600 mm, depth: 1000 mm}}}}
supplies: {{{supply}: {{feed: {feed}, system: 1/N/PE ~ 230 V 50 Hz, capacity: 1 kVA}}}}
circuits:
  {circuit}: {{from: {supply}, poles: [L1, N], breaker: {{rating: 16 A, curve: C}}, receptacle: IEC 60309 16 A 2P+E 6h, note: {note}}}
departures:
  - {{rule: cord-too-long, at: {cord}, reason: {reason}, agreed-by: {signer}, until: 2099-01-01}}
",
        site = n("site"), feed = n("feed"), colour = n("colour"), reason = n("reason"),
        zone = n("zone"), rack = n("rack"), supply = n("supply"), circuit = n("circuit"),
        cord = n("cord"), signer = n("signer"), note = n("note"),
    );
    let types = format!(
        "pdu-models:
  {strip}:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    cord: {{cordage: H05VV-F, conductor: 0.75 mm², length: 2 m}}
    banks: {{{bank}: {{between: L1-N, breaker: {{rating: 10 A, curve: C}}, outlets: {{1-8: C13}}}}}}
device-models:
  {model}: {{height: 1 U, voltage: 230 V, power-factor: 1, inlets: {{{inlet}: {{coupler: C14, feed: {feed}}}}}}}
cord-types:
  {kind}: {{plug: C14, connector: C13, conductor: 0.75 mm², cordage: H05VV-F, length: 9 m, rating: 10 A, colour: {colour}}}
  {splitter}: {{plug: C14, conductor: 1 mm², cordage: H05VV-F, length: 1 m, colour: {colour}, legs: {{{leg}: {{connector: C13, length: 0.5 m}}}}}}
",
        strip = n("strip"), bank = n("bank"), model = n("model"), inlet = n("inlet"),
        feed = n("feed"), kind = n("type"), colour = n("colour"), splitter = n("splitter"),
        leg = n("leg"),
    );
    let things = format!(
        "pdus:
  {pdu}: {{model: {strip}, rack: {rack}, from: {circuit}, mount: {{side: rear-left, foot: U1, head: U9}}}}
devices:
  {device}: {{model: {model}, rack: {rack}, at: U2, draw: 3 kW, {key}: 1}}
  {other}: {{model: {model}, rack: {rack}}}
cords:
  {cord}: {{type: {kind}, from: {outlet_1}, to: {device_inlet}}}
  {split}: {{type: {splitter}, from: {outlet_2}, to: {{{leg}: {other_inlet}}}}}
  {lost}: {{type: {no_type}, from: {outlet_1}, to: {nowhere}}}
",
        pdu = n("pdu"), strip = n("strip"), rack = n("rack"), circuit = n("circuit"),
        device = n("device"), model = n("model"), key = n("key"), other = n("other device"),
        cord = n("cord"), kind = n("type"), outlet_1 = part("pdu", "1"),
        device_inlet = inlet("device"), split = n("split cord"), splitter = n("splitter"),
        outlet_2 = part("pdu", "2"), leg = n("leg"), other_inlet = inlet("other device"),
        lost = n("lost cord"), no_type = n("no type"), nowhere = part("lost cord", "x"),
    );
    [
        (OWN.to_owned(), site),
        (file_name(names.0), types),
        (format!("x/{}", file_name(names.0 + 7)), things),
        (half_typed(names), "cords: {W-1: [}".to_owned()),
    ]
}

/// The file that cannot be read to its end.
pub fn half_typed(names: &Names) -> String {
    file_name(names.0 + 11)
}

/// A hostile name that a file can have.
fn file_name(at: usize) -> String {
    let name = HOSTILE[at % HOSTILE.len()].replace(['/', '\0'], "_");
    format!("{}.yaml", name.chars().take(240).collect::<String>())
}
