//! What the finished cuts of one machine say about the factors.
//!
//! A Gaussian prior and a Gaussian noise give a Gaussian posterior in closed form. Noise from the log itself is
//! not Gaussian: a slip of the pen or a forgotten stop is a factor of two. So a cut that misses what the others
//! say by more than two standard deviations counts for less, the less the further off it is, with the weights
//! of a Student distribution: (ν + 4)/(ν + z²) beyond z = 2, and 1 below, where the answer is the plain
//! Gaussian one (K. L. Lange, R. J. A. Little, J. M. G. Taylor, "Robust statistical modeling using the t
//! distribution", J. Amer. Statist. Assoc. 84 (1989) 881–896, from memory; the flat middle is judgement).

use super::cut::Cut;
use super::gaussian::{Gaussian, Observation};
use crate::library::Library;
use crate::library::{Factor, Knowledge, knowledge::Learned, priors::spread};
use crate::process::WireRun;
use crate::process::passes::passes;
use crate::units::Minutes;

/// Degrees of freedom of the tails (judgement).
const TAIL: f64 = 2.0;
/// Standard deviations within which a cut counts fully.
const FULL: f64 = 2.0;
/// Weight below which a cut is shown as one that does not fit the others.
const SUSPECT: f64 = 0.5;
/// Rounds of weighing; it settles in about ten.
const ROUNDS: usize = 30;

/// A cut against its predictions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowFit {
    /// Index of the cut in the list that was fitted.
    pub cut: usize,
    /// Row of the log, counted from 1.
    pub row: usize,
    /// What happened.
    pub actual: Minutes,
    /// Predicted with the built-in values.
    pub before: Minutes,
    /// Predicted with what was learned, from this cut too.
    pub after: Minutes,
    /// Predicted with what was learned from all other cuts of the machine: the honest one.
    pub left_out: Minutes,
    /// Spread of `before` as a standard deviation of the logarithm, the single cut's own included.
    pub before_log_sd: f64,
    /// Spread of `after`, likewise.
    pub after_log_sd: f64,
    /// Spread of `left_out`, likewise.
    pub left_out_log_sd: f64,
    /// What the wire used says about the run-off: ln(actual / listed); `None` where it was not noted, or where
    /// the wire was not run the usual way.
    pub run_off_log: Option<f64>,
    /// How much it counted, 0 … 1.
    pub weight: f64,
    /// Marked in the log as not to be learned from.
    pub outlier: bool,
}

impl RowFit {
    /// Whether it fits the others so badly that somebody should look at it.
    pub fn is_suspect(&self) -> bool {
        !self.outlier && self.weight < SUSPECT
    }
}

/// What was learned on one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineFit {
    /// Machine, as the shop calls it; may be empty.
    pub machine: String,
    /// To be laid into a library.
    pub knowledge: Knowledge,
    /// Its cuts, in the order of the log.
    pub rows: Vec<RowFit>,
}

/// A cut as the fit sees it.
struct Seen {
    cut: usize,
    row: usize,
    actual: f64,
    rough: f64,
    skims: f64,
    acting: Vec<(Factor, f64)>,
    wire_log: Option<f64>,
    outlier: bool,
}

impl Seen {
    fn new(index: usize, cut: &Cut, library: &Library) -> Option<Self> {
        let conditions = cut.conditions(library)?;
        let plan = passes(cut.passes, &conditions, library);
        let minutes: Vec<f64> = plan
            .iter()
            .enumerate()
            .map(|(k, p)| {
                let path = cut.pass_path.as_ref().and_then(|l| l.get(k));
                (*path.unwrap_or(&cut.cut_length) / p.feed).min_value()
            })
            .collect();
        let all: f64 = minutes.iter().sum();
        let rough = *minutes.first()?;
        let wire: f64 = plan
            .iter()
            .zip(&minutes)
            .map(|(p, m)| p.run_off.m_per_min() * m)
            .sum();
        let actual = cut.cutting_minutes.min_value();
        // Wire against the wire that the actual minutes would have used at the listed run-off.
        // A run-off that the shop chose itself says nothing about the usual one.
        let usual = cut.wire_used.filter(|_| cut.wire.run == WireRun::Usual);
        let wire_log = usual.map(|w| (w.m() * all / (wire * actual)).ln());
        let mut acting = conditions.acting();
        if all > rough {
            acting.push((Factor::Skims, (all - rough) / all));
        }
        Some(Self {
            cut: index,
            row: if cut.row == 0 { index + 1 } else { cut.row },
            actual,
            rough,
            skims: all - rough,
            acting,
            wire_log,
            outlier: cut.outlier,
        })
    }
    fn before(&self) -> f64 {
        self.rough + self.skims
    }
    /// Minutes with a belief about the factors: as an estimate computes them.
    fn predicted(&self, log_mean: impl Fn(&Factor) -> f64) -> f64 {
        let rough: f64 = self
            .acting
            .iter()
            .filter(|(f, _)| *f != Factor::Skims)
            .map(|(f, x)| x * log_mean(f))
            .sum();
        (self.rough + self.skims * (-log_mean(&Factor::Skims)).exp()) * (-rough).exp()
    }
}

