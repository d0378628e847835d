//! The application: holds the state of the window and hands it to its parts.

mod actions;
mod answers;
mod desk;
mod files;
mod job_files;
mod kept;
mod layout;
mod library;
mod outgoing;
mod own_figures;
mod pairs;
mod planning;
mod quoting;
mod shop;

use self::kept::Kept;
pub use self::kept::{APPLICATION, Start, shop_folder};
use self::outgoing::Outgoing;
use super::canvas::Canvas;
use super::commands::Command;
use super::crash_report;
use super::desk::Desk;
use super::keeper::Keeper;
use super::learning::Learning;
use super::open_file::OpenFile;
use super::open_files::{Dialogs, dropped, name_of};
use super::own_library::OwnLibrary;
use super::pair::{Laying, Pair};
use super::picture::copy_awaited;
use super::planning::Planning;
use super::quoting::Quoting;
use super::shelf::Shelf;
use super::state::{Action, Banner, Shown, Weight};
use super::sweeps::Sweeps;
use super::theme;
use super::watch::{DrawingWatch, Watch};
use super::widgets::set_decimal_sign;
use super::worker::Worker;
use super::worth::Typed;
use crate::job::Shop;
use crate::language::{self, Language};
use crate::library::Library;
use crate::shop_files::{Rates, ShopFile};
use crate::words::{Style, System};
use egui::{Context, ThemePreference, Ui};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Longest that closing the window waits for what is being saved.
const LONGEST_EXIT: Duration = Duration::from_secs(3);

/// The window.
pub struct App {
    /// The shop's library without what was learned.
    base: Arc<Library>,
    /// The one that `library` was made of.
    in_force: Arc<Library>,
    library: Arc<Library>,
    learning: Learning,
    own: OwnLibrary,
    shelf: Shelf,
    /// Default rates before and after each change of the library, for jobs from before it.
    followed: Vec<(Shop, Shop)>,
    sweeps: Sweeps,
    planning: Planning,
    quoting: Quoting,
    worth: Typed,
    worker: Worker,
    desk: Desk,
    saving: job_files::Saving,
    keeper: Keeper,
    dialogs: Dialogs,
    files: Vec<OpenFile>,
    /// Drawings that were closed and their items of the enquiry, the last one at the end.
    closed: Vec<(OpenFile, Option<u64>)>,
    /// Drawings that were open last, the latest first.
    recent: Vec<PathBuf>,
    front: usize,
    shown: Shown,
    pair: Option<Pair>,
    laying: Laying,
    canvas: Canvas,
    /// Width of the window, points.
    width: f32,
    /// A file whose dialog is open.
    unsaved: Option<Outgoing>,
    /// The shop's rates and habits, and as they were when they were last saved or seen in their file.
    rates: Rates,
    rates_in_file: Rates,
    /// What was told about files that cannot be saved, so that it is told once.
    told_unkept: Vec<(ShopFile, String)>,
    watch: Option<Watch>,
    drawings: DrawingWatch,
    /// Whether the window had the keyboard in the last frame.
    in_front: bool,
    kept: Kept,
    next_id: u64,
    forget: bool,
    theme: ThemePreference,
    /// What is spoken where the shop has not said so.
    usual_language: Language,
    title: String,
}

/// What is shown at the start, as it was kept from last time.
fn shown_at_start(kept: &Kept) -> Shown {
    Shown {
        style: Style::of(kept.system),
        page: None,
        back: Vec::new(),
        table: kept.table.clone(),
        list: false,
        legend: false,
        against: None,
        skims: true,
        notes: true,
        feed: false,
        readings: Vec::new(),
        palette: false,
        keys: false,
        hints_read: kept.hints_read,
        path_field: None,
        banner: None,
    }
}

impl App {
    /// Sets the window up and asks for the first drawings.
    pub fn new(cc: &eframe::CreationContext<'_>, start: Start) -> Self {
        let kept: Kept = cc
            .storage
            .filter(|_| !start.forget)
            .and_then(|s| eframe::get_value(s, eframe::APP_KEY))
            .unwrap_or_default();
        let theme = start
            .theme
            .map(ThemePreference::from)
            .or(kept.theme)
            .unwrap_or(ThemePreference::System);
        theme::apply(&cc.egui_ctx);
        cc.egui_ctx.set_theme(theme);
        let (ctx, second, third) = (
            cc.egui_ctx.clone(),
            cc.egui_ctx.clone(),
            cc.egui_ctx.clone(),
        );
        let aside = kept::folder(&start).map(|f| f.join("recovery"));
        let shelf = kept::shelf(&start);
        let mut told = Vec::new();
        let own = kept::library(&shelf, &mut told);
        let library = Arc::new(own.own().over(Library::built_in()));
        let (rates, rates_in_file) = kept::rates(&shelf, &kept, &library, &mut told);
        if let Some(language) = rates.language {
            language::speak(language);
        }
        let learning = kept::learning(&shelf, &kept, &rates, &library, &mut told);
        let stationery = kept::stationery(&shelf, &mut told);
        let watch = {
            let ctx = ctx.clone();
            let kept = shelf.path(ShopFile::Rates).is_some();
            kept.then(|| Watch::start(shelf.files(), move || ctx.request_repaint()))
        };
        let desk = Desk::new(Arc::clone(&library));
        let mut app = Self {
            base: Arc::clone(&library),
            in_force: Arc::clone(&library),
            library,
            learning,
            own,
            shelf,
            followed: Vec::new(),
            sweeps: Sweeps::default(),
            planning: Planning::default(),
            quoting: Quoting::new(stationery),
            worth: kept.worth,
            worker: Worker::start(move || ctx.request_repaint()),
            desk,
            saving: job_files::Saving::new(kept.recent.clone()),
            keeper: Keeper::start(aside.clone(), move || second.request_repaint()),
            dialogs: Dialogs::default(),
            files: Vec::new(),
            closed: Vec::new(),
            recent: kept.recent_drawings.clone(),
            front: 0,
            shown: shown_at_start(&kept),
            pair: None,
            laying: Laying::default(),
            canvas: Canvas::default(),
            width: 0.0,
            unsaved: None,
            rates,
            usual_language: start.language,
            rates_in_file,
            told_unkept: Vec::new(),
            watch,
            drawings: DrawingWatch::new(move || third.request_repaint()),
            in_front: true,
            kept,
            next_id: 1,
            forget: start.forget,
            theme,
            title: String::new(),
        };
        if app.rates.sign.is_some() {
            app.write_decimals();
        }
        if !app.learning.cuts.is_empty() {
            app.fit_cuts();
        }
        if !told.is_empty() {
            app.say(told.join(" "), Weight::Fault);
        }
        if !start.forget {
            app.tell_of_failure();
        }
        if start.files.is_empty() {
            app.open_sample(0);
        }
        app.take_in(start.files);
        app.look_for_orphans(aside.as_deref());
        app
    }

