//! What `measure` writes as JSON: the fields that scripts rely on.

use super::reading::{Failed, Unread};
use crate::drawing::{Answer, Drawing, Finding, Note, NoteKind, Offer, Proposal, proposal_id};
use crate::geometry::DrawingPoint;
use crate::library::Library;
use crate::measures::{ContourMeasures, Measures, Totals, measure, totals_of_part};
use crate::notes::{NoteReader, Says, Vocabulary};
use crate::profile::{Keep, ProfileContour};
use crate::reason::short;
use crate::units::Length;
use crate::words::reading::{self, unit_reason};
use crate::words::{System, findings, offers};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;

/// Writes the object of one file.
///
/// # Errors
/// An output that cannot be written.
pub fn write_object(
    out: &mut impl Write,
    file: &Path,
    result: Result<&Drawing, &Unread>,
    keep: Keep,
) -> serde_json::Result<()> {
    let file = file.display().to_string();
    match result {
        Ok(drawing) => serde_json::to_writer_pretty(out, &Measured::new(file, drawing, keep)),
        Err(error) => serde_json::to_writer_pretty(out, &Failed::new(file, error)),
    }
}

/// A drawing's measures as they are written.
#[derive(Debug, Serialize)]
pub struct Measured<'a> {
    file: String,
    pub units: UnitsText,
    pub scale: ScaleText,
    bounds_mm: Option<[f64; 4]>,
    pub contours: Vec<ContourText<'a>>,
    pub totals: TotalsText,
    /// Contours that belong together, each part with totals of its own.
    parts: Vec<PartText>,
    /// What the drawing's texts and dimensions say.
    pub notes: Vec<NoteText<'a>>,
    pub import: ImportText<'a>,
}

#[derive(Debug, Serialize)]
pub struct ScaleText {
    /// Drawn size over true size.
    pub used: f64,
    pub from: &'static str,
    /// What the drawing says itself, where that is another one. Never taken unasked.
    pub offered: Option<OfferedScale>,
}

impl ScaleText {
    /// Of a drawing.
    pub fn of(drawing: &Drawing) -> Self {
        let drawn = &drawing.scale;
        Self {
            used: drawn.used.scale.factor(),
            from: drawn.used.from.word(),
            offered: drawn.offered.map(|o| OfferedScale {
                scale: o.scale.factor(),
                from: o.from.word(),
                accept: format!("--scale {}", o.scale),
            }),
        }
    }
    /// What a person has to know before a figure is believed; `None` where the drawing says nothing else.
    pub fn words(&self) -> Option<String> {
        let offered = self.offered.as_ref()?;
        Some(say!(
            "By its {} the drawing is at another scale than it was read at, which nobody has taken. To take it: {}.",
            if offered.from == "text" {
                "texts"
            } else {
                "dimensions"
            },
            offered.accept
        ))
    }
}

#[derive(Debug, Serialize)]
pub struct OfferedScale {
    scale: f64,
    from: &'static str,
    /// How to take it on the command line.
    pub accept: String,
}

#[derive(Debug, Serialize)]
pub struct NoteText<'a> {
    pub text: &'a str,
    /// The text that heads it, as in the cells of a title block.
    #[serde(skip_serializing_if = "Option::is_none")]
    head: Option<&'a str>,
    /// Null in a layout, which is a sheet of its own.
    at_mm: Option<[f64; 2]>,
    kind: &'static str,
    layer: &'a str,
    pub says: SaysText,
}

/// Only what is plain.
#[derive(Debug, Serialize)]
pub struct SaysText {
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    quantity: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    material: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ra_um: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tolerance_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    scale: Option<f64>,
}

