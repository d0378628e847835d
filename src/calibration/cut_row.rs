//! One row of the log of finished cuts, cell by cell.

use super::against_quote::AgainstQuote;
use super::cut::Cut;
use super::day::Day;
use super::row_fault::{Column, RowFaultKind};
use super::whole_run;
use crate::job::{Candidate, Job, WireRun};
use crate::library::{Flushing, Library};
use crate::numbers::{self, DecimalSign, Written};
use crate::units::{Length, Minutes, Money};
use std::collections::HashMap;

/// A row as it stands in the file.
pub(super) struct Row<'a> {
    pub cells: &'a [&'a str],
    pub places: &'a HashMap<Column, usize>,
    /// What decides where a number alone could mean two things.
    pub sign: Option<DecimalSign>,
}

impl Row<'_> {
    fn text(&self, column: Column) -> &str {
        self.places
            .get(&column)
            .and_then(|&k| self.cells.get(k))
            .copied()
            .unwrap_or("")
    }
    fn to_number(
        &self,
        column: Column,
        text: &str,
        low: f64,
        high: f64,
    ) -> Result<f64, RowFaultKind> {
        let written = || text.to_owned();
        let value = match numbers::read(text, self.sign) {
            Written::Number(value) => value,
            Written::Either(meanings) => {
                return Err(RowFaultKind::TwoMeanings {
                    column,
                    text: written(),
                    meanings,
                });
            }
            Written::None => {
                return Err(RowFaultKind::NoNumber {
                    column,
                    text: written(),
                });
            }
        };
        if !(low..=high).contains(&value) {
            return Err(RowFaultKind::OutOfRange {
                column,
                text: written(),
                low,
                high,
            });
        }
        Ok(value)
    }
    fn number(&self, column: Column, low: f64, high: f64) -> Result<f64, RowFaultKind> {
        match self.text(column) {
            "" => Err(RowFaultKind::Empty { column, low, high }),
            text => self.to_number(column, text, low, high),
        }
    }
    /// The cut that the row tells of, or what is wrong with it.
    pub fn cut(
        &self,
        row: usize,
        line: u64,
        library: &Library,
        today: Day,
    ) -> Result<Cut, RowFaultKind> {
        let date_text = self.text(Column::Date);
        let date =
            Day::parse(date_text).ok_or_else(|| RowFaultKind::NoDate(date_text.to_owned()))?;
        if date > today {
            return Err(RowFaultKind::Future { date, today });
        }
        let material = self.text(Column::Material).to_owned();
        if library.material(&material).is_none() {
            return Err(RowFaultKind::UnknownMaterial(material));
        }
        let wire = self.text(Column::Wire).to_owned();
        if library.wire(&wire).is_none() {
            return Err(RowFaultKind::UnknownWire(wire));
        }
        let word = self.text(Column::Flushing);
        let flushing = Flushing::ALL
            .into_iter()
            .find(|f| f.key() == word)
            .ok_or_else(|| RowFaultKind::Flushing(word.to_owned()))?;
        let most = library.passes.len();
        let passes = self.text(Column::Passes);
        let passes = passes
            .parse::<usize>()
            .ok()
            .filter(|p| (1..=most).contains(p))
            .ok_or_else(|| RowFaultKind::Passes {
                text: passes.to_owned(),
                most,
            })?;
        let thickness = Job::THICKNESS_MM;
        let wire_used = match self.text(Column::WireUsed) {
            "" => None,
            text => Some(Length::from_m(self.to_number(
                Column::WireUsed,
                text,
                0.1,
                10_000_000.0,
            )?)),
        };
        let run = self.text(Column::Run);
        let run = WireRun::parse(run).ok_or_else(|| RowFaultKind::Run(run.to_owned()))?;
        let mut cut = Cut {
            row,
            line,
            date,
            machine: self.text(Column::Machine).to_owned(),
            material,
            wire: Candidate::new(&wire, self.number(Column::Diameter, 0.03, 0.4)?).running(run),
            thickness: Length::from_mm(self.number(
                Column::Thickness,
                *thickness.start(),
                *thickness.end(),
            )?),
            flushing,
            passes,
            cut_length: Length::from_mm(self.number(Column::CutLength, 0.01, 100_000_000.0)?),
            cutting_minutes: Minutes::ZERO,
            wire_used,
            note: self.text(Column::Note).to_owned(),
            outlier: self.outlier()?,
            pass_path: self.pass_path(passes)?,
            quoted: self.quoted()?,
        };
        cut.cutting_minutes = self.cutting(&cut, library)?;
        Ok(cut)
    }
    /// Minutes of cutting as noted, else what the whole run leaves for it.
    fn cutting(&self, cut: &Cut, library: &Library) -> Result<Minutes, RowFaultKind> {
        let is_empty = |column| self.text(column).is_empty();
        if !is_empty(Column::CuttingMinutes) || is_empty(Column::RunMinutes) {
            return self.minutes(Column::CuttingMinutes);
        }
        let run = self.minutes(Column::RunMinutes)?;
        let count = |column| {
            if is_empty(column) {
                return Err(RowFaultKind::WholeRunWithout(column));
            }
            self.number(column, 0.0, 100_000.0)
        };
        let threadings = count(Column::Threadings)?;
        let stops = count(Column::Stops)?;
        whole_run::cutting(run, (threadings, stops), cut, library)
    }
    /// What was quoted: nothing where no minutes were.
    fn quoted(&self) -> Result<Option<AgainstQuote>, RowFaultKind> {
        let most = 1_000_000_000.0;
        if self.text(Column::QuotedMinutes).is_empty() {
            return Ok(None);
        }
        let optional = |column, low| match self.text(column) {
            "" => Ok(None),
            _ => self.number(column, low, most).map(Some),
        };
        let cost = optional(Column::QuotedCost, 0.0)?.unwrap_or(0.0);
        let actual = optional(Column::ActualCost, -most)?.unwrap_or(cost);
        Ok(Some(AgainstQuote {
            minutes: Minutes::from_min(self.number(Column::QuotedMinutes, 0.01, 1_000_000.0)?),
            wire: optional(Column::QuotedWire, 0.0)?.map(Length::from_m),
            cost: Money::from_amount(cost),
            actual_cost: Money::from_amount(actual),
        }))
    }
    /// Minutes, or a time with colons or letters, such as 5:01:46 or 3h28.
    fn minutes(&self, column: Column) -> Result<Minutes, RowFaultKind> {
        let written = self.text(column);
        let plain = written.trim_matches(|c: char| !c.is_alphanumeric());
        let as_time = plain.contains(':') || plain.contains(|c: char| c.is_ascii_alphabetic());
        match Minutes::parse(plain).filter(|_| as_time) {
            Some(m) if (0.01..=1_000_000.0).contains(&m.min_value()) => Ok(m),
            _ => self
                .number(column, 0.01, 1_000_000.0)
                .map(Minutes::from_min),
        }
    }
    fn outlier(&self) -> Result<bool, RowFaultKind> {
        match self.text(Column::Outlier).to_lowercase().as_str() {
            "" | "0" | "no" | "false" => Ok(false),
            "1" | "yes" | "true" | "x" => Ok(true),
            other => Err(RowFaultKind::Outlier(other.to_owned())),
        }
    }
    fn pass_path(&self, passes: usize) -> Result<Option<Vec<Length>>, RowFaultKind> {
        let text = self.text(Column::PassPath);
        if text.is_empty() {
            return Ok(None);
        }
        let lengths = text
            .split('|')
            .enumerate()
            .map(|(k, t)| {
                // A later pass may be one that no contour has.
                let least = if k == 0 { 0.01 } else { 0.0 };
                self.to_number(Column::PassPath, t.trim(), least, 100_000_000.0)
                    .map(Length::from_mm)
            })
            .collect::<Result<Vec<_>, _>>()?;
        if lengths.len() != passes {
            return Err(RowFaultKind::PassPaths {
                given: lengths.len(),
                passes,
            });
        }
        Ok(Some(lengths))
    }
}
