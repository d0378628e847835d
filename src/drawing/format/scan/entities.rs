//! Blocks, and entities on their way through `decode`.

use super::{Block, Parent, Scanner, Section};
use crate::drawing::format::decode::{add_vertex, decode};
use crate::drawing::format::entity::{Entity, Kind};
use crate::drawing::format::fields::{Fields, Rejected, Rejection};
use crate::drawing::format::noticed::Fault;
use crate::drawing::format::record::{Common, Record, first_text, is_mesh};

/// Places of texts that are kept of one block or of the model space.
const KEPT_TEXTS: usize = 10_000;

impl Scanner<'_, '_> {
    /// Number of a block; names count in any case.
    pub(super) fn block_id(&mut self, name: &[u8]) -> u32 {
        let key = name.to_ascii_lowercase();
        if let Some(&id) = self.block_ids.get(&key) {
            return id;
        }
        let id = self.out.blocks.len() as u32;
        let name = self.decoded(name);
        self.out.blocks.push(Block {
            name,
            ..Block::default()
        });
        self.block_ids.insert(key, id);
        id
    }

    pub(crate) fn begin_block(&mut self, record: &Record<'_>) {
        self.end_parent();
        self.end_block();
        let id = self.block_id(first_text(&record.pairs, 2)) as usize;
        let coordinate = |code| {
            let pair = record.pairs.iter().find(|p| p.code == code);
            pair.and_then(|p| p.value.number().ok())
                .map_or(0.0, |n| n.value)
        };
        let begin = self.out.entities.len();
        let block = &mut self.out.blocks[id];
        block.base = Some([coordinate(10), coordinate(20), coordinate(30)]);
        block.entities = begin..begin;
        self.block = Some(id);
    }

    pub(crate) fn end_block(&mut self) {
        if let Some(id) = self.block.take() {
            self.out.blocks[id].entities.end = self.out.entities.len();
        }
    }

    /// Keeps where a text stands: a rectangle with texts in it may be a border or a title block.
    fn note_text(&mut self, record: &Record<'_>) {
        let coordinate = |code| {
            let pair = record.pairs.iter().find(|p| p.code == code);
            pair.and_then(|p| p.value.number().ok()).map(|n| n.value)
        };
        let (Some(x), Some(y)) = (coordinate(10), coordinate(20)) else {
            return;
        };
        let texts = match self.block {
            Some(block) => &mut self.out.blocks[block].texts,
            None => &mut self.out.texts,
        };
        if texts.len() < KEPT_TEXTS {
            texts.push([x, y, 0.0]);
        }
    }

    pub(crate) fn entity(&mut self, record: &Record<'_>, cut_off: bool) {
        self.end_parent();
        if self.section == Section::Blocks && self.block.is_none() {
            return;
        }
        let in_model = self.section != Section::Blocks;
        let common = Common::of(&record.pairs);
        if in_model && common.paper {
            self.parent = Parent::Ignored;
            self.annotate_layout(record, &common);
            self.noticed.add(Fault::PaperSpace, None, Some(record.at));
            return;
        }
        if self.section == Section::None {
            self.noticed
                .add(Fault::OutsideSection, None, Some(record.at));
        }
        let Some(kind) = Kind::of(&record.word).filter(|&k| !is_mesh(k, &record.pairs)) else {
            self.parent = Parent::Ignored;
            self.skip(&record.word);
            if matches!(record.word.as_slice(), b"TEXT" | b"MTEXT" | b"ATTDEF") {
                self.note_text(record);
            }
            self.annotate(record, &common);
            return;
        };
        let block = match kind {
            Kind::Insert => self.block_id(first_text(&record.pairs, 2)),
            _ => 0,
        };
        let mut fields = Fields {
            pairs: &record.pairs,
            at: record.at,
            repaired: &mut self.repaired,
        };
        let shape = if cut_off && has_many_points(kind) {
            // Some of its points may be gone with the rest of the file.
            Err(fields.incomplete())
        } else {
            decode(kind, block, &mut fields)
        };
        self.note_repairs();
        if kind.stands_in() {
            self.skip(&record.word);
        }
        let shape = match shape {
            Ok(shape) => shape,
            Err(rejected) => {
                self.parent = Parent::Ignored;
                // What is no curve anyway is listed as skipped and no fault of the drawing.
                if !kind.stands_in() {
                    self.reject(&record.word, rejected);
                }
                return;
            }
        };
        let layer = self.layer(common.layer);
        let dash_dot = match common.line_type {
            b"" => None,
            name if name.eq_ignore_ascii_case(b"BYLAYER") => None,
            name => Some(self.is_dash_dot(name)),
        };
        let entity = self.out.entities.len();
        self.out.entities.push(Entity {
            kind,
            layer,
            colour: common.colour,
            at: record.at,
            invisible: common.invisible,
            dash_dot,
            shape,
        });
        if in_model {
            self.out.model.push(entity);
        }
        self.parent = match kind {
            Kind::Polyline => Parent::Polyline { entity },
            Kind::Insert => Parent::Ignored,
            _ => Parent::None,
        };
    }

    pub(crate) fn follower(&mut self, record: &Record<'_>) {
        if record.word == b"SEQEND" {
            self.end_parent();
            return;
        }
        if record.word == b"ATTRIB" {
            self.note_text(record);
            let common = Common::of(&record.pairs);
            if common.paper && self.block.is_none() {
                self.annotate_layout(record, &common);
            } else {
                self.annotate(record, &common);
            }
        }
        let Parent::Polyline { entity } = self.parent else {
            return;
        };
        if record.word != b"VERTEX" {
            return;
        }
        let mut fields = Fields {
            pairs: &record.pairs,
            at: record.at,
            repaired: &mut self.repaired,
        };
        let added = add_vertex(&mut self.out.entities[entity].shape, &mut fields);
        self.note_repairs();
        if let Err(rejected) = added {
            // A curve with a vertex missing is another curve: all of it goes.
            self.out.entities.truncate(entity);
            if self.block.is_none() {
                self.out.model.pop();
            }
            self.parent = Parent::Ignored;
            self.reject(b"POLYLINE", rejected);
        }
    }

    pub(crate) fn end_parent(&mut self) {
        self.parent = Parent::None;
    }

    fn note_repairs(&mut self) {
        for at in self.repaired.drain(..) {
            self.noticed.add(Fault::RepairedNumber, None, Some(at));
        }
    }

    fn skip(&mut self, word: &[u8]) {
        if let Some(block) = self.block {
            self.out.blocks[block].skipped += 1;
        } else {
            *self
                .out
                .skipped
                .entry(String::from_utf8_lossy(word).into_owned())
                .or_default() += 1;
        }
    }

    fn reject(&mut self, word: &[u8], rejected: Rejected) {
        let fault = match rejected.why {
            Rejection::Unreadable => Fault::UnreadableNumber,
            Rejection::NotFinite => Fault::NotFinite,
            Rejection::Incomplete => Fault::Incomplete,
        };
        self.noticed.add(fault, None, Some(rejected.at));
        if self.block.is_none() {
            self.skip(word);
        }
    }
}

/// Whether a cut anywhere in it may leave a curve that looks whole.
fn has_many_points(kind: Kind) -> bool {
    use Kind::{Hatch, LwPolyline, MLine, Polyline, Spline};
    matches!(kind, LwPolyline | Polyline | Spline | Hatch | MLine)
}
