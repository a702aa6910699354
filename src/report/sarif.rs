//! SARIF 2.1.0: what code-scanning services and editors read. Sites below the working folder share a
//! run, so that the rules stand there once; a site that lies outside has a run of its own, because no
//! address of its files may climb.

use std::collections::BTreeMap;

use super::place::{Unit, position};
use super::words::{count, rows};
use super::{CAUTION, Departed, NOT_CHECKED, Report, RuleCard, SiteReport};
use crate::finding::{Edit, Finding, Place, Since, Verdict};
use crate::ink::{Json, Plain, Sarif, Written, encoded};
use crate::input::{SNAG_FILE, joined};
use crate::source::{FileId, Span};
use log::{
    Artifact, ArtifactChange, ArtifactLocation, Automation, Base, CodeFlow, Configuration, Driver,
    Fingerprints, Fix, Invocation, Location, Log, Notification, NotificationKind, Outcome,
    OutcomeProperties, PhysicalLocation, Reference, Region, Replacement, Rule, RuleProperties, Run,
    RunProperties, Step, Suppression, Text, ThreadFlow, Tool,
};

mod log;

/// URIs start at the site's folder.
const FROM_SITE: &str = "SITE";
/// URIs start at the folder that the command ran in, and the site lies below it.
const FROM_WORKING_FOLDER: &str = "WORKING-FOLDER";
/// URIs start so many folders above that, at one first: there lie catalogues, and no address may climb.
const ABOVE: [&str; 6] = [
    "ABOVE-1", "ABOVE-2", "ABOVE-3", "ABOVE-4", "ABOVE-5", "ABOVE-6",
];
/// Where the rules' pages can be read, as told when the program was built.
const PAGES: Option<&str> = option_env!("CORDWRIGHT_PAGES");
/// Notifications, by their place in the driver's list.
const NOT_JUDGED: usize = 0;
const BROKE_DOWN: usize = 1;
/// Their names, what they mean, and what to do.
const NOTIFICATIONS: [(&str, &str, &str); 2] = [
    (
        "not-judged",
        "A file or folder could not be judged.",
        "Put right what the message names: until then, more may be wrong than is shown.",
    ),
    (
        "rule-broke-down",
        "A rule broke down; what it looks for was not judged.",
        "Report the fault with the definitions that bring it about; judge by hand what the rule \
         looks for.",
    ),
];

pub(super) fn written(report: &Report<'_>) -> Written<Json> {
    let runs = groups(report);
    let runs = runs.iter().map(|group| run(group, &report.rules));
    let log = Log {
        schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        version: "2.1.0",
        runs: runs.collect(),
    };
    Written::document(&log)
}

/// The sites of each run.
fn groups<'a>(report: &'a Report<'a>) -> Vec<Vec<&'a SiteReport<'a>>> {
    let (inside, outside): (Vec<_>, Vec<_>) = report
        .sites
        .iter()
        .partition(|site| !lies_outside(site.root));
    let together = (!inside.is_empty()).then_some(inside);
    let alone = outside.into_iter().map(|site| vec![site]);
    together.into_iter().chain(alone).collect()
}

/// Whether a site does not lie in the working folder, so that addresses from there would climb.
fn lies_outside(root: &str) -> bool {
    root.starts_with('/') || root.contains([':', '\\']) || root.split('/').any(|part| part == "..")
}

fn run(sites: &[&SiteReport<'_>], rules: &[RuleCard<'_>]) -> Run {
    let is_shared = sites.len() > 1;
    let mut before = 0;
    let scribes: Vec<Scribe<'_>> = sites
        .iter()
        .map(|site| {
            let scribe = Scribe {
                site,
                rules,
                before,
                is_shared,
            };
            before += clamp(site.sources.len());
            scribe
        })
        .collect();
    let base = scribes.first().map_or(FROM_SITE, Scribe::base);
    let compared: Vec<_> = sites.iter().filter_map(|site| site.comparison).collect();
    let earlier = compared
        .iter()
        .filter_map(|comparison| comparison.earlier_state);
    Run {
        tool: Tool {
            driver: driver(rules),
        },
        automation_details: Automation {
            id: automation(&scribes),
            guid: guid(sites.iter().map(|site| site.sources.state())),
        },
        baseline_guid: (!compared.is_empty()).then(|| guid(earlier)),
        language: "en",
        column_kind: "utf16CodeUnits",
        original_uri_base_ids: explained(base, &scribes),
        invocations: [invocation(&scribes)],
        artifacts: scribes.iter().flat_map(Scribe::artifacts).collect(),
        results: scribes.iter().flat_map(Scribe::outcomes).collect(),
        properties: RunProperties {
            caution: CAUTION,
            not_checked: NOT_CHECKED,
        },
    }
}

