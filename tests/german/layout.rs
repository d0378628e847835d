//! German is longer than English; all the same nothing is cut off or lies over another, and the drawing has its room.

use crate::harness::legible;
use crate::{german, shared};

#[test]
fn the_drawing_has_most_of_the_height_in_every_window() {
    let _german = german();
    legible::in_every_window();
}

#[test]
fn nothing_of_a_page_is_cut_off_or_overlaps() {
    let _german = german();
    legible::on_every_page();
}

#[test]
fn the_samples_are_legible() {
    let _german = german();
    legible::of_the_samples();
}

#[test]
#[ignore = "needs ../shared"]
fn real_drawings_are_legible() {
    let _german = german();
    legible::of_drawings_in(&shared::folder("corpus"));
}
