//! What differs between two drawings of one part: contours that were added, removed, moved or changed, and where.

use super::laid_over::{Lines, best_motion, looked_at, middle_of};
use super::same::SAME;
use super::{Profile, ProfileContour};
use crate::geometry::{Bounds, Contour, Motion, Point, Segment};
use crate::units::Length;

/// A contour that shares at least this of its line with another one is that one, changed.
const SHARED: f64 = 0.15;
/// So is one whose box and that of the other have at least this in common, of what both cover.
const SAME_PLACE: f64 = 0.3;
/// Pieces that a segment is cut into to see where it differs.
const MOST_PIECES: usize = 200;

/// What became of a contour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RevisedKind {
    /// It is as it was.
    Same,
    /// It has its shape and lies elsewhere, so far off.
    Moved(Length),
    /// It has another shape.
    Changed,
    /// It is new.
    Added,
    /// It is gone.
    Removed,
}

impl RevisedKind {
    /// The fixed word that is written in JSON and shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Same => say!("same"),
            Self::Moved(_) => say!("moved"),
            Self::Changed => say!("changed"),
            Self::Added => say!("added"),
            Self::Removed => say!("removed"),
        }
    }
}

/// One contour before, after, or both.
#[derive(Debug, Clone, PartialEq)]
pub struct Revised {
    /// What became of it.
    pub kind: RevisedKind,
    /// Its index before; `None` where it was added.
    pub before: Option<usize>,
    /// Its index after; `None` where it was removed.
    pub after: Option<usize>,
    /// Where its line is new: all of an added one, of a changed one what lies on no line of before. mm about the
    /// origin of the profile after.
    pub new_line: Vec<Segment>,
    /// Where its line was before and is no more, laid over the profile after.
    pub old_line: Vec<Segment>,
}

/// Two drawings of a part, one laid over the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Revision {
    /// From coordinates about the origin of the profile before to those about the origin of the one after.
    pub motion: Motion,
    /// In the order of the profile after, then what was removed. Contours that neither job cuts are left out.
    pub contours: Vec<Revised>,
}

impl Revision {
    /// The drawings as they lie best on each other; `None` as soon as `stop` says so. `cut_…` says of every contour
    /// whether it is cut; what is not is as good as not drawn.
    pub fn of(
        before: (&Profile, &[bool]),
        after: (&Profile, &[bool]),
        stop: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let as_drawn = Motion {
            shift: before.0.origin.place() - after.0.origin,
            ..Motion::NONE
        };
        let found = best_motion(before, after, stop);
        if stop() {
            return None;
        }
        Some(Self::laid(before, after, found.unwrap_or(as_drawn)))
    }
    /// The drawings as they lie on each other under a motion.
    pub fn laid(
        (before, cut_before): (&Profile, &[bool]),
        (after, cut_after): (&Profile, &[bool]),
        motion: Motion,
    ) -> Self {
        let olds = laid_contours(before, cut_before, |c| motion.contour(&c.shape));
        let news = laid_contours(after, cut_after, |c| c.shape.clone());
        Self {
            motion,
            contours: paired(&olds, &news),
        }
    }
    /// A drawing and what was made of it: each contour is held against the one with its number, where it lies.
    pub fn of_the_same(
        (before, cut_before): (&Profile, &[bool]),
        (after, cut_after): (&Profile, &[bool]),
    ) -> Self {
        let shape = |p: &Profile, k: usize| p.contours[k].shape.clone();
        let count = before.contours.len().min(after.contours.len());
        let is_cut = |mask: &[bool], k: usize| mask.get(k).copied().unwrap_or(false);
        let contours = (0..count).filter_map(|k| {
            let (old, new) = (shape(before, k), shape(after, k));
            let one = |kind| Revised {
                kind,
                before: Some(k),
                after: Some(k),
                new_line: Vec::new(),
                old_line: Vec::new(),
            };
            match (is_cut(cut_before, k), is_cut(cut_after, k)) {
                (true, true) if old == new => Some(one(RevisedKind::Same)),
                (true, true) => Some(Revised {
                    new_line: off_line(&new, &old),
                    old_line: off_line(&old, &new),
                    ..one(RevisedKind::Changed)
                }),
                (true, false) => Some(Revised {
                    after: None,
                    old_line: old.segments().collect(),
                    ..one(RevisedKind::Removed)
                }),
                (false, true) => Some(Revised {
                    before: None,
                    new_line: new.segments().collect(),
                    ..one(RevisedKind::Added)
                }),
                (false, false) => None,
            }
        });
        Self {
            motion: Motion::NONE,
            contours: contours.collect(),
        }
    }
    /// The motion from the coordinates of one drawing to those of the other.
    pub fn motion_of_drawings(&self, before: &Profile, after: &Profile) -> Motion {
        let vector = |[x, y]: [f64; 2]| Point::new(x, y);
        let zero = vector(before.origin().place().xy());
        let there = vector((self.motion.shift + after.origin()).xy());
        Motion {
            shift: there - self.motion.direction(zero),
            ..self.motion
        }
    }
    /// Whether nothing was added, removed, moved or changed.
    pub fn is_same(&self) -> bool {
        self.contours.iter().all(|c| c.kind == RevisedKind::Same)
    }
    /// What differs, with its place in the list.
    pub fn differing(&self) -> impl Iterator<Item = (usize, &Revised)> {
        let all = self.contours.iter().enumerate();
        all.filter(|(_, c)| c.kind != RevisedKind::Same)
    }
}

