//! What came of a call, and why one comes to nothing.

use std::io;

/// What came of a call, for the exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// All done.
    Done,
    /// Some file failed; the others are written all the same.
    SomeFailed,
}

/// Why a call came to nothing.
#[derive(Debug)]
pub(super) enum Failure {
    /// The call is wrong: what, and what would be right.
    Call(String),
    /// The output cannot be written.
    Output(io::Error),
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Output(error.into())
    }
}

impl From<csv::Error> for Failure {
    fn from(error: csv::Error) -> Self {
        Self::Output(error.into())
    }
}
