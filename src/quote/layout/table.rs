//! Tables: columns as wide as they need to be, rows whole, the head on every page.

use super::{AIR, Flow, LEFT, SMALL, TEXT, Type, least_table_height};
use crate::quote::document::{Align, Table};
use crate::quote::pages::Ink;
use crate::quote::typeset::{Font, Line, line, lines};

/// Between columns, pt, and at the least where numbers would find no room else.
const GAP: f32 = 16.0;
const LEAST_GAP: f32 = 6.0;
/// Between tables that stand side by side, pt.
const ACROSS_GAP: f32 = 26.0;
/// Narrowest column of words, pt.
const NARROWEST: f32 = 50.0;

/// Columns of a table, from its left end.
struct Columns {
    left: f32,
    widths: Vec<f32>,
    gap: f32,
    set: Type,
}

impl Columns {
    fn of(table: &Table, left: f32, available: f32, fills: bool) -> Self {
        let mut widths = natural(table, TEXT);
        let mut set = TEXT;
        let gaps = GAP * widths.len().saturating_sub(1) as f32;
        let whole = |w: &[f32]| w.iter().sum::<f32>() + gaps;
        if whole(&widths) > available {
            set = SMALL;
            widths = natural(table, SMALL);
        }
        // The widest column of words gives way, and takes what is left where the table fills its width.
        let words = table.columns.iter().enumerate();
        let words = words.filter(|(_, c)| c.1 == Align::Words);
        let widest = words.max_by(|a, b| widths[a.0].total_cmp(&widths[b.0]));
        if let Some((k, _)) = widest {
            let others = whole(&widths) - widths[k];
            let rest = (available - others).max(NARROWEST);
            if rest < widths[k] || fills {
                widths[k] = rest;
            }
        }
        // Numbers alone that are still too wide move closer, then share what there is.
        let between = widths.len().saturating_sub(1) as f32;
        let all: f32 = widths.iter().sum();
        let gap = if all + GAP * between > available {
            ((available - all) / between.max(1.0)).clamp(LEAST_GAP, GAP)
        } else {
            GAP
        };
        let too_wide = (all + gap * between) / available;
        if too_wide > 1.0 {
            widths.iter_mut().for_each(|w| *w /= too_wide);
        }
        Self {
            left,
            widths,
            gap,
            set,
        }
    }
    fn right(&self) -> f32 {
        let gaps = self.gap * self.widths.len().saturating_sub(1) as f32;
        self.left + self.widths.iter().sum::<f32>() + gaps
    }
    fn x(&self, column: usize) -> f32 {
        let before = self.widths[..column].iter();
        self.left + before.map(|w| w + self.gap).sum::<f32>()
    }
    fn cells(&self, row: &[String], strong: bool) -> Vec<Vec<Line>> {
        let font = if strong { Font::Strong } else { Font::Regular };
        let cells = row.iter().zip(&self.widths);
        cells
            .map(|(text, width)| lines(text, font, self.set.size, *width + 0.1))
            .collect()
    }
}

/// Width of the widest cell of each column.
fn natural(table: &Table, set: Type) -> Vec<f32> {
    let columns = table.columns.iter().enumerate();
    columns
        .map(|(k, (head, _))| {
            let head = line(head, Font::Regular, SMALL.size).width;
            let cells = table.rows.iter().enumerate();
            cells
                .filter_map(|(r, row)| {
                    let strong = table.sum && r + 1 == table.rows.len();
                    let font = if strong { Font::Strong } else { Font::Regular };
                    Some(line(row.get(k)?, font, set.size).width)
                })
                .fold(head, f32::max)
        })
        .collect()
}

