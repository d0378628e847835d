//! Files that leave: where they are saved, with a dialog or beside the drawing, and never over an open one.

use super::App;
use crate::calibration::Day;
use crate::drawing::Unit;
use crate::estimate::{drill_csv, drill_list};
use crate::export::{Content, ExportError, dxf, svg};
use crate::gui::open_files::{Kind, Place};
use crate::gui::picture::table;
use crate::gui::saved::saved;
use crate::gui::state::Weight;
use crate::language::said;
use crate::measures::measure_cut;
use crate::report::{Report, html};
use crate::words::{System, figures};
use egui::Context;
use std::path::{Path, PathBuf};

/// Tries at a name that is free.
const MOST_NAMES: usize = 1000;

/// A file on its way out.
pub(super) struct Outgoing {
    kind: Kind,
    folder: Option<PathBuf>,
    name: String,
    bytes: Vec<u8>,
}

impl App {
    /// The report of the drawing in front; `None` before its estimate is there.
    pub fn report(&self) -> Option<String> {
        let file = self.files.get(self.front).filter(|f| f.is_current())?;
        let answer = file.answer.as_ref()?;
        let (profile, job) = (&*file.profile, &answer.job);
        let cuts = |k: usize| job.cuts(&profile.contours()[k]);
        let measures = measure_cut(profile, |k| job.role(profile, k), cuts);
        Some(html(&Report {
            name: &file.name,
            date: &Day::today().said(),
            profile,
            measures: &measures,
            job,
            confirmed: file.confirmed,
            library: &self.library,
            drawing: &file.drawing,
            comparison: &answer.comparison,
            as_openings: &answer.as_openings,
            shown: file.shown,
            style: self.shown.style,
        }))
    }

    /// The contours of the drawing in front as a clean drawing, with the paths of the wire shown where asked; `None`
    /// before its estimate is there.
    pub fn exported(&self, with_paths: bool) -> Option<Result<Vec<u8>, ExportError>> {
        self.with_content(with_paths, |content| dxf(content).map(|e| e.bytes))
    }

    /// The same as a picture, with the paths of the wire shown.
    pub fn pictured(&self) -> Option<Result<Vec<u8>, ExportError>> {
        self.with_content(true, |content| svg(content).map(String::into_bytes))
    }

