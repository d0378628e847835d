//! What one item comes to: verdict, best wire, time, wire, cost.

use super::drawing_file::Hash;
use super::item::{Item, Offered, Seen};
use super::reading_options::ReadingJson;
use crate::drawing::{
    self, Drawing, Finding, Progress, ProposalKind, ReadError, ReadOptions, Severity,
};
use crate::estimate::{
    Comparison, Cost, Figures, Obstacle, Quotable, Ranged, at_stake, compare, estimate_all,
};
use crate::geometry::Bounds;
use crate::job::{Candidate, Job, cut_length};
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::progress::caught;
use crate::units::{Length, Mass, Minutes, Money};
use serde::Serialize;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// A drawing that was read and estimated.
#[derive(Debug)]
pub struct Answered {
    /// The drawing.
    pub drawing: Drawing,
    /// Its estimates, in the order of the candidates.
    pub comparison: Comparison,
    /// Wire paths laid for them.
    pub cache: PathCache,
}

/// Reads a drawing and estimates it: the same calls in the same order for window, command and batch.
///
/// Hostile drawings nest deeply: call it on a thread with a stack of [`drawing::limits::STACK_BYTES`].
///
/// # Errors
/// It is no drawing, or the work was cancelled; a fault of our own is one too, so that one drawing stops no other.
pub fn answer(
    bytes: &[u8],
    options: &ReadOptions,
    job: &Job,
    library: &Library,
    progress: &Progress,
) -> Result<Answered, ReadError> {
    let work = || {
        let drawing = drawing::read(bytes, options, progress)?;
        let estimate = || estimated(drawing, job, library);
        progress.run(estimate).map_err(|_| ReadError::Cancelled)
    };
    catch_unwind(AssertUnwindSafe(work)).unwrap_or(Err(ReadError::ReaderFailed))
}

/// Estimates a drawing that was read.
///
/// # Errors
/// A fault of our own. A cancelling goes on to where the work was begun.
pub fn answer_read(drawing: Drawing, job: &Job, library: &Library) -> Result<Answered, ReadError> {
    let work = || estimated(drawing, job, library);
    caught(work).map_err(|_| ReadError::ReaderFailed)
}

/// The same for a row of a table, which tells the best wire: no wire is held against the others.
///
/// # Errors
/// As [`answer_read`].
pub fn answer_row(drawing: Drawing, job: &Job, library: &Library) -> Result<Answered, ReadError> {
    let work = || estimated_by(estimate_all, drawing, job, library);
    caught(work).map_err(|_| ReadError::ReaderFailed)
}

fn estimated(drawing: Drawing, job: &Job, library: &Library) -> Answered {
    estimated_by(compare, drawing, job, library)
}

fn estimated_by(
    way: fn(&Profile, &Job, &Library, &PathCache) -> Comparison,
    drawing: Drawing,
    job: &Job,
    library: &Library,
) -> Answered {
    let cache = PathCache::default();
    let comparison = way(&drawing.profile, job, library, &cache);
    Answered {
        drawing,
        comparison,
        cache,
    }
}

/// What the answer to an item depends on; two items of the same hash have the same answer in this version of the program.
///
/// `library` is the hash of [`library_hash`].
pub fn work_hash(drawing: Hash, options: &ReadOptions, job: &Job, library: Hash) -> Hash {
    #[derive(Serialize)]
    struct Decided<'a> {
        reading: ReadingJson,
        job: &'a Job,
    }
    let decided = Decided {
        reading: ReadingJson::of(options),
        job,
    };
    // Plain data always writes.
    let decided = serde_json::to_vec(&decided).unwrap_or_default();
    let (drawing, library) = (drawing.to_string(), library.to_string());
    Hash::of_pieces(&[
        env!("CARGO_PKG_VERSION").as_bytes(),
        drawing.as_bytes(),
        &decided,
        library.as_bytes(),
    ])
}

/// What a library hashes to, with what was learned.
pub fn library_hash(library: &Library) -> Hash {
    let learned = serde_json::to_vec(&library.learned).unwrap_or_default();
    let text = library.to_toml();
    let mut pieces = vec![text.as_bytes(), &learned];
    // Without other machines it hashes as it always did.
    let elsewhere = serde_json::to_vec(&library.learned_elsewhere).unwrap_or_default();
    if !library.learned_elsewhere.is_empty() {
        pieces.push(&elsewhere);
    }
    Hash::of_pieces(&pieces)
}

/// The wire that an item is quoted with.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// Its index among the candidates.
    pub index: usize,
    /// Which.
    pub candidate: Candidate,
    /// Whether a cheaper one was passed over because it is not on hand.
    pub passed_over: bool,
    /// Time a part.
    pub minutes: Ranged<Minutes>,
    /// Of that, with somebody standing there.
    pub attended: Minutes,
    /// Of the time, cutting with its corners.
    pub cutting: Minutes,
    /// Wire a part.
    pub wire: Length,
    /// Of that, in cutting: without what is wasted at threadings.
    pub cutting_wire: Length,
    /// Its mass.
    pub wire_mass: Mass,
    /// Spools for the lot, unrounded.
    pub spools: f64,
    /// Cost a part.
    pub cost: Cost,
    /// Of the cost a part, what stands or falls with questions that are open.
    pub at_stake: Money,
}

