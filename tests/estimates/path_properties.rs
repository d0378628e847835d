//! What must not change when real and made-up contours are turned, mirrored, moved, reversed, split or chopped.
//!
//! Times may differ by one part in a thousand; corners and slugs may not differ at all. Real drawings lie
//! beside the project, in ../shared/dxf/corpus; those of moderate size are tried where they are there.

use crate::shared;

use kerfcast::drawing::{Progress, ReadOptions, read};
use kerfcast::estimate::{Figures, compare};
use kerfcast::geometry::arc_recovery::recover_arcs;
use kerfcast::geometry::{Contour, Point, Vertex};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::Library;
use kerfcast::measures::measure;
use kerfcast::plan::{PathCache, Share};
use kerfcast::profile::{Keep, Profile};
use kerfcast::samples;
use kerfcast::units::Length;

fn profile(contours: impl IntoIterator<Item = Contour>) -> Profile {
    Profile::of_shapes(contours.into_iter().map(|c| recover_arcs(&c)))
}

fn figures(p: &Profile) -> Option<Figures> {
    let job = Job {
        candidates: vec![Candidate::new("hard plain brass", 0.10)],
        thickness: Length::from_mm(30.0),
        ..Job::starting(Library::built_in())
    };
    let mut c = compare(p, &job, Library::built_in(), &PathCache::default());
    c.estimates.remove(0).figures
}

fn corners(p: &Profile) -> usize {
    measure(p, Keep::Inside).totals.corners
}

fn moved(c: &Contour, map: &dyn Fn(Point) -> Point, flip: f64) -> Contour {
    let v = c.vertices().iter().map(|v| Vertex {
        at: map(v.at),
        bulge: flip * v.bulge,
    });
    Contour::new(v.collect())
}

fn split(c: &Contour) -> Contour {
    let parts: Vec<_> = c
        .segments()
        .flat_map(|s| {
            let l = s.length();
            [s.part(0.0, 0.37 * l), s.part(0.37 * l, l)]
        })
        .collect();
    Contour::from_segments(&parts)
}

/// Arcs as chords that come within 0.1 µm of them.
fn chopped(c: &Contour) -> Contour {
    let mut points = c.flattened(1e-4);
    points.pop();
    let v = points.into_iter().map(|at| Vertex { at, bulge: 0.0 });
    Contour::new(v.collect())
}

fn samples_to_try() -> Vec<(String, Vec<Contour>)> {
    samples::ALL
        .iter()
        .filter_map(|s| {
            let d = read(s.bytes, &ReadOptions::default(), &Progress::default()).ok()?;
            let shapes = d
                .profile
                .contours()
                .iter()
                .map(|c| c.shape.clone())
                .collect();
            Some((s.name.to_owned(), shapes))
        })
        .collect()
}

/// Segments of a real drawing up to which it is tried: all variants of all drawings in some seconds.
const LARGEST: usize = 700;
/// Boxes of real drawings that a wire machine could hold, mm.
const SIZE: std::ops::RangeInclusive<f64> = 2.0..=1500.0;

fn real_drawings() -> Vec<(String, Vec<Contour>)> {
    let files = std::fs::read_dir(shared::folder("corpus")).expect("the corpus opens");
    let mut paths: Vec<_> = files.filter_map(|f| Some(f.ok()?.path())).collect();
    paths.sort();
    paths
        .iter()
        .filter_map(|path| {
            let bytes = std::fs::read(path).ok()?;
            let d = read(&bytes, &ReadOptions::default(), &Progress::default()).ok()?;
            let size = d.profile.bounds().diagonal();
            let shapes: Vec<Contour> = d
                .profile
                .contours()
                .iter()
                .map(|c| c.shape.clone())
                .collect();
            let segments: usize = shapes.iter().map(Contour::len).sum();
            let tried = (1..=LARGEST).contains(&segments) && SIZE.contains(&size);
            let name = path.file_name()?.to_string_lossy().into_owned();
            tried.then_some((name, shapes))
        })
        .collect()
}

