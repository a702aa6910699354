//! How a judged site makes the run end.

use crate::command::exit::Exit;
use crate::finding::{Finding, Level, Verdict};

/// What decides the end.
pub(super) struct Tally<'a> {
    /// The findings told.
    pub(super) findings: &'a [Finding],
    /// Whether everything was read and every rule ran to its end.
    pub(super) complete: bool,
    /// Whether the site wants open points to fail the run.
    pub(super) open_points_block: bool,
}

impl Tally<'_> {
    /// A failure outranks findings: what was not judged may be worse than what was.
    pub(super) fn exit(&self, fail_at: Level) -> Exit {
        let fails = |finding: &Finding| match finding.verdict {
            // What was there before a change is not what it fails for.
            _ if finding.since.is_old() => false,
            Verdict::Broken => finding.level >= fail_at,
            Verdict::Open => self.open_points_block,
        };
        match (self.complete, self.findings.iter().any(fails)) {
            (false, _) => Exit::Failed,
            (true, true) => Exit::Findings,
            (true, false) => Exit::Clean,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Since;

    fn finding(thing: &str) -> Finding {
        crate::finding::tests::finding("plug-fuse", 1, &[thing])
    }

    fn exit(findings: &[Finding], fail_at: Level) -> Exit {
        let tally = Tally {
            findings,
            complete: true,
            open_points_block: false,
        };
        tally.exit(fail_at)
    }

    #[test]
    fn findings_fail_from_the_level_asked_for() {
        let warning = Finding {
            level: Level::Warning,
            ..finding("W-1")
        };
        let warnings = std::slice::from_ref(&warning);
        assert_eq!(exit(warnings, Level::Error), Exit::Clean);
        assert_eq!(exit(warnings, Level::Warning), Exit::Findings);
        assert_eq!(exit(warnings, Level::Note), Exit::Findings);
        assert_eq!(exit(&[], Level::Note), Exit::Clean);
    }

    #[test]
    fn open_points_fail_only_where_the_site_says_so() {
        let open = [Finding {
            verdict: Verdict::Open,
            ..finding("W-1")
        }];
        assert_eq!(exit(&open, Level::Note), Exit::Clean);
        let blocking = Tally {
            findings: &open,
            complete: true,
            open_points_block: true,
        };
        assert_eq!(blocking.exit(Level::Error), Exit::Findings);
    }

    #[test]
    fn failure_outranks_findings() {
        let findings = [finding("W-1")];
        let incomplete = Tally {
            findings: &findings,
            complete: false,
            open_points_block: false,
        };
        assert_eq!(incomplete.exit(Level::Error), Exit::Failed);
    }

    #[test]
    fn what_was_there_before_a_change_fails_nothing() {
        let since = |since| Finding {
            since,
            ..finding("W-1")
        };
        let then = crate::finding::Measure::above(
            crate::quantity::amperes(11.0),
            crate::quantity::amperes(10.0),
        );
        for (stands, ends) in [
            (Since::New, Exit::Findings),
            (Since::Worse(then), Exit::Findings),
            (Since::Unchanged, Exit::Clean),
            (Since::Better(then), Exit::Clean),
        ] {
            assert_eq!(exit(&[since(stands)], Level::Error), ends);
        }
    }
}
