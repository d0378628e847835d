//! What leaves for the next program: read back it is the same, and no input is ever written over.
//!
//! `tests/data/read_exported.py` reads the written files with ezdxf, an independent reader, and holds every length and
//! area against the drawing's own measures; it is run by hand over a folder.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, Unit, UnitSource, read};
use kerfcast::estimate::compare;
use kerfcast::export::{Content, ExportError, Layer, dxf, svg};
use kerfcast::job::Job;
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::{Keep, Role};
use std::path::Path;

use crate::calling;

use calling::{SAMPLES, run, sample};

fn opened(bytes: &[u8]) -> Drawing {
    read(bytes, &ReadOptions::default(), &Progress::default()).expect("it reads")
}

fn samples() -> Vec<(String, Drawing)> {
    let mut files: Vec<_> = std::fs::read_dir(SAMPLES)
        .expect("samples")
        .map(|e| e.expect("entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "dxf"))
        .collect();
    files.sort();
    assert!(files.len() >= 6);
    let name = |p: &Path| p.display().to_string();
    let read = |p: &Path| opened(&std::fs::read(p).expect("it opens"));
    files.iter().map(|p| (name(p), read(p))).collect()
}

/// Relative to the size, with 1 as the least size.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// Role, length and area of every contour, sorted.
fn measured(drawing: &Drawing, role: impl Fn(usize) -> Role, drawn: bool) -> Vec<(Role, f64, f64)> {
    let contours = drawing.profile.contours().iter().enumerate();
    let mut out: Vec<_> = contours
        .map(|(k, c)| {
            let (length, area) = if drawn {
                (c.drawn_length.mm(), c.drawn_area.mm2())
            } else {
                (c.shape.length(), c.shape.area())
            };
            (role(k), length, area)
        })
        .collect();
    out.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)));
    out
}

#[test]
fn read_back_the_contours_measure_the_same() {
    let library = Library::built_in();
    for (name, drawing) in samples() {
        for keep in [Keep::Inside, Keep::Outside] {
            for unit in [Unit::Millimetre, Unit::Inch] {
                let job = Job {
                    keep,
                    ..Job::starting(library)
                };
                let content = Content {
                    profile: &drawing.profile,
                    job: &job,
                    paths: None,
                    unit,
                };
                let written = dxf(&content).expect("it is written");
                let back = opened(&written.bytes);
                assert_eq!(
                    (back.units.used, back.units.from),
                    (unit, UnitSource::Header)
                );
                let before = measured(&drawing, |k| job.role(&drawing.profile, k), false);
                let after = measured(&back, |k| job.role(&back.profile, k), true);
                assert_eq!(before.len(), after.len(), "{name}");
                for (a, b) in before.iter().zip(&after) {
                    assert!(
                        a.0 == b.0 && near(a.1, b.1) && near(a.2, b.2),
                        "{name} {a:?} {b:?}"
                    );
                }
                let roles = |layer: Layer| written.entities.get(&layer).copied().unwrap_or(0);
                let of = |role| before.iter().filter(|b| b.0 == role).count();
                assert_eq!(roles(Layer::Outline), of(Role::Outline), "{name}");
                assert_eq!(roles(Layer::Opening), of(Role::Opening), "{name}");
                assert_eq!(
                    back.profile.open().len(),
                    drawing.profile.open().len(),
                    "{name}"
                );
                // Healed and deduplicated: each contour is one curve, and nothing is found that needs mending.
                assert!(
                    back.profile.contours().iter().all(|c| c.curves.len() == 1),
                    "{name}"
                );
            }
        }
    }
}

#[test]
fn by_the_format_reference_each_layer_holds_the_length_and_area_of_its_role() {
    // Length and area of closed light polylines from their bulges (DXF reference, LWPOLYLINE, codes 42 and 70):
    // sweep = 4 atan b, radius = chord (1 + b²) / 4b; shoelace and circular segments for the area.
    let library = Library::built_in();
    let job = Job::starting(library);
    for (name, drawing) in samples() {
        let content = Content {
            profile: &drawing.profile,
            job: &job,
            paths: None,
            unit: Unit::Millimetre,
        };
        let written = dxf(&content).expect("it is written");
        let file = ::dxf::Drawing::load(&mut &written.bytes[..]).expect("the crate reads it");
        let mut sums = std::collections::BTreeMap::new();
        for e in file.entities() {
            let (length, area) = match &e.specific {
                ::dxf::entities::EntityType::Circle(c) => {
                    use std::f64::consts::PI;
                    (2.0 * PI * c.radius, PI * c.radius * c.radius)
                }
                ::dxf::entities::EntityType::LwPolyline(p) if p.is_closed() => by_bulges(p),
                _ => continue,
            };
            let sum = sums.entry(e.common.layer.clone()).or_insert((0.0, 0.0));
            sum.0 += length;
            sum.1 += area;
        }
        for layer in [Layer::Outline, Layer::Opening] {
            let own = drawing.profile.contours().iter().enumerate();
            let own = own.filter(|(k, _)| Layer::of(job.role(&drawing.profile, *k)) == layer);
            let (length, area) = own.fold((0.0, 0.0), |(l, a), (_, c)| {
                (l + c.shape.length(), a + c.shape.area())
            });
            let theirs = sums.get(&layer.name()).copied().unwrap_or((0.0, 0.0));
            assert!(
                near(length, theirs.0) && near(area, theirs.1),
                "{name} {layer:?}: {length} {area} {theirs:?}"
            );
        }
    }
}

