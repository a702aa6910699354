//! A device that is not there yet: `--add MODEL --draw 1.2kW --rack r07`.

use crate::failure::Failure;
use crate::ink::{Written, Yaml, short};
use crate::input::SiteInput;

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

    /// The site with the device in it.
    pub fn to(&self, mut input: SiteInput, racks: &[String]) -> Result<SiteInput, Failure> {
        let (Some(model), Some(name), [rack]) = (&self.add, self.name(), racks) else {
            return Ok(input);
        };
        let mut yaml = Written::<Yaml>::new();
        yaml.ours("devices:\n  ").scalar(&name);
        yaml.ours(": {model: ")
            .scalar(model)
            .ours(", rack: ")
            .scalar(rack);
        if let Some(at) = &self.at {
            yaml.ours(", at: ").scalar(at);
        }
        if let Some(draw) = &self.draw {
            yaml.ours(", draw: ").scalar(draw);
        }
        yaml.ours("}\n");
        let path = "further-device.yaml";
        if input.files.iter().any(|(own, _)| own == path) {
            let failure = Failure::new(format!("cannot add a device: {} is there", short(path)));
            return Err(failure.advise("Call that file something else."));
        }
        let text = yaml.as_str().as_bytes().to_vec();
        input.files.push((path.to_owned(), text));
        input.files.sort();
        Ok(input)
    }
}
