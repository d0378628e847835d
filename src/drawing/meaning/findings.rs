//! What the import did and could not do, one finding a kind of fault, each with its places.

use crate::drawing::format::{BLOCK_DEPTH, KEPT_PLACES};
use crate::drawing::joining::Offer;
use crate::geometry::Point;
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
    /// The word shown to a person and written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Check => "check",
            Self::Refuse => "refuse",
        }
    }
}

/// One kind of fault in one drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Short word that programs may rely on.
    pub code: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// How often.
    pub count: usize,
    /// What, and what to do, for a person.
    pub message: String,
    /// Where, absolute drawing coordinates in mm; the first thousand places.
    pub at: Vec<Point>,
    /// Lines of the file (byte positions in a binary one); the first thousand.
    pub lines: Vec<usize>,
    /// Changes that would mend it, each made once it stands in [`super::ReadOptions::accepted`].
    pub offers: Vec<Offer>,
}

/// May the drawing be quoted from?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing that touches the contours was found.
    SafeToQuote,
    /// Something to look at first.
    CheckThis,
    /// No closed contour, or one that cannot be right.
    Refuse,
}

impl Verdict {
    /// The verdict on a list of findings.
    pub fn of(findings: &[Finding]) -> Self {
        match findings.iter().map(|f| f.severity).max() {
            None | Some(Severity::Note) => Self::SafeToQuote,
            Some(Severity::Check) => Self::CheckThis,
            Some(Severity::Refuse) => Self::Refuse,
        }
    }
    /// For a person.
    pub fn words(self) -> &'static str {
        match self {
            Self::SafeToQuote => "safe to quote",
            Self::CheckThis => "check this",
            Self::Refuse => "refuse",
        }
    }
}

/// Everything that can be found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(
    missing_docs,
    reason = "each is described by the message it stands for"
)]
pub enum Fault {
    UnitsGuessed,
    SizeImplausible,
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
    LeftOut,
    EndMoved,
    ClosesAtSides,
    JoinedAtSides,
    OutlineAtSides,
    SeveralParts,
    EdgesOffered,
    EdgesTaken,
}

/// Number with the right form of a word.
fn some(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {word}s")
    }
}

/// "1 dimension gives", "3 dimensions give".
fn some_that_give(n: usize) -> String {
    if n == 1 {
        "1 dimension gives".into()
    } else {
        format!("{n} dimensions give")
    }
}

impl Fault {
    /// Code and weight.
    pub(crate) fn class(self) -> (&'static str, Severity) {
        use Severity::{Check, Note, Refuse};
        match self {
            Self::UnitsGuessed => ("units-guessed", Check),
            Self::SizeImplausible => ("size-implausible", Check),
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
            Self::LeftOut => ("left-out", Note),
            Self::EndMoved => ("end-moved", Note),
            Self::ClosesAtSides => ("closes-at-sides", Check),
            Self::JoinedAtSides => ("joined-at-sides", Note),
            Self::OutlineAtSides => ("outline-at-sides", Check),
            Self::SeveralParts => ("several-parts", Note),
            Self::EdgesOffered => ("edges-offered", Check),
            Self::EdgesTaken => ("edges-taken", Note),
        }
    }

