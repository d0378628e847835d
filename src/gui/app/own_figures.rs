//! What the window does with the shop's own figures: the table of finished cuts and what was learned.

use super::App;
use crate::gui::learning::{LearnAction, Learning};
use crate::gui::open_files::Kind;
use crate::gui::page::Page;
use crate::gui::reading::Source;
use crate::gui::shelf::Shelved;
use crate::gui::state::{Action, Weight};
use crate::gui::sweeps::Sweeps;
use crate::gui::tasks::{Done, Task};
use crate::gui::worker::Request;
use crate::library::Library;
use egui::Context;
use std::path::Path;
use std::sync::Arc;

impl App {
    /// The table of finished cuts and its fit.
    pub fn learning(&self) -> &Learning {
        &self.learning
    }
    /// The library in force, with what was learned while that is switched on.
    pub fn library(&self) -> &Library {
        &self.library
    }

    pub(super) fn ask_task(&mut self, task: Task) -> bool {
        let asked = self.worker.ask(Request::Own(Box::new(task)));
        if !asked {
            self.say(
                "The thread that computes has ended. Start Kerfcast again.",
                Weight::Fault,
            );
        }
        asked
    }

    /// Takes a file that is no drawing by its ending; whether it was one.
    pub(super) fn bring(&mut self, name: &str, source: &Source) -> bool {
        let ending = Path::new(name)
            .extension()
            .map(std::ffi::OsStr::to_ascii_lowercase);
        let (name, source) = (name.to_owned(), source.clone());
        let task = match ending.as_deref().and_then(std::ffi::OsStr::to_str) {
            Some("csv") => Task::ReadCuts {
                name,
                source,
                library: Arc::clone(&self.base),
            },
            Some("toml") => Task::ReadLibrary { name, source },
            _ => return false,
        };
        self.ask_task(task);
        true
    }

    pub(super) fn take_task(&mut self, done: Done) {
        match done {
            Done::Cuts { name, result } => match result {
                Ok(read) => {
                    self.learning.bring(name, read);
                    self.learning.on = true;
                    self.shown.open_page(Page::Cuts);
                    self.fit_cuts();
                }
                Err(message) => self.say(
                    format!("{name} was not imported. {message} The cuts logged so far stay."),
                    Weight::Fault,
                ),
            },
            Done::Library { name, result } => self.take_library(&name, result),
            Done::Kept {
                what,
                number,
                result,
            } => self.take_kept(what, number, result),
            Done::Exported(result) => self.told_saved(result),
            Done::Fitted { number, fits } => {
                if number == self.learning.awaited {
                    self.learning.waiting = false;
                    self.learning.fits = fits;
                    self.put_in_force();
                }
            }
            Done::Point { number, point } => {
                if let Some(next) = self.sweeps.take(number, point) {
                    self.ask_task(next);
                }
            }
            Done::Matters { number, list } => self.sweeps.take_matters(number, list),
            Done::Failed(message) => {
                self.learning.waiting = false;
                self.say(message, Weight::Fault);
            }
        }
    }

    /// Asks for a fit of the table as it is, and keeps the table.
    pub(super) fn fit_cuts(&mut self) {
        self.keep(Shelved::Cuts, self.learning.table().into_bytes());
        self.learning.awaited += 1;
        self.learning.waiting = self.ask_task(Task::Fit {
            number: self.learning.awaited,
            cuts: self.learning.cuts.clone(),
            library: Arc::clone(&self.base),
        });
    }

    /// The library of the shop with or without what was learned; every estimate follows.
    pub(super) fn put_in_force(&mut self) {
        // A job file that rests on figures of its own keeps them in force until somebody asks for today's.
        let wanted = match self.desk.library_then() {
            Some(then) => Arc::clone(then),
            None => self.library_of_today(),
        };
        if *wanted == *self.library && Arc::ptr_eq(&self.base, &self.in_force) {
            return;
        }
        self.library = wanted;
        self.in_force = Arc::clone(&self.base);
        let front = self.front;
        // The drawing in front is looked at, so it comes first.
        self.estimate();
        for k in (0..self.files.len()).filter(|k| *k != front) {
            self.front = k;
            self.estimate();
        }
        self.front = front;
        self.ask_items();
    }

    /// Curves and bars: what is shown of them, and their computing once they are looked at.
    pub(super) fn sweep(&mut self, action: &Action) {
        let Some(file) = self.files.get(self.front).filter(|f| !f.waiting) else {
            return;
        };
        let task = match *action {
            Action::Draw(vary, drawn) => {
                self.sweeps.vary = Some(vary);
                self.sweeps.drawn = drawn;
                None
            }
            Action::Sweep(vary) => self.sweeps.start(vary, file, &self.library),
            Action::Matters(wire) => self.sweeps.start_matters(wire, file, &self.library),
            _ => None,
        };
        if let Some(task) = task {
            self.ask_task(task);
        }
    }

    /// Curves and bars as far as they are computed.
    pub fn sweeps(&self) -> &Sweeps {
        &self.sweeps
    }

    pub(super) fn learn(&mut self, action: LearnAction, ctx: &Context) {
        match action {
            LearnAction::Log(cut) => {
                self.learning.change(|cuts| cuts.push(*cut));
                self.learning.on = true;
                self.shown.banner = None;
                self.fit_cuts();
            }
            LearnAction::SetAside(k, aside) => {
                self.learning.change(|cuts| {
                    if let Some(cut) = cuts.get_mut(k) {
                        cut.outlier = aside;
                    }
                });
                self.fit_cuts();
            }
            LearnAction::Remove(k) => {
                self.learning.change(|cuts| {
                    if k < cuts.len() {
                        cuts.remove(k);
                    }
                });
                self.fit_cuts();
            }
            LearnAction::Undo => {
                self.learning.undo();
                self.fit_cuts();
            }
            LearnAction::Use(on) => {
                self.learning.on = on;
                self.put_in_force();
            }
            LearnAction::Machine(name) => {
                self.learning.machine = Some(name);
                self.put_in_force();
            }
            LearnAction::Import => {
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::Cuts, None, move || ctx.request_repaint());
            }
            LearnAction::Save => {
                let ctx = ctx.clone();
                let bytes = self.learning.table().into_bytes();
                self.dialogs.save(
                    Kind::Cuts,
                    "finished-cuts.csv",
                    bytes,
                    Vec::new(),
                    move || {
                        ctx.request_repaint();
                    },
                );
            }
            LearnAction::Copy => ctx.copy_text(self.learning.table()),
            LearnAction::Dismiss => self.learning.brought = None,
        }
    }

    pub(super) fn told_saved(&mut self, result: Result<std::path::PathBuf, String>) {
        match result {
            Ok(path) => self.say(format!("Saved as {}.", path.display()), Weight::Note),
            Err(message) => self.say(
                format!("It was not saved. {message} Nothing is lost."),
                Weight::Fault,
            ),
        }
    }
}
