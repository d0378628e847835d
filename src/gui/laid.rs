//! Two open drawings laid over each other: asked for once for a pair, found on a thread.

use super::open_file::OpenFile;
use super::scene::Ghost;
use crate::drawing::Progress;
use crate::geometry::{Motion, Point};
use crate::profile::{Profile, Revision};
use std::sync::Arc;

/// The two drawings, what of them is cut, and how the one in front is painted.
#[derive(Clone)]
pub struct LaidWanted {
    /// The other drawing.
    pub before: Arc<Profile>,
    /// Of each of its contours, whether it is cut.
    pub cut_before: Vec<bool>,
    /// The drawing in front.
    pub after: Arc<Profile>,
    /// Of each of its contours, whether it is cut.
    pub cut_after: Vec<bool>,
    /// What the canvas counts from.
    pub centre: Point,
    /// Largest distance of chord and arc, mm.
    pub sagitta: f64,
    /// How far it is, and the way to stop it.
    pub progress: Progress,
}

/// The same contours, of which the same are cut.
impl PartialEq for LaidWanted {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.before, &other.before)
            && Arc::ptr_eq(&self.after, &other.after)
            && self.cut_before == other.cut_before
            && self.cut_after == other.cut_after
    }
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// What differs.
    pub revision: Revision,
    /// How the other drawing was moved, from its coordinates to those of the drawing in front.
    pub motion: Motion,
    /// As it is painted over the drawing in front.
    pub ghost: Arc<Ghost>,
}

impl LaidWanted {
    /// Of the drawing in front and another one.
    pub fn new(front: &OpenFile, other: &OpenFile) -> Self {
        Self {
            before: Arc::clone(&other.profile),
            cut_before: other.job.cut_mask(&other.profile),
            after: Arc::clone(&front.profile),
            cut_after: front.job.cut_mask(&front.profile),
            centre: front.model.centre,
            sagitta: front.model.sagitta,
            progress: Progress::default(),
        }
    }
    /// Lays the other drawing over the one in front; nothing where that was stopped.
    pub fn find(&self) -> Option<Laid> {
        let before = (&*self.before, self.cut_before.as_slice());
        let after = (&*self.after, self.cut_after.as_slice());
        let revision = Revision::of(before, after, &self.progress).ok()?;
        let others = self.before.contours().iter().zip(&self.cut_before);
        let others = others.filter(|c| *c.1).map(|c| &c.0.shape);
        let others = others.map(|c| revision.motion.contour(c));
        let open = self.before.open().iter();
        let open = open.map(|c| c.segments.iter().map(|s| revision.motion.segment(s)));
        let ghost = Ghost::new(&revision, others, open, (self.centre, self.sagitta));
        Some(Laid {
            motion: revision.motion_of_drawings(&self.before, &self.after),
            ghost: Arc::new(ghost),
            revision,
        })
    }
}
