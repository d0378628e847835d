//! What stands on the canvas beside the drawing: numbers, scale bar and coordinates.

use super::rings::RING;
use crate::geometry::Point;
use crate::gui::open_file::Target;
use crate::gui::scene::{Model, Placement, round_length};
use crate::gui::state::View;
use crate::gui::theme::{SMALL, Tokens, strong_family};
use crate::units::{Length, Minutes};
use crate::words::{Style, System};
use egui::emath::{Align2, Pos2, Rect, pos2, vec2};
use egui::text::{LayoutJob, TextWrapping};
use egui::{FontId, Stroke};
use std::collections::HashMap;

/// A contour smaller than this on the screen shows nothing but its line, points.
const NUMBERED: f32 = 40.0;
/// From this size on it shows its start hole and lead-in too, points.
const IN_DETAIL: f32 = 120.0;
/// A drawing of at most so many contours is never crowded.
const FEW: usize = 12;
/// Side of the squares by which numbers are looked up that may be near, points: wider than any number.
const APART: f32 = 24.0;
/// Room that a digit of a number takes, points.
const DIGIT: egui::Vec2 = vec2(7.5, 13.0);

/// From which size on a contour shows its start hole and lead-in, mm.
pub fn detailed_from(model: &Model, scale: f32) -> f32 {
    let few = model.contours.len() <= FEW;
    let least = if few { NUMBERED } else { IN_DETAIL };
    least / scale
}

/// Numbers of the contours, as in the list, where they lie neither on each other nor on other words or rings.
pub fn labels(
    painter: &egui::Painter,
    (placement, rect): (Placement, Rect),
    (words, rings): (&[Rect], &[Pos2]),
    view: &View<'_>,
    t: &Tokens,
) {
    let model = &view.file.model;
    let mut taken: HashMap<(i32, i32), Rect> = HashMap::new();
    let selected = view.file.selected;
    let is_selected = |i: usize| selected == Some(Target::Contour(i));
    // What stands above a contour is seen where the contour itself is not.
    let around = placement.rect_to_drawing(rect, rect.expand(3.0 * RING));
    let order = model.large(around, NUMBERED / placement.scale);
    // The selected one first, so that its number is never the one left out.
    let first = match selected {
        Some(Target::Contour(i)) => Some(i),
        _ => None,
    };
    let others = order.into_iter().filter(|i| !is_selected(*i));
    for i in first.into_iter().chain(others) {
        let Some(line) = model.contours.get(i) else {
            continue;
        };
        let mut at = placement.to_screen(rect, line.top) + vec2(0.0, -9.0);
        // What the wire cannot do is ringed; a number within the ring could not be read.
        let ringed = rings.iter().find(|ring| ring.distance(at) < RING + 6.0);
        if let Some(ring) = ringed {
            at.y = ring.y - RING - 9.0;
        }
        // Above the contour, or where something stands there below its upper edge.
        let wide = DIGIT.x * ((i + 1).ilog10() + 1) as f32;
        let cell = |p: Pos2| ((p.x / APART) as i32, (p.y / APART) as i32);
        let is_free = |p: &Pos2| {
            let place = Rect::from_center_size(*p, vec2(wide, DIGIT.y));
            let (x, y) = cell(*p);
            let near = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
            let mut near = near.filter_map(|cell| taken.get(&cell));
            rect.contains(*p)
                && !near.any(|other| other.intersects(place))
                && !words.iter().any(|w| w.intersects(place))
        };
        // In a slender contour it would lie across its lines, in a ring it could not be read.
        let below = at + vec2(0.0, 9.0 + DIGIT.y);
        let is_roomy = (line.bounds.size() * placement.scale).min_elem() >= NUMBERED;
        let is_ringed = || rings.iter().any(|ring| ring.distance(below) < RING + 6.0);
        let below = Some(below).filter(|_| is_roomy && ringed.is_none() && !is_ringed());
        let Some(at) = [Some(at), below].into_iter().flatten().find(is_free) else {
            continue;
        };
        let place = Rect::from_center_size(at, vec2(wide + 4.0, DIGIT.y));
        taken.insert(cell(at), place);
        let colour = if is_selected(i) { t.text } else { t.text_soft };
        let font = FontId::new(SMALL, strong_family());
        painter.text(at, Align2::CENTER_CENTER, i + 1, font, colour);
    }
}

