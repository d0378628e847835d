//! The enquiry on the desk: its items with what each comes to, which are chosen, how the table is sorted, and whether it is saved.

use super::scene::{Line, Model};
use crate::enquiry::{Enquiry, Hash, Item, Row, State, Totals, totals};
use crate::estimate::Quotable;
use crate::job::{Confirmed, Job};
use crate::language::said;
use crate::library::Library;
use crate::units::Length;
use crate::words::figures;
use crate::{drawing::Drawing, drawing::Verdict};
use egui::Pos2;
use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::Arc;

/// Chords of a thumbnail's longest contour, about.
const CHORDS: usize = 48;

/// A drawing in small: closed polylines in a box from 0 to 1, y down.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Thumbnail(pub Vec<Vec<Pos2>>);

impl Thumbnail {
    /// Of what the canvas paints; the largest contours only.
    pub fn of(model: &Model) -> Self {
        const MOST: usize = 40;
        let size = model.bounds.size().max_elem().max(1e-6);
        let place = |p: &Pos2| {
            let q = (*p - model.bounds.center()) / size;
            Pos2::new(0.5 + q.x, 0.5 - q.y)
        };
        let mut lines: Vec<_> = model.contours.iter().chain(&model.open).collect();
        let larger = |a: &&Line, b: &&Line| b.bounds.area().total_cmp(&a.bounds.area());
        if lines.len() > MOST {
            lines.select_nth_unstable_by(MOST, larger);
            lines.truncate(MOST);
        }
        lines.sort_by(larger);
        let thin = |points: &[Pos2]| {
            let step = points.len().div_ceil(CHORDS).max(1);
            let some = points.iter().step_by(step).chain(points.last());
            some.map(place).collect()
        };
        Self(lines.iter().map(|l| thin(&l.points)).collect())
    }
}

/// What is known of an item.
#[derive(Debug, Clone, PartialEq)]
pub enum Known {
    /// Its estimate is on its way.
    Waiting,
    /// What it comes to.
    Row(Box<Row>),
    /// Why it comes to nothing.
    Failed(String),
}

/// One item on the desk.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Names it while the program runs.
    pub id: u64,
    /// The item.
    pub item: Item,
    /// What it comes to.
    pub known: Known,
    /// Its cost a part in the other figures: today's where the file's own are in force.
    pub today: Option<Row>,
    /// The drawing in small.
    pub thumbnail: Arc<Thumbnail>,
    /// The open drawing that shows it.
    pub open: Option<u64>,
    /// Whether it is chosen in the table.
    pub chosen: bool,
    /// The file that it came from holds other bytes now.
    pub elsewhere: bool,
    /// Number of the latest estimate asked for.
    pub awaited: u64,
}

impl Entry {
    /// Its figures.
    pub fn row(&self) -> Option<&Row> {
        match &self.known {
            Known::Row(row) => Some(row),
            Known::Waiting | Known::Failed(_) => None,
        }
    }
    /// Where it stands when the worst comes first.
    pub fn rank(&self) -> u8 {
        match &self.known {
            Known::Failed(_) => 0,
            Known::Row(row) => match row.quotable {
                Quotable::NoWire => 1,
                Quotable::Drawing(Verdict::Refuse) => 2,
                Quotable::Drawing(Verdict::CheckThis) => 3,
                Quotable::Drawing(Verdict::SafeToQuote) => 4,
            },
            Known::Waiting => 5,
        }
    }
}

/// A column of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Column {
    /// Place in the enquiry.
    Item,
    /// Name of the drawing.
    Name,
    /// Verdict, the worst first.
    Verdict,
    /// Parts in the lot.
    Parts,
    /// Thickness.
    Thickness,
    /// Material.
    Material,
    /// Passes.
    Passes,
    /// Best wire.
    Wire,
    /// Time a part.
    Time,
    /// Cost a part.
    Cost,
    /// Cost of the lot.
    Lot,
    /// How far it has come.
    State,
}

