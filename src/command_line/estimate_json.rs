//! An estimate as JSON, every figure unrounded.

use super::reading::keep_word;
use crate::drawing::Drawing;
use crate::estimate::alternatives::{WayOfCutting, ways_of_cutting};
use crate::estimate::changes::{Change, Needed, largest_diameter, next_larger, radius_left};
use crate::estimate::{
    Comparison, Difference, Estimate, Figures, FreePart, NotEroded, Question, Slug, SlugCaution,
    explain,
};
use crate::geometry::Point;
use crate::job::{CutOff, CuttingOrder, Job, Travel};
use crate::plan::{PathCache, Share};
use crate::process::Library;
use crate::units::Length;
use serde::Serialize;
use std::path::Path;

/// The estimate of a file as it is written.
#[derive(Serialize)]
pub(super) struct EstimatedJson {
    file: String,
    job: JobJson,
    wires: Vec<WireJson>,
}

#[derive(Serialize)]
struct JobJson {
    thickness_mm: f64,
    material: String,
    passes: usize,
    flushing: &'static str,
    quantity: u32,
    keep: &'static str,
    order: CuttingOrder,
    cut_off: CutOff,
    travel: Travel,
    spool: String,
    uptime: f64,
    learned: Option<LearnedJson>,
}

/// What the estimates learned from.
#[derive(Serialize)]
struct LearnedJson {
    machine: String,
    cuts: usize,
}

#[derive(Serialize)]
struct WireJson {
    wire: String,
    diameter_mm: f64,
    run: String,
    possible: bool,
    blockers: Vec<ObstacleJson>,
    warnings: Vec<ObstacleJson>,
    minutes: Option<MinutesJson>,
    attended_minutes: Option<f64>,
    pass_minutes: Option<Vec<f64>>,
    pass_length_mm: Option<Vec<f64>>,
    pass_offset_mm: Option<Vec<f64>>,
    pass_feed_mm_min: Option<Vec<f64>>,
    pass_run_off_m_min: Option<Vec<f64>>,
    uncut: Vec<UncutJson>,
    wire_m: Option<f64>,
    wire_kg: Option<f64>,
    spools: Option<f64>,
    slugs: Option<Vec<SlugJson>>,
    parts: Option<Vec<PartJson>>,
    cost: Option<CostJson>,
    parts_per_week: Option<u64>,
    ranges: Option<RangesJson>,
    against_baseline: Option<DifferenceJson>,
    lines: Option<Vec<LineJson>>,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    alternatives: Option<AlternativesJson>,
}

/// Other ways to go about it.
#[derive(Serialize)]
struct AlternativesJson {
    ways: Vec<WayJson>,
    radius_left_mm: Option<f64>,
    largest_diameter_mm: Option<f64>,
    next_larger: Option<NextLargerJson>,
}

#[derive(Serialize)]
struct WayJson {
    words: String,
    order: CuttingOrder,
    cut_off: CutOff,
    travel: Travel,
    minutes: f64,
    attended_minutes: f64,
    alone_minutes: f64,
    threadings: usize,
    chosen: bool,
}

/// The next larger wire that the drawing keeps out, and what would let it in.
#[derive(Serialize)]
struct NextLargerJson {
    diameter_mm: f64,
    changes: Vec<ChangeJson>,
    minutes: f64,
    saves_minutes: f64,
    saves_cost: f64,
}

#[derive(Serialize)]
struct ChangeJson {
    contour: usize,
    at_mm: [f64; 2],
    radius_mm: Option<f64>,
    width_mm: Option<f64>,
}

/// Low and high, about 68 %.
#[derive(Serialize)]
struct RangesJson {
    pass_minutes: Vec<[f64; 2]>,
    wire_m: [f64; 2],
    wire_kg: [f64; 2],
    spools: [f64; 2],
    parts_per_week: [u64; 2],
}

/// As shares: −0.31 is 31 % less.
#[derive(Serialize)]
struct DifferenceJson {
    minutes: f64,
    minutes_range: [f64; 2],
    wire: f64,
    wire_range: [f64; 2],
    cost: f64,
    cost_range: [f64; 2],
    probability_faster: f64,
    probability_less_wire: f64,
    probability_cheaper: f64,
}

#[derive(Serialize)]
struct ObstacleJson {
    code: &'static str,
    message: String,
    at_mm: Option<[f64; 2]>,
    contour: Option<usize>,
}

/// Minutes by what they go into; see the interface's words.
#[derive(Serialize)]
pub(super) struct MinutesJson {
    pub total: f64,
    pub low: f64,
    pub high: f64,
    pub cutting: f64,
    pub corners: f64,
    pub threading: f64,
    pub slug_stops: f64,
    pub moves: f64,
    pub breaks: f64,
}

#[derive(Serialize)]
struct UncutJson {
    contour: usize,
    at_mm: [f64; 2],
    depth_mm: f64,
    area_mm2: f64,
    sharp_corner: bool,
}

