//! Where the columns of the table of wires lie.

use egui::emath::{Rect, pos2, vec2};

/// Left edges and widths of the columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    pub(super) name: (f32, f32),
    pub(super) differences: [(f32, f32); 3],
    pub(super) time: (f32, f32),
    pub(super) bar: (f32, f32),
    pub(super) wire: (f32, f32),
    pub(super) mass: (f32, f32),
    pub(super) spools: (f32, f32),
    pub(super) cost: (f32, f32),
    pub(super) week: (f32, f32),
    pub(super) finish: (f32, f32),
    pub(super) remove: (f32, f32),
}

impl Columns {
    /// Fixed widths for figures; the bar takes the rest, the name a little of a wide window.
    pub(super) fn new(left: f32, width: f32) -> Self {
        let roomy = ((width - 1240.0) / 1300.0).clamp(0.0, 1.0);
        let wide = |narrow: f32, more: f32| narrow + more * roomy;
        let widths = [
            wide(258.0, 90.0),
            wide(76.0, 34.0),
            wide(76.0, 34.0),
            wide(76.0, 34.0),
            wide(148.0, 40.0),
            0.0,
            wide(70.0, 30.0),
            wide(58.0, 30.0),
            wide(52.0, 30.0),
            wide(104.0, 30.0),
            wide(58.0, 30.0),
            wide(78.0, 30.0),
            28.0,
        ];
        let bar = (width - widths.iter().sum::<f32>()).max(90.0);
        let mut x = left;
        let mut next = |w: f32| {
            let at = (x, w);
            x += w;
            at
        };
        Self {
            name: next(widths[0]),
            differences: [next(widths[1]), next(widths[2]), next(widths[3])],
            time: next(widths[4]),
            bar: next(bar),
            wire: next(widths[6]),
            mass: next(widths[7]),
            spools: next(widths[8]),
            cost: next(widths[9]),
            week: next(widths[10]),
            finish: next(widths[11]),
            remove: next(widths[12]),
        }
    }
}

pub(super) fn bar_rect(c: Columns, row: Rect) -> Rect {
    Rect::from_min_max(
        pos2(c.bar.0 + 10.0, row.top()),
        pos2(c.bar.0 + c.bar.1 - 12.0, row.bottom()),
    )
}

pub(super) fn cell((x, w): (f32, f32), row: Rect) -> Rect {
    Rect::from_min_size(pos2(x, row.top()), vec2(w, row.height()))
}
