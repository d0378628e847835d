//! The estimate of one candidate.

use super::cost::{Cost, CostBasis, CostDoubts, Plate, material_cost, parts_per_week};
use super::doubts::{Doubts, FigureTerms};
use super::drilling::{drilling, hole_slopes, holes_by_thickness};
use super::obstacles::{examine, too_large};
use super::on_machine::OnMachine;
use super::range::Ranged;
use super::set::{Copies, Members};
use super::slugs::{Loose, loose};
use super::step_slopes::{figure_terms, pass_log_sds, slopes, time_slopes, wire_slopes};
use super::worth::WEEK;
use super::{Estimate, Figures, LowerEdge, Obstacle, ObstacleKind, PassRun, WhyNothing, WirePath};
use crate::job::{Candidate, Job, JobFault, Shop};
use crate::library::Library;
use crate::plan::contour_paths::{ContourPaths, WantedPaths, lay_paths, wanted_paths};
use crate::plan::paths::{PathCache, ShapeId};
use crate::plan::schedule::{Known, Schedule, Thread, schedule};
use crate::plan::start_holes::{HoledStart, holed_starts};
use crate::plan::{Plans, Step, StepKind};
use crate::process::PassNumber;
use crate::process::cutting_rate::RoughConditions;
use crate::process::finish::finish;
use crate::process::passes::Pass;
use crate::profile::Profile;
use crate::units::{Density, Length, Mass, Minutes, Money, wire_mass};
use std::sync::Arc;

/// The conditions of the rough for a candidate; `None` where the library lacks its wire or the material.
pub fn conditions<'a>(
    job: &Job,
    candidate: &Candidate,
    library: &'a Library,
) -> Option<RoughConditions<'a>> {
    let conditions = RoughConditions::new(
        library.material(&job.material)?,
        library.wire(&candidate.wire)?,
        candidate.diameter,
        job.thickness,
        job.flushing,
    );
    Some(conditions.in_library(library).running(candidate.run))
}

/// What keeps the job from being estimated with a candidate; another candidate's faults are not its own.
fn faults(job: &Job, candidate: &Candidate, library: &Library) -> Vec<JobFault> {
    let mut out = job.own_faults(library);
    out.extend(candidate.faults(library));
    out
}

/// The paths that a candidate wants, but for rings; none where the job cannot be estimated with it.
pub(super) fn wanted_of<'a>(
    profile: &'a Profile,
    shapes: &[ShapeId],
    job: &Job,
    library: &Library,
    candidate: &Candidate,
) -> Vec<WantedPaths<'a>> {
    let set = Members::of(profile, job);
    let job = set.as_ref().map_or(job, |s| &s.job);
    let Some(conditions) = conditions(job, candidate, library) else {
        return Vec::new();
    };
    if !faults(job, candidate, library).is_empty() {
        return Vec::new();
    }
    if too_large(profile, job, candidate).is_some() {
        return Vec::new();
    }
    let plans = Plans::of(profile, job, &conditions, library);
    wanted_paths(profile, shapes, job, &plans, candidate.diameter)
}

