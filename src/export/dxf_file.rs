//! The file: header, layers, entities.

use super::dxf_entities::{Placed, on_layer};
use super::{Content, Layer};
use crate::drawing::Unit;
use crate::estimate::Estimate;
use crate::geometry::{Bounds, Contour, Point};
use crate::job::cut_contours;
use crate::language::said;
use crate::units::Length;
use dxf::entities::EntityType;
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use std::collections::BTreeMap;
use std::fmt;

/// What is written beside planning aids.
const PLANNING_AID: &str = key!(
    "Wire paths and start holes on the layers PLANNING_AID are a planning aid and no machine program."
);

/// A drawing that was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Exported {
    /// The file.
    pub bytes: Vec<u8>,
    /// Entities by layer.
    pub entities: BTreeMap<Layer, usize>,
    /// Contours of the drawing that are not cut, and not in it.
    pub left_out: usize,
    /// Length of the closed contours as they are written.
    pub cut_length: Length,
    /// The same as drawn, before splines and facets became arcs and gaps were closed.
    pub drawn_length: Length,
}

/// Why nothing was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ExportError {
    /// Nothing is cut and nothing stays open.
    Nothing,
    /// The wire whose paths are asked for cannot do the job.
    NoPaths,
    /// A unit that the format's header has no number for.
    Unit,
    /// The format's library failed.
    Writer(String),
}

impl fmt::Display for ExportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Nothing => say!("nothing of the drawing is cut"),
            Self::NoPaths => say!("the wire whose paths are asked for cannot cut the drawing"),
            Self::Unit => say!("the header of the format knows no such unit"),
            Self::Writer(why) => why,
        })
    }
}
impl std::error::Error for ExportError {}

/// The drawing as the bytes of a DXF file (release 2000, the first with a unit in its header and light polylines).
///
/// # Errors
/// Nothing to write, or paths of a wire that cannot cut it.
pub fn dxf(content: &Content<'_>) -> Result<Exported, ExportError> {
    let mut file = Writer::new(content)?;
    file.contours();
    file.open_chains();
    if let Some(estimate) = content.paths {
        file.planning_aids(estimate)?;
    }
    file.finished()
}

struct Writer<'a> {
    content: &'a Content<'a>,
    placed: Placed,
    file: dxf::Drawing,
    entities: BTreeMap<Layer, usize>,
    extent: Bounds,
    cut_length: f64,
    drawn_length: f64,
}

impl<'a> Writer<'a> {
    #[allow(
        clippy::default_trait_access,
        reason = "dates and identities are types of the writer's own dependencies"
    )]
    fn new(content: &'a Content<'a>) -> Result<Self, ExportError> {
        let mut file = dxf::Drawing::new();
        let header = &mut file.header;
        header.version = AcadVersion::R2000;
        (header.default_drawing_units, header.drawing_units) = match content.unit {
            Unit::Millimetre => (Units::Millimeters, DrawingUnits::Metric),
            Unit::Inch => (Units::Inches, DrawingUnits::English),
            _ => return Err(ExportError::Unit),
        };
        // The same drawing gives the same bytes: no clock and no chance in them.
        header.creation_date = Default::default();
        header.creation_date_universal = Default::default();
        header.update_date = Default::default();
        header.update_date_universal = Default::default();
        header.fingerprint_guid = Default::default();
        header.version_guid = Default::default();
        Ok(Self {
            content,
            placed: Placed {
                origin: content.profile.origin(),
                unit_mm: content.unit.mm(),
            },
            file,
            entities: BTreeMap::new(),
            extent: Bounds::EMPTY,
            cut_length: 0.0,
            drawn_length: 0.0,
        })
    }

    fn add(&mut self, layer: Layer, entity: EntityType) {
        let count = self.entities.entry(layer).or_insert(0);
        if *count == 0 {
            let mut table_entry = dxf::tables::Layer {
                name: layer.name(),
                ..Default::default()
            };
            table_entry.color = dxf::Color::from_index(layer.colour());
            table_entry.is_layer_plotted = !layer.is_planning_aid();
            self.file.add_layer(table_entry);
        }
        *count += 1;
        self.file.add_entity(on_layer(&layer.name(), entity));
    }

    fn contours(&mut self) {
        let Content { profile, job, .. } = *self.content;
        for (k, contour) in cut_contours(job, profile) {
            let layer = Layer::of(job.role(profile, k));
            self.extent.include_bounds(&contour.shape.bounds());
            self.cut_length += contour.shape.length();
            self.drawn_length += contour.drawn_length.mm();
            self.add(layer, self.placed.closed(&contour.shape));
        }
    }

    fn open_chains(&mut self) {
        let Content { profile, job, .. } = *self.content;
        for chain in profile.open() {
            let layer = if job.cuts_on_line(chain) {
                Layer::OnLine
            } else {
                Layer::Open
            };
            let Some(entity) = self.placed.open(&chain.segments) else {
                continue;
            };
            for s in &chain.segments {
                self.extent.include_bounds(&s.bounds());
            }
            self.add(layer, entity);
        }
    }

    fn planning_aids(&mut self, estimate: &Estimate) -> Result<(), ExportError> {
        let figures = estimate.figures.as_ref().ok_or(ExportError::NoPaths)?;
        for edge in &estimate.lower_edges {
            for ring in edge.loops.iter() {
                self.add(Layer::LowerEdge, self.placed.closed(ring));
            }
        }
        for ring in estimate.rings.iter().flat_map(|r| r.loops.iter()) {
            self.add(Layer::BurnOut, self.placed.closed(ring));
        }
        for path in &estimate.paths {
            for ring in path.loops.iter() {
                self.add(Layer::Path(path.pass.number()), self.placed.closed(ring));
            }
        }
        for s in &figures.starts {
            let (hole, join) = (s.start.hole, s.start.join);
            if let Some(diameter) = s.hole {
                // As it is drilled, and its centre, which other programs look for.
                let circle = Contour::circle(hole, 0.5 * diameter.mm());
                self.add(Layer::StartHole, self.placed.closed(&circle));
                self.add(Layer::StartHole, self.placed.mark(hole));
            }
            if hole != join {
                self.add(Layer::LeadIn, self.placed.line(hole, join));
            }
        }
        self.note();
        Ok(())
    }

    /// Below the part, small beside it.
    fn note(&mut self) {
        let size = self.extent.size();
        let height = (0.02 * size.x.max(size.y)).max(0.5);
        let at = self.extent.min + Point::new(0.0, -3.0 * height);
        let words = said(PLANNING_AID).to_owned();
        self.add(Layer::Note, self.placed.text(at, height, words));
    }

    fn finished(mut self) -> Result<Exported, ExportError> {
        if self.entities.is_empty() {
            return Err(ExportError::Nothing);
        }
        self.file.header.minimum_drawing_extents = self.placed.point(self.extent.min);
        self.file.header.maximum_drawing_extents = self.placed.point(self.extent.max);
        let mut bytes = Vec::new();
        let failed = |e: dxf::DxfError| ExportError::Writer(e.to_string());
        self.file.save(&mut bytes).map_err(failed)?;
        let Content { profile, job, .. } = *self.content;
        Ok(Exported {
            bytes,
            left_out: profile.contours().iter().filter(|c| !job.cuts(c)).count(),
            entities: self.entities,
            cut_length: Length::from_mm(self.cut_length),
            drawn_length: Length::from_mm(self.drawn_length),
        })
    }
}