/// Fits the cuts, each machine for itself, in the order in which machines appear.
///
/// Cuts whose material or wire the library does not have are passed over. The library's own `learned` plays
/// no part.
pub fn fit(cuts: &[Cut], library: &Library) -> Vec<MachineFit> {
    let mut machines: Vec<(&str, Vec<Seen>)> = Vec::new();
    for (k, cut) in cuts.iter().enumerate() {
        let Some(seen) = Seen::new(k, cut, library) else {
            continue;
        };
        match machines.iter_mut().find(|m| m.0 == cut.machine) {
            Some(m) => m.1.push(seen),
            None => machines.push((&cut.machine, vec![seen])),
        }
    }
    machines
        .into_iter()
        .filter_map(|(name, seen)| fit_machine(name, &seen, library))
        .collect()
}

/// The machine of the latest cut: the one an estimate is for until the user says otherwise.
pub fn latest_machine(cuts: &[Cut]) -> Option<&str> {
    let latest = cuts.iter().max_by_key(|c| c.date)?;
    Some(&latest.machine)
}

fn fit_machine(name: &str, seen: &[Seen], library: &Library) -> Option<MachineFit> {
    let factors = touched(seen, library);
    let prior: Vec<f64> = factors.iter().map(|f| library.prior_log_sd(f)).collect();
    let place = |f: &Factor| factors.iter().position(|g| g == f);
    let slopes_of = |acting: &[(Factor, f64)]| -> Vec<(usize, f64)> {
        acting
            .iter()
            .filter_map(|(f, x)| Some((place(f)?, *x)))
            .collect()
    };
    let times: Vec<Observation> = seen
        .iter()
        .map(|s| Observation {
            slopes: slopes_of(&s.acting),
            value: (s.before() / s.actual).ln(),
            noise: spread::CUT,
        })
        .collect();
    let wires: Vec<Option<Observation>> = seen
        .iter()
        .map(|s| {
            Some(Observation {
                slopes: vec![(place(&Factor::RunOff)?, 1.0)],
                value: s.wire_log?,
                noise: spread::RUN_OFF_CUT,
            })
        })
        .collect();
    let used = |k: usize| !seen[k].outlier;
    let all: Vec<&Observation> = (0..seen.len())
        .filter(|&k| used(k))
        .flat_map(|k| std::iter::once(&times[k]).chain(&wires[k]))
        .collect();
    let (posterior, weights) = settle(&prior, &all);
    let mut weight_of = vec![(0.0, 0.0); seen.len()];
    let mut next = weights.into_iter();
    for k in (0..seen.len()).filter(|&k| used(k)) {
        weight_of[k].0 = next.next().unwrap_or(1.0);
        if wires[k].is_some() {
            weight_of[k].1 = next.next().unwrap_or(1.0);
        }
    }
    let log_mean = |g: &Gaussian, f: &Factor| place(f).map_or(0.0, |k| g.mean[k]);
    let unlearned = Gaussian::around_zero(&prior);
    let rows = (0..seen.len())
        .map(|k| {
            let s = &seen[k];
            let mut others = posterior.clone();
            others.forget(&times[k], weight_of[k].0);
            if let Some(w) = &wires[k] {
                others.forget(w, weight_of[k].1);
            }
            let log_sd =
                |g: &Gaussian| (g.variance_of(&times[k]).max(0.0) + spread::CUT.powi(2)).sqrt();
            RowFit {
                cut: s.cut,
                row: s.row,
                actual: Minutes::from_min(s.actual),
                before: Minutes::from_min(s.before()),
                after: Minutes::from_min(s.predicted(|f| log_mean(&posterior, f))),
                left_out: Minutes::from_min(s.predicted(|f| log_mean(&others, f))),
                before_log_sd: log_sd(&unlearned),
                after_log_sd: log_sd(&posterior),
                left_out_log_sd: log_sd(&others),
                run_off_log: s.wire_log,
                weight: weight_of[k].0,
                outlier: s.outlier,
            }
        })
        .collect();
    let learned = factors
        .iter()
        .enumerate()
        .map(|(k, f)| Learned {
            factor: f.clone(),
            log_mean: posterior.mean[k],
            prior_log_sd: prior[k],
            cuts: seen
                .iter()
                .filter(|s| {
                    let touches = s.acting.iter().any(|(g, _)| g == f);
                    !s.outlier && (touches || (*f == Factor::RunOff && s.wire_log.is_some()))
                })
                .count(),
        })
        .collect();
    let cuts = seen.iter().filter(|s| !s.outlier).count();
    let knowledge = Knowledge::new(name.to_owned(), cuts, learned, posterior.covariance).ok()?;
    Some(MachineFit {
        machine: name.to_owned(),
        knowledge,
        rows,
    })
}