/// A contour where it lies.
struct Laid {
    number: usize,
    shape: Contour,
    bounds: Bounds,
}

fn laid_contours(
    profile: &Profile,
    cut: &[bool],
    place: impl Fn(&ProfileContour) -> Contour,
) -> Vec<Laid> {
    let all = profile.contours().iter().enumerate().zip(cut);
    all.filter(|(_, cut)| **cut)
        .map(|((number, c), _)| {
            let shape = place(c);
            Laid {
                number,
                bounds: shape.bounds(),
                shape,
            }
        })
        .collect()
}

/// What both boxes cover in common, of what either covers.
fn common(a: &Bounds, b: &Bounds) -> f64 {
    let overlap = |a0: f64, a1: f64, b0: f64, b1: f64| (a1.min(b1) - a0.max(b0)).max(0.0);
    let both =
        overlap(a.min.x, a.max.x, b.min.x, b.max.x) * overlap(a.min.y, a.max.y, b.min.y, b.max.y);
    let area = |b: &Bounds| b.size().x * b.size().y;
    let either = area(a) + area(b) - both;
    if either > 0.0 { both / either } else { 0.0 }
}

/// Pairs, best first: shares of the points of one that lie on each of the others, by their place in the list.
fn shares_on(c: &Contour, lines: &Lines) -> Vec<(usize, f64)> {
    let points = looked_at(c);
    let mut hits: Vec<(usize, usize)> = Vec::new();
    for p in &points {
        for owner in lines.owners_at(*p) {
            match hits.iter_mut().find(|h| h.0 == owner) {
                Some(h) => h.1 += 1,
                None => hits.push((owner, 1)),
            }
        }
    }
    let count = points.len().max(1) as f64;
    hits.into_iter()
        .map(|(owner, n)| (owner, n as f64 / count))
        .collect()
}

