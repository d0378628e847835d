//! What the window does with the shop's own library: changes it, puts it in force, keeps it, takes files over.

use super::App;
use crate::gui::open_files::Kind as FileKind;
use crate::gui::own_library::typed::{
    begun_curve, typed, with_point, with_what_fits, without_point,
};
use crate::gui::own_library::units::shown_number;
use crate::gui::own_library::{
    LibraryAction, OwnLibrary, Spot, Wrong, renamed_machine, taken_away,
};
use crate::gui::page::Page;
use crate::gui::state::Weight;
use crate::gui::tasks::Task;
use crate::job::Shop;
use crate::library::{Change as CellChange, Library, LibraryTable, UserLibrary};
use crate::shop_files::Change;
use crate::words::library::{cell_fault, reason};
use egui::Context;
use std::path::PathBuf;
use std::sync::Arc;

/// Changes of the library's rates that are remembered for jobs from before them.
const MOST_FOLLOWED: usize = 200;

impl App {
    /// The shop's own library and the work on it.
    pub fn own_library(&self) -> &OwnLibrary {
        &self.own
    }

    pub(super) fn edit_library(&mut self, action: LibraryAction, ctx: &Context) {
        let own = self.own.own();
        match action {
            LibraryAction::Turn(kind) => {
                self.own.kind = kind;
                self.own.open = None;
            }
            LibraryAction::Open(entry) => self.own.open = entry,
            LibraryAction::Type(spot, text) => self.type_in_library(spot, text),
            LibraryAction::Stand(table, entry, path, standing) => {
                let change = CellChange::Standing(standing);
                let new = own.with_change(table, &entry, &path, change);
                let show = shown_number(self.shown.style);
                self.try_library(new.map_err(|f| cell_fault(&f, &show)));
            }
            LibraryAction::Warn(table, entry, path, caution) => {
                let new = own.with_change(table, &entry, &path, CellChange::Caution(caution));
                let show = shown_number(self.shown.style);
                self.try_library(new.map_err(|f| cell_fault(&f, &show)));
            }
            LibraryAction::Sort(table, entry, path, kind) => {
                let new = own.with_change(table, &entry, &path, CellChange::Kind(kind));
                let show = shown_number(self.shown.style);
                self.try_library(new.map_err(|f| cell_fault(&f, &show)));
            }
            LibraryAction::Copy { table, from, name } => {
                let name = match table {
                    LibraryTable::Diameters => self
                        .shown
                        .style
                        .parse_length(&name)
                        .map_or(name, |l| l.mm().to_string()),
                    _ => name.trim().to_owned(),
                };
                let new = own.with_copy(table, &from, &name);
                let show = shown_number(self.shown.style);
                if self.try_library(new.map_err(|f| reason(&f.reason, &show))) {
                    self.own.open = Some(name);
                }
            }
            LibraryAction::New(table, name) => {
                let name = name.trim().to_owned();
                let new = own.with_new(table, &name);
                let show = shown_number(self.shown.style);
                if self.try_library(new.map_err(|f| reason(&f.reason, &show))) {
                    self.own.open = Some(name);
                }
            }
            LibraryAction::Rename { table, from, name } => {
                let name = name.trim().to_owned();
                let new = own.with_renamed(table, &from, &name);
                let show = shown_number(self.shown.style);
                if self.try_library(new.map_err(|f| reason(&f.reason, &show))) {
                    self.own.open = Some(name);
                }
            }
            LibraryAction::Put(table, entry, path, change) => {
                let new = own.with_change(table, &entry, path, change);
                let show = shown_number(self.shown.style);
                self.try_library(new.map_err(|f| cell_fault(&f, &show)));
            }
            LibraryAction::Delete(table, entry) => self.delete_entry(table, &entry),
            LibraryAction::BeginCurve => {
                let new = begun_curve(own);
                self.try_library(new);
            }
            LibraryAction::DropCurve => {
                let new = own.without_curve();
                self.forget_wrong_points(new);
            }
            LibraryAction::AddPoint(thickness, rate) => {
                match with_point(own, &thickness, &rate, self.shown.style) {
                    Ok(new) => self.forget_wrong_points(new),
                    Err(reason) => self.refuse_point(&reason),
                }
            }
            LibraryAction::RemovePoint(k) => match without_point(own, k, self.shown.style) {
                Ok(new) => self.forget_wrong_points(new),
                Err(reason) => self.refuse_point(&reason),
            },
            LibraryAction::Undo => self.step_in_library(true),
            LibraryAction::Redo => self.step_in_library(false),
            LibraryAction::PutAway => self.own.change(own.clone(), Vec::new()),
            LibraryAction::TakeOver => {
                let ctx = ctx.clone();
                self.dialogs
                    .open(FileKind::Library, None, move || ctx.request_repaint());
            }
            LibraryAction::Save => {
                let (ctx, bytes) = (ctx.clone(), self.library_bytes());
                self.dialogs.save(
                    FileKind::Library,
                    "library.toml",
                    bytes,
                    Vec::new(),
                    move || {
                        ctx.request_repaint();
                    },
                );
            }
            LibraryAction::SaveAt(path) => {
                self.own.asks_path = false;
                self.ask_task(Task::Export {
                    path: PathBuf::from(path),
                    bytes: self.library_bytes(),
                });
            }
            LibraryAction::NoPath => self.own.asks_path = false,
        }
    }

