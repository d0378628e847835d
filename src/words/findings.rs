//! What the import found, as sentences: what it is, and what to do.

use super::System;
use super::counted::some;
use super::reading::{reason, size, unit_from, unit_reason};
use crate::drawing::limits::BLOCK_DEPTH;
use crate::drawing::{About, Fault, Finding, Reason, Severity, StandInKind, Verdict};
use crate::language::localised;
use crate::units::Length;

/// The sentence for a finding, in mm or inch.
#[allow(clippy::too_many_lines, reason = "one table of sentences")]
pub fn sentence(finding: &Finding, system: System) -> String {
    let n = finding.count;
    let about = Told {
        about: &finding.about,
        system,
    };
    let names = about.names();
    let amount = |before: &str, length: Length, decimals: (usize, usize)| {
        lengths(system, length, decimals).map_or_else(String::new, |told| format!("{before}{told}"))
    };
    match finding.fault {
        Fault::UnitsGuessed => say!("Unit {}", about.units()),
        Fault::SizeImplausible => about.implausible(),
        Fault::BeyondMachines => say!("The drawing is {}, larger than any wire machine. Check its unit.", about.size()),
        Fault::TooLarge => say!("The drawing is {}, more than a kilometre. Nothing of this size is cut; check its unit, and whether curves lie far off the part.", about.size()),
        Fault::FarAway => say!("{} left out because it reaches ten kilometres or farther from the others. Look whether it belongs to the part, and check the unit.", some(n, key!("curve"))),
        Fault::ScaleInDimensions => say!("Drawn {names} by its dimensions: {} that agree on it, none that gives what is drawn. Take the scale, or every length is wrong by it.", some(n, key!("dimension"))),
        Fault::ScaleInText => say!("A text says scale {names}, and no dimension says otherwise. Take the scale if the part is drawn so, or measure a known length."),
        Fault::MixedScales => say!("Parts of the drawing are drawn at other scales ({names}): views or details. Look which curves are in true size, and leave the others out."),
        Fault::ScaleOfPlot => say!("A text says scale {names}; the dimensions give what is drawn, so it is how the sheet is plotted. Nothing is scaled."),
        Fault::DimensionDisagrees => say!("{} not what is drawn: {names}. Ask which counts.", some_that_give(n)),
        Fault::DimensionsInOtherUnit => say!("{} 25.4 times what is drawn, or a 25.4th of it: the drawing's unit may be wrong. Check the unit; nothing is scaled for it.", some_that_give(n)),
        Fault::NothingDrawn => say!("The model space holds no curve. Look whether the part was drawn in a layout, or ask for another export.").into(),
        Fault::NothingClosed => say!("No curve closes a contour, so nothing can be cut. Look at the open ends, or allow a larger join gap.").into(),
        Fault::Damaged => say!("The file is damaged in {}; reading went on at the next entity. Compare with a fresh export.", some(n, key!("place"))),
        Fault::CutOff => say!("The file ends before its end mark: something may be missing. Ask for it again.").into(),
        Fault::OutsideSection => say!("{} outside any section; taken as part of the model space.", some(n, key!("entity record"))),
        Fault::UnreadableNumber => say!("{} left out because a number in it cannot be read.", some(n, key!("curve"))),
        Fault::NotFinite => say!("{} left out because a number in it is infinite, undefined or beyond any drawing.", some(n, key!("curve"))),
        Fault::Incomplete => say!("{} left out because a value is missing.", some(n, key!("curve"))),
        Fault::RepairedNumber => say!("{} in foreign spelling or unreadable height, repaired.", some(n, key!("number"))),
        Fault::PaperSpace => say!("{} in a layout (paper space) not read; only the model space is cut.", some(n, key!("drawn object"))),
        Fault::HiddenLayer => say!("{} on hidden layers ({names}) not counted. Show the layer in the drawing if it is to be cut.", some(n, key!("curve"))),
        Fault::Invisible => say!("{} marked as invisible and not counted.", some(n, key!("curve"))),
        Fault::ExcludedLayer => say!("{} on layers that you switched off ({names}).", some(n, key!("curve"))),
        Fault::ZeroLength => say!("{} without length left out.", some(n, key!("curve"))),
        Fault::RadiusNotPositive => say!("{} with a radius of zero or less left out.", some(n, key!("circle or arc"))),
        Fault::SeenEdgeOn => say!("{} standing upright on the drawing plane left out: from above it is a line.", some(n, key!("circle or arc"))),
        Fault::Tilted => say!("{} drawn in a tilted plane, taken as seen from above.", some(n, key!("curve"))),
        Fault::SplineRepaired => say!("{} with knots or degree that disagree, repaired. Compare it with the drawing.", some(n, key!("spline"))),
        Fault::SplineUnusable => say!("{} with knots, weights or points that make no curve, left out.", some(n, key!("spline"))),
        Fault::FitPointsOnly => say!("{} given by points alone; drawn smoothly through them, which may differ from the sender's curve.", some(n, key!("spline"))),
        Fault::BlockMissing => say!("{} of blocks that the file does not hold ({names}).", some(n, key!("insertion"))),
        Fault::BlockRecursive => say!("Block {names} contains itself; the inner insertion was left out."),
        Fault::BlockTooDeep => say!("Blocks nested deeper than {BLOCK_DEPTH} left out ({names})."),
        Fault::InsertScaleZero => say!("{} with a scale of zero, taken as one.", some(n, key!("insertion"))),
        Fault::SkippedInBlock => say!("{} inside inserted blocks (text, dimensions and the like) not read.", some(n, key!("object"))),
        Fault::TooManyCurves => say!("More than {} curves after blocks are expanded; reading stopped there. Ask for a drawing of the part alone.", about.number()),
        Fault::TooManySegments => say!("The curves become more than {} lines and arcs; reading stopped there. Ask for a drawing of the part alone.", about.number()),
        Fault::Duplicate | Fault::DuplicateContour => {
            let drawn = if finding.fault == Fault::Duplicate { some(n, key!("curve")) } else { some(n, key!("contour")) };
            say!("{drawn} drawn more than once, counted once.")
        }
        Fault::Overlap => say!("{} lying partly on another, counted where they differ.", some(n, key!("curve"))),
        Fault::GapBridged => say!("{} closed{}.", some(n, key!("gap")), amount(say!(", the largest "), about.length(), (4, 5))),
        Fault::OpenEnd => say!("{} without a neighbour within the join gap. What hangs on it is measured, not cut.", some(n, key!("loose end"))),
        Fault::Branch => {
            let inner = lengths(system, about.length(), (3, 4)).map_or_else(String::new, |inner| {
                say!("; the {inner} inside it are not counted")
            });
            say!("{} where more than two curves meet. The outer boundary is taken{inner}. Ask what is to be cut.", some(n, key!("point")))
        }
        Fault::TJunction => say!("{} on the side of another curve. Ask whether the rib is to be cut.", some(n, key!("loose end"))),
        Fault::Crossing => say!("{} where loose curves cross others. Ask for trimmed corners, or trim them.", some(n, key!("point"))),
        Fault::SelfCrossing => say!("{} where a contour crosses itself. Its inside is not clear; ask for a correct drawing.", some(n, key!("point"))),
        Fault::ContoursCross => say!("{} where two contours cross each other. Ask which one is to be cut.", some(n, key!("point"))),
        Fault::MaybeCentreLines => say!("Perhaps centre lines, counted until you say: {names}."),
        Fault::MaybeBorder => say!("Perhaps a border, counted until you say: {names}."),
        Fault::MaybeTitleBlock => say!("Perhaps a title block, counted until you say: {names}."),
        Fault::MaybeBlockEdge => say!("Perhaps the edge of a ground block, counted until you say whether it is cut: {names}."),
        Fault::MaybeSameAgain => about.same_again(),
        Fault::LeftOut => say!("{} left out as you answered.", some(n, key!("curve"))),
        Fault::ClosesAtSides => say!("{} on the sides of open curves. Joined there, they close {}; left open until you say so.", some(n, key!("loose end")), some(about.number(), key!("more contour"))),
        Fault::JoinedAtSides => say!("{} joined to the sides of open curves as you chose; that closes {}.", some(n, key!("loose end")), some(about.number(), key!("more contour"))),
        Fault::OutlineAtSides => say!("{} joined to the sides of open curves: without that nothing closes around the rest. It closes {}. Look whether they are the shape.", some(n, key!("loose end")), some(about.number(), key!("contour"))),
        Fault::EndMoved => say!("{} trimmed or extended as you accepted{}.", some(n, key!("end")), amount(say!(", by at most "), about.length(), (4, 5))),
        Fault::SideBySide => say!("Parts or openings in a plate? {} contours lie side by side. Say which they are: start holes, slugs and the price a piece hang on it.", about.number()),
        Fault::SeveralParts => say!("{} parts or views that lie apart. All are counted: the totals are for all of them together.", about.number()),
        Fault::SpreadsWide => {
            let size = about.size();
            say!("The parts spread over {size}, more than most machines take at once. Estimate them one by one, or as lots of what fits; the totals are for all together.")
        }
        Fault::EdgesOffered => say!("No curve is drawn, only {names} ({n}). Their edges can be taken as curves, if they are the part."),
        Fault::EdgesTaken => say!("The edges of {names} ({n}) taken as curves, as you accepted."),
    }
}

