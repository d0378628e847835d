//! The shop's finished cuts as the window keeps them, and what is fitted to them.

use super::reading::Source;
use crate::calibration::{
    Cut, CutsRead, Day, Edit, Log, MachineFit, RowFault, RowFit, RowText, latest_machine,
};
use crate::library::{Knowledge, Library};
use crate::numbers::{self, Written};
use crate::words::typed::two_meanings;
use std::collections::HashMap;

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
    /// Take over the cuts that lie beside the table.
    Merge,
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

/// Cuts that lie beside the table and are not in it: in a copy that was put aside, or where an earlier version of
/// the program kept them.
#[derive(Debug, Clone)]
pub struct Beside {
    /// Name of the file.
    pub name: String,
    /// Where it is.
    pub source: Source,
    /// Cuts in it that the table lacks.
    pub cuts: usize,
}

/// Most changes that can be taken back.
const MOST_UNDONE: usize = 200;

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
    /// Cuts that could be merged.
    pub beside: Vec<Beside>,
    /// Whether a fit is out.
    pub waiting: bool,
    /// Number of the latest fit asked for; an older one is dropped.
    pub awaited: u64,
    /// The table with all that is not understood in it.
    log: Log,
    /// What takes the latest changes back, the latest last.
    undo: Vec<Vec<Edit>>,
}

