//! The enquiry in the window: items come in, are worked, changed and opened.

use super::App;
use crate::calibration::against_quote::{CostSplit, cost_split};
use crate::calibration::{Cut, Day};
use crate::drawing::Progress;
use crate::enquiry::{DrawingFile, ENDING, Item, ListRow, Logged, Row, State, list};
use crate::gui::desk::{
    Change, Desk, DeskAction, Entry, ItemDone, ItemWanted, Known, Leave, Thumbnail,
};
use crate::gui::keeper::{Errand, Taken};
use crate::gui::open_files::{Kind, has_ending, name_of};
use crate::gui::page::Page;
use crate::gui::reading::{Reading, Source};
use crate::gui::state::{BeingRead, Weight};
use crate::gui::worker::Request;
use crate::job::Job;
use crate::library::Library;
use crate::units::{Length, Minutes, Money};
use crate::words::{job_faults, job_files, style};
use egui::{Context, ViewportCommand};
use std::borrow::Cow;
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

/// So many drawings at once are an enquiry; fewer open side by side.
const AN_ENQUIRY: usize = 6;
/// Most files that are told one by one of those that were not taken in.
const MOST_TOLD: usize = 6;

impl App {
    /// The enquiry.
    pub fn desk(&self) -> &Desk {
        &self.desk
    }

    /// Files and folders that were chosen, dropped or named: a job file, an enquiry, or drawings to be opened.
    pub(super) fn take_in(&mut self, paths: Vec<PathBuf>) {
        let is_drawing = |p: &Path| !["csv", "toml", ENDING].iter().any(|e| has_ending(p, e));
        let (drawings, others): (Vec<_>, Vec<_>) = paths.into_iter().partition(|p| is_drawing(p));
        for path in others {
            if has_ending(&path, ENDING) {
                self.open_job(path);
            } else {
                self.open_path(path);
            }
        }
        if drawings.len() >= AN_ENQUIRY || drawings.iter().any(|p| p.is_dir()) {
            let progress = Progress::default();
            self.shown.readings.push(BeingRead {
                name: match drawings.as_slice() {
                    [one] => name_of(one),
                    many => style::count(many.len(), say!("file"), say!("files")),
                },
                replaces: None,
                progress: progress.clone(),
                since: Instant::now(),
            });
            self.keeper.ask(Errand::Collect(drawings, progress));
        } else {
            drawings.into_iter().for_each(|p| self.open_path(p));
        }
    }

    /// Files dropped on the window in this frame.
    pub(super) fn take_dropped(&mut self, files: Vec<(PathBuf, Source)>) {
        let (paths, bytes): (Vec<_>, Vec<_>) = files
            .into_iter()
            .partition(|(_, source)| matches!(source, Source::Path(_)));
        if !paths.is_empty() {
            self.take_in(paths.into_iter().map(|(path, _)| path).collect());
        }
        let many = bytes.len() >= AN_ENQUIRY;
        let mut taken = Vec::new();
        for (path, source) in bytes {
            match source {
                Source::Bytes(bytes) if many => taken.push(Taken {
                    name: name_of(&path),
                    path,
                    row: None,
                    file: Ok(DrawingFile::new(bytes.into_owned())),
                }),
                source => self.read(name_of(&path), Some(path), source),
            }
        }
        if !taken.is_empty() {
            self.collect(taken);
        }
    }

    /// The job that the next drawing starts with: conditions carry over, what was decided for one drawing does not.
    pub(super) fn next_job(&self) -> Job {
        let mut job = self
            .front()
            .map_or_else(|| Job::starting(&self.library), |f| f.job.clone());
        job.left_out.clear();
        job.part.clear();
        job.counts.clear();
        job.contours.clear();
        if self.files.is_empty() {
            job.shop = self.rates.shop.clone();
        }
        job
    }

    pub(super) fn collect(&mut self, taken: Vec<Taken>) {
        let base = self.next_job();
        let mut faults = Vec::new();
        let mut count = 0_usize;
        for one in taken {
            let file = match one.file {
                Ok(file) => file,
                Err(why) => {
                    faults.push(format!("{}: {why}", one.name));
                    continue;
                }
            };
            let mut item = Item::new(one.name.clone(), file, base.clone());
            item.path = Some(one.path.display().to_string());
            let said = one
                .row
                .as_ref()
                .map(|row: &ListRow| row.apply(&mut item, &self.library));
            if let Some(Err(fault)) = said {
                faults.push(job_files::list(&fault));
                continue;
            }
            let id = self.desk.add(item);
            self.ask_item(id);
            count += 1;
        }
        if count > 0 {
            self.desk.change();
            self.shown.page = Some(Page::Enquiry);
        }
        match faults.as_slice() {
            [] if count == 0 => self.say(say!("No drawing (DXF) is there."), Weight::Note),
            [] => self.shown.banner = None,
            all => {
                let told = all.len().min(MOST_TOLD);
                let mut lines = all[..told].to_vec();
                let others = all.len() - told;
                if others > 0 {
                    let words =
                        style::count(others, say!("other" in "one more of them"), say!("others"));
                    lines.push(say!("So it is with {words}."));
                }
                if count > 0 {
                    let items = style::count(count, say!("item was"), say!("items were"));
                    lines.insert(0, say!("{items} taken in, these not:"));
                }
                self.say(lines.join("\n"), Weight::Fault);
            }
        }
    }

