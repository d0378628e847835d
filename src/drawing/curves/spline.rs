//! Splines: knots put right, cut into rational Béziers, each one measured and turned into arcs.

use super::fit_points::through_fit_points;
use super::frame::Frame;
use super::quadrature::{Measure, joined, measure};
use crate::drawing::format::{Cancelled, LARGEST_NUMBER, Progress, SPLINE_DEGREE, SplineData};
use crate::geometry::{Point, Segment, biarc};

/// A spline in the plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// Lines and arcs within the biarc tolerance.
    pub segments: Vec<Segment>,
    /// True measure.
    pub measure: Measure,
    /// Knots or degree were put right.
    pub repaired: bool,
    /// It was drawn through fit points.
    pub from_fit_points: bool,
}

/// A rational Bézier piece.
struct Bezier {
    /// Control points times weight, and weight.
    points: Vec<[f64; 3]>,
    /// The commonest piece, of degree 3 and without weights: its four points once more.
    cubic: Option<[Point; 4]>,
}

/// Degree, knots and weighted control points that agree.
struct Nurbs {
    degree: usize,
    knots: Vec<f64>,
    control: Vec<[f64; 3]>,
    repaired: bool,
}

/// The spline seen from above in a frame; `None` where the data make no curve.
pub fn cut(
    data: &SplineData,
    frame: &Frame,
    progress: &Progress,
) -> Result<Option<Made>, Cancelled> {
    let from_fit_points = data.control.is_empty();
    let (beziers, repaired) = if from_fit_points {
        (
            through_fit_points(data, frame)
                .map(|list| list.into_iter().map(Bezier::plain).collect()),
            false,
        )
    } else {
        match Nurbs::of(data, frame) {
            Some(nurbs) => (Some(nurbs.beziers(progress)?), nurbs.repaired),
            None => (None, false),
        }
    };
    let Some(beziers) = beziers else {
        return Ok(None);
    };
    let scale = beziers.iter().map(Bezier::reach).fold(0.0, f64::max);
    // Beyond all bounds no halving comes down to the tolerance.
    if scale.is_nan() || scale > LARGEST_NUMBER {
        return Ok(None);
    }
    let (mut segments, mut measures) = (Vec::new(), Vec::new());
    for b in beziers.iter().filter(|b| !b.is_point()) {
        progress.check()?;
        let (start, end) = (b.at(0.0).0, b.at(1.0).0);
        if b.is_straight() {
            segments.push(Segment::line(start, end));
            measures.push((
                start,
                end,
                Measure {
                    length: start.distance(end),
                    area: 0.0,
                },
            ));
            continue;
        }
        let f = |t: f64| b.at(t);
        segments.extend(biarc::arcs(&f, 0.0, 1.0, biarc::tolerance_for(scale)));
        measures.push((start, end, measure(&f, 0.0, 1.0, scale)));
    }
    segments.retain(|s| s.a != s.b);
    let finite = segments
        .iter()
        .all(|s| s.a.is_finite() && s.b.is_finite() && s.bulge.is_finite());
    let measure = joined(measures);
    Ok((finite && measure.length.is_finite()).then_some(Made {
        segments,
        measure,
        repaired,
        from_fit_points,
    }))
}

impl Nurbs {
    /// Puts knots right where writers are known to differ: the degree that the knots imply; periodic
    /// knots without their repetition; no knots at all, taken as uniform and clamped.
    fn of(data: &SplineData, frame: &Frame) -> Option<Self> {
        let n = data.control.len();
        let weighted = data.weights.len() == n;
        if weighted && data.weights.iter().any(|&w| w <= 0.0) {
            return None;
        }
        let mut repaired = !weighted && !data.weights.is_empty();
        let mut control: Vec<[f64; 3]> = data
            .control
            .iter()
            .enumerate()
            .map(|(i, &p)| {
                let w = if weighted { data.weights[i] } else { 1.0 };
                let q = frame.point(p);
                [q.x * w, q.y * w, w]
            })
            .collect();
        let mut knots = data.knots.clone();
        let mut degree = data.degree;
        if knots.is_empty() {
            degree = degree.clamp(1, n.checked_sub(1)?.max(1));
            let spans = n.checked_sub(degree)?;
            knots = (0..=n + degree)
                .map(|i| i.saturating_sub(degree).min(spans) as f64)
                .collect();
            repaired = true;
        } else if knots.len() != n + degree + 1 {
            repaired = true;
            if knots.len() > n + 1 {
                degree = knots.len() - n - 1;
            } else if knots.len() == n + 1 && degree >= 1 && n >= degree {
                let period = knots[n] - knots[0];
                let before = knots[n - degree..n].iter().map(|k| k - period);
                let after = knots[1..=degree].iter().map(|k| k + period);
                knots = before.chain(knots.iter().copied()).chain(after).collect();
                control.extend_from_within(..degree);
            } else {
                return None;
            }
        }
        let sound = (1..=SPLINE_DEGREE).contains(&degree)
            && control.len() > degree
            && knots.windows(2).all(|k| k[0] <= k[1]);
        sound.then_some(Self {
            degree,
            knots,
            control,
            repaired,
        })
    }

