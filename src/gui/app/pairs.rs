//! What concerns more than the drawing in front: two of them side by side, and the report of one.

use super::App;
use crate::calibration::Day;
use crate::gui::open_files::Kind;
use crate::gui::page::Page;
use crate::gui::pair::Pair;
use crate::gui::state::Weight;
use crate::measures::measure_cut;
use crate::report::{Report, html};
use crate::safe_file;
use egui::Context;
use std::path::{Path, PathBuf};

/// Tries at a name that is free.
const MOST_NAMES: usize = 1000;

impl App {
    /// Holds the drawing in front against the other one while that page is open; only when one of them has changed.
    pub(super) fn prepare_pair(&mut self) {
        let Some(front) = self.files.get(self.front) else {
            self.pair = None;
            return;
        };
        if self.shown.page != Some(Page::Compare) {
            return;
        }
        let others = || self.files.iter().filter(|f| f.id != front.id);
        let chosen = others().find(|f| Some(f.id) == self.shown.against);
        let Some(other) = chosen.or_else(|| others().next_back()) else {
            self.pair = None;
            return;
        };
        if front.waiting || other.waiting {
            return;
        }
        let key = Pair::key(front, other);
        if self.pair.as_ref().map(|p| p.key) != Some(key) {
            self.pair = Some(Pair::new(key, front, other, &self.library));
        }
    }

    /// Two drawings as they are held against each other.
    pub fn pair(&self) -> Option<&Pair> {
        self.pair.as_ref()
    }

    /// The report of the drawing in front; `None` before its estimate is there.
    pub fn report(&self) -> Option<String> {
        let file = self.files.get(self.front).filter(|f| !f.waiting)?;
        let answer = file.answer.as_ref()?;
        let (profile, job) = (&*file.profile, &answer.job);
        let cuts = |k: usize| job.cuts(&profile.contours()[k]);
        let measures = measure_cut(profile, |k| job.role(profile, k), cuts);
        Some(html(&Report {
            name: &file.name,
            date: &Day::today().to_string(),
            profile,
            measures: &measures,
            job,
            confirmed: file.confirmed,
            library: &self.library,
            drawing: &file.drawing,
            comparison: &answer.comparison,
            shown: file.shown,
            style: self.shown.style,
        }))
    }

    pub(super) fn save_report(&mut self, ctx: &Context) {
        let Some(text) = self.report() else {
            self.say(
                "There is no estimate to report yet. Open a drawing, or wait for its estimate.",
                Weight::Note,
            );
            return;
        };
        let Some(file) = self.front() else {
            return;
        };
        let name = report_name(&file.name);
        let folder = file
            .path
            .as_deref()
            .and_then(Path::parent)
            .map(Path::to_owned);
        let ctx = ctx.clone();
        self.unsaved_report = Some((folder, name.clone(), text.clone()));
        let wake = move || ctx.request_repaint();
        self.dialogs
            .save(Kind::Report, &name, text.into_bytes(), wake);
    }

    /// Without a dialog the report goes beside its drawing, under a name that is free.
    pub(super) fn save_report_beside(&mut self) {
        let Some((folder, name, text)) = self.unsaved_report.take() else {
            return;
        };
        let folder = folder.unwrap_or_else(|| PathBuf::from("."));
        let free = (1..MOST_NAMES)
            .map(|k| folder.join(numbered(&name, k)))
            .find(|p| !p.exists());
        let result = match free {
            Some(path) => safe_file::save(&path, text.as_bytes())
                .map(|()| path)
                .map_err(|e| format!("The system says: {e}.")),
            None => Err("There are too many reports of that name already.".to_owned()),
        };
        self.told_saved(result);
    }
}

/// "latch-cam-estimate.html" for "latch-cam.dxf".
fn report_name(drawing: &str) -> String {
    let stem = Path::new(drawing).file_stem();
    let stem = stem.map_or_else(|| drawing.into(), |s| s.to_string_lossy());
    format!("{stem}-estimate.html")
}

/// "name.html", "name-2.html", …
fn numbered(name: &str, k: usize) -> String {
    match (k, name.strip_suffix(".html")) {
        (1, _) | (_, None) => name.to_owned(),
        (k, Some(stem)) => format!("{stem}-{k}.html"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_named_after_its_drawing() {
        assert_eq!(report_name("latch-cam.dxf"), "latch-cam-estimate.html");
        assert_eq!(numbered("a-estimate.html", 1), "a-estimate.html");
        assert_eq!(numbered("a-estimate.html", 3), "a-estimate-3.html");
    }
}
