//! How a run ends.

use std::process::ExitCode;

/// The three ways a run can end, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// 0: nothing to fail for.
    Clean,
    /// 1: findings at or above the level asked for.
    Findings,
    /// 2: the job could not be done, or not wholly: silence would not mean safety.
    Failed,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Clean => 0,
            Exit::Findings => 1,
            Exit::Failed => 2,
        })
    }
}
