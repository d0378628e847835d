//! One row of the log of finished cuts, cell by cell.

use super::cuts::Cut;
use super::day::Day;
use crate::job::{Candidate, Job, WireRun};
use crate::library::{Flushing, Library};
use crate::units::{Length, Minutes};
use std::collections::HashMap;

/// A row as it stands in the file.
pub(super) struct Row<'a> {
    pub cells: &'a csv::StringRecord,
    pub places: &'a HashMap<String, usize>,
    pub decimal_comma: bool,
}

impl Row<'_> {
    fn text(&self, column: &str) -> &str {
        self.places
            .get(column)
            .and_then(|&k| self.cells.get(k))
            .unwrap_or("")
    }
    fn to_number(&self, column: &str, text: &str, low: f64, high: f64) -> Result<f64, String> {
        let plain = if self.decimal_comma {
            text.replace(',', ".")
        } else {
            text.to_owned()
        };
        let value: f64 = plain
            .parse()
            .map_err(|_| format!("{column} is “{text}”, which is no number."))?;
        if !(low..=high).contains(&value) {
            return Err(format!(
                "{column} is {text}. It must lie between {low} and {high}."
            ));
        }
        Ok(value)
    }
    fn number(&self, column: &str, low: f64, high: f64) -> Result<f64, String> {
        match self.text(column) {
            "" => Err(format!(
                "{column} is empty. Enter a number between {low} and {high}."
            )),
            text => self.to_number(column, text, low, high),
        }
    }
    /// The cut that the row tells of, or what is wrong with it.
    pub fn cut(&self, row: usize, line: u64, library: &Library, today: Day) -> Result<Cut, String> {
        let date_text = self.text("date");
        let date = Day::parse(date_text).ok_or_else(|| {
            format!("date is “{date_text}”. Write it as year-month-day, such as 2026-03-31.")
        })?;
        if date > today {
            return Err(format!(
                "The date {date} lies in the future. Today is {today}."
            ));
        }
        let material = self.text("material").to_owned();
        if library.material(&material).is_none() {
            return Err(format!(
                "The library has no material “{material}”. Use one of its names, or add it to your library."
            ));
        }
        let wire = self.text("wire").to_owned();
        if library.wire(&wire).is_none() {
            return Err(format!(
                "The library has no wire “{wire}”. Use one of its names, or add it to your library."
            ));
        }
        let word = self.text("flushing");
        let flushing = Flushing::ALL
            .into_iter()
            .find(|f| f.key() == word)
            .ok_or_else(|| format!("flushing is “{word}”. Write close, one-away or away."))?;
        let most = library.passes.len();
        let passes = self.text("passes");
        let passes = passes
            .parse::<usize>()
            .ok()
            .filter(|p| (1..=most).contains(p))
            .ok_or_else(|| {
                format!("passes is “{passes}”. Write a whole number from 1 (rough only) to {most}.")
            })?;
        let thickness = Job::THICKNESS_MM;
        let wire_used = match self.text("wire_m") {
            "" => None,
            text => Some(Length::from_m(self.to_number(
                "wire_m",
                text,
                0.1,
                10_000_000.0,
            )?)),
        };
        Ok(Cut {
            row,
            line,
            date,
            machine: self.text("machine").to_owned(),
            material,
            wire: Candidate::new(&wire, self.number("diameter_mm", 0.03, 0.4)?)
                .running(WireRun::parse(self.text("run"))?),
            thickness: Length::from_mm(self.number(
                "thickness_mm",
                *thickness.start(),
                *thickness.end(),
            )?),
            flushing,
            passes,
            cut_length: Length::from_mm(self.number("cut_length_mm", 0.01, 100_000_000.0)?),
            cutting_minutes: Minutes::from_min(self.number(
                "cutting_minutes",
                0.01,
                1_000_000.0,
            )?),
            wire_used,
            note: self.text("note").to_owned(),
            outlier: self.outlier()?,
            pass_path: self.pass_path(passes)?,
        })
    }
    fn outlier(&self) -> Result<bool, String> {
        match self.text("outlier").to_lowercase().as_str() {
            "" | "0" | "no" | "false" => Ok(false),
            "1" | "yes" | "true" | "x" => Ok(true),
            other => Err(format!(
                "outlier is “{other}”. Write yes or no, or leave it empty."
            )),
        }
    }
    fn pass_path(&self, passes: usize) -> Result<Option<Vec<Length>>, String> {
        let text = self.text("pass_path_mm");
        if text.is_empty() {
            return Ok(None);
        }
        let lengths = text
            .split('|')
            .enumerate()
            .map(|(k, t)| {
                // A later pass may be one that no contour has.
                let least = if k == 0 { 0.01 } else { 0.0 };
                self.to_number("pass_path_mm", t.trim(), least, 100_000_000.0)
                    .map(Length::from_mm)
            })
            .collect::<Result<Vec<_>, _>>()?;
        if lengths.len() != passes {
            return Err(format!(
                "pass_path_mm has {} lengths for {passes} passes. Write one a pass with | between, or leave it empty.",
                lengths.len()
            ));
        }
        Ok(Some(lengths))
    }
}
