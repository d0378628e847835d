//! Logging a finished cut: from the open job to a row of the shop's table.

use super::against_quote::AgainstQuote;
use super::cut::Cut;
use super::day::Day;
use super::log::{Edit, Log};
use super::row_fault::Column;
use crate::estimate::Figures;
use crate::job::{Candidate, Job, WireRun};
use crate::units::{Length, Minutes};

/// What the shop notes when a job is done.
#[derive(Debug, Clone, Copy)]
pub struct Done<'a> {
    /// When.
    pub date: Day,
    /// Machine, as the shop calls it.
    pub machine: &'a str,
    /// Drawn length that was cut.
    pub cut_length: Length,
    /// Minutes of cutting, corners included, without stops and threading.
    pub cutting_minutes: Minutes,
    /// How the wire was run, where not as the candidate says.
    pub run: Option<WireRun>,
    /// Wire used, all of it: what is wasted at threadings is taken off as predicted.
    pub wire_used: Option<Length>,
    /// Remark.
    pub note: &'a str,
}

/// Noted and expected wire farther apart than this share were not run at the same speed: three times what the wire
/// speed of single cuts scatters by, and a little more (judgement).
const OTHER_SPEED: f64 = 0.15;

/// Wire that a job would have used, had it been cut in so many minutes with the wire run so; what is wasted at
/// threadings and breaks included. The usual way stands for that of the figures.
pub fn wire_if_run(figures: &Figures, run: WireRun, cutting: Minutes) -> Length {
    let predicted: Minutes = figures.passes.iter().map(|p| p.minutes).sum();
    let share = cutting / predicted;
    let passes = figures.passes.iter().enumerate();
    let used: Length = passes
        .map(|(k, p)| run.run_off(k, p.run_off) * (p.minutes * share))
        .sum();
    used + figures.wasted_wire()
}

/// Whether the wire noted cannot have been run at a speed that would have used so much.
pub fn is_of_another_speed(noted: Length, expected: Length) -> bool {
    (noted / expected - 1.0).abs() > OTHER_SPEED
}

/// The wire noted is no more than threadings waste.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LessThanWasted {
    /// Wire that is predicted to be wasted.
    pub wasted: Length,
}

/// The table of cuts as a file that [`read_cuts`](super::read_cuts) reads back unchanged.
pub fn write_cuts(cuts: &[Cut]) -> Vec<u8> {
    let mut log = Log::default();
    for cut in cuts {
        log.apply(&Edit::Add(Box::new(cut.clone())));
    }
    log.bytes()
}

impl Cut {
    /// What makes a cut the same cut, wherever it stands and whatever is thought of it.
    pub fn identity(&self) -> String {
        let all = Column::ALL.into_iter().filter(|c| *c != Column::Outlier);
        let cells: Vec<String> = all.map(|c| self.cell(c, |v| v.to_string())).collect();
        cells.join("\u{1f}")
    }
    /// What stands in a column for it; `number` writes its numbers.
    pub(super) fn cell(&self, column: Column, number: impl Fn(f64) -> String) -> String {
        let text = |t: &str| t.trim().to_owned();
        let quoted = |of: &dyn Fn(&AgainstQuote) -> Option<f64>| {
            let value = self.quoted.as_ref().and_then(of);
            value.map_or_else(String::new, &number)
        };
        match column {
            Column::Date => self.date.to_string(),
            Column::Machine => text(&self.machine),
            Column::Material => text(&self.material),
            Column::Wire => text(&self.wire.wire),
            Column::Diameter => number(self.wire.diameter.mm()),
            Column::Thickness => number(self.thickness.mm()),
            Column::Flushing => self.flushing.key().to_owned(),
            Column::Passes => self.passes.to_string(),
            Column::CutLength => number(self.cut_length.mm()),
            Column::CuttingMinutes => number(self.cutting_minutes.min_value()),
            // A whole run has become minutes of cutting when it was read.
            Column::RunMinutes | Column::Threadings | Column::Stops => String::new(),
            Column::WireUsed => self.wire_used.map_or_else(String::new, |w| number(w.m())),
            Column::Run => self.wire.run.written(),
            Column::Note => text(&self.note),
            Column::Outlier => if self.outlier { "yes" } else { "" }.to_owned(),
            Column::PassPath => {
                let path = self.pass_path.iter().flatten();
                path.map(|l| number(l.mm())).collect::<Vec<_>>().join("|")
            }
            Column::QuotedMinutes => quoted(&|q| Some(q.minutes.min_value())),
            Column::QuotedWire => quoted(&|q| q.wire.map(Length::m)),
            Column::QuotedCost => quoted(&|q| Some(q.cost.amount())),
            Column::ActualCost => quoted(&|q| Some(q.actual_cost.amount())),
        }
    }
}

