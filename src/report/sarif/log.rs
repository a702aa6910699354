//! The parts of SARIF 2.1.0 that are written, named and ordered as they stand in the file. The
//! meaning of each is the standard's.

use std::collections::BTreeMap;

use serde::Serialize;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Log {
    #[serde(rename = "$schema")]
    pub schema: &'static str,
    pub version: &'static str,
    pub runs: Vec<Run>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Run {
    pub tool: Tool,
    pub automation_details: Automation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baseline_guid: Option<String>,
    pub language: &'static str,
    pub column_kind: &'static str,
    pub original_uri_base_ids: BTreeMap<&'static str, Base>,
    pub invocations: [Invocation; 1],
    pub artifacts: Vec<Artifact>,
    pub results: Vec<Outcome>,
    pub properties: RunProperties,
}

#[derive(Serialize)]
pub struct Tool {
    pub driver: Driver,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Driver {
    pub name: &'static str,
    pub version: &'static str,
    pub semantic_version: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub information_uri: Option<String>,
    pub full_description: Text,
    pub rules: Vec<Rule>,
    pub notifications: Vec<NotificationKind>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Rule {
    pub id: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub deprecated_ids: Vec<String>,
    pub short_description: Text,
    pub full_description: Text,
    pub help: Text,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help_uri: Option<String>,
    pub default_configuration: Configuration,
    pub properties: RuleProperties,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct NotificationKind {
    pub id: &'static str,
    pub short_description: Text,
    pub full_description: Text,
    pub help: Text,
}

#[derive(Serialize)]
pub struct Configuration {
    pub level: &'static str,
}

#[derive(Serialize)]
pub struct RuleProperties {
    pub tags: Vec<String>,
}

#[derive(Clone, Serialize)]
pub struct Text {
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub markdown: Option<String>,
}

#[derive(Serialize)]
pub struct Automation {
    pub id: String,
    pub guid: String,
}

#[derive(Serialize)]
pub struct Base {
    pub description: Text,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Invocation {
    pub execution_successful: bool,
    pub tool_execution_notifications: Vec<Notification>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Notification {
    pub descriptor: Reference,
    pub level: &'static str,
    pub message: Text,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub locations: Vec<Location>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub associated_rule: Option<Reference>,
}

#[derive(Serialize)]
pub struct Reference {
    pub id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index: Option<usize>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Artifact {
    pub location: ArtifactLocation,
    pub mime_type: &'static str,
    pub length: usize,
    pub roles: [&'static str; 1],
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ArtifactLocation {
    pub uri: String,
    pub uri_base_id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index: Option<u32>,
}

/// The standard's `result`; the name is taken in Rust.
#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Outcome {
    pub rule_id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule_index: Option<usize>,
    pub kind: &'static str,
    pub level: &'static str,
    pub message: Text,
    pub locations: [Location; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub code_flows: Vec<CodeFlow>,
    pub partial_fingerprints: Fingerprints,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baseline_state: Option<&'static str>,
    pub suppressions: Vec<Suppression>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fixes: Vec<Fix>,
    pub properties: OutcomeProperties,
}

/// Names of a result that survive moved lines.
#[derive(Clone, Default, Serialize)]
pub struct Fingerprints {
    /// The same for all who suffer one fault.
    #[serde(rename = "cordwright/v1")]
    pub of_the_whole: String,
    /// Its own.
    #[serde(rename = "cordwright/v2")]
    pub own: String,
}

#[derive(Clone, Serialize)]
pub struct OutcomeProperties {
    pub about: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Location {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<usize>,
    pub physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub message: Option<Text>,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PhysicalLocation {
    pub artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub region: Option<Region>,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Region {
    pub start_line: usize,
    pub start_column: usize,
    pub end_line: usize,
    pub end_column: usize,
    pub byte_offset: u32,
    pub byte_length: u32,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CodeFlow {
    pub message: Text,
    pub thread_flows: [ThreadFlow; 1],
}

#[derive(Clone, Serialize)]
pub struct ThreadFlow {
    pub locations: Vec<Step>,
}

#[derive(Clone, Serialize)]
pub struct Step {
    pub location: Location,
}

#[derive(Clone, Serialize)]
pub struct Suppression {
    pub kind: &'static str,
    pub status: &'static str,
    pub justification: String,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Fix {
    pub description: Text,
    pub artifact_changes: Vec<ArtifactChange>,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ArtifactChange {
    pub artifact_location: ArtifactLocation,
    pub replacements: Vec<Replacement>,
}

#[derive(Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Replacement {
    pub deleted_region: Region,
    pub inserted_content: Text,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct RunProperties {
    pub caution: &'static str,
    pub not_checked: &'static str,
}