/// Which is which: first those that lie on each other whole, then what shares most, then what has only moved.
fn paired(olds: &[Laid], news: &[Laid]) -> Vec<Revised> {
    let lines = |list: &[Laid]| Lines::of(list.iter().enumerate().map(|(k, l)| (k, &l.shape)));
    let (old_lines, new_lines) = (lines(olds), lines(news));
    let there: Vec<_> = olds
        .iter()
        .map(|o| shares_on(&o.shape, &new_lines))
        .collect();
    let back: Vec<_> = news
        .iter()
        .map(|n| shares_on(&n.shape, &old_lines))
        .collect();
    let share =
        |list: &[(usize, f64)], k: usize| list.iter().find(|s| s.0 == k).map_or(0.0, |s| s.1);
    let mut of_new: Vec<Option<usize>> = vec![None; news.len()];
    let mut of_old: Vec<Option<usize>> = vec![None; olds.len()];
    let mut same = vec![false; news.len()];
    for (i, shares) in there.iter().enumerate() {
        let whole =
            |s: &&(usize, f64)| s.1 >= 1.0 && of_new[s.0].is_none() && share(&back[s.0], i) >= 1.0;
        if let Some(&(j, _)) = shares.iter().find(whole) {
            (of_old[i], of_new[j], same[j]) = (Some(j), Some(i), true);
        }
    }
    let mut open: Vec<(f64, usize, usize)> = Vec::new();
    for (i, o) in olds.iter().enumerate().filter(|o| of_old[o.0].is_none()) {
        for (j, n) in news.iter().enumerate().filter(|n| of_new[n.0].is_none()) {
            let place = common(&o.bounds, &n.bounds);
            let line = share(&there[i], j).min(share(&back[j], i));
            if line >= SHARED || place >= SAME_PLACE {
                open.push((line + place, i, j));
            }
        }
    }
    open.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    for (_, i, j) in open {
        if of_old[i].is_none() && of_new[j].is_none() {
            (of_old[i], of_new[j]) = (Some(j), Some(i));
        }
    }
    let mut far: Vec<(f64, usize, usize)> = Vec::new();
    for (i, o) in olds.iter().enumerate().filter(|o| of_old[o.0].is_none()) {
        for (j, n) in news.iter().enumerate().filter(|n| of_new[n.0].is_none()) {
            if let Some(way) = moved_by(&o.shape, &n.shape) {
                far.push((way, i, j));
            }
        }
    }
    far.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    for (_, i, j) in far {
        if of_old[i].is_none() && of_new[j].is_none() {
            (of_old[i], of_new[j]) = (Some(j), Some(i));
        }
    }
    let mut out: Vec<Revised> = news
        .iter()
        .enumerate()
        .map(|(j, n)| match of_new[j] {
            Some(i) if same[j] => Revised {
                kind: RevisedKind::Same,
                before: Some(olds[i].number),
                after: Some(n.number),
                new_line: Vec::new(),
                old_line: Vec::new(),
            },
            Some(i) => {
                let o = &olds[i];
                let moved = moved_by(&o.shape, &n.shape);
                Revised {
                    kind: moved.map_or(RevisedKind::Changed, |way| {
                        RevisedKind::Moved(Length::from_mm(way))
                    }),
                    before: Some(o.number),
                    after: Some(n.number),
                    new_line: off_line(&n.shape, &o.shape),
                    old_line: off_line(&o.shape, &n.shape),
                }
            }
            None => Revised {
                kind: RevisedKind::Added,
                before: None,
                after: Some(n.number),
                new_line: n.shape.segments().collect(),
                old_line: Vec::new(),
            },
        })
        .collect();
    out.extend(
        olds.iter()
            .enumerate()
            .filter(|o| of_old[o.0].is_none())
            .map(|(_, o)| Revised {
                kind: RevisedKind::Removed,
                before: Some(o.number),
                after: None,
                new_line: Vec::new(),
                old_line: o.shape.segments().collect(),
            }),
    );
    out
}

/// How far a contour was moved to lie on another; `None` where the shapes differ.
fn moved_by(old: &Contour, new: &Contour) -> Option<f64> {
    let slack = 0.02 + 2e-3 * old.length();
    if (old.length() - new.length()).abs() > slack {
        return None;
    }
    let way = middle_of(new) - middle_of(old);
    let lines = Lines::of([(0, new)]);
    let moved = old.moved(way);
    let on = looked_at(&moved)
        .iter()
        .all(|p| !lines.owners_at(*p).is_empty());
    on.then(|| way.norm())
}

