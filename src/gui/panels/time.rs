//! The time band under the drawing: every step in its place, and the moment that is shown.
//!
//! Three lanes one above the other: whose contour it is, what is done, and when. A person's mark stands over
//! every step at which somebody has to be there. Look-ups come from the course; nothing is computed here.

use crate::gui::commands::Command;
use crate::gui::course::{Timing, is_stop};
use crate::gui::format::{count, step_time, time};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, mix, strong, strong_family, tokens};
use crate::gui::widgets::{Axis, paint_share};
use crate::plan::timeline::Moment;
use crate::plan::{Share, Step, StepKind};
use crate::units::Minutes;
use egui::accesskit;
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::{
    Align, Button, Color32, EventFilter, FontId, Key, Label, Layout, Painter, Response, RichText,
    Role, Sense, Shape, Stroke, Ui, WidgetInfo,
};

/// Height of the whole band, points.
pub const HEIGHT: f32 = 84.0;
/// Heights of the lanes: contours and marks, steps, times.
const LANES: [f32; 3] = [14.0, 14.0, 15.0];
/// One press of an arrow key, as a share of the whole time.
const KEY_STEP: f64 = 0.005;

/// Buttons, what runs at the moment, and the band.
pub fn time_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let Some(timing) = file.timing() else {
        let text = match file.shown_estimate() {
            Some(e) if !e.is_possible() => {
                "This wire cannot do the job, so there is no time to show."
            }
            _ => "Laying out the time…",
        };
        ui.add_space(HEIGHT / 2.0 - 14.0);
        ui.vertical_centered(|ui| ui.label(RichText::new(text).color(t.text_faint)));
        return;
    };
    let moment = file.clock.share().and_then(|s| timing.moment(s));
    ui.spacing_mut().item_spacing.y = 2.0;
    head_ui(ui, view, timing, moment.as_ref(), actions);
    band_ui(ui, view, timing, moment.as_ref(), actions);
}

/// Whose step it is, in words.
pub fn place_words(step: &Step, view: &View<'_>) -> String {
    match (step.contour, step.open) {
        (Some(c), _) if c < view.file.profile.contours.len() => {
            let role = view.file.job.role(&view.file.profile, c);
            format!("{} {}", role.word(), c + 1)
        }
        (_, Some(o)) => format!("open curve {}", o + 1),
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

fn head_ui(
    ui: &mut Ui,
    view: &View<'_>,
    timing: &Timing,
    moment: Option<&Moment>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    ui.horizontal(|ui| {
        ui.set_min_height(24.0);
        play_button(ui, view.file.clock.is_playing(), actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let mut toggle = |ui: &mut Ui, command: Command, text: &str, on: bool| {
                let button = Button::new(RichText::new(text).size(SMALL + 0.5)).selected(on);
                let keys = command.shortcut().map(|k| ui.ctx().format_shortcut(&k));
                let hint = format!("{} ({})", command.tooltip(), keys.unwrap_or_default());
                let response = ui.add(button).on_hover_text(hint);
                if response.accessible_name(command.text()).clicked() {
                    actions.push(Action::Run(command));
                }
            };
            toggle(ui, Command::ShadeFeed, "feed", view.feed);
            if moment.is_some() {
                toggle(ui, Command::WholePath, "whole path", false);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let soft = |text: String| RichText::new(text).size(SMALL + 1.0).color(t.text_soft);
                let Some(m) = moment else {
                    let text = format!(
                        "{} in {}. Drag along the band, or let it run.",
                        count(timing.steps.len(), "step", "steps"),
                        time(timing.timeline.total())
                    );
                    ui.add(Label::new(soft(text)).truncate());
                    return;
                };
                let Some(step) = timing.steps.get(m.step) else {
                    return;
                };
                ui.label(strong(step_words(step, view), BODY).color(t.text));
                let mut rest = vec![format!("{} of wire", view.system.wire(m.wire))];
                if timing.pieces > 0 {
                    let pieces = count(timing.pieces, "piece", "pieces");
                    rest.push(format!("{} of {pieces} out", timing.out_at(m)));
                }
                if step.attended {
                    rest.push("somebody has to be there".to_owned());
                }
                ui.add(Label::new(soft(rest.join(" · "))).truncate());
            });
        });
    });
}

/// A triangle, or two bars while it runs.
fn play_button(ui: &mut Ui, playing: bool, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(28.0, 22.0), Sense::click());
    let name = if playing { "Pause" } else { "Play" };
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

/// The lanes of the band in their rectangle.
struct Band<'a> {
    rect: Rect,
    timing: &'a Timing,
    wire: Color32,
    t: &'a Tokens,
}