    /// Control points of the piece between two knots are values of the blossom: its arguments are the
    /// two knots, mixed (L. Ramshaw, "Blossoms are polar forms", CAGD 6 (1989)).
    fn beziers(&self, progress: &Progress) -> Result<Vec<Bezier>, Cancelled> {
        let p = self.degree;
        let shortest = 1e-14 * (self.knots[self.control.len()] - self.knots[p]).abs();
        (p..self.control.len())
            .filter(|&i| self.knots[i + 1] - self.knots[i] > shortest)
            .map(|i| {
                progress.check()?;
                Ok(Bezier::of((0..=p).map(|j| self.blossom(i, j)).collect()))
            })
            .collect()
    }

    /// The blossom of span `i` with `ends` arguments at its end and the others at its start.
    fn blossom(&self, i: usize, ends: usize) -> [f64; 3] {
        let p = self.degree;
        let mut d: Vec<[f64; 3]> = self.control[i - p..=i].to_vec();
        for r in 1..=p {
            let t = if r <= ends {
                self.knots[i + 1]
            } else {
                self.knots[i]
            };
            for j in (r..=p).rev() {
                let k = i - p + j;
                let (low, high) = (self.knots[k], self.knots[k + p - r + 1]);
                let a = (t - low) / (high - low);
                d[j] = std::array::from_fn(|c| (1.0 - a) * d[j - 1][c] + a * d[j][c]);
            }
        }
        d[p]
    }
}

