//! The course of the job on the wire shown, as the time band and the canvas need it; made on the worker.

mod clocks;
mod seen;

use super::{Ghost, Line, PathModel};
use crate::drawing::Progress;
use crate::estimate::alternatives::{WayOfCutting, ways_of_cutting};
use crate::estimate::changes::{NextWire, largest_diameter, next_larger, radius_left};
use crate::estimate::{Break, Comparison, Estimate, QuickVariant, breaks, compare};
use crate::geometry::Point;
use crate::job::{Job, Variant};
use crate::library::Library;
use crate::plan::start_offers::{StartOffer, start_offers};
use crate::plan::timeline::{Event, FeedKnot, Moment, Timeline, feed_along};
use crate::plan::{PathCache, Step, StepKind};
use crate::process::PassNumber;
use crate::process::passes::kerf;
use crate::profile::{Part, Profile};
use crate::units::{Length, Minutes, Money};
pub use clocks::Clocks;
use clocks::clocks;
pub use seen::Seen;
use std::collections::HashMap;
use std::sync::Arc;

/// Strengths in which the feed is shaded.
pub const FEED_LEVELS: usize = 12;

/// What is asked about one wire beside its estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// Its paths as they are painted.
    Paths,
    /// Its course, the other orders and the start holes on offer.
    Course,
    /// What the drawing would have to allow for a thicker wire.
    Limits,
    /// Every wire and every order by the clock.
    Clock,
    /// What each part of the drawing takes alone.
    Parts,
    /// What a part costs by quantity.
    Ladder,
    /// What its quick variants come to.
    Variants,
}

/// All that such a question needs.
pub struct DetailWanted {
    /// The open drawing.
    pub file: u64,
    /// Number of the estimate that it belongs to.
    pub number: u64,
    /// Index of the candidate.
    pub wire: usize,
    /// What about it.
    pub what: What,
    /// The contours.
    pub profile: Arc<Profile>,
    /// The job.
    pub job: Box<Job>,
    /// What it rests on.
    pub library: Arc<Library>,
    /// Wire paths laid so far.
    pub cache: Arc<PathCache>,
    /// The parts of the drawing, where they are asked about.
    pub parts: Vec<Part>,
    /// Quantities, ascending, where they are asked about.
    pub lots: Vec<u32>,
    /// Stops the work on it.
    pub progress: Progress,
    /// Points of the drawing, mm about the profile's origin.
    pub points: Vec<Point>,
    /// What the canvas counts from.
    pub centre: Point,
    /// Largest distance of chord and arc, mm.
    pub sagitta: f64,
}

/// The answer.
pub enum Detail {
    /// To [`What::Paths`]; nothing where there is no such wire.
    Paths(Option<Arc<PathModel>>),
    /// To [`What::Course`].
    Course(Box<Course>),
    /// To [`What::Limits`].
    Limits(Box<Limits>),
    /// To [`What::Clock`].
    Clock(Box<Clocks>),
    /// To [`What::Parts`].
    Parts(Box<PartsTaken>),
    /// To [`What::Ladder`]: empty where the wire cannot do the job.
    Ladder(Vec<Break>),
    /// To [`What::Variants`], in the job's order.
    Variants(Vec<VariantDone>),
}

/// The course of the job on one wire; without one where the wire cannot do it.
pub struct Course {
    /// Moments, ways and feeds.
    pub timing: Option<Arc<Timing>>,
    /// Other orders, each with its time.
    pub ways: Vec<WayOfCutting>,
    /// Start holes that the drawing shows.
    pub offers: Vec<StartOffer>,
}

/// What one wire leaves, and the largest that makes everything.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Smallest inside radius that it leaves after the job's last pass.
    pub radius_left: Option<Length>,
    /// The largest diameter of its kind that makes every radius and slot.
    pub largest: Option<Length>,
}

/// Limits of all wires, and what would let a thicker one in.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// In the order of the candidates.
    pub wires: Vec<Limit>,
    /// For the wire shown.
    pub next: Option<NextWire>,
}

/// Time and cost of a part; `None` where the wire cannot do it.
pub type Taken = Option<(Minutes, Money)>;

/// What one wire takes for all parts together and for each alone.
#[derive(Debug, Clone, PartialEq)]
pub struct PartsTaken {
    /// All parts in one setting.
    pub together: Taken,
    /// Each alone, in the order of the drawing.
    pub each: Vec<Taken>,
}

/// The way of a step on the canvas.
pub struct WayLine {
    /// Its points.
    pub line: Line,
    /// When each is passed, minutes.
    pub minutes: Vec<f64>,
    /// Width of what it cuts, mm; 0 where nothing is cut.
    pub kerf: f32,
}

