//! A drawing to scale: what is cut, what is not, the wire's way, and where it is threaded.

use super::pages::{Ink, Mark};
use super::typeset::{Font, line};
use crate::estimate::Estimate;
use crate::geometry::{Bounds, Contour, Point, Segment};
use crate::job::{Job, cut_contours};
use crate::profile::Profile;

/// Points of a millimetre.
const PT_PER_MM: f64 = 72.0 / 25.4;
/// Chords may lie this far from the curve, pt: finer than a printed dot.
const SAGITTA: f64 = 0.03;
/// Scales that drawings are made at (ISO 5455:1979, from memory), drawn size over true size.
const STEPS: [f64; 3] = [1.0, 2.0, 5.0];
/// More numbers than this make a picture unreadable.
const MOST_NUMBERS: usize = 60;
/// Size of a number beside a start hole, pt.
const NUMBER_SIZE: f32 = 6.5;

/// A drawing in millimetres, y upwards.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    cut: Vec<Contour>,
    left_out: Vec<Contour>,
    open: Vec<Vec<Segment>>,
    wire: Vec<Contour>,
    holes: Vec<(Point, String)>,
    bounds: Bounds,
    /// Its true size in words.
    pub size: String,
}

/// How large a picture is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnAt {
    /// Drawn size over true size: one of 1, 2 or 5 times a power of ten, or its inverse.
    pub scale: f64,
    /// Width and height, pt.
    pub size: (f32, f32),
}

impl DrawnAt {
    /// "1:2", "10:1".
    pub fn words(&self) -> String {
        if self.scale >= 1.0 {
            format!("{:.0}:1", self.scale)
        } else {
            format!("1:{:.0}", 1.0 / self.scale)
        }
    }
}

