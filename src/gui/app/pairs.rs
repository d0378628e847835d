//! Two drawings side by side.

use super::App;
use crate::gui::page::Page;
use crate::gui::pair::Pair;

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
        if self.pair.as_ref().map(|p| p.key) != Some(key) {
            self.pair = Some(Pair::new(key, front, other, &self.library));
        }
    }

    /// Two drawings as they are held against each other.
    pub fn pair(&self) -> Option<&Pair> {
        self.pair.as_ref()
    }
}
