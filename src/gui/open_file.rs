//! An open drawing: how it was read, its job, the answers to it, and what of it is looked at.

use super::reading::Reading;
use super::scene::clock::Clock;
use super::scene::course::{Clocks, Course, Limits, PartsTaken, Timing, VariantDone, What};
use super::scene::{Camera, Model, PathModel};
use super::undo::Undo;
use crate::drawing::{Drawing, Progress, ReadOptions};
use crate::estimate::together::Arrangement;
use crate::estimate::{
    AtStake, Break, Comparison, Estimate, Figures, PricedRevision, Question, Quotable, Shares,
    Wish, at_stake,
};
use crate::geometry::Point;
use crate::job::{Confirmed, Job};
use crate::measures::Measures;
use crate::notes::Says;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::reason::Figure;
use crate::units::{Minutes, Money};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

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

/// Everything that undo goes back to.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    /// The job.
    pub job: Job,
    /// How the drawing is read.
    pub options: ReadOptions,
    /// What of the job was given for this drawing.
    pub confirmed: Confirmed,
    /// The candidate that is quoted; `None` for the cheapest that can do it.
    pub quoted: Option<usize>,
}

/// A figure that was asked about: which candidate and what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireQuestion {
    /// Index of the candidate.
    pub wire: usize,
    /// What about it.
    pub question: Question,
}

/// The answer to the latest request.
pub struct Answer {
    /// Paths of the candidate that was shown when it was asked for, until they are shown.
    pub paths: Option<(usize, Arc<PathModel>)>,
    /// The estimates, in the order of the candidates.
    pub comparison: Comparison,
    /// Measures with what stays as in the job.
    pub measures: Measures,
    /// The job that was estimated.
    pub job: Job,
    /// What is still a question, by candidate, with its share of the cost.
    pub at_stake: Vec<Vec<AtStake>>,
    /// What contours side by side cost as openings in a plate, by candidate; nothing where that is no question.
    pub as_openings: Vec<Option<Money>>,
    /// Pieces that one estimate cuts.
    pub pieces: usize,
    /// Where the time of each candidate goes; nothing of one that cannot do it.
    pub shares: Vec<Shares>,
    /// What each contour takes of it, by candidate; nothing of one that cannot do it.
    pub taken: Vec<Vec<Minutes>>,
}

/// What each of so many contours takes of a wire's time.
pub fn taken_by_contour(f: &Figures, contours: usize) -> Vec<Minutes> {
    let mut out = vec![Minutes::ZERO; contours];
    for s in &f.steps {
        if let Some(own) = s.contour.and_then(|k| out.get_mut(k)) {
            *own += s.minutes;
        }
    }
    out
}

impl Answer {
    /// Finds what of the prices is in question.
    pub fn find_doubt(&mut self, drawing: &Drawing) {
        let (job, all) = (&self.job, self.comparison.estimates.iter());
        let of = |f: &Figures| at_stake(drawing, job, f);
        self.at_stake = all
            .map(|e| e.figures.as_ref().map_or_else(Vec::new, of))
            .collect();
        self.pieces = job.pieces(&drawing.profile, &drawing.parts);
    }
}

/// An estimate that takes longer shows how far it is, and can be stopped.
const LONG: Duration = Duration::from_secs(1);

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
    /// The candidate that is quoted; `None` for the cheapest that can do it.
    pub quoted: Option<usize>,
    /// What its plan has to reach.
    pub wish: Wish,
    /// How several of it are cut together.
    pub arrangement: Arrangement,
    /// What each of the drawing's notes says plainly.
    pub says: Arc<[Says]>,
    /// How it is to be read: what was decided last, while `reading` says how it was read.
    pub wanted: ReadOptions,
    /// Earlier decisions.
    pub undo: Undo<Decided>,
    /// Wire paths laid so far.
    pub cache: Arc<PathCache>,
    /// Number of the latest estimate asked for; an older answer is dropped.
    pub awaited: u64,
    /// Whether that answer is still out.
    pub waiting: bool,
    /// How far it is and since when, to stop it.
    pub estimating: Option<(Progress, Instant)>,
    /// Whether it was stopped: the figures are then from before the last change.
    pub stopped: bool,
    /// What else about a wire is being computed, to stop it once it is overtaken.
    pub asking: Vec<(What, Progress)>,
    /// The latest answer.
    pub answer: Option<Answer>,
    /// Candidate whose path and steps are shown.
    pub shown: usize,
    /// Contour selected in list and drawing.
    pub selected: Option<Target>,
    /// Place of a finding selected in report and drawing.
    pub spot: Option<Spot>,
    /// The figure asked about.
    pub asked: Option<WireQuestion>,
    /// The candidate that is held against the baseline, instead of a figure.
    pub compared: Option<usize>,
    /// The explanation built for it, until the answer or the question changes.
    pub explained: Option<(WireQuestion, Figure)>,
    /// What the canvas paints.
    pub model: Arc<Model>,
    /// Paths of the shown candidate, with the request they belong to.
    pub paths: Beside<Arc<PathModel>>,
    /// Pan and zoom.
    pub camera: Camera,
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
    /// What a part costs by quantity.
    pub ladder: Beside<Vec<Break>>,
    /// What its quick variants come to.
    pub variants: Beside<Vec<VariantDone>>,
    /// The variant that is shown over the drawing, by its place in the job.
    pub variant: Option<usize>,
    /// Whether its file has changed since, and nobody was told yet.
    pub changed_on_disk: bool,
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
    /// Takes an answer, unless another one is awaited; what it takes the place of, or the answer itself.
    pub fn take(&mut self, number: u64, wire: usize, answer: T) -> Option<(u64, usize, T)> {
        let answer = (number, wire, answer);
        if self.asked == Some((number, wire)) {
            self.answer.replace(answer)
        } else {
            Some(answer)
        }
    }
}

