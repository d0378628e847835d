//! A drawing file becomes curves, and curves become the profile that is cut.
//!
//! Four rooms, each with one door, in reading order; each knows those before it:
//!
//! 1. [`format`]: the file's bytes to checked entities, tolerant of what customers send.
//! 2. [`curves`]: entities, with their blocks expanded, to lines and arcs with their true measures.
//! 3. [`joining`]: curves to closed contours and open chains.
//! 4. [`meaning`]: unit, colours, what is perhaps not to be cut, findings and the verdict.
//!
//! One bad entity never fails a file: it becomes a finding. What is read and what is skipped, taken
//! together, is what is there.

mod big_stack;
mod curves;
mod format;
mod joining;
mod meaning;

pub use big_stack::is_large_here;
pub use curves::Curve;
pub use format::{Fault, FileKind, Progress, ReadError, Severity, limits};
pub use joining::{Offer, OfferKind, Status};
pub use meaning::{
    About, Answer, Dimension, DimensionKind, DrawnScale, Finding, HeaderUnit, Layer, Note,
    NoteKind, Prefers, Proposal, ProposalKey, ProposalKind, Reason, Scale, ScaleChoice,
    ScaleSource, StandInKind, Unit, UnitChoice, UnitSource, Units, Verdict, proposal_id,
    proposal_key, scale_in_cell, scale_said, words,
};

use crate::files;
use crate::geometry::{Bounds, Datum, DrawingPoint, Point};
use crate::profile::{Keep, Part, Profile};
use crate::units::Length;
use big_stack::on_big_stack;
use curves::StandIn;
use format::{Cancelled, Noticed};
use joining::Rules;
use meaning::{Findings, asking, colours, drawn_scale, notes, report_units, scale, stand_ins};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

/// What the user decides about reading.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOptions {
    /// The unit, or to find it out.
    pub units: UnitChoice,
    /// The scale that it is drawn at: lengths are divided by drawn size over true size.
    pub scale: ScaleChoice,
    /// Loose ends up to this far apart are joined.
    pub join_gap: Length,
    /// Layers that are not cut, by name as in [`Drawing::layers`].
    pub excluded_layers: BTreeSet<String>,
    /// Colours that are not cut, by number as in [`Drawing::colours`].
    pub excluded_colours: BTreeSet<i16>,
    /// Answers to [`Drawing::proposals`], by [`Proposal::key`].
    pub answers: BTreeMap<ProposalKey, Answer>,
    /// Offers of [`Finding::offers`] that are taken.
    pub accepted: Vec<Offer>,
    /// Open curves are cut where loose ends lie on their sides, when that closes contours; of curves
    /// that branch there the outer boundary counts.
    pub join_at_sides: bool,
    /// The same where nothing else closes around the contours that are closed anyway, or none is: lines
    /// that meet at T's are an outline all the same. A finding tells it.
    pub outline_at_sides: bool,
    /// What stays of contours that lie side by side, as somebody said: each is a part of its own, or an opening in one
    /// plate. Until it is said it is a question.
    pub what_stays: Option<Keep>,
}

impl ReadOptions {
    fn rules<'a>(&'a self, left_out: &'a BTreeSet<usize>) -> Rules<'a> {
        Rules {
            gap: self.join_gap,
            excluded_layers: &self.excluded_layers,
            left_out,
            accepted: &self.accepted,
            join_at_sides: self.join_at_sides,
            outline_at_sides: self.outline_at_sides,
        }
    }
}

/// Loose ends that no machine could tell apart from joined ones: below the kerf of the finest wire.
pub const DEFAULT_JOIN_GAP: Length = Length::from_mm(0.02);

impl Default for ReadOptions {
    fn default() -> Self {
        Self {
            units: UnitChoice::Auto,
            scale: ScaleChoice::default(),
            join_gap: DEFAULT_JOIN_GAP,
            excluded_layers: BTreeSet::new(),
            excluded_colours: BTreeSet::new(),
            answers: BTreeMap::new(),
            accepted: Vec::new(),
            join_at_sides: false,
            outline_at_sides: true,
            what_stays: None,
        }
    }
}

