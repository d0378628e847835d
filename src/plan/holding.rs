//! What holds a piece until somebody is there to let it go: its tab.

use crate::geometry::{Contour, Point};
use crate::units::{Length, Mass};

/// Acceleration of gravity, m/s² (standard value, ISO 80000-3).
const GRAVITY: f64 = 9.806_65;
/// Longest share of a contour that is left as a tab; a piece that needs more wants support (judgement).
pub const LARGEST_TAB: f64 = 0.25;

/// A piece that comes loose at a contour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// The heaviest that the contour drops.
    pub mass: Mass,
    /// Its centre of gravity, mm about the profile's origin.
    pub centroid: Point,
    /// Pieces that the contour drops; more than one where the kerf of the rough takes the necks between them.
    pub count: usize,
}

/// Length of the tab that a piece needs, t = max(shortest, 6·W·a/(σ·H²)).
///
/// The tab bends like a cantilever: W the piece's weight, a (`reach`) from the tab's middle to the centre of
/// gravity, H the thickness, σ (`stress`, N/mm²) what the tab may bear. Computed; the stress is a judgement.
pub fn tab_needed(
    mass: Mass,
    reach: Length,
    thickness: Length,
    stress: f64,
    shortest: Length,
) -> Length {
    let bending = 6.0 * mass.kg() * GRAVITY * reach.mm();
    let bears = stress * thickness.mm() * thickness.mm();
    if bears > 0.0 && bending.is_finite() {
        shortest.max(Length::from_mm(bending / bears))
    } else {
        shortest
    }
}

/// How a tab holds its piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// As it should.
    Well,
    /// It would have to be as long that a second tab halves it.
    WantsSecondTab,
    /// A quarter of the contour is not enough.
    WantsSupport,
    /// The user's own tab is shorter than the piece needs.
    TooShort,
}

impl Holds {
    /// From what is left, what is needed, what is shortest and what the contour allows.
    pub(super) fn of(tab: Length, needed: Length, shortest: Length, most: Length) -> Self {
        if needed > most && needed > shortest {
            Self::WantsSupport
        } else if tab < needed.min(most) {
            Self::TooShort
        } else if needed >= shortest * 2.0 && needed > shortest {
            Self::WantsSecondTab
        } else {
            Self::Well
        }
    }
    /// What to do about it; `None` where it holds.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Self::Well => None,
            Self::WantsSecondTab => Some(say!(
                "Support the piece before the skims, or leave a second tab opposite: each then needs half the length."
            )),
            Self::WantsSupport => Some(say!(
                "Support needed before the skims: a tab over a quarter of the contour does not hold this piece."
            )),
            Self::TooShort => Some(say!(
                "The tab is shorter than the piece's weight needs. Support the piece before the skims, or lengthen the tab."
            )),
        }
    }
}

/// Centre of area of a closed contour, arcs followed to a thousandth of a millimetre.
pub fn centroid(contour: &Contour) -> Point {
    if let Some((centre, _)) = contour.as_circle() {
        return centre;
    }
    let points = contour.flattened(0.001);
    let Some(&first) = points.first() else {
        return Point::ORIGIN;
    };
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    // About a point of the contour, so that nothing is lost far from the origin.
    for (k, &a) in points.iter().enumerate() {
        let b = points[(k + 1) % points.len()];
        let (a, b) = (a - first, b - first);
        let cross = a.x * b.y - b.x * a.y;
        area += cross;
        x += (a.x + b.x) * cross;
        y += (a.y + b.y) * cross;
    }
    if area.abs() < f64::MIN_POSITIVE {
        return first;
    }
    first + Point::new(x / (3.0 * area), y / (3.0 * area))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tab_of_a_plate_of_200_by_200() {
        // Steel of 7700 kg/m³, tab in the middle of a side: 9.061 mm at 10 mm, the shortest tab at 100 mm; from an
        // independent script.
        let tab = |h: f64| {
            let mass = Mass::from_kg(0.2 * 0.2 * h * 1e-3 * 7700.0);
            tab_needed(
                mass,
                Length::from_mm(100.0),
                Length::from_mm(h),
                20.0,
                Length::from_mm(3.0),
            )
            .mm()
        };
        assert!((tab(10.0) - 9.061).abs() < 5e-4, "{}", tab(10.0));
        assert_eq!(tab(100.0), 3.0);
    }

    #[test]
    fn centres_of_area() {
        let l = Contour::polygon(&[
            (1000.0, 0.0),
            (1004.0, 0.0),
            (1004.0, 2.0),
            (1002.0, 2.0),
            (1002.0, 6.0),
            (1000.0, 6.0),
        ]);
        // Two rectangles of 8 mm² each about (1002, 1) and (1001, 4).
        assert!(centroid(&l).distance(Point::new(1001.5, 2.5)) < 1e-9);
        let c = Contour::circle(Point::new(3.0, -4.0), 2.5);
        assert!(centroid(&c).distance(Point::new(3.0, -4.0)) < 1e-3);
    }

    #[test]
    fn what_a_tab_wants() {
        let mm = Length::from_mm;
        let of = |tab, needed, most| Holds::of(mm(tab), mm(needed), mm(3.0), mm(most));
        assert_eq!(of(3.0, 3.0, 50.0), Holds::Well);
        assert_eq!(of(5.0, 5.0, 50.0), Holds::Well);
        assert_eq!(of(9.0, 9.0, 50.0), Holds::WantsSecondTab);
        assert_eq!(of(20.0, 60.0, 50.0), Holds::WantsSupport);
        assert_eq!(of(3.0, 5.0, 50.0), Holds::TooShort);
        // A contour so small that the shortest tab is more than a quarter of it holds all the same.
        assert_eq!(of(1.0, 3.0, 1.0), Holds::Well);
    }
}