    /// No dialog can be shown to save in: a path is asked for on the page.
    pub(super) fn ask_library_path(&mut self) {
        self.own.asks_path = true;
    }

    fn library_bytes(&self) -> Vec<u8> {
        self.own.own().to_toml().into_bytes()
    }

    fn type_in_library(&mut self, spot: Spot, text: String) {
        let style = self.shown.style;
        let mut wrong = self.own.wrong().to_vec();
        wrong.retain(|w| w.spot != spot);
        match typed(self.own.own(), &spot, &text, style) {
            Ok(new) => {
                let (new, left) = with_what_fits(new, &wrong);
                self.take_changed(new, left);
            }
            Err(reason) => {
                wrong.push(Wrong {
                    spot,
                    typed: text,
                    style,
                    reason,
                });
                let own = self.own.own().clone();
                self.own.change(own, wrong);
            }
        }
    }

    /// Takes a changed library over, or says why not; whether it was taken.
    fn try_library(&mut self, new: Result<UserLibrary, String>) -> bool {
        match new {
            Ok(new) => {
                let wrong = self.own.wrong().to_vec();
                self.take_changed(new, wrong)
            }
            Err(reason) => {
                let text = say!("{reason} Your library stays as it was.");
                self.say(text, Weight::Fault);
                false
            }
        }
    }

    fn take_changed(&mut self, new: UserLibrary, wrong: Vec<Wrong>) -> bool {
        if let Err(reason) = self.adopt(&new) {
            self.say(reason, Weight::Fault);
            return false;
        }
        self.shown.banner = None;
        let from = Box::new(self.own.own().clone());
        let to = Box::new(new.clone());
        self.own.change(new, wrong);
        if from != to {
            self.keep(Change::Library { from, to });
        }
        true
    }

    fn delete_entry(&mut self, table: LibraryTable, entry: &str) {
        let new = self.own.own().without(table, entry);
        let mut wrong = self.own.wrong().to_vec();
        wrong.retain(|w| {
            !matches!(&w.spot, Spot::Cell { table: t, entry: e, .. } if *t == table && e == entry)
        });
        if self.take_changed(new, wrong) {
            let there = self.base.entry_names(table);
            self.own.open.take_if(|open| !there.contains(open));
        }
    }

    /// Points have moved up or down, so what was wrong at one of them is forgotten.
    fn forget_wrong_points(&mut self, new: UserLibrary) {
        let mut wrong = self.own.wrong().to_vec();
        wrong.retain(|w| matches!(w.spot, Spot::Cell { .. }));
        self.take_changed(new, wrong);
    }

