//! The application: holds the state, lays out the panels, carries out what they ask for.

mod own_figures;

use super::canvas::{self, Canvas, PathModel};
use super::clock::Clock;
use super::commands::Command;
use super::course::{Detail, DetailWanted, What};
use super::format::System;
use super::learning::Learning;
use super::open_files::{Chosen, Dialogs, Kind, dropped, name_of};
use super::panels::{
    answer, banner, contours, menu, palette, progress, sentence, side, time, wires,
};
use super::state::{
    Action, Answer, Asked, Banner, BeingRead, Beside, OpenFile, Shown, Side, Target, View, Weight,
};
use super::sweeps::Sweeps;
use super::theme::{self, Tokens};
use super::worker::{Read, Reading, Reply, Request, Source, Worker};
use crate::drawing::{Progress, ReadOptions};
use crate::estimate::{self, Question};
use crate::job::{Job, Shop};
use crate::plan::PathCache;
use crate::process::Library;
use crate::samples;
use egui::util::undoer::Undoer;
use egui::{Context, Frame, Margin, Panel, ThemePreference, Ui};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How the window starts.
#[derive(Debug, Clone, Default)]
pub struct Start {
    /// Drawings to open; without any, the first sample.
    pub files: Vec<PathBuf>,
    /// Dark or light; `None` as last time, else as the system.
    pub theme: Option<egui::Theme>,
    /// Neither read nor write what is kept between starts.
    pub forget: bool,
}

/// What is kept between starts.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
struct Kept {
    system: System,
    theme: Option<ThemePreference>,
    shop: Option<Shop>,
    /// Finished cuts, as a table.
    cuts: String,
    /// Whether estimates use what was learned.
    learn: bool,
    /// The machine that estimates are for.
    machine: Option<String>,
}

