//! Text that may be longer than its room.

use egui::emath::{Rect, pos2};
use egui::text::LayoutJob;
use egui::{Color32, FontId, Ui};

/// One line from the left edge, which ends in an ellipsis where it is too long.
pub fn elided(ui: &Ui, text: impl Into<String>, font: FontId, colour: Color32, room: Rect) {
    let mut job = LayoutJob::simple_singleline(text.into(), font, colour);
    job.wrap.max_width = room.width();
    job.wrap.max_rows = 1;
    job.wrap.break_anywhere = true;
    let galley = ui.painter().layout_job(job);
    let top = room.center().y - galley.size().y / 2.0;
    ui.painter().galley(pos2(room.left(), top), galley, colour);
}

/// A name of at most that many letters, with an ellipsis in the middle where it is longer: names of
/// drawings differ at both ends.
pub fn shortened(name: &str, most: usize) -> String {
    let letters: Vec<char> = name.chars().collect();
    if letters.len() <= most || most < 3 {
        return name.to_owned();
    }
    let tail = (most - 1) * 2 / 5;
    let head = most - 1 - tail;
    let left: String = letters[..head].iter().collect();
    let right: String = letters[letters.len() - tail..].iter().collect();
    format!("{}…{}", left.trim_end(), right.trim_start())
}

/// A text of at most that many letters, with an ellipsis at its end where it is longer.
pub fn shortened_at_end(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let head: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", head.trim_end())
}

/// A name as long as there is room for, shortened in the middle.
pub fn shortened_to(ui: &Ui, name: &str, font: &FontId, room: f32) -> String {
    let fits = |text: &String| {
        let galley = ui
            .painter()
            .layout_no_wrap(text.clone(), font.clone(), Color32::PLACEHOLDER);
        galley.size().x <= room
    };
    let lengths = (3..=name.chars().count()).rev();
    let mut all = lengths.map(|most| shortened(name, most));
    all.find(fits).unwrap_or_else(|| shortened(name, 3))
}

#[cfg(test)]
mod tests {
    use super::{shortened, shortened_at_end};

    #[test]
    fn long_names_keep_both_ends() {
        assert_eq!(shortened("plate.dxf", 20), "plate.dxf");
        let long = "customer-4711-stamping-insert-rev-C-final.dxf";
        let short = shortened(long, 26);
        assert_eq!(short.chars().count(), 26);
        assert!(short.starts_with("customer-4711") && short.ends_with("final.dxf"));
        // Letters beyond ASCII count as one.
        assert_eq!(shortened("äöüäöüäöü", 5), "äöü…ü");
        // The end of a sentence is what may go.
        assert_eq!(shortened_at_end("all edges", 9), "all edges");
        assert_eq!(shortened_at_end("all edges sharp", 11), "all edges…");
    }
}