    /// The sentence for a person. `n` how often, `names` and `largest` what belongs to it.
    fn message(self, n: usize, names: &str, largest: f64) -> String {
        match self {
            Self::UnitsGuessed => format!("Unit {names}"),
            Self::SizeImplausible => names.to_owned(),
            Self::ScaleInDimensions => format!("Drawn {names} by its dimensions: {} that agree on it, none that gives what is drawn. Take the scale, or every length is wrong by it.", some(n, "dimension")),
            Self::ScaleInText => format!("A text says scale {names}, and no dimension says otherwise. Take the scale if the part is drawn so, or measure a known length."),
            Self::MixedScales => format!("Parts of the drawing are drawn at other scales ({names}): views or details. Look which curves are in true size, and leave the others out."),
            Self::ScaleOfPlot => format!("A text says scale {names}; the dimensions give what is drawn, so it is how the sheet is plotted. Nothing is scaled."),
            Self::DimensionDisagrees => format!("{} not what is drawn: {names}. Ask which counts.", some_that_give(n)),
            Self::DimensionsInOtherUnit => format!("{} 25.4 times what is drawn, or a 25.4th of it: the drawing's unit may be wrong. Check the unit; nothing is scaled for it.", some_that_give(n)),
            Self::NothingDrawn => "The model space holds no curve. Look whether the part was drawn in a layout, or ask for another export.".into(),
            Self::NothingClosed => "No curve closes a contour, so nothing can be cut. Look at the open ends, or allow a larger join gap.".into(),
            Self::Damaged => format!("The file is damaged in {}; reading went on at the next entity. Compare with a fresh export.", some(n, "place")),
            Self::CutOff => "The file ends before its end mark: something may be missing. Ask for it again.".into(),
            Self::OutsideSection => format!("{} outside any section; taken as part of the model space.", some(n, "entity record")),
            Self::UnreadableNumber => format!("{} left out because a number in it cannot be read.", some(n, "curve")),
            Self::NotFinite => format!("{} left out because a number in it is infinite, undefined or beyond any drawing.", some(n, "curve")),
            Self::Incomplete => format!("{} left out because a value is missing.", some(n, "curve")),
            Self::RepairedNumber => format!("{} in foreign spelling or unreadable height, repaired.", some(n, "number")),
            Self::PaperSpace => format!("{} in a layout (paper space) not read; only the model space is cut.", some(n, "drawn object")),
            Self::HiddenLayer => format!("{} on hidden layers ({names}) not counted. Show the layer in the drawing if it is to be cut.", some(n, "curve")),
            Self::Invisible => format!("{} marked as invisible and not counted.", some(n, "curve")),
            Self::ExcludedLayer => format!("{} on layers that you switched off ({names}).", some(n, "curve")),
            Self::ZeroLength => format!("{} without length left out.", some(n, "curve")),
            Self::RadiusNotPositive => format!("{} with a radius of zero or less left out.", some(n, "circle or arc")),
            Self::SeenEdgeOn => format!("{} standing upright on the drawing plane left out: from above it is a line.", some(n, "circle or arc")),
            Self::Tilted => format!("{} drawn in a tilted plane, taken as seen from above.", some(n, "curve")),
            Self::SplineRepaired => format!("{} with knots or degree that disagree, repaired. Compare it with the drawing.", some(n, "spline")),
            Self::SplineUnusable => format!("{} with knots, weights or points that make no curve, left out.", some(n, "spline")),
            Self::FitPointsOnly => format!("{} given by points alone; drawn smoothly through them, which may differ from the sender's curve.", some(n, "spline")),
            Self::BlockMissing => format!("{} of blocks that the file does not hold ({names}).", some(n, "insertion")),
            Self::BlockRecursive => format!("Block {names} contains itself; the inner insertion was left out."),
            Self::BlockTooDeep => format!("Blocks nested deeper than {BLOCK_DEPTH} left out ({names})."),
            Self::InsertScaleZero => format!("{} with a scale of zero, taken as one.", some(n, "insertion")),
            Self::SkippedInBlock => format!("{} inside inserted blocks (text, dimensions and the like) not read.", some(n, "object")),
            Self::TooManyCurves => format!("More than {largest:.0} curves after blocks are expanded; reading stopped there. Ask for a drawing of the part alone."),
            Self::TooManySegments => format!("The curves become more than {largest:.0} lines and arcs; reading stopped there. Ask for a drawing of the part alone."),
            Self::Duplicate => format!("{} drawn more than once, counted once.", some(n, "curve")),
            Self::Overlap => format!("{} lying partly on another, counted where they differ.", some(n, "curve")),
            Self::GapBridged => format!("{} closed, the largest {largest:.4} mm.", some(n, "gap")),
            Self::OpenEnd => format!("{} without a neighbour within the join gap. What hangs on it is measured, not cut.", some(n, "loose end")),
            Self::Branch if largest > 0.0 => format!("{} where more than two curves meet. The outer boundary is taken; the {largest:.3} mm inside it are not counted. Ask what is to be cut.", some(n, "point")),
            Self::Branch => format!("{} where more than two curves meet. The outer boundary is taken. Ask what is to be cut.", some(n, "point")),
            Self::TJunction => format!("{} on the side of another curve. Ask whether the rib is to be cut.", some(n, "loose end")),
            Self::Crossing => format!("{} where loose curves cross others. Ask for trimmed corners, or trim them.", some(n, "point")),
            Self::SelfCrossing => format!("{} where a contour crosses itself. Its inside is not clear; ask for a correct drawing.", some(n, "point")),
            Self::ContoursCross => format!("{} where two contours cross each other. Ask which one is to be cut.", some(n, "point")),
            Self::MaybeCentreLines => format!("Perhaps centre lines, counted until you say: {names}."),
            Self::MaybeBorder => format!("Perhaps a border, counted until you say: {names}."),
            Self::MaybeTitleBlock => format!("Perhaps a title block, counted until you say: {names}."),
            Self::MaybeBlockEdge => format!("Perhaps the edge of a ground block, counted until you say whether it is cut: {names}."),
            Self::LeftOut => format!("{} left out as you answered.", some(n, "curve")),
            Self::ClosesAtSides => format!("{} on the sides of open curves. Joined there, they close {}; left open until you say so.", some(n, "loose end"), some(largest as usize, "more contour")),
            Self::JoinedAtSides => format!("{} joined to the sides of open curves as you chose; that closes {}.", some(n, "loose end"), some(largest as usize, "more contour")),
            Self::OutlineAtSides => format!("{} joined to the sides of open curves: without that nothing closes around the rest. It closes {}. Look whether they are the shape.", some(n, "loose end"), some(largest as usize, "contour")),
            Self::EndMoved => format!("{} trimmed or extended as you accepted, by at most {largest:.4} mm.", some(n, "end")),
            Self::SeveralParts => format!("{largest:.0} parts or views that lie apart. All are counted: the totals are for all of them together."),
            Self::EdgesOffered => format!("No curve is drawn, only {names} ({n}). Their edges can be taken as curves, if they are the part."),
            Self::EdgesTaken => format!("The edges of {names} ({n}) taken as curves, as you accepted."),
            Self::DuplicateContour => format!("{} drawn more than once, counted once.", some(n, "contour")),
        }
    }
}

