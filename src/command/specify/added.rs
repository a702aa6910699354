//! A device that is not there yet: `--add MODEL --draw 1.2kW --rack r07`.

use crate::failure::Failure;
use crate::ink::{Written, Yaml, short};
use crate::input::SiteInput;
use crate::judgement::{Settings, Site};
use crate::plan;
use crate::remedy::applied;
use crate::rules::records::bad_quantity;
use crate::rules::routing::space_shared;

/// A device to plan for that no file has.
#[derive(Debug, clap::Args)]
pub(super) struct Added {
    /// Plan for a further device of this model as well
    #[arg(long, value_name = "MODEL")]
    add: Option<String>,
    /// What the further device draws, as in 1.2kW
    #[arg(long, value_name = "LOAD", requires = "add")]
    draw: Option<String>,
    /// The lowest rack unit of the further device, as in U12
    // The manual has these two.
    #[arg(long, value_name = "UNIT", requires = "add", hide = true)]
    at: Option<String>,
    /// What the further device is called [default: its model and `-new`]
    #[arg(long, value_name = "NAME", requires = "add", hide = true)]
    named: Option<String>,
}

impl Added {
    /// Refuses to add a device to no rack, to several, or at no place in it.
    pub fn refuse_alone(&self, racks: &[String]) -> Result<(), Failure> {
        if self.add.is_none() {
            return Ok(());
        }
        if racks.len() == 1 {
            return self.refuse_without_place();
        }
        let failure = Failure::new("--add wants one rack to put the device in");
        Err(failure.advise("Name it with --rack."))
    }

    fn refuse_without_place(&self) -> Result<(), Failure> {
        if self.at.is_some() {
            return Ok(());
        }
        let what = "--add wants the place of the device: without it no cord has a length";
        Err(Failure::new(what).advise("Name its lowest rack unit with --at, as in --at U12."))
    }

    /// The model of the device, where one is added.
    pub fn model(&self) -> Option<&str> {
        self.add.as_deref()
    }

    /// What the device is called.
    pub fn name(&self) -> Option<String> {
        let model = self.add.as_ref()?;
        let named = self.named.clone();
        Some(named.unwrap_or_else(|| format!("{model}-new")))
    }

    /// The site with the device in its definitions, behind the others of its rack.
    pub fn to(
        &self,
        mut input: SiteInput,
        site: &Site,
        racks: &[String],
    ) -> Result<SiteInput, Failure> {
        let (Some(name), Some(entry), [rack]) = (self.name(), self.entry(racks), racks) else {
            return Ok(input);
        };
        if site.model.devices.find(&name).is_some() {
            let what = format!("a device {} is there already", short(&name));
            return Err(
                Failure::new(what).advise("Call the further one something else with --named.")
            );
        }
        let edit = plan::with_device(site, rack, entry.as_str()).ok_or_else(|| {
            let failure = Failure::new("cannot add a device: no file of the site can take it");
            failure.advise("Write it into the definitions, and plan for it with --device.")
        })?;
        for (path, text) in applied(&site.sources, &[edit]) {
            input.files.retain(|(own, _)| *own != path);
            input.files.push((path, text.into_bytes()));
        }
        input.files.sort();
        Ok(input)
    }

    /// The device as an entry of its section.
    fn entry(&self, racks: &[String]) -> Option<Written<Yaml>> {
        let (Some(model), Some(name), [rack]) = (&self.add, self.name(), racks) else {
            return None;
        };
        let mut yaml = Written::<Yaml>::new();
        yaml.scalar(&name);
        yaml.ours(": {model: ").scalar(model);
        yaml.ours(", rack: ").scalar(rack);
        if let Some(at) = &self.at {
            yaml.ours(", at: ").scalar(at);
        }
        if let Some(draw) = &self.draw {
            yaml.ours(", draw: ").scalar(draw);
        }
        yaml.ours("}");
        Some(yaml)
    }

    /// The device as definitions of its own; nothing where none is added.
    pub fn definitions(&self, racks: &[String]) -> Written<Yaml> {
        let mut yaml = Written::<Yaml>::new();
        if let Some(entry) = self.entry(racks) {
            yaml.ours("devices:\n  ").push(&entry).ours("\n");
        }
        yaml
    }

    /// What is to be said of where the device stands.
    ///
    /// # Errors
    /// Its place or its load cannot be read, or its place is none of its rack.
    pub fn doubts(&self, input: &SiteInput, settings: &Settings) -> Result<Vec<String>, Failure> {
        let Some(name) = self.name() else {
            return Ok(Vec::new());
        };
        let rules = [bad_quantity::RULE.name, space_shared::RULE.name];
        let settings = Settings {
            only: rules.map(str::to_owned).to_vec(),
            ..settings.clone()
        };
        let site = Site::read_within(input.clone(), &settings.budget);
        let item = site.model.devices.find(&name);
        let own = item.map(|device| {
            let item = &site.model.devices[device];
            let (start, end) = (item.name.span.lo, item.body.hi);
            (item.name.span.file, start..end)
        });
        let mut doubts = Vec::new();
        for finding in site.judge(&settings).findings {
            let mut places = std::iter::once(&finding.main).chain(&finding.path);
            let is_own = places.any(|place| {
                let (file, byte) = (place.span.file, place.span.lo);
                let own = own.as_ref();
                own.is_some_and(|(own, bytes)| *own == file && bytes.contains(&byte))
            });
            match (is_own, finding.rule == bad_quantity::RULE.name) {
                (true, true) => {
                    return Err(Failure::new(finding.headline).advise(finding.remedy.advice));
                }
                (true, false) => {
                    doubts.push(format!("{}. {}", finding.headline, finding.remedy.advice))
                }
                (false, _) => {}
            }
        }
        Ok(doubts)
    }
}