impl SaysText {
    /// What is said, as a person reads it; empty for nothing.
    pub fn words(&self) -> String {
        let number = |name: &str, value: Option<f64>, unit: &str| {
            value.map(|v| format!("{name} {}{unit}", short(v)))
        };
        let all = [
            number("thickness", self.thickness_mm, " mm"),
            self.quantity.map(|n| say!("quantity {n}")),
            self.material.as_ref().map(|m| say!("material {m}")),
            number(say!("Ra"), self.ra_um, " µm"),
            number(say!("tolerance ±"), self.tolerance_mm, " mm"),
            number(say!("drawn over true size"), self.scale, ""),
        ];
        all.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

impl From<Says> for SaysText {
    fn from(says: Says) -> Self {
        Self {
            thickness_mm: says.thickness.map(Length::mm),
            quantity: says.quantity,
            material: says.material,
            ra_um: says.roughness_um,
            tolerance_mm: says.tolerance.map(Length::mm),
            scale: says.scale.map(crate::drawing::Scale::factor),
        }
    }
}

fn notes(drawing: &Drawing) -> Vec<NoteText<'_>> {
    let vocabulary = Vocabulary::of(Library::built_in());
    let reader = NoteReader::new(&vocabulary, &drawing.units);
    let note = |n: &'_ Note| SaysText::from(reader.says(n));
    let all = drawing.notes.iter();
    all.map(|n| NoteText {
        text: &n.text,
        head: n.head.as_deref(),
        at_mm: (!n.in_layout).then(|| n.at.xy()),
        kind: match n.kind {
            NoteKind::Text => "text",
            NoteKind::Attribute => "attribute",
            NoteKind::Dimension => "dimension",
        },
        layer: &n.layer,
        says: note(n),
    })
    .collect()
}

#[derive(Debug, Serialize)]
pub struct UnitsText {
    used: &'static str,
    from: &'static str,
    pub reason: String,
}

#[derive(Debug, Serialize)]
pub struct ContourText<'a> {
    pub role: &'static str,
    pub depth: usize,
    pub length_mm: f64,
    /// No area is claimed for what does not close.
    pub area_mm2: Option<f64>,
    pub corners: usize,
    pub tightest_inside_radius_mm: Option<f64>,
    pub layer: &'a str,
}

#[derive(Debug, Serialize)]
pub struct TotalsText {
    pub cut_length_mm: f64,
    pub open_length_mm: f64,
    pub outlines: usize,
    pub openings: usize,
    pub open: usize,
    pub corners: usize,
    pub slugs: usize,
    pub net_area_mm2: f64,
}

#[derive(Debug, Serialize)]
struct PartText {
    name: String,
    bounds_mm: [f64; 4],
    /// Indices into the list of contours; open chains follow the closed ones there.
    contours: Vec<usize>,
    cut_length_mm: f64,
    totals: TotalsText,
}

#[derive(Debug, Serialize)]
struct ProposalText<'a> {
    /// What --leave-out and --cut name it by.
    id: String,
    code: &'static str,
    answer: Option<&'static str>,
    reason: String,
    layer: &'a str,
    contours: Vec<usize>,
    curves: usize,
    at_mm: [f64; 2],
}

#[derive(Debug, Serialize)]
pub struct ImportText<'a> {
    pub verdict: &'static str,
    read: &'a BTreeMap<String, usize>,
    skipped: &'a BTreeMap<String, usize>,
    pub findings: Vec<FindingText<'a>>,
    /// What is perhaps not to be cut, counted all the same.
    proposals: Vec<ProposalText<'a>>,
}

#[derive(Debug, Serialize)]
pub struct FindingText<'a> {
    code: &'static str,
    pub severity: &'static str,
    count: usize,
    pub message: String,
    pub at_mm: Option<[f64; 2]>,
    #[serde(serialize_with = "pairs")]
    places_mm: &'a [DrawingPoint],
    pub lines: &'a [usize],
    /// Changes that would mend it, each made when it is accepted.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub offers: Vec<OfferText>,
}

#[derive(Debug, Serialize)]
pub struct OfferText {
    pub id: String,
    /// What it would do.
    pub does: String,
    from_mm: [f64; 2],
    to_mm: [f64; 2],
    /// How to take it on the command line.
    accept: String,
}

fn pairs<S: Serializer>(points: &[DrawingPoint], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(points.iter().map(|p| p.xy()))
}

impl<'a> Measured<'a> {
    pub fn new(file: String, drawing: &'a Drawing, keep: Keep) -> Self {
        let measures = measure(&drawing.profile, keep);
        let b = &drawing.bounds;
        Self {
            file,
            units: UnitsText {
                used: drawing.units.used.sign(),
                from: drawing.units.from.word(),
                reason: unit_reason(&drawing.units, System::Metric),
            },
            scale: ScaleText::of(drawing),
            bounds_mm: (!b.is_empty()).then_some([b.min.x, b.min.y, b.max.x, b.max.y]),
            contours: contours(drawing, &measures),
            totals: TotalsText::of(&measures.totals),
            parts: parts(drawing, &measures),
            notes: notes(drawing),
            import: import(drawing),
        }
    }
}