impl Cut {
    /// The cut that an estimated job turned out to be.
    ///
    /// Keeps each pass's path with what lead-ins and corners seem to add, so that the log stays good when the library changes.
    /// What is wasted at threadings says nothing about the run-off, so a cut is logged without it.
    ///
    /// # Errors
    /// Less wire than the threadings alone are predicted to waste.
    pub fn of_job(
        job: &Job,
        candidate: &Candidate,
        figures: &Figures,
        done: &Done<'_>,
    ) -> Result<Self, LessThanWasted> {
        let wasted = figures.wasted_wire();
        let run = done.wire_used.map(|w| w - wasted);
        if run.is_some_and(|w| w <= Length::ZERO) {
            return Err(LessThanWasted { wasted });
        }
        let pass_path = figures
            .passes
            .iter()
            .map(|run| run.feed * run.minutes)
            .collect();
        Ok(Self {
            row: 0,
            line: 0,
            date: done.date,
            machine: done.machine.to_owned(),
            material: job.material.clone(),
            wire: candidate.clone().running(done.run.unwrap_or(candidate.run)),
            thickness: job.thickness,
            flushing: job.flushing,
            passes: job.passes,
            cut_length: done.cut_length,
            cutting_minutes: done.cutting_minutes,
            wire_used: run,
            note: done.note.to_owned(),
            outlier: false,
            pass_path: Some(pass_path),
            quoted: Some(AgainstQuote::of(figures, done.cutting_minutes, run)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::read_cuts;
    use crate::library::Library;

    #[test]
    fn what_is_written_reads_back() {
        let today = Day::parse("2026-06-01").unwrap();
        let row = |k: usize| Cut {
            row: k,
            line: k as u64 + 1,
            date: today,
            machine: "left".to_owned(),
            material: "cold-work tool steel".to_owned(),
            wire: Candidate::new("hard plain brass", 0.25),
            thickness: Length::from_mm(40.0),
            flushing: crate::library::Flushing::OneAway,
            passes: 4,
            cut_length: Length::from_mm(512.125),
            cutting_minutes: Minutes::from_min(300.7),
            wire_used: None,
            note: String::new(),
            outlier: false,
            pass_path: None,
            quoted: None,
        };
        let mut cuts = vec![row(1), row(2)];
        cuts[1].note = "wire broke, \"twice\"; then fine".to_owned();
        cuts[1].outlier = true;
        cuts[1].wire.run = WireRun::parse("10/8/6.5").unwrap();
        cuts[1].wire_used = Some(Length::from_m(2800.0));
        cuts[1].quoted = Some(AgainstQuote {
            minutes: Minutes::from_min(280.5),
            wire: Some(Length::from_m(2700.25)),
            cost: crate::units::Money::from_amount(492.5),
            actual_cost: crate::units::Money::from_amount(510.25),
        });
        cuts[1].pass_path = Some(vec![Length::from_mm(512.25); 4]);
        let read = read_cuts(&write_cuts(&cuts), Library::built_in(), today).unwrap();
        assert_eq!((read.cuts, read.faults), (cuts, vec![]));
    }
}