/// The finding in one breath: what it is, without what to do.
pub fn in_short(finding: &Finding, system: System) -> String {
    first_sentence(&sentence(finding, system)).to_owned()
}

/// A text up to its first full stop that ends a sentence, without it.
pub fn first_sentence(text: &str) -> &str {
    let end = text.match_indices(". ").find(|(at, _)| {
        // "z. B. " and the like end no sentence.
        let word = text[..*at].rsplit([' ', '(']).next().unwrap_or_default();
        word.chars().count() > 1
    });
    let text = end.map_or(text, |(at, _)| &text[..at]);
    text.trim_end_matches('.')
}

/// The word for how much a finding weighs.
pub fn weight(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => say!("note"),
        Severity::Check => say!("look"),
        Severity::Refuse => say!("fault"),
    }
}

/// May the drawing be quoted from? For a person.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::SafeToQuote => say!("safe to quote"),
        Verdict::CheckThis => say!("check first"),
        Verdict::Refuse => say!("don't quote"),
    }
}

/// "1 dimension gives", "3 dimensions give".
fn some_that_give(n: usize) -> String {
    if n == 1 {
        say!("1 dimension gives").to_owned()
    } else {
        say!("{n} dimensions give")
    }
}

/// A length with so many decimals in mm and inch; nothing where that rounds to zero.
pub(crate) fn lengths(
    system: System,
    length: Length,
    (mm, inch): (usize, usize),
) -> Option<String> {
    let places = match system {
        System::Metric => mm,
        System::Inch => inch,
    };
    let digits = localised(format!("{:.places$}", system.length_value(length)));
    let is_something = digits.bytes().any(|b| (b'1'..=b'9').contains(&b));
    is_something.then(|| format!("{digits} {}", system.length_unit()))
}

