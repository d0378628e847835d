//! A year's quotes against actuals: how far off, which way, by material and thickness.

use super::text::remark;
use crate::calibration::{Day, QuotedCut, QuotedGroup, quotes};
use crate::gui::picture::{cell, picture_ui, table};
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::off_chart::{OffSpot, off_chart};
use crate::gui::widgets::swatch;
use crate::language::said;
use crate::words::against_quote;
use egui::{Grid, RichText, ScrollArea, Ui};

/// Days of a year.
const YEAR: u32 = 365;

/// The section; nothing where no cut has a quote.
pub fn quotes_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let cuts = &view.learning.cuts;
    if cuts.iter().all(|c| c.quoted.is_none()) {
        return;
    }
    let t = tokens(ui);
    let (points, groups) = quotes(cuts, Day::latest(), YEAR);
    ui.label(strong(say!("Quotes against actuals"), BODY));
    if points.is_empty() {
        remark(ui, say!("No cut of the last year has a quote beside it."));
        return;
    }
    remark(ui, &against_quote::headline(&groups, view.style));
    let materials = materials(&groups);
    let colour = |name: &str| t.wire(materials.iter().position(|m| *m == name).unwrap_or(0));
    let spots: Vec<OffSpot> = points
        .iter()
        .map(|p| OffSpot {
            days_ago: p.days_ago,
            log_off: p.log_off,
            colour: colour(&cuts[p.cut].material),
        })
        .collect();
    let size = (ui.available_width(), 190.0);
    let (response, under) = off_chart(ui, &spots, YEAR, size);
    let picture = response.rect;
    if let Some(point) = under.and_then(|k| points.get(k)) {
        let cut = &cuts[point.cut];
        let quoted = cut.quoted.map(|q| {
            say!(
                "quoted {}, took {} ({}); {} quoted, {} as cut",
                view.style.time(q.minutes),
                view.style.time(cut.cutting_minutes),
                view.style.difference(point.log_off.exp() - 1.0),
                view.style.money(q.cost),
                view.style.money(q.actual_cost),
            )
        });
        response.on_hover_text_at_pointer(format!(
            "{}, {}, {}\n{}",
            cut.date.said(),
            said(&cut.material),
            view.style.typed_length(cut.thickness),
            quoted.unwrap_or_default()
        ));
    }
    let name = say!("quotes against actuals");
    picture_ui(ui, name, picture, actions, || {
        let head = [
            say!("date"),
            say!("material"),
            say!("actual time over the quoted one"),
        ];
        let row = |p: &QuotedCut| {
            let cut = &cuts[p.cut];
            let material = said(&cut.material).to_owned();
            vec![cut.date.to_string(), material, cell(p.log_off.exp())]
        };
        let head = head.map(str::to_owned).to_vec();
        table(std::iter::once(head).chain(points.iter().map(row)))
    });
    groups_ui(ui, view, &groups, &colour);
}

/// The materials, each once, in the order of the groups.
fn materials(groups: &[QuotedGroup]) -> Vec<&str> {
    let mut out: Vec<&str> = Vec::new();
    for g in groups {
        if !out.contains(&g.material.as_str()) {
            out.push(&g.material);
        }
    }
    out
}

fn groups_ui(
    ui: &mut Ui,
    view: &View<'_>,
    groups: &[QuotedGroup],
    colour: &dyn Fn(&str) -> egui::Color32,
) {
    let t = tokens(ui);
    let style = view.style;
    ScrollArea::horizontal()
        .id_salt("groups of quotes")
        .show(ui, |ui| {
            Grid::new("groups of quotes")
                .num_columns(6)
                .spacing([14.0, 5.0])
                .striped(true)
                .show(ui, |ui| {
                    for head in [
                        say!("material"),
                        say!("thickness"),
                        say!("cuts"),
                        say!("time"),
                        say!("worst"),
                        say!("cost a part each"),
                    ] {
                        ui.label(RichText::new(head).size(SMALL).color(t.text_soft));
                    }
                    ui.end_row();
                    for g in groups {
                        ui.horizontal(|ui| {
                            swatch(ui, colour(&g.material));
                            ui.label(said(&g.material));
                        });
                        ui.label(against_quote::band(g.thickness_mm, style));
                        ui.label(g.cuts.to_string());
                        let off = |share: f64| {
                            let colour = if share > 0.0 { t.worse } else { t.better };
                            RichText::new(style.difference(share)).color(colour)
                        };
                        ui.label(off(g.mean_off));
                        ui.label(off(g.worst_off));
                        let each = g.dearer.amount() / g.cuts as f64;
                        let word = if each < 0.0 {
                            say!("less")
                        } else {
                            say!("more")
                        };
                        let money = crate::units::Money::from_amount(each.abs());
                        ui.label(format!("{} {word}", style.money(money)));
                        ui.end_row();
                    }
                });
        });
}
