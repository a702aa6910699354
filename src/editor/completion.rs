//! What may be typed next: keys of the format, words of the tables, and names of the site, those first
//! that are still free.

use std::collections::BTreeSet;

use crate::model::Sections;
use crate::model::cords::{CordLeg, Ends};
use crate::model::devices::DeviceModel;
use crate::model::pdus::Outlet;
use crate::model::value::{Named, Section};
use crate::rules::RULES;
use crate::source::{FileId, Span};
use crate::tables::couplers::Side;
use crate::tables::{cordage, countries, couplers};

use super::keys::{self, Level};
use super::names::Kind;
use super::site::OpenSite;
use super::typing::Typing;

/// Offers that are made at once; more are had by typing on.
const MOST: usize = 200;

/// What kind of thing is offered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfferKind {
    /// A key.
    Key,
    /// A name of the site.
    Name,
    /// A word of the format or of a table.
    Word,
}

/// One thing that may be typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What it is.
    pub kind: OfferKind,
    /// What is shown and looked for.
    pub label: String,
    /// What is put in the place of the word.
    pub text: String,
    /// A few words beside it.
    pub detail: String,
    /// Its meaning, where there is more to say.
    pub doc: &'static str,
    /// Those of a lower rank come first.
    pub rank: u8,
}

/// What may be typed at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offers {
    /// The offers, best first.
    pub list: Vec<Offer>,
    /// The bytes that an offer takes the place of.
    pub span: Span,
    /// Whether there are more.
    pub has_more: bool,
}

impl OpenSite {
    /// What may be typed at `byte` of a file.
    pub fn offers(&self, file: FileId, byte: usize) -> Option<Offers> {
        let typing = Typing::at(&self.source(file).text, byte)?;
        let mut list = match typing.is_key {
            true => self.keys(&typing),
            false => self.values(&typing),
        };
        let typed = typing.typed.to_lowercase();
        list.retain(|offer| offer.label.to_lowercase().contains(&typed));
        let key = |offer: &Offer| {
            let begins = offer.label.to_lowercase().starts_with(&typed);
            (!begins, offer.rank, offer.label.clone())
        };
        list.sort_by_cached_key(key);
        list.dedup_by(|a, b| a.label == b.label);
        let has_more = list.len() > MOST;
        list.truncate(MOST);
        Some(Offers {
            list,
            span: Span::new(file, typing.word.start, typing.word.end),
            has_more,
        })
    }

    fn keys(&self, typing: &Typing) -> Vec<Offer> {
        let colon = if typing.has_colon { "" } else { ": " };
        let known = keys::keys(&typing.path).into_iter().map(|key| Offer {
            kind: OfferKind::Key,
            label: key.name.to_owned(),
            text: format!("{}{colon}", key.name),
            detail: if key.is_required { "needed" } else { "" }.to_owned(),
            doc: key.doc,
            rank: u8::from(!key.is_required),
        });
        let named = self
            .names_as_keys(&typing.path)
            .into_iter()
            .map(|mut offer| {
                offer.text += colon;
                offer
            });
        let all = known.chain(named);
        all.filter(|offer| !typing.siblings.contains(&offer.label))
            .collect()
    }

    /// Names of other things that stand as keys: rules, and parts of a model or type.
    fn names_as_keys(&self, path: &[Level]) -> Vec<Offer> {
        match texts(path)[..] {
            ["site", "levels"] => rules(),
            ["devices", device, "inlets"] => self.inlets(device, false),
            ["cords", cord, "to"] => self.legs(cord),
            ["orders", _, "lines"] | ["store"] => self.all(Kind::CordType),
            _ => Vec::new(),
        }
    }

