//! One item of an enquiry: a drawing and everything that was decided for it.

use super::drawing_file::DrawingFile;
use super::unknown::Unknown;
use crate::drawing::ReadOptions;
use crate::estimate::Wish;
use crate::estimate::together::Arrangement;
use crate::job::{Confirmed, Job};
use serde::{Deserialize, Serialize};

/// How far an item has come.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// A price is asked for.
    #[default]
    Asked,
    /// It was quoted.
    Quoted,
    /// It is ordered.
    Ordered,
    /// It is cut.
    Cut,
}

impl State {
    /// All, in the order in which an item goes through them.
    pub const ALL: [Self; 4] = [Self::Asked, Self::Quoted, Self::Ordered, Self::Cut];
    /// The word that is shown.
    pub fn said(self) -> &'static str {
        match self {
            Self::Asked => say!("asked"),
            Self::Quoted => say!("quoted"),
            Self::Ordered => say!("ordered"),
            Self::Cut => say!("cut" in "a state"),
        }
    }
    /// The word that is written in tables and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Asked => "asked",
            Self::Quoted => "quoted",
            Self::Ordered => "ordered",
            Self::Cut => "cut",
        }
    }
}

/// What the estimate said when the file was saved: shows where a later version of the program computes otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// The wire's name in the library.
    pub wire: String,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// Time a part, minutes.
    pub minutes: f64,
    /// Wire a part, m.
    pub wire_m: f64,
    /// Cost a part.
    pub cost: f64,
}

/// What was quoted for an item when it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Offered {
    /// The day, ISO 8601.
    pub date: String,
    /// Parts in the lot.
    pub quantity: u32,
    /// Minutes of cutting a part, corners included, without stops and threading.
    pub cutting_minutes: f64,
    /// Wire in cutting a part, without what is wasted at threadings, m.
    pub cutting_wire_m: f64,
    /// Wire, time, wire used and cost a part.
    pub seen: Seen,
}

/// The cut of an item as it was logged, a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Logged {
    /// The day, ISO 8601.
    pub date: String,
    /// The machine, as the shop calls it.
    #[serde(default)]
    pub machine: String,
    /// Minutes of cutting, corners included, without stops and threading.
    pub cutting_minutes: f64,
    /// Wire in cutting, where it was noted, m.
    #[serde(default)]
    pub cutting_wire_m: Option<f64>,
    /// What it cost more than quoted because of the time (less where negative).
    pub dearer_by_time: f64,
    /// And because of the wire.
    pub dearer_by_wire: f64,
}

/// A drawing with its decisions.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// As shown; the name of the drawing's file unless changed.
    pub name: String,
    /// Where the drawing lay when it was taken in; `None` where it came without a path.
    pub path: Option<String>,
    /// The drawing.
    pub drawing: DrawingFile,
    /// How it is read, with what was answered and accepted.
    pub options: ReadOptions,
    /// The job, with wires, single contours, hours and rates.
    pub job: Job,
    /// What of it was given for this drawing; the rest is assumed.
    pub confirmed: Confirmed,
    /// The candidate that is quoted, by its index; `None` for the cheapest on hand that can do it.
    pub wire: Option<usize>,
    /// What its plan has to reach.
    pub wish: Wish,
    /// How several of it are cut together.
    pub arrangement: Arrangement,
    /// How far it has come.
    pub state: State,
    /// Words about it.
    pub note: String,
    /// The estimate when it was saved.
    pub seen: Option<Seen>,
    /// What was quoted, from when its state first left `asked`.
    pub offered: Option<Offered>,
    /// Its cut, once that was logged.
    pub logged: Option<Logged>,
    pub(super) unknown: Unknown,
}

impl Item {
    /// Puts it in a state. What it comes to then is kept as the quote when it leaves `asked`, and forgotten when it goes
    /// back to that.
    pub fn enter(&mut self, state: State, offered: Option<Offered>) {
        self.state = state;
        if state == State::Asked {
            self.offered = None;
        } else if self.offered.is_none() {
            self.offered = offered;
        }
    }
    /// An item of which nothing is known but the drawing and the job.
    pub fn new(name: String, drawing: DrawingFile, job: Job) -> Self {
        Self {
            name,
            path: None,
            drawing,
            options: ReadOptions::default(),
            job,
            confirmed: Confirmed::default(),
            wire: None,
            wish: Wish::default(),
            arrangement: Arrangement::default(),
            state: State::Asked,
            note: String::new(),
            seen: None,
            offered: None,
            logged: None,
            unknown: Unknown::default(),
        }
    }
}
