//! `check --compare`: what a change is judged against, and by whose policy.

use std::collections::{BTreeMap, BTreeSet};

use crate::failure::Failure;
use crate::host::{self, Choice, Former, Gone, Overlay, SiteAt, SiteRoot};
use crate::ink::short;
use crate::input::{FileGlobs, SITE_FILE, is_shared};
use crate::judgement::{Before, Judgement, Site, file_globs, site_name};
use crate::model::Model;
use crate::model::value::{Name, Section, Spanned};
use crate::policy::Policy;
use crate::rules::LostFile;

use super::note;
use super::plan::Plan;

/// The earlier state of a site and the policy by which its change is judged.
struct Earlier {
    /// The folder in which the site lay, as [`SiteAt::at`]; `None` where there was no site yet.
    at: Option<String>,
    /// `None` where there was no site yet.
    site: Option<Site>,
    /// The state whose policy counts, where it is another one.
    policy: Option<Site>,
    /// The files of the earlier state, as they were.
    files: Vec<(String, Vec<u8>)>,
    /// Which files the policy takes in.
    globs: FileGlobs,
}

/// Judges a site as a change since `revision`, and tells the folder in which it lay then, if it did.
pub(super) fn judged(
    root: &SiteRoot,
    plan: &Plan,
    revision: &str,
    overlay: &Overlay,
) -> Result<(Judgement, Option<String>), Failure> {
    let earlier = Earlier::read(root, plan, revision)?;
    let besides = (!plan.relaxations_hold).then(|| Box::new(earlier.globs.clone()));
    let globs_of = |bytes: &[u8]| FileGlobs {
        besides: besides.clone(),
        ..file_globs(bytes)
    };
    let input = plan.read(root, &globs_of, overlay)?;
    let site = Site::read_within(input, &plan.settings.budget);
    let (left_out, lost) = earlier.out_of_sight(root, plan, &site);
    let before = Before {
        site: earlier.site.as_ref(),
        revision,
        policy: earlier.policy(),
        lost: &lost,
        left_out: &left_out,
        relaxations_hold: plan.relaxations_hold,
    };
    let judgement = site.judge_change(&plan.settings, &before);
    Ok((judgement, earlier.at))
}

impl Earlier {
    fn read(root: &SiteRoot, plan: &Plan, revision: &str) -> Result<Self, Failure> {
        let base = host::read_site_at(revision, &root.dir, &file_globs, &site_name, &plan.moves)?;
        tell_of_base(root, plan, revision, base.as_ref())?;
        let at = base.as_ref().map(|base| base.at.clone());
        let files = base.as_ref().map(|base| base.input.files.clone());
        let files = files.unwrap_or_default();
        let budget = &plan.settings.budget;
        let site = base.map(|base| Site::read_within(base.input, budget));
        if site.as_ref().is_some_and(|site| !is_whole(site)) {
            note(&format!(
                "not all of {} could be judged as it was in {}: what was hidden then counts as new",
                short(&root.shown),
                short(revision)
            ));
        }
        let other = plan.policy.as_ref().filter(|policy| *policy != revision);
        let (policy, globs) = match other {
            Some(other) => {
                let state =
                    host::read_site_at(other, &root.dir, &file_globs, &site_name, &plan.moves)?;
                let input = state.map(|state| state.input).unwrap_or_default();
                let globs = globs_in(&input.files);
                (Some(Site::read_within(input, budget)), globs)
            }
            None => (None, globs_in(&files)),
        };
        Ok(Self {
            at,
            site,
            policy,
            files,
            globs,
        })
    }

