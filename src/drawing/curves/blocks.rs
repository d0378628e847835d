//! Insertions become the curves of their blocks, nested, scaled, mirrored and in rows and columns.

use super::annotations::{PlacedDimension, PlacedText};
use super::curve::{Curve, make};
use super::frame::Frame;
use crate::drawing::format::{
    Annotations, Cancelled, Entity, Fault, Hint, InsertData, Kind, Noticed, Progress, SHARE, Scan,
    Shape, limits,
};
use crate::geometry::{Datum, DrawingPoint, Point};

/// Curves between two looks at the progress handle.
const CURVES_A_STEP: usize = 1 << 8;
/// Places of texts that are kept.
const KEPT_TEXTS: usize = 100_000;
/// Share of the whole reading that the expansion takes, for the progress bar.
const EXPANSION_SHARE: f64 = 0.15;

/// The curves and points of the model space.
#[derive(Debug, Default)]
pub struct Expanded {
    /// All curves, degenerate and hidden ones too.
    pub curves: Vec<Curve>,
    /// Points, absolute drawing coordinates in mm.
    pub points: Vec<DrawingPoint>,
    /// Where texts stand, mm about the profile's origin.
    pub texts: Vec<Point>,
    /// What the model space, its insertions and the layouts say.
    pub notes: Vec<PlacedText>,
    /// The dimensions of the model space and its insertions.
    pub dimensions: Vec<PlacedDimension>,
    /// What could stand in for curves.
    pub stand_ins: Vec<StandIn>,
}

/// A hatched area or a multiline whose edges are among the curves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StandIn {
    /// What it is.
    pub kind: Kind,
    /// Its first curve.
    pub first: usize,
    /// It lies in the model space itself, not in a block.
    pub in_model: bool,
}

/// What an entity inherits from the insertions around it.
#[derive(Clone, Copy)]
struct Context {
    frame: Frame,
    /// Layer and colour of the insertion; `None` in the model space.
    inherited: Option<(u32, i16)>,
    hidden: bool,
    /// What the names of the blocks around say.
    hint: Hint,
}

struct Expansion<'a> {
    scan: &'a Scan,
    origin: Datum,
    noticed: &'a mut Noticed,
    progress: &'a Progress,
    out: Expanded,
    open_blocks: Vec<u32>,
    steps: usize,
    segments: usize,
    /// Curves and insertions after which it stops.
    limit: usize,
    /// Lines and arcs after which it stops.
    segment_limit: usize,
    full: bool,
    /// Edges of what is no curve itself are taken too.
    stand_ins: bool,
}

/// Expands the model space; `to_mm` is the drawing's unit, `origin` the profile's origin in mm. Where
/// that gives no curve to be seen, the edges of hatched areas and multilines are taken too.
pub fn expand(
    scan: &Scan,
    to_mm: f64,
    origin: Datum,
    noticed: &mut Noticed,
    progress: &Progress,
) -> Result<Expanded, Cancelled> {
    let mut own = noticed.clone();
    let expanded = expand_some(scan, (to_mm, origin), &mut own, progress, false)?;
    let is_seen = |c: &Curve| !c.hidden && !c.segments.is_empty();
    if expanded.curves.iter().any(is_seen) || !scan.entities.iter().any(|e| e.kind.stands_in()) {
        *noticed = own;
        return Ok(expanded);
    }
    expand_some(scan, (to_mm, origin), noticed, progress, true)
}

fn expand_some(
    scan: &Scan,
    (to_mm, origin): (f64, Datum),
    noticed: &mut Noticed,
    progress: &Progress,
    stand_ins: bool,
) -> Result<Expanded, Cancelled> {
    let entities = scan.entities.len();
    let mut expansion = Expansion {
        scan,
        origin,
        noticed,
        progress,
        out: Expanded::default(),
        open_blocks: Vec::new(),
        steps: 0,
        segments: 0,
        // A few bytes of rows and columns must not fill the memory.
        limit: limits::CURVES
            .min(limits::CURVES_OF_A_SMALL_FILE.max(limits::CURVES_AN_ENTITY * entities)),
        segment_limit: limits::SEGMENTS
            .min(limits::SEGMENTS_OF_A_SMALL_FILE.max(limits::SEGMENTS_AN_ENTITY * entities)),
        full: false,
        stand_ins,
    };
    let context = Context {
        frame: Frame::unit(to_mm, origin),
        inherited: None,
        hidden: false,
        hint: Hint::None,
    };
    expansion.texts(&scan.texts, &context.frame);
    expansion.says(&scan.annotations, &context);
    expansion.layouts_say(&context.frame);
    for (k, &i) in scan.model.iter().enumerate() {
        if k.is_multiple_of(CURVES_A_STEP) {
            let done = k as f64 / scan.model.len() as f64;
            progress.step(SHARE + EXPANSION_SHARE * done)?;
        }
        expansion.entity(&scan.entities[i], &context)?;
    }
    Ok(expansion.out)
}