    fn refuse_point(&mut self, reason: &str) {
        let text = say!("{reason} The curve stays as it was.");
        self.say(text, Weight::Fault);
    }

    /// Whether undo by key is meant for the library.
    pub(super) fn library_is_meant(&self) -> bool {
        let is_there = matches!(self.shown.page, Some(Page::Library | Page::Shop));
        is_there && self.own.touched
    }

    pub(super) fn step_in_library(&mut self, back: bool) {
        let Some(other) = self.own.beside(back).cloned() else {
            return;
        };
        match self.adopt(&other) {
            Ok(()) => {
                let from = Box::new(self.own.own().clone());
                self.own.go(back);
                self.shown.banner = None;
                let to = Box::new(self.own.own().clone());
                self.keep(Change::Library { from, to });
            }
            Err(reason) => self.say(reason, Weight::Fault),
        }
    }

    /// Puts a library in force: every open drawing follows. Nothing of it happens where a drawing would lose what
    /// it uses.
    ///
    /// # Errors
    /// Which drawing uses what.
    pub(super) fn adopt(&mut self, own: &UserLibrary) -> Result<(), String> {
        let new = own.over(Library::built_in());
        if new == *self.base {
            return Ok(());
        }
        for file in &self.files {
            if let Some(what) = taken_away(&file.job, &self.base, &new) {
                return Err(say!(
                    "{} uses {what}, so it cannot be taken out. Choose another one there first. Your library \
                     stays as it was.",
                    file.name
                ));
            }
        }
        let (from, to) = (Shop::from_library(&self.base), Shop::from_library(&new));
        if from != to {
            let jobs = self.files.iter_mut().map(|f| &mut f.job.shop);
            let rates = [&mut self.rates.shop, &mut self.rates_in_file.shop];
            for shop in jobs.chain(rates) {
                shop.follow(&from, &to);
            }
            self.followed.push((from, to));
            if self.followed.len() > MOST_FOLLOWED {
                self.followed.remove(0);
            }
        }
        if let Some((from, to)) = renamed_machine(&self.base, &new) {
            self.rename_machine(&from, &to);
        }
        self.base = Arc::new(new);
        if self.learning.cuts.is_empty() {
            self.put_in_force();
        } else {
            // What was learned is measured against the library, so it is learned anew first.
            self.fit_cuts();
        }
        Ok(())
    }

    /// Jobs that name a machine go along with its name.
    fn rename_machine(&mut self, from: &str, to: &str) {
        let open = self.files.iter_mut().map(|f| &mut f.job);
        let kept = self.desk.entries.iter_mut().map(|e| &mut e.item.job);
        for job in open.chain(kept) {
            if job.machine.as_deref() == Some(from) {
                job.machine = Some(to.to_owned());
            }
        }
    }

    /// A file of a shop's library has been read.
    pub(super) fn take_library(&mut self, name: &str, result: Result<Box<UserLibrary>, String>) {
        let brought = match result {
            Ok(brought) => *brought,
            Err(reason) => {
                return self.say(
                    say!(
                        "{name} was not imported. {reason} The library that was in force stays in force."
                    ),
                    Weight::Fault,
                );
            }
        };
        let before = self.own.own().clone();
        let new = before.with_all(&brought);
        let (count, added) = (brought.count(), new.count() - before.count());
        let (new, left) = with_what_fits(new, self.own.wrong());
        if self.take_changed(new, left) {
            self.shown.open_page(Page::Library);
            let entries = crate::words::style::count(count, say!("entry"), say!("entries"));
            let mut text = say!("{name}: {entries} imported");
            if count > added {
                text = say!("{text}, {} in place of one of yours", count - added);
            }
            self.say(say!("{text}. Undo takes it back."), Weight::Note);
        }
    }
}