/// A round length in the unit shown; where it ends.
pub fn scale_bar(
    painter: &egui::Painter,
    placement: Placement,
    rect: Rect,
    style: Style,
    t: &Tokens,
) -> f32 {
    // In the unit shown, so that the bar is round in it.
    let unit_mm = match style.system {
        System::Metric => 1.0,
        System::Inch => crate::units::MM_PER_INCH,
    };
    let a_unit = f64::from(placement.scale) * unit_mm;
    let length = round_length(110.0 / a_unit);
    let width = (length * a_unit) as f32;
    let left = rect.left_bottom() + vec2(12.0, -9.0);
    let right = left + vec2(width, 0.0);
    let stroke = Stroke::new(1.5, t.text_soft);
    painter.line_segment([left, right], stroke);
    for end in [left, right] {
        painter.line_segment([end - vec2(0.0, 4.0), end + vec2(0.0, 1.0)], stroke);
    }
    let words = painter.text(
        right + vec2(6.0, 2.0),
        Align2::LEFT_CENTER,
        style.typed_length(Length::from_mm(length * unit_mm)),
        FontId::proportional(SMALL),
        t.text_soft,
    );
    words.right()
}

/// Name and measures of a contour or an open curve, in one line.
pub fn facts(view: &View<'_>, target: Target) -> String {
    let (file, style) = (view.file, view.style);
    match target {
        Target::Contour(i) => {
            let Some(contour) = file.profile.contours().get(i) else {
                return String::new();
            };
            let role = file.job.role(&file.profile, i).word();
            let mut facts = vec![format!("{role} {}", i + 1)];
            if !file.job.cuts(contour) {
                facts.push(say!("left out").to_owned());
            }
            facts.push(style.length(contour.drawn_length));
            facts.push(style.area(contour.drawn_area));
            let measures = file
                .answer
                .as_ref()
                .and_then(|a| a.measures.contours.get(i));
            if let Some(m) = measures {
                facts.extend(m.tightest_inside_radius.map(|r| {
                    if r.mm() > 0.0 {
                        format!("r {}", style.fine(r))
                    } else {
                        say!("sharp inside").to_owned()
                    }
                }));
                if m.corners > 0 {
                    facts.push(style.count(m.corners, say!("corner"), say!("corners")));
                }
            }
            let taken = file.answer.as_ref().and_then(|a| a.taken.get(file.shown));
            if let Some(minutes) = taken.and_then(|t| t.get(i)).filter(|m| **m > Minutes::ZERO) {
                facts.push(style.time(*minutes));
            }
            if !contour.layer.is_empty() {
                facts.push(say!("layer {}", contour.layer));
            }
            facts.join(" · ")
        }
        Target::Open(i) => file
            .profile
            .open()
            .get(i)
            .map_or_else(String::new, |chain| {
                say!(
                    "open curve {} · {} · closes no contour",
                    i + 1,
                    style.length(chain.drawn_length)
                )
            }),
    }
}

/// One line at the bottom: what the pointer is on, and where it is in the drawing's own coordinates.
pub fn status(
    painter: &egui::Painter,
    rect: Rect,
    view: &View<'_>,
    facts: Option<String>,
    cursor: Option<Pos2>,
    t: &Tokens,
) {
    let file = view.file;
    let line = Rect::from_min_max(pos2(rect.left(), rect.bottom() - 20.0), rect.max);
    let mut right = line.right() - 12.0;
    if let Some(p) = cursor {
        let near = Point::new(f64::from(p.x), f64::from(p.y)) + file.model.centre;
        let [x, y] = (near + file.profile.origin()).xy();
        let decimals = match view.style.system {
            System::Metric => 2,
            System::Inch => 4,
        };
        let value = |v| {
            let length = view.style.system.length_value(Length::from_mm(v));
            view.style.number(length, decimals)
        };
        let words = format!("x {}  y {}", value(x), value(y));
        let font = FontId::proportional(SMALL);
        let galley = painter.layout_no_wrap(words, font, t.text_faint);
        right -= galley.size().x;
        let at = pos2(right, line.center().y - galley.size().y / 2.0);
        painter.rect_filled(
            Rect::from_min_size(at, galley.size()).expand(2.0),
            2,
            t.canvas.gamma_multiply(0.85),
        );
        painter.galley(at, galley, t.text_faint);
        right -= 18.0;
    }
    if let Some(facts) = facts {
        let font = FontId::proportional(SMALL + 0.5);
        let mut job = LayoutJob::simple_singleline(facts, font, t.text);
        job.wrap = TextWrapping::truncate_at_width((right - line.left()).max(0.0));
        let galley = painter.layout_job(job);
        let at = pos2(
            right - galley.size().x,
            line.center().y - galley.size().y / 2.0,
        );
        painter.rect_filled(
            Rect::from_min_size(at, galley.size()).expand(3.0),
            2,
            t.canvas.gamma_multiply(0.85),
        );
        painter.galley(at, galley, t.text);
    }
}