impl Best {
    fn of(index: usize, candidate: &Candidate, f: &Figures, drawing: &Drawing, job: &Job) -> Self {
        let stakes = at_stake(drawing, job, f);
        Self {
            index,
            candidate: candidate.clone(),
            passed_over: false,
            minutes: f.minutes,
            attended: f.attended,
            cutting: f.passes.iter().map(|p| p.minutes).sum(),
            wire: f.wire.median,
            cutting_wire: f.wire.median - f.wasted_wire(),
            wire_mass: f.wire_mass,
            spools: f.spools,
            cost: f.cost,
            at_stake: stakes.iter().map(|s| s.cost).sum(),
        }
    }
}

/// What is to be looked at first, without its places.
#[derive(Debug, Clone, PartialEq)]
pub enum Pressing {
    /// Of the drawing.
    Finding(Box<Finding>),
    /// What keeps the first of the wires from it, where none can do the job.
    Obstacle(Box<Obstacle>),
}

impl Pressing {
    fn of(drawing: &Drawing, comparison: &Comparison, quotable: Quotable) -> Option<Self> {
        if quotable == Quotable::NoWire {
            let first = comparison.estimates.first()?;
            return Some(Self::Obstacle(Box::new(first.blockers().next()?.clone())));
        }
        // Questions first; centre lines, which hardly ever close anything, after those that carry money.
        let question = |f: &Finding| {
            let kind = ProposalKind::ALL.iter().find(|k| k.fault() == f.fault);
            kind.map_or(0, |k| 1 + u8::from(*k != ProposalKind::CentreLine))
        };
        let rank = |f: &&Finding| (f.severity(), question(f));
        let heavy = drawing.findings.iter();
        let heavy = heavy.filter(|f| f.severity() != Severity::Note);
        // Of equal ones the first.
        let finding = heavy.rev().max_by_key(rank)?;
        Some(Self::Finding(Box::new(Finding {
            at: Vec::new(),
            lines: Vec::new(),
            offers: Vec::new(),
            ..finding.clone()
        })))
    }
}

/// What one item comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// May a price be given?
    pub quotable: Quotable,
    /// Findings of the import that want a look.
    pub findings: usize,
    /// The first thing to look at; `None` where there is nothing.
    pub pressing: Option<Pressing>,
    /// Pieces that one estimate cuts.
    pub pieces: usize,
    /// Drawn length of what is cut.
    pub cut_length: Length,
    /// Box around what is drawn, mm about the profile's origin.
    pub bounds: Bounds,
    /// Parts in the lot.
    pub quantity: u32,
    /// The wire that is quoted; `None` where it cannot do the job, or none can.
    pub best: Option<Best>,
}

impl Row {
    /// Of a job that was estimated; `wire` is the candidate that is quoted, `None` the one of [`Comparison::to_quote`].
    pub fn of(drawing: &Drawing, comparison: &Comparison, job: &Job, wire: Option<usize>) -> Self {
        let index = wire.or_else(|| comparison.to_quote());
        let best = index.and_then(|k| {
            let e = comparison.estimates.get(k)?;
            let figures = e.figures.as_ref()?;
            let mut best = Best::of(k, &e.candidate, figures, drawing, job);
            best.passed_over = wire.is_none() && comparison.cheapest() != Some(k);
            Some(best)
        });
        let heavy = drawing.findings.iter();
        let quotable = Quotable::of(drawing.verdict, Some(comparison));
        Self {
            quotable,
            pressing: Pressing::of(drawing, comparison, quotable),
            findings: heavy.filter(|f| f.severity() != Severity::Note).count(),
            pieces: job.pieces(&drawing.profile, &drawing.parts),
            cut_length: cut_length(job, &drawing.profile),
            bounds: drawing.profile.bounds(),
            quantity: job.quantity,
            best,
        }
    }
    /// Machine time of the lot.
    pub fn lot_minutes(&self) -> Option<Minutes> {
        let best = self.best.as_ref()?;
        Some(best.minutes.median * f64::from(self.quantity))
    }
    /// Cost of the lot.
    pub fn lot(&self) -> Option<Money> {
        let best = self.best.as_ref()?;
        Some(best.cost.part.median * f64::from(self.quantity))
    }
    /// What is kept of it as a quote of a day (ISO 8601).
    pub fn offered(&self, date: String) -> Option<Offered> {
        let best = self.best.as_ref()?;
        Some(Offered {
            date,
            quantity: self.quantity,
            cutting_minutes: best.cutting.min_value(),
            cutting_wire_m: best.cutting_wire.m(),
            seen: self.seen()?,
        })
    }
    /// What is kept of it in a job file.
    pub fn seen(&self) -> Option<Seen> {
        let best = self.best.as_ref()?;
        Some(Seen {
            wire: best.candidate.wire.clone(),
            diameter_mm: best.candidate.diameter.mm(),
            minutes: best.minutes.median.min_value(),
            wire_m: best.wire.m(),
            cost: best.cost.part.median.amount(),
        })
    }
}

impl Item {
    /// Reads and estimates it with a library: its file's own, or today's. See [`answer`] about the stack.
    ///
    /// # Errors
    /// As [`answer`].
    pub fn answer(&self, library: &Library, progress: &Progress) -> Result<Answered, ReadError> {
        answer(
            self.drawing.bytes(),
            &self.options,
            &self.job,
            library,
            progress,
        )
    }
    /// What it comes to.
    pub fn row(&self, answered: &Answered) -> Row {
        Row::of(
            &answered.drawing,
            &answered.comparison,
            &self.job,
            self.wire,
        )
    }
}
