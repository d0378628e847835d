//! Where the columns of the table of wires lie.

use crate::gui::wire_table::WireTable;
use crate::language;
use crate::words::figures::{self, Entry, Form, HeldAgainst};
use egui::emath::{Rect, pos2, vec2};

/// Left edge and width of a column.
pub(super) type Column = (f32, f32);

/// What a column of numbers holds.
#[derive(Debug, Clone, Copy)]
pub(super) enum Held {
    /// The figure itself.
    Figure(&'static Entry),
    /// How it stands against the baseline's.
    Difference(&'static Entry, HeldAgainst),
}

impl Held {
    /// The head, by which a column is chosen and sorted.
    pub(super) fn head(self) -> String {
        match self {
            Self::Figure(e) => e.head.to_owned(),
            Self::Difference(e, _) => format!("Δ {}", e.head),
        }
    }
    /// The head in the language that is spoken.
    pub(super) fn called(self) -> String {
        match self {
            Self::Figure(e) => e.called().to_owned(),
            Self::Difference(e, _) => e.difference_head(),
        }
    }
    /// What it needs, its head included.
    fn width(self) -> f32 {
        match self {
            Self::Difference(..) if language::is_german() => 70.0,
            Self::Difference(..) => 80.0,
            Self::Figure(e) => match e.form {
                Form::Time => 86.0,
                Form::Roughness => 84.0,
                Form::Money => 76.0,
                Form::Feed | Form::Count => 78.0,
                Form::Wire | Form::Mass | Form::Share => 68.0,
            },
        }
    }
}

/// Every column of numbers there is, from left to right: the difference of the time, the time; right of the bar
/// each other figure, followed by its difference.
pub(super) fn all() -> impl Iterator<Item = Held> {
    let held = |e: &'static Entry| e.against.map(|against| Held::Difference(e, against));
    let time = |e: &&'static Entry| e.head == figures::TIME.head;
    let of_time = figures::columns().filter(time).flat_map(move |e| {
        let figure = Some(Held::Figure(e));
        held(e).into_iter().chain(figure)
    });
    let others = figures::columns().filter(move |e| !time(e));
    of_time.chain(others.flat_map(move |e| [Some(Held::Figure(e)), held(e)].into_iter().flatten()))
}

/// Where everything of a row lies.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    pub(super) name: Column,
    pub(super) numbers: Vec<(Held, Column)>,
    /// The bar of the time, right of the time; none in a table too narrow for it.
    pub(super) bar: Option<Column>,
    pub(super) remove: Column,
    /// How many chosen columns found no room.
    pub(super) without_room: usize,
}

/// Widths of name and bar: what they can do with, and what they like. A name is cut off below what it needs only where
/// three columns leave it no more.
const NAME: (f32, f32) = (170.0, 316.0);
/// A name longer than this is cut off.
const LONGEST_NAME: f32 = 350.0;
const BAR: (f32, f32) = (110.0, 260.0);
/// The button that takes a wire out.
const REMOVE: f32 = 26.0;

impl Columns {
    /// The chosen columns as far as there is room beside names of a width, the last given up first; the bar takes what
    /// is left.
    pub(super) fn new(left: f32, width: f32, names: f32, table: &WireTable) -> Self {
        let mut wanted: Vec<Held> = all().filter(|h| table.shows(&h.head())).collect();
        let chosen = wanted.len();
        let sum = |list: &[Held]| list.iter().map(|h| h.width()).sum::<f32>();
        let names = names.clamp(NAME.0, LONGEST_NAME);
        let room = width - names - REMOVE;
        let is_time = |h: &Held| matches!(h, Held::Figure(e) if e.head == figures::TIME.head);
        while sum(&wanted) + BAR.0 > room && wanted.len() > 3 {
            let last = wanted.iter().rposition(|h| !is_time(h));
            wanted.remove(last.unwrap_or(wanted.len() - 1));
        }
        // Where even few columns leave no room, names are cut off.
        let missing = (sum(&wanted) + BAR.0 - room).clamp(0.0, names - NAME.0);
        let (names, room) = (names - missing, room + missing);
        let has_bar = sum(&wanted) + BAR.0 * 0.6 <= room;
        while !has_bar && sum(&wanted) > room && wanted.len() > 1 {
            let last = wanted.iter().rposition(|h| !is_time(h));
            wanted.remove(last.unwrap_or(wanted.len() - 1));
        }
        // A wide window gives figures a little more.
        let spare = (room - sum(&wanted) - BAR.1 - (NAME.1 - names).max(0.0)).max(0.0);
        let more = (spare * 0.25 / wanted.len().max(1) as f32).min(34.0);
        let numbers = sum(&wanted) + more * wanted.len() as f32;
        let rest = room - numbers;
        let name = names
            + if has_bar {
                (rest - BAR.1).clamp(0.0, (NAME.1 - names).max(0.0))
            } else {
                rest.max(0.0)
            };
        let bar = width - REMOVE - name - numbers;
        let mut x = left;
        let mut next = |w: f32| {
            let at = (x, w);
            x += w;
            at
        };
        let mut out = Self {
            name: next(name),
            numbers: Vec::new(),
            bar: None,
            remove: (left, 0.0),
            without_room: chosen - wanted.len(),
        };
        let before_bar = wanted
            .iter()
            .rposition(|h| {
                is_time(h) || matches!(h, Held::Difference(e, _) if e.head == figures::TIME.head)
            })
            .map_or(0, |k| k + 1);
        for (k, h) in wanted.iter().enumerate() {
            if k == before_bar && has_bar {
                out.bar = Some(next(bar));
            }
            out.numbers.push((*h, next(h.width() + more)));
        }
        if has_bar && out.bar.is_none() {
            out.bar = Some(next(bar));
        }
        out.remove = next(REMOVE);
        out
    }
    /// Where the numbers begin.
    pub(super) fn after_name(&self) -> f32 {
        self.name.0 + self.name.1
    }
    /// Where the words of the unfolded row end: before the bar, or before the last column.
    pub(super) fn before_bar(&self) -> f32 {
        self.bar.map_or(self.remove.0, |b| b.0)
    }
}

/// The bar's place in a row.
pub(super) fn bar_rect((x, w): Column, row: Rect) -> Rect {
    Rect::from_min_max(pos2(x + 12.0, row.top()), pos2(x + w - 12.0, row.bottom()))
}

pub(super) fn cell((x, w): Column, row: Rect) -> Rect {
    Rect::from_min_size(pos2(x, row.top()), vec2(w, row.height()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_lie_side_by_side_within_the_table_at_any_width() {
        let every = all().fold(WireTable::default(), |t, h| t.with(&h.head(), true));
        let names = [0.0, 230.0, 280.0, 500.0];
        for (table, names) in [WireTable::default(), every]
            .iter()
            .flat_map(|t| names.map(|n| (t, n)))
        {
            for width in [
                340.0_f32, 440.0, 600.0, 800.0, 960.0, 1280.0, 1900.0, 2560.0,
            ] {
                let c = Columns::new(10.0, width, names, table);
                if width >= 700.0 {
                    assert!(
                        c.name.1 >= names.min(LONGEST_NAME),
                        "a name is cut off at {width}"
                    );
                }
                let mut all = vec![c.name, c.remove];
                all.extend(c.bar);
                all.extend(c.numbers.iter().map(|n| n.1));
                all.sort_by(|a, b| a.0.total_cmp(&b.0));
                for pair in all.windows(2) {
                    assert!(pair[0].1 >= 20.0, "{pair:?} at {width}");
                    assert!((pair[0].0 + pair[0].1 - pair[1].0).abs() < 0.01, "{pair:?}");
                }
                let (x, w) = all[all.len() - 1];
                assert!(x + w <= 10.0 + width + 0.01, "{width}: {all:?}");
                let time = |h: &Held| h.head() == figures::TIME.head;
                assert!(c.numbers.iter().any(|n| time(&n.0)), "no time at {width}");
            }
        }
    }
}
