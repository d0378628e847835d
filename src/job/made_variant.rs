//! A quick variant made of drawing and job, when it is needed.

use super::{Edit, Job, Variant, contour_key};
use crate::geometry::inside_radii::with_inside_radii;
use crate::geometry::{Motion, Point, Segment};
use crate::profile::{DrawnContour, OpenChain, Profile, ProfileContour, Role};
use crate::units::{Area, Length};

/// A variant, ready to be estimated.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeVariant {
    /// The contours.
    pub profile: Profile,
    /// The job.
    pub job: Job,
    /// Places where a larger radius was asked for and has no room: contour, and where, mm about the profile's origin.
    pub no_room: Vec<(usize, Point)>,
    /// Corners and radii that were made larger.
    pub rounded: usize,
}

impl Variant {
    /// Drawing and job with all that it has otherwise. What cannot be made (see [`Edit::is_sane`]) changes nothing; the
    /// job may have faults of its own then, see [`Job::faults`].
    pub fn made(&self, profile: &Profile, job: &Job) -> MadeVariant {
        let mut made = MadeVariant {
            profile: profile.clone(),
            job: Job {
                variants: Vec::new(),
                ..job.clone()
            },
            no_room: Vec::new(),
            rounded: 0,
        };
        for edit in self.edits.iter().filter(|e| e.is_sane()) {
            made.change(*edit);
        }
        made
    }
}

impl MadeVariant {
    fn change(&mut self, edit: Edit) {
        let middle = self.profile.bounds().centre();
        match edit {
            Edit::Thickness(t) => self.job.thickness = t,
            Edit::Passes(n) => self.job.passes = n,
            Edit::LeaveOut(key) => {
                self.job.left_out.insert(key);
            }
            Edit::Mirror => {
                let over = Motion {
                    mirrored: true,
                    turn: 0.0,
                    shift: Point::new(2.0 * middle.x, 0.0),
                };
                self.reshape(1.0, |s| over.segment(s));
            }
            Edit::Scale(by) => self.reshape(by, |s| {
                let at = |p: Point| middle + (p - middle) * by;
                Segment::new(at(s.a), at(s.b), s.bulge)
            }),
            Edit::InsideRadii(radius) => self.round(radius),
        }
    }
    /// Every line and arc elsewhere, all lengths times a factor.
    fn reshape(&mut self, factor: f64, place: impl Fn(&Segment) -> Segment) {
        let contours = |_: usize, c: &ProfileContour| {
            let segments: Vec<Segment> = c.shape.segments().map(|s| place(&s)).collect();
            DrawnContour {
                length: c.drawn_length * factor,
                area: Area::from_mm2(c.drawn_area.mm2() * factor * factor),
                ..c.drawn_as(crate::geometry::Contour::from_segments(&segments))
            }
        };
        let open = |chain: &OpenChain| OpenChain {
            segments: chain.segments.iter().map(&place).collect(),
            drawn_length: chain.drawn_length * factor,
            ..chain.clone()
        };
        self.profile = self.profile.redrawn(contours, open);
        // Start holes and entry points set by hand would lie elsewhere.
        self.job.forget_places();
    }
    fn round(&mut self, radius: Length) {
        let (job, profile) = (&self.job, &self.profile);
        let (mut no_room, mut rounded) = (Vec::new(), 0);
        let redrawn = profile.redrawn(
            |k, c| {
                if !job.cuts(c) {
                    return c.drawn_as(c.shape.clone());
                }
                let wire_left = job.role(profile, k) == Role::Opening;
                let found = with_inside_radii(&c.shape, wire_left, radius.mm());
                no_room.extend(found.no_room.into_iter().map(|at| (k, at)));
                rounded += found.places.len();
                c.drawn_as(found.contour)
            },
            Clone::clone,
        );
        self.no_room.extend(no_room);
        self.rounded += rounded;
        // Where a contour has other segments, the way along it to an entry point is another.
        let changed = profile_changes(profile, &redrawn);
        self.profile = redrawn;
        for key in changed {
            self.job.choose(key, |c| c.join = None);
        }
    }
    /// Which of its contours are cut.
    pub fn cut(&self) -> Vec<bool> {
        self.job.cut_mask(&self.profile)
    }
}