#[test]
fn place_direction_and_division_change_nothing() {
    let tried = samples_to_try()
        .into_iter()
        .filter(|(n, s)| hold(n, s))
        .count();
    assert!(tried >= 4, "{tried} samples could be cut");
}

#[test]
#[ignore = "needs ../shared"]
fn place_direction_and_division_change_nothing_in_real_drawings() {
    let all = real_drawings();
    let count = all.len();
    let tried = all.into_iter().filter(|(n, s)| hold(n, s)).count();
    println!("{tried} of {count} drawings could be cut");
    assert!(tried >= 15, "{tried} of {count} drawings could be cut");
}

/// Tries every variant of a drawing; whether it could be cut as it is.
fn hold(name: &str, shapes: &[Contour]) -> bool {
    let (s, c) = 0.7_f64.sin_cos();
    let reference = profile(shapes.to_vec());
    let map = |of: &dyn Fn(&Contour) -> Contour| shapes.iter().map(of).collect::<Vec<_>>();
    let turn = |p: Point| Point::new(p.x * c - p.y * s, p.x * s + p.y * c);
    let variants = [
        ("turned", map(&|c| moved(c, &turn, 1.0))),
        (
            "mirrored",
            map(&|c| moved(c, &|p| Point::new(-p.x, p.y), -1.0)),
        ),
        ("moved", map(&|c| c.moved(Point::new(1e4, -3e4)))),
        ("reversed", map(&|c| c.reversed())),
        ("split", map(&split)),
        ("chopped", map(&chopped)),
    ];
    let figured = figures(&reference);
    for (how, shapes) in variants {
        let p = profile(shapes);
        assert_eq!(corners(&p), corners(&reference), "{name} {how}: corners");
        let (Some(f), Some(g)) = (&figured, figures(&p)) else {
            assert_eq!(
                figured.is_some(),
                figures(&p).is_some(),
                "{name} {how}: possible"
            );
            continue;
        };
        same_figures(&g, f, &format!("{name} {how}"));
    }
    figured.is_some()
}

fn same_figures(g: &Figures, f: &Figures, what: &str) {
    assert_eq!(g.slugs.len(), f.slugs.len(), "{what}: slugs");
    for (a, b) in g.slugs.iter().zip(&f.slugs) {
        let slack = 1e-4 * (1.0 + b.area.mm2());
        assert!(
            (a.area.mm2() - b.area.mm2()).abs() < slack,
            "{what}: slug {a:?} {b:?}"
        );
    }
    let cutting = [Share::Rough, Share::Skims, Share::Corners];
    let whole: f64 = cutting.iter().map(|s| f.share(*s).min_value()).sum();
    for share in cutting
        .into_iter()
        .chain([Share::Threading, Share::SlugStops])
    {
        let (a, b) = (g.share(share).min_value(), f.share(share).min_value());
        // What corners add is a small part of the cut: the fit of arcs to other chords, good to 1 µm, may
        // move it by more than a thousandth of itself, so two thousandths of the whole are let pass. A start that falls elsewhere may shorten a lead-in.
        let slack = 1e-3
            * if share == Share::Corners {
                2.0 * whole
            } else {
                b
            }
            .max(1.0);
        assert!((a - b).abs() <= slack, "{what}: {share:?} {a} against {b}");
    }
}

#[test]
fn scale_behaves() {
    // Twice the size: a wire path of a square of side a, offset o outside, is 4a + 2πo.
    let square = |a: f64| {
        profile(vec![Contour::polygon(&[
            (0.0, 0.0),
            (a, 0.0),
            (a, a),
            (0.0, a),
        ])])
    };
    let (one, two) = (
        figures(&square(20.0)).unwrap(),
        figures(&square(40.0)).unwrap(),
    );
    for (a, b) in one.passes.iter().zip(&two.passes) {
        assert!((b.length.mm() - a.length.mm() - 80.0).abs() < 1e-6);
    }
    // As many corners of the same angle: they add the same time.
    assert!((one.share(Share::Corners) / two.share(Share::Corners) - 1.0).abs() < 1e-9);
    assert_eq!(corners(&square(20.0)), corners(&square(40.0)));
}
