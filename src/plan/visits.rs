//! What is done at a contour, visit by visit.

use super::contour_paths::ContourPaths;
use crate::job::{CutOff, Job, contour_key};
use crate::profile::{Profile, Role};

/// Work at one contour that nothing interrupts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Lead-in and rough up to the tab; rings first where the waste is eroded.
    Rough,
    /// The rough of waste that falls apart: somebody stays with it, and all of its pieces leave at once.
    RoughAndOut,
    /// The stop, the tab's rough, the slug out: before the skims.
    CutOffRough,
    /// Skims up to the tab.
    Skims,
    /// Skims all the way round: the piece has gone.
    SkimsAllRound,
    /// The stop, the tab's rough, the piece out, then the skims of the tab's stretch in an opening.
    CutOff,
}

impl Act {
    /// The rounds in which contours are visited when all roughs come first: what leaves before its skims leaves
    /// before any skim, and what holds its piece to the end is cut off when nothing else is left to do.
    pub const ROUNDS: [&[Self]; 4] = [
        &[Self::Rough, Self::RoughAndOut],
        &[Self::CutOffRough],
        &[Self::Skims, Self::SkimsAllRound],
        &[Self::CutOff],
    ];
}

/// The acts at a contour in order.
///
/// A part, and a slug that holds other cut contours, are never cut off before the skims. Where nothing comes
/// loose, because the waste is eroded or the kerf takes all of it, nothing is held and nobody is waited for. Waste
/// that falls apart during the rough (`falls_apart`) leaves right after it.
pub fn acts(paths: &ContourPaths, job: &Job, profile: &Profile, falls_apart: bool) -> Vec<Act> {
    let skims = paths.passes.len() > 1;
    let choice = job.choice(contour_key(&profile.contours()[paths.contour]));
    let before = choice.cut_off.unwrap_or(job.cut_off) == CutOff::BeforeSkims
        && paths.role == Role::Opening
        && !paths.holds_others;
    if falls_apart && !paths.holds_others {
        return if skims {
            vec![Act::RoughAndOut, Act::SkimsAllRound]
        } else {
            vec![Act::RoughAndOut]
        };
    }
    match (paths.rings.is_some(), before, skims) {
        (true, _, true) => vec![Act::Rough, Act::SkimsAllRound],
        (true, _, false) => vec![Act::Rough],
        (false, true, true) => vec![Act::Rough, Act::CutOffRough, Act::SkimsAllRound],
        (false, false, true) => vec![Act::Rough, Act::Skims, Act::CutOff],
        (false, _, false) => vec![Act::Rough, Act::CutOff],
    }
}
