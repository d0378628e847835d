//! Job files in the window: opened, saved, put aside for a crash and brought back, and what is asked before it closes.

use super::App;
use crate::drawing::ReadOptions;
use crate::enquiry::{DrawingFile, ENDING, Enquiry, Hash, Item, Row};
use crate::gui::commands::Command;
use crate::gui::keeper::{Brought, Errand, orphans};
use crate::gui::open_files::{Kind, Place, has_ending, name_of};
use crate::gui::page::Page;
use crate::gui::reading::Source;
use crate::gui::state::Weight;
use crate::words::style;
use egui::{Context, ViewportCommand};
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

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
    pub(super) leaves: bool,
    /// It closes whatever is not saved.
    pub(super) drops: bool,
    /// Where to save, typed where no dialog can be shown.
    pub(super) place: Option<Place>,
    /// Job files opened or saved, the latest first.
    pub(super) recent: Vec<PathBuf>,
}

impl Saving {
    pub(super) fn new(recent: Vec<PathBuf>) -> Self {
        Self {
            put_aside: Instant::now(),
            leaves: false,
            drops: false,
            place: None,
            recent,
        }
    }
}

impl App {
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
                say!("There is nothing to save: open a drawing first."),
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
            _ => PathBuf::from(say!("enquiry.{ENDING}")),
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
        self.saving.place = Some(Place::offered(Kind::Job, &path));
    }

    pub(super) fn save_job_at(&mut self, mut path: PathBuf) {
        if !has_ending(&path, ENDING) {
            let mut name = path.into_os_string();
            name.push(format!(".{ENDING}"));
            path = name.into();
        }
        self.saving.place = None;
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
                        .map_or_else(|| say!("What was left behind").to_owned(), name_of);
                    self.say(
                        say!("{name} was not opened. {why} What is open stays as it is."),
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
                    say!(
                        "What is not saved could not be put aside for a crash: {why} Save it soon."
                    ),
                    Weight::Fault,
                );
            }
            Brought::Collected(taken, progress) => {
                self.shown
                    .readings
                    .retain(|r| !r.progress.is_same(&progress));
                self.collect(taken);
            }
            Brought::NoList(name, why) => {
                self.say(say!("{name} was not taken in. {why}"), Weight::Fault);
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
            .map_or_else(|| say!("What was not saved").to_owned(), name_of);
        if let Some(path) = path {
            self.remember(path);
        }
        self.shown.page = Some(Page::Enquiry);
        if let (1, Some(entry)) = (count, self.desk.entries.last()) {
            self.open_item(entry.id);
        }
        let mut told = Vec::new();
        if recovered {
            told.push(say!("Here is what was not saved when Kerfcast ended.").to_owned());
        }
        if is_open_elsewhere {
            told.push(say!(
                "{name} is open in another window too. Saving here asks for another name, so that neither writes over the \
                 other."
            ));
        }
        if keeps {
            told.push(say!(
                "The items of {name} were added to those that are not saved."
            ));
        }
        if self.desk.uses_then && !keeps {
            told.push(say!(
                "{name} rests on its own figures, which are not today’s. The table shows both."
            ));
        }
        if !changed.is_empty() {
            told.push(say!(
                "{} changed on disk since; the job file holds the drawing as it was.",
                style::count(changed.len(), say!("drawing has"), say!("drawings have"))
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
                let mut text = say!("Saved as {}.", path.display());
                if let Some(aside) = aside {
                    text = say!(
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
                say!("{} was not saved. {why} Nothing is lost.", path.display()),
                Weight::Fault,
            ),
        }
    }

    fn take_again(&mut self, id: u64, result: Result<DrawingFile, String>) {
        let file = match result {
            Ok(file) => file,
            Err(why) => {
                self.say(say!("The drawing stays as it was. {why}"), Weight::Fault);
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
        // A dialog before closing that was cancelled is over.
        self.saving.leaves = false;
        self.save_job(command == Command::SaveJobAs, ctx);
    }
}
