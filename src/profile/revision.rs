//! What differs between two drawings of one part: contours that were added, removed, moved or changed, and where.

use super::Profile;
use super::laid_over::{Lines, best_motion, looked_at, middle_of};
use super::same::SAME;
use crate::geometry::{Bounds, Motion, Point, Segment};
use crate::progress::{Cancelled, Progress};
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

/// One contour, or one open curve, before, after, or both.
#[derive(Debug, Clone, PartialEq)]
pub struct Revised {
    /// What became of it.
    pub kind: RevisedKind,
    /// Whether it is an open curve: its numbers are then those of the open chains.
    pub open: bool,
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
    /// Contours in the order of the profile after, then those that were removed; then the open curves likewise. Contours
    /// that neither job cuts are left out.
    pub contours: Vec<Revised>,
}

impl Revision {
    /// The drawings as they lie best on each other. `cut_…` says of every contour whether it is cut; what is not is as
    /// good as not drawn.
    ///
    /// # Errors
    /// It was cancelled.
    pub fn of(
        before: (&Profile, &[bool]),
        after: (&Profile, &[bool]),
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        let as_drawn = Motion {
            shift: before.0.origin.place() - after.0.origin,
            ..Motion::NONE
        };
        let found = best_motion(before, after, progress)?;
        Self::laid(before, after, found.unwrap_or(as_drawn), progress)
    }
    /// The drawings as they lie on each other under a motion.
    ///
    /// # Errors
    /// It was cancelled.
    pub fn laid(
        (before, cut_before): (&Profile, &[bool]),
        (after, cut_after): (&Profile, &[bool]),
        motion: Motion,
        progress: &Progress,
    ) -> Result<Self, Cancelled> {
        let closed = paired(
            &laid_contours(before, cut_before, Some(motion)),
            &laid_contours(after, cut_after, None),
            progress,
        )?;
        let open = paired(
            &laid_open(before, Some(motion)),
            &laid_open(after, None),
            progress,
        )?;
        Ok(Self {
            motion,
            contours: with_open(closed, open),
        })
    }
    /// A drawing and what was made of it: each contour is held against the one with its number, where it lies; so is each
    /// open curve.
    pub fn of_the_same(
        (before, cut_before): (&Profile, &[bool]),
        (after, cut_after): (&Profile, &[bool]),
    ) -> Self {
        let closed = by_number(
            &laid_contours(before, cut_before, None),
            &laid_contours(after, cut_after, None),
        );
        let open = by_number(&laid_open(before, None), &laid_open(after, None));
        Self {
            motion: Motion::NONE,
            contours: with_open(closed, open),
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

impl Revised {
    /// A contour of which nothing is told yet.
    fn plain(kind: RevisedKind, before: Option<usize>, after: Option<usize>) -> Self {
        Self {
            kind,
            open: false,
            before,
            after,
            new_line: Vec::new(),
            old_line: Vec::new(),
        }
    }
}

/// Contours first, then what became of the open curves.
fn with_open(mut contours: Vec<Revised>, open: Vec<Revised>) -> Vec<Revised> {
    contours.extend(open.into_iter().map(|c| Revised { open: true, ..c }));
    contours
}

/// A contour or an open curve where it lies.
struct Laid {
    number: usize,
    line: Vec<Segment>,
    length: f64,
    bounds: Bounds,
}

impl Laid {
    fn new(number: usize, line: impl Iterator<Item = Segment>, motion: Option<Motion>) -> Self {
        let place = |s: Segment| motion.map_or(s, |m| m.segment(&s));
        let line: Vec<Segment> = line.map(place).collect();
        let mut bounds = Bounds::EMPTY;
        line.iter().for_each(|s| bounds.include_bounds(&s.bounds()));
        Self {
            number,
            length: line.iter().map(Segment::length).sum(),
            line,
            bounds,
        }
    }
}

fn laid_contours(profile: &Profile, cut: &[bool], motion: Option<Motion>) -> Vec<Laid> {
    let all = profile.contours().iter().enumerate().zip(cut);
    all.filter(|(_, cut)| **cut)
        .map(|((number, c), _)| Laid::new(number, c.shape.segments(), motion))
        .collect()
}

fn laid_open(profile: &Profile, motion: Option<Motion>) -> Vec<Laid> {
    let all = profile.open().iter().enumerate();
    all.map(|(number, c)| Laid::new(number, c.segments.iter().copied(), motion))
        .collect()
}

/// Each held against the one with its number.
fn by_number(olds: &[Laid], news: &[Laid]) -> Vec<Revised> {
    let find = |list: &'_ [Laid], k: usize| list.iter().position(|l| l.number == k);
    let count = olds.iter().chain(news).map(|l| l.number + 1).max();
    let one = |k: usize| {
        let both = (
            find(olds, k).map(|i| &olds[i]),
            find(news, k).map(|j| &news[j]),
        );
        Some(match both {
            (Some(old), Some(new)) if old.line == new.line => {
                Revised::plain(RevisedKind::Same, Some(k), Some(k))
            }
            (Some(old), Some(new)) => Revised {
                new_line: off_line(new, old),
                old_line: off_line(old, new),
                ..Revised::plain(RevisedKind::Changed, Some(k), Some(k))
            },
            (Some(old), None) => Revised {
                old_line: old.line.clone(),
                ..Revised::plain(RevisedKind::Removed, Some(k), None)
            },
            (None, Some(new)) => Revised {
                new_line: new.line.clone(),
                ..Revised::plain(RevisedKind::Added, None, Some(k))
            },
            (None, None) => return None,
        })
    };
    (0..count.unwrap_or(0)).filter_map(one).collect()
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
fn shares_on(of: &Laid, lines: &Lines) -> Vec<(usize, f64)> {
    let points = looked_at(&of.line);
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
fn paired(olds: &[Laid], news: &[Laid], progress: &Progress) -> Result<Vec<Revised>, Cancelled> {
    let lines = |list: &[Laid]| {
        let curves = list.iter().map(|l| l.line.iter().copied());
        Lines::of(curves.enumerate())
    };
    let (old_lines, new_lines) = (lines(olds), lines(news));
    let shares = |list: &[Laid], lines: &Lines| {
        let all = list.iter();
        all.map(|l| progress.check().map(|()| shares_on(l, lines)))
            .collect::<Result<Vec<_>, Cancelled>>()
    };
    let (there, back) = (shares(olds, &new_lines)?, shares(news, &old_lines)?);
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
        progress.check()?;
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
        progress.check()?;
        for (j, n) in news.iter().enumerate().filter(|n| of_new[n.0].is_none()) {
            if let Some(way) = moved_by(o, n) {
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
    let mut out = Vec::with_capacity(news.len());
    for (j, n) in news.iter().enumerate() {
        progress.check()?;
        let after = Some(n.number);
        out.push(match of_new[j].map(|i| &olds[i]) {
            Some(o) if same[j] => Revised::plain(RevisedKind::Same, Some(o.number), after),
            Some(o) => {
                let moved = moved_by(o, n).map(|way| RevisedKind::Moved(Length::from_mm(way)));
                let kind = moved.unwrap_or(RevisedKind::Changed);
                Revised {
                    new_line: off_line(n, o),
                    old_line: off_line(o, n),
                    ..Revised::plain(kind, Some(o.number), after)
                }
            }
            None => Revised {
                new_line: n.line.clone(),
                ..Revised::plain(RevisedKind::Added, None, after)
            },
        });
    }
    let gone = olds.iter().zip(&of_old).filter(|o| o.1.is_none());
    out.extend(gone.map(|(o, _)| Revised {
        old_line: o.line.clone(),
        ..Revised::plain(RevisedKind::Removed, Some(o.number), None)
    }));
    Ok(out)
}

/// How far a line was moved to lie on another; `None` where the shapes differ.
fn moved_by(old: &Laid, new: &Laid) -> Option<f64> {
    let slack = 0.02 + 2e-3 * old.length;
    if (old.length - new.length).abs() > slack {
        return None;
    }
    let middle = |l: &Laid| middle_of(l.line.iter().copied());
    let way = middle(new) - middle(old);
    let lines = Lines::of([(0, new.line.iter().copied())]);
    let on = looked_at(&old.line)
        .iter()
        .all(|p| !lines.owners_at(*p + way).is_empty());
    on.then(|| way.norm())
}

/// The stretches of a line that do not lie on another.
fn off_line(of: &Laid, other: &Laid) -> Vec<Segment> {
    let lines = Lines::of([(0, other.line.iter().copied())]);
    let spacing = (of.length / 400.0).max(SAME);
    let mut out = Vec::new();
    for s in &of.line {
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
    use crate::drawing::{ReadOptions, read};
    use crate::geometry::Contour;
    use crate::profile::OpenChain;
    use crate::samples;

    fn sample(bytes: &[u8]) -> Profile {
        let d = read(bytes, &ReadOptions::default(), &Progress::default());
        d.expect("it reads").profile
    }

    fn all(p: &Profile) -> Vec<bool> {
        vec![true; p.contours().len()]
    }

    fn revised(before: &Profile, after: &Profile) -> Revision {
        let nobody = Progress::default();
        let found = Revision::of((before, &all(before)), (after, &all(after)), &nobody);
        found.expect("nobody stops it")
    }

    fn moved(p: &Profile, m: &Motion) -> Vec<Contour> {
        p.contours().iter().map(|c| m.contour(&c.shape)).collect()
    }

    fn moved_chain(c: &OpenChain, m: &Motion) -> OpenChain {
        OpenChain {
            segments: c.segments.iter().map(|s| m.segment(s)).collect(),
            ..c.clone()
        }
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
                let open = before.open().iter().map(|c| moved_chain(c, &really));
                let after = Profile::of_shapes(moved(&before, &really)).with_open(open.collect());
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
        let nobody = Progress::default();
        let by_shape = Revision::laid((&p, &all(&p)), (&p, &cut), Motion::NONE, &nobody);
        let by_shape = by_shape.expect("nobody stops it");
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

    /// An open curve through some points.
    fn curve(points: &[(f64, f64)]) -> OpenChain {
        let at = |(x, y): (f64, f64)| Point::new(x, y);
        let segments: Vec<Segment> = points
            .windows(2)
            .map(|w| Segment::new(at(w[0]), at(w[1]), 0.0))
            .collect();
        OpenChain {
            drawn_length: Length::from_mm(segments.iter().map(Segment::length).sum()),
            segments,
            layer: String::new(),
            curves: Vec::new(),
        }
    }

    #[test]
    fn open_curves_that_came_went_moved_and_stayed_are_told_however_the_new_drawing_lies() {
        let stays = [(2.0, 20.0), (9.0, 20.0), (9.0, 26.0)];
        let shifted = |dx: f64| [(20.0 + dx, 2.0), (26.0 + dx, 2.0), (27.0 + dx, 4.0)];
        let before = Profile::of_shapes(plate(&HOLES)).with_open(vec![
            curve(&[(40.0, 20.0), (55.0, 20.0)]),
            curve(&shifted(0.0)),
            curve(&stays),
        ]);
        // One stays, drawn from its other end; one lies 1.5 further on; the straight one is gone; an arrow is new.
        let mut back = stays;
        back.reverse();
        let now = [
            curve(&back),
            curve(&shifted(1.5)),
            curve(&[(44.0, 4.0), (46.0, 6.0), (44.0, 8.0)]),
        ];
        let mut random = Random(23);
        for k in 0..8 {
            let really = if k == 0 {
                Motion::NONE
            } else {
                random.motion()
            };
            let shapes = plate(&HOLES).into_iter().map(|c| really.contour(&c));
            let open = now.iter().map(|c| moved_chain(c, &really)).collect();
            let found = revised(&before, &Profile::of_shapes(shapes).with_open(open));
            let (contours, open): (Vec<_>, Vec<_>) =
                found.contours.iter().cloned().partition(|c| !c.open);
            assert!(contours.iter().all(|c| c.kind == RevisedKind::Same));
            let told = Revision {
                contours: open,
                motion: found.motion,
            };
            assert_eq!(
                kinds(&told),
                [
                    ("same", Some(2), Some(0)),
                    ("moved", Some(1), Some(1)),
                    ("added", None, Some(2)),
                    ("removed", Some(0), None),
                ],
                "{really:?}"
            );
            let RevisedKind::Moved(way) = told.contours[1].kind else {
                panic!("it moved");
            };
            assert!((way.mm() - 1.5).abs() < 1e-6, "{way:?}");
            let length = |list: &[Segment]| list.iter().map(Segment::length).sum::<f64>();
            assert!((length(&told.contours[3].old_line) - 15.0).abs() < 1e-9);
            assert!((length(&told.contours[2].new_line) - 32.0_f64.sqrt()).abs() < 1e-9);
        }
    }

    #[test]
    fn it_stops_wherever_it_is_asked_to_and_knows_how_far_it_is() {
        let p = Profile::of_shapes(plate(&HOLES));
        let of = |progress: &Progress| Revision::of((&p, &all(&p)), (&p, &all(&p)), progress);
        let whole = Progress::default();
        assert!(of(&whole).is_ok_and(|r| r.is_same()));
        assert!(whole.fraction() > 0.8);
        for share in [0.0, 0.3, 0.6, 1.0] {
            let at = 1 + (share * (whole.looks() - 1) as f64) as u64;
            let stopped = Progress::cancelling_at_look(at);
            assert_eq!(of(&stopped), Err(Cancelled));
            assert_eq!(stopped.looks(), at);
        }
    }
}
