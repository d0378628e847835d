//! Random profiles written as drawings in many ways read back as the same contours.
//!
//! The answers are plain geometry: sides and quarter circles of rounded rectangles.

use kerfcast::drawing::{Drawing, Progress, ReadOptions, read};
use proptest::prelude::*;
use std::f64::consts::PI;

/// A rectangle of w × h with corners of radius r, around a centre; r may be 0.
#[derive(Debug, Clone, Copy)]
struct Rounded {
    x: f64,
    y: f64,
    w: f64,
    h: f64,
    r: f64,
}

impl Rounded {
    fn length(&self) -> f64 {
        2.0 * (self.w + self.h) - 8.0 * self.r + 2.0 * PI * self.r
    }
    fn area(&self) -> f64 {
        self.w * self.h - (4.0 - PI) * self.r * self.r
    }
    /// Sides and corners in order: start, end, and centre with start angle in degrees for corners.
    fn edges(&self) -> Vec<Edge> {
        let (a, b) = (self.w / 2.0, self.h / 2.0);
        let mut edges = Vec::new();
        for (k, (sx, sy)) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .into_iter()
            .enumerate()
        {
            let centre = (self.x + sx * (a - self.r), self.y + sy * (b - self.r));
            let on = |quarter: usize| {
                let (s, c) = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][quarter % 4];
                (centre.0 + self.r * c, centre.1 + self.r * s)
            };
            if self.r > 0.0 {
                edges.push(Edge::Arc {
                    centre,
                    r: self.r,
                    from: 90.0 * k as f64,
                    a: on(k),
                });
            }
            let next = [(-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (1.0, 1.0)][k];
            let end_centre = (
                self.x + next.0 * (a - self.r),
                self.y + next.1 * (b - self.r),
            );
            let (s, c) = [(1.0, 0.0), (0.0, -1.0), (-1.0, 0.0), (0.0, 1.0)][k];
            edges.push(Edge::Line(
                on(k + 1),
                (end_centre.0 + self.r * c, end_centre.1 + self.r * s),
            ));
        }
        edges
    }
}

#[derive(Debug, Clone, Copy)]
enum Edge {
    Line((f64, f64), (f64, f64)),
    Arc {
        centre: (f64, f64),
        r: f64,
        from: f64,
        a: (f64, f64),
    },
}

/// How the drawing is written.
#[allow(clippy::struct_excessive_bools, reason = "each is a coin of its own")]
#[derive(Debug, Clone)]
struct Style {
    /// One polyline a contour, or loose lines and arcs.
    polylines: bool,
    split: bool,
    reverse: bool,
    duplicate: bool,
    block: bool,
    binary: bool,
    shift: (f64, f64),
    order: u64,
}

type Pairs = Vec<(i16, String)>;

fn pairs_of(contours: &[Rounded], style: &Style) -> Pairs {
    let text = |v: f64| format!("{v:?}");
    let mut entities: Vec<Pairs> = Vec::new();
    for contour in contours {
        if style.polylines {
            let mut p = vec![(0, "LWPOLYLINE".into()), (8, "0".into()), (70, "1".into())];
            for edge in contour.edges() {
                let (at, bulge) = match edge {
                    Edge::Line(a, _) => (a, 0.0),
                    Edge::Arc { a, .. } => (a, (PI / 8.0).tan()),
                };
                p.extend([(10, text(at.0)), (20, text(at.1)), (42, text(bulge))]);
            }
            entities.push(p);
            continue;
        }
        for edge in contour.edges() {
            match edge {
                Edge::Line(a, b) => {
                    let (a, b) = if style.reverse { (b, a) } else { (a, b) };
                    let m = (a.0 + (b.0 - a.0) * 0.375, a.1 + (b.1 - a.1) * 0.375);
                    let parts = if style.split {
                        vec![(a, m), (m, b)]
                    } else {
                        vec![(a, b)]
                    };
                    for (a, b) in parts {
                        entities.push(vec![
                            (0, "LINE".into()),
                            (8, "0".into()),
                            (10, text(a.0)),
                            (20, text(a.1)),
                            (11, text(b.0)),
                            (21, text(b.1)),
                        ]);
                    }
                }
                Edge::Arc {
                    centre, r, from, ..
                } => entities.push(vec![
                    (0, "ARC".into()),
                    (8, "0".into()),
                    (10, text(centre.0)),
                    (20, text(centre.1)),
                    (40, text(r)),
                    (50, text(from)),
                    (51, text(from + 90.0)),
                ]),
            }
        }
    }
    if style.duplicate
        && let Some(first) = entities.first().cloned()
    {
        entities.push(first);
    }
    // A shuffle that the case decides.
    let mut state = style.order | 1;
    for k in (1..entities.len()).rev() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        entities.swap(k, (state >> 33) as usize % (k + 1));
    }
    let section = |name: &str| [(0, "SECTION".to_owned()), (2, name.to_owned())];
    let mut out: Pairs = section("HEADER").into();
    out.extend([
        (9, "$INSUNITS".into()),
        (70, "4".into()),
        (0, "ENDSEC".into()),
    ]);
    let body: Pairs = entities.concat();
    if style.block {
        out.extend(section("BLOCKS"));
        out.extend([
            (0, "BLOCK".into()),
            (8, "0".into()),
            (2, "B".into()),
            (70, "0".into()),
            (10, "0".into()),
            (20, "0".into()),
        ]);
        out.extend(body);
        out.extend([(0, "ENDBLK".into()), (0, "ENDSEC".into())]);
        out.extend(section("ENTITIES"));
        out.extend([
            (0, "INSERT".into()),
            (8, "0".into()),
            (2, "B".into()),
            (10, text(style.shift.0)),
            (20, text(style.shift.1)),
        ]);
    } else {
        out.extend(section("ENTITIES"));
        out.extend(body);
    }
    out.extend([(0, "ENDSEC".into()), (0, "EOF".into())]);
    out
}