/// Stretches of one pass that are run at about the same feed.
pub struct FeedShades {
    /// Slowest and fastest feed of the pass, mm/min.
    pub range: (f64, f64),
    /// Level (0 the slowest) and its stretch.
    pub runs: Vec<(usize, Line)>,
    /// Whether every path of the pass has its shade.
    pub whole: bool,
}

/// Moments, ways and feeds of one estimate. Holds its own steps, so that it agrees with itself.
pub struct Timing {
    /// Look-ups.
    pub timeline: Timeline,
    /// The steps it was made from.
    pub steps: Vec<Step>,
    /// One for each step; `None` where the wire stands.
    pub ways: Vec<Option<WayLine>>,
    /// When the waste of an opening has gone, in order of time.
    pub gone: Vec<(Minutes, usize)>,
    /// By pass, the rough first.
    pub feeds: Vec<Arc<FeedShades>>,
    /// Steps after which somebody takes a piece out, ascending.
    pub stops: Vec<usize>,
    /// Which of the steps a band can show.
    pub seen: Seen,
}

impl Timing {
    fn new(e: &Estimate, profile: &Profile, centre: Point, sagitta: f64) -> Option<Self> {
        let f = e.figures.as_ref()?;
        let timeline = e.timeline(profile)?;
        let width = |s: &Step| {
            let rough = f.plans.get(s.plan).and_then(|p| p.passes.first());
            match s.kind {
                StepKind::Move => 0.0,
                _ => rough.map_or(0.0, |r| kerf(e.candidate.diameter, r).mm() as f32),
            }
        };
        let ways = f
            .steps
            .iter()
            .enumerate()
            .map(|(k, s)| {
                let way = timeline.way(k, sagitta);
                (way.len() > 1).then(|| WayLine {
                    minutes: way.iter().map(|p| p.minutes.min_value()).collect(),
                    line: Line::new(way.into_iter().map(|p| p.at), centre),
                    kerf: width(s),
                })
            })
            .collect();
        let gone = f
            .steps
            .iter()
            .enumerate()
            .filter(|(_, s)| matches!(s.kind, StepKind::SlugStop | StepKind::Erode))
            .filter_map(|(k, s)| Some((timeline.start_of(k + 1), s.contour?)))
            .collect();
        let stops = f.steps.iter().enumerate().filter(|(_, s)| is_stop(s));
        let stops = stops.map(|(k, _)| k).collect();
        Some(Self {
            feeds: feeds(e, centre, sagitta)
                .into_iter()
                .map(Arc::new)
                .collect(),
            seen: Seen::new(&f.steps, &timeline),
            timeline,
            ways,
            gone,
            stops,
            steps: f.steps.clone(),
        })
    }
    /// A moment by its share of the whole time.
    pub fn moment(&self, share: f64) -> Option<Moment> {
        self.timeline.at(self.timeline.total() * share)
    }
    /// Share of the whole time that has gone by when a time comes.
    pub fn share_of(&self, minutes: Minutes) -> f64 {
        let total = self.timeline.total().min_value();
        if total > 0.0 {
            minutes.min_value() / total
        } else {
            0.0
        }
    }
    /// Threadings and stops.
    pub fn events(&self) -> &[Event] {
        self.timeline.events()
    }
    /// Pieces taken out up to a moment.
    pub fn out_at(&self, m: &Moment) -> usize {
        self.stops.partition_point(|k| *k < m.step)
    }
}

/// Whether a piece comes free in a step.
pub fn is_stop(s: &Step) -> bool {
    matches!(s.kind, StepKind::SlugStop | StepKind::PartStop)
}

/// What a quick variant comes to, and how it is shown.
pub struct VariantDone {
    /// Made and estimated.
    pub of: QuickVariant,
    /// As it is painted over the drawing.
    pub ghost: Arc<Ghost>,
}

fn variant_done(wanted: &DetailWanted, variant: &Variant, as_is: &Comparison) -> VariantDone {
    let (profile, job) = (&*wanted.profile, &*wanted.job);
    let (library, cache) = (&wanted.library, &wanted.cache);
    let of = QuickVariant::of(variant, (profile, job), as_is, library, cache);
    let after = of.made.cut();
    let others = of.made.profile.contours().iter().zip(&after);
    let others = others.filter(|c| *c.1).map(|c| c.0.shape.clone());
    let open = of.made.profile.open().iter();
    let open = open.map(|c| c.segments.iter().copied());
    let ghost = Ghost::new(&of.revision, others, open, (wanted.centre, wanted.sagitta));
    VariantDone {
        ghost: Arc::new(ghost),
        of,
    }
}

