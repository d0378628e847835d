//! What the window knows: the open drawings with their jobs and answers, and what is shown.

use super::canvas::{Canvas, Model, PathModel};
use super::clock::Clock;
use super::commands::Command;
use super::course::{Clocks, Course, Limits, PartsTaken, Timing};
use super::learning::{LearnAction, Learning};
use super::own_library::{LibraryAction, OwnLibrary};
use super::pair::Pair;
use super::sweeps::{Drawn, Sweeps, Vary};
use super::worker::Reading;
use crate::drawing::{Drawing, Offer, Progress, ReadOptions};
use crate::estimate::{Comparison, Estimate, Question};
use crate::geometry::Point;
use crate::job::{Confirmed, Job};
use crate::library::Library;
use crate::measures::Measures;
use crate::notes::Says;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::reason::Figure;
use crate::words::Style;
use egui::util::undoer::Undoer;
use std::cell::Cell;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

/// A contour or an open chain, by its index in the profile.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Target {
    /// Closed contour.
    Contour(usize),
    /// Chain that closes no contour.
    Open(usize),
}

/// One place of a finding of the import.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Spot {
    /// Index of the finding.
    pub finding: usize,
    /// Index of the place among its places.
    pub place: usize,
}

/// What the pointer is on in a panel, for the canvas to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pointed {
    /// A corner whose ends the import offers to move, or has moved as accepted.
    Offers(Offer, Option<Offer>),
    /// A part of the drawing, by its number among the parts.
    Part(usize),
}

/// Everything that undo goes back to.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    /// The job.
    pub job: Job,
    /// How the drawing is read.
    pub options: ReadOptions,
    /// What of the job was given for this drawing.
    pub confirmed: Confirmed,
}

/// What the panel on the right shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Why a figure is what it is.
    Why,
    /// The list of steps.
    Steps,
    /// What was decided for the contour selected.
    Contour,
    /// What would have to change for a thicker wire.
    Limits,
    /// The job by the clock, day and night.
    Unattended,
    /// Import findings, obstacles and uncut spots.
    Findings,
    /// Rates and habits.
    Shop,
    /// What to watch for.
    Cautions,
    /// The drawing in front against another open one.
    Variants,
    /// Finished cuts and what they teach.
    Cuts,
    /// The shop's own library over the built-in one.
    Library,
    /// Curves over thickness or passes, and what matters most.
    Sweeps,
}

impl Side {
    /// All, in the order of the tabs.
    pub const ALL: [Self; 12] = [
        Self::Why,
        Self::Steps,
        Self::Contour,
        Self::Limits,
        Self::Unattended,
        Self::Findings,
        Self::Shop,
        Self::Library,
        Self::Variants,
        Self::Cuts,
        Self::Sweeps,
        Self::Cautions,
    ];
    /// Whether it holds tables or charts.
    pub fn is_wide(self) -> bool {
        matches!(
            self,
            Self::Cuts | Self::Sweeps | Self::Unattended | Self::Library
        )
    }
    /// The command that shows it.
    pub fn command(self) -> Command {
        match self {
            Self::Why => Command::Why,
            Self::Steps => Command::Steps,
            Self::Contour => Command::Contour,
            Self::Limits => Command::Limits,
            Self::Unattended => Command::Unattended,
            Self::Findings => Command::Findings,
            Self::Shop => Command::Shop,
            Self::Cautions => Command::Cautions,
            Self::Variants => Command::Variants,
            Self::Cuts => Command::Cuts,
            Self::Library => Command::Library,
            Self::Sweeps => Command::Sweeps,
        }
    }
}

/// A figure that was asked about: which candidate and what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Index of the candidate.
    pub wire: usize,
    /// What about it.
    pub question: Question,
}