impl Column {
    /// All, from the left.
    pub const ALL: [Self; 12] = [
        Self::Item,
        Self::Name,
        Self::Verdict,
        Self::Parts,
        Self::Thickness,
        Self::Material,
        Self::Passes,
        Self::Wire,
        Self::Time,
        Self::Cost,
        Self::Lot,
        Self::State,
    ];
    /// Its head.
    pub fn head(self) -> &'static str {
        match self {
            Self::Item => say!("item" in "head of a narrow column"),
            Self::Name => say!("drawing"),
            Self::Verdict => say!("verdict"),
            Self::Parts => say!("parts"),
            Self::Thickness => say!("thickness"),
            Self::Material => say!("material"),
            Self::Passes => say!("passes"),
            Self::Wire => say!("best wire"),
            Self::Time => said(figures::TIME_EACH),
            Self::Cost => said(figures::COST_EACH),
            Self::Lot => said(figures::COST_OF_ALL),
            Self::State => say!("state"),
        }
    }
}

/// A change to items.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Parts in the lot.
    Parts(u32),
    /// Thickness.
    Thickness(Length),
    /// Material, by its name.
    Material(String),
    /// Passes.
    Passes(usize),
    /// How far it has come.
    State(State),
}

impl Change {
    /// Makes it; whether the estimate may be another one then.
    pub fn make(&self, job: &mut Job, confirmed: &mut Confirmed, state: &mut State) -> bool {
        match self {
            Self::Parts(n) => job.quantity = *n,
            Self::Thickness(t) => {
                job.thickness = *t;
                confirmed.thickness = true;
            }
            Self::Material(name) => {
                job.material.clone_from(name);
                confirmed.material = true;
            }
            Self::Passes(n) => job.passes = *n,
            Self::State(s) => {
                *state = *s;
                return false;
            }
        }
        true
    }
}

/// What the page asks for.
#[derive(Debug, Clone)]
pub enum DeskAction {
    /// Change an item, and all that are chosen with it.
    Change(u64, Change),
    /// Choose an item or leave it.
    Choose(u64, bool),
    /// Choose all that are shown, or none.
    ChooseAll(bool),
    /// Sort by a column; the same again turns it.
    Sort(Column),
    /// Show only what these words are found in.
    Filter(String),
    /// Open an item as a drawing.
    Open(u64),
    /// Open an item as a drawing, and the page on which its finished cut is logged.
    LogCut(u64),
    /// Take the chosen items out.
    RemoveChosen,
    /// Put back what was taken out last.
    PutBack,
    /// Read a list of drawings.
    ImportList,
    /// Save the table.
    ExportList,
    /// Put the table on the clipboard.
    CopyList,
    /// Work with today's figures, or with those of the file.
    UseToday(bool),
    /// Take the drawing as it lies in its file now.
    TakeNew(u64),
    /// Open what was not saved when the program ended, or forget it.
    Recover(bool),
    /// What to do with what is not saved before the window closes.
    Leave(Leave),
}

/// What to do with what is not saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leave {
    /// Save it, then close.
    Save,
    /// Close without.
    Drop,
    /// Stay.
    Stay,
}

/// The enquiry and the work on it.
pub struct Desk {
    /// Its items, in the order of the enquiry.
    pub entries: Vec<Entry>,
    /// Where its job file lies.
    pub path: Option<PathBuf>,
    /// What lies there as far as this window knows.
    pub on_disk: Option<Hash>,
    /// What of the file is no item: quote, and what is not understood.
    pub rest: Enquiry,
    /// The figures of the file, where they are others than today's.
    pub then: Option<Arc<Library>>,
    /// Whether they are in force.
    pub uses_then: bool,
    /// What was taken out last, with its places.
    pub removed: Vec<(usize, Entry)>,
    /// Words that shown items hold.
    pub filter: String,
    /// Column that is sorted by, and whether it is turned.
    pub sort: (Column, bool),
    /// Counts changes of what a job file holds.
    pub revision: u64,
    /// What of it was saved.
    pub saved: u64,
    /// What of it was put aside for a crash.
    pub put_aside: u64,
    /// Whether the window asks what to do with what is not saved.
    pub asks: bool,
    /// A file that a program left behind that ended without saving.
    pub orphan: Option<PathBuf>,
    next: u64,
    /// Counts everything that the table shows.
    looks: u64,
    shown: (u64, Vec<usize>, Totals),
}

