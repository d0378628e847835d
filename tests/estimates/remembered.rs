//! What is remembered from one estimate to the next changes how fast the answer comes, never the answer.

use kerfcast::estimate::{Comparison, compare};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{BurnOut, Candidate, CutOff, CuttingOrder, Job, Travel, Waste, contour_key};
use kerfcast::library::{Flushing, Library};
use kerfcast::plan::PathCache;
use kerfcast::profile::{Keep, Profile};
use kerfcast::units::{Length, Mass};
use proptest::prelude::*;

/// One thing that somebody changes.
#[derive(Debug, Clone)]
enum Change {
    Thickness(f64),
    Passes(usize),
    Material(usize),
    Flushing(bool),
    Keep(bool),
    BurnOut(u8, f64),
    CutOff(bool),
    Order(bool),
    Travel(bool),
    Wires(Vec<(usize, usize)>),
    TurnedOver(usize),
    LeftOut(usize),
    Own(usize, f64, f64),
    Hole(usize, f64, f64),
    Eroded(usize),
    /// Another drawing is opened.
    Drawing(usize),
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        3 => (0.5..150.0_f64).prop_map(Change::Thickness),
        2 => (1..=5_usize).prop_map(Change::Passes),
        1 => (0..50_usize).prop_map(Change::Material),
        1 => any::<bool>().prop_map(Change::Flushing),
        1 => any::<bool>().prop_map(Change::Keep),
        2 => (0..3_u8, 0.1..20.0_f64).prop_map(|(kind, most)| Change::BurnOut(kind, most)),
        1 => any::<bool>().prop_map(Change::CutOff),
        1 => any::<bool>().prop_map(Change::Order),
        1 => any::<bool>().prop_map(Change::Travel),
        2 => prop::collection::vec((0..20_usize, 0..20_usize), 1..5).prop_map(Change::Wires),
        1 => (0..12_usize).prop_map(Change::TurnedOver),
        1 => (0..12_usize).prop_map(Change::LeftOut),
        1 => (0..12_usize, 1.0..90.0_f64, 0.0..8.0_f64).prop_map(|(k, h, t)| Change::Own(k, h, t)),
        1 => (0..12_usize, -1.0..1.0_f64, -1.0..1.0_f64).prop_map(|(k, x, y)| Change::Hole(k, x, y)),
        1 => (0..12_usize).prop_map(Change::Eroded),
        1 => (0..2_usize).prop_map(Change::Drawing),
    ]
}

/// Openings of several kinds in an outline, a part in one of them, and a neck that closes for thick wires.
fn drawings() -> [Profile; 2] {
    let plate = |side: f64| {
        let b = 2.0 * side;
        Contour::polygon(&[(0.0, 0.0), (b, 0.0), (b, side), (0.0, side)])
    };
    let star = |x: f64, y: f64| {
        let points = (0..14).map(|k| {
            let r = if k % 2 == 0 { 6.0 } else { 4.2 };
            let p = Point::at_angle(f64::from(k) * std::f64::consts::TAU / 14.0) * r;
            (x + p.x, y + p.y)
        });
        Contour::polygon(&points.collect::<Vec<_>>())
    };
    let dumbbell = Contour::polygon(&[
        (40.0, 10.0),
        (50.0, 10.0),
        (50.0, 14.78),
        (54.0, 14.78),
        (54.0, 10.0),
        (64.0, 10.0),
        (64.0, 20.0),
        (54.0, 20.0),
        (54.0, 15.22),
        (50.0, 15.22),
        (50.0, 20.0),
        (40.0, 20.0),
    ]);
    let circle = |x, y, r| Contour::circle(Point::new(x, y), r);
    let shapes = [
        plate(60.0),
        star(15.0, 15.0),
        dumbbell,
        circle(15.0, 40.0, 10.0),
        circle(15.0, 40.0, 5.0),
        circle(40.0, 40.0, 0.3),
        circle(60.0, 40.0, 1.1),
        circle(60.0, 43.0, 1.4),
        star(90.0, 20.0),
        circle(90.0, 45.0, 8.0),
    ];
    // The same moved and with other sizes: nothing of it looks alike to the last bit.
    let other = shapes.iter().skip(1).map(|c| c.moved(Point::new(0.1, 0.3)));
    let other = std::iter::once(plate(61.0)).chain(other);
    [
        Profile::of_shapes(shapes.clone()),
        Profile::of_shapes(other),
    ]
}

