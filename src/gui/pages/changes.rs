//! The contours and open curves in which two drawings differ, each with what it costs; a click shows it on the drawing.

use crate::estimate::{ChangePrice, PricedRevision};
use crate::gui::canvas::sign;
use crate::gui::open_file::Target;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, strong_family, tokens};
use crate::language::said;
use crate::profile::{Revised, RevisedKind, Revision};
use crate::words::variants::{ELSEWHERE, more_money, more_time, revised, several};
use egui::emath::{Align2, pos2, vec2};
use egui::text::{LayoutJob, TextWrapping};
use egui::{Color32, CursorIcon, FontId, Response, RichText, Role, Sense, Ui, WidgetInfo};

/// Most changes that are listed.
const MOST: usize = 200;
/// So many changes of one kind that cost the same stand in one line.
const GROUPED: usize = 3;
/// Width of the columns for time and money, points.
const TIME: f32 = 76.0;
const MONEY: f32 = 64.0;

/// The list. `front_is_after` says which of both drawings is in front: there the contours can be chosen.
pub fn changes_ui(
    ui: &mut Ui,
    view: &View<'_>,
    revision: &Revision,
    prices: Option<&PricedRevision>,
    front_is_after: bool,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    if revision.is_same() {
        return;
    }
    ui.label(strong(say!("What differs"), BODY).color(t.text));
    let mut rows: Vec<(usize, &Revised)> = revision.differing().collect();
    let cost = |k: usize| prices.map_or(0.0, |p| p.each[k].cost.amount().abs());
    rows.sort_by(|a, b| cost(b.0).total_cmp(&cost(a.0)));
    let texts = |k: usize| prices.map(|p| words_of(view, p.each[k]));
    let is_like = |a: &(usize, &Revised), b: &(usize, &Revised)| {
        let kind = |c: &Revised| (c.open, c.kind.word());
        kind(a.1) == kind(b.1) && is_near(prices, a.0, b.0)
    };
    let mut listed = 0;
    for group in rows.chunk_by(is_like) {
        if group.len() < GROUPED {
            listed += list_ui(ui, view, group, prices, front_is_after, actions);
            continue;
        }
        // Equal openings stand together, as they do in the list of contours.
        let sum = prices.map(|p| {
            let each = group.iter().map(|(k, _)| p.each[*k]);
            each.reduce(|a, b| a + b).unwrap_or(p.elsewhere)
        });
        let (first, c) = group[0];
        let id = ui.scope_id().with(("unfolded", first));
        let open: bool = ui.data(|d| d.get_temp(id)).unwrap_or(false);
        let mark = if open { "▾" } else { "▸" };
        let each = texts(first).map_or(String::new(), |(time, _)| say!(", {time} each"));
        let several = several(group.len(), c);
        let words = format!("{mark} {several}");
        let response = row(ui, view, Some(c.kind), &words, sum);
        let response = response.on_hover_cursor(CursorIcon::PointingHand);
        let told = if c.open {
            format!("{several}{each}")
        } else {
            say!("{} contours {}{each}", group.len(), c.kind.word())
        };
        if response.on_hover_text(told).clicked() {
            ui.data_mut(|d| d.insert_temp(id, !open));
        }
        if open {
            listed += list_ui(ui, view, group, prices, front_is_after, actions);
        }
        if listed > MOST {
            break;
        }
    }
    if let Some(p) = prices {
        row(ui, view, None, said(ELSEWHERE), Some(p.elsewhere));
        row(ui, view, None, say!("in all"), Some(p.whole));
    }
}

/// Time and money in words.
fn words_of(view: &View<'_>, w: ChangePrice) -> (String, String) {
    (
        more_time(view.style, w.minutes),
        more_money(view.style, w.cost),
    )
}