#[derive(Serialize)]
struct SlugJson {
    contour: usize,
    area_mm2: f64,
    mass_kg: f64,
    /// Pieces into which the waste of this opening falls; this is one of them.
    pieces: usize,
    caution: Option<&'static str>,
    falls_apart: Option<String>,
    not_eroded: Option<String>,
}

/// A part as it comes free.
#[derive(Serialize)]
struct PartJson {
    contour: usize,
    area_mm2: f64,
    mass_kg: f64,
    caution: Option<&'static str>,
}

#[derive(Serialize)]
struct CostJson {
    holes: f64,
    machine: f64,
    labour: f64,
    wire: f64,
    consumables: f64,
    setup: f64,
    part: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct LineJson {
    what: String,
    pass: Option<usize>,
    contour: Option<usize>,
    length_mm: f64,
    minutes: f64,
    corner_minutes: f64,
    wire_m: f64,
    attended: bool,
    because: String,
}

/// What an estimate was made from.
pub(super) struct Asked<'a> {
    /// The drawing.
    pub drawing: &'a Drawing,
    /// What was decided.
    pub job: &'a Job,
    /// What it rests on.
    pub library: &'a Library,
    /// Wire paths laid so far.
    pub cache: &'a PathCache,
    /// Whether other ways are wanted.
    pub alternatives: bool,
}

/// A file's estimate as it is written.
pub(super) fn estimated(path: &Path, asked: &Asked<'_>, comparison: &Comparison) -> EstimatedJson {
    let job = asked.job;
    EstimatedJson {
        file: path.display().to_string(),
        job: JobJson {
            thickness_mm: job.thickness.mm(),
            material: job.material.clone(),
            passes: job.passes,
            flushing: job.flushing.key(),
            quantity: job.quantity,
            keep: keep_word(job.keep),
            order: job.order,
            cut_off: job.cut_off,
            travel: job.travel,
            spool: job.shop.spool.clone(),
            uptime: job.shop.uptime,
            learned: asked.library.learned.as_ref().map(|known| LearnedJson {
                machine: known.machine.clone(),
                cuts: known.cuts,
            }),
        },
        wires: comparison
            .estimates
            .iter()
            .enumerate()
            .map(|(k, e)| wire(asked, k, e, comparison.difference(k)))
            .collect(),
    }
}

fn absolute(asked: &Asked<'_>, p: Point) -> [f64; 2] {
    let p = p + asked.drawing.profile.origin;
    [p.x, p.y]
}

fn wire(
    asked: &Asked<'_>,
    candidate: usize,
    e: &Estimate,
    difference: Option<Difference>,
) -> WireJson {
    let (job, library) = (asked.job, asked.library);
    let absolute = |p| absolute(asked, p);
    let obstacles = |blocks: bool| {
        e.obstacles
            .iter()
            .filter(|o| o.blocks == blocks)
            .map(|o| ObstacleJson {
                code: o.code,
                message: o.message.clone(),
                at_mm: o.at.map(absolute),
                contour: o.contour,
            })
            .collect()
    };
    let f = e.figures.as_ref();
    WireJson {
        wire: e.candidate.wire.clone(),
        diameter_mm: e.candidate.diameter.mm(),
        run: e.candidate.run.words(),
        possible: e.is_possible(),
        blockers: obstacles(true),
        warnings: obstacles(false),
        minutes: f.map(minutes),
        attended_minutes: f.map(|f| f.attended.min_value()),
        pass_minutes: f.map(|f| f.passes.iter().map(|p| p.minutes.min_value()).collect()),
        pass_length_mm: f.map(|f| f.passes.iter().map(|p| p.length.mm()).collect()),
        pass_offset_mm: f.map(|f| f.passes.iter().map(|p| p.offset.mm()).collect()),
        pass_feed_mm_min: f.map(|f| f.passes.iter().map(|p| p.feed.mm_per_min()).collect()),
        pass_run_off_m_min: f.map(|f| f.passes.iter().map(|p| p.run_off.m_per_min()).collect()),
        uncut: e
            .uncut
            .iter()
            .map(|u| UncutJson {
                contour: u.contour,
                at_mm: absolute(u.at),
                depth_mm: u.depth.mm(),
                area_mm2: u.area.mm2(),
                sharp_corner: u.sharp,
            })
            .collect(),
        wire_m: f.map(|f| f.wire.median.m()),
        wire_kg: f.map(|f| f.wire_mass.kg()),
        spools: f.map(|f| f.spools),
        slugs: f.map(|f| {
            let one = |s: &Slug| SlugJson {
                contour: s.contour,
                area_mm2: s.area.mm2(),
                mass_kg: s.mass.kg(),
                pieces: s.pieces,
                caution: s.caution.map(SlugCaution::words),
                falls_apart: s.falls_apart_words(),
                not_eroded: s.not_eroded.map(NotEroded::words),
            };
            f.slugs.iter().map(one).collect()
        }),
        parts: f.map(|f| {
            let one = |p: &FreePart| PartJson {
                contour: p.contour,
                area_mm2: p.area.mm2(),
                mass_kg: p.mass.kg(),
                caution: p.caution.map(SlugCaution::part_words),
            };
            f.parts.iter().map(one).collect()
        }),
        cost: f.map(cost),
        parts_per_week: f.map(|f| f.parts_per_week),
        ranges: f.map(ranges),
        against_baseline: difference.map(difference_json),
        lines: f.map(|f| lines(f, job, library, e)),
        alternatives: asked
            .alternatives
            .then(|| alternatives(asked, candidate, e)),
    }
}

