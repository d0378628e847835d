//! Places of a contour that no round wire of this plan reaches.

use super::style::count;
use super::{System, within};
use crate::units::Length;

/// "1 place the wire can't reach".
pub fn number(places: usize) -> String {
    count(
        places,
        say!("place the wire can't reach"),
        say!("places the wire can't reach"),
    )
}

/// Places that lie together on the screen, of any kind.
pub fn together(places: usize, deepest: Length, system: System) -> String {
    let what = number(places);
    say!("{what}, up to {} deep", within::fine(deepest, system))
}

/// Places of one kind on one contour: how many, where and how deep.
pub fn sentence(
    sharp: bool,
    places: usize,
    contour: usize,
    deepest: Length,
    system: System,
) -> String {
    let what = match (sharp, places) {
        (true, 1) => say!("1 sharp corner").to_owned(),
        (true, n) => say!("{n} sharp corners"),
        (false, 1) => say!("1 tight place").to_owned(),
        (false, n) => say!("{n} tight places"),
    };
    say!(
        "{what} of contour {} that the wire can't reach, up to {} deep",
        contour + 1,
        within::fine(deepest, system)
    )
}