/// Whether two changes cost about the same.
fn is_near(prices: Option<&PricedRevision>, a: usize, b: usize) -> bool {
    /// What the way to a contour makes of it.
    const NEAR: f64 = 0.02;
    /// Less than what is shown, minutes.
    const UNSEEN: f64 = 0.05;
    let Some(p) = prices else { return false };
    let (a, b) = (p.each[a].minutes.min_value(), p.each[b].minutes.min_value());
    (a - b).abs() <= NEAR * a.abs().max(b.abs()) + UNSEEN
}

/// Changes line by line; how many were listed.
fn list_ui(
    ui: &mut Ui,
    view: &View<'_>,
    rows: &[(usize, &Revised)],
    prices: Option<&PricedRevision>,
    front_is_after: bool,
    actions: &mut Vec<Action>,
) -> usize {
    for (k, c) in rows.iter().take(MOST) {
        let words = revised(c, view.style.system);
        let worth = prices.map(|p| p.each[*k]);
        let response = row(ui, view, Some(c.kind), &words, worth).on_hover_text(&words);
        if response.on_hover_cursor(CursorIcon::PointingHand).clicked() {
            let here = if front_is_after { c.after } else { c.before };
            let line = if c.old_line.is_empty() {
                &c.new_line
            } else {
                &c.old_line
            };
            if let Some(k) = here {
                let target = if c.open {
                    Target::Open(k)
                } else {
                    Target::Contour(k)
                };
                actions.push(Action::Select(Some(target)));
                actions.push(Action::Frame(target));
            } else if let Some(s) = line.first() {
                actions.push(Action::Centre(s.a));
            }
        }
    }
    let rest = rows.len().saturating_sub(MOST);
    if rest > 0 {
        let text = say!("and {rest} more");
        let colour = tokens(ui).text_faint;
        ui.label(RichText::new(text).size(SMALL).color(colour));
    }
    rows.len().min(MOST)
}

/// One line: sign, what, time, money.
fn row(
    ui: &mut Ui,
    view: &View<'_>,
    kind: Option<RevisedKind>,
    words: &str,
    worth: Option<ChangePrice>,
) -> Response {
    let t = tokens(ui);
    let sense = if kind.is_some() {
        Sense::click()
    } else {
        Sense::hover()
    };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), sense);
    let (time, money) = worth.map_or_else(Default::default, |w| {
        (
            more_time(view.style, w.minutes),
            more_money(view.style, w.cost),
        )
    });
    let label = format!("{words}: {time}, {money}");
    let role = if kind.is_some() {
        Role::Button
    } else {
        Role::Label
    };
    response.widget_info(|| WidgetInfo::labeled(role, true, &label));
    let painter = ui.painter();
    if kind.is_some() && (response.hovered() || response.has_focus()) {
        painter.rect_filled(rect, 3, t.edge);
    }
    let y = rect.center().y;
    let sign_colour = match kind {
        Some(RevisedKind::Removed) => t.fault,
        Some(RevisedKind::Added) => t.better,
        _ => t.text,
    };
    if let Some(kind) = kind {
        let font = FontId::new(BODY, strong_family());
        let at = pos2(rect.left() + 7.0, y);
        painter.text(at, Align2::CENTER_CENTER, sign(kind), font, sign_colour);
    }
    let font = FontId::proportional(BODY);
    let soft = if kind.is_some() { t.text } else { t.text_soft };
    let mut job = LayoutJob::simple_singleline(words.to_owned(), font.clone(), soft);
    let room = rect.width() - 18.0 - TIME - MONEY - 6.0;
    job.wrap = TextWrapping::truncate_at_width(room);
    let galley = painter.layout_job(job);
    painter.galley(
        pos2(rect.left() + 18.0, y - galley.size().y / 2.0),
        galley,
        soft,
    );
    let colour = |text: &str| -> Color32 {
        if text.starts_with('−') {
            t.better
        } else if text.starts_with('+') {
            t.worse
        } else {
            t.text_faint
        }
    };
    let columns = [(rect.right() - MONEY, &time), (rect.right(), &money)];
    for (right, text) in columns {
        let at = pos2(right - 4.0, y);
        painter.text(at, Align2::RIGHT_CENTER, text, font.clone(), colour(text));
    }
    response
}
