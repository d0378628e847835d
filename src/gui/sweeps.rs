//! Figures over thickness, passes or material and what matters most, computed by the worker while they are looked at.

use super::open_file::OpenFile;
use super::tasks::Task;
use crate::drawing::Progress;
use crate::estimate::{Axis, Mattering, SweepPoint};
use crate::job::Job;
use crate::library::Library;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::units::Length;
use std::sync::Arc;

/// Points of a curve over thickness.
const POINTS: usize = 15;

/// What is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Vary {
    /// Thickness of the work.
    Thickness,
    /// Number of passes.
    Passes,
    /// Material of the work.
    Material,
}

/// What is drawn against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Drawn {
    /// Time a part.
    #[default]
    Time,
    /// Wire a part.
    Wire,
    /// Cost a part.
    Cost,
}

/// What a curve is computed from: an open drawing and its estimate, by number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Basis {
    file: u64,
    estimate: u64,
}

impl Basis {
    /// Of the drawing as it is.
    pub fn of(file: &OpenFile) -> Self {
        Self {
            file: file.id,
            estimate: file.awaited,
        }
    }
    /// Whether it is about this drawing, be its estimate another one by now.
    pub fn is_of(&self, file: &OpenFile) -> bool {
        self.file == file.id
    }
}

/// Everything that a point of a curve is computed from.
#[derive(Clone)]
pub struct Inputs {
    /// The contours.
    pub profile: Arc<Profile>,
    /// The job.
    pub job: Arc<Job>,
    /// What it rests on.
    pub library: Arc<Library>,
    /// Wire paths laid so far.
    pub cache: Arc<PathCache>,
    /// Stops the work on it.
    pub progress: Progress,
}

impl Inputs {
    /// Works something out of them; `None` where it was stopped.
    pub fn run<T>(
        &self,
        work: impl FnOnce(&Profile, &Job, &Library, &PathCache) -> T,
    ) -> Option<T> {
        let all = || work(&self.profile, &self.job, &self.library, &self.cache);
        self.progress.run(all).ok()
    }
}

/// Curves as far as they are computed.
pub struct Run {
    basis: Basis,
    number: u64,
    inputs: Inputs,
    /// The points of the axis.
    pub axis: Axis,
    /// Those computed, in order.
    pub points: Vec<SweepPoint>,
}

impl Run {
    /// Whether all points are there.
    pub fn is_complete(&self) -> bool {
        self.points.len() == self.axis.len()
    }
    /// The job whose curves they are.
    pub fn job(&self) -> &Job {
        &self.inputs.job
    }
}

/// What matters most for one wire.
struct Matters {
    basis: Basis,
    wire: usize,
    number: u64,
    progress: Progress,
    list: Option<Vec<Mattering>>,
}

/// Curves and bars, each until its inputs change.
#[derive(Default)]
pub struct Sweeps {
    /// What is varied.
    pub vary: Option<Vary>,
    /// What is drawn.
    pub drawn: Drawn,
    thickness: Option<Run>,
    passes: Option<Run>,
    materials: Option<Run>,
    matters: Option<Matters>,
    number: u64,
}

impl Sweeps {
    /// Curves for the drawing as it is; `None` until they are asked for.
    pub fn run(&self, vary: Vary, file: &OpenFile) -> Option<&Run> {
        let run = match vary {
            Vary::Thickness => &self.thickness,
            Vary::Passes => &self.passes,
            Vary::Material => &self.materials,
        };
        run.as_ref().filter(|r| r.basis == Basis::of(file))
    }
    /// What matters for a wire: `None` until it is asked for, `Some(None)` while it is computed.
    pub fn matters(&self, wire: usize, file: &OpenFile) -> Option<Option<&[Mattering]>> {
        let m = self.matters.as_ref()?;
        (m.basis == Basis::of(file) && m.wire == wire).then_some(m.list.as_deref())
    }
    /// Starts curves; the first point to be computed.
    pub fn start(&mut self, vary: Vary, file: &OpenFile, library: &Arc<Library>) -> Option<Task> {
        if self.run(vary, file).is_some() {
            return None;
        }
        self.number += 1;
        let axis = match vary {
            Vary::Thickness => thicknesses(file.job.thickness),
            Vary::Passes => Axis::all_passes(library),
            Vary::Material => Axis::all_materials(library),
        };
        let run = Run {
            basis: Basis::of(file),
            number: self.number,
            inputs: inputs(file, library),
            axis,
            points: Vec::new(),
        };
        let task = next(&run);
        *self.place(vary) = Some(run);
        task
    }
    /// Starts the bars of a wire.
    pub fn start_matters(
        &mut self,
        wire: usize,
        file: &OpenFile,
        library: &Arc<Library>,
    ) -> Option<Task> {
        if self.matters(wire, file).is_some() {
            return None;
        }
        self.number += 1;
        let inputs = inputs(file, library);
        self.matters = Some(Matters {
            basis: Basis::of(file),
            wire,
            number: self.number,
            progress: inputs.progress.clone(),
            list: None,
        });
        Some(Task::Matters {
            number: self.number,
            inputs,
            wire,
        })
    }
    /// Stops what is computed for a drawing: it has changed.
    pub fn overtake(&self, file: u64) {
        let runs = [&self.thickness, &self.passes, &self.materials];
        let runs = runs.into_iter().flatten();
        let runs = runs.map(|r| (r.basis, &r.inputs.progress));
        let matters = self.matters.iter().map(|m| (m.basis, &m.progress));
        let own = runs.chain(matters).filter(|(basis, _)| basis.file == file);
        own.for_each(|(_, progress)| progress.cancel());
    }
    /// Takes a point; the next one to be computed.
    pub fn take(&mut self, number: u64, point: Option<SweepPoint>) -> Option<Task> {
        for vary in [Vary::Thickness, Vary::Passes, Vary::Material] {
            let Some(run) = self.place(vary).as_mut().filter(|r| r.number == number) else {
                continue;
            };
            run.points.push(point?);
            return next(run);
        }
        None
    }
    /// Takes the bars.
    pub fn take_matters(&mut self, number: u64, list: Vec<Mattering>) {
        if let Some(m) = self.matters.as_mut().filter(|m| m.number == number) {
            m.list = Some(list);
        }
    }
    fn place(&mut self, vary: Vary) -> &mut Option<Run> {
        match vary {
            Vary::Thickness => &mut self.thickness,
            Vary::Passes => &mut self.passes,
            Vary::Material => &mut self.materials,
        }
    }
}

/// What figures of the drawing as it is are computed from.
pub fn inputs(file: &OpenFile, library: &Arc<Library>) -> Inputs {
    Inputs {
        profile: Arc::clone(&file.profile),
        job: Arc::new(file.job.clone()),
        library: Arc::clone(library),
        cache: Arc::clone(&file.cache),
        progress: Progress::default(),
    }
}

fn next(run: &Run) -> Option<Task> {
    (!run.is_complete()).then(|| Task::Point {
        number: run.number,
        inputs: run.inputs.clone(),
        axis: run.axis.clone(),
        point: run.points.len(),
    })
}

/// What a shop meets, and around the job where that lies farther out.
fn thicknesses(job: Length) -> Axis {
    let allowed = Job::THICKNESS_MM;
    let low = (job.mm() / 2.0).min(5.0).max(*allowed.start());
    let high = (job.mm() * 1.6).max(150.0).min(*allowed.end());
    Axis::thicknesses(Length::from_mm(low), Length::from_mm(high), POINTS)
}
