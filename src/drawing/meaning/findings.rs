//! What the import did and could not do, one finding a kind of fault, each with its places. Their
//! sentences are in `words::findings`.

use super::proposals::Reason;
use super::units::Units;
use crate::drawing::format::{Fault, KEPT_PLACES, Kind, Noticed, Severity, Value};
use crate::drawing::joining::Offer;
use crate::geometry::DrawingPoint;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// What may stand in for curves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StandInKind {
    /// HATCH.
    HatchedArea,
    /// MLINE.
    Multiline,
}

impl StandInKind {
    /// Of a hatched area or a multiline, the only ones there are.
    pub(super) fn of(kind: Kind) -> Self {
        if kind == Kind::Hatch {
            Self::HatchedArea
        } else {
            Self::Multiline
        }
    }
}

/// What a finding is about beside its places: one of these, by its kind.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum About {
    /// Nothing more.
    #[default]
    Nothing,
    /// A length, the largest where there are several.
    Length(Length),
    /// A number, the largest where there are several.
    Count(usize),
    /// A width and a height.
    Size(Length, Length),
    /// Layers or blocks, five at most.
    Names(Vec<String>),
    /// What may stand in for curves.
    StandIns(BTreeSet<StandInKind>),
    /// The unit of the drawing, and why.
    Units(Units),
    /// Why curves are perhaps not to be cut, five at most.
    Reasons(Vec<Reason>),
}

/// One kind of fault in one drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What kind.
    pub fault: Fault,
    /// How often.
    pub count: usize,
    /// What it is about.
    pub about: About,
    /// Where, absolute drawing coordinates in mm; the first thousand places.
    pub at: Vec<DrawingPoint>,
    /// Lines of the file (byte positions in a binary one); the first thousand.
    pub lines: Vec<usize>,
    /// Changes that would mend it, each made once it stands in [`crate::drawing::ReadOptions::accepted`].
    pub offers: Vec<Offer>,
}

impl Finding {
    fn new(fault: Fault) -> Self {
        Self {
            fault,
            count: 0,
            about: About::Nothing,
            at: Vec::new(),
            lines: Vec::new(),
            offers: Vec::new(),
        }
    }
    /// Short word that programs may rely on.
    pub fn code(&self) -> &'static str {
        self.fault.code()
    }
    /// How much it weighs.
    pub fn severity(&self) -> Severity {
        self.fault.severity()
    }
    /// Notes it once more.
    pub(crate) fn note(&mut self, at: Option<DrawingPoint>, line: Option<usize>) -> &mut Self {
        self.count += 1;
        self.at.extend(at.filter(|_| self.at.len() < KEPT_PLACES));
        self.lines
            .extend(line.filter(|_| self.lines.len() < KEPT_PLACES));
        self
    }
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
        match findings.iter().map(Finding::severity).max() {
            None | Some(Severity::Note) => Self::SafeToQuote,
            Some(Severity::Check) => Self::CheckThis,
            Some(Severity::Refuse) => Self::Refuse,
        }
    }
    /// The fixed words written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::SafeToQuote => say!("safe to quote"),
            Self::CheckThis => say!("check this"),
            Self::Refuse => "refuse",
        }
    }
}

/// Reasons that one finding keeps: five tell enough.
const KEPT_REASONS: usize = 5;

/// The findings of a drawing, by kind.
#[derive(Debug, Clone, Default)]
pub(crate) struct Findings(BTreeMap<Fault, Finding>);

impl Findings {
    /// With all that was noticed.
    pub fn of(noticed: Noticed) -> Self {
        let finding = |(fault, entry): (Fault, crate::drawing::format::Entry)| {
            let finding = Finding {
                fault,
                count: entry.count,
                about: match entry.value {
                    Value::None => About::Nothing,
                    Value::Length(length) => About::Length(length),
                    Value::Count(n) => About::Count(n),
                    Value::Names(names) => About::Names(names.into_iter().collect()),
                },
                at: entry.at,
                lines: entry.lines,
                offers: Vec::new(),
            };
            (fault, finding)
        };
        Self(noticed.into_entries().map(finding).collect())
    }
    /// The finding of a kind, made when it is the first of it.
    pub fn of_kind(&mut self, fault: Fault) -> &mut Finding {
        self.0.entry(fault).or_insert_with(|| Finding::new(fault))
    }
    /// Notes why curves are perhaps not to be cut.
    pub fn add_reason(
        &mut self,
        fault: Fault,
        reason: &Reason,
        at: DrawingPoint,
        line: Option<usize>,
    ) {
        let finding = self.of_kind(fault).note(Some(at), line);
        match &mut finding.about {
            About::Reasons(list) if list.len() >= KEPT_REASONS || list.contains(reason) => {}
            About::Reasons(list) => list.push(reason.clone()),
            about => *about = About::Reasons(vec![reason.clone()]),
        }
    }
    /// Offers a change that would mend a fault; the same one only once.
    pub fn offer(&mut self, fault: Fault, offer: Offer) {
        let offers = &mut self.of_kind(fault).offers;
        if !offers.contains(&offer) {
            offers.push(offer);
        }
    }
    /// The findings, heaviest first.
    pub fn list(self) -> Vec<Finding> {
        let mut list: Vec<Finding> = self.0.into_values().collect();
        list.sort_by_key(|f| std::cmp::Reverse(f.severity()));
        list
    }
}