/// Factors that the cuts say something about. One without a spread of its own (the reference wire) has nothing to learn.
fn touched(seen: &[Seen], library: &Library) -> Vec<Factor> {
    let mut out: Vec<Factor> = Vec::new();
    for s in seen.iter().filter(|s| !s.outlier) {
        let run_off = s.wire_log.map(|_| Factor::RunOff);
        for f in s.acting.iter().map(|(f, _)| f).chain(&run_off) {
            if !out.contains(f) && library.prior_log_sd(f) > 0.0 {
                out.push(f.clone());
            }
        }
    }
    out.sort_by_key(|f| match f {
        Factor::Machine => 0,
        Factor::Material(_) => 1,
        Factor::Wire(_) => 2,
        Factor::Diameter => 3,
        Factor::CurveBelow => 4,
        Factor::CurveAbove => 5,
        Factor::Flushing(_) => 6,
        Factor::Skims => 7,
        Factor::RunOff => 8,
    });
    out
}

/// Why a cut took longer or shorter than the built-in values said: minutes by factor, the rest being this cut's own.
///
/// actual − before is split by the logarithmic mean L of both, so that the parts sum to it: −L·x·θ for each factor
/// with what was learned of it (B. W. Ang, Energy Policy 33 (2005) 867–871). Skims enter by their share of the
/// predicted minutes, as in the fit.
pub fn why_cut_differs(cut: &Cut, knowledge: &Knowledge, library: &Library) -> Option<WhyCut> {
    let seen = Seen::new(0, cut, library)?;
    let log = (seen.actual / seen.before()).ln();
    let mean = if log.abs() < 1e-9 {
        seen.before()
    } else {
        (seen.actual - seen.before()) / log
    };
    let by_factor: Vec<(Factor, Minutes)> = seen
        .acting
        .iter()
        .filter(|(f, _)| knowledge.learned(f).is_some())
        .map(|(f, x)| {
            (
                f.clone(),
                Minutes::from_min(-mean * x * knowledge.log_mean(f)),
            )
        })
        .collect();
    let difference = Minutes::from_min(seen.actual - seen.before());
    let explained: Minutes = by_factor.iter().map(|p| p.1).sum();
    Some(WhyCut {
        difference,
        by_factor,
        own: difference - explained,
    })
}

/// Minutes by which a cut missed its first prediction, and where they belong.
#[derive(Debug, Clone, PartialEq)]
pub struct WhyCut {
    /// Actual less predicted with the built-in values.
    pub difference: Minutes,
    /// What machine, material, wire, … have in it.
    pub by_factor: Vec<(Factor, Minutes)>,
    /// What only this cut has in it.
    pub own: Minutes,
}

/// Posterior and weights that agree with each other.
fn settle(prior: &[f64], observations: &[&Observation]) -> (Gaussian, Vec<f64>) {
    let learn = |weights: &[f64]| {
        let mut g = Gaussian::around_zero(prior);
        for (o, w) in observations.iter().zip(weights) {
            g.observe(o, *w);
        }
        g
    };
    let mut weights = vec![1.0; observations.len()];
    let mut belief = learn(&weights);
    for _ in 0..ROUNDS {
        let next: Vec<f64> = observations
            .iter()
            .map(|o| {
                let z = (o.value - belief.expected(o)) / o.noise;
                if z.abs() <= FULL {
                    1.0
                } else {
                    (TAIL + FULL * FULL) / (TAIL + z * z)
                }
            })
            .collect();
        let moved = next
            .iter()
            .zip(&weights)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        if moved == 0.0 {
            break;
        }
        weights = next;
        belief = learn(&weights);
        if moved < 1e-9 {
            break;
        }
    }
    (belief, weights)
}
/// A cut further than this factor from what is expected says more about the table than about the machine: another unit
/// of time or length (judgement; the range of one cut is about 1.45).
const FAR: f64 = 3.0;

/// How many cuts lie further than a factor of 3 from what the library alone expects.
pub fn far_off(fits: &[MachineFit]) -> usize {
    let rows = fits.iter().flat_map(|f| &f.rows);
    let is_far = |r: &&RowFit| {
        let factor = r.actual / r.before;
        !r.outlier && !(1.0 / FAR..=FAR).contains(&factor)
    };
    rows.filter(is_far).count()
}
