//! Where the columns of the table of wires lie.

use crate::words::figures::{self, Entry, Form, HeldAgainst};
use egui::emath::{Rect, pos2, vec2};

/// Left edge and width of a column.
pub(super) type Column = (f32, f32);

/// Where everything of a row lies.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    pub(super) name: Column,
    /// The figures held against the baseline.
    pub(super) differences: Vec<(&'static Entry, HeldAgainst, Column)>,
    /// The bar of the time, right of the first figure.
    pub(super) bar: Column,
    /// Every figure of the tables; the first, the time, stands left of the bar.
    pub(super) figures: Vec<(&'static Entry, Column)>,
    pub(super) remove: Column,
}

/// What a figure needs at 1280 px, its head included.
fn narrow(e: &Entry) -> f32 {
    match e.form {
        Form::Time => 148.0,
        Form::Money => 104.0,
        Form::Roughness | Form::Feed => 78.0,
        Form::Count | Form::Wire => 70.0,
        Form::Mass => 62.0,
        Form::Share => 52.0,
    }
}

impl Columns {
    /// Fixed widths for figures; the bar takes the rest, the name a little of a wide window.
    pub(super) fn new(left: f32, width: f32) -> Self {
        let roomy = ((width - 1240.0) / 1300.0).clamp(0.0, 1.0);
        let wide = |narrow: f32, more: f32| narrow + more * roomy;
        let (name, remove) = (wide(258.0, 90.0), 28.0);
        let difference = wide(74.0, 34.0);
        let figure = |e: &Entry| wide(narrow(e), 32.0);
        let compared = figures::compared().count() as f32;
        let fixed = name + remove + difference * compared;
        let bar = width - fixed - figures::columns().map(figure).sum::<f32>();
        let mut x = left;
        let mut next = |w: f32| {
            let at = (x, w);
            x += w;
            at
        };
        let name = next(name);
        let differences = figures::compared()
            .map(|(e, against)| (e, against, next(difference)))
            .collect();
        let mut out = Self {
            name,
            differences,
            bar: (left, 0.0),
            figures: Vec::new(),
            remove: (left, 0.0),
        };
        for (k, e) in figures::columns().enumerate() {
            out.figures.push((e, next(figure(e))));
            if k == 0 {
                out.bar = next(bar.max(90.0));
            }
        }
        out.remove = next(remove);
        out
    }
    /// Where the differences begin.
    pub(super) fn after_name(&self) -> f32 {
        self.name.0 + self.name.1
    }
}

pub(super) fn bar_rect(c: &Columns, row: Rect) -> Rect {
    Rect::from_min_max(
        pos2(c.bar.0 + 10.0, row.top()),
        pos2(c.bar.0 + c.bar.1 - 12.0, row.bottom()),
    )
}

pub(super) fn cell((x, w): Column, row: Rect) -> Rect {
    Rect::from_min_size(pos2(x, row.top()), vec2(w, row.height()))
}
