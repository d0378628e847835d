//! What was learned and is worth saying, the most telling first, and how far to trust it.

use super::assessment::{Assessment, assess};
use super::fit::MachineFit;
use crate::library::knowledge::Learned;
use crate::library::{Factor, Library};
use crate::units::{Length, Minutes};

/// Less than this many standard deviations from its prior value, and hardly narrower: not worth a sentence.
const WORTH: f64 = 0.1;

/// Most cuts that are named because they do not fit.
const MOST_NAMED: usize = 5;

/// Thicknesses at which a bend of the curve is told, thin and thick, mm.
const TOLD_AT_MM: [f64; 2] = [20.0, 150.0];
/// Where the curve bends, mm: below and above it have factors of their own.
const BEND_MM: f64 = 60.0;

/// One thing that the cuts of a machine teach.
#[derive(Debug, Clone, PartialEq)]
pub enum Lesson {
    /// None of its cuts could be learned from.
    NoCut,
    /// How many it rests on.
    Learned {
        /// Finished cuts.
        cuts: usize,
    },
    /// What one factor came to.
    Factor(OfFactor),
    /// How far predictions were off.
    Error(Assessment),
    /// A cut that does not fit the others.
    DoesNotFit {
        /// Its row in the log, 1 the first.
        row: usize,
        /// What it took.
        actual: Minutes,
        /// What the others made one expect.
        expected: Minutes,
    },
    /// So many others do not fit either.
    MoreDoNotFit(usize),
    /// So many are marked as outliers.
    Outliers(usize),
}

/// What one factor came to.
#[derive(Debug, Clone, PartialEq)]
pub struct OfFactor {
    /// Which.
    pub factor: Factor,
    /// Logarithm of what it does to the speed, or to whatever it acts on; 0 as the library says.
    pub log: f64,
    /// Standard deviation of that.
    pub log_sd: f64,
    /// Cuts that it rests on.
    pub cuts: usize,
    /// What the library says where it says a number: a wire's relative speed; else 1.
    pub built_in: f64,
    /// For a bend of the thickness curve: the thickness at which it is told.
    pub thickness: Option<Length>,
}

/// What the fit of a machine teaches.
pub fn what_was_learned(fit: &MachineFit, library: &Library) -> Vec<Lesson> {
    let known = &fit.knowledge;
    if known.cuts == 0 {
        return vec![Lesson::NoCut];
    }
    let mut out = vec![Lesson::Learned { cuts: known.cuts }];
    for l in known.factors() {
        let sd = known.log_sd(&l.factor).unwrap_or(l.prior_log_sd);
        let moved = (l.log_mean / l.prior_log_sd).abs() >= WORTH;
        let narrower = sd < (1.0 - WORTH) * l.prior_log_sd;
        if moved || narrower {
            out.push(Lesson::Factor(of_factor(l, sd, library)));
        }
    }
    out.extend(assess([fit]).map(Lesson::Error));
    let suspects: Vec<_> = fit.rows.iter().filter(|r| r.is_suspect()).collect();
    out.extend(
        suspects
            .iter()
            .take(MOST_NAMED)
            .map(|r| Lesson::DoesNotFit {
                row: r.row,
                actual: r.actual,
                expected: r.left_out,
            }),
    );
    if suspects.len() > MOST_NAMED {
        out.push(Lesson::MoreDoNotFit(suspects.len() - MOST_NAMED));
    }
    let marked = fit.rows.iter().filter(|r| r.outlier).count();
    if marked > 0 {
        out.push(Lesson::Outliers(marked));
    }
    out
}

fn of_factor(l: &Learned, sd: f64, library: &Library) -> OfFactor {
    let told_at = match l.factor {
        Factor::CurveBelow => Some(TOLD_AT_MM[0]),
        Factor::CurveAbove => Some(TOLD_AT_MM[1]),
        _ => None,
    };
    // A bend slows cutting by the square of the thickness's logarithm.
    let bend = told_at.map(|t| (t / BEND_MM).ln().powi(2));
    OfFactor {
        factor: l.factor.clone(),
        log: bend.map_or(l.log_mean, |b| -b * l.log_mean),
        log_sd: bend.map_or(sd, |b| b * sd),
        cuts: l.cuts,
        built_in: match &l.factor {
            Factor::Wire(name) => library.wire(name).map_or(1.0, |w| w.relative_speed.value),
            _ => 1.0,
        },
        thickness: told_at.map(Length::from_mm),
    }
}
