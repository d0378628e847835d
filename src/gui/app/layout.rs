//! Where everything lies in the window: the line on top, the job and its answer, the drawing, the wires, and the page
//! that is open as a drawer over the right of the drawing.

use super::App;
use crate::estimate::PricedRevision;
use crate::gui::canvas::{self, Canvas};
use crate::gui::commands::Command;
use crate::gui::desk::Desk;
use crate::gui::open_file::OpenFile;
use crate::gui::page::Page;
use crate::gui::pages::enquiry::Look;
use crate::gui::pages::{self, enquiry, quote};
use crate::gui::pair::Pair;
use crate::gui::panels::{
    answer, banner, contour_menu, contours, hints, keys, menu, palette, progress, sentence,
    unsaved, wires,
};
use crate::gui::picture::{AS_SEEN, copy_later};
use crate::gui::scene::{Camera, Ghost};
use crate::gui::state::{Action, Shown, View};
use crate::gui::theme::{self, tokens};
use crate::language::said;
use egui::{
    Button, Color32, Context, Frame, Margin, Panel, Rect, Role, ScrollArea, Sense, Stroke, Ui,
    UiBuilder, WidgetInfo, vec2,
};
use std::path::PathBuf;
use std::sync::Arc;

/// Height of the line on top, points.
const MENU: f32 = 34.0;
/// Least share of the window's height that the drawing keeps.
pub const LEAST_DRAWING: f32 = 0.45;
/// Width of a page, points, and of one that holds tables or charts in a wide window.
const PAGE: f32 = 360.0;
const WIDE_PAGE: f32 = 560.0;
/// A window from this width on has room for a wide page.
const WIDE: f32 = 1440.0;
/// Most of a window's width that a page takes.
const MOST_PAGE: f32 = 0.6;

/// How wide a page is in a window of a width.
fn page_width(page: Page, window: f32) -> f32 {
    let wide = page.is_wide() && window >= WIDE;
    let width = if wide { WIDE_PAGE } else { PAGE };
    width.min(window * MOST_PAGE).round()
}

/// Fields of the window, for what is laid out; all in points.
struct Regions {
    drawing: Rect,
    wires: Rect,
    page: Option<Rect>,
}

impl Regions {
    /// In what is left below sentence and answer, in a window of a height.
    fn new(rest: Rect, window: f32, view: &View<'_>) -> Self {
        let page = view.page.map(|page| page_width(page, rest.width()));
        let most = (rest.height() - LEAST_DRAWING * window).max(0.0);
        let needed = wires::height_for(view);
        let asked = view.table.height.filter(|_| !view.table.folded);
        let height = asked.unwrap_or(needed).min(needed).min(most).floor();
        let (drawing, wires) = rest.split_top_bottom_at_y(rest.bottom() - height);
        let right = rest.right() - page.unwrap_or(0.0);
        Self {
            drawing,
            wires: wires.with_max_x(right),
            page: page.map(|_| rest.with_min_x(right)),
        }
    }
}

/// What lies over the drawing while a page about another one is open.
fn ghost<'a>(
    file: &'a OpenFile,
    page: Option<Page>,
    pair: Option<&'a Pair>,
) -> Option<&'a Arc<Ghost>> {
    match page? {
        Page::Compare => pair?.laid.as_ref().map(|l| &l.ghost),
        Page::Variants => file.variant_shown().map(|v| &v.ghost),
        _ => None,
    }
}

/// What each change that lies over the drawing costs.
fn ghost_prices<'a>(
    file: &'a OpenFile,
    page: Option<Page>,
    pair: Option<&'a Pair>,
) -> Option<&'a PricedRevision> {
    match page? {
        Page::Compare => pair?.prices.as_ref(),
        Page::Variants => file.variant_prices(),
        _ => None,
    }
}