/// What a panel asks for; carried out after the frame, in one place.
#[derive(Debug, Clone)]
pub enum Action {
    /// The job as it should be.
    Edit(Box<Job>),
    /// The job as it should be, and what of it is given for this drawing, changed or not.
    Give(Box<Job>, Confirmed),
    /// An input that cannot be used: what is wrong and what to do.
    Refuse(String),
    /// A message is read.
    Dismiss,
    /// Run a command.
    Run(Command),
    /// Show this candidate's path and steps.
    Show(usize),
    /// Explain a figure.
    Ask(Asked),
    /// Explain why this candidate differs from the baseline.
    Compare(usize),
    /// Hold the drawing in front against this open one.
    Against(u64),
    /// Show a moment, as a share of the whole time; `None` for the whole path.
    Seek(Option<f64>),
    /// Let the time run, or stand still.
    Play(bool),
    /// Stop reading the drawing that is being read.
    CancelReading,
    /// Select a contour, or nothing.
    Select(Option<Target>),
    /// Select a place of a finding, or none; the report shows it.
    Spot(Option<Spot>),
    /// Bring a place into the middle, mm about the profile's origin.
    Centre(Point),
    /// Bring a contour into view.
    Frame(Target),
    /// Put a drawing in front.
    SwitchTo(u64),
    /// Close a drawing.
    CloseFile(u64),
    /// Open a file by its path.
    OpenPath(PathBuf),
    /// Open an embedded sample.
    OpenSample(usize),
    /// Read the drawing in front again, otherwise.
    Reread(Box<ReadOptions>),
    /// Something about the finished cuts.
    Learn(LearnAction),
    /// Something about the shop's own library.
    Library(LibraryAction),
    /// Curves over this, if they are not there yet.
    Sweep(Vary),
    /// What matters for this candidate, if it is not there yet.
    Matters(usize),
    /// What the page of curves shows.
    Draw(Vary, Drawn),
}

/// How much a message matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Something to know.
    Note,
    /// Something did not work.
    Fault,
}

/// A message across the window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Banner {
    /// What happened and what to do.
    pub text: String,
    /// How much it matters.
    pub weight: Weight,
}

/// The answer to the latest request.
#[derive(Debug)]
pub struct Answer {
    /// The estimates, in the order of the candidates.
    pub comparison: Comparison,
    /// Measures with what stays as in the job.
    pub measures: Measures,
    /// The job that was estimated.
    pub job: Job,
}

/// One open drawing with its job.
pub struct OpenFile {
    /// Names it while the program runs.
    pub id: u64,
    /// As shown in the sentence.
    pub name: String,
    /// Where it lies; `None` for a sample.
    pub path: Option<PathBuf>,
    /// How it was read, to read it otherwise.
    pub reading: Reading,
    /// What was read.
    pub drawing: Arc<Drawing>,
    /// The contours alone, shared with the worker.
    pub profile: Arc<Profile>,
    /// What the user decides.
    pub job: Job,
    /// What of it was given for this drawing; the rest is assumed.
    pub confirmed: Confirmed,
    /// What each of the drawing's notes says plainly.
    pub says: Arc<[Says]>,
    /// How it is to be read: what was decided last, while `reading` says how it was read.
    pub wanted: ReadOptions,
    /// Earlier decisions.
    pub undoer: Undoer<Decided>,
    /// Wire paths laid so far.
    pub cache: Arc<PathCache>,
    /// Number of the latest estimate asked for; an older answer is dropped.
    pub awaited: u64,
    /// Whether that answer is still out.
    pub waiting: bool,
    /// The latest answer.
    pub answer: Option<Answer>,
    /// Candidate whose path and steps are shown.
    pub shown: usize,
    /// Contour selected in list and drawing.
    pub selected: Option<Target>,
    /// Place of a finding selected in report and drawing.
    pub spot: Option<Spot>,
    /// The figure asked about.
    pub asked: Option<Asked>,
    /// The candidate that is held against the baseline, instead of a figure.
    pub compared: Option<usize>,
    /// The explanation built for it, until the answer or the question changes.
    pub explained: Option<(Asked, Figure)>,
    /// What the canvas paints.
    pub model: Model,
    /// Paths of the shown candidate, with the request they belong to.
    pub paths: Option<(u64, usize, PathModel)>,
    /// Pan, zoom and cached shapes.
    pub canvas: Canvas,
    /// The moment shown.
    pub clock: Clock,
    /// The course of the candidate shown.
    pub course: Beside<Course>,
    /// What would let a thicker wire in.
    pub limits: Beside<Limits>,
    /// The job by the clock.
    pub clocks: Beside<Clocks>,
    /// What each part takes alone.
    pub parts: Beside<PartsTaken>,
}

