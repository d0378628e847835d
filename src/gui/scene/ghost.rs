//! Another drawing over the one in front, as a ghost: where it lies, and where both differ.

use super::{Line, near};
use crate::geometry::{Contour, Point, Segment};
use crate::profile::{RevisedKind, Revision};
use egui::emath::Pos2;

/// What a line of the ghost is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stretch {
    /// The other drawing, all of it.
    Other,
    /// What was there before and is no more.
    Gone,
    /// What is new.
    New,
}

/// Where a contour differs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GhostMark {
    /// Its place in the list of the revision.
    pub place: usize,
    /// What became of it.
    pub kind: RevisedKind,
    /// Where it is told, mm about the model's centre.
    pub at: Pos2,
}

/// The lines and marks, about the centre of the model in front.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ghost {
    /// The other drawing first, then what is gone, then what is new.
    pub lines: Vec<(Stretch, Line)>,
    /// One for each contour or open curve that differs.
    pub marks: Vec<GhostMark>,
}

impl Ghost {
    /// Of a revision, whose lines lie about the origin of the profile in front; `others` are the contours of the other
    /// drawing laid there, `open` its open curves. Chords leave their arcs by `sagitta` at most, mm.
    pub fn new<S: IntoIterator<Item = Segment>>(
        revision: &Revision,
        others: impl IntoIterator<Item = Contour>,
        open: impl IntoIterator<Item = S>,
        (centre, sagitta): (Point, f64),
    ) -> Self {
        let whole = |c: Contour| (Stretch::Other, Line::new(c.flattened(sagitta), centre));
        let mut lines: Vec<_> = others.into_iter().map(whole).collect();
        for curve in open {
            let curve: Vec<Segment> = curve.into_iter().collect();
            let chords = chains(&curve, sagitta).into_iter();
            lines.extend(chords.map(|points| (Stretch::Other, Line::new(points, centre))));
        }
        let mut marks = Vec::new();
        for (place, c) in revision.differing() {
            let gone = chains(&c.old_line, sagitta);
            let new = chains(&c.new_line, sagitta);
            let told = new.iter().chain(&gone).max_by_key(|points| points.len());
            if let Some(points) = told {
                let at = near(points[points.len() / 2], centre);
                let kind = c.kind;
                marks.push(GhostMark { place, kind, at });
            }
            let line = |stretch| move |points: Vec<Point>| (stretch, Line::new(points, centre));
            lines.extend(gone.into_iter().map(line(Stretch::Gone)));
            lines.extend(new.into_iter().map(line(Stretch::New)));
        }
        lines.sort_by_key(|l| match l.0 {
            Stretch::Other => 0,
            Stretch::Gone => 1,
            Stretch::New => 2,
        });
        Self { lines, marks }
    }
}

/// Segments that follow each other, as chains of chords.
fn chains(segments: &[Segment], sagitta: f64) -> Vec<Vec<Point>> {
    const TOGETHER: f64 = 1e-6;
    let mut out: Vec<Vec<Point>> = Vec::new();
    for s in segments {
        let goes_on =
            |points: &&mut Vec<Point>| points.last().is_some_and(|p| p.distance(s.a) < TOGETHER);
        if let Some(points) = out.last_mut().filter(goes_on) {
            s.flatten_into(sagitta, points);
        } else {
            let mut points = vec![s.a];
            s.flatten_into(sagitta, &mut points);
            out.push(points);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Profile;

    #[test]
    fn a_hole_that_grew_is_a_ring_of_old_and_one_of_new_with_one_mark() {
        let plate = |r: f64| {
            let outline = Contour::polygon(&[(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]);
            Profile::of_shapes([outline, Contour::circle(Point::new(10.0, 5.0), r)])
        };
        let (before, after) = (plate(2.0), plate(2.5));
        let all = [true, true];
        let revision = Revision::of_the_same((&before, &all), (&after, &all));
        let others = before.contours().iter().map(|c| c.shape.clone());
        let none: [Vec<Segment>; 0] = [];
        let ghost = Ghost::new(&revision, others, none, (Point::new(10.0, 5.0), 1e-3));
        let count = |s: Stretch| ghost.lines.iter().filter(|l| l.0 == s).count();
        assert_eq!(
            [Stretch::Other, Stretch::Gone, Stretch::New].map(count),
            [2, 1, 1]
        );
        assert_eq!(ghost.marks.len(), 1);
        let at = ghost.marks[0].at.to_vec2();
        assert!((at.length() - 2.5).abs() < 1e-2, "{at:?}");
    }
}