/// Answers on the worker.
pub fn detail(wanted: &DetailWanted) -> Detail {
    let library = &*wanted.library;
    let (profile, job, cache) = (&wanted.profile, &*wanted.job, &wanted.cache);
    let alone = || Job {
        candidates: job
            .candidates
            .get(wanted.wire)
            .cloned()
            .into_iter()
            .collect(),
        baseline: 0,
        ..job.clone()
    };
    match wanted.what {
        What::Parts => {
            let taken = |part: Option<&Part>| {
                let mut job = alone();
                job.take_part(profile, part);
                let comparison = compare(profile, &job, library, cache);
                let f = comparison.estimates.first()?.figures.as_ref()?;
                Some((f.minutes.median, f.cost.part.median))
            };
            Detail::Parts(Box::new(PartsTaken {
                together: taken(None),
                each: wanted.parts.iter().map(|p| taken(Some(p))).collect(),
            }))
        }
        What::Paths => {
            let comparison = compare(profile, &alone(), library, cache);
            let (centre, sagitta) = (wanted.centre, wanted.sagitta);
            let paths = |e: &Estimate| Arc::new(PathModel::new(e, centre, sagitta));
            Detail::Paths(comparison.estimates.first().map(paths))
        }
        What::Course => {
            let alone = alone();
            let comparison = compare(profile, &alone, library, cache);
            let e = comparison.estimates.first();
            Detail::Course(Box::new(Course {
                timing: e
                    .and_then(|e| Timing::new(e, profile, wanted.centre, wanted.sagitta))
                    .map(Arc::new),
                ways: ways_of_cutting(profile, job, library, wanted.wire, cache),
                offers: start_offers(profile, job, &wanted.points),
            }))
        }
        What::Limits => {
            let mut largest: Vec<(&str, Option<Length>)> = Vec::new();
            let wires = job
                .candidates
                .iter()
                .map(|c| {
                    let known = largest.iter().find(|l| l.0 == c.wire).map(|l| l.1);
                    let most = known.unwrap_or_else(|| {
                        let most = largest_diameter(profile, job, library, &c.wire, cache);
                        largest.push((&c.wire, most));
                        most
                    });
                    Limit {
                        radius_left: radius_left(job, c, library),
                        largest: most,
                    }
                })
                .collect();
            let shown = job.candidates.get(wanted.wire);
            Detail::Limits(Box::new(Limits {
                wires,
                next: shown.and_then(|c| next_larger(profile, job, library, c, cache)),
            }))
        }
        What::Clock => Detail::Clock(Box::new(clocks(wanted))),
        What::Variants => {
            let as_is = compare(profile, job, library, cache);
            let all = job.variants.iter();
            Detail::Variants(all.map(|v| variant_done(wanted, v, &as_is)).collect())
        }
        What::Ladder => {
            // The lot of the job has its place among those that are asked for.
            let own = Some(job.quantity).filter(|n| *n > 0);
            let mut lots: Vec<u32> = wanted.lots.iter().copied().chain(own).collect();
            lots.sort_unstable();
            let lots = with_between(&lots);
            let ladder = breaks(profile, job, library, cache, wanted.wire, &lots);
            Detail::Ladder(ladder.unwrap_or_default())
        }
    }
}