    /// The policy that counts. Where that state was not there, or not all of it can be read, it is
    /// not known what was agreed: nothing was.
    fn policy(&self) -> Policy<'_> {
        let state = self.policy.as_ref().or(self.site.as_ref());
        let whole = state.filter(|site| is_whole(site));
        whole.map_or(Policy::built_in(), |site| Policy::of(&site.model))
    }

    /// Files that the site's own choice leaves out now, and those that nothing reads any more though
    /// they are still there.
    fn out_of_sight(
        &self,
        root: &SiteRoot,
        plan: &Plan,
        now: &Site,
    ) -> (Vec<String>, Vec<LostFile>) {
        let things = self.things();
        let site_file = now.sources.by_path(SITE_FILE);
        let own = site_file.map(|id| file_globs(now.sources.file(id).text.as_bytes()));
        let own = own.unwrap_or_default();
        let own = Choice::of(&own);
        let passed_over = now.passed_over.iter().map(|one| one.path.as_str());
        let was_read = |path: &&str| now.sources.by_path(path).is_some();
        let passed_over: BTreeSet<&str> = passed_over.filter(was_read).collect();
        let files = now.sources.iter().map(|(_, file)| file.path.as_str());
        let read: BTreeSet<&str> = files.filter(|path| !passed_over.contains(path)).collect();
        let unread: BTreeSet<&str> = now
            .unread
            .iter()
            .map(|unread| unread.path.as_str())
            .collect();
        // Of what cannot be read now the run says by itself that it is not complete. And nothing that
        // carries load stands in a catalogue: what no longer finds its type there says so.
        let files = self
            .files
            .iter()
            .filter(|(path, _)| !unread.contains(path.as_str()) && !is_shared(path));
        let former: Vec<Former<'_>> = files
            .filter_map(|(path, bytes)| {
                let things = things.get(path.as_str())?;
                Some(Former {
                    path,
                    bytes,
                    things,
                })
            })
            .collect();
        let fates = host::fates(&root.dir, &former, (&read, &passed_over), &plan.ignored);
        let (mut left_out, mut lost) = (Vec::new(), Vec::new());
        for Former { path, things, .. } in former {
            let fate = fates.get(path);
            let is_there = read.contains(path) || fate.is_some_and(|fate| fate.in_place);
            match fate {
                _ if is_there && !own.takes_in(path) => left_out.push(path.to_owned()),
                Some(fate) => lost.push(LostFile {
                    path: path.to_owned(),
                    fate: fate.words.clone(),
                    things: things.to_vec(),
                }),
                None => {}
            }
        }
        lost.extend(self.strays(root, plan, now, &read, &lost));
        (left_out, lost)
    }

    /// Things that are defined no more, and stand in files that nothing reads; of files that are lost as
    /// a whole all is said.
    fn strays(
        &self,
        root: &SiteRoot,
        plan: &Plan,
        now: &Site,
        read: &BTreeSet<&str>,
        lost: &[LostFile],
    ) -> Vec<LostFile> {
        let Some(site) = &self.site else {
            return Vec::new();
        };
        let path = |name: &Spanned<Name>| site.sources.file(name.span.file).path.as_str();
        let gone = gone(&site.model, &now.model).map(|name| Gone {
            name: &name.value,
            path: path(name),
        });
        let is_told = |thing: &Gone<'_>| lost.iter().any(|lost| lost.path == thing.path);
        let gone: Vec<Gone<'_>> = gone.filter(|thing| !is_told(thing)).collect();
        let strays = host::strays(&root.dir, &gone, read, &plan.ignored).into_iter();
        let told = strays.map(|stray| LostFile {
            path: stray.path,
            fate: format!(
                "stands in part in {} now, where nothing reads it",
                stray.place
            ),
            things: stray.things,
        });
        told.collect()
    }

    /// The things that each file of the earlier state defined.
    fn things(&self) -> BTreeMap<&str, Vec<Name>> {
        let mut things: BTreeMap<&str, Vec<_>> = BTreeMap::new();
        let Some(site) = &self.site else {
            return things;
        };
        for name in site.model.names() {
            let path = site.sources.file(name.span.file).path.as_str();
            things.entry(path).or_default().push(name.value.clone());
        }
        things
    }
}

/// Says what there is to compare with, where that is not the same folder.
fn tell_of_base(
    root: &SiteRoot,
    plan: &Plan,
    revision: &str,
    base: Option<&SiteAt>,
) -> Result<(), Failure> {
    let site = short(&root.shown);
    let words = match base {
        Some(base) if !base.has_moved => return Ok(()),
        Some(base) => format!(
            "{site} is compared with {}, where it lay in {}",
            short(&base.at),
            short(revision)
        ),
        None => {
            let places = host::earlier_places(revision, &root.dir, &site_name, &plan.moves)?;
            let revision = short(revision);
            let why = match places.as_slice() {
                [] => format!("there was no site at {site} in {revision} yet"),
                _ => format!(
                    "{site} may have been moved from {} since {revision}, and it cannot be told \
                     which",
                    places.join(" or ")
                ),
            };
            format!("{why}: all that is found in it counts as new")
        }
    };
    note(&words);
    Ok(())
}

/// What was defined before and is not now, of all that carries load.
fn gone<'a>(before: &'a Model, now: &'a Model) -> impl Iterator<Item = &'a Spanned<Name>> {
    fn of<'a, T>(before: &'a Section<T>, now: &'a Section<T>) -> Vec<&'a Spanned<Name>> {
        let names = before.names();
        names.filter(|name| !now.has(&name.value)).collect()
    }
    let gone = [
        of(&before.supplies, &now.supplies),
        of(&before.circuits, &now.circuits),
        of(&before.pdus, &now.pdus),
        of(&before.devices, &now.devices),
        of(&before.cords, &now.cords),
    ];
    gone.into_iter().flatten()
}

fn globs_in(files: &[(String, Vec<u8>)]) -> FileGlobs {
    let own = files.iter().find(|(path, _)| path == SITE_FILE);
    own.map_or_else(FileGlobs::default, |(_, bytes)| file_globs(bytes))
}

/// Whether everything was read. That there was nothing to judge yet hides nothing.
fn is_whole(site: &Site) -> bool {
    !site.model.is_incomplete && !site.is_cut_short()
}
