//! Two drawings side by side, and a drawing against its variants.

use super::App;
use crate::gui::laid::{Laid, LaidWanted};
use crate::gui::page::Page;
use crate::gui::pair::{Laying, Pair};
use crate::gui::worker::Request;
use std::sync::Arc;
use std::time::Instant;

impl App {
    /// Holds the drawing in front against the other one while that page is open; only when one of them has changed.
    pub(super) fn prepare_pair(&mut self) {
        let Some(front) = self.files.get(self.front) else {
            self.pair = None;
            return;
        };
        if self.shown.page != Some(Page::Compare) {
            return;
        }
        let others = || self.files.iter().filter(|f| f.id != front.id);
        let chosen = others().find(|f| Some(f.id) == self.shown.against);
        let Some(other) = chosen.or_else(|| others().next_back()) else {
            self.pair = None;
            return;
        };
        if !front.is_current() || !other.is_current() {
            return;
        }
        let key = Pair::key(front, other);
        let wanted = LaidWanted::new(front, other);
        if self.laying.wanted.as_ref() != Some(&wanted) {
            self.laying.stop();
            self.laying = Laying {
                wanted: Some(wanted.clone()),
                since: Some(Instant::now()),
                found: None,
            };
            let of = front.id;
            self.worker.ask(Request::Lay(of, Box::new(wanted)));
        }
        let laid = self.laying.found.clone();
        let is_of = |p: &Pair| p.is_of(key, laid.as_ref());
        if !self.pair.as_ref().is_some_and(is_of) {
            self.pair = Some(Pair::new(key, front, other, laid, &self.library));
        }
    }

    /// Takes how two drawings lie on each other, unless another pair is awaited by now, or the same one anew.
    pub(super) fn take_laid(&mut self, wanted: &LaidWanted, found: Option<Laid>) {
        let awaited = self.laying.progress();
        if awaited.is_some_and(|p| p.is_same(&wanted.progress)) {
            if found.is_none() {
                // A fault of ours reads as stopped: it can be tried again.
                self.laying.stop();
            }
            self.laying.found = found.map(Arc::new);
        }
    }

    /// Stops laying one drawing over the other, or begins once more.
    pub(super) fn lay(&mut self, again: bool) {
        if again {
            self.laying = Laying::default();
        } else {
            self.laying.stop();
        }
    }

    /// Two drawings as they are held against each other.
    pub fn pair(&self) -> Option<&Pair> {
        self.pair.as_ref()
    }
}