/// A drawing that was read.
#[derive(Debug, Clone)]
pub struct Drawing {
    /// The unit and why.
    pub units: Units,
    /// The scale it was read at, and the one that it says itself.
    pub scale: DrawnScale,
    /// What its texts and dimensions say; a bounded number of them.
    pub notes: Arc<[Note]>,
    /// Its dimensions, as far as they give a length.
    pub dimensions: Arc<[Dimension]>,
    /// All curves of the model space, blocks expanded, mm about the profile's origin.
    pub curves: Arc<[Curve]>,
    /// What became of each curve.
    pub status: Vec<Status>,
    /// Curves and insertions decoded from the model space, by type.
    pub read: BTreeMap<String, usize>,
    /// All other entities there, by type.
    pub skipped: BTreeMap<String, usize>,
    /// What was noticed, heaviest first.
    pub findings: Vec<Finding>,
    /// Curves that are perhaps not to be cut, answered or not; found before any is left out.
    pub proposals: Vec<Proposal>,
    /// Contours that belong together; more than one where several parts or views lie in the file.
    pub parts: Vec<Part>,
    /// The layers that curves lie on or that the file names.
    pub layers: Vec<Layer>,
    /// Number of visible curves by the colour number that they are seen in, 1 to 255.
    pub colours: BTreeMap<i16, usize>,
    /// Points, absolute drawing coordinates in mm: possible start holes.
    pub points: Vec<DrawingPoint>,
    /// Box around the visible curves, absolute drawing coordinates in mm.
    pub bounds: Bounds,
    /// The contours.
    pub profile: Profile,
    /// May it be quoted from?
    pub verdict: Verdict,
    /// What reading alone found, before any joining.
    import: Noticed,
    /// Hatched areas and multilines whose edges are among the curves, because nothing else is.
    stand_ins: Arc<[StandIn]>,
    /// Where texts stand, mm about the profile's origin.
    texts: Arc<[Point]>,
}

/// Reads a drawing.
///
/// # Errors
/// When the bytes are no drawing, too many, hold no drawing content, or the reading was cancelled.
/// Faults of single entities are [`Drawing::findings`].
pub fn read(
    bytes: &[u8],
    options: &ReadOptions,
    progress: &Progress,
) -> Result<Drawing, ReadError> {
    read_and_free(Cow::Borrowed(bytes), options, progress)
}

/// Reads; bytes that are its own are freed as soon as they are decoded.
fn read_and_free(
    bytes: Cow<'_, [u8]>,
    options: &ReadOptions,
    progress: &Progress,
) -> Result<Drawing, ReadError> {
    format::check_form(&bytes)?;
    let text = format::without_byte_order_mark(&bytes, progress)?;
    let mut noticed = Noticed::default();
    let scan = format::scan(&text, &mut noticed, progress)?;
    if scan.pairs < 2 || (!scan.has_entities_section && scan.model.is_empty()) {
        return Err(format::not_a_drawing(&text, scan.pairs));
    }
    drop(text);
    drop(bytes);
    let mut scaled = scale(
        &scan,
        (options.units, options.scale.scale),
        &noticed,
        progress,
    )?;
    let mut layers: Vec<Layer> = scan
        .layers
        .iter()
        .map(|l| Layer {
            name: l.name.clone(),
            colour: l.colour,
            visible: l.visible(),
            curves: 0,
        })
        .collect();
    for curve in &scaled.expanded.curves {
        layers[curve.layer_index].curves += 1;
    }
    let unit_mm = scaled.units.used.mm();
    let dimensions: Vec<Dimension> = scaled
        .expanded
        .dimensions
        .iter()
        .filter_map(Dimension::of)
        .collect();
    let notes = notes(
        std::mem::take(&mut scaled.expanded.notes),
        &scaled.expanded.dimensions,
        unit_mm / options.scale.scale.factor(),
    );
    let drawn = drawn_scale(
        &notes,
        &dimensions,
        options.scale,
        unit_mm,
        &mut scaled.noticed,
    );
    let colours = colours::counted(&scaled.expanded.curves, &layers);
    let (read, skipped) = scan.counts();
    drop(scan);
    let drawing = Drawing {
        units: scaled.units,
        scale: drawn,
        notes: notes.into(),
        dimensions: dimensions.into(),
        status: Vec::new(),
        curves: scaled.expanded.curves.into(),
        read,
        skipped,
        findings: Vec::new(),
        proposals: Vec::new(),
        parts: Vec::new(),
        colours,
        layers,
        points: scaled.expanded.points,
        bounds: scaled.bounds.moved(scaled.origin - Datum::default()),
        profile: Profile::of(scaled.origin, Vec::new(), Vec::new()),
        verdict: Verdict::Refuse,
        import: scaled.noticed,
        stand_ins: scaled.expanded.stand_ins.into(),
        texts: scaled.expanded.texts.into(),
    };
    Ok(drawing.joined(options, progress)?)
}