/// A name for the states of sites, in the form of a UUID of our own making (RFC 9562, version 8): two
/// runs over the same files have the same, so that a run can name the one that it is compared with.
fn guid(states: impl Iterator<Item = u128>) -> String {
    let both = states.fold(0, |all: u128, state| all.rotate_left(17) ^ state);
    let marked = both & !(0xf << 76) & !(0x3 << 62) | 0x8 << 76 | 0x2 << 62;
    let digits = format!("{marked:032x}");
    let parts = [0..8, 8..12, 12..16, 16..20, 20..32];
    parts.map(|part| digits[part].to_owned()).join("-")
}

fn driver(rules: &[RuleCard<'_>]) -> Driver {
    let notification = |(id, words, advice)| NotificationKind {
        id,
        short_description: text(words),
        full_description: text(words),
        help: text(advice),
    };
    Driver {
        name: "Cordwright",
        version: env!("CARGO_PKG_VERSION"),
        semantic_version: env!("CARGO_PKG_VERSION"),
        information_uri: PAGES.map(ToOwned::to_owned),
        full_description: text(format!("{} {CAUTION}", env!("CARGO_PKG_DESCRIPTION"))),
        rules: rules.iter().map(rule).collect(),
        notifications: NOTIFICATIONS.map(notification).into(),
    }
}

/// Names the series of runs: the folder of the one site, the last part of one that lies outside.
fn automation(scribes: &[Scribe<'_>]) -> String {
    let [only] = scribes else {
        return "cordwright/".into();
    };
    let root = only.site.root;
    let last = || root.rsplit(['/', '\\']).find(|part| !part.is_empty());
    let outside = last().filter(|part| !part.starts_with('.')).map(encoded);
    match only.folder().or(outside) {
        Some(folder) => format!("cordwright/{folder}/"),
        None => "cordwright/".into(),
    }
}

fn explained(id: &'static str, scribes: &[Scribe<'_>]) -> BTreeMap<&'static str, Base> {
    let words = match id {
        FROM_WORKING_FOLDER => "The folder that the check was run in.",
        _ => "The site's folder, the one that holds cordwright.yaml.",
    };
    let description = text(words);
    let files = scribes.iter().flat_map(|scribe| {
        let files = scribe.site.sources.iter();
        files.map(|(_, source)| scribe.artifact_at(&source.path, None))
    });
    let above = files.filter_map(|at| {
        let up = ABOVE.iter().position(|above| *above == at.uri_base_id)? + 1;
        let words = format!("The folder {} above {id}.", count(up, "step", "steps"));
        let description = text(words);
        Some((at.uri_base_id, Base { description }))
    });
    above.chain([(id, Base { description })]).collect()
}

fn invocation(scribes: &[Scribe<'_>]) -> Invocation {
    let notifications = scribes.iter().flat_map(Scribe::notifications);
    Invocation {
        execution_successful: scribes.iter().all(|scribe| scribe.site.complete()),
        tool_execution_notifications: notifications.collect(),
    }
}

fn clamp(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Writes one site's part of a run.
struct Scribe<'a> {
    site: &'a SiteReport<'a>,
    rules: &'a [RuleCard<'a>],
    /// The files of the sites before it in the run.
    before: u32,
    /// Whether other sites share the run: then even the one in the working folder starts there.
    is_shared: bool,
}

