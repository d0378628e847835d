//! The shop's own library as the window keeps it: what is in force, what was typed and cannot be used, and what can be taken back.

pub mod sheet;
pub mod typed;
pub mod units;

use self::sheet::Sheet;
use super::undo::Undo;
use crate::job::{Candidate, Job};
use crate::language::said;
use crate::library::{Caution, Change, Kind as MaterialKind, Library, LibraryTable, UserLibrary};
use crate::standing::Standing;
use crate::words::Style;

/// What the page of the library shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Entries of a table.
    Table(LibraryTable),
    /// The rate over the thickness.
    Curve,
}

impl Kind {
    /// All, in the order shown.
    pub const ALL: [Self; 8] = [
        Self::Table(LibraryTable::Materials),
        Self::Table(LibraryTable::Wires),
        Self::Table(LibraryTable::Diameters),
        Self::Table(LibraryTable::Passes),
        Self::Table(LibraryTable::Overheads),
        Self::Table(LibraryTable::Model),
        Self::Table(LibraryTable::Spools),
        Self::Curve,
    ];
}

/// A field that takes something typed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Spot {
    /// Part of a cell of an entry.
    Cell {
        /// Kind of entry.
        table: LibraryTable,
        /// Its name.
        entry: String,
        /// Which cell.
        path: String,
        /// Which part of it.
        part: Part,
    },
    /// A point of the thickness curve, counted from 0.
    Point {
        /// Which point.
        point: usize,
        /// Its rate, else its thickness.
        rate: bool,
    },
}

/// Part of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// The number itself.
    Number,
    /// Lower end of its range.
    Low,
    /// Upper end of its range.
    High,
    /// Where it is from.
    Source,
    /// Words.
    Text,
    /// One of several plain numbers, counted from 0.
    Nth(usize),
}

/// Something typed that cannot be used. It is shown where it was typed and never put in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    /// Where.
    pub spot: Spot,
    /// As typed.
    pub typed: String,
    /// The units that were shown then.
    pub style: Style,
    /// What is wrong and what would be right.
    pub reason: String,
}

