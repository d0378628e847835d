//! The shop's finished cuts as the window keeps them, and what is fitted to them.

use super::undo::Undo;
use crate::calibration::{Cut, CutsRead, Day, MachineFit, RowFault, RowFit, latest_machine};
use crate::calibration::{read_cuts, write_cuts};
use crate::library::{Knowledge, Library};

/// What the panel of finished cuts asks for.
#[derive(Debug, Clone)]
pub enum LearnAction {
    /// A finished cut joins the table.
    Log(Box<Cut>),
    /// A cut is set aside, or counts again.
    SetAside(usize, bool),
    /// A cut leaves the table.
    Remove(usize),
    /// The last change to the table is taken back.
    Undo,
    /// Estimates use what was learned, or the library alone.
    Use(bool),
    /// Estimates are for this machine.
    Machine(String),
    /// Choose a table of past cuts.
    Import,
    /// Save the table as a file.
    Save,
    /// Put the table on the clipboard.
    Copy,
    /// What the last file brought has been read.
    Dismiss,
}

/// What a file of cuts brought.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Brought {
    /// Name of the file.
    pub name: String,
    /// Cuts that were taken over.
    pub taken: usize,
    /// Cuts that were in the table already.
    pub known: usize,
    /// Rows that cannot be used, with line and reason.
    pub faults: Vec<RowFault>,
    /// Columns that were passed over.
    pub unknown_columns: Vec<String>,
}

/// The table of finished cuts, its fit, and whether estimates use it.
#[derive(Debug, Default)]
pub struct Learning {
    /// In the order in which they were logged.
    pub cuts: Vec<Cut>,
    /// One per machine, of the table as it was when the fit was asked for.
    pub fits: Vec<MachineFit>,
    /// Whether estimates use what was learned.
    pub on: bool,
    /// The machine that estimates are for; `None` is that of the latest cut.
    pub machine: Option<String>,
    /// What the last file brought.
    pub brought: Option<Brought>,
    /// Whether a fit is out.
    pub waiting: bool,
    /// Number of the latest fit asked for; an older one is dropped.
    pub awaited: u64,
    undo: Undo<Vec<Cut>>,
    /// Lines kept from an earlier start that the library of today cannot read; they are kept on.
    unread: Vec<String>,
}

impl Learning {
    /// As kept from an earlier start.
    pub fn kept(table: &str, on: bool, machine: Option<String>, library: &Library) -> Self {
        let mut out = Self {
            on,
            machine,
            ..Self::default()
        };
        if let Ok(read) = read_cuts(table.as_bytes(), library, Day::latest()) {
            let line = |n: u64| table.lines().nth((n as usize).saturating_sub(1));
            out.unread = read
                .faults
                .iter()
                .filter_map(|f| line(f.line))
                .map(str::to_owned)
                .collect();
            if !read.faults.is_empty() {
                out.brought = Some(Brought {
                    name: "The kept table".to_owned(),
                    taken: read.cuts.len(),
                    faults: read.faults,
                    ..Brought::default()
                });
            }
            out.cuts = read.cuts;
            out.renumber();
        }
        out
    }
    /// The table as a file that reads back unchanged, with the lines that could not be read.
    pub fn table(&self) -> String {
        if self.cuts.is_empty() && self.unread.is_empty() {
            return String::new();
        }
        let mut out = write_cuts(&self.cuts);
        for line in &self.unread {
            out.push_str(line);
            out.push('\n');
        }
        out
    }
    /// Takes a changed table over and remembers the one before.
    pub fn change(&mut self, change: impl FnOnce(&mut Vec<Cut>)) {
        let before = self.cuts.clone();
        change(&mut self.cuts);
        self.renumber();
        if self.cuts != before {
            self.undo.remember(before);
        }
    }
    /// Whether there is a table to go back to.
    pub fn can_undo(&self) -> bool {
        self.undo.beside(true).is_some()
    }
    /// Goes back to the table before the last change.
    pub fn undo(&mut self) {
        if let Some(cuts) = self.undo.go(true, self.cuts.clone()) {
            self.cuts = cuts;
        }
    }
    /// Adds the cuts of a file; those that are in the table already are not added twice.
    pub fn bring(&mut self, name: String, read: CutsRead) {
        let mut there: Vec<Cut> = self.cuts.iter().map(bare).collect();
        let mut known = 0;
        let mut fresh = Vec::new();
        for cut in read.cuts {
            // Each cut of the table answers for one of the file: two alike in the file are two cuts.
            if let Some(k) = there.iter().position(|c| *c == bare(&cut)) {
                there.swap_remove(k);
                known += 1;
            } else {
                fresh.push(cut);
            }
        }
        self.brought = Some(Brought {
            name,
            taken: fresh.len(),
            known,
            faults: read.faults,
            unknown_columns: read.unknown_columns,
        });
        self.change(|cuts| cuts.extend(fresh));
    }
    fn renumber(&mut self) {
        for (k, cut) in self.cuts.iter_mut().enumerate() {
            cut.row = k + 1;
            cut.line = k as u64 + 2;
        }
    }
    /// The fit of the machine that estimates are for.
    pub fn fit(&self) -> Option<&MachineFit> {
        let of = |name: &str| self.fits.iter().find(|f| f.machine == name);
        self.machine
            .as_deref()
            .and_then(of)
            .or_else(|| of(latest_machine(&self.cuts)?))
            .or_else(|| self.fits.first())
    }
    /// What estimates use; `None` when switched off or nothing is there to use.
    pub fn in_use(&self) -> Option<&Knowledge> {
        let fit = self.fit().filter(|_| self.on && !self.cuts.is_empty())?;
        Some(&fit.knowledge).filter(|k| k.cuts > 0)
    }
    /// A cut against its predictions; `None` while a fit is out.
    pub fn row(&self, cut: usize) -> Option<&RowFit> {
        if self.waiting {
            return None;
        }
        let mut rows = self.fits.iter().flat_map(|f| &f.rows);
        rows.find(|r| r.cut == cut)
    }
    /// The machine named last: what a new cut is prefilled with.
    pub fn last_machine(&self) -> &str {
        self.cuts.last().map_or("", |c| c.machine.as_str())
    }
}

