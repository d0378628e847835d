//! Texts, dimensions and tables: kept within bounds, for what the drawing says.

use super::Scanner;
use crate::drawing::format::annotations::{
    Annotations, Picture, dimension_entity, point, style_factor, text_entity, usable_factor,
};
use crate::drawing::format::limits::{NOTES, TEXT_BYTES};
use crate::drawing::format::record::{Common, Record, first_text};

/// Blocks inserted in layouts whose texts are kept.
const LAYOUT_BLOCKS: usize = 100;

impl Scanner<'_, '_> {
    /// Keeps what a record of the model space or a block says.
    pub(super) fn annotate(&mut self, record: &Record<'_>, common: &Common<'_>) {
        let block = self.block;
        self.keep(record, common, |out| match block {
            Some(block) => &mut out.blocks[block].annotations,
            None => &mut out.annotations,
        });
    }

    /// Keeps what a record of a layout says.
    pub(super) fn annotate_layout(&mut self, record: &Record<'_>, common: &Common<'_>) {
        if record.word == b"INSERT" {
            let block = self.block_id(first_text(&record.pairs, 2));
            if self.out.layout_blocks.len() < LAYOUT_BLOCKS {
                self.out.layout_blocks.push(block);
            }
            return;
        }
        self.keep(record, common, |out| &mut out.layouts);
    }

    fn keep(
        &mut self,
        record: &Record<'_>,
        common: &Common<'_>,
        list: impl Fn(&mut super::Scan) -> &mut Annotations,
    ) {
        let word = record.word.as_slice();
        match word {
            b"TEXT" | b"MTEXT" | b"ATTRIB" | b"MULTILEADER" | b"MLEADER" => {
                if list(&mut self.out).texts.len() >= NOTES || self.text_bytes >= TEXT_BYTES {
                    return;
                }
                let layer = self.layer(common.layer);
                let text = text_entity(record, layer, &mut |bytes| self.decoded(bytes));
                if let Some(text) = text {
                    self.text_bytes += text.raw.len();
                    list(&mut self.out).texts.push(text);
                }
            }
            b"DIMENSION" => {
                if list(&mut self.out).dimensions.len() >= NOTES || self.text_bytes >= TEXT_BYTES {
                    return;
                }
                let layer = self.layer(common.layer);
                let factor = self.dimension_factor(first_text(&record.pairs, 3));
                let picture = match first_text(&record.pairs, 2) {
                    b"" => None,
                    name => Some(self.block_id(name)),
                };
                let given = (layer, picture, factor);
                let dimension = dimension_entity(record, given, &mut |b| self.decoded(b));
                if let Some(dimension) = dimension {
                    self.text_bytes += dimension.typed.as_ref().map_or(0, |t| t.len());
                    list(&mut self.out).dimensions.push(dimension);
                }
            }
            b"ACAD_TABLE" => {
                let name = first_text(&record.pairs, 2);
                let at = point(&record.pairs, 10);
                if let Some(at) = at.filter(|_| !name.is_empty()) {
                    let layer = self.layer(common.layer);
                    let block = self.block_id(name);
                    let pictures = &mut list(&mut self.out).pictures;
                    if pictures.len() < NOTES {
                        pictures.push(Picture { block, at, layer });
                    }
                }
            }
            _ => {}
        }
    }

    /// By what a dimension multiplies what is drawn: its own value, else its style's, else the file's.
    fn dimension_factor(&mut self, style: &[u8]) -> f64 {
        let style: &[u8] = if style.is_empty() { b"STANDARD" } else { style };
        let of_style = self.dimension_styles.get(&style.to_ascii_uppercase());
        let own = self.own_factor.take();
        match (own, of_style) {
            (Some(_), _) => usable_factor(own),
            (None, Some(&factor)) => factor,
            (None, None) => usable_factor(self.out.header.dimension_factor),
        }
    }

    /// Notes by what a style of the table multiplies what is drawn.
    pub(super) fn dimension_style(&mut self, record: &Record<'_>) {
        let name = first_text(&record.pairs, 2).to_ascii_uppercase();
        self.dimension_styles
            .insert(name, style_factor(&record.pairs));
    }
}
