//! An item of a quote: its number hanging, its drawing beside its facts, its prices below.

use super::{Flow, LEFT, NAME, SMALL, least_table_height, pair_height};
use crate::quote::document::Item;
use crate::quote::pages::Ink;
use crate::quote::typeset::{Font, lines};

/// Width and height that a drawing is fitted into, pt.
const PICTURE: (f32, f32) = (205.0, 150.0);
/// Between drawing and facts, pt.
const GUTTER: f32 = 24.0;
/// Column of the names of facts, pt.
const NAMES: f32 = 84.0;
/// From the number to the name, pt.
const HANG: f32 = 22.0;

impl Flow<'_> {
    pub(super) fn item(&mut self, item: &Item) {
        let right = self.right();
        let drawn = item
            .picture
            .as_ref()
            .map(|p| p.fitted(PICTURE.0, PICTURE.1));
        let beside = LEFT
            + if drawn.is_some() {
                PICTURE.0 + GUTTER
            } else {
                HANG
            };
        let facts = item.facts.iter();
        let facts = facts.map(|f| pair_height(NAMES, right - beside, &f.0, &f.1));
        let facts_height: f32 = facts.sum();
        let picture_height = drawn.map_or(0.0, |d| d.size.1 + SMALL.lead + 8.0);
        let name = lines(&item.name, Font::Strong, NAME.size, right - LEFT - HANG);
        let name_height = NAME.lead * name.len() as f32;
        let ladder = least_table_height(&item.ladder);
        self.need(18.0 + name_height + 8.0 + facts_height.max(picture_height) + 12.0 + ladder);
        self.y += 16.0;
        let y = self.y;
        self.rule(LEFT, right, y, 0.5, Ink::Hair);
        self.y += 8.0;
        let y = self.y;
        let number = lines(&item.number, Font::Strong, NAME.size, HANG);
        self.put_lines(LEFT, y, &number, NAME, Ink::Quiet);
        self.put_lines(LEFT + HANG, y, &name, NAME, Ink::Text);
        self.y += name_height + 8.0;
        let top = self.y;
        if let (Some(picture), Some(drawn)) = (&item.picture, drawn) {
            for mark in picture.marks((LEFT, top + 2.0), &drawn) {
                self.put(mark);
            }
            self.y = top + drawn.size.1 + 7.0;
            self.caption(LEFT, picture, &drawn);
        }
        let after_picture = self.y;
        self.y = top;
        for (name, value) in &item.facts {
            let y = self.y;
            self.y += self.put_pair((beside, y), NAMES, right, name, value);
        }
        self.y = self.y.max(after_picture) + 10.0;
        self.table_at(&item.ladder, Self::main());
        for note in &item.notes {
            self.paragraph(note, SMALL, Ink::Quiet);
        }
    }
}