    fn values(&self, typing: &Typing) -> Vec<Offer> {
        let mut offers: Vec<Offer> = keys::words(&typing.path).into_iter().map(word).collect();
        let examples = keys::examples(&typing.path);
        if examples.contains(&"C13") {
            offers.extend(of_couplers(&typing.path));
            offers.extend(self.all(Kind::CouplerType));
        } else if examples.contains(&"H05VV-F") {
            offers.extend(cordage::all().iter().map(|cordage| Offer {
                detail: cordage.citation.to_string(),
                ..word(&cordage.name)
            }));
            offers.extend(self.all(Kind::CordageType));
        } else if keys::words(&typing.path).contains(&"pin-grip") {
            offers.extend(self.all(Kind::LatchSystem));
        } else if examples.contains(&"pvc-70") {
            offers.extend(examples.into_iter().map(word));
        }
        offers.extend(self.names(typing));
        // Nothing but keys on lines of their own can stand here.
        if offers.is_empty() {
            offers = self.keys(typing);
        }
        offers
    }

    fn names(&self, typing: &Typing) -> Vec<Offer> {
        let typed = &typing.typed;
        match texts(&typing.path)[..] {
            ["circuits" | "supplies", _, "from"] => self.all(Kind::Supply),
            ["pdus", _, "from"] => self.all(Kind::Circuit),
            ["cords", _, "from"] => self.outlets(typed),
            ["cords", _, "to"] | ["cords", _, "to", _] => self.ends(typed),
            ["device-models", model, "outlets", _, "inlet"] => self.inlets_of(model),
            ["cords", _, "type"] => self.all(Kind::CordType),
            ["cord-types" | "offers", _, "make"] => self.all(Kind::CordMake),
            ["pdus", _, "model"] => self.all(Kind::PduModel),
            ["devices", _, "model"] => self.all(Kind::DeviceModel),
            [_, _, "rack"] => self.all(Kind::Rack),
            [_, _, "zone"] => self.all(Kind::Zone),
            ["supplies" | "device-models" | "devices", .., "feed"] => self.all(Kind::Feed),
            ["departures", "-", "rule"] => rules(),
            ["departures", "-", "at"] => {
                let kinds = [
                    Kind::Cord,
                    Kind::Device,
                    Kind::Pdu,
                    Kind::Circuit,
                    Kind::Supply,
                ];
                kinds.into_iter().flat_map(|kind| self.all(kind)).collect()
            }
            ["site", "country"] => countries::all()
                .map(|country| Offer {
                    detail: country.name.clone(),
                    ..word(&country.code)
                })
                .collect(),
            _ => Vec::new(),
        }
    }

    /// All things of a kind.
    fn all(&self, kind: Kind) -> Vec<Offer> {
        let mut offers = Vec::new();
        self.each_mention(&mut |mention| {
            if mention.defines && mention.kinds == [kind] {
                offers.push(name(mention.text(), kind.word()));
            }
        });
        offers
    }

    fn sections(&self) -> impl Iterator<Item = &Sections> {
        self.files().iter().map(super::OpenFile::sections)
    }

    /// Circuits, strips and devices that pass power on; once one of these is typed, its outlets, free ones first.
    fn outlets(&self, typed: &str) -> Vec<Offer> {
        let Some((on, _)) = typed.rsplit_once('/') else {
            let devices = self.passing_on().map(|device| name(device, "device"));
            let with_outlets = self.all(Kind::Pdu).into_iter().chain(devices);
            let with_outlets = with_outlets.map(part_of);
            let circuits = self.all(Kind::Circuit).into_iter();
            return with_outlets
                .chain(circuits)
                .chain(self.connectors(typed))
                .collect();
        };
        let cords = self.sections().flat_map(|sections| sections.cords.items());
        let taken: BTreeSet<&str> = cords
            .filter_map(|cord| cord.from.known())
            .map(|from| from.0.as_str())
            .collect();
        let legs = self.legs_of(on).map(|leg| {
            let label = format!("{on}/{}", leg.name.value);
            let coupler = leg.connector.known().map_or("", |coupler| &coupler.name);
            name(&label, &format!("{coupler}, leg of cord {on}"))
        });
        let legs: Vec<Offer> = legs.collect();
        let outlets = self.outlets_of(on).into_iter().enumerate();
        let offer = outlets.map(|(at, (outlet, behind))| {
            let label = format!("{on}/{}", outlet.name.value);
            let coupler = outlet.coupler.known().map_or("", |coupler| &coupler.name);
            let (state, rank) = free(taken.contains(label.as_str()), at);
            Offer {
                rank,
                ..name(&label, &format!("{coupler}, {behind}{state}"))
            }
        });
        offer.chain(legs).collect()
    }