impl OpenFile {
    /// Whether it is one of the drawings that come with the program.
    pub fn is_sample(&self) -> bool {
        self.path.is_none() && crate::samples::ALL.iter().any(|s| s.name == self.name)
    }
    /// Whether the figures shown are those of what is decided.
    pub fn is_current(&self) -> bool {
        !self.waiting && !self.stopped
    }
    /// The estimate that is on its way, once it takes so long that one may want to stop it.
    pub fn takes_long(&self) -> Option<&Progress> {
        let (progress, since) = self.estimating.as_ref().filter(|_| self.waiting)?;
        (since.elapsed() >= LONG).then_some(progress)
    }
    /// What stands where figures will be.
    pub fn awaited_words(&self) -> &'static str {
        if self.stopped {
            say!("No estimate: it was stopped.")
        } else {
            say!("Estimating…")
        }
    }
    /// Stops whatever is being computed for it.
    pub fn stop_computing(&mut self) {
        let details = self.asking.drain(..).map(|(_, progress)| progress);
        let estimate = self.estimating.take().map(|(progress, _)| progress);
        details.chain(estimate).for_each(|p| p.cancel());
    }
    /// May a price be given?
    pub fn quotable(&self) -> Quotable {
        let answer = self.answer.as_ref();
        Quotable::of(self.drawing.verdict, answer.map(|a| &a.comparison))
    }
    /// Pieces that the latest estimate cuts; 1 until there is one.
    pub fn pieces(&self) -> usize {
        self.answer.as_ref().map_or(1, |a| a.pieces.max(1))
    }
    /// The estimate of a candidate, once there is one.
    pub fn estimate(&self, wire: usize) -> Option<&Estimate> {
        self.answer.as_ref()?.comparison.estimates.get(wire)
    }
    /// The cost of a part with the wire shown, where it can cut it.
    pub fn cost_shown(&self) -> Option<Money> {
        Some(self.shown_estimate()?.figures.as_ref()?.cost.part.median)
    }
    /// The cost with the wire shown, were contours side by side openings in a plate; `None` where that is no question.
    pub fn cost_as_openings(&self) -> Option<Money> {
        let all = &self.answer.as_ref()?.as_openings;
        all.get(self.shown).copied().flatten()
    }
    /// Course and look-ups of the candidate shown.
    pub fn timing(&self) -> Option<&Arc<Timing>> {
        self.course.of(self.shown)?.timing.as_ref()
    }
    /// Of each contour, whether a piece comes loose in it that wants care with the wire shown; none where none does.
    pub fn wants_care(&self) -> Vec<bool> {
        let figures = self.shown_estimate().and_then(|e| e.figures.as_ref());
        let Some(f) = figures else { return Vec::new() };
        let slugs = f.slugs.iter().filter(|s| s.wants_care()).map(|s| s.contour);
        let parts = f
            .parts
            .iter()
            .filter(|p| p.caution.is_some())
            .map(|p| p.contour);
        let mut out = Vec::new();
        for k in slugs.chain(parts) {
            out.resize(self.profile.contours().len(), false);
            if let Some(own) = out.get_mut(k) {
                *own = true;
            }
        }
        out
    }
    /// The variant that is shown over the drawing, once it is made.
    pub fn variant_shown(&self) -> Option<&VariantDone> {
        let shown = self.variant?;
        let done = self.variants.of(0)?.get(shown)?;
        // Until the next answer comes the list may be another one. Another name makes no other drawing.
        let now = self.job.variants.get(shown)?;
        (now.edits == done.of.variant.edits).then_some(done)
    }
    /// What each of its changes costs with the wire shown.
    pub fn variant_prices(&self) -> Option<&PricedRevision> {
        let wire = self.variant_shown()?.of.wires.get(self.shown)?.as_ref()?;
        Some(&wire.prices)
    }
    /// What undo would come back to.
    pub fn decided(&self) -> Decided {
        Decided {
            job: self.job.clone(),
            options: self.wanted.clone(),
            confirmed: self.confirmed,
            quoted: self.quoted,
        }
    }
    /// Number of the part that is cut alone; `None` when all are cut together.
    pub fn part_taken(&self) -> Option<usize> {
        self.job.part_taken(&self.profile, &self.drawing.parts)
    }
    /// A place of a finding, mm about the profile's origin.
    pub fn place_of(&self, spot: Spot) -> Option<Point> {
        let finding = self.drawing.findings.get(spot.finding)?;
        Some(*finding.at.get(spot.place)? - self.profile.origin())
    }
    /// The estimate whose path and steps are shown.
    pub fn shown_estimate(&self) -> Option<&Estimate> {
        self.estimate(self.shown)
    }
}
