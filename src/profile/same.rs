//! Parts of one drawing that have the same outline: shifted, turned or mirrored copies of each other,
//! however their curves are chopped into pieces.
//!
//! Lengths and areas are compared first. Then the middles are laid on each other, and every turn at which
//! the distances of one contour from the middle agree all around is tried: it is refined by least squares
//! (Gauss and Newton on a shift and a turn), and holds if every point of either part lies on the other.

use super::{Part, Profile};
use crate::progress::look;
use std::collections::BTreeSet;

mod outline;
mod placing;
use outline::{LENGTH_ROUNDING, LENGTH_SHARE, Outline};
pub(super) use outline::{Loop, SAME, middle, samples};
pub(super) use placing::Fit;

/// Pairs of a drawing that are compared at every turn, not only as drawn and by quarter turns.
const MOST_SEARCHES: usize = 200;
/// Pairs of a drawing that are compared at all.
const MOST_PAIRS: usize = 20_000;

/// Parts of a drawing with the same outline and openings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SameParts {
    /// Two or more, ascending: indices into the list of parts.
    pub parts: Vec<usize>,
    /// How many of them are mirrored against the first; a part that is its own mirror image is not.
    pub mirrored: usize,
}

/// Which parts are copies of each other; parts without one are in no group.
///
/// Ends early, with nothing, where `stop` says so. In a drawing of very many different parts of one size
/// not every pair is compared.
pub fn same_parts(profile: &Profile, parts: &[Part], stop: &dyn Fn() -> bool) -> Vec<SameParts> {
    if parts.len() < 2 {
        return Vec::new();
    }
    let (mut pairs, mut searches) = (MOST_PAIRS, MOST_SEARCHES);
    let mut groups: Vec<(Outline, SameParts)> = Vec::new();
    // Groups by their number of contours and the length of these, so that only what may have the sizes is looked at.
    let mut by_size: BTreeSet<(usize, u64, usize)> = BTreeSet::new();
    for (k, part) in parts.iter().enumerate() {
        let Some(outline) = Outline::of(profile, part) else {
            continue;
        };
        if stop() {
            return Vec::new();
        }
        let (count, length) = (outline.loops.len(), outline.length());
        let slack = 1.01 * (LENGTH_ROUNDING * count as f64 + LENGTH_SHARE * length);
        // Bits of positive numbers ascend as these do.
        let key = |length: f64| (count, length.max(0.0).to_bits());
        let from = key(length - slack);
        let to = key(length + slack);
        let near = by_size.range((from.0, from.1, 0)..=(to.0, to.1, usize::MAX));
        let mut near: Vec<usize> = near.map(|n| n.2).collect();
        near.sort_unstable();
        let mut known = None;
        for g in near {
            look();
            let first = &groups[g].0;
            if stop() {
                return Vec::new();
            }
            if pairs == 0 {
                break;
            }
            if !first.has_sizes_of(&outline) {
                continue;
            }
            pairs -= 1;
            if let Some(mirrored) = outline.is_same(first, &mut searches) {
                known = Some((g, mirrored));
                break;
            }
        }
        if let Some((g, mirrored)) = known {
            groups[g].1.parts.push(k);
            groups[g].1.mirrored += usize::from(mirrored);
        } else {
            let alone = SameParts {
                parts: vec![k],
                mirrored: 0,
            };
            by_size.insert((count, key(length).1, groups.len()));
            groups.push((outline, alone));
        }
    }
    let groups = groups.into_iter().map(|g| g.1);
    groups.filter(|g| g.parts.len() > 1).collect()
}

#[cfg(test)]
mod tests {
    use super::placing::Place;
    use super::*;
    use crate::drawing::{Progress, ReadOptions, read};
    use crate::geometry::{Bounds, Contour, Point, Segment};
    use crate::samples;

    /// Parts side by side; each is a list of contours.
    fn sheet(parts: &[Vec<Contour>]) -> (Profile, Vec<Part>) {
        let mut list: Vec<Part> = Vec::new();
        for shapes in parts {
            let first = list
                .last()
                .map_or(0, |p| p.contours[p.contours.len() - 1] + 1);
            let mut bounds = Bounds::EMPTY;
            shapes
                .iter()
                .for_each(|s| bounds.include_bounds(&s.bounds()));
            list.push(Part {
                contours: (first..first + shapes.len()).collect(),
                open: Vec::new(),
                bounds,
            });
        }
        (Profile::of_shapes(parts.iter().flatten().cloned()), list)
    }

    fn groups(parts: &[Vec<Contour>]) -> Vec<SameParts> {
        let (profile, list) = sheet(parts);
        same_parts(&profile, &list, &|| false)
    }

    fn moved(shapes: &[Contour], by: impl Fn(Point) -> Point, mirrored: bool) -> Vec<Contour> {
        let one = |c: &Contour| {
            let bulge = if mirrored { -1.0 } else { 1.0 };
            let segments: Vec<Segment> = c
                .segments()
                .map(|s| Segment::new(by(s.a), by(s.b), bulge * s.bulge))
                .collect();
            Contour::from_segments(&segments).counter_clockwise()
        };
        shapes.iter().map(one).collect()
    }

    fn turned(degrees: f64) -> impl Fn(Point) -> Point {
        let place = Place::turned(degrees.to_radians());
        move |p| place.to(p) + Point::new(341.0, -87.5)
    }