impl Desk {
    /// Empty.
    pub fn new(library: Arc<Library>) -> Self {
        Self {
            entries: Vec::new(),
            path: None,
            on_disk: None,
            rest: Enquiry::new(library),
            then: None,
            uses_then: false,
            removed: Vec::new(),
            filter: String::new(),
            sort: (Column::Verdict, false),
            revision: 0,
            saved: 0,
            put_aside: 0,
            asks: false,
            orphan: None,
            next: 1,
            looks: 1,
            shown: (0, Vec::new(), Totals::default()),
        }
    }
    /// Takes an item in; the number it is named by.
    pub fn add(&mut self, item: Item) -> u64 {
        let id = self.next;
        self.next += 1;
        self.entries.push(Entry {
            id,
            item,
            known: Known::Waiting,
            today: None,
            thumbnail: Arc::default(),
            open: None,
            chosen: false,
            elsewhere: false,
            awaited: 0,
        });
        self.touch();
        id
    }
    /// An item by its number.
    pub fn entry(&mut self, id: u64) -> Option<&mut Entry> {
        self.entries.iter_mut().find(|e| e.id == id)
    }
    /// The item that an open drawing shows.
    pub fn of_file(&mut self, file: u64) -> Option<&mut Entry> {
        self.entries.iter_mut().find(|e| e.open == Some(file))
    }
    /// Something shown has changed.
    pub fn touch(&mut self) {
        self.looks += 1;
    }
    /// Something that a job file holds has changed.
    pub fn change(&mut self) {
        self.revision += 1;
        self.touch();
    }
    /// Whether there is something that would be lost.
    pub fn is_unsaved(&self) -> bool {
        self.revision != self.saved && !self.entries.is_empty()
    }
    /// The figures that its estimates rest on, where they are the file's own.
    pub fn library_then(&self) -> Option<&Arc<Library>> {
        self.then.as_ref().filter(|_| self.uses_then)
    }
    /// As a job file, resting on a library.
    pub fn enquiry(&self, library: &Arc<Library>) -> Enquiry {
        let items = self.entries.iter().map(|e| {
            let mut item = e.item.clone();
            item.seen = e.row().map_or(item.seen, Row::seen);
            item
        });
        let mut enquiry = self.rest.clone();
        enquiry.library = Arc::clone(library);
        enquiry.items = items.collect();
        enquiry
    }
    /// Numbers of the items that a change of one is meant for: itself, and the chosen where it is one of them.
    pub fn meant(&self, id: u64) -> Vec<u64> {
        let is_chosen = self.entries.iter().any(|e| e.id == id && e.chosen);
        let chosen = self.entries.iter().filter(|e| is_chosen && e.chosen);
        let mut all: Vec<u64> = chosen.map(|e| e.id).collect();
        if all.is_empty() {
            all.push(id);
        }
        all
    }
    /// Items in the order of the table, and what all of them come to; worked out anew only after a change.
    pub fn look(&mut self) -> (&[usize], &Totals) {
        if self.shown.0 != self.looks {
            let all = self.entries.iter().map(|e| (&e.item, e.row()));
            let totals = totals(all);
            let words = self.filter.trim().to_lowercase();
            let holds = |e: &Entry| {
                let text = format!("{} {} {}", e.item.name, e.item.job.material, e.item.note);
                let text = text.to_lowercase();
                words.split_whitespace().all(|w| text.contains(w))
            };
            let mut order: Vec<usize> = (0..self.entries.len())
                .filter(|k| holds(&self.entries[*k]))
                .collect();
            let (column, turned) = self.sort;
            order.sort_by(|a, b| {
                let (a, b) = (&self.entries[*a], &self.entries[*b]);
                let by = compare(column, a, b);
                if turned { by.reverse() } else { by }
            });
            self.shown = (self.looks, order, totals);
        }
        (&self.shown.1, &self.shown.2)
    }
    /// The order that [`Desk::look`] worked out last.
    pub fn order(&self) -> &[usize] {
        &self.shown.1
    }
    /// The totals that [`Desk::look`] worked out last.
    pub fn totals(&self) -> &Totals {
        &self.shown.2
    }
    /// Marks items whose drawing is another one in its file now.
    pub fn mark_elsewhere(&mut self, changed: &HashSet<Hash>) {
        for entry in &mut self.entries {
            entry.elsewhere = changed.contains(&entry.item.drawing.hash());
        }
        self.touch();
    }
}

