//! What the table of wires shows: its columns, their order, its height. Kept from one start to the next.

use crate::words::figures;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Whether a column is shown until the user says otherwise; the others are told of the chosen wire.
fn is_usual(head: &str) -> bool {
    let with_difference = [figures::TIME.head, figures::COST.head, figures::UNSOLD.head];
    head == figures::PARTS_A_WEEK.head
        || with_difference.contains(&head.strip_prefix("Δ ").unwrap_or(head))
}
/// The name of a wire, as something to sort by.
pub const BY_NAME: &str = key!("wire and diameter");

/// A column by its head, and the way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sorted {
    /// Head of the column.
    pub by: String,
    /// Largest first.
    pub down: bool,
}

/// The choices of the table.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct WireTable {
    /// By head: whether a column is shown, where that was chosen.
    chosen: BTreeMap<String, bool>,
    /// What the rows are sorted by; without it, as the wires were added.
    pub sorted: Option<Sorted>,
    /// Height in points that the splitter was dragged to; without it, what the rows need.
    pub height: Option<f32>,
    /// Only the chosen wire and the best.
    pub folded: bool,
}

impl WireTable {
    /// Whether a column is shown.
    pub fn shows(&self, head: &str) -> bool {
        let usual = || is_usual(head);
        self.chosen.get(head).copied().unwrap_or_else(usual)
    }
    /// The same with a column shown or hidden.
    #[must_use]
    pub fn with(&self, head: &str, shown: bool) -> Self {
        let mut new = self.clone();
        new.chosen.insert(head.to_owned(), shown);
        new
    }
    /// The same sorted by a column: smallest first, then largest first, then as the wires were added.
    #[must_use]
    pub fn sorted_by(&self, head: &str) -> Self {
        let down = match &self.sorted {
            Some(s) if s.by == head && s.down => None,
            Some(s) if s.by == head => Some(true),
            _ => Some(false),
        };
        let by = head.to_owned();
        Self {
            sorted: down.map(|down| Sorted { by, down }),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_third_click_on_a_head_brings_the_own_order_back() {
        let table = WireTable::default();
        let up = table.sorted_by("cost");
        assert!(up.sorted.as_ref().is_some_and(|s| !s.down));
        let down = up.sorted_by("cost");
        assert!(down.sorted.as_ref().is_some_and(|s| s.down));
        assert_eq!(down.sorted_by("cost"), table);
        // Another head begins anew.
        assert!(down.sorted_by("time").sorted.is_some_and(|s| !s.down));
    }

    #[test]
    fn what_was_chosen_holds_and_the_rest_is_as_usual() {
        let table = WireTable::default().with("Ra", true).with("cost", false);
        assert!(table.shows("Ra") && !table.shows("cost") && table.shows("time"));
        assert!(!table.shows("wire mass"));
    }
}
