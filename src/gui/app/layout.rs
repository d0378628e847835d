//! Where the panels lie in the window.

use super::App;
use crate::gui::canvas;
use crate::gui::commands::Command;
use crate::gui::pages;
use crate::gui::panels::{
    answer, banner, contour_menu, contours, menu, palette, progress, sentence, time, wires,
};
use crate::gui::state::{Action, View};
use crate::gui::theme::{self, Tokens};
use egui::{Color32, Context, Frame, Margin, Panel, Ui};

/// A window narrower than this makes room for the drawing when a page is open beside it.
const TIGHT: f32 = 1400.0;
/// Least share of the window's width that the drawing keeps.
const LEAST_CANVAS: f32 = 0.45;

impl App {
    /// Larger type on a large screen that does not say so itself; the keys for zoom go on from there.
    pub(super) fn suit_screen(ctx: &Context) {
        const LARGE: f32 = 2300.0;
        const ZOOM: f32 = 1.2;
        let id = egui::Id::unique("type suits the screen");
        let width = ctx.content_rect().width() * ctx.zoom_factor();
        let large = width >= LARGE && ctx.native_pixels_per_point().unwrap_or(1.0) < 1.1;
        // Kept between starts, as the zoom itself is: else a smaller screen would start with large type.
        let before: Option<bool> = ctx.data_mut(|d| d.get_persisted(id));
        if before != Some(large) {
            ctx.data_mut(|d| d.insert_persisted(id, large));
            if large || before.is_some() {
                ctx.set_zoom_factor(if large { ZOOM } else { 1.0 });
            }
        }
    }

    pub(super) fn lay_out(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let t = Tokens::of(ui.visuals());
        let names: Vec<_> = self.files.iter().map(|f| (f.id, f.name.clone())).collect();
        // The pointer moves the camera while the rest of its file is looked at.
        let mut camera = self.files.get(self.front).map(|f| f.camera);
        let view = self.files.get(self.front).map(|file| View {
            file,
            files: &names,
            style: self.shown.style,
            page: self.shown.page,
            skims: self.shown.skims,
            notes: self.shown.notes,
            feed: self.shown.feed,
            pair: self.pair.as_ref(),
            library: &self.library,
            learning: &self.learning,
            own: &self.own,
            sweeps: &self.sweeps,
            worth: &self.worth,
            pointed: std::cell::Cell::new(None),
        });
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
            beside_ui(ui, view, roomy, actions);
            Panel::bottom("time")
                .frame(bar(t.ground, 12, 4))
                .resizable(false)
                .exact_size(time::HEIGHT)
                .show(ui, |ui| time::time_ui(ui, view, actions));
        }
        egui::CentralPanel::no_frame().show(ui, |ui| match (&view, &mut camera) {
            (Some(view), Some(camera)) => {
                let canvas = &mut self.canvas;
                let response = canvas::canvas_ui(ui, canvas, camera, view, actions);
                let (grip, target) = canvas.menu();
                response.context_menu(|ui| contour_menu::menu_ui(ui, grip, target, view, actions));
            }
            _ => empty_ui(ui, !self.worker.is_idle(), actions),
        });
        palette::palette_ui(ui, &mut self.shown.palette, actions);
        if let (Some(file), Some(camera)) = (self.files.get_mut(self.front), camera) {
            file.camera = camera;
        }
    }
}

/// A bar across or beside the window.
fn bar(fill: Color32, x: i8, y: i8) -> Frame {
    Frame::new()
        .fill(fill)
        .inner_margin(Margin::symmetric(x, y))
}

/// The contours on the left, the page that is open on the right.
fn beside_ui(ui: &mut Ui, view: &View<'_>, roomy: bool, actions: &mut Vec<Action>) {
    let t = Tokens::of(ui.visuals());
    // In a small window a page beside the drawing narrows both panels, each with a width of its
    // own that it comes back to.
    let whole = ui.available_width();
    let tight = whole < TIGHT && view.page.is_some();
    let (id, width, most) = match (tight, roomy) {
        (true, _) => ("contours beside a page", 200.0, 240.0),
        (false, true) => ("contours", 320.0, 460.0),
        (false, false) => ("contours", 250.0, 460.0),
    };
    Panel::left(id)
        .frame(bar(t.ground, 8, 8))
        .resizable(true)
        .default_size(width)
        .size_range(180.0..=most)
        .show(ui, |ui| contours::contours_ui(ui, view, actions));
    if let Some(page) = view.page {
        // Tables and charts keep a width of their own.
        let (id, narrow, wide): (_, f32, f32) = match (page.is_wide(), tight) {
            (true, false) => ("wide side", 560.0, 640.0),
            (false, false) => ("side", 400.0, 470.0),
            (true, true) => ("wide side, tight", 490.0, 490.0),
            (false, true) => ("side, tight", 360.0, 360.0),
        };
        // The drawing keeps its share of the window.
        let most = (ui.available_width() - LEAST_CANVAS * whole).clamp(300.0, 760.0);
        Panel::right(id)
            .frame(bar(t.ground, 12, 8))
            .resizable(true)
            .default_size(if roomy { wide } else { narrow }.min(most))
            .size_range(300.0..=most)
            .show(ui, |ui| pages::page_ui(ui, page, view, actions));
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
