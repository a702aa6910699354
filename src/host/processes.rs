//! Other processes of the machine.

/// Whether a process of this number runs; `None` where that cannot be told.
///
/// One that nobody has asked after since it ended still counts, and so does another that was given the
/// same number since.
#[cfg(unix)]
pub fn is_running(number: u32) -> Option<bool> {
    use rustix::io::Errno;
    use rustix::process::{Pid, test_kill_process};
    let number = Pid::from_raw(i32::try_from(number).ok()?)?;
    match test_kill_process(number) {
        // It runs as somebody else.
        Ok(()) | Err(Errno::PERM) => Some(true),
        Err(Errno::SRCH) => Some(false),
        Err(_) => None,
    }
}

/// Whether a process of this number runs; `None` where that cannot be told.
#[cfg(not(unix))]
pub fn is_running(_number: u32) -> Option<bool> {
    None
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    #[test]
    fn this_process_runs_and_one_that_has_ended_does_not() {
        assert_eq!(is_running(std::process::id()), Some(true));
        let mut ended = std::process::Command::new("true").spawn().unwrap();
        ended.wait().unwrap();
        assert_eq!(is_running(ended.id()), Some(false));
        assert_eq!(is_running(0), None);
        assert_eq!(is_running(u32::MAX), None);
    }
}