/// Time, wire and cost of one candidate. `shapes` are the identities of the profile's contours.
pub(super) fn estimate(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    cache: &PathCache,
) -> Estimate {
    let set = Members::of(profile, job);
    let job = set.as_ref().map_or(job, |s| &s.job);
    let faults = faults(job, candidate, library);
    let conditions = conditions(job, candidate, library);
    let (Some(conditions), true) = (conditions, faults.is_empty()) else {
        let kinds = faults.into_iter().map(ObstacleKind::Job);
        return impossible(candidate, kinds);
    };
    if let Some(obstacle) = too_large(profile, job, candidate) {
        return Estimate {
            obstacles: vec![obstacle],
            ..impossible(candidate, [])
        };
    }
    let plans = Plans::of(profile, job, &conditions, library);
    let density = conditions.material.density();
    let paths = lay_paths(
        profile,
        shapes,
        job,
        &plans,
        candidate.diameter,
        density,
        cache,
    );
    if paths.is_empty() && !profile.open().iter().any(|c| job.cuts_on_line(c)) {
        let why = if profile.contours().is_empty() {
            WhyNothing::NoContour
        } else {
            WhyNothing::AllLeftOut
        };
        return impossible(candidate, [ObstacleKind::NothingToCut(why)]);
    }
    let starts = holed_starts(&paths, profile, job, library, &plans, candidate.diameter);
    let (uncut, mut obstacles) = examine(
        profile, job, library, candidate, &plans, &paths, &starts, cache, shapes,
    );
    let laid = OnMachine {
        profile,
        job,
        library,
        candidate,
        plans: &plans,
        paths: &paths,
        starts: &starts,
        set: set.as_ref(),
    };
    obstacles.extend(laid.obstacles());
    let edges = lower_edges(profile, shapes, &plans, &paths, cache);
    let wire_paths = paths.iter().flat_map(wire_paths).collect();
    let rings = paths.iter().flat_map(ring_paths).collect();
    let figures = (!obstacles.iter().any(Obstacle::blocks)).then(|| {
        let work = Work {
            profile,
            shapes,
            job,
            set: set.as_ref(),
            library,
            cache,
        };
        let mut figures = work.figures(&conditions, plans, &paths, &starts);
        if let Some(thinner) = work.upper_end_of_thinner(candidate, density) {
            figures.minutes.high = figures.minutes.high.max(thinner);
            figures.parts_per_week_range.0 = parts_per_week(figures.minutes.high, job.shop.uptime);
        }
        figures
    });
    Estimate {
        candidate: candidate.clone(),
        paths: wire_paths,
        rings,
        lower_edges: edges,
        obstacles,
        uncut,
        figures,
    }
}

/// What figures are made from, whatever the wire.
struct Work<'a> {
    profile: &'a Profile,
    shapes: &'a [ShapeId],
    job: &'a Job,
    /// Where its parts are wanted in unequal numbers.
    set: Option<&'a Members>,
    library: &'a Library,
    cache: &'a PathCache,
}

impl Work<'_> {
    /// Where each contour is begun.
    fn starts(
        &self,
        plans: &Plans,
        paths: &[ContourPaths],
        wire: Length,
    ) -> Vec<Option<HoledStart>> {
        holed_starts(paths, self.profile, self.job, self.library, plans, wire)
    }
    fn figures(
        &self,
        conditions: &RoughConditions<'_>,
        plans: Plans,
        paths: &[ContourPaths],
        starts: &[Option<HoledStart>],
    ) -> Figures {
        let (profile, job, library) = (self.profile, self.job, self.library);
        let loose = loose(
            profile,
            self.shapes,
            job,
            conditions,
            &plans,
            paths,
            self.cache,
        );
        let thread = Thread {
            diameter: conditions.diameter,
            by_hand: job.threads_by_hand(conditions.run, conditions.wire, library),
        };
        let pieces = loose.pieces(profile.contours().len());
        let known = Known {
            starts,
            pieces: &pieces,
            cache: self.cache,
        };
        let of = |job: &Job, paths: &[ContourPaths]| {
            schedule(profile, job, library, &plans, paths, known, thread)
        };
        let (planned, copies) = match self.set {
            Some(set) => (set.schedule(profile, job, paths, of), set.copies()),
            None => (of(job, paths), Copies::default()),
        };
        let plates = match self.set {
            Some(set) => set.plates(profile, job, conditions.material),
            None => {
                Plate::of(profile, job, conditions.material).map_or_else(Vec::new, |p| vec![(p, 1)])
            }
        };
        figures(
            job,
            library,
            conditions,
            plans,
            paths,
            (planned, copies),
            (loose, plates),
        )
    }
    /// The upper end of the time for work as thin as the feed is held below; `None` where the job's is no thicker, or
    /// so much thicker that its own upper end lies above anyway.
    ///
    /// Just above that thickness, where skims run at their ceiling, the time hardly grows while the doubt about thin
    /// work shrinks. But thicker work never takes less, so its upper end may not fall.
    fn upper_end_of_thinner(&self, candidate: &Candidate, density: Density) -> Option<Minutes> {
        /// How much thicker; judgement: time has grown by then.
        const MUCH: f64 = 2.5;
        let held = Length::from_mm(self.library.model.held_below.value);
        let thickness = self.job.thickness;
        if thickness <= held || thickness > held * MUCH {
            return None;
        }
        let job = Job {
            thickness: held,
            ..self.job.clone()
        };
        let thin = Work { job: &job, ..*self };
        let conditions = conditions(&job, candidate, self.library)?;
        let plans = Plans::of(self.profile, &job, &conditions, self.library);
        let paths = lay_paths(
            self.profile,
            self.shapes,
            &job,
            &plans,
            candidate.diameter,
            density,
            self.cache,
        );
        let starts = thin.starts(&plans, &paths, candidate.diameter);
        Some(
            thin.figures(&conditions, plans, &paths, &starts)
                .minutes
                .high,
        )
    }
}

