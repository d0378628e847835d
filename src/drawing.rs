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

mod curves;
mod format;
mod joining;
mod meaning;

pub use curves::Curve;
pub use format::{Progress, ReadError, limits};
pub use joining::{Offer, OfferKind};
pub use meaning::{
    Answer, Dimension, DimensionKind, DrawnScale, Finding, Note, NoteKind, Proposal, ProposalKey,
    ProposalKind, Scale, ScaleChoice, ScaleSource, Severity, Unit, UnitChoice, UnitSource, Units,
    Verdict, colour_words, scale_in_cell, scale_said, size_text, words,
};

use crate::geometry::{Bounds, Point};
use crate::profile::{Part, Profile};
use crate::units::Length;
use format::Cancelled;
use meaning::{Fault, Findings, StandIn, colours, drawn_scale, notes, proposals, scale, stand_ins};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
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
        }
    }
}

/// What became of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// It is part of a contour or of an open chain.
    Used,
    /// Its layer, its insertion or itself is hidden.
    Hidden,
    /// The user switched its layer off.
    Excluded,
    /// The user answered that it is not cut.
    LeftOut,
    /// It lies on others, which count.
    Duplicate,
    /// It lies within the outer boundary of curves that branch, and is not counted.
    Inner,
    /// It has no length.
    Degenerate,
    /// An edge of a hatched area or a multiline, not taken as a curve until that is accepted.
    Offered,
}

/// A layer of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// As written.
    pub name: Arc<str>,
    /// Colour number, 1 to 255.
    pub colour: i16,
    /// Neither off nor frozen.
    pub visible: bool,
    /// Number of curves on it.
    pub curves: usize,
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
    pub points: Vec<Point>,
    /// Box around the visible curves, absolute drawing coordinates in mm.
    pub bounds: Bounds,
    /// The contours.
    pub profile: Profile,
    /// May it be quoted from?
    pub verdict: Verdict,
    /// What reading alone found, before any joining.
    import: Findings,
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
    let mut findings = Findings::default();
    let scan = format::scan(&text, &mut findings, progress)?;
    if scan.pairs < 2 || (!scan.has_entities_section && scan.model.is_empty()) {
        return Err(format::not_a_drawing(&text, scan.pairs));
    }
    drop(text);
    drop(bytes);
    let mut scaled = scale(
        &scan,
        (options.units, options.scale.scale),
        &findings,
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
        &mut scaled.findings,
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
        bounds: scaled.bounds.moved(scaled.origin),
        profile: Profile {
            origin: scaled.origin,
            ..Profile::default()
        },
        verdict: Verdict::Refuse,
        import: scaled.findings,
        stand_ins: scaled.expanded.stand_ins.into(),
        texts: scaled.expanded.texts.into(),
    };
    Ok(drawing.joined(options, progress)?)
}

/// Reads on a thread of its own with a large stack; a panic in a library becomes an error.
///
/// # Errors
/// As [`read`], and when the reader failed inside.
pub fn read_on_big_stack(
    bytes: Vec<u8>,
    options: &ReadOptions,
    progress: &Progress,
) -> Result<Drawing, ReadError> {
    let (options, progress) = (options.clone(), progress.clone());
    let thread = std::thread::Builder::new()
        .name("drawing".into())
        .stack_size(limits::STACK_BYTES)
        .spawn(move || read_and_free(Cow::Owned(bytes), &options, &progress));
    match thread.map(std::thread::JoinHandle::join) {
        Ok(Ok(result)) => result,
        _ => Err(ReadError::ReaderFailed),
    }
}

/// Bytes taken from a file between two looks at the progress handle.
const READ_AT_ONCE: u64 = 1 << 20;

/// Reads the file at a path, as [`read_on_big_stack`] does.
///
/// # Errors
/// As [`read_on_big_stack`], and when the file cannot be opened.
pub fn open(path: &Path, options: &ReadOptions, progress: &Progress) -> Result<Drawing, ReadError> {
    let cannot = |e: std::io::Error| ReadError::CannotOpen(e.to_string());
    let size = std::fs::metadata(path).map_err(cannot)?.len();
    // Looked at before it is loaded: a file of many GB must not fill the memory first.
    if size > limits::FILE_BYTES as u64 {
        return Err(ReadError::TooLarge(
            usize::try_from(size >> 20).unwrap_or(usize::MAX),
        ));
    }
    let mut file = std::fs::File::open(path).map_err(cannot)?;
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0));
    // In pieces: a slow disk must not keep a cancelled reading waiting.
    loop {
        progress.check()?;
        let piece = file.by_ref().take(READ_AT_ONCE).read_to_end(&mut bytes);
        if piece.map_err(cannot)? == 0 {
            break;
        }
    }
    read_on_big_stack(bytes, options, progress)
}

impl Drawing {
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
        let origin = self.profile.origin;
        let join = |left_out: &BTreeSet<usize>| {
            let mut findings = self.import.clone();
            joining::assemble(
                &self.curves,
                origin,
                options,
                left_out,
                &mut findings,
                progress,
            )
            .map(|assembled| (assembled, findings))
        };
        // Proposals are found with everything counted, so that an answer never changes the questions.
        let colours = &options.excluded_colours;
        let mut left_out = colours::curves_in(colours, &self.curves, &self.layers);
        let (mut assembled, mut findings) = join(&left_out)?;
        let proposals = proposals::find(
            &self.curves,
            &assembled.status,
            &assembled.profile,
            &self.texts,
            &options.answers,
            progress,
        )?;
        let before = left_out.len();
        let answered = proposals
            .iter()
            .filter(|p| p.answer == Some(Answer::LeaveOut))
            .flat_map(|p| p.curves.iter().copied());
        left_out.extend(answered);
        if left_out.len() > before {
            (assembled, findings) = join(&left_out)?;
        }
        proposals::report(&proposals, &mut findings, &self.curves);
        let counts = (&mut self.read, &mut self.skipped);
        stand_ins::count(&self.stand_ins, &options.accepted, counts);
        let (curves, accepted) = (&self.curves, &options.accepted);
        stand_ins::report(&self.stand_ins, curves, origin, accepted, &mut findings);
        if assembled.status.iter().all(|s| *s == Status::Offered) {
            findings.add(Fault::NothingDrawn, None, None);
        } else if assembled.profile.contours.is_empty() {
            findings.add(Fault::NothingClosed, None, None);
        }
        self.parts = assembled.profile.parts();
        progress.check()?;
        if self.parts.len() > 1 {
            for part in &self.parts {
                let at = part.bounds.centre() + origin;
                let n = self.parts.len() as f64;
                findings.add_sized(Fault::SeveralParts, n, Some(at), None);
            }
        }
        self.proposals = proposals;
        self.profile = assembled.profile;
        self.status = assembled.status;
        self.findings = findings.list();
        self.verdict = Verdict::of(&self.findings);
        Ok(self)
    }
}