impl Expansion<'_> {
    fn entity(&mut self, entity: &Entity, context: &Context) -> Result<(), Cancelled> {
        self.steps += 1;
        self.progress.check()?;
        if self.is_full(entity.at) {
            return Ok(());
        }
        if entity.kind.stands_in() && !self.stand_ins {
            return Ok(());
        }
        // Layer "0" and colour "by block" inside a block are those of the insertion.
        let (layer, colour) = match context.inherited {
            Some((layer, colour)) => (
                if entity.layer == 0 {
                    layer
                } else {
                    entity.layer
                },
                if entity.colour == 0 {
                    colour
                } else {
                    entity.colour
                },
            ),
            None => (entity.layer, entity.colour),
        };
        let entry = &self.scan.layers[layer as usize];
        match &entity.shape {
            Shape::Insert(insert) => {
                // A frozen layer hides all of an insertion, one that is off only what lies on it.
                let hidden = context.hidden || entity.invisible || entry.frozen;
                let context = Context {
                    inherited: Some((layer, colour)),
                    hidden,
                    ..*context
                };
                self.insert(entity, insert, &context)
            }
            Shape::Point(p) => {
                if !context.hidden && !entity.invisible && entry.visible() {
                    let at = context.frame.point(*p) + self.origin;
                    if at.is_finite() {
                        self.out.points.push(at);
                    }
                }
                Ok(())
            }
            Shape::Edges(edges) => {
                let first = self.out.curves.len();
                self.out.stand_ins.push(StandIn {
                    kind: entity.kind,
                    first,
                    in_model: context.inherited.is_none(),
                });
                let frame = context.frame.after(&Frame::of_normal(edges.normal));
                let context = Context { frame, ..*context };
                for shape in &edges.shapes {
                    self.curve(entity, shape, (layer, colour), Some(first), &context)?;
                }
                Ok(())
            }
            shape => self.curve(entity, shape, (layer, colour), None, context),
        }
    }

    /// Whether a limit is reached. Insertions count as well, so that nests of empty blocks end too.
    fn is_full(&mut self, at: usize) -> bool {
        if !self.full && (self.steps > self.limit || self.segments > self.segment_limit) {
            self.full = true;
            let (fault, limit) = if self.steps > self.limit {
                (Fault::TooManyCurves, self.limit)
            } else {
                (Fault::TooManySegments, self.segment_limit)
            };
            self.noticed.add_number(fault, limit, None, Some(at));
        }
        self.full
    }

    fn texts(&mut self, at: &[[f64; 3]], frame: &Frame) {
        let room = KEPT_TEXTS.saturating_sub(self.out.texts.len());
        let places = at.iter().map(|p| frame.point(*p));
        self.out
            .texts
            .extend(places.take(room).filter(|p| p.is_finite()));
    }

    /// What is said in the model space or an insertion, as far as it is seen.
    fn says(&mut self, list: &Annotations, context: &Context) {
        if context.hidden {
            return;
        }
        let scan = self.scan;
        let layer_of = |layer: u32| {
            let inherited = context.inherited.map_or(0, |(layer, _)| layer);
            let layer = if layer == 0 { inherited } else { layer };
            Some(&scan.layers[layer as usize]).filter(|l| l.visible())
        };
        for text in list.texts.iter().filter(|t| !t.invisible) {
            if self.out.notes.len() >= limits::NOTES {
                break;
            }
            let Some(layer) = layer_of(text.layer) else {
                continue;
            };
            let placed = PlacedText::of(text, &context.frame, self.origin, &layer.name);
            self.out.notes.extend(placed);
        }
        for dimension in list.dimensions.iter().filter(|d| !d.invisible) {
            if self.out.dimensions.len() >= limits::NOTES {
                break;
            }
            let Some(layer) = layer_of(dimension.layer) else {
                continue;
            };
            let picture = dimension.picture.map(|b| &scan.blocks[b as usize]);
            let shown = picture.and_then(|b| match b.annotations.texts.as_slice() {
                [text] => Some(text),
                _ => None,
            });
            let frame = (&context.frame, self.origin);
            let placed = PlacedDimension::of(dimension, shown, frame, &layer.name);
            self.out.dimensions.extend(placed);
        }
        for picture in &list.pictures {
            let block = &scan.blocks[picture.block as usize];
            let (Some(base), Some(_)) = (block.base, layer_of(picture.layer)) else {
                continue;
            };
            // A table's own block holds texts and lines, no further table.
            if !block.annotations.pictures.is_empty() {
                continue;
            }
            let placed = Frame::placed([1.0; 3], 0.0, picture.at);
            let frame = context.frame.after(&placed).after_moving(base.map(|c| -c));
            let inherited = context.inherited;
            let inner = Context {
                frame,
                inherited: inherited.or(Some((picture.layer, 256))),
                ..*context
            };
            self.says(&block.annotations, &inner);
        }
    }

    /// What the layouts and the blocks inserted in them say; their places are those of the sheet.
    fn layouts_say(&mut self, frame: &Frame) {
        let scan = self.scan;
        let blocks = scan.layout_blocks.iter();
        let of_blocks = blocks.map(|&b| &scan.blocks[b as usize].annotations);
        for list in std::iter::once(&scan.layouts).chain(of_blocks) {
            for text in list.texts.iter().filter(|t| !t.invisible) {
                if self.out.notes.len() >= limits::NOTES {
                    return;
                }
                let layer = &scan.layers[text.layer as usize];
                if !layer.visible() {
                    continue;
                }
                let placed = PlacedText::of(text, frame, self.origin, &layer.name);
                self.out.notes.extend(placed.map(|p| PlacedText {
                    in_layout: true,
                    ..p
                }));
            }
        }
    }

    fn curve(
        &mut self,
        entity: &Entity,
        shape: &Shape,
        (layer, colour): (u32, i16),
        stands_in: Option<usize>,
        context: &Context,
    ) -> Result<(), Cancelled> {
        let Some(made) = make(entity, shape, &context.frame, self.progress)? else {
            return Ok(());
        };
        let place = made.segments.first().map(|s| s.a + self.origin);
        for &fault in &made.faults {
            self.noticed.add(fault, place, Some(entity.at));
        }
        let entry = &self.scan.layers[layer as usize];
        if context.hidden || entity.invisible {
            self.noticed.add(Fault::Invisible, place, Some(entity.at));
        } else if !entry.visible() {
            self.noticed
                .add_named(Fault::HiddenLayer, &entry.name, place, Some(entity.at));
        }
        self.segments += made.segments.len();
        self.out.curves.push(Curve {
            kind: entity.kind.word(),
            layer: entry.name.clone(),
            layer_index: layer as usize,
            colour,
            at: entity.at,
            segments: made.segments,
            pieces: made.pieces,
            measure: made.measure,
            stands_in: stands_in.map(|first| first as u32),
            hidden: context.hidden || entity.invisible || !entry.visible(),
            hint: match context.hint {
                Hint::None if entity.dash_dot.unwrap_or(entry.dash_dot) => Hint::CentreLine,
                hint => hint,
            },
        });
        Ok(())
    }

    fn insert(
        &mut self,
        entity: &Entity,
        insert: &InsertData,
        context: &Context,
    ) -> Result<(), Cancelled> {
        let plane = context.frame.after(&Frame::of_normal(insert.normal));
        let place = Some(plane.point(insert.at) + self.origin);
        let block = &self.scan.blocks[insert.block as usize];
        let Some(base) = block.base else {
            self.noticed
                .add_named(Fault::BlockMissing, &block.name, place, Some(entity.at));
            return Ok(());
        };
        if self.open_blocks.contains(&insert.block) {
            self.noticed
                .add_named(Fault::BlockRecursive, &block.name, place, Some(entity.at));
            return Ok(());
        }
        if self.open_blocks.len() >= limits::BLOCK_DEPTH {
            self.noticed
                .add_named(Fault::BlockTooDeep, &block.name, place, Some(entity.at));
            return Ok(());
        }
        let mut scale = insert.scale;
        if scale.contains(&0.0) {
            self.noticed
                .add(Fault::InsertScaleZero, place, Some(entity.at));
            scale = scale.map(|s| if s == 0.0 { 1.0 } else { s });
        }
        self.noticed
            .add_uncounted_places(Fault::SkippedInBlock, block.skipped);
        self.open_blocks.push(insert.block);
        let hint = match context.hint {
            Hint::None => Hint::of_name(&block.name),
            hint => hint,
        };
        // Rows and columns lie in the turned, unscaled plane of the insertion.
        let turned = Frame::placed([1.0; 3], insert.rotation, [0.0; 3]);
        'all: for row in 0..insert.rows {
            for column in 0..insert.columns {
                self.steps += 1;
                self.progress.check()?;
                if self.is_full(entity.at) {
                    break 'all;
                }
                let shift = [
                    f64::from(column) * insert.spacing[0],
                    f64::from(row) * insert.spacing[1],
                    0.0,
                ];
                let at = super::frame::add(insert.at, turned.vector(shift));
                let placed = Frame::placed(scale, insert.rotation, at);
                let frame = plane.after(&placed).after_moving(base.map(|c| -c));
                let inner = Context {
                    frame,
                    hint,
                    ..*context
                };
                self.texts(&block.texts, &inner.frame);
                self.says(&block.annotations, &inner);
                for i in block.entities.clone() {
                    self.entity(&self.scan.entities[i], &inner)?;
                }
            }
        }
        self.open_blocks.pop();
        Ok(())
    }
}
