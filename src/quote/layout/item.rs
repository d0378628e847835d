//! An item of a quote: its number hanging, its drawing beside its facts, its prices below. Of many items each takes less
//! room: drawing, facts and prices stand side by side.

use super::{Flow, LEFT, NAME, SHORT_TABLE, SMALL, TOP, least_table_height, pair_height};
use crate::quote::document::{Block, Item};
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
/// More items than this make a list.
const FEW: usize = 3;
/// In a list: width and height that a drawing is fitted into, width of the prices, column of the names of facts, and what
/// is free between columns, pt.
const IN_LIST: (f32, f32) = (super::NAMES - 14.0, 88.0);
const PRICES: f32 = 168.0;
const LIST_NAMES: f32 = 62.0;
const LIST_GUTTER: f32 = 14.0;

impl Flow<'_> {
    pub(super) fn item(&mut self, item: &Item) {
        let blocks = self.document.blocks.iter();
        let items = blocks.filter(|b| matches!(b, Block::Item(_))).count();
        if items > FEW && item.ladder.rows.len() <= SHORT_TABLE {
            self.item_in_list(item);
        } else {
            self.item_alone(item);
        }
    }

    /// Drawing, facts and prices side by side.
    fn item_in_list(&mut self, item: &Item) {
        let (right, facts_at) = (self.right(), Self::main());
        let drawn = item.picture.as_ref();
        let drawn = drawn.map(|p| p.fitted(IN_LIST.0, IN_LIST.1));
        let facts_right = right - PRICES - LIST_GUTTER;
        let facts = item.facts.iter();
        let facts = facts.map(|f| pair_height(LIST_NAMES, facts_right - facts_at, &f.0, &f.1));
        let facts_height: f32 = facts.sum();
        let picture_height = drawn.map_or(0.0, |d| d.size.1 + SMALL.lead + 8.0);
        let name_height = self.name_height(item);
        let highest = facts_height
            .max(picture_height)
            .max(least_table_height(&item.ladder));
        let notes = SMALL.lead * item.notes.len() as f32;
        self.need(18.0 + name_height + 5.0 + highest + notes + 8.0);
        self.number_and_name(item);
        self.y += 5.0;
        let top = self.y;
        if let (Some(picture), Some(drawn)) = (&item.picture, drawn) {
            for mark in picture.marks((LEFT, top + 2.0), &drawn) {
                self.put(mark);
            }
            self.y = top + drawn.size.1 + 7.0;
            self.scale_below(&drawn);
        }
        let mut lowest = self.y;
        self.y = top;
        for (name, value) in &item.facts {
            let y = self.y;
            self.y += self.put_pair((facts_at, y), LIST_NAMES, facts_right, name, value);
        }
        lowest = lowest.max(self.y);
        self.y = top + 1.0;
        self.table_at_the_right(&item.ladder, PRICES);
        self.y = lowest.max(self.y) + 2.0;
        for note in &item.notes {
            self.paragraph(note, SMALL, Ink::Quiet);
        }
    }

    fn name_height(&self, item: &Item) -> f32 {
        let width = self.right() - LEFT - HANG;
        NAME.lead * lines(&item.name, Font::Strong, NAME.size, width).len() as f32
    }

    /// A rule, and below it the number hanging before the name.
    fn number_and_name(&mut self, item: &Item) {
        let right = self.right();
        // At the head of a page nothing stands above.
        if self.y > TOP + 20.0 {
            self.y += 16.0;
        }
        let y = self.y;
        self.rule(LEFT, right, y, 0.5, Ink::Hair);
        self.y += 8.0;
        let y = self.y;
        let number = lines(&item.number, Font::Strong, NAME.size, HANG);
        let name = lines(&item.name, Font::Strong, NAME.size, right - LEFT - HANG);
        self.put_lines(LEFT, y, &number, NAME, Ink::Quiet);
        self.y += self.put_lines(LEFT + HANG, y, &name, NAME, Ink::Text);
    }

    fn item_alone(&mut self, item: &Item) {
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
        let name_height = self.name_height(item);
        let ladder = least_table_height(&item.ladder);
        self.need(18.0 + name_height + 8.0 + facts_height.max(picture_height) + 12.0 + ladder);
        self.number_and_name(item);
        self.y += 8.0;
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