impl Scribe<'_> {
    fn outcomes(&self) -> Vec<Outcome> {
        let site = self.site;
        let found = site.findings.iter().flat_map(|f| self.of_atoms(f, None));
        let departed = site.departed.iter();
        let departed = departed.flat_map(|d| self.of_atoms(&d.finding, Some(agreed(d))));
        let known = site.known.iter();
        let known = known.flat_map(|known| self.of_atoms(&known.finding, Some(on_the_list())));
        found.chain(departed).chain(known).collect()
    }

    /// A result for every atom: the first in full, the others with their thing and the headline, for
    /// all else of them is the same.
    fn of_atoms(&self, finding: &Finding, suppression: Option<Suppression>) -> Vec<Outcome> {
        let whole = self.outcome(finding, suppression);
        let rest = (finding.sufferers.len() > 1).then(|| Outcome {
            message: told(&finding.headline),
            related_locations: Vec::new(),
            code_flows: Vec::new(),
            fixes: Vec::new(),
            ..whole.clone()
        });
        let (mut first, mut outcomes) = (Some(whole), Vec::new());
        for atom in finding.atoms() {
            let Some(mut outcome) = first.take().or_else(|| rest.clone()) else {
                break;
            };
            let at = atom.sufferer().filter(|_| !finding.sufferers.is_empty());
            outcome.partial_fingerprints = Fingerprints {
                of_the_whole: finding.fingerprint(),
                own: atom.fingerprint(),
            };
            if let Some(at) = at {
                let mut words = Written::<Sarif>::of("");
                words.ours("\nAt: ").theirs(at);
                outcome.message.text.push_str(&words.into_string());
                outcome.properties.at = Some(at.to_string());
            }
            outcomes.push(outcome);
        }
        outcomes
    }

    /// The site's folder below the working folder; `None` where it is the working folder itself or
    /// lies outside.
    fn folder(&self) -> Option<String> {
        self.below().map(|folder| encoded(&folder))
    }

    /// The same, as it is shown.
    fn below(&self) -> Option<String> {
        let parts = self.site.root.split('/');
        let parts: Vec<&str> = parts.filter(|part| !matches!(*part, "" | ".")).collect();
        let is_below = !lies_outside(self.site.root) && !parts.is_empty();
        is_below.then(|| parts.join("/"))
    }

    /// Where its addresses start.
    fn base(&self) -> &'static str {
        match self.is_shared || self.folder().is_some() {
            true => FROM_WORKING_FOLDER,
            false => FROM_SITE,
        }
    }

    fn notifications(&self) -> Vec<Notification> {
        let unread = self.site.unread.iter().map(|unread| Notification {
            descriptor: notification(NOT_JUDGED),
            level: "error",
            message: told(&format!(
                "{}: could not be judged: {}",
                unread.path, unread.why
            )),
            locations: vec![Location {
                id: None,
                physical_location: PhysicalLocation {
                    artifact_location: self.artifact_at(&unread.path, None),
                    region: None,
                },
                message: None,
            }],
            associated_rule: None,
        });
        let crashed = self.site.crashed.iter().map(|name| Notification {
            descriptor: notification(BROKE_DOWN),
            level: "error",
            message: told(&format!(
                "{name}: this rule broke down, so what it looks for was not judged"
            )),
            locations: Vec::new(),
            associated_rule: Some(Reference {
                id: name.clone(),
                index: self.rule_index(name),
            }),
        });
        unread.chain(crashed).collect()
    }

    fn artifacts(&self) -> Vec<Artifact> {
        let files = self.site.sources.iter().map(|(id, source)| Artifact {
            location: self.artifact_at(&source.path, Some(self.before + id.0)),
            mime_type: match &*source.path {
                SNAG_FILE => "text/plain",
                _ => "application/yaml",
            },
            length: source.text.len(),
            roles: ["analysisTarget"],
        });
        files.collect()
    }

    fn outcome(&self, finding: &Finding, suppression: Option<Suppression>) -> Outcome {
        let (kind, level) = match finding.verdict {
            Verdict::Broken => ("fail", finding.level.word()),
            Verdict::Open => ("open", "none"),
        };
        let related = finding.path.iter().zip(1..);
        Outcome {
            rule_id: finding.rule.into(),
            rule_index: self.rule_index(finding.rule),
            kind,
            level,
            message: message(finding),
            locations: [self.location(&finding.main, None)],
            related_locations: related.map(|(p, id)| self.location(p, Some(id))).collect(),
            code_flows: self.code_flow(finding).into_iter().collect(),
            partial_fingerprints: Fingerprints::default(),
            baseline_state: baseline_state(finding.since),
            suppressions: suppression.into_iter().collect(),
            fixes: self.fix(finding).into_iter().collect(),
            properties: OutcomeProperties {
                about: finding.about.iter().map(ToString::to_string).collect(),
                at: None,
            },
        }
    }

    /// The way of the current, from supply to device, as far as the finding shows it: the things that
    /// current flows through and the place at fault. `None` where it shows fewer than two of them.
    fn code_flow(&self, finding: &Finding) -> Option<CodeFlow> {
        let hops = || finding.places().filter(|(place, _)| place.is_hop).count();
        let way = finding
            .places()
            .filter(|(place, is_main)| place.is_hop || *is_main);
        let steps: Vec<Step> = way
            .map(|(place, _)| Step {
                location: self.location(place, None),
            })
            .collect();
        (hops() > 0 && steps.len() > 1).then(|| CodeFlow {
            message: text("The way of the current, from supply to device."),
            thread_flows: [ThreadFlow { locations: steps }],
        })
    }

    fn fix(&self, finding: &Finding) -> Option<Fix> {
        let remedy = &finding.remedy;
        let mut by_file: BTreeMap<FileId, Vec<Replacement>> = BTreeMap::new();
        for edit in &remedy.edits {
            let file = by_file.entry(edit.span.file).or_default();
            file.push(self.replacement(edit));
        }
        let changes = by_file
            .into_iter()
            .map(|(file, replacements)| ArtifactChange {
                artifact_location: self.artifact(file),
                replacements,
            });
        (!remedy.edits.is_empty()).then(|| Fix {
            description: told(&remedy.advice),
            artifact_changes: changes.collect(),
        })
    }

    fn replacement(&self, edit: &Edit) -> Replacement {
        Replacement {
            deleted_region: self.region(edit.span),
            inserted_content: text(edit.text.as_str()),
        }
    }

    fn location(&self, place: &Place, id: Option<usize>) -> Location {
        Location {
            id,
            physical_location: PhysicalLocation {
                artifact_location: self.artifact(place.span.file),
                region: Some(self.region(place.span)),
            },
            message: (!place.note.is_empty()).then(|| told(&place.note)),
        }
    }

    fn region(&self, span: Span) -> Region {
        let source = self.site.sources.file(span.file);
        let start = position(source, span.lo as usize, Unit::Utf16);
        let end = position(source, span.hi as usize, Unit::Utf16);
        Region {
            start_line: start.line,
            start_column: start.column,
            end_line: end.line,
            end_column: end.column,
            byte_offset: span.lo,
            byte_length: span.hi.saturating_sub(span.lo),
        }
    }

    fn artifact(&self, file: FileId) -> ArtifactLocation {
        let path = &self.site.sources.file(file).path;
        self.artifact_at(path, Some(self.before + file.0))
    }

    fn artifact_at(&self, path: &str, index: Option<u32>) -> ArtifactLocation {
        let path = match self.below() {
            Some(folder) => joined(&folder, path),
            None => path.to_owned(),
        };
        let mut below = path.as_str();
        let mut base = self.base();
        for above in ABOVE {
            let Some(rest) = below.strip_prefix("../") else {
                break;
            };
            (below, base) = (rest, above);
        }
        ArtifactLocation {
            uri: encoded(below),
            uri_base_id: base,
            index,
        }
    }

    fn rule_index(&self, name: &str) -> Option<usize> {
        self.rules.iter().position(|rule| rule.name == name)
    }
}