fn by_bulges(p: &::dxf::entities::LwPolyline) -> (f64, f64) {
    let n = p.vertices.len();
    let (mut length, mut area) = (0.0, 0.0);
    let o = &p.vertices[0];
    for (k, v) in p.vertices.iter().enumerate() {
        let w = &p.vertices[(k + 1) % n];
        let chord = (w.x - v.x).hypot(w.y - v.y);
        area += 0.5 * ((v.x - o.x) * (w.y - o.y) - (w.x - o.x) * (v.y - o.y));
        if v.bulge == 0.0 {
            length += chord;
        } else {
            let sweep = 4.0 * v.bulge.atan();
            let radius = chord * (1.0 + v.bulge * v.bulge) / (4.0 * v.bulge.abs());
            length += radius * sweep.abs();
            area += 0.5 * radius * radius * (sweep - sweep.sin());
        }
    }
    (length, area.abs())
}

#[test]
fn wire_paths_lie_on_layers_that_say_what_they_are() {
    let library = Library::built_in();
    let job = Job::starting(library);
    let drawing = opened(&std::fs::read(sample("latch-cam")).expect("it opens"));
    let comparison = compare(&drawing.profile, &job, library, &PathCache::default());
    let estimate = &comparison.estimates[0];
    let content = Content {
        profile: &drawing.profile,
        job: &job,
        paths: Some(estimate),
        unit: Unit::Millimetre,
    };
    let written = dxf(&content).expect("it is written");
    let contours = drawing.profile.contours().len();
    for pass in 1..=job.passes {
        assert_eq!(written.entities[&Layer::Path(pass)], contours);
    }
    // The hole as it is drilled, and its centre.
    assert_eq!(written.entities[&Layer::StartHole], 2 * contours);
    // Read back, the paths of the rough are as long as the estimate says, pass by pass.
    let back = opened(&written.bytes);
    let figures = estimate.figures.as_ref().expect("the wire can do it");
    for (k, pass) in figures.passes.iter().enumerate() {
        let name = Layer::Path(k + 1).name();
        assert!(name.contains("PLANNING_AID"));
        let own = back.curves.iter().filter(|c| *c.layer == *name);
        let length: f64 = own.map(kerfcast::drawing::Curve::length).sum();
        assert!(near(length, pass.length.mm()), "{name}");
    }
    // Where the wire is threaded is offered as start holes.
    for s in &figures.starts {
        let at = s.start.hole + drawing.profile.origin();
        assert!(back.points.iter().any(|p| p.distance(at) < 1e-9));
        let diameter = s.hole.expect("it is threaded there").mm();
        let holes = back.curves.iter();
        let holes = holes.filter(|c| *c.layer == *Layer::StartHole.name());
        let fits = |length: f64| near(length, std::f64::consts::PI * diameter);
        assert!(holes.map(kerfcast::drawing::Curve::length).any(fits));
    }
    let said = |n: &kerfcast::drawing::Note| n.text.contains("no machine program");
    assert!(back.notes.iter().any(said));
    // Nothing by chance: the same drawing gives the same bytes.
    assert_eq!(dxf(&content).expect("again").bytes, written.bytes);
}

/// Length of a path of straight lines and circular arcs, from its own numbers.
fn length_of(path: &str) -> f64 {
    let mut spaced = String::new();
    for c in path.chars() {
        // Every command letter stands alone.
        if "MLAZ".contains(c) {
            spaced = spaced + " " + &c.to_string() + " ";
        } else {
            spaced.push(c);
        }
    }
    let mut words = spaced.split_whitespace();
    let (mut total, mut at, mut begin) = (0.0, (0.0, 0.0), (0.0, 0.0));
    while let Some(command) = words.next() {
        let mut number = || -> f64 { words.next().expect("a number").parse().expect("a number") };
        let chord = |to: (f64, f64), from: (f64, f64)| (to.0 - from.0).hypot(to.1 - from.1);
        match command {
            "M" => {
                at = (number(), number());
                begin = at;
            }
            "L" => {
                let to = (number(), number());
                total += chord(to, at);
                at = to;
            }
            "A" => {
                let radius = number();
                assert!(near(radius, number()), "a circle");
                number();
                let is_large = number() == 1.0;
                number();
                let to = (number(), number());
                let half = (0.5 * chord(to, at) / radius).min(1.0).asin();
                let sweep = 2.0
                    * if is_large {
                        std::f64::consts::PI - half
                    } else {
                        half
                    };
                total += radius * sweep;
                at = to;
            }
            "Z" => {
                total += chord(begin, at);
                at = begin;
            }
            other => panic!("{other}"),
        }
    }
    total
}