    /// Asks for what an item comes to; one that is open as a drawing is estimated there.
    pub(super) fn ask_item(&mut self, id: u64) {
        let beside = self.desk.library_then().is_some();
        let today = beside.then(|| self.library_of_today());
        let Some(entry) = self.desk.entry(id) else {
            return;
        };
        entry.awaited += 1;
        entry.known = Known::Waiting;
        let wanted = ItemWanted {
            id,
            number: entry.awaited,
            item: Box::new(entry.item.clone()),
            library: Arc::clone(&self.library),
            today,
        };
        self.desk.touch();
        if !self.worker.ask(Request::Item(Box::new(wanted))) {
            self.say(
                say!("The thread that works on items has ended. Save, and start Kerfcast again."),
                Weight::Fault,
            );
        }
    }

    /// Asks for every item that is not open.
    pub(super) fn ask_items(&mut self) {
        let ids: Vec<u64> = self.desk.entries.iter().map(|e| e.id).collect();
        ids.into_iter().for_each(|id| self.ask_item(id));
    }

    /// The shop's library of today, with what was learned.
    pub(super) fn library_of_today(&self) -> Arc<Library> {
        Arc::new(Library {
            learned: self.learning.in_use().cloned(),
            learned_elsewhere: if self.base.machines.is_empty() {
                Vec::new()
            } else {
                self.learning.elsewhere().cloned().collect()
            },
            ..(*self.base).clone()
        })
    }

    pub(super) fn take_item(
        &mut self,
        id: u64,
        number: u64,
        result: Result<Box<ItemDone>, String>,
    ) {
        let Some(entry) = self.desk.entry(id).filter(|e| e.awaited == number) else {
            return;
        };
        match result {
            Ok(done) => {
                entry.known = Known::Row(Box::new(done.row));
                entry.today = done.today;
                entry.thumbnail = Arc::new(done.thumbnail);
            }
            Err(why) => entry.known = Known::Failed(why),
        }
        self.desk.touch();
    }

    /// An open drawing and its item are one: what was decided there stands here.
    pub(super) fn sync(&mut self, file: u64) {
        let Some(file) = self.files.iter().find(|f| f.id == file) else {
            return;
        };
        let Some(entry) = self.desk.of_file(file.id) else {
            return;
        };
        let item = &mut entry.item;
        let quoted = file.quoted.filter(|w| *w < file.job.candidates.len());
        let same = item.job == file.job
            && item.options == file.wanted
            && item.confirmed == file.confirmed
            && item.wire == quoted
            && item.wish == file.wish
            && item.arrangement == file.arrangement;
        if !same {
            item.job = file.job.clone();
            item.options = file.wanted.clone();
            item.confirmed = file.confirmed;
            item.wire = quoted;
            item.wish = file.wish;
            item.arrangement = file.arrangement;
        }
        if let Some(answer) = file.answer.as_ref().filter(|_| file.is_current()) {
            let row = Row::of(&file.drawing, &answer.comparison, &file.job, item.wire);
            // A worker's answer from before is overtaken.
            entry.awaited += 1;
            entry.known = Known::Row(Box::new(row));
            if entry.thumbnail.0.is_empty() {
                entry.thumbnail = Arc::new(Thumbnail::of(&file.model));
            }
        }
        if same {
            self.desk.touch();
        } else {
            self.desk.change();
        }
    }

    pub(super) fn sync_all(&mut self) {
        let ids: Vec<u64> = self.files.iter().map(|f| f.id).collect();
        ids.into_iter().for_each(|id| self.sync(id));
    }

