//! The chosen wire's row unfolded: every step in its place under the bar of the row, and the moment that is shown.
//!
//! Three lanes one above the other: whose contour it is, what is done, and when. A person's mark stands over
//! every step at which somebody has to be there. Look-ups come from the course; nothing is computed here.

mod band;

pub use band::person;

use crate::gui::commands::Command;
use crate::gui::scene::course::Timing;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, mix, strong, tokens};
use crate::gui::widgets::{Axis, within};
use crate::plan::Step;
use crate::plan::timeline::Moment;
use band::Band;
use egui::accesskit;
use egui::emath::{Rect, vec2};
use egui::{
    Align, Button, EventFilter, Key, Label, Layout, Response, RichText, Role, Sense, Shape, Stroke,
    Ui, UiBuilder, WidgetInfo,
};

/// Height of the unfolded part of the row, points.
pub const HEIGHT: f32 = 46.0;
/// Heights of the lanes: contours and marks, steps, times.
const LANES: [f32; 3] = [14.0, 14.0, 14.0];
/// One press of an arrow key, as a share of the whole time.
const KEY_STEP: f64 = 0.005;

/// Whose step it is, in words.
pub fn place_words(step: &Step, view: &View<'_>) -> String {
    match (step.contour, step.open) {
        (Some(c), _) if c < view.file.profile.contours().len() => {
            let role = view.file.job.role(&view.file.profile, c);
            format!("{} {}", role.word(), c + 1)
        }
        (_, Some(o)) => say!("open curve {}", o + 1),
        _ => String::new(),
    }
}

/// What runs, on which contour: "skim 2, opening 3".
fn step_words(step: &Step, view: &View<'_>) -> String {
    let place = place_words(step, view);
    if place.is_empty() {
        step.words()
    } else {
        format!("{}, {place}", step.words())
    }
}

/// Play, and what runs at the moment; without times, why there are none.
pub fn head_ui(ui: &mut Ui, rect: Rect, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let place = UiBuilder::new()
        .max_rect(rect)
        .id_salt("what runs")
        .layout(Layout::left_to_right(Align::Center));
    within(ui, place, |ui| {
        let soft = |text: String| RichText::new(text).size(SMALL + 0.5).color(t.text_soft);
        let Some(timing) = file.timing() else {
            let text = match file.shown_estimate() {
                // Why it cannot do the job stands in its row.
                Some(e) if !e.is_possible() => return,
                _ => say!("Laying out the time…"),
            };
            ui.add(Label::new(soft(text.to_owned())).truncate());
            return;
        };
        play_button(ui, file.clock.is_playing(), actions);
        let moment = file.clock.share().and_then(|s| timing.moment(s));
        let Some(m) = moment else {
            let steps = view
                .style
                .count(timing.steps.len(), say!("step"), say!("steps"));
            ui.add(Label::new(soft(steps)).truncate())
                .on_hover_text(say!("Drag along the steps, or let them run."));
            return;
        };
        let Some(step) = timing.steps.get(m.step) else {
            return;
        };
        let words = strong(step_words(step, view), BODY).color(t.text);
        ui.add(Label::new(words).truncate());
        let mut rest = Vec::new();
        if step.attended {
            rest.push(say!("operator present").to_owned());
        }
        if !timing.stops.is_empty() {
            let pieces = view
                .style
                .count(timing.stops.len(), say!("piece"), say!("pieces"));
            rest.push(say!("{} of {pieces} out", timing.out_at(&m)));
        }
        rest.push(say!("{} of wire", view.style.wire(m.wire)));
        ui.add(Label::new(soft(rest.join(" · "))).truncate());
    });
}

/// What else the drawing shows of the time, from the right.
pub fn toggles_ui(ui: &mut Ui, rect: Rect, view: &View<'_>, actions: &mut Vec<Action>) {
    if view.file.timing().is_none() {
        return;
    }
    let place = UiBuilder::new()
        .max_rect(rect)
        .id_salt("toggles of the time")
        .layout(Layout::right_to_left(Align::Center));
    within(ui, place, |ui| {
        ui.spacing_mut().button_padding.y = 0.0;
        ui.spacing_mut().interact_size.y = 18.0;
        let mut toggle = |ui: &mut Ui, command: Command, text: &str, on: bool| {
            let button = Button::new(RichText::new(text).size(SMALL)).selected(on);
            let keys = command.keys();
            let hint = format!("{} ({})", command.tooltip(), keys.unwrap_or_default());
            let response = ui.add(button).on_hover_text(hint);
            if response.accessible_name(command.text()).clicked() {
                actions.push(Action::Run(command));
            }
        };
        toggle(ui, Command::ShadeFeed, say!("feed"), view.feed);
        if view.file.clock.share().is_some() {
            toggle(ui, Command::WholePath, say!("whole path"), false);
        }
    });
}