impl TotalsText {
    fn of(totals: &Totals) -> Self {
        Self {
            cut_length_mm: totals.cut_length.mm(),
            open_length_mm: totals.open_length.mm(),
            outlines: totals.outlines,
            openings: totals.openings,
            open: totals.open,
            corners: totals.corners,
            slugs: totals.slugs,
            net_area_mm2: totals.net_area.mm2(),
        }
    }
}

fn parts(drawing: &Drawing, measures: &Measures) -> Vec<PartText> {
    let profile = &drawing.profile;
    let origin = profile.origin();
    drawing
        .parts
        .iter()
        .enumerate()
        .map(|(k, part)| {
            let totals = totals_of_part(profile, measures, part);
            let (low, high) = (part.bounds.min + origin, part.bounds.max + origin);
            let open = part.open.iter().map(|k| profile.contours().len() + k);
            PartText {
                name: say!("part {}", k + 1),
                bounds_mm: [low.x(), low.y(), high.x(), high.y()],
                contours: part.contours.iter().copied().chain(open).collect(),
                cut_length_mm: totals.cut_length.mm(),
                totals: TotalsText::of(&totals),
            }
        })
        .collect()
}

/// Closed contours in the profile's order, then the open chains.
fn contours<'a>(drawing: &'a Drawing, measures: &Measures) -> Vec<ContourText<'a>> {
    let closed = |(c, drawn): (&ContourMeasures, &'a ProfileContour)| ContourText {
        role: c.role.word(),
        depth: c.depth,
        length_mm: c.length.mm(),
        area_mm2: Some(c.area.mm2()),
        corners: c.corners,
        tightest_inside_radius_mm: c.tightest_inside_radius.map(Length::mm),
        layer: &drawn.layer,
    };
    let open = drawing.profile.open().iter().map(|chain| ContourText {
        role: key!("open"),
        depth: 0,
        length_mm: chain.drawn_length.mm(),
        area_mm2: None,
        corners: 0,
        tightest_inside_radius_mm: None,
        layer: &chain.layer,
    });
    let both = measures.contours.iter().zip(drawing.profile.contours());
    both.map(closed).chain(open).collect()
}

/// What was read, skipped and found.
pub fn import(drawing: &Drawing) -> ImportText<'_> {
    ImportText {
        verdict: drawing.verdict.word(),
        read: &drawing.read,
        skipped: &drawing.skipped,
        findings: drawing.findings.iter().map(finding).collect(),
        proposals: drawing
            .proposals
            .iter()
            .map(|p| ProposalText {
                id: proposal_id(p.key()),
                code: p.kind.code(),
                answer: p.answer.map(|a| match a {
                    Answer::Cut => "cut",
                    Answer::LeaveOut => "leave-out",
                }),
                reason: reading::reason(&p.reason, System::Metric),
                layer: &p.layer,
                contours: contours_of(drawing, p),
                curves: p.curves.len(),
                at_mm: p.at.xy(),
            })
            .collect(),
    }
}

fn finding(f: &Finding) -> FindingText<'_> {
    FindingText {
        code: f.code(),
        severity: f.severity().word(),
        count: f.count,
        message: findings::sentence(f, System::Metric),
        at_mm: f.at.first().map(|p| p.xy()),
        places_mm: &f.at,
        lines: &f.lines,
        offers: f.offers.iter().map(offer).collect(),
    }
}

fn offer(o: &Offer) -> OfferText {
    OfferText {
        id: o.id(),
        does: offers::sentence(o, System::Metric),
        from_mm: o.from.xy(),
        to_mm: o.to.xy(),
        accept: format!("--accept {}", o.id()),
    }
}

/// The contours of a proposal by their place in the list.
fn contours_of(drawing: &Drawing, proposal: &Proposal) -> Vec<usize> {
    let contours = drawing.profile.contours().iter().enumerate();
    contours
        .filter(|(_, c)| {
            let lowest = c.curves.iter().min();
            lowest.is_some_and(|k| proposal.contours.contains(k))
        })
        .map(|(k, _)| k)
        .collect()
}
