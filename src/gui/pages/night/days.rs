//! One line a day: when somebody is there, and what the machine does.

use super::moment_words;
use crate::estimate::{ByTheClock, Doing, Stint};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{SMALL, Tokens, mix, tokens};
use crate::gui::widgets::AxisLabels;
use crate::job::hours::{DAY, DAYS};
use crate::language::said;
use crate::units::Minutes;
use crate::words::clock as clock_words;
use crate::words::style::time;
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{Color32, FontId, Painter, Role, Sense, Stroke, Ui, WidgetInfo};

/// Height of a day, points.
const ROW: f32 = 21.0;
/// Room for the day's name.
const NAME: f32 = 38.0;
/// Height of the hours above.
const HEAD: f32 = 16.0;
/// Days that are drawn; a longer job is told in words.
const MOST_DAYS: usize = 14;

/// The days from the begin to the end.
pub(super) fn days_ui(ui: &mut Ui, view: &View<'_>, clock: &ByTheClock, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let first = (clock.begun / DAY).floor();
    let last = ((clock.done - 1e-6).max(clock.begun) / DAY).floor();
    let days = ((last - first) as usize + 1).min(MOST_DAYS);
    let size = vec2(ui.available_width() - 8.0, HEAD + ROW * days as f32);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let name = say!(
        "days of the job, {days} of them, {} {}",
        clock_words::done(clock).to_lowercase(),
        moment_words(clock.done, clock.begun)
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let painter = ui.painter_at(rect.expand(1.0));
    let track = |k: usize| {
        let top = rect.top() + HEAD + ROW * k as f32;
        Rect::from_min_max(
            pos2(rect.left() + NAME, top + 2.0),
            pos2(rect.right(), top + ROW - 2.0),
        )
    };
    let lane = track(0).x_range();
    let mut labels = AxisLabels::within(&painter, lane, t);
    for hour in (0..=24).step_by(6) {
        let x = egui::lerp(lane, hour as f32 / 24.0);
        labels.at_x(x, rect.top() + 7.0, format!("{hour}:00"));
    }
    let under = response.hover_pos();
    let mut told: Option<String> = None;
    for k in 0..days {
        let day = first + k as f64;
        let track = track(k);
        let weekday = day.rem_euclid(7.0) as usize % 7;
        painter.text(
            pos2(rect.left(), track.center().y),
            Align2::LEFT_CENTER,
            said(DAYS[weekday]),
            FontId::proportional(SMALL + 0.5),
            t.text_soft,
        );
        painter.rect_filled(track, 2, t.sunken);
        let part = |from: f64, to: f64| {
            let x = |m: f64| {
                track.left() + track.width() * (((m - day * DAY) / DAY).clamp(0.0, 1.0) as f32)
            };
            Rect::from_min_max(pos2(x(from), track.top()), pos2(x(to), track.bottom()))
        };
        let mut moment = day * DAY;
        // A day has at most yesterday's shift and its own.
        for _ in 0..3 {
            let Some((from, to)) = view.file.job.shop.staffed.shift_at(moment) else {
                break;
            };
            if from >= (day + 1.0) * DAY {
                break;
            }
            painter.rect_filled(part(from, to), 2, mix(t.raised, t.text, 0.14));
            moment = to;
        }
        let todays = clock
            .stints
            .iter()
            .filter(|s| s.to > day * DAY && s.from < (day + 1.0) * DAY);
        for s in todays {
            let bar = part(s.from, s.to).shrink2(vec2(0.0, 3.5));
            stint(&painter, bar, s.doing, t.wire(view.file.shown), t);
            if under.is_some_and(|p| bar.expand2(vec2(0.0, 4.0)).contains(p)) {
                told = Some(words(s, clock.begun));
            }
        }
    }
    if let Some(text) = told {
        response.on_hover_text(text);
    }
    legend(ui, t.wire(view.file.shown), t);
    let picture = rect.union(Rect::from_min_max(
        rect.min,
        pos2(rect.right(), ui.min_rect().bottom()),
    ));
    picture_ui(ui, say!("days of the job"), picture, actions, || {
        let head = [
            say!("what the machine does"),
            say!("from" in "a time"),
            say!("to"),
            say!("minutes"),
        ];
        let row = |s: &Stint| {
            vec![
                doing(s.doing).to_owned(),
                moment_words(s.from, clock.begun),
                moment_words(s.to, clock.begun),
                cell(s.to - s.from),
            ]
        };
        let head = head.map(str::to_owned).to_vec();
        table(std::iter::once(head).chain(clock.stints.iter().map(row)))
    });
}

fn doing(doing: Doing) -> &'static str {
    match doing {
        Doing::Runs => say!("runs"),
        Doing::Attended => say!("operator at work on it"),
        Doing::Waits => say!("idle, waits for the operator"),
        Doing::OutOfWire => say!("idle, the spool has run out"),
    }
}

fn words(s: &Stint, begun: f64) -> String {
    let what = doing(s.doing);
    say!(
        "{what} for {}, {} to {}",
        time(Minutes::from_min(s.to - s.from)),
        moment_words(s.from, begun),
        moment_words(s.to, begun)
    )
}

/// Runs: the wire's colour. Waits: an empty frame. Attended: a person's light bar.
fn stint(painter: &Painter, bar: Rect, doing: Doing, wire: Color32, t: &Tokens) {
    // Four minutes of a day are less than a pixel.
    let bar = Rect::from_min_size(bar.min, vec2(bar.width().max(1.5), bar.height()));
    match doing {
        Doing::Runs => {
            painter.rect_filled(bar, 0, wire);
        }
        Doing::Attended => {
            painter.rect_filled(bar.expand2(vec2(0.5, 3.0)), 0, t.text);
        }
        Doing::Waits | Doing::OutOfWire => {
            let inner = painter.with_clip_rect(bar.intersect(painter.clip_rect()));
            let mut x = bar.left() - bar.height();
            while x < bar.right() {
                let line = [pos2(x, bar.bottom()), pos2(x + bar.height(), bar.top())];
                inner.line_segment(line, Stroke::new(1.2, t.warn));
                x += 5.0;
            }
        }
    }
}

fn legend(ui: &mut Ui, wire: Color32, t: &Tokens) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let entry = |ui: &mut Ui, doing: Option<Doing>, text: &str| {
            let font = egui::FontId::proportional(SMALL);
            let painter = ui.painter();
            let words = painter.layout_no_wrap(text.to_owned(), font, t.text_soft);
            // Sign and words stay in one line.
            if ui.available_size_before_wrap().x < 16.0 + 5.0 + words.size().x {
                ui.end_row();
            }
            let (rect, _) = ui.allocate_exact_size(vec2(16.0, 10.0), Sense::hover());
            match doing {
                Some(Doing::Attended) => {
                    let line = Rect::from_center_size(rect.center(), vec2(1.5, 4.0));
                    stint(ui.painter(), line, Doing::Attended, wire, t);
                }
                Some(d) => stint(ui.painter(), rect, d, wire, t),
                None => {
                    ui.painter()
                        .rect_filled(rect, 2, mix(t.raised, t.text, 0.14));
                }
            }
            ui.label(egui::RichText::new(text).size(SMALL).color(t.text_soft));
            ui.add_space(6.0);
        };
        entry(ui, Some(Doing::Runs), say!("runs"));
        entry(ui, Some(Doing::Waits), say!("idle, waits"));
        entry(ui, Some(Doing::Attended), say!("a piece is taken out"));
        entry(ui, None, say!("operator present"));
    });
}
