//! What each pass of a plan does: its offset from the drawn contour, its feed and its wire.

use super::cutting_rate::{RoughConditions, learned_figure, taper_factor};
use crate::language::said;
use crate::library::{Diameter, Factor, Knowledge, Library, Model};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::{Feed, Length, RunOff};

/// The feed that a skim never exceeds: a ceiling, or a ratio to the rough feed, whichever is more.
///
/// A skim is limited by the servo, not by erosion (judgement).
fn skim_ceiling(rough: Feed, model: &Model) -> Feed {
    Feed::from_mm_per_min(model.skim_ceiling.value).max(rough * model.skim_over_rough.value)
}

/// One pass in the given conditions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// Wire centre to drawn contour.
    pub offset: Length,
    /// Spark gap between wire and wall.
    pub gap: Length,
    /// Stock it removes per side.
    pub stock: Length,
    /// Feed where the path runs straight.
    pub feed: Feed,
    /// Wire used a minute.
    pub run_off: RunOff,
    /// Depth c of the corner slowdown.
    pub corner_slowdown: f64,
}

/// The passes of a plan, the rough first.
///
/// offset_p = d/2 + g_p + the stock of every later pass of this plan.
pub fn passes(count: usize, conditions: &RoughConditions<'_>, library: &Library) -> Vec<Pass> {
    passes_leaning(count, 0.0, conditions, library)
}

/// The same where the wire leans by an angle in degrees: the rough slows, and skims are held to the ceiling after that.
///
/// `conditions` are those of the leaning wire, with its length in the work as thickness.
pub fn passes_leaning(
    count: usize,
    degrees: f64,
    conditions: &RoughConditions<'_>,
    library: &Library,
) -> Vec<Pass> {
    // What was learned multiplies the feeds as they would run without it, ceilings included: that is what the
    // finished cuts were held against.
    let rough = conditions.starting_feed() * taper_factor(degrees, conditions.model);
    let learned = conditions.learned_speed();
    let skims = learned * conditions.learned.map_or(1.0, Knowledge::skim_speed);
    let run_off = conditions.learned.map_or(1.0, Knowledge::run_off);
    let fine = DiameterFactors::at(conditions.diameter, library);
    let rows = &library.passes[..count.min(library.passes.len())];
    let stock = |k: usize| Length::from_mm(rows[k].stock.value * fine.gap_and_stock);
    let radius = conditions.diameter / 2.0;
    (0..rows.len())
        .map(|k| {
            let row = &rows[k];
            let gap = Length::from_mm(row.spark_gap.value * fine.gap_and_stock);
            let later: Length = (k + 1..rows.len()).map(stock).sum();
            let ceiling = skim_ceiling(rough, conditions.model);
            let feed = if k == 0 {
                rough * learned
            } else {
                (rough * row.feed_ratio.value).min(ceiling) * skims
            };
            Pass {
                offset: radius + gap + later,
                gap,
                stock: if k == 0 { Length::ZERO } else { stock(k) },
                feed,
                run_off: conditions.run.run_off(
                    k,
                    RunOff::from_m_per_min(row.run_off.value * fine.run_off * run_off),
                ),
                corner_slowdown: row.corner_slowdown.value,
            }
        })
        .collect()
}

/// What a diameter multiplies, between listed diameters in proportion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiameterFactors {
    /// On spark gap and stock.
    pub gap_and_stock: f64,
    /// On run-off.
    pub run_off: f64,
    /// Thickness beyond which it is unusual, mm.
    pub usual_max_thickness: f64,
}

impl DiameterFactors {
    /// At a diameter; the ends of the table hold beyond it.
    pub fn at(diameter: Length, library: &Library) -> Self {
        let rows = &library.diameters;
        let of = |r: &Diameter| Self {
            gap_and_stock: r.gap_and_stock.value,
            run_off: r.run_off.value,
            usual_max_thickness: r.usual_max_thickness.value,
        };
        let d = diameter.mm();
        let above = rows.partition_point(|r| r.diameter_mm < d - 1e-9);
        match (
            above.checked_sub(1).and_then(|k| rows.get(k)),
            rows.get(above),
        ) {
            (_, Some(b)) if (b.diameter_mm - d).abs() <= 1e-9 => of(b),
            (Some(a), Some(b)) => {
                let t = (d - a.diameter_mm) / (b.diameter_mm - a.diameter_mm);
                let (x, y) = (of(a), of(b));
                let mix = |p: f64, q: f64| p + (q - p) * t;
                Self {
                    gap_and_stock: mix(x.gap_and_stock, y.gap_and_stock),
                    run_off: mix(x.run_off, y.run_off),
                    usual_max_thickness: mix(x.usual_max_thickness, y.usual_max_thickness),
                }
            }
            (Some(a), None) => of(a),
            (None, Some(b)) => of(b),
            (None, None) => Self {
                gap_and_stock: 1.0,
                run_off: 1.0,
                usual_max_thickness: 300.0,
            },
        }
    }
}

