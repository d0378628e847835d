//! What the window does with the shop's own figures: the table of finished cuts and what was learned.

use super::App;
use crate::calibration::{CutsRead, Edit, write_cuts};
use crate::gui::learning::{LearnAction, Learning};
use crate::gui::open_files::Kind;
use crate::gui::page::Page;
use crate::gui::reading::Source;
use crate::gui::state::{Action, Weight};
use crate::gui::sweeps::Sweeps;
use crate::gui::tasks::{Done, Task};
use crate::gui::worker::Request;
use crate::library::Library;
use crate::shop_files::Change;
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
                say!("The thread that computes has ended. Start Kerfcast again."),
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
        let task = match ending.as_deref().and_then(std::ffi::OsStr::to_str) {
            Some("csv") => Task::ReadCuts {
                name: name.to_owned(),
                source: source.clone(),
                library: Arc::clone(&self.base),
            },
            Some("toml") => Task::ReadLibrary {
                name: name.to_owned(),
                source: source.clone(),
            },
            Some("png" | "jpg" | "jpeg") => {
                self.bring_logo(name, source);
                return true;
            }
            _ => return false,
        };
        self.ask_task(task);
        true
    }

    pub(super) fn take_task(&mut self, done: Done) {
        match done {
            Done::Cuts { name, result } => match result {
                Ok((read, far)) => self.bring_cuts(&name, read, far),
                Err(message) => self.say(
                    say!("{name} was not imported. {message} The cuts logged so far stay."),
                    Weight::Fault,
                ),
            },
            Done::Rates { name, bytes } => self.bring_rates(&name, &bytes),
            Done::Library { name, result } => self.take_library(&name, result),
            Done::Kept { file, result } => {
                if let Some(result) = result {
                    self.take_kept(file, result);
                }
            }
            Done::Seen(files) => {
                for (file, bytes) in files {
                    self.take_over(file, &bytes);
                }
            }
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
            Done::Plan { number, answer } => {
                if let Some(answer) = answer {
                    self.planning.take(number, answer);
                }
            }
            Done::Together { number, together } => {
                if let Some(together) = together {
                    self.planning.take_together(number, together);
                }
            }
            Done::Pages { number, made } => self.take_pages(number, made),
            Done::Picture { wanted, image } => {
                if let Some(image) = image {
                    let (number, index) = (wanted.number, wanted.index);
                    self.quoting
                        .take_picture(number, index, wanted.width, image);
                }
            }
            Done::Pdf(result) => self.take_pdf(result),
            Done::Logo(result) => self.take_logo(result),
            Done::Matters { number, list } => self.sweeps.take_matters(number, list),
            Done::Failed(message) => {
                self.learning.waiting = false;
                self.say(message, Weight::Fault);
            }
        }
    }

    /// Takes the cuts of a file over. A table that would teach nonsense is doubted aloud, and not learned from unasked.
    fn bring_cuts(&mut self, name: &str, read: CutsRead, far: usize) {
        let cuts = read.cuts.len();
        let edits = self.learning.bring(name.to_owned(), read, &self.base);
        self.shown.open_page(Page::Cuts);
        self.learning.beside.retain(|b| b.name != name);
        if 2 * far >= cuts && far > 0 {
            self.say(
                say!(
                    "{name}: {far} of {cuts} cuts took more than three times what is expected, or less than a third. Are \
                     the times in minutes, and lengths and thicknesses in mm? They are in your table; estimates use them \
                     once you switch that on. Undo in the table takes them out."
                ),
                Weight::Fault,
            );
        } else {
            self.learning.on = true;
        }
        self.keep_rates();
        self.keep_cuts(edits);
    }

    /// Saves changes of the table, and fits it as it is now.
    fn keep_cuts(&mut self, edits: Vec<Edit>) {
        if !edits.is_empty() {
            self.keep(Change::Cuts(edits));
        }
        self.fit_cuts();
    }

    /// Asks for a fit of the table as it is.
    pub(super) fn fit_cuts(&mut self) {
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
        self.estimate_all();
    }

    /// Every open drawing is estimated anew.
    pub(super) fn estimate_all(&mut self) {
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
        let Some(file) = self.files.get(self.front).filter(|f| f.is_current()) else {
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
            LearnAction::Log(mut cut) => {
                self.note_cut(&mut cut);
                let edits = self.learning.change(vec![Edit::Add(cut)], &self.base);
                self.learning.on = true;
                self.shown.banner = None;
                self.keep_rates();
                self.keep_cuts(edits);
            }
            LearnAction::SetAside(k, aside) => {
                let edits = self.learning.set_aside(k, aside, &self.base);
                self.keep_cuts(edits);
            }
            LearnAction::Remove(k) => {
                let edits = self.learning.remove(k, &self.base);
                self.keep_cuts(edits);
            }
            LearnAction::Undo => {
                let edits = self.learning.undo(&self.base);
                self.keep_cuts(edits);
            }
            LearnAction::Use(on) => {
                self.learning.on = on;
                self.keep_rates();
                self.put_in_force();
            }
            LearnAction::Machine(name) => {
                self.learning.machine = Some(name);
                self.keep_rates();
                self.put_in_force();
            }
            LearnAction::Import => {
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::Cuts, None, move || ctx.request_repaint());
            }
            LearnAction::Merge => {
                for beside in self.learning.beside.clone() {
                    self.ask_task(Task::ReadCuts {
                        name: beside.name,
                        source: beside.source,
                        library: Arc::clone(&self.base),
                    });
                }
            }
            LearnAction::Save => {
                let ctx = ctx.clone();
                let bytes = self.learning.table();
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
            LearnAction::Copy => {
                let table = write_cuts(&self.learning.cuts);
                ctx.copy_text(String::from_utf8_lossy(&table).into_owned());
            }
            LearnAction::Dismiss => self.learning.brought = None,
        }
    }

    pub(super) fn told_saved(&mut self, result: Result<std::path::PathBuf, String>) {
        match result {
            Ok(path) => self.say(say!("Saved as {}.", path.display()), Weight::Note),
            Err(message) => self.say(
                say!("It was not saved. {message} Nothing is lost."),
                Weight::Fault,
            ),
        }
    }
}