/// Lays something out in a rectangle and nowhere else.
fn region<R>(ui: &mut Ui, name: &str, rect: Rect, contents: impl FnOnce(&mut Ui) -> R) -> R {
    let place = UiBuilder::new().max_rect(rect).id_salt(name);
    ui.scope_builder(place, |ui| {
        ui.set_clip_rect(rect.intersect(ui.clip_rect()));
        contents(ui)
    })
    .inner
}

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

    /// Points at the right of the drawing that the page covers.
    pub(super) fn covered(&self) -> f32 {
        let page = self.shown.page;
        page.map_or(0.0, |page| page_width(page, self.width))
    }

    pub(super) fn lay_out(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        hints::dropping_ui(ui.ctx());
        let whole = ui.max_rect();
        self.width = whole.width();
        let mut path = self.shown.path_field.take();
        let names: Vec<_> = self.files.iter().map(|f| (f.id, f.name.clone())).collect();
        // The pointer moves the camera while the rest of its file is looked at.
        let mut camera = self.files.get(self.front).map(|f| f.camera);
        let sign = self.decimal_sign();
        let view = self.files.get(self.front).map(|file| View {
            file,
            files: &names,
            style: self.shown.style,
            page: self.shown.page,
            back: self.shown.back.last().copied(),
            table: &self.shown.table,
            list: self.shown.list,
            legend: self.shown.legend,
            hints_read: self.shown.hints_read,
            skims: self.shown.skims,
            notes: self.shown.notes,
            feed: self.shown.feed,
            lots: &self.quoting.stationery.quantities,
            pair: self.pair.as_ref(),
            laying: &self.laying,
            shows_care: self.shown.page == Some(Page::Cautions),
            ghost: ghost(file, self.shown.page, self.pair.as_ref()),
            ghost_prices: ghost_prices(file, self.shown.page, self.pair.as_ref()),
            library: &self.library,
            learning: &self.learning,
            own: &self.own,
            sweeps: &self.sweeps,
            planning: &self.planning,
            worth: &self.worth,
            sign,
            own_sign: self.rates.sign,
            language: self.rates.language,
            pointed: std::cell::Cell::new(None),
        });
        let front = view.as_ref().map(|v| v.file);
        let job = menu::JobFiles {
            items: self.desk.entries.len(),
            open: self.shown.page.filter(|p| p.takes_window()),
            recent: &self.saving.recent,
            language: self.rates.language,
        };
        // Without any drawing in front the items are what there is to see.
        let only_items = self.files.is_empty() && !self.desk.entries.is_empty();
        let shows_items = job.open == Some(Page::Enquiry)
            || (job.open.is_none() && only_items && self.shown.readings.is_empty());
        // Guide and About are there without a drawing, too.
        let own_page = self.shown.page.filter(|p| p.is_of_no_drawing());
        let covered = own_page.map_or(0.0, |_| self.covered());
        let back = self.shown.back.last().copied();
        let back = back.filter(|p| p.is_of_no_drawing());
        let t = tokens(ui);
        ui.painter().rect_filled(whole, 0, t.ground);
        let (top, below) = whole.split_top_bottom_at_y(whole.top() + MENU);
        region(ui, "below the menu", below, |ui| {
            messages_ui(ui, front, &self.shown, &mut path, actions);
            unsaved::recovery_ui(ui, &self.desk, actions);
            if shows_items {
                let look = Look {
                    style: self.shown.style,
                    library: &self.library,
                };
                let rest = ui.available_rect_before_wrap();
                let (items, beside) = rest.split_left_right_at_x(rest.right() - covered);
                items_ui(ui, items, &mut self.desk, look, actions);
                if let Some(page) = own_page {
                    own_page_ui(ui, beside, page, back, actions);
                }
                return;
            }
            if job.open == Some(Page::Quote) {
                let rest = ui.available_rect_before_wrap();
                region(ui, "quote", rest, |ui| {
                    bar(t.ground, 14, 8).show(ui, |ui| {
                        quote::quote_ui(ui, &self.desk, &self.quoting, self.shown.style, actions);
                    });
                });
                return;
            }
            if let (Some(view), Some(camera)) = (&view, &mut camera) {
                drawing_ui(ui, whole.height(), &mut self.canvas, camera, view, actions);
            } else {
                let rest = ui.available_rect_before_wrap();
                let (clear, beside) = rest.split_left_right_at_x(rest.right() - covered);
                region(ui, "no drawing", clear, |ui| {
                    empty_ui(ui, !self.worker.is_idle(), &self.recent, actions);
                });
                if let Some(page) = own_page {
                    own_page_ui(ui, beside, page, back, actions);
                }
            }
        });
        region(ui, "menu", top, |ui| {
            bar(t.ground, 10, 5).show(ui, |ui| {
                menu::menu_ui(ui, view.as_ref(), &names, &job, actions);
            });
        });
        unsaved::leave_ui(ui, &self.desk, actions);
        unsaved::place_ui(ui, &mut self.saving.place, actions);
        self.shown.path_field = path;
        palette::palette_ui(ui, &mut self.shown.palette, actions);
        keys::keys_ui(ui, &mut self.shown.keys);
        if let (Some(file), Some(camera)) = (self.files.get_mut(self.front), camera) {
            file.camera = camera;
        }
    }
}

