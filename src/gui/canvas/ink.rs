//! Triangles whose corners are a place of the drawing and an offset from it: while a view is zoomed the places move
//! apart and the offsets stay, so that lines and marks keep their width without being made anew.

use egui::Stroke;
use egui::emath::{Pos2, Rect, Vec2, vec2};
use egui::epaint::{Color32, Mesh, Vertex};

/// A line of at most so many pixels shows one ridge, a wider one a crest with a soft edge on either side. At one pixel
/// both are the same.
const RIDGE: f32 = 1.1;
/// So far the chords of a disc may leave its circle, pixels.
const ROUND: f32 = 0.12;

/// A corner of triangles.
#[derive(Debug, Clone, Copy)]
struct Corner {
    /// Where it belongs to, as the view lay when it was laid down, points.
    at: Pos2,
    /// How far from there it is seen, points.
    off: Vec2,
    colour: Color32,
}

/// How a view lies now to one that something was laid down in: places are scaled and moved, offsets only moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// How many times larger it is.
    pub scale: f32,
    /// Where the corner of the screen of then lies now, points.
    pub by: Vec2,
}

impl Shift {
    /// Nothing moves.
    pub const NONE: Self = Self {
        scale: 1.0,
        by: Vec2::ZERO,
    };
}

/// What has been laid down so far; what comes later lies on top.
pub struct Ink {
    /// Points of a pixel, over which edges fade.
    pixel: f32,
    corners: Vec<Corner>,
    triangles: Vec<u32>,
    /// Points of the line that is being laid down, each with the direction across it there: as long as the corner of a
    /// line of half-width 1 lies away.
    way: Vec<(Pos2, Vec2)>,
}

impl Ink {
    /// Nothing yet, for a screen of so many pixels a point.
    pub fn new(pixels_per_point: f32) -> Self {
        Self {
            pixel: 1.0 / pixels_per_point,
            corners: Vec::new(),
            triangles: Vec::new(),
            way: Vec::new(),
        }
    }
    /// Points of a pixel.
    pub fn pixel(&self) -> f32 {
        self.pixel
    }
    /// Pixels of a point.
    pub fn pixels_per_point(&self) -> f32 {
        1.0 / self.pixel
    }
    fn corner(&mut self, at: Pos2, off: Vec2, colour: Color32) {
        self.corners.push(Corner { at, off, colour });
    }
    fn next(&self) -> u32 {
        self.corners.len() as u32
    }