/// Keys of the contours with another shape than before.
fn profile_changes(before: &Profile, after: &Profile) -> Vec<usize> {
    let both = before.contours().iter().zip(after.contours());
    both.filter(|(a, b)| a.shape != b.shape)
        .map(|(_, b)| contour_key(b))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Contour;
    use crate::library::Library;
    use std::f64::consts::PI;

    /// A plate 40 by 30 with a square opening of 10 and a round one of 6.
    fn plate() -> Profile {
        let square = |x: f64, y: f64, a: f64, b: f64| {
            Contour::polygon(&[(x, y), (x + a, y), (x + a, y + b), (x, y + b)])
        };
        Profile::of_shapes([
            square(0.0, 0.0, 40.0, 30.0),
            square(5.0, 5.0, 10.0, 10.0),
            Contour::circle(Point::new(30.0, 20.0), 3.0),
        ])
    }

    fn made(edits: &[Edit]) -> MadeVariant {
        let variant = Variant {
            name: String::new(),
            edits: edits.to_vec(),
        };
        variant.made(&plate(), &Job::starting(Library::built_in()))
    }

    fn areas(p: &Profile) -> Vec<f64> {
        p.contours().iter().map(|c| c.drawn_area.mm2()).collect()
    }

    #[test]
    fn larger_radii_take_from_square_openings_only() {
        let v = made(&[Edit::InsideRadii(Length::from_mm(0.3))]);
        assert_eq!((v.rounded, v.no_room.len()), (4, 0));
        let found = areas(&v.profile);
        // A right corner loses r²·(1 − π/4).
        let by_hand = 100.0 - 4.0 * 0.09 * (1.0 - PI / 4.0);
        assert!((found[1] - by_hand).abs() < 1e-12);
        assert_eq!((found[0], found[2]), (1200.0, areas(&plate())[2]));
        // Where the outside stays, the outline is an opening and the openings are none.
        let mut job = Job::starting(Library::built_in());
        job.keep = crate::profile::Keep::Outside;
        let radii = Variant::of(Edit::InsideRadii(Length::from_mm(0.3)));
        let turned = areas(&radii.made(&plate(), &job).profile);
        assert!((turned[0] - (1200.0 - 4.0 * 0.09 * (1.0 - PI / 4.0))).abs() < 1e-9);
        assert_eq!(turned[1], 100.0);
    }

    #[test]
    fn scaled_lengths_go_with_the_factor_and_areas_with_its_square() {
        let (before, v) = (plate(), made(&[Edit::Scale(1.5)]));
        for (a, b) in before.contours().iter().zip(v.profile.contours()) {
            assert!((b.drawn_length.mm() - 1.5 * a.drawn_length.mm()).abs() < 1e-9);
            assert!((b.drawn_area.mm2() - 2.25 * a.drawn_area.mm2()).abs() < 1e-9);
            assert!((b.shape.length() - b.drawn_length.mm()).abs() < 1e-9);
        }
        let middle = |p: &Profile| p.bounds().centre();
        assert!(middle(&before).distance(middle(&v.profile)) < 1e-12);
    }

    #[test]
    fn mirrored_twice_is_as_drawn_and_everything_stays_as_large() {
        let once = made(&[Edit::Mirror]);
        let hole = once.profile.contours()[2].shape.as_circle();
        let (at, r) = hole.expect("it is still a circle");
        assert!(at.distance(Point::new(10.0, 20.0)) < 1e-12 && (r - 3.0).abs() < 1e-12);
        let twice = made(&[Edit::Mirror, Edit::Mirror]);
        for (a, b) in plate().contours().iter().zip(twice.profile.contours()) {
            assert!((a.shape.signed_area() - b.shape.signed_area()).abs() < 1e-9);
            for v in a.shape.vertices() {
                let off = b.shape.nearest(v.at).map(|n| n.distance);
                assert!(off.is_some_and(|d| d < 1e-12));
            }
        }
    }

    #[test]
    fn an_opening_left_out_thickness_and_passes_change_the_job_alone() {
        let p = plate();
        let key = contour_key(&p.contours()[1]);
        let v = made(&[
            Edit::LeaveOut(key),
            Edit::Thickness(Length::from_mm(12.0)),
            Edit::Passes(2),
        ]);
        assert_eq!(v.profile, p);
        assert_eq!(v.cut(), [true, false, true]);
        assert_eq!((v.job.thickness.mm(), v.job.passes), (12.0, 2));
    }

    #[test]
    fn numbers_that_are_none_change_nothing() {
        for edit in [
            Edit::Scale(f64::NAN),
            Edit::Scale(0.0),
            Edit::InsideRadii(Length::from_mm(-1.0)),
            Edit::InsideRadii(Length::from_mm(f64::INFINITY)),
        ] {
            assert_eq!(made(&[edit]).profile, plate());
        }
    }

    #[test]
    fn several_edits_are_made_together_and_a_radius_is_that_of_the_scaled_drawing() {
        let p = plate();
        let key = contour_key(&p.contours()[2]);
        let radius = Length::from_mm(0.3);
        let variant = Variant::of(Edit::InsideRadii(radius))
            .with(Edit::Thickness(Length::from_mm(12.0)))
            .with(Edit::Scale(2.0))
            .with(Edit::LeaveOut(key));
        let v = variant.made(&p, &Job::starting(Library::built_in()));
        assert_eq!(v.cut(), [true, true, false]);
        assert_eq!((v.job.thickness.mm(), v.rounded), (12.0, 4));
        // A square of twice the side, of whose corners each loses r²·(1 − π/4).
        let by_hand = 400.0 - 4.0 * 0.09 * (1.0 - PI / 4.0);
        assert!((areas(&v.profile)[1] - by_hand).abs() < 1e-9);
    }
}