fn compare(column: Column, a: &Entry, b: &Entry) -> std::cmp::Ordering {
    let (x, y) = (&a.item.job, &b.item.job);
    // What has no figure comes last.
    let figure = |e: &Entry| {
        let best = e.row().and_then(|r| r.best.as_ref());
        best.map_or(f64::INFINITY, |best| match column {
            Column::Time => best.minutes.median.min_value(),
            Column::Lot => best.cost.part.median.amount() * f64::from(e.item.job.quantity),
            _ => best.cost.part.median.amount(),
        })
    };
    let wire = |e: &Entry| {
        let best = e.row().and_then(|r| r.best.as_ref());
        best.map(|b| b.candidate.written())
    };
    match column {
        Column::Item => std::cmp::Ordering::Equal,
        Column::Name => a.item.name.cmp(&b.item.name),
        Column::Verdict => a.rank().cmp(&b.rank()),
        Column::Parts => x.quantity.cmp(&y.quantity),
        Column::Thickness => x.thickness.mm().total_cmp(&y.thickness.mm()),
        Column::Material => x.material.cmp(&y.material),
        Column::Passes => x.passes.cmp(&y.passes),
        Column::Wire => wire(a).cmp(&wire(b)),
        Column::Time | Column::Cost | Column::Lot => figure(a).total_cmp(&figure(b)),
        Column::State => a.item.state.cmp(&b.item.state),
    }
}

/// An item that is to be worked, away from the window.
pub struct ItemWanted {
    /// Which.
    pub id: u64,
    /// Number of the request.
    pub number: u64,
    /// The item.
    pub item: Box<Item>,
    /// What it rests on.
    pub library: Arc<Library>,
    /// Today's figures beside those of the file, where both are wanted.
    pub today: Option<Arc<Library>>,
}

/// What it came to.
pub struct ItemDone {
    /// What it comes to.
    pub row: Row,
    /// In today's figures.
    pub today: Option<Row>,
    /// The drawing in small.
    pub thumbnail: Thumbnail,
}

impl ItemWanted {
    /// Works it.
    ///
    /// # Errors
    /// Why it comes to nothing, in words.
    pub fn work(&self) -> Result<Box<ItemDone>, String> {
        use crate::words::reading::{hint, problem};
        let told = |e: crate::drawing::ReadError| format!("{} {}", problem(&e), hint(&e));
        let progress = crate::drawing::Progress::default();
        let answered = self.item.answer(&self.library, &progress).map_err(told)?;
        let today = self.today.as_ref().and_then(|library| {
            let knows = self.item.job.faults(library).is_empty();
            let answered = knows.then(|| self.item.answer(library, &progress).ok())?;
            answered.map(|a| self.item.row(&a))
        });
        Ok(Box::new(ItemDone {
            row: self.item.row(&answered),
            today,
            thumbnail: thumbnail_of(&answered.drawing),
        }))
    }
}

fn thumbnail_of(drawing: &Drawing) -> Thumbnail {
    Thumbnail::of(&Model::new(&drawing.profile))
}
