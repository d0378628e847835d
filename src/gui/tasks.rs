//! Work on the shop's own figures, done by the worker: reading, keeping and fitting them.

use super::planning::{PlanWanted, Together, TogetherWanted};
use super::quoting::{Made, PagesWanted, PictureWanted};
use super::reading::Source;
use super::saved::saved;
use super::shelf::{Shelf, why_unkept};
use super::sweeps::Inputs;
use crate::calibration::{self, Cut, CutsRead, MachineFit, far_off, read_cuts};
use crate::estimate::{self, Axis, Mattering, SweepPoint};
use crate::files::{self, Unread};
use crate::library::{Library, UserLibrary};
use crate::quote::pages::{Image, ImageKind, Pages};
use crate::quote::pdf::pdf;
use crate::safe_file;
use crate::shop_files::{Kept, MOST_BYTES, Rates, ShopFile};
use crate::words::saving::system_says;
use egui::ColorImage;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Largest picture of a letterhead, bytes.
const MOST_PICTURE: u64 = 8 << 20;

/// What is to be done.
pub enum Task {
    /// Read a table of finished cuts.
    ReadCuts {
        /// Name of the file.
        name: String,
        /// Where it is.
        source: Source,
        /// The library that names materials and wires.
        library: Arc<Library>,
    },
    /// Read a library of a shop.
    ReadLibrary {
        /// Name of the file.
        name: String,
        /// Where it is.
        source: Source,
    },
    /// Save what waits for one of the shop's files.
    Keep {
        /// Which.
        file: ShopFile,
        /// Where, and what waits.
        shelf: Shelf,
        /// The library that cuts and rates rest on.
        library: Arc<Library>,
    },
    /// See whether somebody else has changed the shop's files.
    Look(Shelf),
    /// Save a library for others.
    Export {
        /// Where.
        path: PathBuf,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// Fit finished cuts.
    Fit {
        /// Number of the request.
        number: u64,
        /// The table.
        cuts: Vec<Cut>,
        /// The library as it is without what was learned.
        library: Arc<Library>,
    },
    /// One point of a curve.
    Point {
        /// Number of the curve.
        number: u64,
        /// What it is computed from.
        inputs: Inputs,
        /// What is varied.
        axis: Axis,
        /// Which point.
        point: usize,
    },
    /// The plans of a job and the best for a wish.
    Plan(PlanWanted),
    /// Several pieces of a job together.
    Together(TogetherWanted),
    /// The pages of a quote.
    Pages(Box<PagesWanted>),
    /// A picture of one of them.
    Picture(PictureWanted),
    /// The pages as a file.
    Pdf(Arc<Pages>),
    /// A picture for the letterhead, to be kept in a folder.
    Logo {
        /// Name of its file.
        name: String,
        /// Where it is.
        source: Source,
        /// Where it goes.
        folder: PathBuf,
    },
    /// What matters most for a wire.
    Matters {
        /// Number of the request.
        number: u64,
        /// What it is computed from.
        inputs: Inputs,
        /// Index of the candidate.
        wire: usize,
    },
}

/// What came of it.
pub enum Done {
    /// A table, or why there is none.
    Cuts {
        /// Name of the file.
        name: String,
        /// Its rows, and how many of those that count are far from what is expected.
        result: Result<(CutsRead, usize), String>,
    },
    /// A library, or why there is none.
    Library {
        /// Name of the file.
        name: String,
        /// Its entries.
        result: Result<Box<UserLibrary>, String>,
    },
    /// A file of rates, to be taken over.
    Rates {
        /// Name of the file.
        name: String,
        /// What lies in it.
        bytes: Arc<[u8]>,
    },
    /// A file of the shop was saved, or why it was not; `None` where an earlier request had taken the change along.
    Kept {
        /// Which.
        file: ShopFile,
        /// What came of it.
        result: Option<Result<Kept, String>>,
    },
    /// What lies in files that somebody else has changed.
    Seen(Vec<(ShopFile, Arc<[u8]>)>),
    /// A file for others was saved, or why it was not.
    Exported(Result<PathBuf, String>),
    /// One fit per machine.
    Fitted {
        /// Number of the request.
        number: u64,
        /// The fits.
        fits: Vec<MachineFit>,
    },
    /// One point of a curve; `None` beyond its end.
    Point {
        /// Number of the curve.
        number: u64,
        /// The figures there.
        point: Option<SweepPoint>,
    },
    /// The plans.
    Plan {
        /// Number of the request.
        number: u64,
        /// All of them and the best; `None` where a later question overtook it.
        answer: Option<Box<estimate::Answer>>,
    },
    /// Several pieces together.
    Together {
        /// Number of the request.
        number: u64,
        /// Plate and stacks; `None` where a later question overtook it.
        together: Option<Together>,
    },
    /// The pages of a quote; without any where a fault of our own came between.
    Pages {
        /// Number of the request.
        number: u64,
        /// The pages.
        made: Option<Box<Made>>,
    },
    /// A picture of one of them.
    Picture {
        /// What was asked.
        wanted: PictureWanted,
        /// The picture, where there is such a page.
        image: Option<ColorImage>,
    },
    /// The pages as a file, or why there is none.
    Pdf(Result<Vec<u8>, String>),
    /// The name under which the picture is kept, or why it is not.
    Logo(Result<String, String>),
    /// What matters most.
    Matters {
        /// Number of the request.
        number: u64,
        /// The most first.
        list: Vec<Mattering>,
    },
    /// A fault of our own, in words.
    Failed(String),
}

impl Task {
    /// Whether it is about saving, which waits for no estimate.
    pub fn is_saving(&self) -> bool {
        matches!(
            self,
            Self::Keep { .. } | Self::Look(_) | Self::Export { .. }
        )
    }
    /// Whether it takes as long as all items of an enquiry.
    pub fn is_of_items(&self) -> bool {
        matches!(self, Self::Pages(_) | Self::Picture(_) | Self::Pdf(_))
    }
    /// Does it. A fault of our own becomes a message, never the end of the program.
    pub fn run(self) -> Done {
        catch_unwind(AssertUnwindSafe(|| self.work())).unwrap_or_else(|_| {
            Done::Failed(
                say!("Kerfcast failed on this; that is our fault, not yours. Nothing was lost: what was \
                 there before stays in force.")
                    .to_owned(),
            )
        })
    }
    fn work(self) -> Done {
        match self {
            Self::ReadCuts {
                name,
                source,
                library,
            } => {
                let result = bytes(&source, MOST_BYTES).and_then(|bytes| {
                    let read = read_cuts(&bytes, &library, calibration::Day::latest());
                    let read = read.map_err(|e| e.to_string())?;
                    let far = far_off(&calibration::fit(&read.cuts, &library));
                    Ok((read, far))
                });
                Done::Cuts { name, result }
            }
            Self::ReadLibrary { name, source } => {
                let all = bytes(&source, MOST_BYTES);
                if let Ok(bytes) = &all
                    && Rates::is_meant(bytes)
                {
                    let bytes = bytes.as_slice().into();
                    return Done::Rates { name, bytes };
                }
                let result = all.and_then(|bytes| {
                    let read = UserLibrary::from_bytes(&bytes).map(Box::new);
                    read.map_err(|e| crate::words::library::file_fault(&e))
                });
                Done::Library { name, result }
            }
            Self::Keep {
                file,
                shelf,
                library,
            } => {
                let saved = shelf.save(file, &library);
                Done::Kept {
                    file,
                    result: saved.map(|r| r.map_err(|e| why_unkept(&e))),
                }
            }
            Self::Look(shelf) => Done::Seen(shelf.look()),
            Self::Export { path, bytes } => Done::Exported(export(path, &bytes)),
            Self::Fit {
                number,
                cuts,
                library,
            } => Done::Fitted {
                number,
                fits: calibration::fit(&cuts, &library),
            },
            Self::Point {
                number,
                inputs,
                axis,
                point,
            } => {
                let one = inputs.run(|profile, job, library, cache| {
                    estimate::sweep_point(profile, job, library, cache, &axis, point)
                });
                Done::Point {
                    number,
                    // A curve that was overtaken has no more points.
                    point: one.flatten(),
                }
            }
            Self::Plan(wanted) => Done::Plan {
                number: wanted.number,
                answer: wanted.work().map(Box::new),
            },
            Self::Together(wanted) => Done::Together {
                number: wanted.number,
                together: wanted.work(),
            },
            Self::Pages(wanted) => pages(&wanted),
            Self::Picture(wanted) => Done::Picture {
                image: wanted.work(),
                wanted,
            },
            Self::Pdf(pages) => Done::Pdf(pdf(&pages).map_err(|e| e.to_string())),
            Self::Logo {
                name,
                source,
                folder,
            } => Done::Logo(kept_logo(&name, &source, &folder)),
            Self::Matters {
                number,
                inputs,
                wire,
            } => matters(number, &inputs, wire),
        }
    }
}

fn matters(number: u64, inputs: &Inputs, wire: usize) -> Done {
    let list = inputs.job.candidates.get(wire).and_then(|candidate| {
        inputs.run(|profile, job, library, cache| {
            estimate::what_matters(profile, job, library, candidate, cache)
        })
    });
    let list = list.unwrap_or_default();
    Done::Matters { number, list }
}

/// Whatever happens, the window is told that nothing is out any more.
fn pages(wanted: &PagesWanted) -> Done {
    let made = catch_unwind(AssertUnwindSafe(|| wanted.work()));
    Done::Pages {
        number: wanted.number,
        made: made.ok().map(Box::new),
    }
}

/// Copies a picture beside the shop's files.
fn kept_logo(name: &str, source: &Source, folder: &Path) -> Result<String, String> {
    let bytes = bytes(source, MOST_PICTURE)?;
    let image = Image::read(bytes).filter(|i| super::paper::decoded(i).is_some());
    let image = image.ok_or_else(|| {
        say!("{name} is no PNG or JPEG picture that can be read. Choose another file.")
    })?;
    let kept = match image.kind {
        ImageKind::Png => "letterhead.png",
        ImageKind::Jpeg => "letterhead.jpg",
    };
    std::fs::create_dir_all(folder)
        .and_then(|()| safe_file::save(&folder.join(kept), &image.bytes))
        .map(|()| kept.to_owned())
        .map_err(|e| system_says(&e))
}

/// Saves a library at a path that was typed, where nobody has asked whether a file there may go.
fn export(path: PathBuf, bytes: &[u8]) -> Result<PathBuf, String> {
    // What cannot be read as a library is none, be it a drawing, a folder or far too large.
    if path.exists() && UserLibrary::load(&path).is_err() {
        return Err(say!(
            "{} is there already and is no library. Type another name.",
            path.display()
        ));
    }
    saved(path, bytes)
}

/// The bytes of a file of a sensible size.
///
/// # Errors
/// Why there are none.
pub fn bytes(source: &Source, most: u64) -> Result<Vec<u8>, String> {
    match source {
        Source::Bytes(bytes) => Ok(bytes.to_vec()),
        Source::Path(path) => files::read(path, most, || false).map_err(|why| match why {
            Unread::System(e) => {
                say!("It cannot be opened ({e}). Check the path and whether you may read it.")
            }
            Unread::Folder => say!("It is a folder. Choose a file in it.").to_owned(),
            Unread::NoFile => say!("It is a device, not a file. Choose a file.").to_owned(),
            Unread::Growing => {
                say!("It is still being written. Open it again when that is done.").to_owned()
            }
            Unread::TooLarge(_) | Unread::Stopped => {
                say!("It is far larger than such a table is. Choose another file.").to_owned()
            }
        }),
    }
}
