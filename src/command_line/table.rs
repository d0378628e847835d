//! Columns of text that a person can read.

use crate::language::{localised, writes_comma};
use std::fmt::{self, Display, Formatter, Write as _};
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
    // Most are digits with a point or a comma among them.
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let mut points = 0;
    let is_plain = digits.bytes().all(|b| {
        points += u32::from(b == b'.' || b == b',');
        b.is_ascii_digit() || b == b'.' || b == b','
    });
    if is_plain && points < 2 && digits.len() > 1 {
        return true;
    }
    cell.parse::<f64>().is_ok()
        || cell.contains(',') && cell.replace(',', ".").parse::<f64>().is_ok()
}

/// Letters of a cell.
fn letters(cell: &str) -> usize {
    if cell.is_ascii() {
        cell.len()
    } else {
        cell.chars().count()
    }
}

/// Puts so many spaces behind a line.
fn space(line: &mut String, mut count: usize) {
    const SPACES: &str = "                                ";
    while count > 0 {
        let some = count.min(SPACES.len());
        line.push_str(&SPACES[..some]);
        count -= some;
    }
}

/// Rows of cells, one after the other in one text: tables have as many as a drawing has contours.
pub struct Rows {
    columns: usize,
    text: String,
    /// Where each cell ends in it.
    ends: Vec<usize>,
}

impl Rows {
    /// None yet, of so many columns.
    pub fn of(columns: usize) -> Self {
        Self {
            columns,
            text: String::new(),
            ends: Vec::new(),
        }
    }
    /// The next cell.
    pub fn cell(&mut self, text: impl Display) {
        // A string takes whatever is written.
        let _ = write!(self.text, "{text}");
        self.ends.push(self.text.len());
    }
    /// The next cell, a number with so many decimals and the decimal sign of the reader; a dash where there is none.
    pub fn number(&mut self, value: Option<f64>, decimals: usize) {
        match value {
            Some(value) => self.cell(Localised(value, decimals)),
            None => self.cell("-"),
        }
    }
    fn cells(&self) -> impl Iterator<Item = &str> {
        let from = [0].into_iter().chain(self.ends.iter().copied());
        from.zip(&self.ends).map(|(a, b)| &self.text[a..*b])
    }
    /// Writes them in aligned columns, numbers to the right.
    pub fn write(&self, out: &mut impl Write, head: &[&str]) -> io::Result<()> {
        let columns = self.columns.max(1);
        let mut widths: Vec<usize> = (0..columns)
            .map(|k| head.get(k).map_or(0, |h| letters(h)))
            .collect();
        let mut is_number = vec![true; columns];
        for (at, cell) in self.cells().enumerate() {
            let k = at % columns;
            widths[k] = widths[k].max(letters(cell));
            is_number[k] = is_number[k] && (cell == "-" || self::is_number(cell));
        }
        let mut line = String::new();
        let cells = head.iter().copied().chain(self.cells());
        for (at, cell) in cells.enumerate() {
            let k = at % columns;
            let room = widths[k].saturating_sub(letters(cell));
            line.push_str("  ");
            if is_number[k] {
                space(&mut line, room);
                line.push_str(cell);
            } else {
                line.push_str(cell);
                space(&mut line, room);
            }
            if k + 1 == columns {
                line.truncate(line.trim_end().len());
                line.push('\n');
                out.write_all(line.as_bytes())?;
                line.clear();
            }
        }
        Ok(())
    }
}

/// A number with so many decimals, in the reader's language.
struct Localised(f64, usize);

impl Display for Localised {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let Self(value, decimals) = self;
        if writes_comma() {
            f.write_str(&fixed(*value, *decimals))
        } else {
            write!(f, "{value:.decimals$}")
        }
    }
}

/// Writes rows in aligned columns, numbers to the right.
pub fn write(out: &mut impl Write, head: &[&str], rows: &[Vec<String>]) -> io::Result<()> {
    let mut all = Rows::of(head.len());
    for row in rows {
        for k in 0..head.len() {
            all.cell(row.get(k).map_or("", String::as_str));
        }
    }
    all.write(out, head)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right_and_a_letter_takes_one_place() {
        let mut rows = Rows::of(3);
        for (name, value, note) in [
            ("Öse", Some(1.5), "x"),
            ("ab", None, ""),
            ("c", Some(-12.25), "yz"),
        ] {
            rows.cell(name);
            rows.number(value, 2);
            rows.cell(note);
        }
        let mut out = Vec::new();
        rows.write(&mut out, &["name", "mm", "note"]).unwrap();
        let expected = [
            "  name      mm  note",
            "  Öse     1.50  x",
            "  ab         -",
            "  c     -12.25  yz",
            "",
        ];
        assert_eq!(String::from_utf8(out).unwrap(), expected.join("\n"));
    }

    #[test]
    fn a_number_is_what_reads_as_one() {
        for yes in ["0", "-1", "1.5", "1,5", "+2", "1e-3", "-0.25"] {
            assert!(is_number(yes), "{yes}");
        }
        for no in ["", "-", ".", ",", "1.2.3", "1,2.3", "12 mm", "1–2"] {
            assert!(!is_number(no), "{no}");
        }
    }
}