    /// A line through points; closed where the last is the first again.
    pub fn line(&mut self, points: &[Pos2], stroke: Stroke) {
        self.stroke(points, stroke, None);
    }
    /// A short line from a place, as long at any zoom.
    pub fn tick(&mut self, at: Pos2, way: Vec2, stroke: Stroke) {
        self.stroke(&[at, at + way], stroke, Some(at));
    }
    /// A line around a place, through points beside it, as large at any zoom.
    pub fn around(&mut self, at: Pos2, beside: &[Vec2], stroke: Stroke) {
        let mut points: Vec<Pos2> = beside.iter().map(|d| at + *d).collect();
        points.extend(points.first().copied());
        self.stroke(&points, stroke, Some(at));
    }
    /// A ring around a place.
    pub fn ring(&mut self, at: Pos2, radius: f32, stroke: Stroke) {
        let round = self.round(radius);
        self.around(at, &round, stroke);
    }
    /// A convex mark at a place, with its edge.
    pub fn convex(&mut self, at: Pos2, beside: &[Vec2], fill: Color32, edge: Stroke) {
        let first = self.next();
        beside.iter().for_each(|d| self.corner(at, *d, fill));
        self.fan(first, beside.len(), 1);
        self.around(at, beside, edge);
    }
    /// A disc at a place.
    pub fn disc(&mut self, at: Pos2, radius: f32, colour: Color32) {
        let round = self.round(radius);
        let first = self.next();
        let soft = 0.5 * self.pixel / radius;
        for d in &round {
            self.corner(at, *d * (1.0 - soft), colour);
            self.corner(at, *d * (1.0 + soft), Color32::TRANSPARENT);
        }
        self.fan(first, round.len(), 2);
        self.join(first, round.len(), 2, true);
    }
    /// A box of the drawing that is covered, wider on all sides by so much, without soft edges.
    pub fn rect(&mut self, r: Rect, wider: f32, colour: Color32) {
        let first = self.next();
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let at = Pos2::new(
                if x < 0.0 { r.left() } else { r.right() },
                if y < 0.0 { r.top() } else { r.bottom() },
            );
            self.corner(at, wider * vec2(x, y), colour);
        }
        self.join(first, 2, 2, false);
    }
    /// Ground between two corners above and two below, from the left, without soft edges.
    pub fn ground(&mut self, corners: [Pos2; 4], colour: Color32) {
        let first = self.next();
        for at in corners {
            self.corner(at, Vec2::ZERO, colour);
        }
        self.join(first, 2, 2, false);
    }
    /// A broken line: dashes and the gaps between them, points.
    pub fn dashes(&mut self, points: &[Pos2], stroke: Stroke, (dash, gap): (f32, f32), seen: Rect) {
        let seen = seen.expand(stroke.width);
        let mut run: Vec<Pos2> = points.first().copied().into_iter().collect();
        // What is left of the dash or gap that runs.
        let (mut left, mut inked) = (dash, true);
        for s in points.windows(2) {
            let (way, long) = (s[1] - s[0], (s[1] - s[0]).length());
            let mut done = 0.0;
            while long - done >= left {
                done += left;
                let p = s[0] + way * (done / long);
                if inked {
                    run.push(p);
                    self.dash(&run, stroke, seen);
                }
                run.clear();
                run.push(p);
                inked = !inked;
                left = if inked { dash } else { gap };
            }
            left -= long - done;
            if inked {
                run.push(s[1]);
            }
        }
        if inked {
            self.dash(&run, stroke, seen);
        }
    }
    /// One dash, where it is seen. An upright or level one lies on whole pixels.
    fn dash(&mut self, run: &[Pos2], stroke: Stroke, seen: Rect) {
        let box_around = Rect::from_points(run);
        if !box_around.intersects(seen) {
            return;
        }
        if let [mut a, mut b] = *run {
            let whole = |v: &mut f32| stroke.round_center_to_pixel(1.0 / self.pixel, v);
            if a.x == b.x {
                whole(&mut a.x);
                b.x = a.x;
            } else if a.y == b.y {
                whole(&mut a.y);
                b.y = a.y;
            }
            self.line(&[a, b], stroke);
        } else {
            self.line(run, stroke);
        }
    }

    /// Corners of a circle about a place.
    fn round(&self, radius: f32) -> Vec<Vec2> {
        let turn = (1.0 - ROUND * self.pixel / radius.max(self.pixel)).acos();
        let count = (std::f32::consts::PI / turn).ceil().clamp(8.0, 128.0);
        let angle = |k: u8| std::f32::consts::TAU * f32::from(k) / count;
        (0..count as u8)
            .map(|k| radius * Vec2::angled(angle(k)))
            .collect()
    }
    /// A stroke along points; all of them belong to one place where that is given.
    fn stroke(&mut self, points: &[Pos2], stroke: Stroke, place: Option<Pos2>) {
        if points.len() < 2 || stroke.is_empty() {
            return;
        }
        let closed = points.len() > 3 && points.first() == points.last();
        self.lay(points, closed);
        let (soft, clear, ink) = (self.pixel, Color32::TRANSPARENT, stroke.color);
        let (crest, edge) = (0.5 * (stroke.width - soft), 0.5 * (stroke.width + soft));
        let ridge = stroke.width.max(soft);
        let faded = ink.gamma_multiply((stroke.width / soft).min(1.0));
        let across: &[(f32, Color32)] = if stroke.width <= RIDGE * soft {
            &[(ridge, clear), (0.0, faded), (-ridge, clear)]
        } else {
            &[(edge, clear), (crest, ink), (-crest, ink), (-edge, clear)]
        };
        let (first, wide) = (self.next(), across.len());
        let way = std::mem::take(&mut self.way);
        self.corners.reserve(wide * way.len());
        self.triangles.reserve(6 * wide * way.len());
        for (p, normal) in &way {
            let at = place.unwrap_or(*p);
            for (d, colour) in across {
                self.corner(at, (*p - at) + *d * *normal, *colour);
            }
        }
        self.join(first, way.len(), wide, closed);
        if !closed {
            // The ends fade too.
            let last = self.corners.len() - wide;
            for (end, back) in [(first as usize, 1.0), (last, -1.0)] {
                let normal = way[if back > 0.0 { 0 } else { way.len() - 1 }].1;
                let out = back * soft * normal.rot90();
                self.corners[end].off += out;
                self.corners[end + wide - 1].off += out;
                self.fan(end as u32, wide, 1);
            }
        }
        self.way = way;
    }
    /// The directions across a line: at a corner the mitre, which is cut off where it is sharper than a right angle.
    fn lay(&mut self, points: &[Pos2], closed: bool) {
        let way = &mut self.way;
        way.clear();
        way.reserve(points.len());
        let last = points.len() - 2;
        let side = |k: usize| (points[k + 1] - points[k]).normalized().rot90();
        let mut before = side(if closed { last } else { 0 });
        if !closed {
            way.push((points[0], before));
        }
        for (k, p) in points
            .iter()
            .enumerate()
            .take(last + 1)
            .skip(usize::from(!closed))
        {
            let mut after = side(k);
            // A point that is there twice has no direction of its own.
            if before == Vec2::ZERO {
                before = after;
            } else if after == Vec2::ZERO {
                after = before;
            }
            let mean = 0.5 * (before + after);
            if mean.length_sq() < 0.5 {
                let middle = mean.normalized();
                for one in [before, after] {
                    let cut = 0.5 * (one + middle);
                    way.push((*p, cut / cut.length_sq()));
                }
            } else {
                way.push((*p, mean / mean.length_sq()));
            }
            before = after;
        }
        if !closed {
            way.push((points[last + 1], side(last)));
        }
    }
    /// Triangles between rows of so many corners each that follow each other, and from the last row to the first.
    fn join(&mut self, first: u32, rows: usize, wide: usize, closed: bool) {
        let (rows, wide) = (rows as u32, wide as u32);
        let mut between = |one: u32, other: u32| {
            for k in 0..wide - 1 {
                let (a, b) = (first + one * wide + k, first + other * wide + k);
                self.triangles
                    .extend_from_slice(&[a, a + 1, b, a + 1, b, b + 1]);
            }
        };
        (1..rows).for_each(|k| between(k - 1, k));
        if closed {
            between(rows - 1, 0);
        }
    }
    /// Triangles of a convex ground, of whose corners each is so many after the one before.
    fn fan(&mut self, first: u32, corners: usize, step: u32) {
        for k in 2..corners as u32 {
            self.triangles
                .extend_from_slice(&[first, first + step * (k - 1), first + step * k]);
        }
    }

    /// Where a corner is seen.
    fn seen(c: &Corner, shift: Shift) -> Pos2 {
        Pos2::new(
            c.at.x * shift.scale + (shift.by.x + c.off.x),
            c.at.y * shift.scale + (shift.by.y + c.off.y),
        )
    }
    /// Lays the triangles where a view shows them now; those that are there already are only moved.
    pub fn show(&self, shift: Shift, mesh: &mut Mesh) {
        if mesh.vertices.len() == self.corners.len() && mesh.indices.len() == self.triangles.len() {
            for (v, c) in mesh.vertices.iter_mut().zip(&self.corners) {
                v.pos = Self::seen(c, shift);
            }
            return;
        }
        mesh.indices.clone_from(&self.triangles);
        let vertex = |c: &Corner| Vertex::untextured(Self::seen(c, shift), c.colour);
        mesh.vertices = self.corners.iter().map(vertex).collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::emath::pos2;
    use proptest::prelude::*;

    fn shown(ink: &Ink, shift: Shift) -> Mesh {
        let mut mesh = Mesh::default();
        ink.show(shift, &mut mesh);
        mesh
    }
    /// One of each that can be laid down, with the drawing so many times larger and moved.
    fn all(points: &[Pos2], widths: (f32, f32), shift: Shift) -> Ink {
        let mut ink = Ink::new(1.25);
        let seen = |p: Pos2| (p.to_vec2() * shift.scale + shift.by).to_pos2();
        let points: Vec<Pos2> = points.iter().copied().map(seen).collect();
        let stroke = |width| Stroke::new(width, Color32::WHITE);
        ink.line(&points, stroke(widths.0));
        let closed: Vec<Pos2> = points.iter().chain(points.first()).copied().collect();
        ink.line(&closed, stroke(widths.1));
        let at = points[0];
        ink.tick(at, vec2(3.0, 4.0), stroke(1.0));
        ink.ring(at, 9.0, stroke(2.0));
        ink.disc(at, 3.5, Color32::RED);
        let corners = [Vec2::ZERO, vec2(3.0, 8.0), vec2(-3.0, 8.0)];
        ink.convex(at, &corners, Color32::RED, stroke(1.0));
        ink.rect(Rect::from_two_pos(at, points[1]), 1.0, Color32::RED);
        ink.ground([at, points[1], points[2], points[0]], Color32::RED);
        ink
    }

    proptest! {
        /// Seen in another view, what was laid down once is what would be laid down in that view: every triangle, to
        /// rounding of single precision. So a zoomed line is neither wider nor narrower than a fresh one.
        #[test]
        fn a_zoomed_picture_is_a_fresh_one(
            points in prop::collection::vec((0.0_f32..400.0, 0.0_f32..400.0), 3..40),
            widths in (0.3_f32..9.0, 0.3_f32..9.0),
            scale in 0.3_f32..4.0,
            by in (-500.0_f32..500.0, -500.0_f32..500.0),
        ) {
            let points: Vec<Pos2> = points.into_iter().map(Pos2::from).collect();
            // Where two points all but lie on each other rounding decides their direction.
            let apart = |s: &[Pos2]| s[0].distance(s[1]) > 1.0;
            let ends = [points[points.len() - 1], points[0]];
            prop_assume!(points.windows(2).all(apart) && apart(&ends));
            let shift = Shift { scale, by: by.into() };
            let moved = shown(&all(&points, widths, Shift::NONE), shift);
            let fresh = shown(&all(&points, widths, shift), Shift::NONE);
            prop_assert_eq!(&moved.indices, &fresh.indices);
            for (a, b) in moved.vertices.iter().zip(&fresh.vertices) {
                prop_assert!(a.pos.distance(b.pos) < 0.05, "{} {}", a.pos, b.pos);
                prop_assert_eq!(a.color, b.color);
            }
        }

        /// A line covers its length times its width: where it fades it is counted by how much of it is seen.
        #[test]
        fn a_line_is_as_wide_as_it_says(width in 0.2_f32..6.0, angle in 0.0_f32..6.3) {
            let mut ink = Ink::new(1.0);
            let (a, way) = (pos2(100.0, 100.0), 50.0 * Vec2::angled(angle));
            ink.line(&[a, a + way], Stroke::new(width, Color32::WHITE));
            let mesh = shown(&ink, Shift::NONE);
            let covered: f32 = mesh.triangles().map(|t| {
                let [a, b, c] = t.map(|k| mesh.vertices[k as usize]);
                let (u, v) = (b.pos - a.pos, c.pos - a.pos);
                let seen = [a, b, c].map(|v| f32::from(v.color.a()) / 255.0);
                0.5 * (u.x * v.y - u.y * v.x).abs() * seen.iter().sum::<f32>() / 3.0
            }).sum();
            // Half a pixel more at either end, of which a third to a half is seen.
            let ends = width * (covered / width - 50.0);
            prop_assert!((-0.02 * width..=width + 0.5).contains(&ends), "{covered} of {}", 50.0 * width);
        }
    }

    /// Dashes and gaps in turn, each as long as it says, and no dash where nothing is seen.
    #[test]
    fn a_broken_line_is_broken_where_it_says() {
        let everywhere = Rect::EVERYTHING;
        let corner = [pos2(0.5, 0.5), pos2(10.5, 0.5), pos2(10.5, 90.5)];
        let count = |seen| {
            let mut ink = Ink::new(1.0);
            ink.dashes(&corner, Stroke::new(1.0, Color32::WHITE), (7.0, 5.0), seen);
            ink
        };
        // A hundred points long: eight of twelve, and a dash of which four are left.
        let all = shown(&count(everywhere), Shift::NONE);
        let lengths: usize = all.vertices.iter().filter(|v| v.color.a() > 0).count();
        // Two ends each.
        assert_eq!(lengths, 2 * 9);
        let low = Rect::from_min_max(pos2(-100.0, 50.0), pos2(100.0, 100.0));
        let part = shown(&count(low), Shift::NONE);
        assert!(part.vertices.len() < all.vertices.len());
        assert!(part.vertices.iter().all(|v| v.pos.y > 40.0));
    }
}