/// What a finding is about, as parts of its sentence.
struct Told<'a> {
    about: &'a About,
    system: System,
}

impl Told<'_> {
    fn length(&self) -> Length {
        match self.about {
            About::Length(length) => *length,
            _ => Length::ZERO,
        }
    }
    fn number(&self) -> usize {
        match self.about {
            About::Count(n) => *n,
            _ => 0,
        }
    }
    /// Names, stand-ins or reasons in a row.
    fn names(&self) -> String {
        let list: Vec<String> = match self.about {
            About::Names(names) => names.clone(),
            About::StandIns(kinds) => kinds.iter().map(|&k| stand_ins(k).to_owned()).collect(),
            About::Reasons(reasons) => {
                let mut list: Vec<String> =
                    reasons.iter().map(|r| reason(r, self.system)).collect();
                list.sort();
                list
            }
            _ => Vec::new(),
        };
        list.join(", ")
    }
    fn same_again(&self) -> String {
        let twice = |r: &Reason| matches!(r, Reason::SameOutline { parts: 2, .. });
        let asked = match self.about {
            About::Reasons(list) if list.iter().all(twice) => say!("two parts or two views"),
            _ => say!("several parts, or views of one"),
        };
        let mut names = self.names();
        if let Some(first) = names.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        say!("{names}: {asked}? All are counted until you say.")
    }
    fn size(&self) -> String {
        match self.about {
            About::Size(width, height) => size((*width, *height), self.system),
            _ => String::new(),
        }
    }
    fn units(&self) -> String {
        match self.about {
            About::Units(units) => unit_reason(units, self.system),
            _ => String::new(),
        }
    }
    fn implausible(&self) -> String {
        let (about, from) = match self.about {
            About::Units(units) => (size(units.size, self.system), unit_from(units)),
            _ => Default::default(),
        };
        say!("The drawing is {about}, unlikely for wire cutting. Check its unit ({from}).")
    }
}

fn stand_ins(kind: StandInKind) -> &'static str {
    match kind {
        StandInKind::HatchedArea => say!("hatched areas"),
        StandInKind::Multiline => say!("multilines"),
    }
}

#[cfg(test)]
mod tests {
    use super::first_sentence;

    #[test]
    fn a_sentence_ends_at_its_own_full_stop() {
        let told = "2 gaps closed, the largest 0.02 mm. Look at them.";
        assert_eq!(first_sentence(told), "2 gaps closed, the largest 0.02 mm");
        assert_eq!(first_sentence("One is there."), "One is there");
        assert_eq!(
            first_sentence("Ein Rand, z. B. vom Blatt. Prüfen."),
            "Ein Rand, z. B. vom Blatt"
        );
        assert_eq!(first_sentence(""), "");
    }
}