    /// Cords whose connectors other cords may be plugged into, once their names are begun: a joint is nothing to
    /// look for.
    fn connectors(&self, typed: &str) -> Vec<Offer> {
        if typed.is_empty() {
            return Vec::new();
        }
        let cords = self.sections().flat_map(|sections| sections.cords.names());
        let begun = cords.filter(|cord| cord.value.starts_with(typed));
        let offers = begun.take(MOST).map(|cord| {
            let offer = name(&cord.value, Kind::Cord.word());
            let offer = match self.legs_of(&cord.value).next() {
                Some(_) => part_of(offer),
                None => offer,
            };
            Offer {
                rank: LAST,
                ..offer
            }
        });
        offers.collect()
    }

    /// The legs of a cord, if it is a splitter.
    fn legs_of(&self, cord: &str) -> impl Iterator<Item = &Named<CordLeg>> {
        let kind = self.find(|sections| &sections.cords, cord);
        let kind = kind.and_then(|cord| cord.cord_type.known());
        let kind = kind.and_then(|kind| self.find(|sections| &sections.cord_types, kind));
        kind.into_iter().flat_map(|kind| kind.legs.items())
    }

    /// The outlets of a strip or a device, each with the bank or inlet behind it: `bank B1, `.
    fn outlets_of(&self, on: &str) -> Vec<(&Named<Outlet>, String)> {
        let strip = self.find(|sections| &sections.pdus, on);
        if let Some(strip) = strip {
            let model = strip.model.known();
            let model = model.and_then(|name| self.find(|s| &s.pdu_models, name));
            let banks = model.into_iter().flat_map(|model| model.banks.items());
            let outlets = banks.flat_map(|bank| {
                let behind = format!("bank {}, ", bank.name.value);
                let outlets = bank.outlets.0.iter();
                outlets.map(move |outlet| (outlet, behind.clone()))
            });
            return outlets.collect();
        }
        let model = self.model_of(on).into_iter();
        let outlets = model.flat_map(|model| model.outlets.iter());
        let outlets = outlets.map(|(outlet, inlet)| {
            let inlet = inlet.written().ok().flatten();
            let behind = inlet.map(|inlet| format!("inlet {}, ", inlet.value));
            (outlet, behind.unwrap_or_default())
        });
        outlets.collect()
    }

    /// The names of the devices that pass power on.
    fn passing_on(&self) -> impl Iterator<Item = &str> {
        let models = self
            .sections()
            .flat_map(|sections| sections.device_models.items());
        let models = models.filter(|model| !model.outlets.outlets.0.is_empty());
        let models: BTreeSet<&str> = models.map(|model| model.name.value.as_str()).collect();
        let devices = self
            .sections()
            .flat_map(|sections| sections.devices.items());
        let devices = devices.filter(move |device| {
            let model = device.model.known();
            model.is_some_and(|model| models.contains(model.as_str()))
        });
        devices.map(|device| device.name.value.as_str())
    }

    /// The model of a device.
    fn model_of(&self, device: &str) -> Option<&DeviceModel> {
        let device = self.find(|sections| &sections.devices, device)?;
        self.find(|sections| &sections.device_models, device.model.known()?)
    }

    /// The inlets of a device model.
    fn inlets_of(&self, model: &str) -> Vec<Offer> {
        let model = self.find(|sections| &sections.device_models, model);
        let inlets = model.into_iter().flat_map(|model| model.inlets.names());
        inlets.map(|inlet| name(&inlet.value, "inlet")).collect()
    }

