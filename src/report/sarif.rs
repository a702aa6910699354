//! SARIF 2.1.0, one run per site: what code-scanning services and editors read.

use std::collections::BTreeMap;

use super::place::{Unit, position};
use super::words::rows;
use super::{CAUTION, Departed, NOT_CHECKED, Report, RuleCard, SiteReport};
use crate::finding::{Edit, Finding, Place, Verdict};
use crate::ink::{Json, Plain, Sarif, Written, encoded};
use crate::input::SNAG_FILE;
use crate::source::{FileId, Span};
use log::{
    Artifact, ArtifactChange, ArtifactLocation, Automation, Base, CodeFlow, Configuration, Driver,
    Fix, Invocation, Location, Log, Notification, NotificationKind, Outcome, OutcomeProperties,
    PhysicalLocation, Reference, Region, Replacement, Rule, RuleProperties, Run, RunProperties,
    Step, Suppression, Text, ThreadFlow, Tool,
};

mod log;

/// URIs start at the site's folder.
const FROM_SITE: &str = "SITE";
/// URIs start at the folder that the command ran in, and the site lies below it.
const FROM_WORKING_FOLDER: &str = "WORKING-FOLDER";
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
    let runs = report.sites.iter().map(|site| {
        let rules = &report.rules;
        Scribe { site, rules }.run()
    });
    let log = Log {
        schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        version: "2.1.0",
        runs: runs.collect(),
    };
    Written::document(&log)
}

/// Writes one site's run.
struct Scribe<'a> {
    site: &'a SiteReport<'a>,
    rules: &'a [RuleCard<'a>],
}

impl Scribe<'_> {
    fn run(&self) -> Run {
        let site = self.site;
        let found = site.findings.iter().map(|f| self.outcome(f, None));
        let departed = site.departed.iter();
        let departed = departed.map(|d| self.outcome(&d.finding, Some(agreed(d))));
        let known = site.known.iter();
        let known = known.map(|known| self.outcome(&known.finding, Some(on_the_list())));
        Run {
            tool: Tool {
                driver: self.driver(),
            },
            automation_details: Automation {
                id: self.automation(),
            },
            language: "en",
            column_kind: "utf16CodeUnits",
            original_uri_base_ids: self.base(),
            invocations: [self.invocation()],
            artifacts: self.artifacts(),
            results: found.chain(departed).chain(known).collect(),
            properties: RunProperties {
                caution: CAUTION,
                not_checked: NOT_CHECKED,
            },
        }
    }

    fn driver(&self) -> Driver {
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
            full_description: text(format!("{} {CAUTION}", env!("CARGO_PKG_DESCRIPTION"))),
            rules: self.rules.iter().map(rule).collect(),
            notifications: NOTIFICATIONS.map(notification).into(),
        }
    }

    /// The site's folder below the working folder; `None` where it is the working folder itself or
    /// lies outside, so that no URI climbs or is absolute.
    fn folder(&self) -> Option<String> {
        let root = self.site.root;
        let parts: Vec<&str> = root
            .split('/')
            .filter(|p| !matches!(*p, "" | "."))
            .collect();
        let outside = root.starts_with('/') || root.contains([':', '\\']) || parts.contains(&"..");
        (!outside && !parts.is_empty()).then(|| encoded(&parts.join("/")))
    }

    /// Names this site's series of runs: its folder, or the last part of a folder that lies outside.
    fn automation(&self) -> String {
        let last = || {
            self.site
                .root
                .rsplit(['/', '\\'])
                .find(|part| !part.is_empty())
        };
        let outside = last().filter(|part| !part.starts_with('.')).map(encoded);
        match self.folder().or(outside) {
            Some(folder) => format!("cordwright/{folder}/"),
            None => "cordwright/".into(),
        }
    }

    fn base(&self) -> BTreeMap<&'static str, Base> {
        let (id, words) = match self.folder() {
            Some(_) => (FROM_WORKING_FOLDER, "The folder that the check was run in."),
            None => (
                FROM_SITE,
                "The site's folder, the one that holds cordwright.yaml.",
            ),
        };
        let description = text(words);
        BTreeMap::from([(id, Base { description })])
    }

    fn invocation(&self) -> Invocation {
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
        Invocation {
            execution_successful: self.site.complete(),
            tool_execution_notifications: unread.chain(crashed).collect(),
        }
    }

    fn artifacts(&self) -> Vec<Artifact> {
        let files = self.site.sources.iter().map(|(id, source)| Artifact {
            location: self.artifact_at(&source.path, Some(id.0)),
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
            partial_fingerprints: BTreeMap::from([("cordwright/v1", finding.fingerprint())]),
            suppressions: suppression.into_iter().collect(),
            fixes: self.fix(finding).into_iter().collect(),
            properties: OutcomeProperties {
                about: finding.about.iter().map(ToString::to_string).collect(),
            },
        }
    }

    /// The electrical path, supply to device; `None` where a finding has a single place.
    fn code_flow(&self, finding: &Finding) -> Option<CodeFlow> {
        let steps = finding.places().map(|(place, _)| Step {
            location: self.location(place, None),
        });
        (!finding.path.is_empty()).then(|| CodeFlow {
            message: text("The electrical path, from supply to device."),
            thread_flows: [ThreadFlow {
                locations: steps.collect(),
            }],
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
        self.artifact_at(&self.site.sources.file(file).path, Some(file.0))
    }

    fn artifact_at(&self, path: &str, index: Option<u32>) -> ArtifactLocation {
        let path = encoded(path);
        let (uri, uri_base_id) = match self.folder() {
            Some(folder) => (format!("{folder}/{path}"), FROM_WORKING_FOLDER),
            None => (path, FROM_SITE),
        };
        ArtifactLocation {
            uri,
            uri_base_id,
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
        help: Text {
            text: card.page.into(),
            markdown: Some(card.page.into()),
        },
        default_configuration: Configuration {
            level: card.level.word(),
        },
        properties: RuleProperties {
            tags: vec!["electrical-safety".into(), card.subject.into()],
        },
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

/// A `baselineState` would name an earlier run that the snag list does not know.
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
