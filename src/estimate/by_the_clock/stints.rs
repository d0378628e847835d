//! What the machine does when, and the times without anybody.

use crate::units::{Length, Minutes};

/// What the machine does in a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Doing {
    /// It runs.
    Runs,
    /// Somebody works at it: a part is loaded, or a piece secured, cut off and taken out.
    Attended,
    /// It stands and waits until somebody comes.
    Waits,
    /// The spool has run out; it stands until somebody comes.
    OutOfWire,
}

/// A stretch of time in which the machine does one thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stint {
    /// Moment it begins.
    pub from: f64,
    /// Moment it ends.
    pub to: f64,
    /// What is done.
    pub doing: Doing,
    /// The contour, where it belongs to one.
    pub contour: Option<usize>,
}

/// A time between two shifts into which the job reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alone {
    /// When everybody leaves.
    pub from: f64,
    /// When somebody comes back.
    pub to: f64,
    /// How long it runs in it.
    pub runs: Minutes,
    /// When it stops to wait, and for which contour's piece; `None` where it runs through or is done.
    pub stops: Option<(f64, Doing, Option<usize>)>,
    /// When the job is done, where that falls in it.
    pub done: Option<f64>,
    /// Wire that it takes.
    pub wire: Length,
    /// Threadings in it, those after a break not counted.
    pub threadings: usize,
    /// Wire breaks to be expected in it.
    pub breaks: f64,
    /// Share of such nights that need nobody: every threading succeeds.
    pub needs_nobody: f64,
}

/// Weeks that go on in the same way: the week or weeks before them, again and again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeats {
    /// When the first of them begins.
    pub from: f64,
    /// How many there are.
    pub weeks: f64,
    /// How many weeks pass until all is as it was; 1 or more.
    pub round: f64,
}

impl Repeats {
    /// How many times the same weeks come again.
    pub fn times(&self) -> f64 {
        self.weeks / self.round
    }
}
