//! What was noticed on the way from bytes to contours: kinds, counts and places, no sentences.

use super::limits::KEPT_PLACES;
use crate::geometry::DrawingPoint;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// How much a finding weighs for someone who quotes from the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing to do; good to know.
    Note,
    /// Look at it before quoting.
    Check,
    /// No quote can be built on this.
    Refuse,
}

impl Severity {
    /// The word shown to a person.
    pub fn said(self) -> &'static str {
        match self {
            Self::Note => say!("note"),
            Self::Check => say!("check"),
            Self::Refuse => say!("refuse"),
        }
    }
    /// The word written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Check => "check",
            Self::Refuse => "refuse",
        }
    }
}

/// Everything that can be found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(
    missing_docs,
    reason = "each is described by its sentence in `words::findings`"
)]
pub enum Fault {
    UnitsGuessed,
    SizeImplausible,
    BeyondMachines,
    TooLarge,
    FarAway,
    ScaleInDimensions,
    ScaleInText,
    MixedScales,
    ScaleOfPlot,
    DimensionDisagrees,
    DimensionsInOtherUnit,
    NothingDrawn,
    NothingClosed,
    Damaged,
    CutOff,
    OutsideSection,
    UnreadableNumber,
    NotFinite,
    Incomplete,
    RepairedNumber,
    PaperSpace,
    HiddenLayer,
    Invisible,
    ExcludedLayer,
    ZeroLength,
    RadiusNotPositive,
    SeenEdgeOn,
    Tilted,
    SplineRepaired,
    SplineUnusable,
    FitPointsOnly,
    BlockMissing,
    BlockRecursive,
    BlockTooDeep,
    InsertScaleZero,
    SkippedInBlock,
    TooManyCurves,
    TooManySegments,
    Duplicate,
    Overlap,
    GapBridged,
    OpenEnd,
    Branch,
    TJunction,
    Crossing,
    SelfCrossing,
    ContoursCross,
    DuplicateContour,
    MaybeCentreLines,
    MaybeBorder,
    MaybeTitleBlock,
    MaybeBlockEdge,
    MaybeSameAgain,
    LeftOut,
    EndMoved,
    ClosesAtSides,
    JoinedAtSides,
    OutlineAtSides,
    SideBySide,
    SeveralParts,
    SpreadsWide,
    EdgesOffered,
    EdgesTaken,
}