/// Kerf of the rough: d + 2·g_rough.
pub fn kerf(diameter: Length, rough: &Pass) -> Length {
    diameter + rough.gap * 2.0
}

/// How far inside an opening its slug's edge lies: the rough's offset and half its kerf.
pub fn slug_inset(diameter: Length, rough: &Pass) -> Length {
    rough.offset + kerf(diameter, rough) / 2.0
}

/// Why the feed of pass `k` (0 the rough) is what it is, the wire leaning by an angle in degrees.
pub fn explain_feed(
    k: usize,
    degrees: f64,
    conditions: &RoughConditions<'_>,
    library: &Library,
    pass: &Pass,
) -> Figure {
    let thickness = Figure::given(
        say!("thickness"),
        conditions.thickness.mm(),
        Unit::Mm,
        Standing::Yours,
    );
    let rough = conditions.feed();
    let upright = Figure::formula(
        say!("rough feed"),
        rough.mm_per_min(),
        Unit::Feed,
        vec![
            (Sign::Plus, conditions.explain_rate()),
            (Sign::Over, thickness),
        ],
        say!("cutting rate = feed × thickness (Schacht 2004, ch. III)"),
    );
    let slower = taper_factor(degrees, conditions.model);
    let rough_feed = if degrees == 0.0 {
        upright
    } else {
        let taper = Figure::value(
            say!("taper"),
            slower,
            Unit::Plain,
            conditions.model.taper_slope.standing,
            say!(
                "1 − {} a degree, never below {}; the wire in the work is H/cos θ long",
                conditions.model.taper_slope.value,
                conditions.model.taper_floor.value
            ),
        );
        let terms = vec![(Sign::Plus, upright), (Sign::Times, taper)];
        let feed = rough.mm_per_min() * slower;
        Figure::formula(say!("rough feed with taper"), feed, Unit::Feed, terms, "")
    };
    if k == 0 {
        return rough_feed;
    }
    let row = &library.passes[k];
    let name = say!("feed of {}", said(&row.name));
    let starting = conditions.starting_feed() * slower;
    let model = conditions.model;
    let ceiling = skim_ceiling(starting, model);
    let mut terms = if starting * row.feed_ratio.value <= ceiling {
        let ratio = Figure::library(say!("skim against rough"), &row.feed_ratio, Unit::Plain);
        vec![(Sign::Plus, rough_feed), (Sign::Times, ratio)]
    } else if (starting * model.skim_over_rough.value).mm_per_min() > model.skim_ceiling.value {
        let over = &model.skim_over_rough;
        let ratio = Figure::library(say!("ceiling against the rough"), over, Unit::Plain);
        vec![(Sign::Plus, rough_feed), (Sign::Times, ratio)]
    } else {
        let held = |name: String| Figure::library(name, &model.skim_ceiling, Unit::Feed);
        if conditions.learned.is_none() {
            return held(say!("{name}, held at the ceiling"));
        }
        let all = conditions.learned_speed();
        let learned = Figure::value(
            say!("learned for the rough"),
            all,
            Unit::Plain,
            Standing::Yours,
            say!("product of what was learned, as in the rough rate"),
        );
        vec![
            (Sign::Plus, held(say!("ceiling").to_owned())),
            (Sign::Times, learned),
        ]
    };
    if let Some(known) = conditions
        .learned
        .filter(|l| l.learned(&Factor::Skims).is_some())
    {
        terms.push((Sign::Times, learned_figure(known, &Factor::Skims, 1.0)));
    }
    Figure::formula(name, pass.feed.mm_per_min(), Unit::Feed, terms, "")
}