    fn with_content<T>(&self, with_paths: bool, work: impl Fn(&Content<'_>) -> T) -> Option<T> {
        let file = self.files.get(self.front).filter(|f| f.is_current())?;
        let answer = file.answer.as_ref()?;
        let shown = answer.comparison.estimates.get(file.shown);
        let content = Content {
            profile: &file.profile,
            job: &answer.job,
            paths: shown.filter(|_| with_paths),
            unit: match self.shown.style.system {
                System::Metric => Unit::Millimetre,
                System::Inch => Unit::Inch,
            },
        };
        Some(work(&content))
    }

    pub(super) fn save_report(&mut self, ctx: &Context) {
        let Some(text) = self.report() else {
            self.say(
                say!(
                    "There is no estimate to report yet. Open a drawing, or wait for its estimate."
                ),
                Weight::Note,
            );
            return;
        };
        self.send_out(Kind::Report, "estimate.html", text.into_bytes(), ctx);
    }

    pub(super) fn export(&mut self, with_paths: bool, ctx: &Context) {
        let ending = if with_paths { "paths.dxf" } else { "clean.dxf" };
        let bytes = self.exported(with_paths);
        self.send_drawing(Kind::Export, ending, bytes, ctx);
    }

    pub(super) fn export_picture(&mut self, ctx: &Context) {
        let bytes = self.pictured();
        self.send_drawing(Kind::Picture, "drawing.svg", bytes, ctx);
    }

    /// A picture of a page, named after the drawing in front and what it shows.
    pub(super) fn save_picture(&mut self, name: &str, lines: String, ctx: &Context) {
        let letter = |c: char| if c.is_alphanumeric() { c } else { ' ' };
        let plain: String = name.chars().map(letter).collect();
        let words: Vec<&str> = plain.split_whitespace().take(6).collect();
        let ending = format!("{}.svg", words.join("-"));
        self.send_out(Kind::Chart, &ending, lines.into_bytes(), ctx);
    }

    fn send_drawing(
        &mut self,
        kind: Kind,
        ending: &str,
        bytes: Option<Result<Vec<u8>, ExportError>>,
        ctx: &Context,
    ) {
        match bytes {
            Some(Ok(bytes)) => self.send_out(kind, ending, bytes, ctx),
            Some(Err(why)) => {
                let text = say!("Nothing was written: {why}.");
                self.say(text, Weight::Fault);
            }
            None => self.say(
                say!("There is no drawing to export yet. Open one, or wait for its estimate."),
                Weight::Note,
            ),
        }
    }

    /// The table of wires with tabs between its cells, unrounded and metric; `None` before there is an estimate.
    pub fn wires_table(&self) -> Option<String> {
        let file = self.files.get(self.front).filter(|f| f.is_current())?;
        let answer = file.answer.as_ref()?;
        let heads = ["wire", "diameter_mm"]
            .into_iter()
            .chain(figures::csv_columns());
        let head = heads.map(str::to_owned).collect();
        let rows = answer.comparison.estimates.iter().map(|e| {
            let wire = said(&e.candidate.wire).to_owned();
            let mut row = vec![wire, e.candidate.diameter.mm().to_string()];
            row.extend(figures::csv_cells(e.figures.as_ref()));
            row
        });
        Some(table(std::iter::once(head).chain(rows)))
    }

    pub(super) fn copy_wires(&mut self, ctx: &Context) {
        match self.wires_table() {
            Some(table) => {
                ctx.copy_text(table);
                let text =
                    say!("The table of wires is on the clipboard; paste it into a spreadsheet.");
                self.say(text, Weight::Note);
            }
            None => self.say(say!("There is no estimate to copy yet."), Weight::Note),
        }
    }

    /// The start holes of the drawing in front on the wire shown, for the drill; `None` where there are none.
    pub fn drill_list(&self) -> Option<String> {
        let file = self.files.get(self.front).filter(|f| f.is_current())?;
        let answer = file.answer.as_ref()?;
        let e = answer.comparison.estimates.get(file.shown)?;
        let figures = e.figures.as_ref()?;
        let holes = drill_list(figures, &file.profile, &answer.job, &e.candidate);
        (!holes.is_empty()).then(|| drill_csv(&holes))
    }

    pub(super) fn save_holes(&mut self, ctx: &Context) {
        match self.drill_list() {
            Some(text) => self.send_out(Kind::Holes, "start-holes.csv", text.into_bytes(), ctx),
            None => self.say(
                say!("There are no start holes to list. Open a drawing, and show a wire that can do the job."),
                Weight::Note,
            ),
        }
    }

    /// Asks where to save a file that is named after the drawing in front.
    pub(super) fn send_out(&mut self, kind: Kind, ending: &str, bytes: Vec<u8>, ctx: &Context) {
        let Some(file) = self.front() else {
            return;
        };
        let folder = file.path.as_deref().and_then(Path::parent);
        let (folder, name) = (folder.map(Path::to_owned), file.name.clone());
        let ctx = ctx.clone();
        let wake = move || ctx.request_repaint();
        self.send_out_named((kind, folder, &name), ending, bytes, wake);
    }

    /// The same for a file that is named after another one.
    pub(super) fn send_out_named(
        &mut self,
        (kind, folder, name): (Kind, Option<PathBuf>, &str),
        ending: &str,
        bytes: Vec<u8>,
        wake: impl FnOnce() + Send + 'static,
    ) {
        let out = Outgoing {
            kind,
            folder,
            name: name_after(name, ending),
            bytes,
        };
        self.dialogs
            .save(kind, &out.name, out.bytes.clone(), self.open_paths(), wake);
        self.unsaved = Some(out);
    }

    /// Where the open drawings lie: nothing is written over them.
    fn open_paths(&self) -> Vec<PathBuf> {
        self.files.iter().filter_map(|f| f.path.clone()).collect()
    }

    /// Without a dialog the place is typed; beside the drawing is offered, under a name that is free.
    pub(super) fn ask_place_beside(&mut self, kind: Kind) {
        let Some(out) = self.unsaved.as_ref().filter(|o| o.kind == kind) else {
            return;
        };
        let folder = out.folder.clone().unwrap_or_default();
        let named = (1..MOST_NAMES).map(|k| folder.join(numbered(&out.name, k)));
        let free = named.into_iter().find(|p| !p.exists());
        let place = free.unwrap_or_else(|| folder.join(&out.name));
        self.saving.place = Some(Place::offered(kind, &place));
    }

    /// Saves what waits for a place that was typed; where that will not do the field stays with what was typed and why.
    pub(super) fn save_outgoing_at(&mut self, kind: Kind, path: PathBuf) {
        let Some(out) = self.unsaved.as_ref().filter(|o| o.kind == kind) else {
            return;
        };
        let path = with_ending(path, &out.name);
        let result = if path.exists() {
            Err(say!("There is a file of that name already. Choose another name.").to_owned())
        } else {
            saved(path.clone(), &out.bytes)
        };
        match result {
            Ok(path) => {
                self.unsaved = None;
                self.told_saved(Ok(path));
            }
            Err(why) => {
                self.saving.place = Some(Place {
                    refused: Some(why),
                    ..Place::offered(kind, &path)
                });
            }
        }
    }
}

/// A path that was typed, with the ending of the name that was offered where it has none.
fn with_ending(path: PathBuf, offered: &str) -> PathBuf {
    match Path::new(offered).extension() {
        Some(ending) if path.extension().is_none() => path.with_extension(ending),
        _ => path,
    }
}

/// "latch-cam-estimate.html" for "latch-cam.dxf" and "estimate.html".
fn name_after(drawing: &str, ending: &str) -> String {
    let stem = Path::new(drawing).file_stem();
    let stem = stem.map_or_else(|| drawing.into(), |s| s.to_string_lossy());
    format!("{stem}-{ending}")
}

/// "name.html", "name-2.html", …
fn numbered(name: &str, k: usize) -> String {
    match (k, name.rsplit_once('.')) {
        (1, _) | (_, None) => name.to_owned(),
        (k, Some((stem, ending))) => format!("{stem}-{k}.{ending}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_leaves_is_named_after_its_drawing() {
        let name = |ending| name_after("latch-cam.dxf", ending);
        assert_eq!(name("estimate.html"), "latch-cam-estimate.html");
        assert_eq!(numbered("a-estimate.html", 1), "a-estimate.html");
        assert_eq!(numbered("a-estimate.html", 3), "a-estimate-3.html");
        assert_eq!(numbered("a.b-clean.dxf", 2), "a.b-clean-2.dxf");
    }
}
