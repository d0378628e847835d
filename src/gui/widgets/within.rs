//! Contents in a place of their own.

use egui::{Ui, UiBuilder};

/// Lays contents out where `place` says; what comes next stays where it would have been without them.
///
/// A place in a row or a head is known beforehand, so its contents must not push anything.
pub fn within<R>(ui: &mut Ui, place: UiBuilder, contents: impl FnOnce(&mut Ui) -> R) -> R {
    contents(&mut ui.new_child(place))
}