    /// Strips and devices; once a device is typed, its inlets, those without a cord first.
    fn ends(&self, typed: &str) -> Vec<Offer> {
        match typed.rsplit_once('/') {
            Some((device, _)) => self.inlets(device, true),
            None => {
                let devices = self.all(Kind::Device).into_iter().map(part_of);
                devices.chain(self.all(Kind::Pdu)).collect()
            }
        }
    }

    fn inlets(&self, device: &str, with_device: bool) -> Vec<Offer> {
        let Some(model) = self.model_of(device) else {
            return Vec::new();
        };
        let taken = self.ends_taken();
        let inlets = model.inlets.items().iter().enumerate().map(|(at, inlet)| {
            let whole = format!("{device}/{}", inlet.name.value);
            let (state, rank) = free(taken.contains(whole.as_str()), at);
            let coupler = inlet.coupler.known().map_or("", |coupler| &coupler.name);
            let label = if with_device {
                &whole
            } else {
                &inlet.name.value.to_string()
            };
            Offer {
                rank,
                ..name(label, &format!("{coupler}, {state}"))
            }
        });
        inlets.collect()
    }

    fn ends_taken(&self) -> BTreeSet<&str> {
        let cords = self.sections().flat_map(|sections| sections.cords.items());
        let ends = cords.flat_map(|cord| match &cord.to {
            Ends::Absent | Ends::Unreadable(_) => Vec::new(),
            Ends::One(end) => vec![end.value.0.as_str()],
            Ends::Legs(legs) => legs.iter().map(|leg| leg.item.0.as_str()).collect(),
        });
        ends.collect()
    }

    fn legs(&self, cord: &str) -> Vec<Offer> {
        let legs = self.legs_of(cord);
        legs.map(|leg| name(&leg.name.value, "leg")).collect()
    }

    fn find<T>(&self, section: fn(&Sections) -> &Section<T>, name: &str) -> Option<&T> {
        self.sections()
            .find_map(|sections| Some(&section(sections).named(name)?.1.item))
    }
}

/// The steps of a path as words, `-` for an item of a list.
fn texts(path: &[Level]) -> Vec<&str> {
    fn text(level: &Level) -> &str {
        match level {
            Level::Key(key) => key,
            Level::Item => "-",
        }
    }
    path.iter().map(text).collect()
}

fn name(label: &str, detail: &str) -> Offer {
    Offer {
        kind: OfferKind::Name,
        detail: detail.to_owned(),
        ..word(label)
    }
}

fn word(word: &str) -> Offer {
    Offer {
        kind: OfferKind::Word,
        label: word.to_owned(),
        text: word.to_owned(),
        detail: String::new(),
        doc: "",
        rank: 0,
    }
}

/// A thing of which a part is wanted.
fn part_of(mut offer: Offer) -> Offer {
    offer.text.push('/');
    offer
}

/// The rank of what stands behind all else.
const LAST: u8 = u8::MAX;

/// How free a part is, and its rank: in the order of its model, the free ones first.
fn free(is_taken: bool, place: usize) -> (&'static str, u8) {
    let place = u8::try_from(place.min(99)).unwrap_or(99);
    match is_taken {
        true => ("taken", 100 + place),
        false => ("free", place),
    }
}

fn rules() -> Vec<Offer> {
    let rules = RULES.iter().map(|rule| Offer {
        doc: rule.summary,
        ..name(rule.name, rule.subject.word())
    });
    rules.collect()
}

/// The couplers that fit the key: pins for plugs and inlets, contacts for the others.
fn of_couplers(path: &[Level]) -> Vec<Offer> {
    let has = |word: &str| {
        path.iter()
            .any(|level| *level == Level::Key(word.to_owned()))
    };
    let side = if has("plug") || has("inlets") {
        Side::Pins
    } else {
        Side::Contacts
    };
    let fitting = couplers::all().filter(|coupler| coupler.role.may_be(side));
    let offers = fitting.map(|coupler| Offer {
        detail: match coupler.withdrawn {
            true => "withdrawn".to_owned(),
            false => coupler.citation.standard.to_string(),
        },
        rank: u8::from(coupler.withdrawn),
        ..word(&coupler.name)
    });
    offers.collect()
}
