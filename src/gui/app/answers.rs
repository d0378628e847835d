//! What the worker is asked for and what comes back: readings, estimates, paths, explanations.

use super::App;
use crate::drawing::Progress;
use crate::estimate::{self, Question};
use crate::gui::open_file::{Answer, Beside, OpenFile, WireQuestion};
use crate::gui::page::Page;
use crate::gui::scene::course::{Detail, DetailWanted, What};
use crate::gui::set_free::set_free;
use crate::gui::state::Weight;
use crate::gui::worker::{Reply, Request};
use crate::library::Library;
use std::sync::Arc;
use std::time::Instant;

/// Most parts of a drawing that are estimated one by one.
const MOST_PARTS: usize = 100;

impl App {
    pub(super) fn take(&mut self, reply: Reply) {
        match reply {
            Reply::Read { reading, result } => {
                let readings = &mut self.shown.readings;
                readings.retain(|r| !r.progress.is_same(&reading.progress));
                self.take_reading(*reading, result);
            }
            Reply::Detail {
                file,
                number,
                wire,
                result,
            } => self.take_detail(file, number, wire, result),
            Reply::Estimate {
                file,
                number,
                result,
            } => self.take_estimate(file, number, result),
            Reply::Own(done) => self.take_task(*done),
            Reply::Item { id, number, result } => self.take_item(id, number, result),
            Reply::Laid(wanted, found) => self.take_laid(&wanted, found.map(|l| *l)),
        }
    }

    pub(super) fn take_detail(
        &mut self,
        id: u64,
        number: u64,
        wire: usize,
        result: Result<Detail, String>,
    ) {
        let Some(file) = self.files.iter_mut().find(|f| f.id == id) else {
            return;
        };
        match result {
            Ok(Detail::Paths(paths)) => {
                set_free(paths.and_then(|p| file.paths.take(number, wire, p)));
            }
            Ok(Detail::Course(course)) => set_free(file.course.take(number, wire, *course)),
            Ok(Detail::Limits(limits)) => drop(file.limits.take(number, wire, *limits)),
            Ok(Detail::Clock(clocks)) => drop(file.clocks.take(number, wire, *clocks)),
            Ok(Detail::Parts(parts)) => drop(file.parts.take(number, wire, *parts)),
            Ok(Detail::Variants(all)) => set_free(file.variants.take(number, wire, all)),
            Ok(Detail::Ladder(ladder)) => drop(file.ladder.take(number, wire, ladder)),
            // Overtaken by a later question.
            Err(message) if message.is_empty() => {}
            Err(message) => self.say(message, Weight::Fault),
        }
    }

