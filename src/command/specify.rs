//! `cordwright specify`: which cord goes where, for every inlet that has none.

mod added;
mod told;

use std::path::PathBuf;

use clap::ValueEnum;

use super::check::look;
use super::exit::Exit;
use super::names;
use super::rewrite::rewrite;
use super::sites::{Day, Sites, Work};
use crate::date::Date;
use crate::failure::Failure;
use crate::host::{self, AllOrNone, ColourWish, Terminal};
use crate::ink::short;
use crate::judgement::{Settings, Site, file_globs};
use crate::model::value::Section;
use crate::plan::{self, Asked, Objective, Plan};
use crate::remedy::applied;
use crate::report::count;

use added::Added;

/// Say which cord goes where, for every inlet without one
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(super) struct Args {
    #[command(flatten)]
    sites: Sites,
    #[command(flatten)]
    work: Work,
    /// Plan for this device or inlet alone
    #[arg(long, value_name = "NAME")]
    device: Vec<String>,
    /// Plan in this rack alone
    #[arg(long, value_name = "NAME")]
    rack: Vec<String>,
    /// Plan anew what is only planned: cords that are to fit
    #[arg(long)]
    all: bool,
    /// What the plan is to be best at [default: balanced]
    #[arg(long, value_name = "AIM", value_enum, default_value_t)]
    #[arg(hide_default_value = true, hide_possible_values = true)]
    objective: Wish,
    /// Say what decided each property
    #[arg(long)]
    why: bool,
    #[command(flatten)]
    added: Added,
    /// Write the plan into the definitions
    #[arg(long)]
    write: bool,
    /// Write it as definitions to this file, which must be new
    #[arg(long, value_name = "FILE", conflicts_with = "write")]
    output: Option<PathBuf>,
    #[command(flatten)]
    day: Day,
}

const EXAMPLES: &str = "\
Aims: balanced, fewest-types, shortest, cheapest, most-headroom.

Example:
  cordwright specify --add blade-8 --draw 1.2kW --rack r7 --at U12";

/// What a plan is to be best at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Wish {
    /// Short cords in few lengths.
    #[default]
    Balanced,
    /// As few types as can be.
    FewestTypes,
    /// The least cord.
    Shortest,
    /// Conductors for the load alone.
    Cheapest,
    /// The least load on every line.
    MostHeadroom,
}

impl From<Wish> for Objective {
    fn from(wish: Wish) -> Self {
        match wish {
            Wish::Balanced => Self::Balanced,
            Wish::FewestTypes => Self::FewestTypes,
            Wish::Shortest => Self::Shortest,
            Wish::Cheapest => Self::Cheapest,
            Wish::MostHeadroom => Self::MostHeadroom,
        }
    }
}

/// Shows, and where asked to writes, the plan of every site.
pub(super) fn run(args: &Args, colour: ColourWish) -> Result<Exit, Failure> {
    args.added.refuse_alone(&args.rack)?;
    let watch = args.work.watch();
    let ignored = args.sites.ignored();
    let found = args.sites.find(&ignored)?;
    if let (Some(_), [_, _, ..]) = (&args.output, found.sites.as_slice()) {
        let failure = Failure::new("--output takes the plan of one site, and there are several");
        return Err(failure.advise("Name one site, or write with --write."));
    }
    let settings = Settings {
        budget: args.work.budget(),
        ..Settings::on(args.day.date())
    };
    let look = look(&Terminal::of_output(), colour);
    let mut exit = Exit::Clean;
    for root in &found.sites {
        let (input, originals) = host::read_site_to_write(&root.dir, &file_globs, &ignored);
        let as_read = Site::read_within(input.clone(), &settings.budget);
        if found.sites.len() == 1 {
            args.refuse_strangers(&as_read)?;
        }
        let input = args.added.to(input, &as_read, &args.rack)?;
        let doubts = args.added.doubts(&input, &settings)?;
        let input = match args.all {
            true => {
                let site = Site::read_within(input.clone(), &settings.budget);
                plan::without_planned(&site, &input, &args.asked())
            }
            false => input,
        };
        let plan = plan::plan(&input, &args.asked(), &settings);
        let written = (args.write && plan.untried.is_none()).then(|| {
            args.refuse_loss(&plan, &as_read, settings.today)?;
            let site = Site::read_within(input.clone(), &settings.budget);
            write(&plan, (&site, &as_read), &originals)
        });
        let files = match &written {
            Some(Ok(files)) => files.as_slice(),
            _ => &[],
        };
        let said = told::Said {
            with_reasons: args.why,
            written: files,
            doubts: &doubts,
        };
        let text = told::told(&root.shown, &plan, &said, &look);
        host::to_standard_output(&text.into())?;
        exit = exit.max(ended(&plan));
        if let Some(Err(failure)) = written {
            exit = exit.max(super::fail(&failure, colour));
        }
        if let Some(file) = &args.output {
            let mut definitions = AllOrNone::default();
            let mut yaml = args.added.definitions(&args.rack);
            yaml.push(&plan.definitions);
            definitions.create(file, yaml.as_str().as_bytes());
            definitions.carry_out()?;
        }
    }
    watch.stop();
    Ok(exit)
}