fn band_ui(
    ui: &mut Ui,
    view: &View<'_>,
    timing: &Timing,
    moment: Option<&Moment>,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let size = vec2(ui.available_width(), LANES.iter().sum());
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let share = view.file.clock.share();
    let words = moment
        .and_then(|m| Some((m, timing.steps.get(m.step)?)))
        .map_or("the whole path".to_owned(), |(m, s)| {
            format!("{}, {}", step_words(s, view), step_time(m.elapsed))
        });
    response.widget_info(|| {
        let percent = (share.unwrap_or(1.0) * 100.0).round();
        let mut info = WidgetInfo::slider(true, percent, "Time");
        info.current_text_value = Some(words.clone());
        info
    });
    let band = Band {
        rect,
        timing,
        wire: t.wire(view.file.shown),
        t,
    };
    let painter = ui.painter_at(rect.expand2(vec2(8.0, 2.0)));
    band.paint_steps(&painter);
    band.paint_contours(&painter);
    band.paint_people(&painter);
    band.paint_scale(&painter, moment);
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

impl Band<'_> {
    fn lane(&self, k: usize) -> Rect {
        let top = self.rect.top() + LANES[..k].iter().sum::<f32>();
        Rect::from_min_size(
            pos2(self.rect.left(), top),
            vec2(self.rect.width(), LANES[k]),
        )
    }
    fn x(&self, minutes: Minutes) -> f32 {
        self.rect.left() + self.rect.width() * self.timing.share_of(minutes) as f32
    }
    fn share_at(&self, x: f32) -> f64 {
        f64::from((x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 1.0)
    }

    /// Steps in the colours of the shares; lead-in and tab are lower, so that form tells them apart too.
    fn paint_steps(&self, painter: &Painter) {
        let lane = self.lane(1);
        painter.rect_filled(lane, 2, self.t.sunken);
        let mut painted = lane.left();
        for (k, s) in self.timing.steps.iter().enumerate() {
            let from = self.x(self.timing.timeline.start_of(k));
            let to = self.x(self.timing.timeline.start_of(k + 1));
            // Steps narrower than the screen shows are painted by the next one that can be seen.
            if to - painted < 0.5 {
                continue;
            }
            let gap = if to - from > 3.0 { 1.0 } else { 0.0 };
            let height = match s.kind {
                StepKind::LeadIn | StepKind::Tab | StepKind::Across => 0.6,
                StepKind::Move => 0.3,
                _ => 1.0,
            };
            let span = Rect::from_min_max(
                pos2(from.max(painted), lane.bottom() - lane.height() * height),
                pos2(to - gap, lane.bottom()),
            );
            paint_share(painter, span, main_share(s), self.wire, self.t);
            painted = to;
        }
    }

    /// A bracket over each visit to a contour, with its number where there is room.
    fn paint_contours(&self, painter: &Painter) {
        let lane = self.lane(0);
        let steps = &self.timing.steps;
        let mut k = 0;
        let mut free_from = lane.left();
        for visit in steps.chunk_by(|a, b| (a.contour, a.open) == (b.contour, b.open)) {
            let from = self.x(self.timing.timeline.start_of(k));
            k += visit.len();
            let to = self.x(self.timing.timeline.start_of(k));
            let name = match (visit[0].contour, visit[0].open) {
                (Some(c), _) => format!("{}", c + 1),
                (None, Some(o)) => format!("open {}", o + 1),
                (None, None) => continue,
            };
            if to - from < 3.0 {
                continue;
            }
            let stroke = Stroke::new(1.0, self.t.edge);
            let y = lane.bottom() - 2.0;
            painter.line_segment([pos2(from + 0.5, y), pos2(to - 1.5, y)], stroke);
            let font = FontId::new(SMALL - 1.0, strong_family());
            let galley = painter.layout_no_wrap(name, font, self.t.text_soft);
            let width = galley.size().x;
            if from + 1.0 >= free_from && to - from > width + 3.0 {
                let at = pos2(from + 1.0, y - galley.size().y);
                painter.galley(at, galley, self.t.text_soft);
                free_from = from + width + 6.0;
            }
        }
    }

    /// Head and shoulders over every step with somebody there; the name stands on hover.
    fn paint_people(&self, painter: &Painter) {
        let lane = self.lane(0);
        let mut last = f32::NEG_INFINITY;
        for (k, s) in self.timing.steps.iter().enumerate() {
            if !s.attended || s.kind == StepKind::Breaks {
                continue;
            }
            let from = self.x(self.timing.timeline.start_of(k));
            let to = self.x(self.timing.timeline.start_of(k + 1));
            let x = 0.5 * (from + to);
            if x - last < 9.0 {
                continue;
            }
            last = x;
            person(
                painter,
                pos2(x, lane.bottom() - 1.0),
                self.t.warn,
                self.t.ground,
            );
        }
    }

    /// Round times below, or what has gone and what is left while a moment is shown.
    fn paint_scale(&self, painter: &Painter, moment: Option<&Moment>) {
        let lane = self.lane(2);
        let font = FontId::proportional(SMALL);
        let text = |at: Pos2, align: Align2, words: &str, colour: Color32| {
            painter.text(at, align, words, font.clone(), colour)
        };
        let y = lane.center().y + 1.0;
        if let Some(m) = moment {
            let gone = format!("{} gone", step_time(m.elapsed));
            let left = format!("{} left", step_time(m.remaining));
            let start = pos2(lane.left(), y);
            let end = pos2(lane.right(), y);
            text(start, Align2::LEFT_CENTER, &gone, self.t.text);
            text(end, Align2::RIGHT_CENTER, &left, self.t.text);
            return;
        }
        let total = self.timing.timeline.total();
        let mut free_from = f32::NEG_INFINITY;
        for m in Axis::new(total).marks().filter(|m| *m <= total) {
            let x = self.x(m);
            let words = if m.min_value() == 0.0 {
                "0".to_owned()
            } else {
                time(m)
            };
            let galley = painter.layout_no_wrap(words, font.clone(), self.t.text_faint);
            let half = galley.size().x / 2.0;
            let left = (x - half).clamp(lane.left(), lane.right() - 2.0 * half);
            if left > free_from {
                let top = y - galley.size().y / 2.0;
                free_from = left + 2.0 * half + 8.0;
                painter.galley(pos2(left, top), galley, self.t.text_faint);
            }
        }
    }

    /// The moment: a line through all lanes with a grip on top.
    fn paint_head(&self, painter: &Painter, share: f64) {
        let x = self.rect.left() + self.rect.width() * share as f32;
        let (top, bottom) = (self.lane(0).top() + 2.0, self.lane(1).bottom() + 2.0);
        painter.line_segment(
            [pos2(x, top), pos2(x, bottom)],
            Stroke::new(4.0, self.t.ground),
        );
        painter.line_segment(
            [pos2(x, top), pos2(x, bottom)],
            Stroke::new(2.0, self.t.text),
        );
        painter.circle(
            pos2(x, top + 1.0),
            4.5,
            self.t.text,
            Stroke::new(1.5, self.t.ground),
        );
    }

    /// The step under the pointer, and when.
    fn about_ui(&self, ui: &mut Ui, x: f32, view: &View<'_>) {
        let Some(m) = self.timing.moment(self.share_at(x)) else {
            return;
        };
        let Some(s) = self.timing.steps.get(m.step) else {
            return;
        };
        ui.label(strong(step_words(s, view), BODY));
        let from = self.timing.timeline.start_of(m.step);
        ui.label(format!(
            "{} from {}, step {} of {}",
            step_time(s.minutes),
            step_time(from),
            m.step + 1,
            self.timing.steps.len()
        ));
        if s.length.mm() > 0.0 {
            let wire = view.system.wire(s.wire);
            ui.label(format!(
                "{} of path, {wire} of wire",
                view.system.length(s.length)
            ));
        }
        if s.attended {
            ui.label(RichText::new("somebody has to be there").color(self.t.warn));
        }
        // Stops too short to be hit are named where they are near.
        let near = self
            .timing
            .events()
            .iter()
            .filter(|e| e.step != m.step && (self.x(e.at) - x).abs() < 5.0);
        for e in near.take(3) {
            if let Some(s) = self.timing.steps.get(e.step).filter(|s| is_stop(s)) {
                ui.weak(format!("{} at {}", step_words(s, view), step_time(e.at)));
            }
        }
    }
}

/// The share whose colour a step takes.
fn main_share(s: &Step) -> Share {
    let own = |share: &Share| *share != Share::Corners && s.share(*share) > Minutes::ZERO;
    Share::ALL.into_iter().find(own).unwrap_or(Share::Moves)
}

fn person(painter: &Painter, foot: Pos2, colour: Color32, ground: Color32) {
    let head = foot - vec2(0.0, 8.0);
    let shoulders = [
        foot + vec2(-3.5, 0.0),
        foot + vec2(-2.5, -4.0),
        foot + vec2(2.5, -4.0),
        foot + vec2(3.5, 0.0),
    ];
    painter.circle_filled(head, 3.4, ground);
    painter.add(Shape::convex_polygon(
        shoulders.to_vec(),
        colour,
        Stroke::new(1.0, ground),
    ));
    painter.circle_filled(head, 2.4, colour);
}
