//! Standard input, output and error; and the one file that stands for input.

use std::fs::File;
use std::io::{self, ErrorKind, Stdin, Stdout, Write};
use std::path::Path;

use super::paths::shown;
use super::read::{read_within_limit, words};
use crate::failure::Failure;
use crate::ink::{Output, Plain, Written};

/// Writes to standard output at once.
///
/// # Errors
/// The system's own, such as a full disk; not a reader that left early (`| head`), which is its right.
pub fn to_standard_output(output: &Output) -> Result<(), Failure> {
    deliver(io::stdout().lock(), output.bytes())
}

fn deliver(mut to: impl Write, bytes: &[u8]) -> Result<(), Failure> {
    match to.write_all(bytes).and_then(|()| to.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        Err(error) => {
            let what = format!("cannot write to standard output: {}", words(&error));
            Err(Failure::new(what).advise("Is the disk full that the output goes to?"))
        }
    }
}

/// Writes `text` to standard error. If that fails there is no one left to tell.
pub fn tell(text: &Written<Plain>) {
    let _ = io::stderr().lock().write_all(text.as_str().as_bytes());
}

/// Standard input and output as the two ways of a talk with an editor.
pub fn talk_streams() -> (Stdin, Stdout) {
    (io::stdin(), io::stdout())
}

/// All of the file at a path; of standard input for `-`.
///
/// # Errors
/// It cannot be read, or is longer than [`super::FILE_LIMIT`].
pub fn read_file(path: &Path) -> Result<Vec<u8>, Failure> {
    if path == Path::new("-") {
        return read_standard_input();
    }
    let file = File::open(path).map_err(|error| words(&error));
    file.and_then(read_within_limit).map_err(|why| {
        Failure::new(format!("cannot read {}: {why}", shown(path)))
            .advise("Name a file that is there and may be read.")
    })
}

/// All of standard input.
///
/// # Errors
/// It cannot be read, or is longer than [`super::FILE_LIMIT`].
pub fn read_standard_input() -> Result<Vec<u8>, Failure> {
    read_within_limit(io::stdin().lock()).map_err(|why| {
        Failure::new(format!("cannot read standard input: {why}"))
            .advise("Hand over the text of one file.")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fails with one kind of error after taking `room` bytes.
    struct Sink {
        room: usize,
        fails: ErrorKind,
    }

    impl Write for Sink {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let taken = bytes.len().min(self.room);
            self.room -= taken;
            match taken {
                0 => Err(self.fails.into()),
                some => Ok(some),
            }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_reader_that_leaves_is_no_failure_but_a_full_disk_is() {
        let sink = |room, fails| Sink { room, fails };
        let all = deliver(sink(9, ErrorKind::Other), b"findings");
        assert_eq!(all, Ok(()));
        let left = deliver(sink(3, ErrorKind::BrokenPipe), b"findings");
        assert_eq!(left, Ok(()));
        let full = deliver(sink(3, ErrorKind::StorageFull), b"findings");
        assert!(full.is_err());
    }
}