/// What makes a cut the same cut, wherever it stands and whatever is thought of it.
fn bare(cut: &Cut) -> Cut {
    Cut {
        row: 0,
        line: 0,
        outlier: false,
        ..cut.clone()
    }
}

/// Minutes as typed: "312", "5:12" or "5 h 12 min".
///
/// # Errors
/// What is wrong and what to type instead.
pub fn parse_minutes(text: &str) -> Result<f64, String> {
    let wrong = || {
        format!(
            "“{}” is not a time. Type minutes, such as 312, or hours and minutes, such as 5:12 or 5:12:30.",
            text.trim()
        )
    };
    crate::units::Minutes::parse(text)
        .map(crate::units::Minutes::min_value)
        .ok_or_else(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes\n";
    const ROW: &str =
        "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300\n";

    #[test]
    fn times_are_read_as_people_write_them() {
        for (text, minutes) in [
            ("312", 312.0),
            ("5:12", 312.0),
            ("5 h 12 min", 312.0),
            ("5h", 300.0),
            ("12,5 min", 12.5),
        ] {
            assert_eq!(parse_minutes(text), Ok(minutes), "{text}");
        }
        for text in ["", "long", "-3", "5:x"] {
            assert!(parse_minutes(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_kept_row_that_cannot_be_read_today_is_kept_on() {
        let library = Library::built_in();
        let strange = ROW.replace("hard plain brass", "a wire no longer in the library");
        let table = format!("{HEADER}{ROW}{strange}");
        let kept = Learning::kept(&table, true, None, library);
        assert_eq!(kept.cuts.len(), 1);
        assert_eq!(kept.brought.as_ref().map(|b| b.faults.len()), Some(1));
        assert!(kept.table().contains("a wire no longer in the library"));
        assert_eq!(Learning::default().table(), "");
    }

    #[test]
    fn a_file_brought_twice_adds_nothing() {
        let library = Library::built_in();
        let read = || {
            let text = format!("{HEADER}{ROW}{ROW}");
            read_cuts(text.as_bytes(), library, Day::latest()).unwrap_or_default()
        };
        let mut learning = Learning::default();
        learning.bring("a.csv".to_owned(), read());
        assert_eq!(learning.cuts.len(), 2, "two alike are two cuts");
        learning.change(|cuts| cuts[0].outlier = true);
        learning.bring("a.csv".to_owned(), read());
        assert_eq!(learning.cuts.len(), 2);
        assert_eq!(learning.brought.as_ref().map(|b| b.known), Some(2));
        learning.undo();
        learning.undo();
        assert!(learning.cuts.is_empty() && !learning.can_undo());
    }
}