impl Fault {
    /// All of them, in the order in which those of one weight are listed.
    pub const ALL: [Self; 63] = [
        Self::UnitsGuessed,
        Self::SizeImplausible,
        Self::BeyondMachines,
        Self::TooLarge,
        Self::FarAway,
        Self::ScaleInDimensions,
        Self::ScaleInText,
        Self::MixedScales,
        Self::ScaleOfPlot,
        Self::DimensionDisagrees,
        Self::DimensionsInOtherUnit,
        Self::NothingDrawn,
        Self::NothingClosed,
        Self::Damaged,
        Self::CutOff,
        Self::OutsideSection,
        Self::UnreadableNumber,
        Self::NotFinite,
        Self::Incomplete,
        Self::RepairedNumber,
        Self::PaperSpace,
        Self::HiddenLayer,
        Self::Invisible,
        Self::ExcludedLayer,
        Self::ZeroLength,
        Self::RadiusNotPositive,
        Self::SeenEdgeOn,
        Self::Tilted,
        Self::SplineRepaired,
        Self::SplineUnusable,
        Self::FitPointsOnly,
        Self::BlockMissing,
        Self::BlockRecursive,
        Self::BlockTooDeep,
        Self::InsertScaleZero,
        Self::SkippedInBlock,
        Self::TooManyCurves,
        Self::TooManySegments,
        Self::Duplicate,
        Self::Overlap,
        Self::GapBridged,
        Self::OpenEnd,
        Self::Branch,
        Self::TJunction,
        Self::Crossing,
        Self::SelfCrossing,
        Self::ContoursCross,
        Self::DuplicateContour,
        Self::MaybeCentreLines,
        Self::MaybeBorder,
        Self::MaybeTitleBlock,
        Self::MaybeBlockEdge,
        Self::MaybeSameAgain,
        Self::LeftOut,
        Self::EndMoved,
        Self::ClosesAtSides,
        Self::JoinedAtSides,
        Self::OutlineAtSides,
        Self::SideBySide,
        Self::SeveralParts,
        Self::SpreadsWide,
        Self::EdgesOffered,
        Self::EdgesTaken,
    ];
    /// Short word that programs may rely on.
    pub fn code(self) -> &'static str {
        self.class().0
    }
    /// How much it weighs.
    pub fn severity(self) -> Severity {
        self.class().1
    }
    fn class(self) -> (&'static str, Severity) {
        use Severity::{Check, Note, Refuse};
        match self {
            Self::UnitsGuessed => ("units-guessed", Check),
            Self::SizeImplausible => ("size-implausible", Check),
            Self::BeyondMachines => ("beyond-machines", Check),
            Self::TooLarge => ("too-large", Refuse),
            Self::FarAway => ("far-away", Check),
            Self::ScaleInDimensions => ("scale-in-dimensions", Check),
            Self::ScaleInText => ("scale-in-text", Check),
            Self::MixedScales => ("mixed-scales", Check),
            Self::ScaleOfPlot => ("scale-of-plot", Note),
            Self::DimensionDisagrees => ("dimension-disagrees", Check),
            Self::DimensionsInOtherUnit => ("dimensions-in-other-unit", Check),
            Self::NothingDrawn => ("nothing-drawn", Refuse),
            Self::NothingClosed => ("nothing-closed", Refuse),
            Self::Damaged => ("damaged", Check),
            Self::CutOff => ("cut-off", Check),
            Self::OutsideSection => ("outside-section", Check),
            Self::UnreadableNumber => ("unreadable-number", Check),
            Self::NotFinite => ("not-finite", Check),
            Self::Incomplete => ("incomplete-entity", Check),
            Self::RepairedNumber => ("repaired-number", Check),
            Self::PaperSpace => ("paper-space", Note),
            Self::HiddenLayer => ("hidden-layer", Check),
            Self::Invisible => ("invisible-entity", Check),
            Self::ExcludedLayer => ("excluded-layer", Note),
            Self::ZeroLength => ("zero-length", Note),
            Self::RadiusNotPositive => ("radius-not-positive", Check),
            Self::SeenEdgeOn => ("seen-edge-on", Check),
            Self::Tilted => ("tilted", Check),
            Self::SplineRepaired => ("spline-repaired", Check),
            Self::SplineUnusable => ("spline-unusable", Check),
            Self::FitPointsOnly => ("fit-points-only", Check),
            Self::BlockMissing => ("block-missing", Check),
            Self::BlockRecursive => ("block-recursive", Check),
            Self::BlockTooDeep => ("block-too-deep", Check),
            Self::InsertScaleZero => ("insert-scale-zero", Check),
            Self::SkippedInBlock => ("skipped-in-block", Note),
            Self::TooManyCurves => ("too-many-curves", Refuse),
            Self::TooManySegments => ("too-many-segments", Refuse),
            Self::Duplicate => ("duplicate-curve", Note),
            Self::Overlap => ("overlapping-curve", Check),
            Self::GapBridged => ("gap-bridged", Note),
            Self::OpenEnd => ("open-end", Check),
            Self::Branch => ("branch", Check),
            Self::TJunction => ("t-junction", Check),
            Self::Crossing => ("crossing", Check),
            Self::SelfCrossing => ("self-crossing", Refuse),
            Self::ContoursCross => ("contours-cross", Check),
            Self::DuplicateContour => ("duplicate-contour", Note),
            Self::MaybeCentreLines => ("maybe-centre-lines", Check),
            Self::MaybeBorder => ("maybe-border", Check),
            Self::MaybeTitleBlock => ("maybe-title-block", Check),
            Self::MaybeBlockEdge => ("maybe-block-edge", Check),
            Self::MaybeSameAgain => ("maybe-same-again", Check),
            Self::LeftOut => ("left-out", Note),
            Self::EndMoved => ("end-moved", Note),
            Self::ClosesAtSides => ("closes-at-sides", Check),
            Self::JoinedAtSides => ("joined-at-sides", Note),
            Self::OutlineAtSides => ("outline-at-sides", Check),
            Self::SideBySide => ("side-by-side", Check),
            Self::SeveralParts => ("several-parts", Note),
            Self::SpreadsWide => ("spreads-wide", Check),
            Self::EdgesOffered => ("edges-offered", Check),
            Self::EdgesTaken => ("edges-taken", Note),
        }
    }
}

