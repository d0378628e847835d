//! What is not known about each kind of step.

use super::range::{Overhead, Slopes};
use crate::plan::{ContourPlan, Step, StepKind};
use crate::process::cutting_rate::RoughConditions;

/// What the minutes and the wire of each kind of step move with.
pub(super) struct StepDoubts {
    /// By plan: rough, skims.
    cutting: Vec<[Slopes; 2]>,
    /// The same for the wire that runs off meanwhile.
    wire: Vec<[Slopes; 2]>,
    threading: Slopes,
    stops: Slopes,
    moves: Slopes,
    /// By plan: there are as many as the hours of roughing.
    breaks: Vec<Slopes>,
    wasted: Slopes,
    wasted_at_breaks: Vec<Slopes>,
}

impl StepDoubts {
    pub(super) fn new(base: &RoughConditions<'_>, plans: &[ContourPlan], by_hand: bool) -> Self {
        let one = |o: Overhead| Slopes::of_overheads(&[(o, 1.0)]);
        let cutting: Vec<[Slopes; 2]> = plans
            .iter()
            .map(|p| [0.0, 1.0].map(|skim| Slopes::of_cutting(&p.conditions(base), skim)))
            .collect();
        let breaks = cutting
            .iter()
            .map(|c| c[0].clone().plus(&one(Overhead::Breaks)));
        let breaks: Vec<Slopes> = breaks.collect();
        let wasted = one(Overhead::ThreadingWaste);
        let wire = cutting.iter();
        let wire = wire.map(|c| [0, 1].map(|k| Slopes::of_wire(&c[k], base.run)));
        Self {
            wire: wire.collect(),
            cutting,
            threading: one(if by_hand {
                Overhead::ThreadingByHand
            } else {
                Overhead::Threading
            }),
            stops: one(Overhead::Stops),
            moves: one(Overhead::Moves),
            wasted_at_breaks: breaks.iter().map(|b| b.clone().plus(&wasted)).collect(),
            breaks,
            wasted,
        }
    }
    /// What the minutes of a step move with.
    pub(super) fn of_time(&self, step: &Step) -> &Slopes {
        match step.kind {
            StepKind::Move => &self.moves,
            StepKind::Threading => &self.threading,
            StepKind::Secure | StepKind::SlugStop | StepKind::PartStop => &self.stops,
            StepKind::Breaks => &self.breaks[step.plan],
            _ => &self.cutting[step.plan][usize::from(step.is_skim())],
        }
    }
    /// What its wire moves with.
    pub(super) fn of_wire(&self, step: &Step) -> &Slopes {
        match step.kind {
            StepKind::Threading => &self.wasted,
            StepKind::Breaks => &self.wasted_at_breaks[step.plan],
            _ => &self.wire[step.plan][usize::from(step.is_skim())],
        }
    }
}
