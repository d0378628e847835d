//! Columns of text that a person can read.

use crate::language::localised;
use std::io::{self, Write};

/// A number with so many decimals and the decimal sign of the reader.
pub fn fixed(value: f64, decimals: usize) -> String {
    localised(format!("{value:.decimals$}"))
}

/// The same with its sign, also where that is a plus.
pub fn signed(value: f64, decimals: usize) -> String {
    localised(format!("{value:+.decimals$}"))
}

/// Whether a cell is a number with either decimal sign.
fn is_number(cell: &str) -> bool {
    cell.parse::<f64>().is_ok()
        || cell.contains(',') && cell.replace(',', ".").parse::<f64>().is_ok()
}

/// Writes rows in aligned columns, numbers to the right.
pub fn write(out: &mut impl Write, head: &[&str], rows: &[Vec<String>]) -> io::Result<()> {
    let width = |k: usize| {
        let cells = rows
            .iter()
            .filter_map(|r| r.get(k))
            .map(|c| c.chars().count());
        cells.chain([head[k].chars().count()]).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..head.len()).map(width).collect();
    let head: Vec<String> = head.iter().map(|&h| h.to_owned()).collect();
    let is_number: Vec<bool> = (0..head.len())
        .map(|k| {
            rows.iter()
                .all(|r| r.get(k).is_none_or(|c| c == "-" || is_number(c)))
        })
        .collect();
    let mut line = String::new();
    for row in [&head].into_iter().chain(rows) {
        line.clear();
        for (k, cell) in row.iter().enumerate() {
            let width = widths.get(k).copied().unwrap_or(0);
            let room = width.saturating_sub(cell.chars().count());
            let room = std::iter::repeat_n(' ', room);
            line.push_str("  ");
            if is_number.get(k) == Some(&true) {
                line.extend(room);
                line.push_str(cell);
            } else {
                line.push_str(cell);
                line.extend(room);
            }
        }
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}
