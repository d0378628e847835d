//! Which of many boxes meet another: the first, cheap look before anything is computed of pairs.

use super::point::Bounds;
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

/// An index of boxes, known by their place in the list that it was made from.
pub struct Boxes {
    index: Option<StaticAABB2DIndex<f64>>,
    /// Places in the list of the boxes that hold anything.
    places: Vec<usize>,
}

impl Boxes {
    /// Of a list of boxes; empty ones meet nothing.
    pub fn of(list: impl IntoIterator<Item = Bounds>) -> Self {
        let (places, full): (Vec<usize>, Vec<Bounds>) = list
            .into_iter()
            .enumerate()
            .filter(|(_, b)| !b.is_empty())
            .unzip();
        let mut builder = StaticAABB2DIndexBuilder::new(full.len());
        for b in full {
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        Self {
            index: builder.build().ok(),
            places,
        }
    }
    /// Places of the boxes that meet this one, touching included, ascending.
    pub fn meeting(&self, b: &Bounds) -> Vec<usize> {
        let mut found = Vec::new();
        self.visit(b, |k| found.push(k));
        found.sort_unstable();
        found
    }
    /// Calls with the place of every box that meets this one, touching included, in no order.
    pub fn visit(&self, b: &Bounds, mut found: impl FnMut(usize)) {
        if let Some(index) = &self.index {
            let mut tell = |k: usize| found(self.places[k]);
            index.visit_query(b.min.x, b.min.y, b.max.x, b.max.y, &mut tell);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    fn around(x: f64, y: f64, size: f64) -> Bounds {
        Bounds {
            min: Point::new(x, y),
            max: Point::new(x + size, y + size),
        }
    }

    #[test]
    fn boxes_that_meet_are_found_in_their_order() {
        let list = [
            around(10.0, 0.0, 2.0),
            Bounds::EMPTY,
            around(0.0, 0.0, 2.0),
            around(1.0, 1.0, 10.0),
        ];
        let boxes = Boxes::of(list);
        assert_eq!(boxes.meeting(&around(1.5, 1.5, 0.1)), [2, 3]);
        // An edge in common counts.
        assert_eq!(boxes.meeting(&around(12.0, 0.0, 1.0)), [0]);
        assert_eq!(boxes.meeting(&around(40.0, 0.0, 1.0)), [0; 0]);
        assert_eq!(Boxes::of([]).meeting(&around(0.0, 0.0, 1.0)), [0; 0]);
    }

    /// Against a look at each box.
    #[test]
    fn as_many_as_a_look_at_each() {
        let list: Vec<Bounds> = (0..400_u32)
            .map(|k| {
                let of = |m: u32| f64::from((k * m) % 97);
                around(of(31), of(57), 0.1 * of(13))
            })
            .collect();
        let boxes = Boxes::of(list.iter().copied());
        for b in &list {
            let plain: Vec<usize> = (0..list.len())
                .filter(|&k| {
                    let a = &list[k];
                    a.min.x <= b.max.x
                        && a.max.x >= b.min.x
                        && a.min.y <= b.max.y
                        && a.max.y >= b.min.y
                })
                .collect();
            assert_eq!(boxes.meeting(b), plain);
        }
    }
}