/// The figures of a wire that the drawing keeps out, as if it were let in: where it has no single path, the
/// path of `stand_in` serves. `None` where that has none either.
pub(super) fn figures_as_if_made(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    library: &Library,
    candidate: &Candidate,
    stand_in: &Candidate,
    cache: &PathCache,
) -> Option<Figures> {
    let set = Members::of(profile, job);
    let job = set.as_ref().map_or(job, |s| &s.job);
    if !faults(job, candidate, library).is_empty() {
        return None;
    }
    let own = conditions(job, candidate, library)?;
    let plans = Plans::of(profile, job, &own, library);
    let density = own.material.density();
    let mut paths = lay_paths(
        profile,
        shapes,
        job,
        &plans,
        candidate.diameter,
        density,
        cache,
    );
    let other = Plans::of(profile, job, &conditions(job, stand_in, library)?, library);
    let serves = lay_paths(
        profile,
        shapes,
        job,
        &other,
        stand_in.diameter,
        density,
        cache,
    );
    for (p, s) in paths.iter_mut().zip(serves) {
        for (path, other) in p.passes.iter_mut().zip(s.passes) {
            if path.loops.len() != 1 {
                *path = other;
            }
        }
        if p.passes.iter().any(|path| path.loops.len() != 1) {
            return None;
        }
    }
    let work = Work {
        profile,
        shapes,
        job,
        set: set.as_ref(),
        library,
        cache,
    };
    let starts = work.starts(&plans, &paths, candidate.diameter);
    Some(work.figures(&own, plans, &paths, &starts))
}

fn impossible(candidate: &Candidate, kinds: impl IntoIterator<Item = ObstacleKind>) -> Estimate {
    let of_job = |kind| Obstacle::of_job(kind, candidate.diameter);
    Estimate {
        candidate: candidate.clone(),
        paths: Vec::new(),
        rings: Vec::new(),
        lower_edges: Vec::new(),
        obstacles: kinds.into_iter().map(of_job).collect(),
        uncut: Vec::new(),
        figures: None,
    }
}

fn wire_paths(p: &ContourPaths) -> impl Iterator<Item = WirePath> + '_ {
    p.passes.iter().enumerate().map(|(k, path)| WirePath {
        contour: p.contour,
        pass: PassNumber::at(k),
        loops: Arc::clone(&path.loops),
        confirmed: path.confirmed,
    })
}

fn ring_paths(p: &ContourPaths) -> impl Iterator<Item = WirePath> + '_ {
    p.rings.iter().flatten().map(|path| WirePath {
        contour: p.contour,
        pass: PassNumber::ROUGH,
        loops: Arc::clone(&path.loops),
        confirmed: path.confirmed,
    })
}