/// Sentence and answer, the drawing, the wires, and the page that is open.
fn drawing_ui(
    ui: &mut Ui,
    window: f32,
    canvas: &mut Canvas,
    camera: &mut Camera,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    job_ui(ui, window, view, actions);
    let rest = ui.available_rect_before_wrap();
    let regions = Regions::new(rest, window, view);
    // In the order in which the Tab key reaches them: the drawing, the wires, the page. The page is painted
    // over the drawing, which keeps its place below it.
    let clear = regions
        .page
        .map_or(regions.drawing, |p| regions.drawing.with_max_x(p.left()));
    let covered = regions.drawing.right() - clear.right();
    region(ui, "drawing", clear, |ui| {
        let response = canvas::canvas_ui(ui, canvas, camera, covered, view, actions);
        let (grip, target) = canvas.menu();
        let picture = response.rect;
        response.context_menu(|ui| {
            contour_menu::menu_ui(ui, grip, target, view, actions);
            ui.separator();
            let copy = ui.button(say!("Copy picture"));
            if copy.on_hover_text(said(AS_SEEN)).clicked() {
                // Without the menu that lies over it.
                copy_later(ui.ctx(), picture);
                ui.close();
            }
        });
        contours::chips_ui(ui, clear, canvas.cut(), view, actions);
        hints::hint_ui(ui, clear, view, actions);
    });
    region(ui, "wires", regions.wires, |ui| {
        ui.painter().rect_filled(regions.wires, 0, t.ground);
        wires::wires_ui(ui, view, actions);
    });
    if let (Some(page), Some(rect)) = (view.page, regions.page) {
        region(ui, "page", rect, |ui| {
            drawer_ui(ui, page, rect, |ui| {
                pages::page_ui(ui, page, view, actions);
            });
        });
    }
}

/// A page that is of no drawing, over the right of what is shown where there is none.
fn own_page_ui(ui: &mut Ui, rect: Rect, page: Page, back: Option<Page>, actions: &mut Vec<Action>) {
    region(ui, "page", rect, |ui| {
        drawer_ui(ui, page, rect, |ui| {
            pages::own_page_ui(ui, page, back, actions);
        });
    });
}

/// What is told across the window, and what is asked for there.
fn messages_ui(
    ui: &mut Ui,
    file: Option<&OpenFile>,
    shown: &Shown,
    path: &mut Option<String>,
    actions: &mut Vec<Action>,
) {
    if let Some(message) = &shown.banner {
        Panel::top("message")
            .frame(Frame::new())
            .show(ui, |ui| banner::banner_ui(ui, message, actions));
    }
    if let Some(reading) = progress::worth_showing(&shown.readings) {
        Panel::top("reading")
            .frame(Frame::new())
            .show(ui, |ui| progress::progress_ui(ui, reading, actions));
    }
    if let Some(file) = file.filter(|f| f.stopped || f.takes_long().is_some()) {
        Panel::top("estimating")
            .frame(Frame::new())
            .show(ui, |ui| progress::estimating_ui(ui, file, actions));
    }
    if path.is_some() {
        Panel::top("path")
            .frame(Frame::new())
            .show(ui, |ui| banner::path_ui(ui, path, actions));
    }
}