fn changed(job: &mut Job, profile: &Profile, change: &Change) {
    let library = Library::built_in();
    let contours = profile.contours();
    let key = |k: usize| contour_key(&contours[k % contours.len()]);
    match *change {
        Change::Thickness(mm) => job.thickness = Length::from_mm(mm),
        Change::Passes(n) => job.passes = n,
        Change::Material(k) => {
            let all = &library.materials;
            job.material.clone_from(&all[k % all.len()].name);
        }
        Change::Flushing(close) => {
            job.flushing = if close {
                Flushing::Close
            } else {
                Flushing::Away
            };
        }
        Change::Keep(inside) => job.keep = if inside { Keep::Inside } else { Keep::Outside },
        Change::BurnOut(kind, most) => {
            job.burn_out = match kind {
                0 => BurnOut::Nothing,
                1 => BurnOut::UpToSize(Length::from_mm(most)),
                _ => BurnOut::UpToMass(Mass::from_kg(most * 1e-3)),
            };
        }
        Change::CutOff(before) => {
            job.cut_off = if before {
                CutOff::BeforeSkims
            } else {
                CutOff::AfterSkims
            };
        }
        Change::Order(roughs) => {
            job.order = if roughs {
                CuttingOrder::RoughsFirst
            } else {
                CuttingOrder::EachInTurn
            };
        }
        Change::Travel(stays) => {
            job.travel = if stays {
                Travel::KeepThreaded
            } else {
                Travel::Rethread
            };
        }
        Change::Wires(ref wires) => {
            let of = |&(wire, diameter): &(usize, usize)| {
                let (all, sizes) = (&library.wires, &library.diameters);
                let diameter = sizes[diameter % sizes.len()].diameter_mm;
                Candidate::new(&all[wire % all.len()].name, diameter)
            };
            job.candidates = wires.iter().map(of).collect();
        }
        Change::TurnedOver(k) => job.choose(key(k), |c| c.turned = !c.turned),
        Change::LeftOut(k) => {
            if !job.left_out.remove(&key(k)) {
                job.left_out.insert(key(k));
            }
        }
        Change::Own(k, thickness, taper) => job.choose(key(k), |c| {
            c.thickness = Some(Length::from_mm(thickness));
            c.taper_degrees = taper;
        }),
        Change::Hole(k, x, y) => {
            let centre = contours[k % contours.len()].bounds.centre();
            job.choose(key(k), |c| c.hole = Some(centre + Point::new(x, y)));
        }
        Change::Eroded(k) => job.choose(key(k), |c| c.waste = Some(Waste::Erode)),
        Change::Drawing(_) => {}
    }
}

/// Every number of a comparison, to the last bit: what is printed reads back as the same number.
fn written(comparison: &Comparison) -> String {
    format!("{comparison:?}")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn after_any_changes_an_estimate_is_that_of_a_fresh_start(changes in prop::collection::vec(change(), 1..12)) {
        let library = Library::built_in();
        let drawings = drawings();
        let remembered = PathCache::default();
        let mut job = Job::starting(library);
        let mut shown = 0;
        for change in &changes {
            if let Change::Drawing(k) = change {
                shown = *k;
            }
            let profile = &drawings[shown];
            changed(&mut job, profile, change);
            let now = compare(profile, &job, library, &remembered);
            let fresh = compare(profile, &job, library, &PathCache::default());
            prop_assert!(written(&now) == written(&fresh), "after {:?}", change);
        }
    }
}