fn alternatives(asked: &Asked<'_>, candidate: usize, e: &Estimate) -> AlternativesJson {
    let Asked {
        drawing,
        job,
        library,
        cache,
        ..
    } = *asked;
    let profile = &drawing.profile;
    let way = |w: WayOfCutting| WayJson {
        words: w.words(),
        order: w.order,
        cut_off: w.cut_off,
        travel: w.travel,
        minutes: w.minutes.min_value(),
        attended_minutes: w.attended.min_value(),
        alone_minutes: w.alone.min_value(),
        threadings: w.threadings,
        chosen: w.chosen,
    };
    let change = |c: &Change| ChangeJson {
        contour: c.contour,
        at_mm: absolute(asked, c.at),
        radius_mm: if let Needed::Radius(r) = c.needed {
            Some(r.mm())
        } else {
            None
        },
        width_mm: if let Needed::Width(w) = c.needed {
            Some(w.mm())
        } else {
            None
        },
    };
    AlternativesJson {
        ways: ways_of_cutting(profile, job, library, candidate, cache)
            .into_iter()
            .map(way)
            .collect(),
        radius_left_mm: radius_left(job, &e.candidate, library).map(Length::mm),
        largest_diameter_mm: largest_diameter(profile, job, library, &e.candidate.wire, cache)
            .map(Length::mm),
        next_larger: next_larger(profile, job, library, &e.candidate, cache).map(|n| {
            NextLargerJson {
                diameter_mm: n.candidate.diameter.mm(),
                changes: n.changes.iter().map(change).collect(),
                minutes: n.minutes.min_value(),
                saves_minutes: n.saves.min_value(),
                saves_cost: n.saves_cost.amount(),
            }
        }),
    }
}

/// Minutes by what they go into.
pub(super) fn minutes(f: &Figures) -> MinutesJson {
    let share = |s| f.share(s).min_value();
    MinutesJson {
        total: f.minutes.median.min_value(),
        low: f.minutes.low.min_value(),
        high: f.minutes.high.min_value(),
        cutting: share(Share::Rough) + share(Share::Skims),
        corners: share(Share::Corners),
        threading: share(Share::Threading),
        slug_stops: share(Share::SlugStops),
        moves: share(Share::Moves),
        breaks: share(Share::Breaks),
    }
}

fn ranges(f: &Figures) -> RangesJson {
    let (kg, spools) = (f.wire_mass_ranged(), f.spools_ranged());
    RangesJson {
        pass_minutes: (1..=f.passes.len())
            .filter_map(|p| f.pass_minutes(p))
            .map(|m| [m.low.min_value(), m.high.min_value()])
            .collect(),
        wire_m: [f.wire.low.m(), f.wire.high.m()],
        wire_kg: [kg.low.kg(), kg.high.kg()],
        spools: [spools.low, spools.high],
        parts_per_week: f.parts_per_week_range.into(),
    }
}

fn difference_json(d: Difference) -> DifferenceJson {
    DifferenceJson {
        minutes: d.minutes,
        minutes_range: d.minutes_range.into(),
        wire: d.wire,
        wire_range: d.wire_range.into(),
        cost: d.cost,
        cost_range: d.cost_range.into(),
        probability_faster: d.probability_faster,
        probability_less_wire: d.probability_less_wire,
        probability_cheaper: d.probability_cheaper,
    }
}

fn cost(f: &Figures) -> CostJson {
    let c = &f.cost;
    CostJson {
        holes: c.holes.amount(),
        machine: c.machine.amount(),
        labour: c.labour.amount(),
        wire: c.wire.amount(),
        consumables: c.consumables.amount(),
        setup: c.setup.amount(),
        part: c.part.median.amount(),
        low: c.part.low.amount(),
        high: c.part.high.amount(),
    }
}

fn lines(f: &Figures, job: &Job, library: &Library, e: &Estimate) -> Vec<LineJson> {
    f.steps
        .iter()
        .enumerate()
        .map(|(k, s)| LineJson {
            what: s.words(),
            pass: s.pass,
            contour: s.contour,
            length_mm: s.length.mm(),
            minutes: s.minutes.min_value(),
            corner_minutes: s.corner_minutes.min_value(),
            wire_m: s.wire.m(),
            attended: s.attended,
            because: explain(Question::Step(k), job, library, e)
                .map_or_else(String::new, |f| f.one_line()),
        })
        .collect()
}
