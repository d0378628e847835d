//! What `estimate`, `job new` and `batch` are told alike: how to read, what rests on whose figures, the job, rates, hours.

use super::clock::Clock;
use super::job::JobArguments;
use super::outcome::Failure;
use super::own::Own;
use super::reading::{Reading, Unread, bytes_of};
use super::shop::ShopArguments;
use super::visible::tell_of;
use crate::drawing::Drawing;
use crate::enquiry::{DrawingFile, Item, ListRow};
use crate::job::{Job, contour_key};
use crate::library::Library;
use crate::words::job_files;
use std::path::Path;

/// Arguments that describe a job and how its drawings are read.
#[derive(Debug, clap::Args)]
pub(super) struct Conditions {
    #[command(flatten)]
    pub reading: Reading,
    #[command(flatten)]
    pub own: Own,
    #[command(flatten)]
    pub job: JobArguments,
    #[command(flatten)]
    pub shop: ShopArguments,
    #[command(flatten)]
    pub clock: Clock,
    /// A contour that is not cut, by its number in `measure`, 1 the first. May be given several times.
    #[arg(long, value_name = "N")]
    without_contour: Vec<usize>,
}

fn told(e: &Unread) -> String {
    format!("{e} {}", e.hint())
}

impl Conditions {
    /// The job of the call.
    ///
    /// # Errors
    /// As [`JobArguments::job`], and rates that cannot be.
    pub(super) fn job(&self, library: &Library) -> Result<Job, Failure> {
        self.finished(self.job.job(self.reading.keep(), library)?)
    }
    /// The same, a thickness that is not given assumed.
    ///
    /// # Errors
    /// As [`Self::job`].
    pub(super) fn job_or_assumed(&self, library: &Library) -> Result<Job, Failure> {
        self.finished(self.job.job_or_assumed(self.reading.keep(), library)?)
    }
    fn finished(&self, mut job: Job) -> Result<Job, Failure> {
        job.shop = self.own.rates()?.shop;
        job.machine = self.own.machine().map(str::to_owned);
        self.clock.put(&mut job);
        self.shop.apply(&mut job.shop)?;
        Ok(job)
    }
    /// Reads a drawing and takes the contours out that the call leaves out; what is wrong is told on standard error.
    pub(super) fn open(&self, path: &Path, job: &mut Job) -> Option<Drawing> {
        let drawing = self.reading.open(path).map_err(|e| told(&e));
        let drawing = drawing.and_then(|d| self.leave_contours_out(job, &d).map(|()| d));
        drawing.map_err(|message| tell_of(path, &message)).ok()
    }
    /// Takes contours out that were named by their number.
    ///
    /// # Errors
    /// There is no such contour: what to tell.
    pub(super) fn leave_contours_out(
        &self,
        job: &mut Job,
        drawing: &Drawing,
    ) -> Result<(), String> {
        let contours = drawing.profile.contours();
        for n in &self.without_contour {
            let contour = n.checked_sub(1).and_then(|k| contours.get(k));
            let Some(contour) = contour else {
                let there = contours.len();
                return Err(say!("it holds no contour {n}; there are {there}."));
            };
            job.left_out.insert(contour_key(contour));
        }
        Ok(())
    }
    /// An item of a job file, its drawing not yet read: what the call and its row of a list say.
    ///
    /// # Errors
    /// The file cannot be opened, or the row cannot be worked: what to tell, with a hint.
    pub(super) fn item(
        &self,
        path: &Path,
        job: &Job,
        row: Option<&ListRow>,
        library: &Library,
    ) -> Result<Item, String> {
        let bytes = bytes_of(path).map_err(|e| told(&e.into()))?;
        let name = path.file_name().unwrap_or(path.as_os_str());
        let file = DrawingFile::new(bytes);
        let mut item = Item::new(name.to_string_lossy().into_owned(), file, job.clone());
        item.path = Some(path.display().to_string());
        item.options = self.reading.options();
        item.confirmed = self.job.confirmed();
        if let Some(row) = row {
            row.apply(&mut item, library)
                .map_err(|f| job_files::list(&f))?;
        }
        Ok(item)
    }
    /// Reads the drawing of an item, and takes what the call says to its offers, proposals and contours.
    ///
    /// # Errors
    /// It cannot be read, or names what is not there: what to tell, with a hint.
    pub(super) fn read(&self, item: &mut Item) -> Result<Drawing, String> {
        let bytes = item.drawing.bytes().to_vec();
        let (drawing, options) = self
            .reading
            .read(bytes, item.options.clone())
            .map_err(|e| told(&e))?;
        item.options = options;
        self.leave_contours_out(&mut item.job, &drawing)?;
        Ok(drawing)
    }
    /// What of the call an answer depends on beside drawing, job and library.
    pub(super) fn key(&self) -> String {
        format!("{:?} {:?}", self.reading, self.without_contour)
    }
}
