//! An estimate as JSON, every figure unrounded.

mod advice;
mod alternatives;
mod basis;
mod figures;

use super::clock::{ClockJson, clock_json};
use super::doubt::Doubt;
use super::ladder::{BreakJson, ladder_json};
use super::measure_json::{ScaleText, import};
use super::quick_variants::{VariantJson, variants_json};
use super::reading::{Failed, keep_word};
use crate::estimate::{
    Comparison, Difference, Estimate, FreePart, Quotable, Slug, at_stake, set_of_parts,
};
use crate::job::{CutOff, CuttingOrder, TightRadii, Travel};
use crate::units::Money;
use crate::words::at_stake::Pieces;
use crate::words::{self, System};
use advice::{AdviceJson, advice};
use alternatives::{AlternativesJson, alternatives};
pub(super) use basis::EstimateBasis;
use basis::absolute;
pub(super) use figures::{DifferenceJson, difference_json};
use figures::{LineJson, figures, lines};
use serde::Serialize;
use serde_json::Map;
use std::path::{Path, PathBuf};

/// The estimate of a file as it is written.
#[derive(Serialize)]
pub(super) struct EstimatedJson {
    file: String,
    /// Parts in the drawing.
    parts: usize,
    /// The scale that lengths were read at, and the one that the drawing says itself.
    scale: ScaleText,
    job: JobJson,
    /// May it be quoted: what the drawing says, and whether any wire can do it.
    verdict: &'static str,
    /// What was read, skipped and found, as `measure` writes it.
    import: serde_json::Value,
    /// The shop's own files that the figures rest on.
    shop_files: Vec<String>,
    wires: Vec<WireJson>,
    /// Quick variants beside it, where asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    variants: Vec<VariantJson>,
}

#[derive(Serialize)]
struct JobJson {
    thickness_mm: f64,
    material: String,
    /// What was not given, but assumed.
    assumed: Vec<&'static str>,
    passes: usize,
    flushing: &'static str,
    quantity: u32,
    keep: &'static str,
    /// The part that is cut alone, 1 the first; null where all are.
    part: Option<usize>,
    order: CuttingOrder,
    cut_off: CutOff,
    travel: Travel,
    tight_radii: TightRadii,
    spool: String,
    uptime: f64,
    learned: Option<LearnedJson>,
    /// The machine that it is cut on; null where the shop has none.
    machine: Option<String>,
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
    /// Whether every drawn inside radius comes out as drawn.
    as_drawn: bool,
    blockers: Vec<ObstacleJson>,
    warnings: Vec<ObstacleJson>,
    pass_minutes: Option<Vec<f64>>,
    pass_length_mm: Option<Vec<f64>>,
    pass_offset_mm: Option<Vec<f64>>,
    pass_feed_mm_min: Option<Vec<f64>>,
    pass_run_off_m_min: Option<Vec<f64>>,
    uncut: Vec<UncutJson>,
    /// Every figure of the one table, and what belongs beside it.
    #[serde(flatten)]
    figures: Map<String, serde_json::Value>,
    slugs: Option<Vec<SlugJson>>,
    parts: Option<Vec<PartJson>>,
    /// What comes off the machine in one estimate; all other figures are for all of it together.
    pieces: Option<PiecesJson>,
    /// As many of each part as was asked for; null where that is one of each, and where the wire cannot cut all.
    set: Option<SetJson>,
    /// What is still a question, and its share of the cost.
    at_stake: Option<Vec<AtStakeJson>>,
    /// What the contours cost as openings in a plate, while it is a question whether they are parts.
    #[serde(skip_serializing_if = "Option::is_none")]
    cost_as_openings: Option<f64>,
    against_baseline: Option<DifferenceJson>,
    clock: Option<ClockJson>,
    lines: Option<Vec<LineJson>>,
    /// By quantity, where asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    breaks: Option<Vec<BreakJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    advice: Option<AdviceJson>,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    alternatives: Option<AlternativesJson>,
}

#[derive(Serialize)]
struct ObstacleJson {
    code: &'static str,
    message: String,
    at_mm: Option<[f64; 2]>,
    contour: Option<usize>,
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

#[derive(Serialize)]
struct PiecesJson {
    count: usize,
    price_a_piece: f64,
}

/// Pieces of several parts that belong together.
#[derive(Serialize)]
struct SetJson {
    pieces: u32,
    minutes: f64,
    cost: f64,
    price_a_piece: f64,
    parts: Vec<OfPartJson>,
}

/// One of them; its number counts from 1, as `--part` does.
#[derive(Serialize)]
struct OfPartJson {
    part: usize,
    count: u32,
    minutes: f64,
    cost: f64,
}

#[derive(Serialize)]
struct AtStakeJson {
    code: &'static str,
    contours: Vec<usize>,
    cost: f64,
}

/// A part as it comes free.
#[derive(Serialize)]
struct PartJson {
    contour: usize,
    area_mm2: f64,
    mass_kg: f64,
    caution: Option<&'static str>,
}

/// What stands for one file.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum FileJson {
    /// It was estimated.
    Estimated(Box<EstimatedJson>),
    /// It could not be read.
    Failed(Failed),
    /// It was estimated and goes into a table.
    #[serde(skip)]
    Row(Box<Row>),
}

/// An estimate for a table.
pub(super) struct Row {
    /// The drawing.
    pub path: PathBuf,
    /// The part that is cut alone, 1 the first.
    pub part: Option<usize>,
    /// May it be quoted, and what the import found.
    pub doubt: Doubt,
    /// Its wires.
    pub comparison: Comparison,
}