/// Sentence and answer, as high as they need to be; in a small window they scroll rather than take what the drawing
/// needs.
fn job_ui(ui: &mut Ui, window: f32, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let most = ((1.0 - LEAST_DRAWING) * window - MENU - wires::LEAST).max(60.0);
    let id = ui.scope_id().with("height of the job");
    let needed: f32 = ui.data(|d| d.get_temp(id)).unwrap_or(60.0);
    let height = needed.min(most);
    Panel::top("job")
        .frame(Frame::new().fill(t.raised))
        .exact_size(height)
        .show(ui, |ui| {
            let mut contents = |ui: &mut Ui| {
                bar(t.raised, 14, 6).show(ui, |ui| {
                    ui.spacing_mut().item_spacing.y = 2.0;
                    sentence::sentence_ui(ui, view, actions);
                    answer::answer_ui(ui, view, actions);
                })
            };
            let seen = if needed > most {
                let area = ScrollArea::vertical()
                    .id_salt("job")
                    .auto_shrink([false, false]);
                area.show(ui, contents).inner
            } else {
                contents(ui)
            };
            let now = seen.response.rect.height();
            if (now - needed).abs() > 0.5 {
                ui.data_mut(|d| d.insert_temp(id, now));
                ui.ctx()
                    .request_discard("sentence and answer take another height");
            }
        });
}

/// A bar across or beside the window.
fn bar(fill: Color32, x: i8, y: i8) -> Frame {
    Frame::new()
        .fill(fill)
        .inner_margin(Margin::symmetric(x, y))
}

/// The page that is open, over the right of the drawing.
fn drawer_ui(ui: &mut Ui, page: Page, rect: Rect, contents: impl FnOnce(&mut Ui)) {
    let t = tokens(ui);
    // Nothing below is hovered or dragged through it.
    let ground = ui.interact(rect, ui.scope_id().with("ground"), Sense::click_and_drag());
    ground.widget_info(|| WidgetInfo::labeled(Role::Pane, true, page.about().0));
    ui.painter().rect_filled(rect, 0, t.raised);
    ui.painter()
        .vline(rect.left() + 0.5, rect.y_range(), Stroke::new(1.0, t.edge));
    let inner = Rect::from_min_max(rect.min + vec2(14.0, 8.0), rect.max - vec2(6.0, 6.0));
    region(ui, "contents", inner, contents);
}

/// The enquiry in place of drawing and wires.
fn items_ui(ui: &mut Ui, rect: Rect, desk: &mut Desk, look: Look<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    desk.look();
    region(ui, "enquiry", rect, |ui| {
        bar(t.ground, 14, 8).show(ui, |ui| enquiry::enquiry_ui(ui, desk, look, actions));
    });
}

/// What is shown without any drawing: what to do, the drawings that were open last, and the samples.
fn empty_ui(ui: &mut Ui, reading: bool, recent: &[PathBuf], actions: &mut Vec<Action>) {
    let t = tokens(ui);
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.18).max(16.0));
        if reading {
            ui.label(say!("Reading…"));
            return;
        }
        ui.label(theme::strong(say!("Drop a DXF drawing here"), 20.0).color(t.text));
        ui.label(say!(
            "It is measured, and every wire is estimated, as soon as it is dropped."
        ));
        ui.add_space(6.0);
        if ui.button(Command::Open.text()).clicked() {
            actions.push(Action::Run(Command::Open));
        }
        let list = |ui: &mut Ui, title: &str| {
            ui.add_space(14.0);
            ui.label(theme::strong(title, theme::BODY));
        };
        if !recent.is_empty() {
            list(ui, say!("Open last"));
        }
        for path in recent {
            let name = crate::gui::open_files::name_of(path);
            let button = ui.add(Button::new(&name).frame(false));
            if button.on_hover_text(path.display().to_string()).clicked() {
                actions.push(Action::OpenPath(path.clone()));
            }
        }
        list(ui, say!("Sample drawings"));
        for (k, sample) in crate::samples::ALL.iter().enumerate() {
            if ui
                .add(Button::new(said(sample.title)).frame(false))
                .clicked()
            {
                actions.push(Action::OpenSample(k));
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beside_a_page_nine_hundred_points_of_a_usual_window_show_the_drawing() {
        for page in Page::ALL {
            assert!(1280.0 - page_width(page, 1280.0) >= 900.0, "{page:?}");
            assert!(page_width(page, 2560.0) <= WIDE_PAGE);
            assert!(page_width(page, 500.0) <= 0.6 * 500.0);
        }
    }
}