impl Flow<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        let left = if table.wide || table.across > 1 {
            LEFT
        } else {
            Self::main()
        };
        self.table_at(table, left);
    }

    pub(super) fn table_at(&mut self, table: &Table, left: f32) {
        if table.rows.is_empty() || table.columns.is_empty() {
            return;
        }
        if table.across > 1 {
            self.side_by_side(table, left);
        } else {
            let columns = Columns::of(table, left, self.right() - left, true);
            self.one_below_the_other(table, &columns);
        }
        self.y += 4.0;
    }

    /// A table of numbers that ends at the right margin and is at most so wide.
    pub(super) fn table_at_the_right(&mut self, table: &Table, most: f32) {
        if table.rows.is_empty() || table.columns.is_empty() {
            return;
        }
        let columns = Columns::of(table, 0.0, most, false);
        let left = self.right() - columns.right();
        self.one_below_the_other(table, &Columns { left, ..columns });
    }

    fn one_below_the_other(&mut self, table: &Table, columns: &Columns) {
        self.need(least_table_height(table));
        self.head(table, columns);
        let count = table.rows.len();
        for (k, row) in table.rows.iter().enumerate() {
            let sum = table.sum && k + 1 == count;
            let cells = columns.cells(row, sum);
            let height = row_height(&cells, columns.set);
            // The last three rows stay together, the sum among them.
            let stay = match count - k {
                2 => 2.0,
                3 => 3.0,
                _ => 1.0,
            };
            let wanted = stay * height;
            if wanted > self.room() {
                self.new_page();
                self.head(table, columns);
            }
            self.row(table, columns, &cells, sum);
            self.y += height;
            let ink = if k + 1 == count {
                Ink::Hair
            } else {
                Ink::Faint
            };
            let before_sum = table.sum && k + 2 == count;
            let (left, right, y) = (columns.left, columns.right(), self.y);
            if before_sum {
                self.rule(left, right, y, 0.5, Ink::Hair);
            } else if !sum {
                self.rule(left, right, y, 0.3, ink);
            }
        }
    }

    fn side_by_side(&mut self, table: &Table, left: f32) {
        let across = table.across as f32;
        let each = (self.right() - left - ACROSS_GAP * (across - 1.0)) / across;
        let row = TEXT.lead + 2.0 * AIR - 2.0;
        let mut rest = &table.rows[..];
        while !rest.is_empty() {
            self.need(least_table_height(table));
            let space = self.room() - SMALL.lead - 4.0;
            let fit = ((space / row).floor() as usize).max(1);
            let here = rest.len().min(fit * table.across);
            let down = here.div_ceil(table.across);
            let top = self.y;
            for (column, part) in rest[..here].chunks(down).enumerate() {
                self.y = top;
                let columns = Columns::of(
                    table,
                    left + (each + ACROSS_GAP) * column as f32,
                    each,
                    true,
                );
                self.head(table, &columns);
                for cells in part {
                    let cells = columns.cells(cells, false);
                    self.row(table, &columns, &cells, false);
                    self.y += row;
                    let (left, right, y) = (columns.left, columns.right(), self.y);
                    self.rule(left, right, y, 0.3, Ink::Faint);
                }
            }
            self.y = top + SMALL.lead + 4.0 + row * down as f32;
            rest = &rest[here..];
            if !rest.is_empty() {
                self.new_page();
            }
        }
    }

    fn head(&mut self, table: &Table, columns: &Columns) {
        let y = self.y;
        for (k, (text, align)) in table.columns.iter().enumerate() {
            let set = line(text, Font::Regular, SMALL.size);
            let x = aligned(columns, k, *align, set.width);
            self.put_line(x, y, set, SMALL, Ink::Quiet);
        }
        self.y += SMALL.lead + 3.0;
        let (left, right, y) = (columns.left, columns.right(), self.y);
        self.rule(left, right, y, 0.5, Ink::Hair);
        self.y += 1.0;
    }

    fn row(&mut self, table: &Table, columns: &Columns, cells: &[Vec<Line>], _sum: bool) {
        let y = self.y + AIR;
        let aligns = table.columns.iter().map(|c| c.1);
        for ((k, cell), align) in cells.iter().enumerate().zip(aligns) {
            for (n, l) in cell.iter().enumerate() {
                let x = aligned(columns, k, align, l.width);
                let top = y + columns.set.lead * n as f32;
                self.put_line(x, top, l.clone(), columns.set, Ink::Text);
            }
        }
    }
}

fn aligned(columns: &Columns, column: usize, align: Align, width: f32) -> f32 {
    match align {
        Align::Words => columns.x(column),
        Align::Numbers => columns.x(column) + columns.widths[column] - width,
    }
}

fn row_height(cells: &[Vec<Line>], set: Type) -> f32 {
    let most = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
    set.lead * most as f32 + 2.0 * AIR
}
