//! Progress of the first judgement of a site, before which nothing is said of it.

use lsp_server::{Message, Notification};
use lsp_types::notification::{Notification as _, Progress as ProgressNotification};
use lsp_types::{
    NumberOrString, ProgressParams, ProgressParamsValue, WorkDoneProgress, WorkDoneProgressBegin,
    WorkDoneProgressEnd, WorkDoneProgressReport,
};

use crate::editor::OpenSite;
use crate::finding::{Level, Verdict};
use crate::ink::{Plain, Written};

/// The progress that one site is shown under.
#[derive(Clone, Debug)]
pub(super) struct Progress(pub NumberOrString);

impl Progress {
    pub(super) fn begin(&self, title: Written<Plain>) -> Message {
        self.message(WorkDoneProgress::Begin(WorkDoneProgressBegin {
            title: title.into_string(),
            message: Some("reading".to_owned()),
            ..WorkDoneProgressBegin::default()
        }))
    }

    pub(super) fn report(&self, message: String) -> Message {
        self.message(WorkDoneProgress::Report(WorkDoneProgressReport {
            message: Some(message),
            ..WorkDoneProgressReport::default()
        }))
    }

    pub(super) fn end(&self, message: String) -> Message {
        self.message(WorkDoneProgress::End(WorkDoneProgressEnd {
            message: Some(message),
        }))
    }

    fn message(&self, value: WorkDoneProgress) -> Message {
        let params = ProgressParams {
            token: self.0.clone(),
            value: ProgressParamsValue::WorkDone(value),
        };
        Notification::new(ProgressNotification::METHOD.to_owned(), params).into()
    }
}

/// How many findings there are, by weight; open points apart, since they are no pass.
pub(super) fn summary(site: &OpenSite) -> String {
    let (mut errors, mut warnings, mut notes, mut open) = (0, 0, 0, 0);
    for finding in site
        .files()
        .iter()
        .flat_map(|file| site.findings(file.id()))
    {
        match (finding.verdict, finding.level) {
            (Verdict::Open, _) => open += 1,
            (Verdict::Broken, Level::Error) => errors += 1,
            (Verdict::Broken, Level::Warning) => warnings += 1,
            (Verdict::Broken, Level::Note) => notes += 1,
        }
    }
    format!("judged: errors {errors}, warnings {warnings}, notes {notes}, not decided {open}")
}
