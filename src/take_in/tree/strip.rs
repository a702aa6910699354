//! One strip, as its resources describe it.

use serde_json::Value;

use super::couplers;
use super::resources::{Resources, text};
use crate::take_in::remark::{At, Remark};

/// Which thing it is, of which model, and where.
#[derive(Debug)]
pub(super) struct Identity {
    /// The identity of its resource.
    pub id: String,
    pub name: String,
    pub model: String,
    /// The rack that it is said to be in.
    pub rack: Option<String>,
    /// What tells it from others of its model.
    pub note: Option<String>,
}

/// What is known of a strip.
#[derive(Debug)]
pub(super) struct Strip {
    pub identity: Identity,
    pub plug: Option<&'static str>,
    /// In amperes, each line.
    pub rating: Option<f64>,
    pub banks: Vec<Bank>,
}

/// Outlets between the same two poles behind one breaker.
#[derive(Debug, PartialEq)]
pub(super) struct Bank {
    pub name: String,
    pub between: Option<&'static str>,
    /// In amperes; left out where the breaker serves other outlets as well.
    pub breaker: Option<f64>,
    pub note: Option<String>,
    pub outlets: Vec<Outlet>,
}

/// An outlet.
#[derive(Debug, PartialEq)]
pub(super) struct Outlet {
    pub name: String,
    pub coupler: Option<&'static str>,
    /// In amperes.
    pub rating: Option<f64>,
}

/// Reads what belongs to one strip, and tells what it lacks.
pub(super) struct Strips<'a> {
    pub resources: &'a Resources,
    pub remarks: &'a mut Vec<Remark>,
}

impl Identity {
    pub fn of(id: &str, body: &Value) -> Self {
        let names = ["UserLabel", "Name", "Id"];
        let name = names.iter().find_map(|key| text(body, key)).unwrap_or(id);
        let model = ["Model", "PartNumber"]
            .iter()
            .find_map(|key| text(body, key));
        let marks = [("SerialNumber", "serial number"), ("AssetTag", "asset tag")];
        let marks = marks
            .iter()
            .filter_map(|(key, word)| Some(format!("{word} {}", text(body, key)?)));
        let marks: Vec<String> = marks.collect();
        Self {
            id: id.to_owned(),
            name: name.to_owned(),
            model: model.unwrap_or(name).to_owned(),
            rack: text(&body["Location"]["Placement"], "Rack").map(str::to_owned),
            note: (!marks.is_empty()).then(|| marks.join(", ")),
        }
    }
}

impl Strip {
    pub fn of(resources: &Resources, id: &str, body: &Value, remarks: &mut Vec<Remark>) -> Self {
        let mut reader = Strips { resources, remarks };
        let (plug, rating) = reader.mains(id, body);
        Self {
            identity: Identity::of(id, body),
            plug,
            rating,
            banks: reader.banks(id, body),
        }
    }

    pub fn has_breakers(&self) -> bool {
        self.banks
            .iter()
            .any(|bank| bank.breaker.is_some() || bank.note.is_some())
    }
}

impl Strips<'_> {
    pub fn tell(&mut self, id: &str, what: impl Into<String>, advice: &str) {
        let at = At::Resource(id.to_owned());
        self.remarks.push(Remark::new(at, what, advice));
    }

    /// The plug, and the rated current of each line.
    fn mains(&mut self, id: &str, body: &Value) -> (Option<&'static str>, Option<f64>) {
        let mains = self.resources.members(id, body, "Mains", self.remarks);
        let [(main, circuit)] = mains.as_slice() else {
            let what = match mains.len() {
                0 => "its mains are not described: plug and rating are left out".to_owned(),
                many => format!(
                    "it has {many} mains, and the format knows one plug of a strip: plug and rating are left out"
                ),
            };
            self.tell(id, what, "Look at the strip, and write what it is fed by.");
            return (None, None);
        };
        let word = text(circuit, "PlugType");
        let plug = word.and_then(couplers::plug);
        if plug.is_none() {
            let what = match word {
                Some(word) => format!(
                    "its plug is `{word}`, which means no coupler for sure: `plug` is left out"
                ),
                None => "it does not say its PlugType: `plug` is left out".to_owned(),
            };
            self.tell(
                main,
                what,
                "Look at the plug. One that is wired in has `plug: none`.",
            );
        }
        (plug, self.amperes(main, circuit))
    }

    pub fn amperes(&mut self, id: &str, body: &Value) -> Option<f64> {
        let value = &body["RatedCurrentAmps"];
        let amperes = value.as_f64().filter(|amperes| *amperes > 0.0);
        if amperes.is_none() {
            let what = match value {
                Value::Null => "it does not say its RatedCurrentAmps: the rating is left out",
                _ => "its RatedCurrentAmps is no current: the rating is left out",
            };
            self.tell(id, what, "Read it from the part.");
        }
        amperes
    }

    pub fn outlet(&mut self, id: &str, circuit: &Value) -> Outlet {
        let word = text(circuit, "OutletType");
        let coupler = word.and_then(couplers::outlet);
        if coupler.is_none() {
            let what = match word {
                Some(word) => format!(
                    "its outlet is `{word}`, which means no coupler for sure: `coupler` is left out"
                ),
                None => "it does not say its OutletType: `coupler` is left out".to_owned(),
            };
            self.tell(id, what, "Look at the outlet.");
        }
        Outlet {
            name: outlet_name(text(circuit, "Id").unwrap_or(id)),
            coupler,
            rating: self.amperes(id, circuit),
        }
    }
}

/// The format takes `1-6` for six outlets.
fn outlet_name(id: &str) -> String {
    let is_number = |part: &str| part.trim().parse::<u32>().is_ok();
    let range = id.split_once(['-', '–']);
    match range.is_some_and(|(first, last)| is_number(first) && is_number(last)) {
        true => format!("outlet {id}"),
        false => id.to_owned(),
    }
}
