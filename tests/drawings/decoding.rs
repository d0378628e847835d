//! Simple entities of real drawings against the `dxf` crate, which reads them independently.
//!
//! Only drawings that the crate reads, and of these lines, circles, arcs and flat polylines that lie in
//! the model space: the crate expands no blocks.

use dxf::entities::EntityType;
use kerfcast::drawing::{Progress, ReadOptions, Unit, UnitChoice, read};
use kerfcast::samples;
use std::collections::BTreeMap;

use crate::shared;

/// Count and sum of lengths, of polylines the number of vertices, by type.
type Sums = BTreeMap<&'static str, (usize, f64)>;

fn add(sums: &mut Sums, kind: &'static str, value: f64) {
    let sum = sums.entry(kind).or_default();
    sum.0 += 1;
    sum.1 += value;
}

/// What the crate reads.
fn theirs(bytes: &[u8]) -> Option<Sums> {
    let drawing = dxf::Drawing::load(&mut &bytes[..]).ok()?;
    let mut sums = Sums::new();
    for entity in drawing.entities().filter(|e| !e.common.is_in_paper_space) {
        match &entity.specific {
            EntityType::Line(l) => {
                let (dx, dy) = (l.p2.x - l.p1.x, l.p2.y - l.p1.y);
                add(&mut sums, "LINE", dx.hypot(dy));
            }
            // Ours leaves those out, with a finding.
            EntityType::Circle(c) if c.radius <= 0.0 => add(&mut sums, "CIRCLE", 0.0),
            EntityType::Circle(c) => add(&mut sums, "CIRCLE", std::f64::consts::TAU * c.radius),
            EntityType::Arc(a) => {
                let turn = (a.end_angle - a.start_angle).rem_euclid(360.0).to_radians();
                add(&mut sums, "ARC", a.radius * turn);
            }
            EntityType::LwPolyline(p) => add(&mut sums, "LWPOLYLINE", p.vertices.len() as f64),
            EntityType::Insert(_) => return None,
            _ => {}
        }
    }
    Some(sums)
}

/// Compares what the two read of a drawing; how many entities were compared.
fn compared(file: &str, bytes: &[u8]) -> usize {
    let options = ReadOptions {
        units: UnitChoice::Fixed(Unit::None),
        ..ReadOptions::default()
    };
    let Ok(Some(theirs)) = std::panic::catch_unwind(|| theirs(bytes)) else {
        return 0;
    };
    let drawing = read(bytes, &options, &Progress::default()).expect("it reads");
    let mut ours = Sums::new();
    for curve in drawing.curves.iter() {
        let value = match curve.kind {
            "LINE" | "CIRCLE" | "ARC" => curve.length(),
            _ => continue,
        };
        add(&mut ours, curve.kind, value);
    }
    let mut compared = 0;
    for (kind, (count, sum)) in theirs {
        let read = drawing.read.get(kind).copied().unwrap_or(0);
        assert_eq!(read, count, "{file}: {kind}");
        if kind != "LWPOLYLINE" {
            let found = ours.get(kind).map_or(0.0, |s| s.1);
            assert!(
                (found - sum).abs() <= 1e-9 * sum,
                "{file}: {kind} {found} {sum}"
            );
            compared += count;
        }
    }
    compared
}

#[test]
fn simple_entities_of_our_own_drawings_agree_with_the_crate() {
    let all = samples::ALL.iter().map(|s| compared(s.name, s.bytes));
    let count: usize = all.sum();
    assert!(count > 100, "{count} entities");
}

#[test]
#[ignore = "needs ../shared"]
fn simple_entities_agree_with_the_crate() {
    let folder = shared::folder("corpus");
    let mut count = 0;
    for row in shared::rows(&folder.join("../manifest.csv")) {
        let file = &row["file"];
        count += compared(file, &std::fs::read(folder.join(file)).expect("it opens"));
    }
    assert!(count > 1000, "{count} entities");
}