impl Args {
    /// Refuses names that the site does not have.
    fn refuse_strangers(&self, site: &Site) -> Result<(), Failure> {
        let model = &site.model;
        let devices = self.device.iter();
        let devices = devices.filter_map(|name| name.split('/').next());
        known("device", devices, &model.devices)?;
        known("rack", self.rack.iter().map(String::as_str), &model.racks)?;
        let kinds = self.added.model().into_iter();
        known("device model", kinds, &model.device_models)
    }

    /// Refuses to write a plan in the place of another that had cords for inlets which have none by it.
    fn refuse_loss(&self, plan: &Plan, as_read: &Site, today: Date) -> Result<(), Failure> {
        let bared = plan::bared(plan, as_read, today);
        if !self.all || bared.is_empty() {
            return Ok(());
        }
        let inlets = count(bared.len(), "inlet", "inlets");
        let failure = Failure::new(format!(
            "nothing is written: the plan made anew leaves {inlets} that had a cord without one"
        ));
        Err(failure.advise("Put right what is told above, or plan without --all."))
    }

    fn asked(&self) -> Asked {
        let added = self.added.name();
        Asked {
            devices: self.device.iter().cloned().chain(added).collect(),
            racks: self.rack.clone(),
            objective: self.objective.into(),
            takes_reserve: self.added.name().is_some(),
        }
    }
}

/// Whether all that is named is there.
fn known<'n, T>(
    what: &str,
    mut named: impl Iterator<Item = &'n str>,
    section: &Section<T>,
) -> Result<(), Failure> {
    let Some(stranger) = named.find(|name| section.find(name).is_none()) else {
        return Ok(());
    };
    let failure = Failure::new(format!("no {what} here is called \"{}\"", short(stranger)));
    let all = section.names().map(|name| name.value.as_str());
    Err(match names::nearest(stranger, all) {
        Some(near) => failure.advise(format!("Did you mean \"{}\"?", short(near))),
        None => failure.advise("Look into the definitions for its name."),
    })
}

fn ended(plan: &Plan) -> Exit {
    match plan.untried {
        Some(_) => Exit::Failed,
        None if plan.is_whole() => Exit::Clean,
        None => Exit::Findings,
    }
}

/// Puts the plan into the files that were read, all or none, and says which these are: `site` is what was planned for,
/// `as_read` what stands in the files.
fn write(
    plan: &Plan,
    (site, as_read): (&Site, &Site),
    originals: &host::Originals,
) -> Result<Vec<String>, Failure> {
    let Some(insertion) = plan::inserted(plan, site) else {
        let failure = Failure::new("cannot write the plan: no file of the site can take its cords");
        return Err(failure.advise("Write it to a file of its own with --output."));
    };
    let mut changed = applied(&site.sources, &insertion.edits);
    for (_, source) in site.sources.iter() {
        let before = as_read.sources.by_path(&source.path);
        let before = before.map(|file| &as_read.sources.file(file).text);
        let is_written = changed.iter().any(|(path, _)| *path == source.path);
        if before != Some(&source.text) && !is_written {
            changed.push((source.path.clone(), source.text.to_string()));
        }
    }
    rewrite(originals, &as_read.sources, &changed)?;
    Ok(changed.into_iter().map(|(path, _)| path).collect())
}
