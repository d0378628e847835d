//! A picture that can be copied, and its numbers: what is seen as an image, what it shows as a table for a spreadsheet.

use crate::gui::theme::{SMALL, tokens};
use egui::emath::Rect;
use egui::{Button, Context, RichText, Ui};

/// A table as lines of cells with tabs between them, as spreadsheets take it.
pub fn table(rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let clean = |cell: String| cell.replace(['\t', '\n', '\r'], " ");
    let line = |row: Vec<String>| row.into_iter().map(clean).collect::<Vec<_>>().join("\t") + "\n";
    rows.into_iter().map(line).collect()
}

/// Under a picture: copy it, or its numbers.
pub fn copying_ui(ui: &mut Ui, name: &str, picture: Rect, numbers: impl FnOnce() -> String) {
    let colour = tokens(ui).text_faint;
    ui.horizontal(|ui| {
        let small = |text: &str| Button::new(RichText::new(text).size(SMALL).color(colour));
        let image = ui.add(small(say!("copy picture")).frame(false));
        let image = image
            .on_hover_text(say!("copy it as it is seen, as an image"))
            .accessible_name(say!("copy the picture, {name}"));
        if image.clicked() {
            copy_picture(ui.ctx(), picture.intersect(ui.clip_rect()));
        }
        let table = ui.add(small(say!("copy numbers")).frame(false));
        let table = table
            .on_hover_text(say!("copy them as a table for a spreadsheet"))
            .accessible_name(say!("copy the numbers, {name}"));
        if table.clicked() {
            ui.ctx().copy_text(numbers());
        }
    });
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
}