    /// The same curves begun elsewhere and cut into unequal pieces.
    fn chopped(c: &Contour) -> Contour {
        let segments: Vec<Segment> = c.segments().collect();
        let n = segments.len();
        let pieces = (0..n).map(|k| (k + n / 3) % n).flat_map(|k| {
            let s = &segments[k];
            let l = s.length();
            let at = [0.0, 0.13, 0.2, 0.71, 1.0].map(|f| f * l);
            at.windows(2)
                .map(|w| s.part(w[0], w[1]))
                .collect::<Vec<_>>()
        });
        let pieces: Vec<Segment> = pieces.collect();
        Contour::from_segments(&pieces)
    }

    fn sample(name: &str) -> Vec<Contour> {
        let s = samples::ALL.iter().find(|s| s.name == name);
        let bytes = s.expect("the sample is there").bytes;
        let d = read(bytes, &ReadOptions::default(), &Progress::default());
        let contours = d.expect("it reads").profile.contours;
        contours.into_iter().map(|c| c.shape).collect()
    }

    #[test]
    fn copies_of_the_samples_are_known_however_they_lie_and_are_chopped() {
        for s in samples::ALL {
            let part = sample(s.name);
            for degrees in [0.0, 90.0, 180.0, 0.3, 17.0, 123.4] {
                let copy = moved(&part, turned(degrees), false);
                let found = groups(&[part.clone(), copy.clone()]);
                assert_eq!(found.len(), 1, "{} turned by {degrees}", s.name);
                assert_eq!(found[0].mirrored, 0, "{} turned by {degrees}", s.name);
                let rough: Vec<Contour> = copy.iter().map(chopped).collect();
                let found = groups(&[part.clone(), rough]);
                assert_eq!(found.len(), 1, "{} chopped, by {degrees}", s.name);
            }
            for degrees in [0.0, 90.0, 41.0] {
                let turn = turned(degrees);
                let over = |p: Point| turn(Point::new(p.x, -p.y));
                let found = groups(&[part.clone(), moved(&part, over, true)]);
                assert_eq!(found.len(), 1, "{} mirrored, by {degrees}", s.name);
            }
        }
    }

    #[test]
    fn chords_that_stray_by_a_micron_are_still_the_same() {
        let part = sample("latch-cam.dxf");
        let chords = |c: &Contour| {
            let list: Vec<(f64, f64)> = c.flattened(1e-3).iter().map(|p| (p.x, p.y)).collect();
            Contour::polygon(&list)
        };
        let copy = moved(&part, turned(64.0), false);
        assert_eq!(groups(&[part, copy.iter().map(chords).collect()]).len(), 1);
    }

    #[test]
    fn a_hole_moved_by_five_hundredths_makes_another_part() {
        let mut tried = 0;
        for s in samples::ALL {
            let part = sample(s.name);
            if part.len() < 2 {
                continue;
            }
            tried += 1;
            for degrees in [0.0, 33.0] {
                let mut copy = moved(&part, turned(degrees), false);
                let last = copy.len() - 1;
                copy[last] = copy[last].moved(Point::new(0.04, 0.03));
                assert!(
                    groups(&[part.clone(), copy]).is_empty(),
                    "{} turned by {degrees}",
                    s.name
                );
            }
        }
        assert!(tried >= 3, "samples with openings");
    }

    /// A plate without any symmetry but for its mirror image.
    fn plate(hole: (f64, f64)) -> Vec<Contour> {
        vec![
            Contour::polygon(&[
                (0.0, 0.0),
                (30.0, 0.0),
                (30.0, 12.0),
                (12.0, 20.0),
                (0.0, 20.0),
            ]),
            Contour::circle(Point::new(hole.0, hole.1), 3.0),
        ]
    }

    #[test]
    fn mirror_images_are_told_from_turned_copies() {
        let part = plate((7.0, 6.0));
        let over = |p: Point| Point::new(100.0 - p.x, p.y);
        let copies = [
            part.clone(),
            moved(&part, over, true),
            moved(&part, turned(211.0), false),
            plate((7.0, 6.05)),
        ];
        let found = groups(&copies);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].parts, [0, 1, 2]);
        assert_eq!(found[0].mirrored, 1);
        // A ring is its own mirror image.
        let ring = vec![
            Contour::circle(Point::ORIGIN, 10.0),
            Contour::circle(Point::ORIGIN, 4.0),
        ];
        let copy = moved(&ring, |p| Point::new(50.0 - p.x, p.y), true);
        assert_eq!(groups(&[ring, copy])[0].mirrored, 0);
    }

    #[test]
    fn a_wheel_of_sixty_teeth_is_turned_until_its_hole_fits() {
        let teeth: Vec<(f64, f64)> = (0..240)
            .map(|k| {
                let r = if k % 4 < 2 { 30.0 } else { 27.5 };
                let p = Point::at_angle(f64::from(k) * 1.5_f64.to_radians()) * r;
                (p.x, p.y)
            })
            .collect();
        let wheel = |at: Point| vec![Contour::polygon(&teeth), Contour::circle(at, 2.0)];
        let part = wheel(Point::new(15.0, 0.0));
        let copy = moved(&part, turned(71.0), false);
        assert_eq!(groups(&[part.clone(), copy]).len(), 1);
        // By a third of a tooth the hole fits nowhere.
        let other = wheel(Point::at_angle(2.0_f64.to_radians()) * 15.0);
        assert!(groups(&[part, other]).is_empty());
    }

    #[test]
    fn stopped_it_says_nothing() {
        let (profile, list) = sheet(&[plate((7.0, 6.0)), plate((7.0, 6.0))]);
        assert!(same_parts(&profile, &list, &|| true).is_empty());
    }
}
