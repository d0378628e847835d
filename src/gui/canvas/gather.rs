//! Marks that would lie on each other stand as one.

use super::baked::Seen;
use egui::emath::{Pos2, Rect};
use std::collections::HashMap;

/// A place that is to be marked.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Where, mm about the model's centre.
    pub at: Pos2,
    /// Side of the squares in which such places are one mark, mm; more than nothing.
    pub wide: f32,
}

/// Places that are one mark, which stands at the first of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Gathered {
    /// Where the mark stands, mm about the model's centre.
    pub at: Pos2,
    /// Which places, by their numbers in the list, ascending.
    pub places: Vec<usize>,
}

/// Gathers places: those in one square are one mark, and so are those of marks nearer than `apart` (mm). Squares lie still
/// on the drawing, so that a view that is moved shows the same marks. Earlier places weigh more: marks come in the
/// order of their first places.
pub fn gather(places: &[Place], apart: f32) -> Vec<Gathered> {
    let square = |p: Pos2, side: f32| ((p.x / side).floor() as i32, (p.y / side).floor() as i32);
    let mut of_square: HashMap<(u32, (i32, i32)), usize> = HashMap::new();
    let mut squares: Vec<Gathered> = Vec::new();
    for (k, place) in places.iter().enumerate() {
        let key = (place.wide.to_bits(), square(place.at, place.wide));
        let own = *of_square.entry(key).or_insert_with(|| {
            squares.push(Gathered {
                at: place.at,
                places: Vec::new(),
            });
            squares.len() - 1
        });
        squares[own].places.push(k);
    }
    // Across the border of two squares marks may still lie on each other.
    let mut standing: HashMap<(i32, i32), Vec<usize>> = HashMap::new();
    let mut out: Vec<Gathered> = Vec::new();
    for mark in squares {
        let (x, y) = square(mark.at, apart);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
        let near = around
            .flat_map(|cell| standing.get(&cell).into_iter().flatten().copied())
            .find(|k| out[*k].at.distance(mark.at) < apart);
        if let Some(near) = near {
            out[near].places.extend(mark.places);
        } else {
            standing.entry((x, y)).or_default().push(out.len());
            out.push(mark);
        }
    }
    for mark in &mut out {
        mark.places.sort_unstable();
    }
    out
}

/// Marks in a part of the screen, and where they are seen; each lies `at` a place, mm about the model's centre.
pub fn in_sight<T>(
    all: &[T],
    (placement, rect): Seen,
    sight: Rect,
    at: impl Fn(&T) -> Pos2,
) -> impl Iterator<Item = (&T, Pos2)> {
    let placed = all
        .iter()
        .map(move |mark| (mark, placement.to_screen(rect, at(mark))));
    placed.filter(move |(_, at)| sight.contains(*at))
}

/// The nearest of some marks to a place, where that is within reach.
pub fn nearest<T>(marks: impl Iterator<Item = (T, Pos2)>, at: Pos2, reach: f32) -> Option<T> {
    let near = marks.map(|(mark, p)| (p.distance(at), mark));
    let near = near.filter(|(distance, _)| *distance <= reach);
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|m| m.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;
    use proptest::prelude::*;

    fn places() -> impl Strategy<Value = Vec<Place>> {
        let one = (-200.0_f32..200.0, -200.0_f32..200.0, prop::bool::ANY);
        let one = one.prop_map(|(x, y, small)| Place {
            at: pos2(x, y),
            wide: if small { 96.0 } else { 24.0 },
        });
        prop::collection::vec(one, 0..300)
    }

    proptest! {
        /// Every place is in one mark, marks stand at a place of their own and keep apart, and none gathers from afar.
        #[test]
        fn all_places_are_marked_and_no_marks_touch(places in places()) {
            let marks = gather(&places, 24.0);
            let mut all: Vec<usize> = marks.iter().flat_map(|m| m.places.iter().copied()).collect();
            all.sort_unstable();
            prop_assert_eq!(all, (0..places.len()).collect::<Vec<_>>());
            for (k, mark) in marks.iter().enumerate() {
                prop_assert!(mark.places.iter().any(|p| places[*p].at == mark.at));
                for other in &marks[..k] {
                    prop_assert!(mark.at.distance(other.at) >= 24.0);
                }
                for p in &mark.places {
                    // The diagonal of its square, and the way to a mark beside it.
                    let far = places[*p].wide * std::f32::consts::SQRT_2 + 24.0;
                    prop_assert!(places[*p].at.distance(mark.at) <= far);
                }
            }
        }
    }

    #[test]
    fn the_nearest_within_reach() {
        let marks = || [('a', pos2(0.0, 0.0)), ('b', pos2(10.0, 0.0))].into_iter();
        assert_eq!(nearest(marks(), pos2(6.0, 0.0), 8.0), Some('b'));
        assert_eq!(nearest(marks(), pos2(30.0, 0.0), 8.0), None);
    }
}
