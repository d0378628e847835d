//! A drawing file becomes curves, and curves become the profile that is cut.
//!
//! In reading order:
//!
//! 1. `group_codes`: bytes to pairs, tolerant of what customers send.
//! 2. `scan`: header, layers, blocks, entities, with `clean` and `decode` on the way: each entity is
//!    handed to the `dxf` crate as canonical pairs.
//! 3. `blocks` expands insertions through `frame`; `curve`, `conic` and `spline` make lines and arcs
//!    and measure the true curves.
//! 4. `contours` lays `duplicates` aside, joins (`joining`, `faces`), nests and looks for `crossings`.
//!
//! One bad entity never fails a file: it becomes a finding. What is read and what is skipped, taken
//! together, is what is there.

mod blocks;
mod clean;
mod colours;
mod conic;
mod contours;
mod crossings;
mod curve;
mod decode;
mod duplicates;
mod edges;
mod entity;
mod error;
mod faces;
mod findings;
mod frame;
mod frames;
mod group_codes;
mod hints;
mod joining;
pub mod limits;
mod offers;
mod progress;
mod proposals;
mod quadrature;
mod record;
mod scan;
mod sides;
mod spline;
mod text;
mod units;

pub use colours::colour_words;
pub use curve::Curve;
pub use error::ReadError;
pub use findings::{Finding, Severity, Verdict};
pub use offers::{Offer, OfferKind};
pub use progress::Progress;
pub use proposals::{Answer, Proposal, ProposalKey, ProposalKind};
pub use units::{Unit, UnitChoice, UnitSource, Units, size_text};

use crate::geometry::{Bounds, Point};
use crate::profile::{Part, Profile};
use crate::units::Length;
use entity::Shape;
use findings::{Fault, Findings};
use progress::Cancelled;
use scan::Scan;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

/// What the user decides about reading.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOptions {
    /// The unit, or to find it out.
    pub units: UnitChoice,
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
}

/// Loose ends that no machine could tell apart from joined ones: below the kerf of the finest wire.
pub const DEFAULT_JOIN_GAP: Length = Length::from_mm(0.02);

