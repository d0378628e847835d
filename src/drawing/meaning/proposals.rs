//! What is drawn but seldom cut: centre lines, borders, title blocks, and the edge of a ground block.
//!
//! Each is a question with its reason. Until it is answered the curves count; nothing is left out unasked.

use super::findings::{Fault, Findings};
use super::frames;
use crate::drawing::Status;
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Hint, Progress};
use crate::drawing::joining::BoxIndex;
use crate::geometry::{Point, Segment};
use crate::profile::{Profile, ProfileContour};
use std::collections::BTreeMap;

/// What curves seem to be that are perhaps not to be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProposalKind {
    /// Lines through the middle of something.
    CentreLine,
    /// The border of a sheet.
    Border,
    /// The table with the drawing's name and number.
    TitleBlock,
    /// The outermost rectangle around everything: perhaps the edge of a block that is ground already.
    BlockEdge,
}

impl ProposalKind {
    /// For a person.
    pub fn words(self) -> &'static str {
        match self {
            Self::CentreLine => "centre lines",
            Self::Border => "border",
            Self::TitleBlock => "title block",
            Self::BlockEdge => "edge of the block",
        }
    }
    /// The code of its finding, which programs may rely on.
    pub fn code(self) -> &'static str {
        self.fault().class().0
    }
    fn fault(self) -> Fault {
        match self {
            Self::CentreLine => Fault::MaybeCentreLines,
            Self::Border => Fault::MaybeBorder,
            Self::TitleBlock => Fault::MaybeTitleBlock,
            Self::BlockEdge => Fault::MaybeBlockEdge,
        }
    }
    fn of_hint(hint: Hint) -> Option<Self> {
        match hint {
            Hint::None => None,
            Hint::CentreLine => Some(Self::CentreLine),
            Hint::Border => Some(Self::Border),
            Hint::TitleBlock => Some(Self::TitleBlock),
        }
    }
}

/// What the user says to a proposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Answer {
    /// Its curves count.
    Cut,
    /// Its curves are left out.
    LeaveOut,
}

/// Which proposal an answer is for: its kind and its lowest curve, the same at every reading of the file.
pub type ProposalKey = (ProposalKind, usize);

/// Curves that are perhaps not to be cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What they seem to be.
    pub kind: ProposalKind,
    /// The curves, ascending: indices into the drawing's list of curves.
    pub curves: Vec<usize>,
    /// The contours that these curves form, each by its lowest curve.
    pub contours: Vec<usize>,
    /// Layer of the first curve.
    pub layer: String,
    /// Why, for a person.
    pub reason: String,
    /// Where, absolute drawing coordinates in mm.
    pub at: Point,
    /// What [`super::ReadOptions::answers`] says to it.
    pub answer: Option<Answer>,
}

impl Proposal {
    /// What an answer to it is kept under in [`super::ReadOptions::answers`].
    pub fn key(&self) -> ProposalKey {
        (self.kind, self.curves.first().copied().unwrap_or_default())
    }
}

/// What proposals are found from.
pub(crate) struct Evidence<'a> {
    pub curves: &'a [Curve],
    pub status: &'a [Status],
    pub profile: &'a Profile,
    /// Where texts stand, mm about the profile's origin.
    pub texts: &'a [Point],
    /// Curves that a proposal holds already.
    pub claimed: Vec<bool>,
    pub found: Vec<Proposal>,
    pub progress: &'a Progress,
}

/// All proposals, in the order of their kinds and curves.
pub(crate) fn find(
    curves: &[Curve],
    status: &[Status],
    profile: &Profile,
    texts: &[Point],
    answers: &BTreeMap<ProposalKey, Answer>,
    progress: &Progress,
) -> Result<Vec<Proposal>, Cancelled> {
    let mut asked = Evidence {
        curves,
        status,
        profile,
        texts,
        claimed: vec![false; curves.len()],
        found: Vec::new(),
        progress,
    };
    asked.by_name();
    progress.check()?;
    asked.through_centres()?;
    frames::find(&mut asked);
    progress.check()?;
    let mut found = asked.found;
    for proposal in &mut found {
        proposal.answer = answers.get(&proposal.key()).copied();
    }
    found.sort_by_key(Proposal::key);
    Ok(found)
}

/// Notes every proposal that is not answered.
pub(crate) fn report(proposals: &[Proposal], findings: &mut Findings, curves: &[Curve]) {
    for p in proposals.iter().filter(|p| p.answer.is_none()) {
        let line = p.curves.first().map(|&c| curves[c].at);
        findings.add_named(p.kind.fault(), &p.reason, Some(p.at), line);
    }
}