impl Bezier {
    fn of(points: Vec<[f64; 3]>) -> Self {
        let cubic = match points[..] {
            [a, b, c, d] if [a, b, c, d].iter().all(|p| p[2] == 1.0) => {
                Some([a, b, c, d].map(|[x, y, _]| Point::new(x, y)))
            }
            _ => None,
        };
        Self { points, cubic }
    }
    fn plain(points: [Point; 4]) -> Self {
        Self::of(points.iter().map(|p| [p.x, p.y, 1.0]).collect())
    }
    /// Position and derivative, by de Casteljau's corner cutting.
    fn at(&self, t: f64) -> biarc::Sample {
        if let Some([a, b, c, d]) = self.cubic {
            let cut = |p: Point, q: Point| p * (1.0 - t) + q * t;
            let (p, q, r) = (cut(a, b), cut(b, c), cut(c, d));
            let (u, v) = (cut(p, q), cut(q, r));
            return (cut(u, v), (v - u) * 3.0);
        }
        let p = self.points.len() - 1;
        let mut d = [[0.0; 3]; SPLINE_DEGREE + 1];
        d[..=p].copy_from_slice(&self.points);
        for r in (1..p).rev() {
            for j in 0..=r {
                d[j] = std::array::from_fn(|c| (1.0 - t) * d[j][c] + t * d[j + 1][c]);
            }
        }
        let slope: [f64; 3] = std::array::from_fn(|c| p as f64 * (d[1][c] - d[0][c]));
        let value: [f64; 3] = std::array::from_fn(|c| (1.0 - t) * d[0][c] + t * d[1][c]);
        let at = Point::new(value[0] / value[2], value[1] / value[2]);
        let derivative = Point::new(slope[0] - at.x * slope[2], slope[1] - at.y * slope[2]);
        (at, derivative * (1.0 / value[2]))
    }
    fn point(&self, i: usize) -> Point {
        let [x, y, w] = self.points[i];
        Point::new(x / w, y / w)
    }
    fn points(&self) -> impl Iterator<Item = Point> + '_ {
        (0..self.points.len()).map(|i| self.point(i))
    }
    /// Largest coordinate.
    fn reach(&self) -> f64 {
        self.points()
            .map(|p| p.x.abs().max(p.y.abs()))
            .fold(0.0, f64::max)
    }
    fn is_point(&self) -> bool {
        let first = self.point(0);
        self.points().all(|p| p == first)
    }
    /// All control points on the chord, in order: a line however it is parametrised.
    fn is_straight(&self) -> bool {
        let a = self.point(0);
        let chord = self.point(self.points.len() - 1) - a;
        let length = chord.norm();
        let mut last = 0.0;
        length > 0.0
            && self.points().all(|p| {
                let q = p - a;
                let along = q.dot(chord) / length;
                let forward = along >= last - 1e-12 * length;
                last = along;
                forward && (chord.cross(q) / length).abs() <= 1e-9 * length
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::format::Vec3;
    use std::f64::consts::{FRAC_1_SQRT_2, PI, TAU};
    fn cut(data: &SplineData, frame: &Frame) -> Option<Made> {
        super::cut(data, frame, &Progress::default()).unwrap()
    }

    /// The full circle of nine control points: L. Piegl and W. Tiller, The NURBS Book, 7.5.
    fn circle(r: f64) -> SplineData {
        let w = FRAC_1_SQRT_2;
        let ring = [
            (1, 0),
            (1, 1),
            (0, 1),
            (-1, 1),
            (-1, 0),
            (-1, -1),
            (0, -1),
            (1, -1),
            (1, 0),
        ];
        SplineData {
            degree: 2,
            knots: [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4].map(f64::from).to_vec(),
            control: ring
                .iter()
                .map(|&(x, y)| [f64::from(x) * r, f64::from(y) * r, 0.0])
                .collect(),
            weights: vec![1.0, w, 1.0, w, 1.0, w, 1.0, w, 1.0],
            ..SplineData::default()
        }
    }

    #[test]
    fn a_rational_circle_is_a_circle() {
        let made = cut(&circle(7.0), &Frame::WORLD).unwrap();
        assert!((made.measure.length - 14.0 * PI).abs() < 1e-11);
        assert!((made.measure.area - 49.0 * PI).abs() < 1e-10);
        assert!(
            made.segments
                .iter()
                .all(|s| (s.radius() - 7.0).abs() < 1e-6)
        );
        assert!(!made.repaired);
    }

    #[test]
    fn the_degree_follows_the_knots() {
        let wrong = SplineData {
            degree: 3,
            ..circle(7.0)
        };
        let made = cut(&wrong, &Frame::WORLD).unwrap();
        assert!(made.repaired && (made.measure.length - 14.0 * PI).abs() < 1e-11);
    }

    #[test]
    fn a_straight_cubic_is_one_line() {
        let data = SplineData {
            degree: 3,
            knots: vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0],
            control: vec![[0.0; 3], [1.0, 1.0, 0.0], [2.0, 2.0, 0.0], [3.0, 3.0, 0.0]],
            ..SplineData::default()
        };
        let made = cut(&data, &Frame::WORLD).unwrap();
        assert_eq!(made.segments.len(), 1);
        assert!((made.measure.length - 18.0_f64.sqrt()).abs() < 1e-12);
        let pole = SplineData {
            weights: vec![1.0, 0.0, -1.0, 1.0],
            ..data
        };
        assert!(cut(&pole, &Frame::WORLD).is_none());
    }

    #[test]
    fn fit_points_on_a_circle_come_near_it() {
        let fit: Vec<Vec3> = (0..=16)
            .map(|k| {
                let p = Point::at_angle(TAU * f64::from(k) / 16.0) * 10.0;
                [p.x, p.y, 0.0]
            })
            .collect();
        let up = [0.0, 1.0, 0.0];
        let data = SplineData {
            fit,
            start_tangent: up,
            end_tangent: up,
            ..SplineData::default()
        };
        let made = cut(&data, &Frame::WORLD).unwrap();
        // Cubic interpolation of a circle at 22.5° errs by about h⁴/384·r ≈ 6e-4 of the radius.
        assert!((made.measure.length - 20.0 * PI).abs() < 0.05);
        assert!(made.from_fit_points);
    }
}