impl Default for ReadOptions {
    fn default() -> Self {
        Self {
            units: UnitChoice::Auto,
            join_gap: DEFAULT_JOIN_GAP,
            excluded_layers: BTreeSet::new(),
            excluded_colours: BTreeSet::new(),
            answers: BTreeMap::new(),
            accepted: Vec::new(),
            join_at_sides: false,
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
    error::check_form(bytes)?;
    let bytes = group_codes::without_byte_order_mark(bytes);
    let mut findings = Findings::default();
    let scan = scan::scan(&bytes, &mut findings, progress)?;
    if scan.pairs < 2 || (!scan.has_entities_section && scan.model.is_empty()) {
        return Err(error::not_a_drawing(&bytes, scan.pairs));
    }
    let scaled = scale(&scan, options.units, &findings, progress)?;
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
    let colours = colours::counted(&scaled.expanded.curves, &layers);
    let (read, skipped) = scan.counts();
    let drawing = Drawing {
        units: scaled.units,
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
        .spawn(move || read(&bytes, &options, &progress));
    match thread.map(std::thread::JoinHandle::join) {
        Ok(Ok(result)) => result,
        _ => Err(ReadError::ReaderFailed),
    }
}

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
    read_on_big_stack(std::fs::read(path).map_err(cannot)?, options, progress)
}

impl Drawing {
    /// The same drawing joined anew, for another join gap or other layers; nothing is read again.
    ///
    /// [`ReadOptions::units`] has no effect here.
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
            contours::assemble(
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
        );
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
        if self.curves.is_empty() {
            findings.add(Fault::NothingDrawn, None, None);
        } else if assembled.profile.contours.is_empty() {
            findings.add(Fault::NothingClosed, None, None);
        }
        self.parts = assembled.profile.parts();
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

/// Curves in mm.
struct Scaled {
    units: Units,
    origin: Point,
    expanded: blocks::Expanded,
    bounds: Bounds,
    findings: Findings,
}

/// Settles the unit and expands the model space in it.
fn scale(
    scan: &Scan,
    choice: UnitChoice,
    findings: &Findings,
    progress: &Progress,
) -> Result<Scaled, Cancelled> {
    let in_header = scan.header.units.and_then(Unit::from_header);
    let in_unit = |unit: Unit| -> Result<Scaled, Cancelled> {
        let mut findings = findings.clone();
        let origin = near_origin(scan, unit.mm());
        let expanded = blocks::expand(scan, unit.mm(), origin, &mut findings, progress)?;
        let mut bounds = Bounds::EMPTY;
        for curve in expanded.curves.iter().filter(|c| !c.hidden) {
            bounds.include_bounds(&curve.bounds());
        }
        let units = Units {
            used: unit,
            from: UnitSource::Header,
            reason: String::new(),
        };
        Ok(Scaled {
            units,
            origin,
            expanded,
            bounds,
            findings,
        })
    };
    let (mut scaled, from) = match (choice, in_header) {
        (UnitChoice::Fixed(unit), _) => (in_unit(unit)?, UnitSource::Option),
        (UnitChoice::Auto, Some(unit)) => (in_unit(unit)?, UnitSource::Header),
        (UnitChoice::Auto, None) => {
            let as_mm = in_unit(Unit::Millimetre)?;
            let size = as_mm.bounds.size();
            let unit = units::guess(size.x, size.y, scan.header.measurement);
            let guessed = if unit == Unit::Millimetre {
                as_mm
            } else {
                in_unit(unit)?
            };
            (guessed, UnitSource::Guess)
        }
    };
    scaled.units.from = from;
    explain_unit(scan, &mut scaled);
    Ok(scaled)
}

/// Largest size that a wire machine could hold, and smallest that it could cut, mm. Common practice,
/// no source.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = 0.2..=3000.0;

fn explain_unit(scan: &Scan, scaled: &mut Scaled) {
    let size = scaled.bounds.size();
    let text = size_text(size.x, size.y);
    let used = scaled.units.used;
    let header = match scan.header.units {
        None => "the file names no unit".to_owned(),
        Some(0) => "the file says that it has no unit".to_owned(),
        Some(code) => match Unit::from_header(code) {
            Some(unit) => format!("the file's header says {unit}"),
            None => format!("the header's unit number {code} is none that is known here"),
        },
    };
    scaled.units.reason = match scaled.units.from {
        UnitSource::Option => format!("{used}, as you chose; {header}. Size {text}."),
        UnitSource::Header => format!("{used}: {header}. Size {text}."),
        UnitSource::Guess => {
            let hint = match scan.header.measurement {
                Some(1) => " and prefers metric",
                Some(0) => " and prefers English units",
                _ => "",
            };
            format!(
                "{used}, guessed: {header}{hint}. Size {text}. Choose the unit if this is wrong."
            )
        }
    };
    let reason = scaled.units.reason.clone();
    if scaled.units.from == UnitSource::Guess && !scaled.bounds.is_empty() {
        scaled
            .findings
            .add_named(Fault::UnitsGuessed, &reason, None, None);
    } else if !scaled.bounds.is_empty() && !PLAUSIBLE.contains(&size.x.max(size.y)) {
        let message =
            format!("The drawing is {text}, unlikely for wire cutting. Check its unit. {reason}");
        scaled
            .findings
            .add_named(Fault::SizeImplausible, &message, None, None);
    }
}

/// Distance up to which the drawing's own origin serves, mm: below it coordinates keep 13 digits.
const NEAR: f64 = 1000.0;

/// A whole-numbered origin near the first entity, mm, so that a part far away keeps its digits.
fn near_origin(scan: &Scan, to_mm: f64) -> Point {
    let place = scan.model.iter().find_map(|&i| {
        Some(match scan.entities[i].shape.as_ref()? {
            Shape::Line(p, _) | Shape::Point(p) => *p,
            Shape::Arc { centre, .. } | Shape::Ellipse { centre, .. } => *centre,
            Shape::Flat { vertices, .. } => {
                let [x, y] = vertices.first()?.at;
                [x, y, 0.0]
            }
            Shape::Chain { vertices, .. } => *vertices.first()?,
            Shape::Spline(s) => *s.control.first().or(s.fit.first())?,
            Shape::Insert(i) => i.at,
        })
    });
    let [x, y, _] = place.unwrap_or_default();
    let p = Point::new(x * to_mm, y * to_mm);
    if p.norm() <= NEAR || !p.is_finite() {
        Point::ORIGIN
    } else {
        Point::new(p.x.round(), p.y.round())
    }
}
