//! The lanes of the time band, painted: contours and people, steps, times, and the moment.

use super::{LANES, step_words};
use crate::gui::scene::course::{Timing, is_stop};
use crate::gui::state::View;
use crate::gui::theme::{BODY, SMALL, Tokens, strong, strong_family};
use crate::gui::widgets::paint_share;
use crate::plan::timeline::Moment;
use crate::plan::{Share, Step, StepKind};
use crate::units::Minutes;
use crate::words::Style;
use egui::emath::{Pos2, Rect, pos2, vec2};
use egui::{Color32, FontId, Painter, RichText, Shape, Stroke, Ui};

/// The lanes of the band in their rectangle.
pub struct Band<'a> {
    /// Where.
    pub rect: Rect,
    /// What is shown.
    pub timing: &'a Timing,
    /// Colour of the wire.
    pub wire: Color32,
    /// How times are written.
    pub style: Style,
    /// Tokens of the theme.
    pub t: &'a Tokens,
}

impl Band<'_> {
    /// Rectangle of a lane, 0 on top.
    pub fn lane(&self, k: usize) -> Rect {
        let top = self.rect.top() + LANES[..k].iter().sum::<f32>();
        Rect::from_min_size(
            pos2(self.rect.left(), top),
            vec2(self.rect.width(), LANES[k]),
        )
    }
    /// Where a time lies.
    pub fn x(&self, minutes: Minutes) -> f32 {
        self.rect.left() + self.rect.width() * self.timing.share_of(minutes) as f32
    }
    /// Share of the whole time at a place.
    pub fn share_at(&self, x: f32) -> f64 {
        f64::from((x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 1.0)
    }

    /// Steps in the colours of the shares; lead-in and tab are lower, so that form tells them apart too.
    pub fn paint_steps(&self, painter: &Painter) {
        let lane = self.lane(1);
        painter.rect_filled(lane, 2, self.t.sunken);
        let mut painted = lane.left();
        for &k in &self.timing.seen.steps {
            let s = &self.timing.steps[k];
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
                pos2(painted, lane.bottom() - lane.height() * height),
                pos2(to - gap, lane.bottom()),
            );
            paint_share(painter, span, main_share(s), self.wire, self.t);
            painted = to;
        }
    }

    /// A bracket over each visit to a contour, with its number where there is room beside the people.
    pub fn paint_contours(&self, painter: &Painter) {
        let people = self.people();
        let is_free = |from: f32, to: f32| {
            let next = people.partition_point(|x| *x < from - PERSON);
            people.get(next).is_none_or(|x| *x > to + PERSON)
        };
        let lane = self.lane(0);
        let mut free_from = lane.left();
        for visit in &self.timing.seen.visits {
            let from = self.x(self.timing.timeline.start_of(visit.start));
            let to = self.x(self.timing.timeline.start_of(visit.end));
            let first = &self.timing.steps[visit.start];
            let name = match (first.contour, first.open) {
                (Some(c), _) => format!("{}", c + 1),
                (None, Some(o)) => say!("open {}", o + 1),
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
            let has_room = from + 1.0 >= free_from && to - from > width + 3.0;
            if has_room && is_free(from + 1.0, from + 1.0 + width) {
                let at = pos2(from + 1.0, y - galley.size().y);
                painter.galley(at, galley, self.t.text_soft);
                free_from = from + width + 6.0;
            }
        }
    }

    /// Where somebody stands, from left to right, as far as signs of them keep apart.
    fn people(&self) -> Vec<f32> {
        let mut out: Vec<f32> = Vec::new();
        for &k in &self.timing.seen.attended {
            let from = self.x(self.timing.timeline.start_of(k));
            let to = self.x(self.timing.timeline.start_of(k + 1));
            let x = 0.5 * (from + to);
            if out.last().is_none_or(|last| x - last >= 9.0) {
                out.push(x);
            }
        }
        out
    }

    /// Head and shoulders over every step with somebody there; the name stands on hover.
    pub fn paint_people(&self, painter: &Painter) {
        let foot = self.lane(0).bottom() - 1.0;
        for x in self.people() {
            person(painter, pos2(x, foot), self.t.text_soft, self.t.raised);
        }
    }

    /// What has gone and what is left while a moment is shown, under the head, within `room`.
    pub fn paint_moment(&self, painter: &Painter, room: Rect, moment: Option<&Moment>) {
        let Some(m) = moment else { return };
        let words = say!(
            "{} gone, {} left",
            self.style.step_time(m.elapsed),
            self.style.step_time(m.remaining)
        );
        let font = FontId::proportional(SMALL);
        let galley = painter.layout_no_wrap(words, font, self.t.text);
        let size = galley.size();
        let x = self.x(m.elapsed) - size.x / 2.0;
        let x = x.min(room.right() - size.x).max(room.left());
        let y = self.lane(2).center().y + 1.0 - size.y / 2.0;
        painter.galley(pos2(x, y), galley, self.t.text);
    }

    /// The moment: a line through all lanes with a grip on top.
    pub fn paint_head(&self, painter: &Painter, share: f64) {
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
    pub fn about_ui(&self, ui: &mut Ui, x: f32, view: &View<'_>) {
        let Some(m) = self.timing.moment(self.share_at(x)) else {
            return;
        };
        let Some(s) = self.timing.steps.get(m.step) else {
            return;
        };
        ui.label(strong(step_words(s, view), BODY));
        let from = self.timing.timeline.start_of(m.step);
        ui.label(say!(
            "{} from {}, step {} of {}",
            self.style.step_time(s.minutes),
            self.style.step_time(from),
            m.step + 1,
            self.timing.steps.len()
        ));
        if s.length.mm() > 0.0 {
            let wire = view.style.wire(s.wire);
            ui.label(say!(
                "{} of path, {wire} of wire",
                view.style.length(s.length)
            ));
        }
        if s.attended {
            ui.label(RichText::new(say!("operator present")).color(self.t.text));
        }
        // Stops too short to be hit are named where they are near.
        let near = self
            .timing
            .events()
            .iter()
            .filter(|e| e.step != m.step && (self.x(e.at) - x).abs() < 5.0);
        for e in near.take(3) {
            if let Some(s) = self.timing.steps.get(e.step).filter(|s| is_stop(s)) {
                ui.weak(say!(
                    "{} at {}",
                    step_words(s, view),
                    self.style.step_time(e.at)
                ));
            }
        }
    }
}

/// The share whose colour a step takes.
fn main_share(s: &Step) -> Share {
    let own = |share: &Share| *share != Share::Corners && s.share(*share) > Minutes::ZERO;
    Share::ALL.into_iter().find(own).unwrap_or(Share::Moves)
}

/// Half the width of the sign for somebody, points.
const PERSON: f32 = 4.0;

/// Head and shoulders, standing on `foot`.
pub fn person(painter: &Painter, foot: Pos2, colour: Color32, ground: Color32) {
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