fn rule(card: &RuleCard<'_>) -> Rule {
    Rule {
        id: card.name.into(),
        deprecated_ids: card.former_names.iter().map(ToString::to_string).collect(),
        short_description: text(card.summary),
        full_description: text(format!("{} {CAUTION}", card.summary)),
        help: text(format!(
            "{} \"cordwright cite {}\" shows the page with sources, examples and cure.",
            card.summary, card.name
        )),
        help_uri: PAGES.map(|pages| format!("{}/{}.md", pages.trim_end_matches('/'), card.name)),
        default_configuration: Configuration {
            level: card.level.word(),
        },
        properties: RuleProperties {
            tags: vec!["electrical-safety".into(), card.subject.into()],
        },
    }
}

/// How a result stands to the run compared with.
fn baseline_state(since: Since) -> Option<&'static str> {
    match since {
        Since::NotAsked => None,
        Since::New => Some("new"),
        Since::Unchanged => Some("unchanged"),
        Since::Worse(_) | Since::Better(_) => Some("updated"),
    }
}

/// The headline, the rows below it, and the other places as links to the related locations.
fn message(finding: &Finding) -> Text {
    let mut words = Written::<Sarif>::of(&finding.headline);
    for (name, row) in rows(finding) {
        words.ours("\n").ours(name).ours(": ").theirs(&row);
    }
    let noted = finding.path.iter().zip(1..);
    for (place, id) in noted.filter(|(place, _): &(&Place, usize)| !place.note.is_empty()) {
        words.ours("\nSee [").theirs(&place.note);
        words.ours("](").number(id).ours(").");
    }
    text(words.into_string())
}

/// A message in which something came from outside.
fn told(words: &str) -> Text {
    text(Written::<Sarif>::of(words).into_string())
}

fn agreed(departed: &Departed) -> Suppression {
    let mut words = Written::<Plain>::of(&departed.reason);
    words.ours(" (agreed by ").theirs(&departed.agreed_by);
    words.ours(", until ").theirs(&departed.until).ours(")");
    accepted(words.into_string())
}

fn on_the_list() -> Suppression {
    accepted("known: on the snag list of the site".to_owned())
}

fn accepted(justification: String) -> Suppression {
    Suppression {
        kind: "external",
        status: "accepted",
        justification,
    }
}

fn notification(index: usize) -> Reference {
    Reference {
        id: NOTIFICATIONS[index].0.into(),
        index: Some(index),
    }
}

/// Words of our own, or an edit, which is needed as it is.
fn text(words: impl Into<String>) -> Text {
    Text {
        text: words.into(),
        markdown: None,
    }
}

#[cfg(test)]
mod tests;
