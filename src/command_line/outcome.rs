//! What came of a call, and why one comes to nothing.

use crate::drawing::Verdict;
use crate::estimate::Quotable;
use std::io;

/// What came of a call, for the exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// All done.
    Done,
    /// Some file failed; the others are written all the same.
    SomeFailed,
    /// All done, but for some drawing the verdict is not to quote.
    NotToQuote,
}

impl Outcome {
    /// Of two: what has to be known most.
    pub(super) fn and(self, other: Self) -> Self {
        let weight = |o| match o {
            Self::Done => 0,
            Self::NotToQuote => 1,
            Self::SomeFailed => 2,
        };
        if weight(other) > weight(self) {
            other
        } else {
            self
        }
    }
    /// Of a verdict.
    pub(super) fn of(quotable: Quotable) -> Self {
        match quotable {
            Quotable::NoWire | Quotable::Drawing(Verdict::Refuse) => Self::NotToQuote,
            Quotable::Drawing(_) => Self::Done,
        }
    }
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
