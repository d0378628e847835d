//! What the page of the plan asks for.

use super::App;
use crate::estimate::Way;
use crate::gui::open_file::Beside;
use crate::gui::page::Page;
use crate::gui::planning::{PlanAction, Planning};
use crate::gui::state::Action;
use crate::gui::tasks::Task;
use crate::job::Confirmed;

impl App {
    /// Plans as far as they are computed.
    pub fn planning(&self) -> &Planning {
        &self.planning
    }

    pub(super) fn plan(&mut self, action: PlanAction) {
        match action {
            PlanAction::Wish(wish) => {
                if let Some(file) = self.files.get_mut(self.front) {
                    file.wish = wish;
                    let id = file.id;
                    self.sync(id);
                }
            }
            PlanAction::Take(way) => self.take_way(&way),
            PlanAction::Arrange(arrangement) => {
                if let Some(file) = self.files.get_mut(self.front) {
                    file.arrangement = arrangement;
                    let id = file.id;
                    self.sync(id);
                }
            }
        }
    }

    /// Plans, and pieces together, are worked out while their page is looked at.
    pub(super) fn prepare_plans(&mut self) {
        let Some(file) = self.files.get(self.front).filter(|f| !f.waiting) else {
            return;
        };
        let task = match self.shown.page {
            Some(Page::Plan) => self.planning.start(file, &self.library).map(Task::Plan),
            Some(Page::Quantities) => {
                let wanted = self.planning.start_together(file, &self.library);
                wanted.map(Task::Together)
            }
            _ => None,
        };
        if let Some(task) = task {
            self.ask_task(task);
        }
    }

    /// The job is cut so from now on, and quoted on that wire; undo takes both back.
    fn take_way(&mut self, way: &Way) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        let wire = file.job.candidates.iter().position(|c| *c == way.candidate);
        let mut job = file.job.clone();
        job.passes = way.passes;
        job.order = way.order;
        job.cut_off = way.cut_off;
        job.begin = way.begin;
        let (id, before) = (file.id, file.decided());
        file.quoted = wire.or(file.quoted);
        // One step back takes job and wire back together.
        if job == file.job {
            if file.decided() != before {
                file.undo.remember(before);
                self.sync(id);
            }
        } else {
            self.edit_from(before, job, Confirmed::default());
        }
        if let Some(wire) = wire {
            self.look_at(&Action::Show(wire));
        }
    }

    /// Prices by quantity are worked out anew when they are looked at.
    pub(super) fn forget_ladders(&mut self) {
        for file in &mut self.files {
            file.ladder = Beside::default();
        }
    }
}
