//! The parts of a SARIF log that this program writes (OASIS, Static Analysis Results Interchange Format 2.1.0), under the names that the
//! standard gives them. What is empty and may be left out is left out.

use serde::Serialize;
use std::collections::BTreeMap;

/// A log file.
#[derive(Serialize)]
pub(super) struct Log {
    #[serde(rename = "$schema")]
    pub schema: &'static str,
    pub version: &'static str,
    pub runs: Vec<Run>,
}

/// The builds of one repository.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Run {
    pub tool: Tool,
    pub invocations: [Invocation; 1],
    pub original_uri_base_ids: BTreeMap<&'static str, ArtifactLocation>,
    pub column_kind: &'static str,
    pub language: &'static str,
    pub results: Vec<SarifResult>,
    pub properties: BTreeMap<&'static str, String>,
}

/// Who made the results.
#[derive(Serialize)]
pub(super) struct Tool {
    pub driver: Driver,
}

/// This program with the rules that results refer to.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Driver {
    pub name: &'static str,
    pub semantic_version: &'static str,
    pub rules: Vec<Descriptor>,
}

/// A rule.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Descriptor {
    pub id: String,
    pub short_description: Message,
    pub full_description: Message,
    pub help: Message,
    pub default_configuration: Configuration,
    pub properties: BTreeMap<&'static str, Vec<String>>,
}

/// How bad a rule's results usually are.
#[derive(Serialize)]
pub(super) struct Configuration {
    pub level: &'static str,
}

/// How the run went.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Invocation {
    pub execution_successful: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tool_execution_notifications: Vec<Notification>,
}

/// An error of a spec, or a rule that could not be brought to an end.
#[derive(Serialize)]
pub(super) struct Notification {
    pub descriptor: Reference,
    pub level: &'static str,
    pub message: Message,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub locations: Vec<Location>,
}

/// What sort of notification it is.
#[derive(Serialize)]
pub(super) struct Reference {
    pub id: &'static str,
}

/// A rule on a subject.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct SarifResult {
    pub rule_id: String,
    pub rule_index: usize,
    pub kind: &'static str,
    pub level: &'static str,
    pub message: Message,
    pub locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub related_locations: Vec<Location>,
    pub partial_fingerprints: BTreeMap<&'static str, String>,
    /// Always there: in one run either all results have it or none.
    pub suppressions: Vec<Suppression>,
    pub properties: BTreeMap<&'static str, String>,
}

/// Words; plain, and as Markdown where that says more.
#[derive(Serialize)]
pub(super) struct Message {
    pub text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub markdown: Option<String>,
}

/// A place, by file and by the subject's path.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Location {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<usize>,
    pub physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub logical_locations: Vec<LogicalLocation>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub message: Option<Message>,
}

/// A place in a file.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct PhysicalLocation {
    pub artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub region: Option<Region>,
}

/// A path in the spec.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct LogicalLocation {
    pub fully_qualified_name: String,
}

/// A file.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ArtifactLocation {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uri: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uri_base_id: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<Message>,
}

/// Lines and columns from 1; the end column is one past the last character.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Region {
    pub start_line: u32,
    pub start_column: u32,
    pub end_line: u32,
    pub end_column: u32,
}

/// A concession.
#[derive(Serialize)]
pub(super) struct Suppression {
    pub kind: &'static str,
    pub status: &'static str,
    pub justification: String,
    pub location: Location,
}