/// Reads where the stack is large, mostly on a thread of its own; a panic in a library becomes an error.
///
/// # Errors
/// As [`read`], and when the reader failed inside.
pub fn read_on_big_stack(
    bytes: Vec<u8>,
    options: &ReadOptions,
    progress: &Progress,
) -> Result<Drawing, ReadError> {
    let (options, progress) = (options.clone(), progress.clone());
    on_big_stack(move || read_and_free(Cow::Owned(bytes), &options, &progress))
        .unwrap_or(Err(ReadError::ReaderFailed))
}

/// Reads the file at a path, as [`read_on_big_stack`] does.
///
/// # Errors
/// As [`read_on_big_stack`], and when the file cannot be opened.
pub fn open(path: &Path, options: &ReadOptions, progress: &Progress) -> Result<Drawing, ReadError> {
    read_on_big_stack(bytes_of(path, progress)?, options, progress)
}

/// The bytes of the file at a path.
///
/// # Errors
/// The file cannot be opened, is a folder or too large, or the reading was cancelled.
pub fn bytes_of(path: &Path, progress: &Progress) -> Result<Vec<u8>, ReadError> {
    bytes_of_while(path, progress, || {})
}

/// As [`bytes_of`]; every hundredth of a second that the file is waited for, `waits` is called.
///
/// # Errors
/// As [`bytes_of`].
pub fn bytes_of_while(
    path: &Path,
    progress: &Progress,
    mut waits: impl FnMut(),
) -> Result<Vec<u8>, ReadError> {
    let stop = || {
        waits();
        progress.check().is_err()
    };
    files::read(path, limits::FILE_BYTES as u64, stop).map_err(|why| match why {
        files::Unread::System(e) => ReadError::CannotOpen(e.to_string()),
        files::Unread::Folder => ReadError::Folder,
        files::Unread::NoFile => ReadError::NoFile,
        files::Unread::Growing => ReadError::Growing,
        files::Unread::TooLarge(bytes) => {
            ReadError::TooLarge(usize::try_from(bytes >> 20).unwrap_or(usize::MAX))
        }
        files::Unread::Stopped => ReadError::Cancelled,
    })
}

/// Length and width that most machines take at once, mm (common practice, no source).
const USUAL_TABLE: (f64, f64) = (600.0, 400.0);

/// Whether what is drawn is more than that, whichever way it is laid.
fn is_wide(all: &Bounds) -> bool {
    let size = all.size();
    size.x.max(size.y) > USUAL_TABLE.0 || size.x.min(size.y) > USUAL_TABLE.1
}

impl Drawing {
    /// Whether contours lie side by side of which nobody has said what stays: parts, or openings in a plate.
    pub fn asks_what_stays(&self) -> bool {
        let mut findings = self.findings.iter();
        findings.any(|f| f.fault == Fault::SideBySide)
    }
    /// The same drawing joined anew, for another join gap or other layers; nothing is read again.
    ///
    /// [`ReadOptions::units`] and [`ReadOptions::scale`] have no effect here.
    ///
    /// # Errors
    /// Only when cancelled.
    pub fn rejoin(&self, options: &ReadOptions, progress: &Progress) -> Result<Self, ReadError> {
        Ok(self.clone().joined(options, progress)?)
    }