/// The window.
pub struct App {
    /// The shop's library without what was learned.
    base: Arc<Library>,
    /// The one that `library` was made of.
    in_force: Arc<Library>,
    library: Arc<Library>,
    learning: Learning,
    sweeps: Sweeps,
    worker: Worker,
    dialogs: Dialogs,
    files: Vec<OpenFile>,
    front: usize,
    shown: Shown,
    shop: Option<Shop>,
    next_id: u64,
    forget: bool,
    theme: ThemePreference,
    title: String,
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
        let ctx = cc.egui_ctx.clone();
        let library = Arc::new(Library::built_in().clone());
        let learning = Learning::kept(&kept.cuts, kept.learn, kept.machine, &library);
        let mut app = Self {
            base: Arc::clone(&library),
            in_force: Arc::clone(&library),
            library,
            learning,
            sweeps: Sweeps::default(),
            worker: Worker::start(move || ctx.request_repaint()),
            dialogs: Dialogs::default(),
            files: Vec::new(),
            front: 0,
            shown: Shown {
                system: kept.system,
                side: None,
                skims: true,
                feed: false,
                readings: Vec::new(),
                palette: None,
                path_field: None,
                banner: None,
            },
            shop: kept.shop,
            next_id: 1,
            forget: start.forget,
            theme,
            title: String::new(),
        };
        if !app.learning.cuts.is_empty() {
            app.fit_cuts();
        }
        if start.files.is_empty() {
            app.open_sample(0);
        }
        for path in start.files {
            app.open_path(path);
        }
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
        self.shown.system
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
        while !self.worker.is_idle() {
            let left = end.saturating_duration_since(Instant::now());
            match self.worker.wait(left) {
                Some(reply) => self.take(reply),
                None => return false,
            }
        }
        true
    }

    fn say(&mut self, text: impl Into<String>, weight: Weight) {
        self.shown.banner = Some(Banner {
            text: text.into(),
            weight,
        });
    }

    fn open_path(&mut self, path: PathBuf) {
        self.read(name_of(&path), Some(path.clone()), Source::Path(path));
    }
    fn open_sample(&mut self, k: usize) {
        if let Some(sample) = samples::ALL.get(k) {
            let bytes = Source::Bytes(Cow::Borrowed(sample.bytes));
            self.read(sample.name.to_owned(), None, bytes);
        }
    }
    fn read(&mut self, name: String, path: Option<PathBuf>, source: Source) {
        if self.bring(&name, &source) {
            return;
        }
        self.ask_for(Reading {
            name,
            path,
            source,
            options: ReadOptions::default(),
            replaces: None,
            progress: Progress::default(),
        });
    }
    fn reread(&mut self, options: ReadOptions) {
        if let Some(file) = self.front() {
            let reading = Reading {
                options,
                replaces: Some(file.id),
                progress: Progress::default(),
                ..file.reading.clone()
            };
            self.ask_for(reading);
        }
    }
    fn ask_for(&mut self, reading: Reading) {
        let being_read = BeingRead {
            name: reading.name.clone(),
            progress: reading.progress.clone(),
            since: Instant::now(),
        };
        let asked = self.worker.ask(Request::Read(Box::new(reading)));
        if asked {
            self.shown.readings.push(being_read);
        } else {
            self.say(
                "The thread that reads drawings has ended. Start Kerfcast again.",
                Weight::Fault,
            );
        }
    }

    fn take(&mut self, reply: Reply) {
        match reply {
            Reply::Read { reading, result } => {
                // Drawings are read one after the other.
                if !self.shown.readings.is_empty() {
                    self.shown.readings.remove(0);
                }
                self.take_reading(*reading, result);
            }
            Reply::Detail {
                file,
                number,
                wire,
                result,
            } => self.take_detail(file, number, wire, result),
            Reply::Estimate {
                file,
                number,
                result,
            } => self.take_estimate(file, number, result),
            Reply::Own(done) => self.take_task(*done),
        }
    }

    fn take_reading(&mut self, reading: Reading, result: Result<Box<Read>, String>) {
        match result {
            Ok(read) if reading.replaces.is_some() => self.replace(reading, *read),
            Ok(read) => self.add(reading, *read),
            Err(_) if reading.progress.is_cancelled() => {
                let text = format!("{} was not read; you cancelled it.", reading.name);
                self.say(text, Weight::Note);
            }
            Err(message) => {
                let name = &reading.name;
                let open = if self.files.is_empty() {
                    ""
                } else {
                    " The drawings already open stay as they are."
                };
                self.say(
                    format!("{name} was not opened. {message}{open}"),
                    Weight::Fault,
                );
            }
        }
    }

    fn take_detail(&mut self, id: u64, number: u64, wire: usize, result: Result<Detail, String>) {
        let Some(file) = self.files.iter_mut().find(|f| f.id == id) else {
            return;
        };
        match result {
            Ok(Detail::Course(course)) => file.course.take(number, wire, *course),
            Ok(Detail::Limits(limits)) => file.limits.take(number, wire, *limits),
            // Overtaken by a later question.
            Err(message) if message.is_empty() => {}
            Err(message) => self.say(message, Weight::Fault),
        }
    }

    /// The same drawing read otherwise keeps its job: curves, and so what is left out, stay the same.
    fn replace(&mut self, reading: Reading, read: Read) {
        let Some(k) = self
            .files
            .iter()
            .position(|f| Some(f.id) == reading.replaces)
        else {
            return;
        };
        let file = &mut self.files[k];
        if read.drawing.profile.bounds() != file.profile.bounds() {
            // In another unit a start hole placed by hand would lie elsewhere.
            forget_places(&mut file.job);
        }
        file.course = Beside::default();
        file.limits = Beside::default();
        file.clock = Clock::default();
        file.profile = Arc::new(read.drawing.profile.clone());
        file.drawing = Arc::new(read.drawing);
        file.model = read.model;
        file.reading = reading;
        file.cache = Arc::new(PathCache::default());
        file.answer = None;
        file.paths = None;
        file.explained = None;
        file.selected = None;
        file.canvas = Canvas::default();
        let front = std::mem::replace(&mut self.front, k);
        self.estimate();
        self.front = front;
    }

    fn add(&mut self, reading: Reading, read: Read) {
        let (name, path) = (reading.name.clone(), reading.path.clone());
        let mut job = self
            .front()
            .map_or_else(|| Job::starting(&self.library), |f| f.job.clone());
        // Conditions carry over to the next drawing; what was left out belongs to its own.
        job.left_out.clear();
        job.contours.clear();
        if self.files.is_empty()
            && let Some(shop) = &self.shop
        {
            job.shop = shop.clone();
        }
        let profile = Arc::new(read.drawing.profile.clone());
        if profile.contours.is_empty() {
            self.say(
                format!(
                    "{name} holds no closed contour, so there is nothing to cut. Close the gaps where \
                     the ends are marked, or join the curves in the drawing."
                ),
                Weight::Fault,
            );
        }
        let mut undoer = Undoer::default();
        undoer.add_undo(&job);
        let again = self
            .files
            .iter()
            .position(|f| path.is_some() && f.path == path);
        let id = self.next_id;
        self.next_id += 1;
        let file = OpenFile {
            id,
            name,
            path,
            reading,
            drawing: Arc::new(read.drawing),
            profile,
            job,
            undoer,
            cache: Arc::new(PathCache::default()),
            awaited: 0,
            waiting: false,
            answer: None,
            shown: 0,
            selected: None,
            asked: None,
            compared: None,
            explained: None,
            model: read.model,
            paths: None,
            canvas: Canvas::default(),
            clock: Clock::default(),
            course: Beside::default(),
            limits: Beside::default(),
        };
        // A file opened again is read again in its place.
        if let Some(k) = again {
            self.files[k] = file;
            self.front = k;
        } else {
            self.files.push(file);
            self.front = self.files.len() - 1;
        }
        self.files[self.front].shown = self.files[self.front].job.baseline;
        self.estimate();
    }

    /// Asks for the estimate of the drawing in front.
    fn estimate(&mut self) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        file.awaited += 1;
        let asked = self.worker.ask(Request::Estimate {
            file: file.id,
            number: file.awaited,
            profile: Arc::clone(&file.profile),
            job: Box::new(file.job.clone()),
            library: Arc::clone(&self.library),
            cache: Arc::clone(&file.cache),
        });
        file.waiting = asked;
        if !asked {
            self.say(
                "The thread that estimates has ended. Start Kerfcast again.",
                Weight::Fault,
            );
        }
    }

    fn take_estimate(&mut self, id: u64, number: u64, result: Result<Box<Answer>, String>) {
        let Some(file) = self.files.iter_mut().find(|f| f.id == id) else {
            return;
        };
        if number != file.awaited {
            return;
        }
        file.waiting = false;
        match result {
            Ok(answer) => {
                file.answer = Some(*answer);
                file.explained = None;
                file.paths = None;
            }
            Err(message) => self.say(message, Weight::Fault),
        }
    }

    /// Builds what the panels show of the answer: the paths, and the explanation while it is open.
    fn prepare(&mut self) {
        let side = self.shown.side;
        let library = Arc::clone(&self.library);
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        let Some(answer) = &file.answer else {
            return;
        };
        let estimates = &answer.comparison.estimates;
        file.shown = file.shown.min(estimates.len().saturating_sub(1));
        let wanted = (file.awaited, file.shown);
        if file.paths.as_ref().map(|p| (p.0, p.1)) != Some(wanted) && !file.waiting {
            file.paths = estimates
                .get(file.shown)
                .map(|e| (wanted.0, wanted.1, PathModel::new(e, &file.model)));
        }
        if !file.waiting {
            let mut what = vec![(What::Course, file.course.asks_for(wanted.0, wanted.1))];
            if side == Some(Side::Limits) {
                what.push((What::Limits, file.limits.asks_for(wanted.0, wanted.1)));
            }
            for (what, _) in what.into_iter().filter(|w| w.1) {
                // A thread that has ended says so when the next estimate is asked for.
                self.worker.ask(Request::Detail(Box::new(detail_wanted(
                    file,
                    what,
                    &self.library,
                ))));
            }
        }
        let Some(answer) = &file.answer else {
            return;
        };
        let estimates = &answer.comparison.estimates;
        if side == Some(Side::Why) {
            let asked = file.asked.unwrap_or(Asked {
                wire: file.shown,
                question: Question::Minutes,
            });
            let stale = file.explained.as_ref().is_none_or(|(a, _)| *a != asked);
            if let (true, Some(e)) = (stale, estimates.get(asked.wire)) {
                file.explained = estimate::explain(asked.question, &answer.job, &library, e)
                    .map(|figure| (asked, figure));
            }
        }
    }

    fn carry_out(&mut self, action: Action, ctx: &Context) {
        match action {
            Action::Edit(job) => self.edit(*job),
            Action::Refuse(message) => self.say(message, Weight::Fault),
            Action::Dismiss => self.shown.banner = None,
            Action::Run(command) => self.run(command, ctx),
            Action::OpenPath(path) => self.open_path(path),
            Action::OpenSample(k) => self.open_sample(k),
            Action::Reread(options) => self.reread(*options),
            Action::Learn(action) => self.learn(action, ctx),
            Action::Sweep(_) | Action::Matters(_) | Action::Draw(..) => self.sweep(&action),
            Action::SwitchTo(id) => {
                if let Some(k) = self.files.iter().position(|f| f.id == id) {
                    self.front = k;
                }
            }
            Action::CloseFile(id) => self.close(id),
            Action::CancelReading => {
                if let Some(r) = self.shown.readings.first() {
                    r.progress.cancel();
                }
            }
            Action::Show(_)
            | Action::Ask(_)
            | Action::Compare(_)
            | Action::Seek(_)
            | Action::Play(_)
            | Action::Select(_)
            | Action::Centre(_)
            | Action::Frame(_) => {
                self.look_at(&action);
            }
        }
    }

    /// Actions that change what is shown of the drawing in front.
    fn look_at(&mut self, action: &Action) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        match *action {
            Action::Show(wire) => {
                file.shown = wire;
                if file.compared.is_some() {
                    // The baseline against itself says nothing.
                    file.compared = Some(wire).filter(|w| *w != file.job.baseline);
                }
                if let Some(asked) = &mut file.asked {
                    // A step of one wire is none of another.
                    if matches!(asked.question, Question::Step(_) | Question::Pass(_)) {
                        file.asked = None;
                    } else {
                        asked.wire = wire;
                    }
                }
            }
            Action::Ask(asked) => {
                file.asked = Some(asked);
                file.compared = None;
                file.shown = asked.wire;
                self.shown.side = Some(Side::Why);
            }
            Action::Compare(wire) => {
                file.compared = Some(wire);
                file.shown = wire;
                self.shown.side = Some(Side::Why);
            }
            Action::Seek(share) => file.clock.seek(share),
            Action::Play(run) => file.clock.play(run && file.timing().is_some()),
            Action::Select(target) => file.selected = target,
            Action::Centre(at) => {
                let at = canvas::place(&file.model, at);
                let size = file.model.bounds.size().max_elem().max(1e-6);
                // A tenth of the drawing fills the view.
                file.canvas.centre_on(at, 400.0 / (0.1 * size));
            }
            Action::Frame(target) => {
                let line = match target {
                    Target::Contour(i) => file.model.contours.get(i),
                    Target::Open(i) => file.model.open.get(i),
                };
                if let Some(b) = line.map(|l| l.bounds) {
                    let size = b.size().max_elem().max(1e-6);
                    file.canvas.centre_on(b.center(), 260.0 / size);
                }
            }
            _ => {}
        }
    }

    /// Takes a new job over, or says why not.
    fn edit(&mut self, job: Job) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        if job == file.job {
            return;
        }
        if let Some(fault) = job.faults(&self.library).first() {
            let text = format!("{fault} The job stays as it was.");
            self.say(text, Weight::Fault);
            return;
        }
        self.shown.banner = None;
        if job.shop != file.job.shop {
            self.shop = Some(job.shop.clone());
        }
        file.job = job;
        file.undoer.add_undo(&file.job);
        self.estimate();
    }

    fn undo(&mut self, back: bool) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        let other = if back {
            file.undoer.undo(&file.job).cloned()
        } else {
            file.undoer.redo(&file.job).cloned()
        };
        if let Some(job) = other {
            file.job = job;
            self.shown.banner = None;
            self.estimate();
        }
    }

    fn close(&mut self, id: u64) {
        self.files.retain(|f| f.id != id);
        self.front = self.front.min(self.files.len().saturating_sub(1));
    }

    fn run(&mut self, command: Command, ctx: &Context) {
        if let Some(side) = side::toggled(self.shown.side, command) {
            self.shown.side = side;
            return;
        }
        match command {
            Command::Open => {
                let folder = self
                    .front()
                    .and_then(|f| f.path.as_deref())
                    .and_then(Path::parent);
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::Drawings, folder, move || ctx.request_repaint());
            }
            Command::OpenPath => self.shown.path_field = Some(String::new()),
            Command::Close => {
                if let Some(id) = self.front().map(|f| f.id) {
                    self.close(id);
                }
            }
            Command::NextDrawing => {
                self.front = (self.front + 1) % self.files.len().max(1);
            }
            Command::Undo => self.undo(true),
            Command::Redo => self.undo(false),
            Command::SwitchUnits => self.shown.system = self.shown.system.other(),
            Command::Fit => {
                if let Some(file) = self.files.get_mut(self.front) {
                    file.canvas.fit();
                }
            }
            Command::ShowSkims => self.shown.skims = !self.shown.skims,
            Command::ShadeFeed => self.shown.feed = !self.shown.feed,
            Command::Play | Command::WholePath => {
                let playing = self.front().is_some_and(|f| f.clock.is_playing());
                self.look_at(&match command {
                    Command::Play => Action::Play(!playing),
                    _ => Action::Seek(None),
                });
            }
            Command::SwitchTheme => {
                self.theme = match ctx.theme() {
                    egui::Theme::Dark => ThemePreference::Light,
                    egui::Theme::Light => ThemePreference::Dark,
                };
                ctx.set_theme(self.theme);
            }
            Command::SystemTheme => {
                self.theme = ThemePreference::System;
                ctx.set_theme(self.theme);
            }
            Command::Palette => self.shown.palette = Some(String::new()),
            Command::Quit => ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            Command::Why
            | Command::Steps
            | Command::Contour
            | Command::Limits
            | Command::Findings
            | Command::Shop
            | Command::Cautions
            | Command::Cuts
            | Command::Sweeps => {}
        }
    }

    fn take_dialogs(&mut self) {
        for chosen in self.dialogs.chosen() {
            match chosen {
                Chosen::Files(files) => files.into_iter().for_each(|f| self.open_path(f)),
                Chosen::Nothing => {}
                Chosen::Saved(result) => self.told_saved(result),
                Chosen::NoDialog => {
                    self.shown.path_field = Some(String::new());
                    self.say(
                        "This desktop offers no file dialog. Type or paste a path, drop a drawing on the \
                         window, or name it when starting Kerfcast.",
                        Weight::Note,
                    );
                }
            }
        }
    }

    /// Larger type on a large screen that does not say so itself; the keys for zoom go on from there.
    fn suit_screen(ctx: &Context) {
        const LARGE: f32 = 2300.0;
        const ZOOM: f32 = 1.2;
        let id = egui::Id::unique("type suits the screen");
        let width = ctx.content_rect().width() * ctx.zoom_factor();
        let large = width >= LARGE && ctx.native_pixels_per_point().unwrap_or(1.0) < 1.1;
        let before: Option<bool> = ctx.data(|d| d.get_temp(id));
        if before != Some(large) {
            ctx.data_mut(|d| d.insert_temp(id, large));
            if large || before.is_some() {
                ctx.set_zoom_factor(if large { ZOOM } else { 1.0 });
            }
        }
    }

    fn lay_out(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let t = Tokens::of(ui.visuals());
        let names: Vec<_> = self.files.iter().map(|f| (f.id, f.name.clone())).collect();
        // The canvas changes while the rest of its file is looked at.
        let mut canvas = self
            .files
            .get_mut(self.front)
            .map(|f| std::mem::take(&mut f.canvas))
            .unwrap_or_default();
        let view = self.files.get(self.front).map(|file| View {
            file,
            files: &names,
            system: self.shown.system,
            side: self.shown.side,
            skims: self.shown.skims,
            feed: self.shown.feed,
            library: &self.library,
            learning: &self.learning,
            sweeps: &self.sweeps,
        });
        let bar = |fill, x, y| {
            Frame::new()
                .fill(fill)
                .inner_margin(Margin::symmetric(x, y))
        };
        Panel::top("menu")
            .frame(bar(t.ground, 10, 5))
            .show_separator_line(false)
            .show(ui, |ui| menu::menu_ui(ui, view.as_ref(), &names, actions));
        if let Some(message) = &self.shown.banner {
            Panel::top("message")
                .frame(Frame::new())
                .show(ui, |ui| banner::banner_ui(ui, message, actions));
        }
        if let Some(reading) = progress::worth_showing(&self.shown.readings) {
            Panel::top("reading")
                .frame(Frame::new())
                .show(ui, |ui| progress::progress_ui(ui, reading, actions));
        }
        if self.shown.path_field.is_some() {
            let field = &mut self.shown.path_field;
            Panel::top("path")
                .frame(Frame::new())
                .show(ui, |ui| banner::path_ui(ui, field, actions));
        }
        if let Some(view) = &view {
            Panel::top("job")
                .frame(bar(t.raised, 14, 9))
                .show(ui, |ui| {
                    sentence::sentence_ui(ui, view, actions);
                    answer::answer_ui(ui, view, actions);
                });
            let roomy = ui.available_width() > 1700.0;
            Panel::bottom("wires")
                .frame(bar(t.ground, 0, 2))
                .resizable(false)
                .exact_size(wires::height_for(view.file.job.candidates.len()))
                .show(ui, |ui| wires::wires_ui(ui, view, actions));
            Panel::left("contours")
                .frame(bar(t.ground, 8, 8))
                .resizable(true)
                .default_size(if roomy { 320.0 } else { 250.0 })
                .size_range(190.0..=460.0)
                .show(ui, |ui| contours::contours_ui(ui, view, actions));
            if let Some(side) = view.side {
                // Tables and charts keep a width of their own.
                let (id, narrow, wide) = if side.is_wide() {
                    ("wide side", 560.0, 640.0)
                } else {
                    ("side", 400.0, 470.0)
                };
                Panel::right(id)
                    .frame(bar(t.ground, 12, 8))
                    .resizable(true)
                    .default_size(if roomy { wide } else { narrow })
                    .size_range(300.0..=760.0)
                    .show(ui, |ui| side::side_ui(ui, side, view, actions));
            }
            Panel::bottom("time")
                .frame(bar(t.ground, 12, 4))
                .resizable(false)
                .exact_size(time::HEIGHT)
                .show(ui, |ui| time::time_ui(ui, view, actions));
        }
        egui::CentralPanel::no_frame().show(ui, |ui| match &view {
            Some(view) => canvas::canvas_ui(ui, &mut canvas, view, actions),
            None => empty_ui(ui, !self.worker.is_idle(), actions),
        });
        palette::palette_ui(ui, &mut self.shown.palette, actions);
        if let Some(file) = self.files.get_mut(self.front) {
            file.canvas = canvas;
        }
    }
}