/// Where the wire comes out below, for contours cut with a taper.
fn lower_edges(
    profile: &Profile,
    shapes: &[ShapeId],
    plans: &Plans,
    paths: &[ContourPaths],
    cache: &PathCache,
) -> Vec<LowerEdge> {
    paths
        .iter()
        .filter_map(|p| {
            let drawn = &profile.contours()[p.contour].shape;
            let edge = plans.all[p.plan].lower_edge(shapes[p.contour], drawn)?;
            let path = cache.path(&edge);
            Some(LowerEdge {
                contour: p.contour,
                loops: Arc::clone(&path.loops),
                confirmed: path.confirmed,
            })
        })
        .collect()
}

fn figures(
    job: &Job,
    library: &Library,
    conditions: &RoughConditions<'_>,
    plans: Plans,
    paths: &[ContourPaths],
    (planned, copies): (Schedule, Copies),
    (loose, plates): (Loose, Vec<(Plate, u32)>),
) -> Figures {
    let Schedule {
        mut steps,
        loads,
        starts,
        beside: beside_steps,
    } = planned;
    let total: Minutes = steps.iter().map(|s| s.minutes).sum();
    let attended: Minutes = steps.iter().filter(|s| s.attended).map(|s| s.minutes).sum();
    let wire: Length = steps.iter().map(|s| s.wire).sum();
    let in_minutes = |s: &Step| s.minutes.min_value();
    let cutting_slopes = slopes(conditions, &plans.all, &steps, &in_minutes, &|s| {
        s.pass.is_some()
    });
    let by_hand = job.threads_by_hand(conditions.run, conditions.wire, library);
    let (minutes_slopes, attended_slopes) = time_slopes(&steps, &cutting_slopes, by_hand);
    let wire_slopes = wire_slopes(conditions, &plans.all, &steps);
    let [rough_log_sd, skims_log_sd] = pass_log_sds(conditions, &plans.all, &steps, library);
    let mass = wire_mass(wire, conditions.diameter, conditions.wire.density());
    let holes = holes_by_thickness(&steps, &starts, &plans.all, &copies);
    let start_holes = holes.iter().map(|h| h.1).sum();
    let beside = |kind| minutes_of(&beside_steps, kind);
    let pieces = u32::try_from(loads.len()).unwrap_or(u32::MAX);
    let shop = Shop {
        machine_rate: job.machine_rate(library),
        ..job.shop.clone()
    };
    let basis = CostBasis {
        shop: &shop,
        quantity: job.quantity,
        pieces,
        minutes: total,
        attended,
        wire_mass: mass,
        price_factor: conditions.wire.price_factor.value,
        loading: beside(StepKind::Loading),
        dressing: beside(StepKind::Dressing),
        holes: job.shop.labour_rate * drilling(&holes, conditions, library).hours(),
        material: material_cost(&job.shop, &plates, pieces),
        allowance: Money::ZERO,
    };
    let cost_slopes = basis.slopes(
        &CostDoubts {
            minutes: &minutes_slopes,
            wire: &wire_slopes,
            attended: &attended_slopes,
            holes: &hole_slopes(&holes, conditions, library),
        },
        library,
    );
    let terms = figure_terms(
        &steps, &plans.all, &basis, conditions, &holes, by_hand, library,
    );
    let minutes = in_unit(terms.minutes.ranged(library), Minutes::from_min);
    let wires = in_unit(terms.wire.ranged(library), Length::from_m);
    steps.extend(allowance(minutes.median - total, wires.median - wire));
    let mass = wire_mass(wires.median, conditions.diameter, conditions.wire.density());
    let basis = CostBasis {
        minutes: minutes.median,
        wire_mass: mass,
        ..basis
    };
    let cost = priced(basis, &terms, library);
    let a_week = |minutes| parts_per_week(minutes, job.shop.uptime);
    let passes = pass_runs(&plans.all[0].passes, paths, &steps, &copies);
    let finish = finish(
        passes.len(),
        conditions.wire,
        conditions.diameter,
        conditions.run,
        library,
    );
    Figures {
        minutes,
        attended,
        passes,
        finish: finish.expect("a plan has a pass that the library describes"),
        wire: wires,
        wire_mass: mass,
        quantity: job.quantity,
        spools: spools(job, mass, library),
        parts_per_week: a_week(minutes.median),
        parts_per_week_exactly: WEEK * job.shop.uptime / minutes.median.min_value(),
        parts_per_week_range: (a_week(minutes.high), a_week(minutes.low)),
        doubts: Doubts {
            minutes: minutes_slopes,
            wire: wire_slopes,
            cost: cost_slopes,
            rough_log_sd,
            skims_log_sd,
            cutting_log_sd: cutting_slopes.log_sd(library),
            terms,
        },
        cost,
        start_holes,
        copies,
        loads,
        plates,
        starts,
        beside: beside_steps,
        plans: plans.all,
        slugs: loose.slugs,
        parts: loose.parts,
        steps,
    }
}