/// What belongs to a fault beside its places: one of these, by its kind.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) enum Value {
    /// Nothing.
    #[default]
    None,
    /// The largest length.
    Length(Length),
    /// The largest number.
    Count(usize),
    /// Names of layers or blocks.
    Names(BTreeSet<String>),
}

/// One kind of fault.
#[derive(Debug, Clone, Default)]
pub(crate) struct Entry {
    /// How often.
    pub count: usize,
    /// Where, absolute mm.
    pub at: Vec<DrawingPoint>,
    /// Lines of the file.
    pub lines: Vec<usize>,
    /// What belongs to it.
    pub value: Value,
}

/// Names that one finding keeps: five tell enough.
const KEPT_NAMES: usize = 5;

/// Collects faults; places are absolute mm.
#[derive(Debug, Clone, Default)]
pub(crate) struct Noticed(BTreeMap<Fault, Entry>);

impl Noticed {
    /// Notes a fault, with its place in the plane and in the file where known.
    pub fn add(&mut self, fault: Fault, at: Option<DrawingPoint>, line: Option<usize>) {
        self.entry(fault, at, line);
    }
    fn entry(&mut self, fault: Fault, at: Option<DrawingPoint>, line: Option<usize>) -> &mut Entry {
        let entry = self.0.entry(fault).or_default();
        entry.count += 1;
        if let Some(at) = at.filter(|_| entry.at.len() < KEPT_PLACES) {
            entry.at.push(at);
        }
        if let Some(line) = line.filter(|_| entry.lines.len() < KEPT_PLACES) {
            entry.lines.push(line);
        }
        entry
    }
    /// Notes a fault about something with a name.
    pub fn add_named(
        &mut self,
        fault: Fault,
        name: &str,
        at: Option<DrawingPoint>,
        line: Option<usize>,
    ) {
        let entry = self.entry(fault, at, line);
        match &mut entry.value {
            Value::Names(names) if names.len() >= KEPT_NAMES => {}
            Value::Names(names) => {
                names.insert(name.to_owned());
            }
            value => *value = Value::Names(BTreeSet::from([name.to_owned()])),
        }
    }
    /// Notes a fault with a length, of which the largest is told.
    pub fn add_length(
        &mut self,
        fault: Fault,
        length: Length,
        at: Option<DrawingPoint>,
        line: Option<usize>,
    ) {
        let entry = self.entry(fault, at, line);
        entry.value = match entry.value {
            Value::Length(known) => Value::Length(known.max(length)),
            _ => Value::Length(length),
        };
    }
    /// Notes a fault with a number, of which the largest is told.
    pub fn add_number(
        &mut self,
        fault: Fault,
        number: usize,
        at: Option<DrawingPoint>,
        line: Option<usize>,
    ) {
        let entry = self.entry(fault, at, line);
        entry.value = match entry.value {
            Value::Count(known) => Value::Count(known.max(number)),
            _ => Value::Count(number),
        };
    }
    /// Raises a count without a place.
    pub fn add_uncounted_places(&mut self, fault: Fault, count: usize) {
        if count > 0 {
            self.0.entry(fault).or_default().count += count;
        }
    }
    /// All of it, in the order of the kinds.
    pub fn into_entries(self) -> impl Iterator<Item = (Fault, Entry)> {
        self.0.into_iter()
    }
}
