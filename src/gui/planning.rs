//! The plan that is wanted, and several pieces together: computed by the worker while its page is looked at.

use super::latest::Latest;
use super::open_file::OpenFile;
use super::sweeps::{Basis, Inputs, inputs};
use crate::drawing::Progress;
use crate::estimate::together::{Arrangement, Nest, Stack, nest, stacks};
use crate::estimate::{Answer, Way, Wish, wanted_plan};
use crate::library::Library;
use std::sync::Arc;

/// What the page asks for.
#[derive(Debug, Clone)]
pub enum PlanAction {
    /// What the plan has to reach.
    Wish(Wish),
    /// The job is cut so.
    Take(Box<Way>),
    /// How several pieces are cut together.
    Arrange(Arrangement),
}

/// Plans that are wanted.
pub struct PlanWanted {
    /// Number of the request.
    pub number: u64,
    inputs: Inputs,
    wish: Wish,
}

impl PlanWanted {
    /// Tries them all; `None` where a later question overtook it.
    pub fn work(&self) -> Option<Answer> {
        self.inputs.run(|profile, job, library, cache| {
            wanted_plan(profile, job, library, &self.wish, cache)
        })
    }
}

/// Plates and stacks that are wanted.
pub struct TogetherWanted {
    /// Number of the request.
    pub number: u64,
    inputs: Inputs,
    wire: usize,
    arrangement: Arrangement,
}

/// What several pieces come to together.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// The plate they are cut from; `None` where nothing is cut.
    pub nest: Option<Nest>,
    /// Stacks of plates, one plate first; none where the wire cannot do it.
    pub stacks: Vec<Stack>,
}

impl TogetherWanted {
    /// Works it out; `None` where a later question overtook it.
    pub fn work(&self) -> Option<Together> {
        let Arrangement {
            in_a_plate,
            spacing,
            highest,
        } = self.arrangement;
        self.inputs.run(|profile, job, library, cache| {
            let count = in_a_plate.unwrap_or(job.quantity);
            let wire = job.candidates.get(self.wire);
            let stacked = |wire| stacks(profile, job, library, wire, highest, cache);
            Together {
                nest: nest(profile, job, library, count, spacing),
                stacks: wire.map_or_else(Vec::new, stacked),
            }
        })
    }
}

/// Stops what is under way for what is asked now.
fn overtake(under_way: &mut Option<Progress>, inputs: &Inputs) {
    if let Some(before) = under_way.replace(inputs.progress.clone()) {
        before.cancel();
    }
}

/// Plans, and pieces together, until what they rest on changes.
#[derive(Default)]
pub struct Planning {
    plans: Latest<(Basis, Wish), Box<Answer>>,
    /// What is under way, to be stopped by the next question.
    searching: Option<Progress>,
    arranging: Option<Progress>,
    together: Latest<(Basis, usize, Arrangement), Together>,
}

impl Planning {
    /// The last plans of a drawing, with what they were to reach; overtaken ones until the next are there.
    pub fn answer(&self, file: &OpenFile) -> Option<(&Answer, &Wish)> {
        let ((basis, wish), answer) = self.plans.last()?;
        basis.is_of(file).then_some((answer, wish))
    }
    /// Whether they are those of the job as it is.
    pub fn is_current(&self, file: &OpenFile) -> bool {
        self.plans.is_to((Basis::of(file), file.wish))
    }
    /// Starts the search, unless it is under way.
    pub fn start(&mut self, file: &OpenFile, library: &Arc<Library>) -> Option<PlanWanted> {
        let number = self.plans.ask((Basis::of(file), file.wish))?;
        let inputs = inputs(file, library);
        overtake(&mut self.searching, &inputs);
        Some(PlanWanted {
            number,
            inputs,
            wish: file.wish,
        })
    }
    /// Takes plans; overtaken ones are dropped.
    pub fn take(&mut self, number: u64, answer: Box<Answer>) {
        self.plans.take(number, answer);
    }
    /// Pieces together, as far as they are of this drawing; whether they are those of the job as it is.
    pub fn together(&self, file: &OpenFile) -> (Option<&Together>, bool) {
        let now = (Basis::of(file), file.shown, file.arrangement);
        let last = self.together.last().filter(|(k, _)| k.0.is_of(file));
        (last.map(|l| l.1), self.together.is_to(now))
    }
    /// Works plates and stacks out, unless that is under way.
    pub fn start_together(
        &mut self,
        file: &OpenFile,
        library: &Arc<Library>,
    ) -> Option<TogetherWanted> {
        let now = (Basis::of(file), file.shown, file.arrangement);
        let number = self.together.ask(now)?;
        let inputs = inputs(file, library);
        overtake(&mut self.arranging, &inputs);
        Some(TogetherWanted {
            number,
            inputs,
            wire: file.shown,
            arrangement: file.arrangement,
        })
    }
    /// Takes plates and stacks.
    pub fn take_together(&mut self, number: u64, together: Together) {
        self.together.take(number, together);
    }
}