/// Something about one wire that comes after its estimate.
pub struct Beside<T> {
    /// Estimate and candidate that were asked about last.
    pub asked: Option<(u64, usize)>,
    /// The latest answer and what it belongs to.
    pub answer: Option<(u64, usize, T)>,
}

impl<T> Default for Beside<T> {
    fn default() -> Self {
        Self {
            asked: None,
            answer: None,
        }
    }
}

impl<T> Beside<T> {
    /// The answer about a candidate.
    pub fn of(&self, wire: usize) -> Option<&T> {
        let (_, w, answer) = self.answer.as_ref()?;
        (*w == wire).then_some(answer)
    }
    /// Whether it has to be asked for; from then on it counts as asked.
    pub fn asks_for(&mut self, number: u64, wire: usize) -> bool {
        self.asked.replace((number, wire)) != Some((number, wire))
    }
    /// Takes an answer, unless another one is awaited.
    pub fn take(&mut self, number: u64, wire: usize, answer: T) {
        if self.asked == Some((number, wire)) {
            self.answer = Some((number, wire, answer));
        }
    }
}

impl OpenFile {
    /// The estimate of a candidate, once there is one.
    pub fn estimate(&self, wire: usize) -> Option<&Estimate> {
        self.answer.as_ref()?.comparison.estimates.get(wire)
    }
    /// Course and look-ups of the candidate shown.
    pub fn timing(&self) -> Option<&Timing> {
        self.course.of(self.shown)?.timing.as_ref()
    }
    /// What undo would come back to.
    pub fn decided(&self) -> Decided {
        Decided {
            job: self.job.clone(),
            options: self.wanted.clone(),
            confirmed: self.confirmed,
        }
    }
    /// Number of the part that is cut alone; `None` when all are cut together.
    pub fn part_taken(&self) -> Option<usize> {
        self.job.part_taken(&self.profile, &self.drawing.parts)
    }
    /// A place of a finding, mm about the profile's origin.
    pub fn place_of(&self, spot: Spot) -> Option<Point> {
        let finding = self.drawing.findings.get(spot.finding)?;
        Some(*finding.at.get(spot.place)? - self.profile.origin)
    }
    /// The estimate whose path and steps are shown.
    pub fn shown_estimate(&self) -> Option<&Estimate> {
        self.estimate(self.shown)
    }
}

/// What is kept from one start to the next, and shown alike for all drawings.
pub struct Shown {
    /// mm or inch.
    pub style: Style,
    /// The panel on the right; `None` when closed.
    pub side: Option<Side>,
    /// The open drawing that the one in front is held against; without it, the one opened before.
    pub against: Option<u64>,
    /// Whether skims are drawn.
    pub skims: bool,
    /// Whether the path is shaded by its feed.
    pub feed: bool,
    /// Whether the drawing's texts are shown.
    pub notes: bool,
    /// Drawings that are being read, the current one first.
    pub readings: Vec<BeingRead>,
    /// The command palette with what was typed.
    pub palette: Option<String>,
    /// The path field with what was typed.
    pub path_field: Option<String>,
    /// The message across the window.
    pub banner: Option<Banner>,
}

/// A drawing that is being read.
pub struct BeingRead {
    /// As shown to the user.
    pub name: String,
    /// The open drawing whose place it takes.
    pub replaces: Option<u64>,
    /// How far it is.
    pub progress: Progress,
    /// Since when.
    pub since: Instant,
}

/// What a panel looks at.
pub struct View<'a> {
    /// The drawing in front.
    pub file: &'a OpenFile,
    /// All open drawings: id and name.
    pub files: &'a [(u64, String)],
    /// What is shown.
    pub style: Style,
    /// The panel on the right.
    pub side: Option<Side>,
    /// Whether skims are drawn.
    pub skims: bool,
    /// Whether the path is shaded by its feed.
    pub feed: bool,
    /// Whether the drawing's texts are shown.
    pub notes: bool,
    /// The drawing in front against another one, while that page is open.
    pub pair: Option<&'a Pair>,
    /// The library.
    pub library: &'a Library,
    /// Finished cuts and their fit.
    pub learning: &'a Learning,
    /// The shop's own library and the work on it.
    pub own: &'a OwnLibrary,
    /// Curves and bars.
    pub sweeps: &'a Sweeps,
    /// What the pointer is on in a panel of this frame.
    pub pointed: Cell<Option<Pointed>>,
}