    /// Asks for the estimate of the drawing in front.
    pub(super) fn estimate(&mut self) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        file.awaited += 1;
        // What was asked before is overtaken, and nobody waits for it.
        file.stop_computing();
        self.sweeps.overtake(file.id);
        let progress = Progress::default();
        file.estimating = Some((progress.clone(), Instant::now()));
        file.stopped = false;
        let asked = self.worker.ask(Request::Estimate {
            file: file.id,
            number: file.awaited,
            drawing: Arc::clone(&file.drawing),
            profile: Arc::clone(&file.profile),
            job: Box::new(file.job.clone()),
            library: Arc::clone(&self.library),
            cache: Arc::clone(&file.cache),
            shown: file.shown,
            painted: (file.model.centre, file.model.sagitta),
            progress,
        });
        file.waiting = asked;
        if !asked {
            self.say(
                say!("The thread that estimates has ended. Start Kerfcast again."),
                Weight::Fault,
            );
        }
    }

    pub(super) fn take_estimate(
        &mut self,
        id: u64,
        number: u64,
        result: Result<Box<Answer>, String>,
    ) {
        let Some(file) = self.files.iter_mut().find(|f| f.id == id) else {
            return;
        };
        if number != file.awaited {
            return;
        }
        file.waiting = false;
        file.estimating = None;
        match result {
            Ok(mut answer) => {
                let paths = answer.paths.take().map(|(wire, p)| (number, wire, p));
                let asked = paths.as_ref().map(|p| (p.0, p.1));
                let paths = Beside {
                    asked,
                    answer: paths,
                };
                let paths = std::mem::replace(&mut file.paths, paths);
                set_free((file.answer.replace(*answer), paths.answer));
                file.explained = None;
                self.sync(id);
            }
            // Stopped by the user.
            Err(message) if message.is_empty() => file.stopped = true,
            Err(message) => self.say(message, Weight::Fault),
        }
    }

    /// Asks for what the panels show beside the answer, and makes the explanation while it is open.
    pub(super) fn prepare(&mut self) {
        let page = self.shown.page;
        let library = Arc::clone(&self.library);
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        let Some(answer) = &file.answer else {
            return;
        };
        let estimates = &answer.comparison.estimates;
        file.shown = file.shown.min(estimates.len().saturating_sub(1));
        let wanted = (file.awaited, file.shown);
        if file.is_current() {
            // Until the paths of another wire have come, those of the one before are shown in its colour.
            let mut what = vec![
                (What::Paths, file.paths.asks_for(wanted.0, wanted.1)),
                (What::Course, file.course.asks_for(wanted.0, wanted.1)),
            ];
            if (2..=MOST_PARTS).contains(&file.drawing.parts.len()) {
                what.push((What::Parts, file.parts.asks_for(wanted.0, wanted.1)));
            }
            if page == Some(Page::Limits) {
                what.push((What::Limits, file.limits.asks_for(wanted.0, wanted.1)));
            }
            if page == Some(Page::Night) {
                what.push((What::Clock, file.clocks.asks_for(wanted.0, wanted.1)));
            }
            if page == Some(Page::Quantities) {
                what.push((What::Ladder, file.ladder.asks_for(wanted.0, wanted.1)));
            }
            if page == Some(Page::Variants) {
                // The same for every wire.
                what.push((What::Variants, file.variants.asks_for(wanted.0, 0)));
            }
            for (what, _) in what.into_iter().filter(|w| w.1) {
                // A thread that has ended says so when the next estimate is asked for.
                let mut detail = detail_wanted(file, what, &self.library);
                detail.lots.clone_from(&self.quoting.stationery.quantities);
                let overtaken = file.asking.extract_if(.., |asked| asked.0 == what);
                overtaken.for_each(|(_, progress)| progress.cancel());
                file.asking.push((what, detail.progress.clone()));
                self.worker.ask(Request::Detail(Box::new(detail)));
            }
        }
        let Some(answer) = &file.answer else {
            return;
        };
        let estimates = &answer.comparison.estimates;
        if page == Some(Page::Why) {
            let asked = file.asked.unwrap_or(WireQuestion {
                wire: file.shown,
                question: Question::Minutes,
            });
            let stale = file.explained.as_ref().is_none_or(|(a, _)| *a != asked);
            if let (true, Some(e)) = (stale, estimates.get(asked.wire)) {
                file.explained = estimate::explain(asked.question, &answer.job, &library, e)
                    .map(|figure| (asked, figure));
            }
        }
    }
}

fn detail_wanted(file: &OpenFile, what: What, library: &Arc<Library>) -> DetailWanted {
    let points = &file.drawing.points;
    DetailWanted {
        file: file.id,
        number: file.awaited,
        wire: if what == What::Variants {
            0
        } else {
            file.shown
        },
        what,
        profile: Arc::clone(&file.profile),
        job: Box::new(file.job.clone()),
        library: Arc::clone(library),
        cache: Arc::clone(&file.cache),
        parts: match what {
            What::Parts => file.drawing.parts.clone(),
            What::Paths
            | What::Course
            | What::Limits
            | What::Clock
            | What::Ladder
            | What::Variants => Vec::new(),
        },
        lots: Vec::new(),
        progress: Progress::default(),
        points: points.iter().map(|p| *p - file.profile.origin()).collect(),
        centre: file.model.centre,
        sagitta: file.model.sagitta,
    }
}