/// What the page of the library asks for.
#[derive(Debug, Clone)]
pub enum LibraryAction {
    /// Show another kind.
    Turn(Kind),
    /// Open an entry, or close the one that is open.
    Open(Option<String>),
    /// Something was typed into a field.
    Type(Spot, String),
    /// How far a cell can be relied on.
    Stand(LibraryTable, String, String, Standing),
    /// What a material warns about.
    Warn(LibraryTable, String, String, Option<Caution>),
    /// What kind of material it is.
    Sort(LibraryTable, String, String, MaterialKind),
    /// Copy an entry under a name; its own name copies it over the built-in one.
    Copy {
        /// Kind of entry.
        table: LibraryTable,
        /// Which entry.
        from: String,
        /// Name of the copy.
        name: String,
    },
    /// Take an own entry out.
    Delete(LibraryTable, String),
    /// A new entry of which nothing is said but its name.
    New(LibraryTable, String),
    /// Another name for an own entry.
    Rename {
        /// Kind of entry.
        table: LibraryTable,
        /// Its name so far.
        from: String,
        /// Its name from now on.
        name: String,
    },
    /// What stands in a cell from now on.
    Put(LibraryTable, String, &'static str, Change),
    /// Begin an own curve with points of the built-in one.
    BeginCurve,
    /// Go back to the built-in curve.
    DropCurve,
    /// Add a point: thickness and rate as typed.
    AddPoint(String, String),
    /// Take a point out.
    RemovePoint(usize),
    /// Take the last change back.
    Undo,
    /// Make it again.
    Redo,
    /// Forget what was typed and cannot be used.
    PutAway,
    /// Choose a file to take over.
    TakeOver,
    /// Save as a file that others can take over.
    Save,
    /// Save at a path that was typed.
    SaveAt(String),
    /// Leave the field for a path.
    NoPath,
}

/// A state of the library while it is worked on.
#[derive(Debug, Clone, PartialEq, Default)]
struct State {
    own: UserLibrary,
    wrong: Vec<Wrong>,
}

/// The shop's own library and the work on it.
#[derive(Debug)]
pub struct OwnLibrary {
    now: State,
    sheet: Sheet,
    undo: Undo<State>,
    /// What the page shows.
    pub kind: Kind,
    /// The entry that is open.
    pub open: Option<String>,
    /// Whether the last change was made here, so that the keys for undo are meant for it.
    pub touched: bool,
    /// A path to save at is asked for, because this desktop shows no dialog.
    pub asks_path: bool,
    /// Where it is kept, as shown; `None` where nothing is kept.
    pub place: Option<String>,
    /// Whether it lies there as it is.
    pub is_safe: bool,
}

impl Default for OwnLibrary {
    fn default() -> Self {
        Self::kept(UserLibrary::default())
    }
}

impl OwnLibrary {
    /// With what was kept.
    pub fn kept(own: UserLibrary) -> Self {
        Self {
            sheet: Sheet::of(&own),
            now: State {
                own,
                wrong: Vec::new(),
            },
            undo: Undo::default(),
            kind: Kind::ALL[0],
            open: None,
            touched: false,
            asks_path: false,
            place: None,
            is_safe: false,
        }
    }
    /// What is in force.
    pub fn own(&self) -> &UserLibrary {
        &self.now.own
    }
    /// Its entries over the built-in ones, cell by cell.
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }
    /// What was typed and cannot be used.
    pub fn wrong(&self) -> &[Wrong] {
        &self.now.wrong
    }
    /// What was typed into a field and cannot be used.
    pub fn wrong_at(&self, spot: &Spot) -> Option<&Wrong> {
        self.now.wrong.iter().find(|w| w.spot == *spot)
    }
    /// Takes a changed library over; whatever was wrong and fits now comes along.
    pub fn change(&mut self, own: UserLibrary, wrong: Vec<Wrong>) {
        let new = State { own, wrong };
        if new == self.now {
            return;
        }
        self.touched = true;
        self.undo.remember(std::mem::replace(&mut self.now, new));
        self.sheet = Sheet::of(&self.now.own);
    }
    /// The library that undo or redo would bring back.
    pub fn beside(&self, back: bool) -> Option<&UserLibrary> {
        self.undo.beside(back).map(|s| &s.own)
    }
    /// Goes there.
    pub fn go(&mut self, back: bool) {
        if let Some(state) = self.undo.go(back, self.now.clone()) {
            self.now = state;
            self.sheet = Sheet::of(&self.now.own);
            self.touched = true;
        }
    }
}

/// The machine that another name was given to: its name before and after. `None` where more or less than that differs.
pub fn renamed_machine(before: &Library, after: &Library) -> Option<(String, String)> {
    let (before, after) = (&before.machines, &after.machines);
    let mut other = before.iter().zip(after).filter(|(a, b)| a.name != b.name);
    let (from, to) = other.next()?;
    let is_one = before.len() == after.len() && other.next().is_none();
    let was_there = |m: &[crate::library::Machine], name: &str| m.iter().any(|m| m.name == name);
    let is_new = !was_there(before, &to.name) && !was_there(after, &from.name);
    (is_one && is_new).then(|| (from.name.clone(), to.name.clone()))
}

/// What a job uses and a change of the library would take away, as a phrase.
pub fn taken_away(job: &Job, before: &Library, after: &Library) -> Option<String> {
    let material = |l: &Library| l.material(&job.material).is_some();
    if material(before) && !material(after) {
        return Some(say!("the material “{}”", said(&job.material)));
    }
    let wire = |l: &Library, c: &Candidate| l.wire(&c.wire).is_some();
    let mut candidates = job.candidates.iter();
    if let Some(c) = candidates.find(|c| wire(before, c) && !wire(after, c)) {
        return Some(say!("the wire “{}”", said(&c.wire)));
    }
    let spool = |l: &Library| l.spools.iter().any(|s| s.name == job.shop.spool);
    (spool(before) && !spool(after)).then(|| say!("the spool “{}”", job.shop.spool))
}