/// A triangle, or two bars while it runs.
fn play_button(ui: &mut Ui, playing: bool, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(26.0, 19.0), Sense::click());
    let name = if playing { say!("Pause") } else { say!("Play") };
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let fill = if response.hovered() || response.has_focus() {
        mix(t.accent_fill, t.accent, 0.2)
    } else {
        t.accent_fill
    };
    let painter = ui.painter();
    painter.rect_filled(rect, 4, fill);
    let c = rect.center();
    if playing {
        for x in [-3.5, 3.5] {
            let bar = Rect::from_center_size(c + vec2(x, 0.0), vec2(3.0, 11.0));
            painter.rect_filled(bar, 1, t.accent);
        }
    } else {
        let tip = [vec2(-4.0, -6.0), vec2(6.5, 0.0), vec2(-4.0, 6.0)];
        let points = tip.into_iter().map(|d| c + d).collect();
        painter.add(Shape::convex_polygon(points, t.accent, Stroke::NONE));
    }
    if response.on_hover_text(Command::Play.tooltip()).clicked() {
        actions.push(Action::Play(!playing));
    }
}

/// The steps in their order, under the bar and on its scale.
pub fn band_ui(ui: &mut Ui, lanes: Rect, axis: Axis, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let Some(timing) = view.file.timing() else {
        return;
    };
    let moment = view.file.clock.share().and_then(|s| timing.moment(s));
    let moment = moment.as_ref();
    let width = lanes.width() * axis.at(timing.timeline.total());
    let rect = Rect::from_min_size(lanes.min, vec2(width, LANES.iter().sum()));
    axis.grid(ui.painter(), lanes, t);
    let response = ui.interact(
        rect,
        ui.scope_id().with("time band"),
        Sense::click_and_drag(),
    );
    let share = view.file.clock.share();
    let words = moment
        .and_then(|m| Some((m, timing.steps.get(m.step)?)))
        .map_or(say!("the whole path").to_owned(), |(m, s)| {
            format!(
                "{}, {}",
                step_words(s, view),
                view.style.step_time(m.elapsed)
            )
        });
    response.widget_info(|| {
        let percent = (share.unwrap_or(1.0) * 100.0).round();
        let mut info = WidgetInfo::slider(true, percent, say!("Time"));
        info.current_text_value = Some(words.clone());
        info
    });
    let band = Band {
        rect,
        timing,
        wire: t.wire(view.file.shown),
        style: view.style,
        t,
    };
    let painter = ui.painter_at(rect.expand2(vec2(8.0, 2.0)));
    band.paint_steps(&painter);
    band.paint_contours(&painter);
    band.paint_people(&painter);
    band.paint_moment(ui.painter(), lanes, moment);
    if response.has_focus() {
        let lane = band.lane(1).expand(1.5);
        let ring = Stroke::new(1.0, t.accent);
        painter.rect_stroke(lane, 2, ring, egui::StrokeKind::Outside);
    }
    if let Some(share) = share {
        band.paint_head(&painter, share);
    }
    if let Some(p) = response.interact_pointer_pos().filter(|_| {
        let held = response.dragged() || response.is_pointer_button_down_on();
        held || response.clicked() || response.drag_stopped()
    }) {
        response.request_focus();
        let asked = Some(band.share_at(p.x));
        // A pointer that is held still asks for nothing new.
        if asked != share {
            actions.push(Action::Seek(asked));
        }
    }
    if response.has_focus() {
        keys(ui, &response, view, timing, moment, actions);
    }
    if let Some(p) = response.hover_pos().filter(|_| !response.dragged()) {
        response.on_hover_ui_at_pointer(|ui| band.about_ui(ui, p.x, view));
    }
}

/// Space, arrows, Home, End, Escape, and what a screen reader asks for.
fn keys(
    ui: &Ui,
    response: &Response,
    view: &View<'_>,
    timing: &Timing,
    moment: Option<&Moment>,
    actions: &mut Vec<Action>,
) {
    let filter = EventFilter {
        horizontal_arrows: true,
        escape: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let clock = &view.file.clock;
    let share = clock.share().unwrap_or(1.0);
    let step_share = |k: usize| timing.share_of(timing.timeline.start_of(k));
    let current = moment.map_or(timing.steps.len(), |m| m.step);
    ui.input(|i| {
        if i.key_pressed(Key::Space) {
            actions.push(Action::Play(!clock.is_playing()));
        }
        let asked = |action| i.num_accesskit_action_requests(response.id, action) as f64;
        let by_reader = asked(accesskit::Action::Increment) - asked(accesskit::Action::Decrement);
        if by_reader != 0.0 {
            actions.push(Action::Seek(Some(share + 4.0 * KEY_STEP * by_reader)));
        }
        let whole_steps = i.modifiers.shift || i.modifiers.command;
        for (key, way) in [(Key::ArrowLeft, -1.0), (Key::ArrowRight, 1.0)] {
            if !i.key_pressed(key) {
                continue;
            }
            let to = match (whole_steps, way > 0.0) {
                (false, _) => share + way * KEY_STEP,
                (true, true) => step_share(current + 1) + 1e-9,
                // Back to where this step began, or from there to the one before.
                (true, false) if share - step_share(current) > 1e-6 => step_share(current) + 1e-9,
                (true, false) => step_share(current.saturating_sub(1)) + 1e-9,
            };
            actions.push(Action::Seek(Some(to)));
        }
        if i.key_pressed(Key::Home) {
            actions.push(Action::Seek(Some(0.0)));
        }
        if i.key_pressed(Key::End) {
            actions.push(Action::Seek(Some(1.0)));
        }
        if i.key_pressed(Key::Escape) {
            actions.push(Action::Seek(None));
        }
    });
}