    /// The drawing in front.
    pub fn front(&self) -> Option<&OpenFile> {
        self.files.get(self.front)
    }
    /// How many drawings are open.
    pub fn open_count(&self) -> usize {
        self.files.len()
    }
    /// mm or inch.
    pub fn system(&self) -> System {
        self.shown.style.system
    }
    /// The message across the window.
    pub fn message(&self) -> Option<&str> {
        self.shown.banner.as_ref().map(|b| b.text.as_str())
    }
    /// Takes all answers that are out, for at most `longest`; whether nothing is out then.
    ///
    /// For tests and for making pictures; the window itself never waits.
    pub fn wait_until_idle(&mut self, longest: Duration) -> bool {
        let end = Instant::now() + longest;
        while !self.worker.is_idle() || !self.keeper.is_idle() {
            let left = end.saturating_duration_since(Instant::now());
            if let Some(reply) = self.worker.wait(left) {
                self.take(reply);
            } else if let Some(brought) = self.keeper.wait(left) {
                self.take_brought(brought, None);
            } else {
                return false;
            }
        }
        self.canvas
            .wait(end.saturating_duration_since(Instant::now()))
    }

    /// Says that the program failed last time, and where the report lies.
    fn tell_of_failure(&mut self) {
        crash_report::window_is_open();
        let Some(report) = shop_folder().and_then(|f| crash_report::untold(&f)) else {
            return;
        };
        if self.shown.banner.is_none() {
            let text = say!(
                "Kerfcast ended by a fault of its own last time. A report without anything of your drawings lies at {}; \
                 whoever maintains Kerfcast for you can use it.",
                report.display()
            );
            self.say(text, Weight::Note);
        }
    }

    pub(super) fn say(&mut self, text: impl Into<String>, weight: Weight) {
        self.shown.banner = Some(Banner {
            text: text.into(),
            weight,
            offers: Vec::new(),
        });
    }
    /// Says something that a command takes further or back.
    pub(super) fn offer(&mut self, text: impl Into<String>, command: Command) {
        self.say(text, Weight::Note);
        if let Some(banner) = &mut self.shown.banner {
            banner.offers.push(command);
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        for reply in self.worker.replies() {
            self.take(reply);
        }
        self.look_for_changes(ctx);
        self.look_for_changed_drawings();
        set_decimal_sign(ctx, self.decimal_sign());
        copy_awaited(ctx);
        self.take_dialogs();
        self.take_dropped(dropped(ctx));
        self.tend_desk(ctx);
        self.prepare();
        self.prepare_pair();
        self.prepare_plans();
        self.prepare_quote();
        if !self.shown.readings.is_empty() {
            // Only for the bar; the answer itself wakes the window.
            ctx.request_repaint_after(Duration::from_millis(120));
        }
        if self.front().is_some_and(|f| f.waiting) {
            ctx.request_repaint_after(Duration::from_millis(250));
        }
        if let Some(file) = self.files.get_mut(self.front)
            && file.clock.is_playing()
        {
            file.clock.advance(f64::from(ctx.input(|i| i.stable_dt)));
            ctx.request_repaint();
        }
        Self::suit_screen(ctx);
        let mut title = self.front().map_or_else(
            || say!("Kerfcast").to_owned(),
            |f| say!("{} – Kerfcast", f.name),
        );
        if let Some(path) = &self.desk.path {
            let unsaved = if self.desk.is_unsaved() { " •" } else { "" };
            title = format!("{}{unsaved} – {title}", name_of(path));
        }
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let mut actions: Vec<_> = Command::pressed(ui.ctx())
            .into_iter()
            .map(Action::Run)
            .collect();
        self.lay_out(ui, &mut actions);
        if !actions.is_empty() {
            let ctx = ui.ctx().clone();
            for action in actions {
                self.carry_out(action, &ctx);
            }
            // What was asked for is seen at once.
            ctx.request_repaint();
        }
    }

    fn save(&mut self, storage: &mut dyn eframe::Storage) {
        if !self.forget {
            let kept = Kept {
                system: self.shown.style.system,
                theme: Some(self.theme),
                worth: self.worth,
                table: self.shown.table.clone(),
                recent: self.saving.recent.clone(),
                hints_read: self.shown.hints_read,
                recent_drawings: self.recent.clone(),
                ..self.kept.clone()
            };
            eframe::set_value(storage, eframe::APP_KEY, &kept);
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        // What was changed a moment ago is on its way; what failed is tried once more.
        self.keep_stationery();
        self.end_desk();
        self.wait_until_idle(LONGEST_EXIT);
        self.shelf.flush(&self.base);
    }
}