impl Learning {
    /// As it lies in its file.
    pub fn kept(log: Log, on: bool, machine: Option<String>, library: &Library) -> Self {
        let mut out = Self {
            on,
            machine,
            log,
            ..Self::default()
        };
        let faults = out.read_again(library);
        if !faults.is_empty() {
            out.brought = Some(Brought {
                name: say!("Your table").to_owned(),
                taken: out.cuts.len(),
                faults,
                ..Brought::default()
            });
        }
        out
    }
    /// The table as it lies in its file now, where somebody else has changed it; whether it is another one.
    pub fn follow(&mut self, bytes: &[u8], library: &Library) -> bool {
        if self.log.bytes() == bytes {
            return false;
        }
        let Ok(log) = Log::parse(bytes) else {
            return false;
        };
        self.log = log;
        self.read_again(library);
        true
    }
    fn read_again(&mut self, library: &Library) -> Vec<RowFault> {
        let read = self.log.read(library, Day::latest(), None);
        self.cuts = read.cuts;
        read.faults
    }
    /// The table as a file that reads back unchanged, with all that could not be read.
    pub fn table(&self) -> Vec<u8> {
        self.log.bytes()
    }
    /// Makes changes, to be saved as they come back; they can be taken back together.
    pub fn change(&mut self, edits: Vec<Edit>, library: &Library) -> Vec<Edit> {
        let (done, back) = self.apply(edits, library);
        if !back.is_empty() {
            self.undo.push(back);
            if self.undo.len() > MOST_UNDONE {
                self.undo.remove(0);
            }
        }
        done
    }
    /// What was done, and what takes it back.
    fn apply(&mut self, edits: Vec<Edit>, library: &Library) -> (Vec<Edit>, Vec<Edit>) {
        let (mut done, mut back) = (Vec::new(), Vec::new());
        for edit in edits {
            if let Some(inverse) = self.log.apply(&edit) {
                back.push(inverse);
                done.push(edit);
            }
        }
        back.reverse();
        if !done.is_empty() {
            self.read_again(library);
        }
        (done, back)
    }
    /// Sets a cut aside, or lets it count again.
    pub fn set_aside(&mut self, cut: usize, aside: bool, library: &Library) -> Vec<Edit> {
        let row = self.row_text(cut);
        let edits = row.map(|row| Edit::SetAside { row, aside });
        self.change(edits.into_iter().collect(), library)
    }
    /// Takes a cut out.
    pub fn remove(&mut self, cut: usize, library: &Library) -> Vec<Edit> {
        let edits = self.row_text(cut).map(|row| Edit::Remove { row });
        self.change(edits.into_iter().collect(), library)
    }
    fn row_text(&self, cut: usize) -> Option<RowText> {
        self.log.row(self.cuts.get(cut)?.row)
    }
    /// Whether there is a table to go back to.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }
    /// Goes back to the table before the last change; what is to be saved.
    pub fn undo(&mut self, library: &Library) -> Vec<Edit> {
        let back = self.undo.pop().unwrap_or_default();
        self.apply(back, library).0
    }
    /// Adds the cuts of a file; those that are in the table already are not added twice.
    pub fn bring(&mut self, name: String, read: CutsRead, library: &Library) -> Vec<Edit> {
        let (fresh, known) = self.not_yet_there(read.cuts);
        self.brought = Some(Brought {
            name,
            taken: fresh.len(),
            known,
            faults: read.faults,
            unknown_columns: read.unknown_columns,
        });
        let edits = fresh.into_iter().map(|c| Edit::Add(Box::new(c)));
        self.change(edits.collect(), library)
    }
    /// The cuts that the table lacks, and how many others there are.
    pub fn not_yet_there(&self, cuts: Vec<Cut>) -> (Vec<Cut>, usize) {
        let mut there: HashMap<String, usize> = HashMap::new();
        for cut in &self.cuts {
            *there.entry(cut.identity()).or_default() += 1;
        }
        let all = cuts.len();
        let mut fresh = cuts;
        fresh.retain(|cut| match there.get_mut(&cut.identity()) {
            // Each cut of the table answers for one of the file: two alike in the file are two cuts.
            Some(left) if *left > 0 => {
                *left -= 1;
                false
            }
            _ => true,
        });
        let known = all - fresh.len();
        (fresh, known)
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
    /// What was learned on the other machines, while estimates use it.
    pub fn elsewhere(&self) -> impl Iterator<Item = &Knowledge> {
        let used = self.in_use().map(|k| k.machine.as_str());
        let others = self.fits.iter().map(|f| &f.knowledge);
        let others = others.filter(move |k| k.cuts > 0 && Some(k.machine.as_str()) != used);
        others.filter(|_| self.on && !self.cuts.is_empty())
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

/// Minutes as typed: "312", "5:12" or "5 h 12 min".
///
/// # Errors
/// What is wrong and what to type instead.
pub fn parse_minutes(text: &str) -> Result<f64, String> {
    let wrong = || {
        say!(
            "“{}” is not a time. Type minutes, such as 312, or hours and minutes, such as 5:12 or 5:12:30.",
            text.trim()
        )
    };
    if let Written::Either(two) = numbers::read(text, None) {
        return Err(two_meanings(text, two));
    }
    crate::units::Minutes::parse(text)
        .map(crate::units::Minutes::min_value)
        .ok_or_else(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::read_cuts;

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
        let log = Log::parse(table.as_bytes()).unwrap();
        let mut kept = Learning::kept(log, true, None, library);
        assert_eq!(kept.cuts.len(), 1);
        assert_eq!(kept.brought.as_ref().map(|b| b.faults.len()), Some(1));
        kept.remove(0, library);
        let left = String::from_utf8(kept.table()).unwrap();
        assert_eq!(left, format!("{HEADER}{strange}"));
        kept.undo(library);
        assert_eq!(kept.table(), table.as_bytes());
    }

    #[test]
    fn a_file_brought_twice_adds_nothing() {
        let library = Library::built_in();
        let read = || {
            let text = format!("{HEADER}{ROW}{ROW}");
            read_cuts(text.as_bytes(), library, Day::latest()).unwrap_or_default()
        };
        let mut learning = Learning::default();
        assert_eq!(learning.bring("a.csv".to_owned(), read(), library).len(), 2);
        assert_eq!(learning.cuts.len(), 2, "two alike are two cuts");
        learning.set_aside(0, true, library);
        learning.bring("a.csv".to_owned(), read(), library);
        assert_eq!(learning.cuts.len(), 2);
        assert_eq!(learning.brought.as_ref().map(|b| b.known), Some(2));
        learning.undo(library);
        learning.undo(library);
        assert!(learning.cuts.is_empty() && !learning.can_undo());
    }
}