    fn joined(mut self, options: &ReadOptions, progress: &Progress) -> Result<Self, Cancelled> {
        let origin = self.profile.origin();
        let join = |left_out: &BTreeSet<usize>| {
            let mut noticed = self.import.clone();
            let rules = options.rules(left_out);
            joining::assemble(&self.curves, origin, &rules, &mut noticed, progress)
                .map(|assembled| (assembled, noticed))
        };
        // Proposals are found with everything counted, so that an answer never changes the questions.
        let colours = &options.excluded_colours;
        let mut left_out = colours::curves_in(colours, &self.curves, &self.layers);
        let each_apart = |profile: Profile| {
            let apart = options.what_stays == Some(Keep::Inside) && profile.is_side_by_side();
            profile.with_each_apart(apart)
        };
        let (mut assembled, mut noticed) = join(&left_out)?;
        assembled.profile = each_apart(assembled.profile);
        let mut parts = assembled.profile.parts();
        let mut proposals = asking::find(
            &self.curves,
            &assembled.status,
            (&assembled.profile, &parts),
            &self.texts,
            &options.answers,
            progress,
        )?;
        if assembled.profile.is_each_apart() {
            // Who says that each is a part has said that equal ones are no views of one.
            proposals.retain(|p| p.kind != ProposalKind::SameAgain);
        }
        let before = left_out.len();
        let answered = proposals
            .iter()
            .filter(|p| p.answer == Some(Answer::LeaveOut))
            .flat_map(|p| p.curves.iter().copied());
        left_out.extend(answered);
        if left_out.len() > before {
            (assembled, noticed) = join(&left_out)?;
            assembled.profile = each_apart(assembled.profile);
            parts = assembled.profile.parts();
        }
        let mut findings = Findings::of(noticed);
        for (fault, offer) in assembled.offers {
            findings.offer(fault, offer);
        }
        if !self.bounds.is_empty() {
            report_units(&self.units, &mut findings);
        }
        asking::report(&proposals, &mut findings, &self.curves);
        let counts = (&mut self.read, &mut self.skipped);
        stand_ins::count(&self.stand_ins, &options.accepted, counts);
        let (curves, accepted) = (&self.curves, &options.accepted);
        stand_ins::report(&self.stand_ins, curves, origin, accepted, &mut findings);
        if assembled.status.iter().all(|s| *s == Status::Offered) {
            findings.of_kind(Fault::NothingDrawn).note(None, None);
        } else if assembled.profile.contours().is_empty() {
            findings.of_kind(Fault::NothingClosed).note(None, None);
        }
        self.parts = parts;
        progress.check()?;
        if self.parts.len() > 1 {
            for part in &self.parts {
                let at = part.bounds.centre() + origin;
                let finding = findings.of_kind(Fault::SeveralParts).note(Some(at), None);
                finding.about = About::Count(self.parts.len());
            }
        }
        if options.what_stays.is_none() && assembled.profile.is_side_by_side() {
            let contours = assembled.profile.contours();
            let finding = findings.of_kind(Fault::SideBySide).note(None, None);
            finding.about = About::Count(contours.len());
        }
        let size = self.parts.iter().fold(Bounds::EMPTY, |mut all, p| {
            all.include_bounds(&p.bounds);
            all
        });
        if self.parts.len() > 1 && is_wide(&size) {
            let (at, size) = (size.centre() + origin, size.size());
            let finding = findings.of_kind(Fault::SpreadsWide).note(Some(at), None);
            finding.about = About::Size(Length::from_mm(size.x), Length::from_mm(size.y));
        }
        self.proposals = proposals;
        self.profile = assembled.profile;
        self.status = assembled.status;
        self.findings = findings.list();
        self.verdict = Verdict::of(&self.findings);
        Ok(self)
    }
}
