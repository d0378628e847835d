//! Undo and redo, of whatever is decided step by step: a drawing's job, the shop's library, its finished cuts.

/// Most steps back.
const MOST: usize = 100;

/// What undo goes back to and redo forward to. What is in force now lies with whoever decides it.
#[derive(Debug, Clone, PartialEq)]
pub struct Undo<T> {
    earlier: Vec<T>,
    later: Vec<T>,
}

impl<T> Default for Undo<T> {
    fn default() -> Self {
        Self {
            earlier: Vec::new(),
            later: Vec::new(),
        }
    }
}

impl<T: PartialEq> Undo<T> {
    /// Remembers what was in force before a change. What had been taken back until then is given up.
    pub fn remember(&mut self, before: T) {
        self.later.clear();
        self.earlier.push(before);
        if self.earlier.len() > MOST {
            self.earlier.remove(0);
        }
    }
    /// What undo (`back`) or redo would bring into force.
    pub fn beside(&self, back: bool) -> Option<&T> {
        let list = if back { &self.earlier } else { &self.later };
        list.last()
    }
    /// Goes back, or forward again; what is to be in force then. `None` where there is nothing else.
    pub fn go(&mut self, back: bool, now: T) -> Option<T> {
        let (from, to) = if back {
            (&mut self.earlier, &mut self.later)
        } else {
            (&mut self.later, &mut self.earlier)
        };
        while let Some(other) = from.pop() {
            // A change that failed left what was in force before it: that step is none.
            if other != now {
                to.push(now);
                return Some(other);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn back_and_forth_brings_everything_again() {
        let mut undo = Undo::default();
        let mut now = 0;
        for next in 1..=3 {
            undo.remember(now);
            now = next;
        }
        let mut go = |back, now: &mut i32| undo.go(back, *now).map(|other| *now = other).is_some();
        assert!(go(true, &mut now) && go(true, &mut now) && now == 1);
        assert!(go(false, &mut now) && now == 2);
        assert!(go(true, &mut now) && go(true, &mut now) && now == 0);
        assert!(!go(true, &mut now) && now == 0);
    }

    #[test]
    fn a_new_change_gives_up_what_was_taken_back() {
        let mut undo = Undo::default();
        undo.remember("a");
        assert_eq!(undo.go(true, "b"), Some("a"));
        undo.remember("a");
        assert_eq!(undo.go(false, "c"), None);
        assert_eq!(undo.go(true, "c"), Some("a"));
    }

    #[test]
    fn a_change_that_failed_is_no_step() {
        let mut undo = Undo::default();
        undo.remember("a");
        undo.remember("b");
        // The second change came to nothing: "b" is still in force.
        assert_eq!(undo.go(true, "b"), Some("a"));
    }

    #[test]
    fn only_so_many_steps_are_kept() {
        let mut undo = Undo::default();
        for k in 0..MOST + 5 {
            undo.remember(k);
        }
        let mut now = MOST + 5;
        while let Some(other) = undo.go(true, now) {
            now = other;
        }
        assert_eq!(now, 5);
    }
}