impl Picture {
    /// Of what is cut; `None` where nothing is. Size in words as given.
    pub fn of(profile: &Profile, job: &Job, size: impl Fn(Point) -> String) -> Option<Self> {
        let cut: Vec<Contour> = cut_contours(job, profile)
            .map(|(_, c)| c.shape.clone())
            .collect();
        let open = profile.open().iter().filter(|c| job.cuts_on_line(c));
        let open: Vec<Vec<Segment>> = open.map(|c| c.segments.clone()).collect();
        let mut bounds = Bounds::EMPTY;
        cut.iter().for_each(|c| bounds.include_bounds(&c.bounds()));
        for s in open.iter().flatten() {
            bounds.include_bounds(&s.bounds());
        }
        if bounds.is_empty() {
            return None;
        }
        let within = |c: &Contour| {
            let b = c.bounds();
            b.min.x >= bounds.min.x
                && b.max.x <= bounds.max.x
                && b.min.y >= bounds.min.y
                && b.max.y <= bounds.max.y
        };
        let left_out = profile.contours().iter().filter(|c| !job.cuts(c));
        Some(Self {
            left_out: left_out
                .map(|c| c.shape.clone())
                .filter(|c| within(c))
                .collect(),
            size: size(bounds.size()),
            cut,
            open,
            wire: Vec::new(),
            holes: Vec::new(),
            bounds,
        })
    }
    /// With the rough's path of a wire and its start holes, numbered in the order of cutting.
    #[must_use]
    pub fn with_wire(mut self, estimate: &Estimate) -> Self {
        let rough = estimate.paths.iter().filter(|p| p.pass.is_rough());
        self.wire = rough.flat_map(|p| p.loops.iter().cloned()).collect();
        let starts = estimate.figures.iter().flat_map(|f| &f.starts);
        let threaded = starts.filter(|s| s.threaded).enumerate();
        self.holes = threaded
            .map(|(k, s)| (s.start.hole, (k + 1).to_string()))
            .collect();
        for wire in &self.wire {
            self.bounds.include_bounds(&wire.bounds());
        }
        self.holes.iter().for_each(|h| self.bounds.include(h.0));
        self
    }
    /// The largest usual scale at which it fits.
    pub fn fitted(&self, width: f32, height: f32) -> DrawnAt {
        let size = self.bounds.size();
        let most = (f64::from(width) / (size.x * PT_PER_MM).max(1e-9))
            .min(f64::from(height) / (size.y * PT_PER_MM).max(1e-9));
        let scale = usual_scale(most);
        let drawn = |mm: f64| (mm * PT_PER_MM * scale) as f32;
        DrawnAt {
            scale,
            size: (drawn(size.x), drawn(size.y)),
        }
    }
    /// Its marks with the upper left corner at a place.
    pub(super) fn marks(&self, at: (f32, f32), drawn: &DrawnAt) -> Vec<Mark> {
        let pt = PT_PER_MM * drawn.scale;
        let sagitta = SAGITTA / pt;
        let place = |p: &Point| {
            let x = f64::from(at.0) + (p.x - self.bounds.min.x) * pt;
            let y = f64::from(at.1) + (self.bounds.max.y - p.y) * pt;
            (x as f32, y as f32)
        };
        let chain =
            |c: &Contour| -> Vec<(f32, f32)> { c.flattened(sagitta).iter().map(place).collect() };
        let shape = |chains: Vec<_>, closed, fill, stroke, dashed| Mark::Shape {
            chains,
            closed,
            fill,
            stroke,
            dashed,
        };
        let mut out = Vec::new();
        if !self.left_out.is_empty() {
            let chains = self.left_out.iter().map(chain).collect();
            out.push(shape(chains, true, None, Some((0.4, Ink::Hair)), true));
        }
        let chains = self.cut.iter().map(chain).collect();
        let line = Some((0.7, Ink::Text));
        out.push(shape(chains, true, Some(Ink::Material), line, false));
        if !self.open.is_empty() {
            let chain = |segments: &Vec<Segment>| {
                let mut points = segments.first().map_or(Vec::new(), |s| vec![s.a]);
                for s in segments {
                    s.flatten_into(sagitta, &mut points);
                }
                points.iter().map(place).collect()
            };
            let chains = self.open.iter().map(chain).collect();
            out.push(shape(chains, false, None, line, false));
        }
        if !self.wire.is_empty() {
            let chains = self.wire.iter().map(chain).collect();
            out.push(shape(chains, true, None, Some((0.35, Ink::Wire)), false));
        }
        let numbered = self.holes.len() <= MOST_NUMBERS;
        for (hole, number) in &self.holes {
            let (x, y) = place(hole);
            let dot = Contour::circle(Point::ORIGIN, 1.1).flattened(0.02);
            let dot = dot.iter().map(|p| (x + p.x as f32, y + p.y as f32));
            let fill = Some(Ink::Wire);
            out.push(shape(vec![dot.collect()], true, fill, None, false));
            if numbered {
                out.push(Mark::Text {
                    x: x + 2.2,
                    y: y - 1.6,
                    line: line_of(number),
                    size: NUMBER_SIZE,
                    ink: Ink::Wire,
                });
            }
        }
        out
    }
}

fn line_of(number: &str) -> super::typeset::Line {
    line(number, Font::Regular, NUMBER_SIZE)
}

/// The largest usual scale that is not above `most`.
fn usual_scale(most: f64) -> f64 {
    if !most.is_finite() || most <= 0.0 {
        return 1.0;
    }
    let mut best = 1e-6;
    for power in -6..=4 {
        let ten = 10f64.powi(power);
        for step in STEPS {
            // Reductions are the inverse of enlargements: 1:2, 1:5.
            let scale = if power < 0 {
                1.0 / (step / ten / 10.0)
            } else {
                step * ten
            };
            if scale <= most * (1.0 + 1e-9) && scale > best {
                best = scale;
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_those_of_the_standard() {
        for (most, scale) in [
            (1.0, 1.0),
            (1.9, 1.0),
            (2.0, 2.0),
            (9.9, 5.0),
            (70.0, 50.0),
            (0.99, 0.5),
            (0.49, 0.2),
            (0.15, 0.1),
            (0.06, 0.05),
            (0.021, 0.02),
        ] {
            let found = usual_scale(most);
            assert!((found - scale).abs() < 1e-12, "{most}: {found}");
        }
        let at = |scale| DrawnAt {
            scale,
            size: (0.0, 0.0),
        };
        assert_eq!(at(0.5).words(), "1:2");
        assert_eq!(at(10.0).words(), "10:1");
    }
}
