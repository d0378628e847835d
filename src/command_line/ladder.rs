//! What a part costs in lots of several sizes, as JSON and as lines of text.

use super::table;
use crate::estimate::Break;
use crate::language::said;
use crate::words::{Style, figures};
use serde::Serialize;
use std::io::{self, Write};

/// Most quantities of a ladder.
const MOST: usize = 50;

/// The quantities of a ladder, ascending, each once.
#[derive(Debug, Clone)]
pub(super) struct Ladder(pub Vec<u32>);

/// From "1,5,20,100".
pub(super) fn quantities(text: &str) -> Result<Ladder, String> {
    let all: Option<Vec<u32>> = text
        .split(',')
        .map(|n| n.trim().parse().ok().filter(|n| *n > 0))
        .collect();
    let mut all = all.ok_or_else(|| {
        say!("whole numbers from 1 are needed, with commas between them, such as 1,5,20,100")
            .to_owned()
    })?;
    all.sort_unstable();
    all.dedup();
    if all.len() > MOST {
        return Err(say!("a ladder has at most {MOST} quantities"));
    }
    Ok(Ladder(all))
}

/// One quantity as it is written. Money a part, unless the name says the lot.
#[derive(Debug, Clone, Serialize)]
pub(super) struct BreakJson {
    quantity: u32,
    cost: f64,
    cost_low: f64,
    cost_high: f64,
    lot: f64,
    lot_minutes: f64,
    once_a_lot: f64,
    once_a_setup: f64,
    once_a_part: f64,
}

/// A ladder as it is written.
pub(super) fn ladder_json(ladder: &[Break]) -> Vec<BreakJson> {
    let one = |b: &Break| BreakJson {
        quantity: b.quantity,
        cost: b.each.median.amount(),
        cost_low: b.each.low.amount(),
        cost_high: b.each.high.amount(),
        lot: b.lot.amount(),
        lot_minutes: b.minutes.min_value(),
        once_a_lot: b.once_a_lot.amount(),
        once_a_setup: b.once_a_setup.amount(),
        once_a_part: b.once_a_part.amount(),
    };
    ladder.iter().map(one).collect()
}

/// A ladder for a person to read; nothing for none.
pub(super) fn write_ladder(
    out: &mut impl Write,
    wire: &str,
    ladder: &[Break],
    style: Style,
) -> io::Result<()> {
    let Some(first) = ladder.first() else {
        return Ok(());
    };
    writeln!(
        out,
        "{}",
        say!(
            "  {wire}, by quantity: {} once a lot (programming), {} once a set-up, {} with every part.",
            style.money(first.once_a_lot),
            style.money(first.once_a_setup),
            style.money(first.once_a_part)
        )
    )?;
    let rows: Vec<Vec<String>> = ladder
        .iter()
        .map(|b| {
            vec![
                b.quantity.to_string(),
                style.money(b.each.median),
                style.money_range(b.each.low, b.each.high),
                style.money(b.lot),
                style.time(b.minutes),
            ]
        })
        .collect();
    table::write(out, &figures::LADDER.map(said), &rows)
}