/// Collects findings; places are absolute mm.
#[derive(Debug, Clone, Default)]
pub struct Findings(BTreeMap<Fault, Entry>);

#[derive(Debug, Clone, Default)]
struct Entry {
    count: usize,
    at: Vec<Point>,
    lines: Vec<usize>,
    names: BTreeSet<String>,
    largest: f64,
    offers: Vec<Offer>,
}

impl Findings {
    /// Notes a fault, with its place in the plane and in the file where known.
    pub fn add(&mut self, fault: Fault, at: Option<Point>, line: Option<usize>) {
        let entry = self.0.entry(fault).or_default();
        entry.count += 1;
        if let Some(at) = at.filter(|_| entry.at.len() < KEPT_PLACES) {
            entry.at.push(at);
        }
        if let Some(line) = line.filter(|_| entry.lines.len() < KEPT_PLACES) {
            entry.lines.push(line);
        }
    }
    /// Notes a fault about something with a name.
    pub fn add_named(&mut self, fault: Fault, name: &str, at: Option<Point>, line: Option<usize>) {
        self.add(fault, at, line);
        let entry = self.0.entry(fault).or_default();
        // Five names tell enough.
        if entry.names.len() < 5 {
            entry.names.insert(name.to_owned());
        }
    }
    /// Notes a fault with a size, mm, of which the largest is told.
    pub fn add_sized(&mut self, fault: Fault, size: f64, at: Option<Point>, line: Option<usize>) {
        self.add(fault, at, line);
        let entry = self.0.entry(fault).or_default();
        entry.largest = entry.largest.max(size);
    }
    /// Offers a change that would mend a fault; the same one only once.
    pub fn offer(&mut self, fault: Fault, offer: Offer) {
        let offers = &mut self.0.entry(fault).or_default().offers;
        if !offers.contains(&offer) {
            offers.push(offer);
        }
    }
    /// Raises a count without a place.
    pub fn add_uncounted_places(&mut self, fault: Fault, count: usize) {
        if count > 0 {
            self.0.entry(fault).or_default().count += count;
        }
    }
    /// The findings, heaviest first.
    pub fn list(&self) -> Vec<Finding> {
        let mut list: Vec<Finding> = self
            .0
            .iter()
            .map(|(fault, e)| {
                let (code, severity) = fault.class();
                let names = e.names.iter().cloned().collect::<Vec<_>>().join(", ");
                let message = fault.message(e.count, &names, e.largest);
                let (at, lines) = (e.at.clone(), e.lines.clone());
                Finding {
                    code,
                    severity,
                    count: e.count,
                    message,
                    at,
                    lines,
                    offers: e.offers.clone(),
                }
            })
            .collect();
        list.sort_by_key(|f| std::cmp::Reverse(f.severity));
        list
    }
}
