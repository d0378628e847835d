//! The enquiry in the window: items come in, are worked, changed, opened, saved, and come back after a crash.

use super::App;
use crate::drawing::{Progress, ReadOptions};
use crate::enquiry::{DrawingFile, ENDING, Enquiry, Hash, Item, ListRow, Row, list};
use crate::gui::commands::Command;
use crate::gui::desk::{
    Change, Desk, DeskAction, Entry, ItemDone, ItemWanted, Known, Leave, Thumbnail,
};
use crate::gui::keeper::{Brought, Errand, Taken, orphans};
use crate::gui::open_files::{Kind, name_of};
use crate::gui::page::Page;
use crate::gui::reading::{Reading, Source};
use crate::gui::state::Weight;
use crate::gui::worker::Request;
use crate::job::Job;
use crate::library::Library;
use crate::words::{job_faults, job_files, style};
use egui::{Context, ViewportCommand};
use std::borrow::Cow;
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// So many drawings at once are an enquiry; fewer open side by side.
const AN_ENQUIRY: usize = 6;
/// What is not saved is put aside so often.
const PUT_ASIDE_EVERY: Duration = Duration::from_secs(3);
/// Most job files that are remembered.
const MOST_RECENT: usize = 10;

/// What the window remembers of saving.
#[derive(Debug)]
pub(super) struct Saving {
    /// When something was put aside last.
    put_aside: Instant,
    /// The window closes once it is saved.
    leaves: bool,
    /// It closes whatever is not saved.
    drops: bool,
    /// The name that is typed where no dialog can be shown.
    pub(super) path_field: Option<String>,
    /// Job files opened or saved, the latest first.
    pub(super) recent: Vec<PathBuf>,
}

impl Saving {
    pub(super) fn new(recent: Vec<PathBuf>) -> Self {
        Self {
            put_aside: Instant::now(),
            leaves: false,
            drops: false,
            path_field: None,
            recent,
        }
    }
}