/// The stretches of a contour that do not lie on another.
fn off_line(of: &Contour, other: &Contour) -> Vec<Segment> {
    let lines = Lines::of([(0, other)]);
    let spacing = (of.length() / 400.0).max(SAME);
    let mut out = Vec::new();
    for s in of.segments() {
        let l = s.length();
        let pieces = ((l / spacing).ceil() as usize).clamp(1, MOST_PIECES);
        let at = |k: usize| l * k as f64 / pieces as f64;
        let is_off = |k: usize| {
            let p = s.point_at(0.5 * (at(k) + at(k + 1)));
            lines.owners_at(p).is_empty()
        };
        let mut from = None;
        for k in 0..=pieces {
            let off = k < pieces && is_off(k);
            match (from, off) {
                (None, true) => from = Some(k),
                (Some(begin), false) => {
                    out.push(s.part(at(begin), at(k)));
                    from = None;
                }
                _ => {}
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Progress, ReadOptions, read};
    use crate::samples;

    fn sample(bytes: &[u8]) -> Profile {
        let d = read(bytes, &ReadOptions::default(), &Progress::default());
        d.expect("it reads").profile
    }

    fn all(p: &Profile) -> Vec<bool> {
        vec![true; p.contours().len()]
    }

    fn revised(before: &Profile, after: &Profile) -> Revision {
        let found = Revision::of((before, &all(before)), (after, &all(after)), &|| false);
        found.expect("nobody stops it")
    }

    fn moved(p: &Profile, m: &Motion) -> Vec<Contour> {
        p.contours().iter().map(|c| m.contour(&c.shape)).collect()
    }

    /// Numbers from 0 to 1 that are the same every time (Knuth's multiplier, modulo 2⁶⁴).
    struct Random(u64);
    impl Random {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
            self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }
        fn motion(&mut self) -> Motion {
            Motion {
                mirrored: self.next() < 0.5,
                turn: std::f64::consts::TAU * self.next(),
                shift: Point::new(900.0 * self.next() - 450.0, 900.0 * self.next() - 450.0),
            }
        }
    }

    /// Every corner of a contour as it was really moved lies on the contours as they were laid.
    fn furthest_off(p: &Profile, really: &Motion, found: &Motion) -> f64 {
        let laid: Vec<Contour> = moved(p, found);
        let mut most: f64 = 0.0;
        for c in moved(p, really) {
            for v in c.vertices() {
                let near = laid.iter().filter_map(|l| Some(l.nearest(v.at)?.distance));
                most = most.max(near.fold(f64::INFINITY, f64::min));
            }
        }
        most
    }

    #[test]
    fn every_sample_is_found_again_however_it_was_turned_mirrored_and_moved() {
        let mut random = Random(7);
        for s in samples::ALL {
            let before = sample(s.bytes);
            for _ in 0..4 {
                let really = random.motion();
                let after = Profile::of_shapes(moved(&before, &really));
                let found = revised(&before, &after);
                assert!(found.is_same(), "{}: {really:?}", s.name);
                let off = furthest_off(&before, &really, &found.motion);
                assert!(off < 1e-6, "{}: {off} mm off, {really:?}", s.name);
            }
        }
    }

    /// A plate without any symmetry, with three openings of different size.
    fn plate(holes: &[(f64, f64, f64)]) -> Vec<Contour> {
        let outline = Contour::polygon(&[
            (0.0, 0.0),
            (60.0, 0.0),
            (60.0, 24.0),
            (24.0, 40.0),
            (0.0, 40.0),
        ]);
        let holes = holes
            .iter()
            .map(|(x, y, r)| Contour::circle(Point::new(*x, *y), *r));
        std::iter::once(outline).chain(holes).collect()
    }

    const HOLES: [(f64, f64, f64); 3] = [(8.0, 8.0, 3.0), (30.0, 12.0, 5.0), (52.0, 12.0, 4.0)];

    fn kinds(r: &Revision) -> Vec<(&'static str, Option<usize>, Option<usize>)> {
        let all = r.contours.iter();
        all.map(|c| (c.kind.word(), c.before, c.after)).collect()
    }

    #[test]
    fn added_removed_moved_and_changed_contours_are_told_apart_however_the_new_one_lies() {
        let before = Profile::of_shapes(plate(&HOLES));
        // The first hole is larger, the second has moved by 0.4, the third is gone, a fourth is new.
        let now = [(8.0, 8.0, 3.5), (30.0, 12.4, 5.0), (12.0, 30.0, 2.0)];
        let mut random = Random(11);
        for k in 0..12 {
            let really = if k == 0 {
                Motion::NONE
            } else {
                random.motion()
            };
            let shapes = plate(&now).into_iter().map(|c| really.contour(&c));
            let after = Profile::of_shapes(shapes);
            let found = revised(&before, &after);
            assert_eq!(
                kinds(&found),
                [
                    ("same", Some(0), Some(0)),
                    ("changed", Some(1), Some(1)),
                    ("moved", Some(2), Some(2)),
                    ("added", None, Some(3)),
                    ("removed", Some(3), None),
                ],
                "{really:?}"
            );
            let RevisedKind::Moved(way) = found.contours[2].kind else {
                panic!("it moved");
            };
            assert!((way.mm() - 0.4).abs() < 1e-6, "{way:?}");
            // What was not changed lies as exactly as without changes.
            assert_eq!(found.motion.mirrored, really.mirrored);
            let p = Point::new(24.0, 40.0);
            let off = found.motion.point(p).distance(really.point(p));
            assert!(off < 1e-6, "{off} mm off, {really:?}");
        }
    }

    #[test]
    fn only_the_rounded_corner_of_an_outline_is_told_as_changed() {
        let before = Profile::of_shapes(plate(&HOLES));
        // The corner at the origin rounded with radius 2: two lines of 2 mm become a quarter of a circle.
        let mut shapes = plate(&HOLES);
        let r = 2.0;
        let bulge = (std::f64::consts::FRAC_PI_8).tan();
        let mut vertices = shapes[0].vertices().to_vec();
        vertices[0].at = Point::new(r, 0.0);
        vertices.push(crate::geometry::Vertex {
            at: Point::new(0.0, r),
            bulge,
        });
        shapes[0] = Contour::new(vertices);
        let after = Profile::of_shapes(shapes);
        let found = revised(&before, &after);
        assert_eq!(found.motion, Motion::NONE);
        let outline = &found.contours[0];
        assert_eq!(outline.kind, RevisedKind::Changed);
        assert!(
            found.contours[1..]
                .iter()
                .all(|c| c.kind == RevisedKind::Same)
        );
        let length = |list: &[Segment]| list.iter().map(Segment::length).sum::<f64>();
        let (new, old) = (length(&outline.new_line), length(&outline.old_line));
        // Within one piece at either end of a stretch, a 400th of the way around.
        let piece = 2.0 * after.contours()[0].shape.length() / 400.0;
        assert!(
            (new - r * std::f64::consts::FRAC_PI_2).abs() < piece,
            "{new}"
        );
        assert!((old - 2.0 * r).abs() < piece, "{old}");
    }

    #[test]
    fn what_is_not_cut_is_as_good_as_not_drawn() {
        let p = Profile::of_shapes(plate(&HOLES));
        let mut cut = all(&p);
        cut[2] = false;
        let by_shape = Revision::laid((&p, &all(&p)), (&p, &cut), Motion::NONE);
        let mut by_number = Revision::of_the_same((&p, &all(&p)), (&p, &cut));
        by_number.contours.sort_by_key(|c| c.after.is_none());
        for found in [by_shape, by_number] {
            assert_eq!(
                kinds(&found),
                [
                    ("same", Some(0), Some(0)),
                    ("same", Some(1), Some(1)),
                    ("same", Some(3), Some(3)),
                    ("removed", Some(2), None),
                ]
            );
        }
    }

    #[test]
    fn stopped_it_says_nothing() {
        let p = Profile::of_shapes(plate(&HOLES));
        assert!(Revision::of((&p, &all(&p)), (&p, &all(&p)), &|| true).is_none());
    }
}