/// The quantities of a ladder, and enough between them for a smooth curve.
fn with_between(lots: &[u32]) -> Vec<u32> {
    const BETWEEN: i32 = 24;
    let (Some(first), Some(last)) = (lots.first(), lots.last()) else {
        return Vec::new();
    };
    let ratio = f64::from(*last) / f64::from(*first);
    let between = (0..=BETWEEN).map(|k| {
        let share = f64::from(k) / f64::from(BETWEEN);
        (f64::from(*first) * ratio.powf(share)).round() as u32
    });
    let mut all: Vec<u32> = lots.iter().copied().chain(between).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// A stretch with the feed at its ends, mm/min.
struct FeedStretch {
    points: Vec<Point>,
    feed: f64,
}

fn feeds(e: &Estimate, centre: Point, sagitta: f64) -> Vec<FeedShades> {
    let Some(f) = &e.figures else {
        return Vec::new();
    };
    let passes = e.paths.iter().map(|p| p.pass.number()).max();
    // The plan by which a pass of a contour is cut: that of its first step.
    let mut plans: HashMap<(usize, PassNumber), usize> = HashMap::new();
    for s in &f.steps {
        if let (Some(contour), Some(pass)) = (s.contour, s.pass) {
            plans.entry((contour, pass)).or_insert(s.plan);
        }
    }
    PassNumber::all(passes.unwrap_or(0))
        .map(|number| {
            let mut loops: Vec<Vec<FeedStretch>> = Vec::new();
            let mut whole = true;
            for path in e.paths.iter().filter(|p| p.pass == number) {
                let plan = plans.get(&(path.contour, number));
                let plan = plan.and_then(|k| f.plans.get(*k));
                let Some((plan, pass)) =
                    plan.and_then(|p| Some((p, p.passes.get(number.place())?)))
                else {
                    whole = false;
                    continue;
                };
                for l in path.loops.iter() {
                    let knots = feed_along(l, plan.thickness, pass);
                    loops.push(pieces(l, &knots, pass.feed.mm_per_min(), sagitta));
                }
            }
            FeedShades {
                whole,
                ..shades(&loops, centre)
            }
        })
        .collect()
}

/// A closed path cut at the knots, and finer where the feed changes much between two.
fn pieces(
    path: &crate::geometry::Contour,
    knots: &[FeedKnot],
    feed: f64,
    sagitta: f64,
) -> Vec<FeedStretch> {
    let mut out = Vec::new();
    let mut segments = path.segments();
    let mut segment = segments.next();
    let mut before = 0.0;
    for k in knots {
        let change = (k.share_from - k.share_to).abs();
        let parts = (change * FEED_LEVELS as f64 * 2.0).ceil().clamp(1.0, 24.0) as u32;
        for i in 0..parts {
            let place = |i: u32| k.from + (k.to - k.from) * f64::from(i) / f64::from(parts);
            let (from, to) = (place(i), place(i + 1));
            let middle = (f64::from(i) + 0.5) / f64::from(parts);
            let share = k.share_from + (k.share_to - k.share_from) * middle;
            let mut points = Vec::new();
            while let Some(s) = &segment {
                let end = before + s.length();
                let (a, b) = (from.max(before), to.min(end));
                if b > a {
                    let part = s.part(a - before, b - before);
                    if points.is_empty() {
                        points.push(part.a);
                    }
                    part.flatten_into(sagitta, &mut points);
                }
                if end > to {
                    break;
                }
                before = end;
                segment = segments.next();
            }
            if points.len() > 1 {
                let feed = feed * share;
                out.push(FeedStretch { points, feed });
            }
        }
    }
    out
}

/// Pieces of the same level joined into runs.
fn shades(loops: &[Vec<FeedStretch>], centre: Point) -> FeedShades {
    let all = || loops.iter().flatten().map(|p| p.feed);
    let low = all().fold(f64::INFINITY, f64::min);
    let high = all().fold(0.0, f64::max);
    let level = |feed: f64| {
        let share = if high - low > 1e-3 * high {
            (feed - low) / (high - low)
        } else {
            1.0
        };
        ((share * FEED_LEVELS as f64) as usize).min(FEED_LEVELS - 1)
    };
    let mut runs = Vec::new();
    for l in loops {
        for run in l.chunk_by(|a, b| level(a.feed) == level(b.feed)) {
            let points = run.iter().flat_map(|p| p.points.iter().copied());
            runs.push((level(run[0].feed), Line::new(points, centre)));
        }
    }
    FeedShades {
        range: (low.min(high), high),
        runs,
        whole: true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Contour;

    #[test]
    fn shades_cover_the_whole_path_once() {
        let square = Contour::polygon(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let knot = |from, to, share_from, share_to| FeedKnot {
            from,
            to,
            share_from,
            share_to,
        };
        let knots = [
            knot(0.0, 8.0, 1.0, 1.0),
            knot(8.0, 12.0, 1.0, 0.5),
            knot(12.0, 40.0, 1.0, 1.0),
        ];
        let found = shades(&[pieces(&square, &knots, 3.0, 1e-3)], Point::ORIGIN);
        let length =
            |l: &Line| -> f32 { l.points.windows(2).map(|w| (w[1] - w[0]).length()).sum() };
        let sum: f32 = found.runs.iter().map(|r| length(&r.1)).sum();
        assert!((sum - 40.0).abs() < 1e-3, "{sum}");
        assert!(found.range.0 > 1.5 && found.range.0 < 1.7 && found.range.1 == 3.0);
        assert!(found.runs.iter().any(|r| r.0 == 0));
        assert_eq!(found.runs[0].0, FEED_LEVELS - 1);
    }
}