fn has_ending(path: &Path, ending: &str) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case(ending))
}

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
            self.keeper.ask(Errand::Collect(drawings));
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

    fn collect(&mut self, taken: Vec<Taken>) {
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
            [] if count == 0 => self.say("No drawing (DXF) is there.", Weight::Note),
            [] => self.shown.banner = None,
            [first, others @ ..] => {
                let more = match others.len() {
                    0 => String::new(),
                    n => format!(" So it is with {}.", style::count(n, "other", "others")),
                };
                let items = style::count(count, "item was", "items were");
                self.say(format!("{items} taken in. {first}{more}"), Weight::Fault);
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
                "The thread that works on items has ended. Save, and start Kerfcast again.",
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
        let same =
            item.job == file.job && item.options == file.wanted && item.confirmed == file.confirmed;
        if !same {
            item.job = file.job.clone();
            item.options = file.wanted.clone();
            item.confirmed = file.confirmed;
            item.wire = item.wire.filter(|w| *w < item.job.candidates.len());
        }
        if let Some(answer) = file.answer.as_ref().filter(|_| !file.waiting) {
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

    fn sync_all(&mut self) {
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
        let same = self.desk.entries.iter_mut().find(|e| {
            e.open.is_none() && e.item.path.as_ref() == Some(&path) && e.item.drawing == drawing
        });
        if let Some(entry) = same {
            entry.open = Some(file);
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
            entry.item.state = state;
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
            self.say(
                format!("{fault} The items stay as they were."),
                Weight::Fault,
            );
        }
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

    fn open_item(&mut self, id: u64) {
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

    pub(super) fn open_job(&mut self, path: PathBuf) {
        self.keeper.ask(Errand::Load(path));
    }

    /// Saves the job file, asking where if that is not known yet.
    pub(super) fn save_job(&mut self, elsewhere: bool, ctx: &Context) {
        self.sync_all();
        self.take_sample();
        if self.desk.entries.is_empty() {
            self.saving.leaves = false;
            self.say(
                "There is nothing to save: open a drawing first.",
                Weight::Note,
            );
            return;
        }
        if let Some(path) = self.desk.path.clone().filter(|_| !elsewhere) {
            self.save_job_at(path);
        } else {
            let name = self.job_name().display().to_string();
            let ctx = ctx.clone();
            self.dialogs
                .choose(Kind::Job, &name, move || ctx.request_repaint());
        }
    }

    /// What a job file is called at first.
    fn job_name(&self) -> PathBuf {
        match self.desk.entries.as_slice() {
            [one] => Path::new(&one.item.name).with_extension(ENDING),
            _ => PathBuf::from(format!("enquiry.{ENDING}")),
        }
    }

    /// A sample is an item only where there is nothing else to save.
    fn take_sample(&mut self) {
        if !self.desk.entries.is_empty() {
            return;
        }
        let Some(file) = self.files.get(self.front) else {
            return;
        };
        if let Source::Bytes(bytes) = &file.reading.source {
            let drawing = DrawingFile::new(bytes.to_vec());
            let item = Item::new(file.name.clone(), drawing, file.job.clone());
            let id = file.id;
            let new = self.desk.add(item);
            if let Some(entry) = self.desk.entry(new) {
                entry.open = Some(id);
            }
            self.sync(id);
        }
    }

    /// No dialog can be shown to save in: a path is asked for in the window.
    pub(super) fn ask_job_path(&mut self) {
        let name = self.job_name();
        let beside = self.desk.entries.iter().find_map(|e| e.item.path.as_ref());
        let folder = beside.and_then(|p| Path::new(p).parent().map(Path::to_owned));
        let path = folder.unwrap_or_default().join(name);
        self.saving.path_field = Some(path.display().to_string());
    }

    pub(super) fn save_job_at(&mut self, mut path: PathBuf) {
        if !has_ending(&path, ENDING) {
            let mut name = path.into_os_string();
            name.push(format!(".{ENDING}"));
            path = name.into();
        }
        self.saving.path_field = None;
        let same = self.desk.path.as_ref() == Some(&path);
        let errand = Errand::Save {
            enquiry: Box::new(self.desk.enquiry(&self.library)),
            revision: self.desk.revision,
            known: self.desk.on_disk.filter(|_| same),
            path,
        };
        self.keeper.ask(errand);
    }

    pub(super) fn take_brought(&mut self, brought: Brought, ctx: Option<&Context>) {
        match brought {
            Brought::Loaded {
                path,
                result,
                changed,
                is_open_elsewhere,
            } => match result {
                Ok((enquiry, hash)) => {
                    self.put_on_desk(*enquiry, path, hash, &changed, is_open_elsewhere);
                }
                Err(why) => {
                    let name = path
                        .as_deref()
                        .map_or_else(|| "What was left behind".to_owned(), name_of);
                    self.say(
                        format!("{name} was not opened. {why} What is open stays as it is."),
                        Weight::Fault,
                    );
                }
            },
            Brought::Saved {
                path,
                revision,
                result,
            } => self.told_job_saved(path, revision, result, ctx),
            Brought::PutAside(revision, Ok(())) => self.desk.put_aside = revision,
            Brought::PutAside(revision, Err(why)) => {
                self.desk.put_aside = revision;
                self.say(
                    format!(
                        "What is not saved could not be put aside for a crash: {why} Save it soon."
                    ),
                    Weight::Fault,
                );
            }
            Brought::Collected(taken) => self.collect(taken),
            Brought::NoList(name, why) => {
                self.say(format!("{name} was not taken in. {why}"), Weight::Fault);
            }
            Brought::Again(id, result) => self.take_again(id, result),
            Brought::Exported(result) => self.told_saved(result),
            Brought::Nothing => {}
        }
    }

    fn put_on_desk(
        &mut self,
        enquiry: Enquiry,
        path: Option<PathBuf>,
        hash: Hash,
        changed: &HashSet<Hash>,
        is_open_elsewhere: bool,
    ) {
        // What is there and not saved stays beside what comes.
        let keeps = self.desk.is_unsaved();
        if !keeps {
            self.files.clear();
            self.front = 0;
            self.desk.entries.clear();
            self.desk.removed.clear();
        }
        let count = enquiry.items.len();
        let today = self.library_of_today();
        let recovered = path.is_none();
        if !keeps {
            self.desk.then = (*enquiry.library != *today).then(|| Arc::clone(&enquiry.library));
            self.desk.uses_then = self.desk.then.is_some();
            self.desk.on_disk = path.as_ref().map(|_| hash);
            self.desk.path = path.clone().filter(|_| !is_open_elsewhere);
        }
        let mut rest = enquiry;
        let items = std::mem::take(&mut rest.items);
        if !keeps {
            self.desk.rest = rest;
            self.put_in_force();
        }
        for item in items {
            let id = self.desk.add(item);
            self.ask_item(id);
        }
        self.desk.mark_elsewhere(changed);
        if keeps || recovered {
            self.desk.change();
        } else {
            self.desk.saved = self.desk.revision;
        }
        self.desk.put_aside = self.desk.revision.min(self.desk.saved);
        let name = path
            .as_deref()
            .map_or_else(|| "What was not saved".to_owned(), name_of);
        if let Some(path) = path {
            self.remember(path);
        }
        self.shown.page = Some(Page::Enquiry);
        if let (1, Some(entry)) = (count, self.desk.entries.last()) {
            self.open_item(entry.id);
        }
        let mut told = Vec::new();
        if recovered {
            told.push("Here is what was not saved when Kerfcast ended.".to_owned());
        }
        if is_open_elsewhere {
            told.push(format!(
                "{name} is open in another window too. Saving here asks for another name, so that neither writes over the \
                 other."
            ));
        }
        if keeps {
            told.push(format!(
                "The items of {name} were added to those that are not saved."
            ));
        }
        if self.desk.uses_then && !keeps {
            told.push(format!(
                "{name} rests on its own figures, which are not today’s. The table shows both."
            ));
        }
        if !changed.is_empty() {
            told.push(format!(
                "{} changed on disk since; the job file holds the drawing as it was.",
                style::count(changed.len(), "drawing has", "drawings have")
            ));
        }
        if !told.is_empty() {
            self.say(told.join(" "), Weight::Note);
        }
    }

    fn remember(&mut self, path: PathBuf) {
        self.saving.recent.retain(|p| *p != path);
        self.saving.recent.insert(0, path);
        self.saving.recent.truncate(MOST_RECENT);
    }

    fn told_job_saved(
        &mut self,
        path: PathBuf,
        revision: u64,
        result: Result<(Hash, Option<PathBuf>), String>,
        ctx: Option<&Context>,
    ) {
        let leaves = std::mem::take(&mut self.saving.leaves);
        match result {
            Ok((hash, aside)) => {
                self.desk.on_disk = Some(hash);
                self.desk.saved = revision;
                self.desk.path = Some(path.clone());
                let mut text = format!("Saved as {}.", path.display());
                if let Some(aside) = aside {
                    text = format!(
                        "{text} What was there and not from this window is kept as {}.",
                        aside.display()
                    );
                }
                self.remember(path);
                self.say(text, Weight::Note);
                if !self.desk.is_unsaved() {
                    self.keeper.ask(Errand::Forget);
                }
                if let (true, Some(ctx)) = (leaves, ctx) {
                    ctx.send_viewport_cmd(ViewportCommand::Close);
                }
            }
            Err(why) => self.say(
                format!("{} was not saved. {why} Nothing is lost.", path.display()),
                Weight::Fault,
            ),
        }
    }

    fn take_again(&mut self, id: u64, result: Result<DrawingFile, String>) {
        let file = match result {
            Ok(file) => file,
            Err(why) => {
                self.say(format!("The drawing stays as it was. {why}"), Weight::Fault);
                return;
            }
        };
        let Some(entry) = self.desk.entry(id) else {
            return;
        };
        let before = entry.row().and_then(Row::seen);
        entry.item.seen = before.or_else(|| entry.item.seen.take());
        entry.item.drawing = file;
        // Contours are named by their curves, and those are others now.
        entry.item.job.left_out.clear();
        entry.item.job.part.clear();
        entry.item.job.counts.clear();
        entry.item.job.contours.clear();
        entry.item.options = ReadOptions {
            answers: std::collections::BTreeMap::new(),
            accepted: Vec::new(),
            ..entry.item.options.clone()
        };
        entry.elsewhere = false;
        let open = entry.open.take();
        if let Some(open) = open {
            self.close(open);
        }
        self.ask_item(id);
        self.desk.change();
    }

    /// Once a frame: what came back, what is to be put aside, and whether the window may close.
    pub(super) fn tend_desk(&mut self, ctx: &Context) {
        for brought in self.keeper.brought() {
            self.take_brought(brought, Some(ctx));
        }
        let closes = ctx.input(|i| i.viewport().close_requested());
        if closes && !self.saving.drops {
            self.sync_all();
            if self.desk.is_unsaved() {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
                self.desk.asks = true;
            }
        }
        if self.desk.is_unsaved() && self.desk.put_aside != self.desk.revision {
            let due = PUT_ASIDE_EVERY.saturating_sub(self.saving.put_aside.elapsed());
            if due.is_zero() {
                self.put_aside();
            } else {
                ctx.request_repaint_after(due);
            }
        }
    }

    fn put_aside(&mut self) {
        self.saving.put_aside = Instant::now();
        self.desk.put_aside = self.desk.revision;
        let enquiry = Box::new(self.desk.enquiry(&self.library));
        let revision = self.desk.revision;
        self.keeper.ask(Errand::PutAside { enquiry, revision });
    }

    /// No dialog can be shown to save in: the table goes beside the job file, or beside the first drawing.
    pub(super) fn export_list_beside(&mut self) {
        let near = self.desk.path.clone().or_else(|| {
            let first = self.desk.entries.iter().find_map(|e| e.item.path.as_ref());
            first.map(PathBuf::from)
        });
        let folder = near
            .as_deref()
            .and_then(Path::parent)
            .unwrap_or(Path::new("."));
        let free = (1..1000)
            .map(|k| match k {
                1 => folder.join("enquiry.csv"),
                k => folder.join(format!("enquiry ({k}).csv")),
            })
            .find(|p| !p.exists());
        if let Some(path) = free {
            let bytes = self.table();
            self.keeper.ask(Errand::Export(path, bytes));
        }
    }

    /// Before the end: what was put aside is given up where it is saved or not wanted, else it is kept.
    pub(super) fn end_desk(&mut self) {
        if self.saving.drops || !self.desk.is_unsaved() {
            self.keeper.ask(Errand::Forget);
        } else {
            self.put_aside();
        }
    }

    /// Whether something was left behind by a program that ended without saving.
    pub(super) fn look_for_orphans(&mut self, folder: Option<&Path>) {
        self.desk.orphan = folder.and_then(|f| orphans(f).into_iter().next());
    }

    /// Commands about the job file.
    pub(super) fn run_on_desk(&mut self, command: Command, ctx: &Context) {
        self.save_job(command == Command::SaveJobAs, ctx);
    }
}
