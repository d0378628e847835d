//! What the window shows and what its panels ask for.

use super::commands::Command;
use super::desk::DeskAction;
use super::learning::{LearnAction, Learning};
use super::open_file::{OpenFile, Spot, Target, WireQuestion};
use super::open_files::Kind;
use super::own_library::{LibraryAction, OwnLibrary};
use super::page::Page;
use super::pair::{Laying, Pair};
use super::planning::{PlanAction, Planning};
use super::quoting::QuoteAction;
use super::scene::Ghost;
use super::sweeps::{Drawn, Sweeps, Vary};
use super::wire_table::WireTable;
use super::worth::Typed;
use crate::drawing::{Offer, Progress, ReadOptions};
use crate::estimate::PricedRevision;
use crate::geometry::Point;
use crate::job::{Confirmed, Job};
use crate::language::Language;
use crate::library::Library;
use crate::numbers::DecimalSign;
use crate::profile::Keep;
use crate::words::Style;
use std::cell::Cell;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

/// What the pointer is on in a panel, for the canvas to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pointed {
    /// A corner whose ends the import offers to move, or has moved as accepted.
    Offers(Offer, Option<Offer>),
    /// A part of the drawing, by its number among the parts.
    Part(usize),
}

/// What a panel asks for; carried out after the frame, in one place.
#[derive(Debug, Clone)]
pub enum Action {
    /// The job as it should be.
    Edit(Box<Job>),
    /// The job as it should be, and what of it is given for this drawing, changed or not.
    Give(Box<Job>, Confirmed),
    /// What stays of the outermost contours, said by somebody: also where it is what was assumed.
    WhatStays(Keep),
    /// An input that cannot be used: what is wrong and what to do.
    Refuse(String),
    /// A message is read.
    Dismiss,
    /// Run a command.
    Run(Command),
    /// Show this candidate's path and steps.
    Show(usize),
    /// Explain a figure.
    Ask(WireQuestion),
    /// Explain why this candidate differs from the baseline.
    Compare(usize),
    /// Hold the drawing in front against this open one.
    Against(u64),
    /// Save a picture by its name: lines and letters as an SVG file.
    SavePicture(String, String),
    /// Lay the other drawing over the one in front once more, or stop that.
    Lay(bool),
    /// Show a variant over the drawing, or none.
    Variant(Option<usize>),
    /// Show a moment, as a share of the whole time; `None` for the whole path.
    Seek(Option<f64>),
    /// Let the time run, or stand still.
    Play(bool),
    /// Stop reading the drawing that is being read.
    CancelReading,
    /// Stop the estimate of the drawing in front.
    CancelEstimate,
    /// Estimate the drawing in front once more.
    EstimateAgain,
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
    /// What is typed on the page of worth.
    Worth(Typed),
    /// What the table of wires shows.
    Table(Box<WireTable>),
    /// The list of contours over the drawing, open or closed.
    List(bool),
    /// What the lines and marks mean, shown or not.
    Legend(bool),
    /// Something about the enquiry.
    Desk(DeskAction),
    /// Something about the plan that is wanted.
    Plan(PlanAction),
    /// Something about the quote.
    Quote(QuoteAction),
    /// Quantities that prices are shown for.
    Lots(Vec<u32>),
    /// Save the job file here.
    SaveAt(Kind, PathBuf),
    /// The decimal sign of the shop; `None` for the system's.
    Sign(Option<DecimalSign>),
    /// The language of the shop; `None` for the system's.
    Language(Option<Language>),
    /// Save the shop's rates as a file for others.
    SaveRates,
    /// A hint of the first minute was read.
    HintRead,
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
    /// What may be done about it, at a click each.
    pub offers: Vec<Command>,
}

/// What is kept from one start to the next, and shown alike for all drawings.
#[expect(
    clippy::struct_excessive_bools,
    reason = "switches that depend on nothing else"
)]
pub struct Shown {
    /// mm or inch.
    pub style: Style,
    /// The page on the right; `None` when closed.
    pub page: Option<Page>,
    /// Pages that a step back returns to, the last one first to come.
    pub back: Vec<Page>,
    /// What the table of wires shows.
    pub table: WireTable,
    /// Whether the list of contours lies open on the drawing.
    pub list: bool,
    /// Whether the meaning of lines and marks is shown.
    pub legend: bool,
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
    /// Whether the list of all commands is open.
    pub palette: bool,
    /// Whether the sheet of keys is shown.
    pub keys: bool,
    /// How many of the first hints were read.
    pub hints_read: usize,
    /// The path field with what was typed.
    pub path_field: Option<String>,
    /// The message across the window.
    pub banner: Option<Banner>,
}

impl Shown {
    /// Most pages that a step back remembers.
    const STEPS_BACK: usize = 12;

    /// Opens a page; a step back returns to the one before.
    pub fn open_page(&mut self, page: Page) {
        if let Some(before) = self.page.replace(page).filter(|p| *p != page) {
            self.back.retain(|p| *p != before);
            self.back.push(before);
            let excess = self.back.len().saturating_sub(Self::STEPS_BACK);
            self.back.drain(..excess);
        }
    }
    /// Closes the page; nothing is left to go back to.
    pub fn close_page(&mut self) {
        self.page = None;
        self.back.clear();
    }
    /// Returns to the page before, or closes.
    pub fn page_back(&mut self) {
        self.page = self.back.pop();
    }
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
#[expect(
    clippy::struct_excessive_bools,
    reason = "switches that depend on nothing else"
)]
pub struct View<'a> {
    /// The drawing in front.
    pub file: &'a OpenFile,
    /// All open drawings: id and name.
    pub files: &'a [(u64, String)],
    /// What is shown.
    pub style: Style,
    /// The page on the right.
    pub page: Option<Page>,
    /// The page that a step back returns to.
    pub back: Option<Page>,
    /// What the table of wires shows.
    pub table: &'a WireTable,
    /// Whether the list of contours lies open on the drawing.
    pub list: bool,
    /// Whether the meaning of lines and marks is shown.
    pub legend: bool,
    /// How many of the first hints were read.
    pub hints_read: usize,
    /// Whether skims are drawn.
    pub skims: bool,
    /// Whether the path is shaded by its feed.
    pub feed: bool,
    /// Whether the drawing's texts are shown.
    pub notes: bool,
    /// Quantities that prices are shown for, ascending.
    pub lots: &'a [u32],
    /// The drawing in front against another one, while that page is open.
    pub pair: Option<&'a Pair>,
    /// One of both being laid over the other.
    pub laying: &'a Laying,
    /// Another drawing, or a variant, over the one in front.
    pub ghost: Option<&'a Arc<Ghost>>,
    /// What each change that the ghost shows costs, by its place.
    pub ghost_prices: Option<&'a PricedRevision>,
    /// The library.
    pub library: &'a Library,
    /// Finished cuts and their fit.
    pub learning: &'a Learning,
    /// The shop's own library and the work on it.
    pub own: &'a OwnLibrary,
    /// Curves and bars.
    pub sweeps: &'a Sweeps,
    /// Plans as far as they are computed.
    pub planning: &'a Planning,
    /// Whether the pieces that want care are shaded on the drawing.
    pub shows_care: bool,
    /// What is typed on the page of worth.
    pub worth: &'a Typed,
    /// The decimal sign of what is typed, where that is not in question.
    pub sign: Option<DecimalSign>,
    /// The same where the shop has said so.
    pub own_sign: Option<DecimalSign>,
    /// The language of the shop, where it has said so.
    pub language: Option<Language>,
    /// What the pointer is on in a panel of this frame.
    pub pointed: Cell<Option<Pointed>>,
}