/// The cost with its ranges, and what of it is spent where freed hours are not sold.
fn priced(basis: CostBasis<'_>, terms: &FigureTerms, library: &Library) -> Cost {
    let whole = in_unit(terms.cost.ranged(library), Money::from_amount);
    let lines = basis.cost();
    let marked = 1.0 + basis.shop.markup;
    let missing = (whole.median - lines.part.median) * (1.0 / marked);
    let mut cost = lines;
    if missing > lines.part.median * ROUNDING {
        let basis = CostBasis {
            allowance: missing,
            ..basis
        };
        cost = basis.cost();
    }
    cost.part = Ranged {
        median: cost.part.median,
        ..whole
    };
    cost.unsold = in_unit(terms.cash.ranged(library), Money::from_amount);
    cost
}

/// What is a smaller share of a figure comes from the order in which it was added up.
const ROUNDING: f64 = 1e-12;

fn minutes_of(steps: &[Step], kind: StepKind) -> Minutes {
    let own = steps.iter().filter(|s| s.kind == kind);
    own.map(|s| s.minutes).sum()
}

fn in_unit<T>(of: Ranged<f64>, unit: impl Fn(f64) -> T) -> Ranged<T> {
    Ranged {
        median: unit(of.median),
        low: unit(of.low),
        high: unit(of.high),
    }
}

/// The step that carries what the median of the whole lies above the sum of the steps' medians.
fn allowance(minutes: Minutes, wire: Length) -> Option<Step> {
    (minutes > Minutes::ZERO || wire > Length::ZERO).then_some(Step {
        kind: StepKind::Allowance,
        pass: None,
        contour: None,
        open: None,
        plan: 0,
        length: Length::ZERO,
        minutes,
        corner_minutes: Minutes::ZERO,
        wire,
        attended: false,
    })
}

/// Spools for the whole lot, of the kind that the shop loads.
fn spools(job: &Job, mass: Mass, library: &Library) -> f64 {
    let loaded = library.spools.iter().find(|s| s.name == job.shop.spool);
    let spool = loaded.or(library.spools.first());
    spool.map_or(0.0, |s| {
        mass.kg() * f64::from(job.quantity) / s.net_mass.value
    })
}

fn pass_runs(
    plan: &[Pass],
    paths: &[ContourPaths],
    steps: &[Step],
    copies: &Copies,
) -> Vec<PassRun> {
    plan.iter()
        .enumerate()
        .map(|(k, p)| PassRun {
            offset: p.offset,
            feed: p.feed,
            run_off: p.run_off,
            corner_slowdown: p.corner_slowdown,
            length: paths
                .iter()
                .filter_map(|c| Some((c.contour, c.passes.get(k)?)))
                .map(|(c, l)| l.length * f64::from(copies.of_contour(c)))
                .sum(),
            minutes: steps
                .iter()
                .filter(|s| s.pass == Some(PassNumber::at(k)))
                .map(|s| s.minutes)
                .sum(),
        })
        .collect()
}
