//! What is drawn but seldom cut: centre lines, borders, title blocks, the edge of a ground block, and the
//! same part drawn again as another view.
//!
//! Each is a question with its reason. Until it is answered the curves count; nothing is left out unasked.

use crate::drawing::curves::Curve;
use crate::drawing::format::{Fault, Hint, Progress};
use crate::drawing::joining::Status;
use crate::geometry::{DrawingPoint, Point};
use crate::profile::{Part, Profile, ProfileContour};
use crate::units::Length;

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
    /// The same part drawn again: another part, or another view of the first.
    SameAgain,
}

impl ProposalKind {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::CentreLine,
        Self::Border,
        Self::TitleBlock,
        Self::BlockEdge,
        Self::SameAgain,
    ];
    /// The code of its finding, which programs may rely on.
    pub fn code(self) -> &'static str {
        self.fault().code()
    }
    /// The finding that asks it.
    pub fn fault(self) -> Fault {
        match self {
            Self::CentreLine => Fault::MaybeCentreLines,
            Self::Border => Fault::MaybeBorder,
            Self::TitleBlock => Fault::MaybeTitleBlock,
            Self::BlockEdge => Fault::MaybeBlockEdge,
            Self::SameAgain => Fault::MaybeSameAgain,
        }
    }
    pub(crate) fn of_hint(hint: Hint) -> Option<Self> {
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

/// A short word for a proposal, the same at every reading of the file: its code and its lowest curve, `maybe-border-12`.
pub fn proposal_id((kind, curve): ProposalKey) -> String {
    format!("{}-{curve}", kind.code())
}

/// Which proposal such a word names; `None` where it names none.
pub fn proposal_key(id: &str) -> Option<ProposalKey> {
    let (code, curve) = id.rsplit_once('-')?;
    let kind = ProposalKind::ALL.into_iter().find(|k| k.code() == code)?;
    Some((kind, curve.parse().ok()?))
}

/// Why curves are perhaps not to be cut.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// The name of their layer says so.
    LayerName {
        /// How many curves.
        curves: usize,
        /// The layer.
        layer: String,
    },
    /// Their line type is dashed and dotted.
    LineType {
        /// How many curves.
        curves: usize,
        /// The layer.
        layer: String,
    },
    /// The name of their block says so: how many curves.
    BlockName(usize),
    /// They run through centres of circles.
    ThroughCentres {
        /// How many curves.
        curves: usize,
        /// The layer.
        layer: String,
    },
    /// A rectangle around everything, with so many texts in it.
    FrameWithTexts(usize),
    /// A rectangle of this width and height around everything.
    Frame(Length, Length),
    /// A rectangle with so many texts and only lines in it.
    TableOfTexts(usize),
    /// So many curves in the border, beside the part.
    InTheBorder(usize),
    /// Parts with the same outline and openings.
    SameOutline {
        /// How many, with the first.
        parts: usize,
        /// How many of them are mirror images of the first.
        mirrored: usize,
    },
}

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
    /// Why.
    pub reason: Reason,
    /// Where, absolute drawing coordinates in mm.
    pub at: DrawingPoint,
    /// What [`crate::drawing::ReadOptions::answers`] says to it.
    pub answer: Option<Answer>,
}

impl Proposal {
    /// What an answer to it is kept under in [`crate::drawing::ReadOptions::answers`].
    pub fn key(&self) -> ProposalKey {
        (self.kind, self.curves.first().copied().unwrap_or_default())
    }
}

/// What proposals are found from.
pub(crate) struct Evidence<'a> {
    pub curves: &'a [Curve],
    pub status: &'a [Status],
    pub profile: &'a Profile,
    /// The profile's parts, borders counted.
    pub parts: &'a [Part],
    /// Where texts stand, mm about the profile's origin.
    pub texts: &'a [Point],
    /// Curves that a proposal holds already.
    pub claimed: Vec<bool>,
    pub found: Vec<Proposal>,
    pub progress: &'a Progress,
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
    pub fn propose(&mut self, kind: ProposalKind, mut curves: Vec<usize>, reason: Reason) {
        curves.sort_unstable();
        curves.dedup();
        curves.retain(|&c| !self.claimed[c]);
        let Some(&first) = curves.first() else { return };
        for &c in &curves {
            self.claimed[c] = true;
        }
        let place = self.curves[first].segments.first().map(|s| s.a);
        let holds = |c: &ProfileContour| c.curves.iter().all(|k| curves.binary_search(k).is_ok());
        let contours = self.profile.contours().iter().filter(|c| holds(c));
        self.found.push(Proposal {
            kind,
            contours: contours
                .filter_map(|c| c.curves.iter().min().copied())
                .collect(),
            layer: self.curves[first].layer.to_string(),
            reason,
            at: place.unwrap_or_default() + self.profile.origin(),
            answer: None,
            curves,
        });
    }
}
