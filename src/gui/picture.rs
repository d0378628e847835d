//! A picture that can be taken along: what is seen as an image or as a file of lines, its numbers as a table for a
//! spreadsheet.

mod svg;

use super::state::Action;
use super::theme::{SMALL, tokens};
use crate::language::{localised, said};
use egui::emath::Rect;
use egui::{Button, Context, Id, RichText, Ui};

/// A table as lines of cells with tabs between them, as spreadsheets take it: numbers with the decimal sign that is in
/// use, without which a spreadsheet would take 12.5 for a day in May.
pub fn table(rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let clean = |cell: String| match cell.parse::<f64>() {
        Ok(_) => localised(cell),
        Err(_) => cell.replace(['\t', '\n', '\r'], " "),
    };
    let line = |row: Vec<String>| row.into_iter().map(clean).collect::<Vec<_>>().join("\t") + "\n";
    rows.into_iter().map(line).collect()
}

/// A number for such a table: as exact as anyone needs it, without the last digits that binary numbers leave.
pub fn cell(value: f64) -> String {
    /// A double holds nearly sixteen digits.
    const DIGITS: i32 = 12;
    if !value.is_finite() {
        return String::new();
    }
    let before = value.abs().log10().floor();
    let before = if before.is_finite() { before as i32 } else { 0 };
    let decimals = (DIGITS - 1 - before).max(0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" { "0" } else { text }.to_owned()
    } else {
        text
    }
}

/// What copying a picture does.
pub const AS_SEEN: &str = key!("copy it as it is seen, as an image");

/// Under a picture: copy it, save it, or copy its numbers. The picture must have been painted before, in the same layer.
pub fn picture_ui(
    ui: &mut Ui,
    name: &str,
    picture: Rect,
    actions: &mut Vec<Action>,
    numbers: impl FnOnce() -> String,
) {
    let colour = tokens(ui).text_faint;
    let seen = picture.intersect(ui.clip_rect());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        let small = |text: &str| Button::new(RichText::new(text).size(SMALL).color(colour));
        let image = ui.add(small(say!("copy picture")).frame(false));
        let image = image
            .on_hover_text(said(AS_SEEN))
            .accessible_name(say!("copy the picture, {name}"));
        if image.clicked() {
            copy_picture(ui.ctx(), seen);
        }
        let table = ui.add(small(say!("copy numbers")).frame(false));
        let table = table
            .on_hover_text(say!("copy them as a table for a spreadsheet"))
            .accessible_name(say!("copy the numbers, {name}"));
        if table.clicked() {
            ui.ctx().copy_text(numbers());
        }
        let file = ui.add(small(say!("save picture…")).frame(false));
        let file = file
            .on_hover_text(say!(
                "save it as a file of lines and letters (SVG), which stays sharp in every size"
            ))
            .accessible_name(say!("save the picture, {name}"));
        if file.clicked() {
            let layer = ui.layer_id();
            let lines = ui.ctx().graphics(|g| {
                let shapes = g
                    .get(layer)
                    .into_iter()
                    .flat_map(egui::layers::PaintList::all_entries);
                svg::svg(shapes, picture, name)
            });
            actions.push(Action::SavePicture(name.to_owned(), lines));
        }
    });
}

fn later() -> Id {
    Id::unique("picture to be copied")
}

/// Copies a part of the window as it is once a menu over it is closed.
pub fn copy_later(ctx: &Context, part: Rect) {
    ctx.data_mut(|d| d.insert_temp(later(), Some(part)));
    ctx.request_repaint();
}

/// What [`copy_later`] asked for in the frame before.
pub fn copy_awaited(ctx: &Context) {
    let awaited: Option<Option<Rect>> = ctx.data_mut(|d| d.remove_temp(later()));
    if let Some(part) = awaited.flatten() {
        copy_picture(ctx, part);
    }
}

/// Copies a part of the window as it is painted next.
fn copy_picture(ctx: &Context, part: Rect) {
    let (to, points) = (ctx.clone(), ctx.pixels_per_point());
    ctx.request_screenshot(move |image| {
        to.copy_image(image.region(&part, Some(points)));
        to.request_repaint();
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_a_line_a_row_and_no_stray_tab() {
        let rows = [
            vec!["a".to_owned(), "b\tc".to_owned()],
            vec!["1".to_owned(), "2".to_owned()],
        ];
        assert_eq!(table(rows), "a\tb c\n1\t2\n");
    }

    #[test]
    fn a_number_has_no_digits_that_only_the_machine_knows() {
        for (value, text) in [
            (0.1 + 0.2, "0.3"),
            (2.0 * 0.0527, "0.1054"),
            (1243.0, "1243"),
            (-0.0, "0"),
            (1.0e15, "1000000000000000"),
            (-2.5e-7, "-0.00000025"),
        ] {
            assert_eq!(cell(value), text);
        }
        assert_eq!(cell(f64::NAN), "");
    }
}