/// Why the run-off of pass `k` (0 the rough) is what it is.
pub fn explain_run_off(
    k: usize,
    conditions: &RoughConditions<'_>,
    library: &Library,
    pass: &Pass,
) -> Figure {
    if let Some(own) = conditions.run.explain(k) {
        return own;
    }
    let row = Figure::library(say!("wire speed"), &library.passes[k].run_off, Unit::RunOff);
    let factor = DiameterFactors::at(conditions.diameter, library).run_off;
    let known = conditions
        .learned
        .filter(|l| l.learned(&Factor::RunOff).is_some());
    if factor == 1.0 && known.is_none() {
        return row;
    }
    let mut terms = vec![(Sign::Plus, row)];
    if factor != 1.0 {
        let source = say!("from the table of diameters, from memory");
        let of_diameter = Figure::value(
            say!("this diameter"),
            factor,
            Unit::Plain,
            Standing::CommonPractice,
            source,
        );
        terms.push((Sign::Times, of_diameter));
    }
    if let Some(known) = known {
        terms.push((Sign::Times, learned_figure(known, &Factor::RunOff, 1.0)));
    }
    Figure::formula(
        say!("wire speed"),
        pass.run_off.m_per_min(),
        Unit::RunOff,
        terms,
        "",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Flushing;

    fn conditions(library: &Library, thickness: f64, diameter: f64) -> RoughConditions<'_> {
        RoughConditions::new(
            &library.materials[0],
            &library.wires[0],
            Length::from_mm(diameter),
            Length::from_mm(thickness),
            Flushing::Close,
        )
    }

    #[test]
    fn offsets_of_four_passes() {
        // d 0.25; gaps 0.040 0.020 0.010 0.006; stock 0.040 0.010 0.004: 0.219 / 0.159 / 0.139 / 0.131.
        let l = Library::built_in();
        let found = passes(4, &conditions(l, 50.0, 0.25), l);
        for (p, e) in found.iter().zip([0.219, 0.159, 0.139, 0.131]) {
            assert!((p.offset.mm() - e).abs() < 1e-12, "{p:?}");
        }
        assert!((kerf(Length::from_mm(0.25), &found[0]).mm() - 0.330).abs() < 1e-12);
        assert!((slug_inset(Length::from_mm(0.25), &found[0]).mm() - 0.384).abs() < 1e-12);
        // Rough alone: no stock is left for anybody.
        let alone = passes(1, &conditions(l, 50.0, 0.25), l);
        assert!((alone[0].offset.mm() - 0.165).abs() < 1e-12);
    }

    #[test]
    fn rough_and_three_skims_take_twice_the_rough_in_steel_from_36_mm() {
        // Common practice, no source: a price ladder of 1 : 2.0.
        let l = Library::built_in();
        for h in [36.0, 40.0, 80.0, 200.0] {
            let p = passes(4, &conditions(l, h, 0.25), l);
            let time: f64 = p.iter().map(|p| 1.0 / p.feed.mm_per_min()).sum();
            assert!((time * p[0].feed.mm_per_min() - 2.0).abs() < 0.03, "{h}");
        }
    }

    #[test]
    fn skims_are_held_at_the_ceiling_in_thin_work() {
        let l = Library::built_in();
        let p = passes(2, &conditions(l, 2.0, 0.25), l);
        assert!((p[1].feed / p[0].feed - 1.3).abs() < 1e-12);
        let p = passes(2, &conditions(l, 20.0, 0.25), l);
        assert!((p[1].feed.mm_per_min() - 12.0).abs() < 1e-12);
    }

    #[test]
    fn every_feed_is_explained_by_its_own_terms() {
        let l = Library::built_in();
        for h in [2.0, 20.0, 80.0] {
            let c = conditions(l, h, 0.2);
            for (k, p) in passes(4, &c, l).iter().enumerate() {
                let why = explain_feed(k, 0.0, &c, l, p);
                let again = why.recomputed().unwrap_or(why.value);
                assert!((again - p.feed.mm_per_min()).abs() < 1e-9, "{h} {k}");
            }
            for (k, p) in passes_leaning(4, 15.0, &c, l).iter().enumerate() {
                let why = explain_feed(k, 15.0, &c, l, p);
                let again = why.recomputed().unwrap_or(why.value);
                assert!(
                    (again - p.feed.mm_per_min()).abs() < 1e-9,
                    "{h} {k} leaning"
                );
            }
        }
    }

    #[test]
    fn diameters_between_rows_are_in_proportion() {
        // Whatever other rows the library has.
        let mut l = Library::built_in().clone();
        let kept = [0.20, 0.25];
        l.diameters.retain(|d| kept.contains(&d.diameter_mm));
        let l = &l;
        let f = DiameterFactors::at(Length::from_mm(0.225), l);
        assert!((f.gap_and_stock - 0.95).abs() < 1e-12 && (f.run_off - 0.95).abs() < 1e-12);
        assert_eq!(
            DiameterFactors::at(Length::from_mm(0.25), l).gap_and_stock,
            1.0
        );
    }
}