/// Start holes and joins placed by hand are forgotten; other decisions stay.
fn forget_places(job: &mut Job) {
    let keys: Vec<usize> = job.contours.keys().copied().collect();
    for key in keys {
        job.choose(key, |c| (c.hole, c.join) = (None, None));
    }
}

fn detail_wanted(file: &OpenFile, what: What, library: &Arc<Library>) -> DetailWanted {
    let points = &file.drawing.points;
    DetailWanted {
        file: file.id,
        number: file.awaited,
        wire: file.shown,
        what,
        profile: Arc::clone(&file.profile),
        job: Box::new(file.job.clone()),
        library: Arc::clone(library),
        cache: Arc::clone(&file.cache),
        points: points.iter().map(|p| *p - file.profile.origin).collect(),
        centre: file.model.centre,
        sagitta: file.model.sagitta,
    }
}

/// What is shown without any drawing.
fn empty_ui(ui: &mut Ui, reading: bool, actions: &mut Vec<Action>) {
    let t = Tokens::of(ui.visuals());
    ui.painter().rect_filled(ui.max_rect(), 0, t.ground);
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.4).max(20.0));
        if reading {
            ui.label("Reading…");
            return;
        }
        ui.label(theme::strong("Drop a DXF drawing here", 20.0));
        ui.add_space(6.0);
        if ui.button("Open drawings…").clicked() {
            actions.push(Action::Run(Command::Open));
        }
        if ui.button("Open the sample").clicked() {
            actions.push(Action::OpenSample(0));
        }
    });
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        for reply in self.worker.replies() {
            self.take(reply);
        }
        self.take_dialogs();
        for (path, source) in dropped(ctx) {
            self.read(name_of(&path), Some(path), source);
        }
        self.prepare();
        if !self.shown.readings.is_empty() {
            // Only for the bar; the answer itself wakes the window.
            ctx.request_repaint_after(Duration::from_millis(120));
        }
        if let Some(file) = self.files.get_mut(self.front)
            && file.clock.is_playing()
        {
            file.clock.advance(f64::from(ctx.input(|i| i.stable_dt)));
            ctx.request_repaint();
        }
        Self::suit_screen(ctx);
        let title = self.front().map_or_else(
            || "Kerfcast".to_owned(),
            |f| format!("{} – Kerfcast", f.name),
        );
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
                system: self.shown.system,
                theme: Some(self.theme),
                shop: self.shop.clone(),
                cuts: self.learning.table(),
                learn: self.learning.on,
                machine: self.learning.machine.clone(),
            };
            eframe::set_value(storage, eframe::APP_KEY, &kept);
        }
    }
}
