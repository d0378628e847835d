//! Two drawings side by side, and a drawing against its variants.

use super::App;
use crate::gui::laid::{Laid, LaidWanted};
use crate::gui::page::Page;
use crate::gui::pair::{Laying, Pair};
use crate::gui::worker::Request;
use std::sync::Arc;

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
            self.laying = Laying {
                wanted: Some(wanted.clone()),
                found: None,
            };
            // Its own estimates go through the same thread.
            let of = front.id;
            self.worker.ask(Request::Lay(of, Box::new(wanted)));
        }
        let laid = self.laying.found.clone();
        let is_of = |p: &Pair| p.is_of(key, laid.as_ref());
        if !self.pair.as_ref().is_some_and(is_of) {
            self.pair = Some(Pair::new(key, front, other, laid, &self.library));
        }
    }

    /// Takes how two drawings lie on each other, unless another pair is awaited by now.
    pub(super) fn take_laid(&mut self, wanted: &LaidWanted, found: Option<Laid>) {
        if self.laying.wanted.as_ref() == Some(wanted) {
            self.laying.found = found.map(Arc::new);
        }
    }

    /// Two drawings as they are held against each other.
    pub fn pair(&self) -> Option<&Pair> {
        self.pair.as_ref()
    }
}