/// A file's estimate as it is written.
pub(super) fn estimated(
    path: &Path,
    asked: &EstimateBasis<'_>,
    comparison: &Comparison,
) -> EstimatedJson {
    let job = asked.job;
    EstimatedJson {
        file: path.display().to_string(),
        parts: asked.drawing.parts.len(),
        scale: ScaleText::of(asked.drawing),
        job: JobJson {
            thickness_mm: job.thickness.mm(),
            material: job.material.clone(),
            assumed: asked.confirmed.assumed(),
            passes: job.passes,
            flushing: job.flushing.key(),
            quantity: job.quantity,
            keep: keep_word(job.keep),
            part: job
                .part_taken(&asked.drawing.profile, &asked.drawing.parts)
                .map(|k| k + 1),
            order: job.order,
            cut_off: job.cut_off,
            travel: job.travel,
            tight_radii: job.tight_radii,
            spool: job.shop.spool.clone(),
            uptime: job.shop.uptime,
            machine: (job.machine_in(asked.library)).map(|m| m.name.clone()),
            learned: asked.library.learned.as_ref().map(|known| LearnedJson {
                machine: known.machine.clone(),
                cuts: known.cuts,
            }),
        },
        verdict: Quotable::of(asked.drawing.verdict, Some(comparison)).word(),
        // Plain data of our own: it always has a form in JSON.
        import: serde_json::to_value(import(asked.drawing)).unwrap_or_default(),
        shop_files: asked
            .files
            .iter()
            .map(|p| p.display().to_string())
            .collect(),
        wires: wires(asked, comparison),
        variants: variants_json(asked.variants, &asked.drawing.profile),
    }
}

fn wires(asked: &EstimateBasis<'_>, comparison: &Comparison) -> Vec<WireJson> {
    let openings = asked.as_openings;
    let all = comparison.estimates.iter().enumerate();
    let one = |(k, e)| {
        let openings = openings.get(k).copied().flatten();
        wire(asked, k, e, comparison.difference(k), openings)
    };
    all.map(one).collect()
}

fn wire(
    asked: &EstimateBasis<'_>,
    candidate: usize,
    e: &Estimate,
    difference: Option<Difference>,
    as_openings: Option<Money>,
) -> WireJson {
    let (job, library) = (asked.job, asked.library);
    let absolute = |p| absolute(asked, p);
    let obstacles = |blocks: bool| {
        e.obstacles
            .iter()
            .filter(|o| o.blocks() == blocks)
            .map(|o| ObstacleJson {
                code: o.code(),
                message: words::obstacles::sentence(o, System::Metric),
                at_mm: o.at.map(absolute),
                contour: o.contour(),
            })
            .collect()
    };
    let f = e.figures.as_ref();
    WireJson {
        wire: e.candidate.wire.clone(),
        diameter_mm: e.candidate.diameter.mm(),
        run: words::ways::of_running(e.candidate.run, System::Metric),
        possible: e.is_possible(),
        as_drawn: e.is_as_drawn(),
        blockers: obstacles(true),
        warnings: obstacles(false),
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
        figures: figures(job, library, e),
        slugs: f.map(|f| {
            let one = |s: &Slug| SlugJson {
                contour: s.contour,
                area_mm2: s.area.mm2(),
                mass_kg: s.mass.kg(),
                pieces: s.pieces,
                caution: s.caution.map(words::loose_pieces::slug),
                falls_apart: (s.pieces > 1).then(|| words::loose_pieces::falls_apart(s.pieces)),
                not_eroded: s.not_eroded.map(words::loose_pieces::not_eroded),
            };
            f.slugs.iter().map(one).collect()
        }),
        parts: f.map(|f| {
            let one = |p: &FreePart| PartJson {
                contour: p.contour,
                area_mm2: p.area.mm2(),
                mass_kg: p.mass.kg(),
                caution: p.caution.map(words::loose_pieces::part),
            };
            f.parts.iter().map(one).collect()
        }),
        pieces: f.map(|f| {
            let count = job.pieces(&asked.drawing.profile, &asked.drawing.parts);
            let pieces = Pieces::of(count, f.cost.part.median);
            PiecesJson {
                count: pieces.count,
                price_a_piece: pieces.each.amount(),
            }
        }),
        set: set(asked, e),
        at_stake: f.map(|f| {
            let all = at_stake(asked.drawing, job, f).into_iter();
            all.map(|s| AtStakeJson {
                code: s.kind.code(),
                contours: s.contours,
                cost: s.cost.amount(),
            })
            .collect()
        }),
        cost_as_openings: as_openings.map(Money::amount),
        against_baseline: difference.map(difference_json),
        clock: clock_json(e, job, library),
        lines: f.map(|f| lines(f, job, library, e)),
        breaks: asked.ladder(candidate).map(|l| ladder_json(&l)),
        advice: asked.wanted.and_then(|w| advice(asked, e, &w)),
        alternatives: asked
            .alternatives
            .then(|| alternatives(asked, candidate, e)),
    }
}

/// The set that was asked for, where one was and the wire can cut it.
fn set(asked: &EstimateBasis<'_>, e: &Estimate) -> Option<SetJson> {
    let (profile, parts) = (&asked.drawing.profile, &asked.drawing.parts);
    if !asked.job.has_counts(profile, parts) {
        return None;
    }
    let found = set_of_parts(
        profile,
        parts,
        asked.job,
        asked.library,
        &e.candidate,
        asked.cache,
    );
    found.map(|set| SetJson {
        pieces: set.pieces(),
        minutes: set.minutes.min_value(),
        cost: set.cost.amount(),
        price_a_piece: set.price_a_piece().amount(),
        parts: set
            .parts
            .iter()
            .map(|p| OfPartJson {
                part: p.part + 1,
                count: p.count,
                minutes: p.minutes.min_value(),
                cost: p.cost.amount(),
            })
            .collect(),
    })
}