impl Evidence<'_> {
    pub fn counts(&self, curve: usize) -> bool {
        matches!(self.status[curve], Status::Used | Status::Inner)
    }
    /// Whether the reading is cancelled: what is found then counts no more.
    pub fn stops(&self) -> bool {
        self.progress.check().is_err()
    }
    pub fn is_claimed(&self, list: &[usize]) -> bool {
        list.iter().any(|&c| self.claimed[c])
    }
    /// Adds a proposal about curves that none holds yet.
    pub fn propose(&mut self, kind: ProposalKind, mut curves: Vec<usize>, reason: String) {
        curves.sort_unstable();
        curves.dedup();
        curves.retain(|&c| !self.claimed[c]);
        let Some(&first) = curves.first() else { return };
        for &c in &curves {
            self.claimed[c] = true;
        }
        let place = self.curves[first].segments.first().map(|s| s.a);
        let holds = |c: &ProfileContour| c.curves.iter().all(|k| curves.binary_search(k).is_ok());
        let contours = self.profile.contours.iter().filter(|c| holds(c));
        self.found.push(Proposal {
            kind,
            contours: contours
                .filter_map(|c| c.curves.iter().min().copied())
                .collect(),
            layer: self.curves[first].layer.to_string(),
            reason,
            at: place.unwrap_or_default() + self.profile.origin,
            answer: None,
            curves,
        });
    }

    /// By names of layers and blocks and by line types.
    fn by_name(&mut self) {
        let mut of_layer: BTreeMap<usize, Hint> = BTreeMap::new();
        let mut hints = vec![(Hint::None, false); self.curves.len()];
        let mut others = 0_usize;
        for (k, curve) in self.curves.iter().enumerate() {
            if !self.counts(k) {
                continue;
            }
            let layer = *of_layer
                .entry(curve.layer_index)
                .or_insert_with(|| Hint::of_name(&curve.layer));
            hints[k] = match (layer, curve.hint) {
                (Hint::None, own) => (own, false),
                (layer, _) => (layer, true),
            };
            others += usize::from(hints[k].0 == Hint::None);
        }
        // A drawing that lies on such a layer altogether is the part all the same.
        if others == 0 {
            return;
        }
        // A contour of mixed curves is no centre line: one of them was drawn in the wrong line type.
        for contour in &self.profile.contours {
            if contour.curves.iter().any(|&c| hints[c].0 == Hint::None) {
                for &c in &contour.curves {
                    hints[c].0 = Hint::None;
                }
            }
        }
        let mut groups: BTreeMap<(ProposalKind, usize, bool), Vec<usize>> = BTreeMap::new();
        for (k, (hint, by_layer)) in hints.into_iter().enumerate() {
            if let Some(kind) = ProposalKind::of_hint(hint) {
                let key = (kind, self.curves[k].layer_index, by_layer);
                groups.entry(key).or_default().push(k);
            }
        }
        for ((kind, _, by_layer), list) in groups {
            let (n, layer) = (list.len(), &self.curves[list[0]].layer);
            let reason = match (by_layer, kind) {
                (true, _) => format!("{} on layer {layer}, by its name", curves_text(n)),
                (false, ProposalKind::CentreLine) => format!(
                    "{} on layer {layer} in a dashed and dotted line type",
                    curves_text(n)
                ),
                (false, _) => format!("{} of a block with such a name", curves_text(n)),
            };
            self.propose(kind, list, reason);
        }
    }

    /// Loose straight lines that run through the centre of a circle.
    fn through_centres(&mut self) -> Result<(), Cancelled> {
        let circles: Vec<(Point, f64)> = self
            .profile
            .contours
            .iter()
            .filter_map(|c| circle(&c.shape.segments().collect::<Vec<_>>()))
            .collect();
        let lines: Vec<usize> = self
            .profile
            .open
            .iter()
            .filter(|o| o.segments.len() == 1 && o.segments[0].is_straight())
            .filter_map(|o| o.curves.first().copied())
            .filter(|&c| !self.claimed[c])
            .collect();
        let index = BoxIndex::of_points(circles.iter().map(|c| c.0), self.progress)?;
        let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for c in lines {
            self.progress.check()?;
            let Some((a, b)) = self.curves[c].ends() else {
                continue;
            };
            let line = Segment::line(a, b);
            let mut near = index.within(&line.bounds().grown(NEAR_CENTRE)).into_iter();
            if near.any(|k| runs_through(&line, circles[k])) {
                groups
                    .entry(self.curves[c].layer_index)
                    .or_default()
                    .push(c);
            }
        }
        for list in groups.into_values() {
            let reason = format!(
                "{} on layer {} through centres of circles",
                curves_text(list.len()),
                self.curves[list[0]].layer
            );
            self.propose(ProposalKind::CentreLine, list, reason);
        }
        Ok(())
    }
}

pub(crate) fn curves_text(n: usize) -> String {
    if n == 1 {
        "1 curve".into()
    } else {
        format!("{n} curves")
    }
}

/// A line this near to a centre runs through it, mm; less for small circles.
const NEAR_CENTRE: f64 = 0.01;

/// Whether a line crosses a circle's centre and goes on for a good part of its radius either way.
fn runs_through(line: &Segment, (centre, radius): (Point, f64)) -> bool {
    let way = line.b - line.a;
    let length = way.norm();
    let off = (way.cross(centre - line.a) / length).abs();
    let along = way.dot(centre - line.a) / length;
    let beyond = 0.1 * radius;
    off <= NEAR_CENTRE.min(1e-3 * radius) && along > beyond && length - along > beyond
}

/// Centre and radius of a contour that is one circle.
fn circle(segments: &[Segment]) -> Option<(Point, f64)> {
    if segments.len() > 8 {
        return None;
    }
    let first = segments.first()?;
    let (centre, radius) = (first.centre()?, first.radius());
    let same = |s: &Segment| {
        s.centre()
            .is_some_and(|c| c.distance(centre) <= 1e-6 * radius)
    };
    segments.iter().all(same).then_some((centre, radius))
}
