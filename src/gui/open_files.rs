//! Ways a drawing comes in: the dialog on its own thread, dropped files, paths.

use super::reading::Source;
use super::saved::saved;
use std::path::{Path, PathBuf};
use std::sync::Once;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

/// A dialog that answers sooner than anyone can was never shown.
const TOO_SOON: Duration = Duration::from_millis(400);

/// Hears from the dialogs that none could be shown: that is not told apart from one that was cancelled otherwise, and on a
/// busy machine it takes longer than a person may.
struct Ear {
    failed: AtomicUsize,
}

static EAR: Ear = Ear {
    failed: AtomicUsize::new(0),
};

/// Whose faults are heard.
const DIALOGS: &str = "rfd";

impl log::Log for Ear {
    fn enabled(&self, about: &log::Metadata<'_>) -> bool {
        about.level() == log::Level::Error && about.target().starts_with(DIALOGS)
    }
    fn log(&self, record: &log::Record<'_>) {
        if self.enabled(record.metadata()) {
            self.failed.fetch_add(1, Ordering::Relaxed);
        }
    }
    fn flush(&self) {}
}

/// How many dialogs could not be shown until now. Where another one listens already, as in a test, none is known of.
fn failed() -> usize {
    static LISTENS: Once = Once::new();
    LISTENS.call_once(|| {
        if log::set_logger(&EAR).is_ok() {
            log::set_max_level(log::LevelFilter::Error);
        }
    });
    EAR.failed.load(Ordering::Relaxed)
}

/// What is chosen or saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Drawings.
    Drawings,
    /// A table of finished cuts.
    Cuts,
    /// A shop's own library.
    Library,
    /// The shop's rates.
    Rates,
    /// A report.
    Report,
    /// A drawing for the next program.
    Export,
    /// The drawing as a picture.
    Picture,
    /// A picture of a page.
    Chart,
    /// A quote or a set-up sheet.
    Quote,
    /// A picture for the letterhead.
    Logo,
    /// A list of start holes.
    Holes,
    /// A job file.
    Job,
    /// A list of drawings with quantities.
    List,
}

impl Kind {
    fn dialog(self) -> rfd::FileDialog {
        let (title, words, endings): (_, _, &[&str]) = match self {
            Self::Export => (
                say!("Export the drawing"),
                say!("DXF drawings"),
                &["dxf", "DXF"],
            ),
            Self::Picture => (
                say!("Save the drawing as a picture"),
                say!("Pictures"),
                &["svg"],
            ),
            Self::Chart => (say!("Save the picture"), say!("Pictures"), &["svg"]),
            Self::Quote => (say!("Save the quote"), "PDF", &["pdf"]),
            Self::Logo => (
                say!("A picture for the letterhead"),
                say!("Pictures"),
                &["png", "PNG", "jpg", "JPG", "jpeg", "JPEG"],
            ),
            Self::Drawings => (
                say!("Open drawings or a job"),
                say!("Drawings and jobs"),
                &["dxf", "DXF", crate::enquiry::ENDING],
            ),
            Self::Job => (
                say!("Save the job"),
                say!("Job files"),
                &[crate::enquiry::ENDING],
            ),
            Self::List => (say!("A list of drawings"), say!("Tables"), &["csv", "CSV"]),
            Self::Report => (say!("Save the report"), say!("Pages"), &["html"]),
            Self::Holes => (
                say!("Save the list of start holes"),
                say!("Tables"),
                &["csv"],
            ),
            Self::Cuts => (say!("Finished cuts"), say!("Tables"), &["csv", "CSV"]),
            Self::Rates => (say!("A shop’s rates"), say!("Rates"), &["toml", "TOML"]),
            Self::Library => (
                say!("A shop’s library"),
                say!("Libraries"),
                &["toml", "TOML"],
            ),
        };
        rfd::FileDialog::new()
            .set_title(title)
            .add_filter(words, endings)
            .add_filter(say!("All files"), &["*"])
    }
}

impl Kind {
    /// What a file of it is saved as, over the field for its place.
    pub fn saved_as(self) -> &'static str {
        match self {
            Self::Job => say!("Save the job as"),
            Self::Quote => say!("Save the quote as"),
            Self::Report => say!("Save the report as"),
            Self::Export => say!("Save the drawing as"),
            Self::Picture | Self::Chart => say!("Save the picture as"),
            Self::Holes => say!("Save the list of start holes as"),
            Self::Drawings | Self::Cuts | Self::Library | Self::Rates | Self::Logo | Self::List => {
                say!("Save as")
            }
        }
    }
}

/// Where to save, typed where no dialog can be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// What goes there.
    pub kind: Kind,
    /// The path as it is typed.
    pub typed: String,
    /// Why the last one would not do.
    pub refused: Option<String>,
}

impl Place {
    /// With a path that is offered.
    pub fn offered(kind: Kind, path: &Path) -> Self {
        Self {
            kind,
            typed: path.display().to_string(),
            refused: None,
        }
    }
}

/// What came of a dialog.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Chosen {
    /// These files.
    Files(Vec<PathBuf>),
    /// A file was saved here, or why it was not.
    Saved(Result<PathBuf, String>),
    /// A list of drawings.
    List(PathBuf),
    /// Where to save.
    Place(PathBuf),
    /// Nothing.
    Nothing,
    /// No dialog could be shown.
    NoDialog,
    /// No dialog could be shown to save in.
    NoDialogToSave(Kind),
}