#[test]
fn a_picture_is_as_long_as_the_contours_and_the_paths() {
    let library = Library::built_in();
    let job = Job::starting(library);
    for (name, drawing) in samples() {
        let comparison = compare(&drawing.profile, &job, library, &PathCache::default());
        let estimate = comparison.estimates.iter().find(|e| e.figures.is_some());
        let content = Content {
            profile: &drawing.profile,
            job: &job,
            paths: estimate,
            unit: Unit::Millimetre,
        };
        let picture = svg(&content).expect("it is drawn");
        let of = |layer: Layer| -> f64 {
            let lines = picture.lines();
            let id = format!("id=\"{}\"", layer.name());
            let own = lines.filter(|l| l.contains(&id));
            let paths = own.map(|l| {
                let (_, d) = l.split_once(" d=\"").expect("a path");
                length_of(d.split('"').next().expect("its end"))
            });
            paths.sum()
        };
        let drawn: f64 = kerfcast::job::cut_contours(&job, &drawing.profile)
            .map(|(_, c)| c.shape.length())
            .sum();
        let there = of(Layer::Outline) + of(Layer::Opening);
        // An arc of nearly a half turn hangs on the last digits of its chord.
        assert!(
            (there - drawn).abs() < 1e-5 * drawn,
            "{name}: {there} {drawn}"
        );
        for (k, pass) in estimate
            .iter()
            .flat_map(|e| &e.figures)
            .flat_map(|f| &f.passes)
            .enumerate()
        {
            let (there, way) = (of(Layer::Path(k + 1)), pass.length.mm());
            assert!(
                (there - way).abs() < 1e-5 * way.max(1.0),
                "{name}, pass {}",
                k + 1
            );
        }
    }
}

#[test]
fn what_is_left_out_is_not_written_and_nothing_is_an_error() {
    let library = Library::built_in();
    let drawing = opened(&std::fs::read(sample("loom-stamping-die")).expect("it opens"));
    let mut job = Job::starting(library);
    let key = |k: usize| kerfcast::job::contour_key(&drawing.profile.contours()[k]);
    job.left_out.insert(key(0));
    let profile = &drawing.profile;
    let write = |job: &Job| {
        dxf(&Content {
            profile,
            job,
            paths: None,
            unit: Unit::Millimetre,
        })
    };
    let written = write(&job).expect("it is written");
    assert_eq!(written.left_out, 1);
    let back = opened(&written.bytes).profile.contours().len();
    assert_eq!(back, drawing.profile.contours().len() - 1);
    job.left_out = (0..drawing.profile.contours().len()).map(key).collect();
    assert!(drawing.profile.open().is_empty());
    assert_eq!(write(&job), Err(ExportError::Nothing));
}

#[test]
fn the_command_never_writes_over_an_input_and_asks_before_it_replaces() {
    let folder = tempfile::tempdir().expect("a folder");
    let input = folder.path().join("in.dxf");
    std::fs::copy(sample("latch-cam"), &input).expect("copied");
    let before = std::fs::read(&input).expect("read");
    let (input, output) = (
        input.display().to_string(),
        folder.path().join("out.dxf").display().to_string(),
    );
    let other_name = folder.path().join(".").join("in.dxf").display().to_string();
    for over in [&input, &other_name] {
        let out = run(&["export", &input, "--dxf", over, "--force"]);
        assert_eq!(out.status.code(), Some(2));
        assert_eq!(std::fs::read(&input).expect("read"), before);
    }
    assert_eq!(
        run(&["export", &input, "--dxf", &output]).status.code(),
        Some(0)
    );
    let again = run(&["export", &input, "--dxf", &output]);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("--force"));
    // Paths need a thickness, contours none.
    let out = run(&["export", &input, "--dxf", &output, "--paths", "--force"]);
    assert_eq!(out.status.code(), Some(2));
    let with_paths = [
        "export",
        &input,
        "--dxf",
        &output,
        "--paths",
        "--thickness",
        "40",
        "--force",
    ];
    let out = run(&with_paths);
    assert_eq!(out.status.code(), Some(0));
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    assert!(text.contains("PLANNING_AID_WIRE_SKIM_3") && text.contains("no machine program"));
    // A wire that cannot: said, and nothing is written.
    let missing = folder.path().join("none.dxf").display().to_string();
    let cannot = [
        "export",
        &input,
        "--dxf",
        &missing,
        "--paths",
        "--thickness",
        "40",
        "--wire",
        "hard plain brass@0.25",
        "--as-drawn",
        "required",
    ];
    let out = run(&cannot);
    let blocked = out.status.code() == Some(1);
    assert_eq!(blocked, !Path::new(&missing).exists());
}