    /// A drawing that was opened on its own is an item too, unless it is a sample.
    pub(super) fn note_opened(&mut self, file: u64, reading: &Reading, read: Option<DrawingFile>) {
        if let Some(id) = reading.item {
            if let Some(entry) = self.desk.entry(id) {
                entry.open = Some(file);
            }
            return;
        }
        let (Some(path), Some(drawing)) = (&reading.path, read) else {
            return;
        };
        let path = path.display().to_string();
        // Opened again, it is read again in its place.
        let same = self.desk.entries.iter_mut().find(|e| {
            let free = e.open.is_some() || e.item.drawing == drawing;
            free && e.item.path.as_ref() == Some(&path)
        });
        if let Some(entry) = same {
            entry.open = Some(file);
            entry.item.drawing = drawing;
            return;
        }
        let mut item = Item::new(reading.name.clone(), drawing, self.next_job());
        item.path = Some(path);
        let unsaved = self.desk.is_unsaved() || self.desk.path.is_some();
        let id = self.desk.add(item);
        if let Some(entry) = self.desk.entry(id) {
            entry.open = Some(file);
        }
        if unsaved {
            self.desk.change();
        }
    }

    pub(super) fn carry_out_on_desk(&mut self, action: DeskAction, ctx: &Context) {
        match action {
            DeskAction::Change(id, change) => self.change_items(id, &change),
            DeskAction::Choose(id, chosen) => {
                if let Some(entry) = self.desk.entry(id) {
                    entry.chosen = chosen;
                }
            }
            DeskAction::ChooseAll(chosen) => {
                let shown: HashSet<usize> = self.desk.look().0.iter().copied().collect();
                for (k, entry) in self.desk.entries.iter_mut().enumerate() {
                    entry.chosen = chosen && shown.contains(&k);
                }
            }
            DeskAction::Sort(column) => {
                let (now, turned) = self.desk.sort;
                self.desk.sort = (column, now == column && !turned);
                self.desk.touch();
            }
            DeskAction::Filter(words) => {
                self.desk.filter = words;
                self.desk.touch();
            }
            DeskAction::Open(id) => self.open_item(id),
            DeskAction::LogCut(id) => {
                self.open_item(id);
                self.shown.open_page(Page::Cuts);
            }
            DeskAction::RemoveChosen => self.remove_chosen(),
            DeskAction::PutBack => {
                for (k, entry) in std::mem::take(&mut self.desk.removed) {
                    let k = k.min(self.desk.entries.len());
                    let id = entry.id;
                    self.desk.entries.insert(
                        k,
                        Entry {
                            chosen: false,
                            open: None,
                            ..entry
                        },
                    );
                    self.ask_item(id);
                }
                self.desk.change();
            }
            DeskAction::ImportList => {
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::List, None, move || ctx.request_repaint());
            }
            DeskAction::ExportList => {
                let ctx = ctx.clone();
                // What was opened is not written over by a table.
                let inputs = self.desk.entries.iter();
                let inputs = inputs.filter_map(|e| e.item.path.as_ref().map(PathBuf::from));
                let inputs = inputs.chain(self.desk.path.clone()).collect();
                let table = self.table();
                self.dialogs
                    .save(Kind::List, "enquiry.csv", table, inputs, move || {
                        ctx.request_repaint();
                    });
            }
            DeskAction::CopyList => {
                ctx.copy_text(list::with_tabs(&self.table()));
                let text = say!("The table is on the clipboard; paste it into a spreadsheet.");
                self.say(text, Weight::Note);
            }
            DeskAction::UseToday(today) => {
                self.desk.uses_then = !today;
                self.desk.change();
                self.put_in_force();
            }
            DeskAction::TakeNew(id) => {
                let path = self.desk.entry(id).and_then(|e| e.item.path.clone());
                if let Some(path) = path {
                    self.keeper.ask(Errand::Again(id, PathBuf::from(path)));
                }
            }
            DeskAction::Recover(wanted) => {
                if let Some(path) = self.desk.orphan.take() {
                    self.keeper.ask(Errand::Recover(path, wanted));
                }
            }
            DeskAction::Leave(leave) => {
                self.desk.asks = false;
                match leave {
                    Leave::Stay => {}
                    Leave::Drop => {
                        self.saving.drops = true;
                        ctx.send_viewport_cmd(ViewportCommand::Close);
                    }
                    Leave::Save => {
                        self.saving.leaves = true;
                        self.save_job(false, ctx);
                    }
                }
            }
        }
    }

    /// The table as a list, for a spreadsheet.
    pub(super) fn table(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        let lines = self.desk.entries.iter().map(|e| list::Line {
            item: &e.item,
            drawing: e.item.path.as_deref().unwrap_or(&e.item.name),
            row: match &e.known {
                Known::Waiting => None,
                Known::Row(row) => Some(Ok(row)),
                Known::Failed(why) => Some(Err(why.as_str())),
            },
            answered_for: None,
        });
        // Writing to memory cannot fail.
        let _ = list::write(&mut bytes, lines);
        bytes
    }

    fn change_items(&mut self, id: u64, change: &Change) {
        let meant = self.desk.meant(id);
        let mut fault = None;
        for id in meant {
            let library = Arc::clone(&self.library);
            let Some(entry) = self.desk.entry(id) else {
                continue;
            };
            let (mut job, mut confirmed, mut state) = (
                entry.item.job.clone(),
                entry.item.confirmed,
                entry.item.state,
            );
            let works = change.make(&mut job, &mut confirmed, &mut state);
            if let Some(wrong) = job.faults(&library).into_iter().next() {
                fault = Some(wrong);
                continue;
            }
            let today = Day::today().to_string();
            let offered = entry.row().and_then(|r| r.offered(today));
            if state != entry.item.state {
                entry.item.enter(state, offered);
            }
            let open = entry.open.filter(|_| works);
            if open.is_none() {
                entry.item.job = job;
                entry.item.confirmed = confirmed;
                if works {
                    self.ask_item(id);
                }
                continue;
            }
            // As if it were changed in its own sentence: undo there takes it back.
            let front = self.front;
            if let Some(k) = self.files.iter().position(|f| Some(f.id) == open) {
                self.front = k;
                self.edit(job, confirmed);
                self.front = front;
            }
        }
        self.desk.change();
        if let Some(fault) = fault {
            let fault = job_faults::sentence(&fault, self.shown.style.system);
            self.say(say!("{fault} The items stay as they were."), Weight::Fault);
        }
    }

    /// The cut of the drawing in front was logged: its item is cut, and keeps the cut beside its quote.
    pub(super) fn note_cut(&mut self, cut: &mut Cut) {
        let Some(file) = self.files.get(self.front) else {
            return;
        };
        let figures = file.shown_estimate().and_then(|e| e.figures.as_ref());
        let split = figures.map(|f| cost_split(f, cut.cutting_minutes, cut.wire_used));
        let id = file.id;
        self.sync(id);
        let Some(entry) = self.desk.of_file(id) else {
            return;
        };
        let now = entry.row().and_then(|r| r.offered(cut.date.to_string()));
        entry.item.enter(State::Cut, now);
        let amount = |of: fn(&CostSplit) -> Money| split.as_ref().map_or(0.0, |s| of(s).amount());
        entry.item.logged = Some(Logged {
            date: cut.date.to_string(),
            machine: cut.machine.clone(),
            cutting_minutes: cut.cutting_minutes.min_value(),
            cutting_wire_m: cut.wire_used.map(Length::m),
            dearer_by_time: amount(|s| s.by_time),
            dearer_by_wire: amount(|s| s.by_wire),
        });
        // The quote that was given counts, not what would be quoted today.
        if let (Some(offered), Some(quoted)) = (&entry.item.offered, &mut cut.quoted) {
            quoted.minutes = Minutes::from_min(offered.cutting_minutes);
            quoted.wire = Some(Length::from_m(offered.cutting_wire_m));
            quoted.cost = Money::from_amount(offered.seen.cost);
        }
        self.desk.change();
    }

    fn remove_chosen(&mut self) {
        self.sync_all();
        let mut kept = Vec::new();
        let mut removed = Vec::new();
        for (k, entry) in std::mem::take(&mut self.desk.entries)
            .into_iter()
            .enumerate()
        {
            if entry.chosen {
                removed.push((k, entry));
            } else {
                kept.push(entry);
            }
        }
        self.desk.entries = kept;
        let open: Vec<u64> = removed.iter().filter_map(|(_, e)| e.open).collect();
        open.into_iter().for_each(|id| self.close(id));
        self.desk.removed = removed;
        self.desk.change();
    }

    pub(super) fn open_item(&mut self, id: u64) {
        let Some(entry) = self.desk.entry(id) else {
            return;
        };
        if let Some(k) = entry
            .open
            .and_then(|id| self.files.iter().position(|f| f.id == id))
        {
            self.front = k;
            self.shown.page = None;
            return;
        }
        let item = &entry.item;
        let bytes = item.drawing.bytes().to_vec();
        let reading = Reading {
            name: item.name.clone(),
            path: item.path.as_ref().map(PathBuf::from),
            source: Source::Bytes(Cow::Owned(bytes)),
            options: item.options.clone(),
            known: None,
            replaces: None,
            against: None,
            item: Some(id),
            progress: Progress::default(),
            vocabulary: Arc::default(),
        };
        self.shown.page = None;
        self.ask_for(reading);
    }

    /// The item that a reading belongs to, with its decisions.
    pub(super) fn item_of(&self, reading: &Reading) -> Option<&Item> {
        let id = reading.item?;
        let entry = self.desk.entries.iter().find(|e| e.id == id);
        entry.map(|e| &e.item)
    }
}