/// Text, or the binary form of the DXF reference with two-byte codes.
fn written(pairs: &Pairs, binary: bool) -> Vec<u8> {
    if !binary {
        let lines = pairs
            .iter()
            .flat_map(|(c, v)| [format!("{c:>3}"), v.clone()]);
        return lines.map(|line| line + "\r\n").collect::<String>().into();
    }
    let mut out = b"AutoCAD Binary DXF\r\n\x1a\0".to_vec();
    for (code, value) in pairs {
        out.extend(code.to_le_bytes());
        match code {
            10..=59 => out.extend(value.parse::<f64>().expect("a number").to_le_bytes()),
            60..=79 => out.extend(value.parse::<i16>().expect("a number").to_le_bytes()),
            _ => {
                out.extend(value.bytes());
                out.push(0);
            }
        }
    }
    out
}

fn opened(contours: &[Rounded], style: &Style) -> Drawing {
    let bytes = written(&pairs_of(contours, style), style.binary);
    read(&bytes, &ReadOptions::default(), &Progress::default()).expect("it reads")
}

fn contours() -> impl Strategy<Value = Vec<Rounded>> {
    // One in each cell of 100 mm, so that they never touch; every second one holds a smaller one.
    let one = (
        10.0..80.0_f64,
        10.0..80.0_f64,
        0.0..0.45_f64,
        any::<bool>(),
        any::<bool>(),
    );
    prop::collection::vec(one, 1..6).prop_map(|list| {
        let mut out = Vec::new();
        for (k, (w, h, share, sharp, nested)) in list.into_iter().enumerate() {
            let r = if sharp { 0.0 } else { share * w.min(h) };
            let outer = Rounded {
                x: 100.0 * k as f64,
                y: 7.0,
                w,
                h,
                r,
            };
            out.push(outer);
            if nested {
                out.push(Rounded {
                    w: 0.5 * w,
                    h: 0.5 * h,
                    r: 0.5 * r,
                    ..outer
                });
            }
        }
        out
    })
}

fn style() -> impl Strategy<Value = Style> {
    let flags = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    (flags, (-500.0..500.0_f64, -500.0..500.0_f64), any::<u64>()).prop_map(
        |((polylines, split, reverse, duplicate, block, binary), shift, order)| Style {
            polylines,
            split,
            reverse,
            duplicate,
            block,
            binary,
            shift,
            order,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_same_contours_come_back(contours in contours(), style in style()) {
        let d = opened(&contours, &style);
        let mut found: Vec<(f64, f64, usize)> = d.profile.contours().iter()
            .map(|c| (c.drawn_length.mm(), c.drawn_area.mm2(), c.depth)).collect();
        let mut expected: Vec<(f64, f64, usize)> = contours.iter().enumerate()
            .map(|(k, c)| (c.length(), c.area(), usize::from(k > 0 && contours[k - 1].x == c.x))).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        expected.sort_by(|a, b| a.0.total_cmp(&b.0));
        prop_assert_eq!(found.len(), expected.len());
        prop_assert!(d.profile.open().is_empty());
        for (f, e) in found.iter().zip(&expected) {
            prop_assert!((f.0 - e.0).abs() < 1e-8 * e.0, "{f:?} {e:?}");
            prop_assert!((f.1 - e.1).abs() < 1e-8 * e.1, "{f:?} {e:?}");
            prop_assert_eq!(f.2, e.2);
        }
        for c in d.profile.contours() {
            // The shape itself follows the drawn curves and runs counter-clockwise.
            prop_assert!((c.shape.length() - c.drawn_length.mm()).abs() < 1e-6 * c.drawn_length.mm());
            prop_assert!((c.shape.signed_area() - c.drawn_area.mm2()).abs() < 1e-6 * c.drawn_area.mm2());
        }
    }
}