/// Dialogs that are open or have answered.
pub struct Dialogs {
    sender: Sender<Chosen>,
    receiver: Receiver<Chosen>,
}

impl Default for Dialogs {
    fn default() -> Self {
        let (sender, receiver) = channel();
        Self { sender, receiver }
    }
}

impl Dialogs {
    /// Shows the dialog on a thread of its own; `wake` is called when it has answered.
    pub fn open(&self, kind: Kind, folder: Option<&Path>, wake: impl FnOnce() + Send + 'static) {
        let folder = folder.map(Path::to_owned);
        self.ask(Chosen::NoDialog, wake, move || {
            let mut dialog = kind.dialog();
            if let Some(folder) = folder {
                dialog = dialog.set_directory(folder);
            }
            let files = dialog.pick_files()?;
            if kind == Kind::List {
                files.into_iter().next().map(Chosen::List)
            } else {
                Some(Chosen::Files(files))
            }
        });
    }
    /// Asks where to save, and saves there, on a thread of its own; `wake` is called when that is done. Nothing is
    /// written over `inputs`.
    pub fn save(
        &self,
        kind: Kind,
        name: &str,
        bytes: Vec<u8>,
        inputs: Vec<PathBuf>,
        wake: impl FnOnce() + Send + 'static,
    ) {
        let name = name.to_owned();
        self.ask(Chosen::NoDialogToSave(kind), wake, move || {
            let path = kind.dialog().set_file_name(name).save_file()?;
            let saved = if inputs.iter().any(|i| is_same(i, &path)) {
                let message = say!(
                    "That is an open drawing, which is not written over. Choose another name."
                );
                Err(message.to_owned())
            } else {
                saved(path, &bytes)
            };
            Some(Chosen::Saved(saved))
        });
    }
    /// Asks where to save, and saves nothing itself; `wake` is called when it has answered.
    pub fn choose(&self, kind: Kind, name: &str, wake: impl FnOnce() + Send + 'static) {
        let name = name.to_owned();
        self.ask(Chosen::NoDialogToSave(kind), wake, move || {
            kind.dialog()
                .set_file_name(name)
                .save_file()
                .map(Chosen::Place)
        });
    }
    /// Asks on a thread of its own. Who gets no answer sooner than a person can give one was shown no dialog: `none`.
    fn ask(
        &self,
        none: Chosen,
        wake: impl FnOnce() + Send + 'static,
        dialog: impl FnOnce() -> Option<Chosen> + Send + 'static,
    ) {
        let sender = self.sender.clone();
        let no_dialog = none.clone();
        let spawned = std::thread::Builder::new()
            .name("dialog".to_owned())
            .spawn(move || {
                let (asked, before) = (Instant::now(), failed());
                let chosen = dialog().unwrap_or_else(|| {
                    if failed() > before || asked.elapsed() < TOO_SOON {
                        no_dialog
                    } else {
                        Chosen::Nothing
                    }
                });
                // The window may be gone by now; then nobody needs the answer.
                let _ = sender.send(chosen);
                wake();
            });
        if spawned.is_err() {
            let _ = self.sender.send(none);
        }
    }
    /// What has been chosen since the last call.
    pub fn chosen(&self) -> Vec<Chosen> {
        self.receiver.try_iter().collect()
    }
}

/// Whether two paths are one file, links and dots resolved.
fn is_same(a: &Path, b: &Path) -> bool {
    let whole = |p: &Path| p.canonicalize().unwrap_or_else(|_| p.to_path_buf());
    whole(a) == whole(b)
}

/// The last part of a path, as shown.
pub fn name_of(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}

/// Files dropped on the window in this frame: path, and bytes where it cannot be read by path.
pub fn dropped(ctx: &egui::Context) -> Vec<(PathBuf, Source)> {
    let files = ctx.input(|i| i.raw.dropped_files.clone());
    files
        .iter()
        .map(|f| {
            let path = f.path().to_path_buf();
            let source = if path.exists() {
                Source::Path(path.clone())
            } else {
                f.bytes()
                    .map_or_else(|_| Source::Path(path.clone()), |b| Source::Bytes(b.into()))
            };
            (path, source)
        })
        .collect()
}

/// Whether a path ends so, in capitals or not.
pub fn has_ending(path: &Path, ending: &str) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case(ending))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// However long it takes until it is known that no dialog can be shown.
    #[test]
    fn a_dialog_that_cannot_be_shown_is_told_apart_from_one_that_is_cancelled() {
        let dialogs = Dialogs::default();
        let slow = |fails: bool| {
            dialogs.ask(
                Chosen::NoDialog,
                || {},
                move || {
                    std::thread::sleep(2 * TOO_SOON);
                    if fails {
                        log::error!(target: "rfd::backend", "Failed to pick file with zenity");
                    }
                    None
                },
            );
            loop {
                if let Some(chosen) = dialogs.chosen().pop() {
                    return chosen;
                }
                std::thread::sleep(Duration::from_millis(10));
            }
        };
        assert_eq!(slow(true), Chosen::NoDialog);
        assert_eq!(slow(false), Chosen::Nothing);
    }
}
