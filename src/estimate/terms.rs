//! What a figure is the sum of, by what each part of it moves with; and two figures held against each other, in
//! which what both share cancels.
//!
//! A term is so many minutes (metres, money) that move as one with everything that is not known: all minutes of one
//! pass in one material, all threadings. Of two figures the terms that move alike are subtracted first. What is left
//! says what got longer and what got shorter; only that can be in doubt. The same drawing twice leaves nothing, a
//! path that is shorter everywhere leaves nothing longer, and of two wires on one drawing the threadings go.

use super::range::{Ranged, Slopes, Spreads, normal_probability, ranged};
use crate::library::Library;
use crate::library::priors::spread;

/// Differences below this share of a figure are rounding: two orders of adding up the same thousand steps.
const ROUNDING: f64 = 1e-11;
/// Most terms whose sum is matched pair by pair; beyond that (every contour under conditions of its own) the slopes of
/// the whole give the range.
const MOST_MATCHED: usize = 64;

/// So much of a figure, moving as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// In the figure's unit.
    pub amount: f64,
    /// How its logarithm moves with what is not known.
    pub slopes: Slopes,
}

/// A figure as the sum of its terms, no two with the same slopes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Terms(Vec<Term>);

/// One figure against another, as a share: −0.31 is 31 % less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The share; no number where either figure is 0 or less.
    pub share: f64,
    /// Low and high of it, about 68 %.
    pub range: (f64, f64),
    /// Probability, 0 … 1, that it is less. `None` where both are the same, or no share can be had.
    pub probability_less: Option<f64>,
    /// Standard deviation of the logarithm that two single cuts add to that: the scatter from one cut to the next. It
    /// has no part in range and probability.
    pub scatter: f64,
}

impl Terms {
    /// From amounts and what each moves with.
    pub fn of<'a>(parts: impl IntoIterator<Item = (f64, &'a Slopes)>) -> Self {
        let mut terms = Self::default();
        for (amount, slopes) in parts {
            terms.add(amount, slopes);
        }
        terms
    }
    /// One more part.
    pub fn add(&mut self, amount: f64, slopes: &Slopes) {
        if amount == 0.0 {
            return;
        }
        match self.0.iter_mut().find(|t| t.slopes == *slopes) {
            Some(t) => t.amount += amount,
            None => self.0.push(Term {
                amount,
                slopes: slopes.clone(),
            }),
        }
    }
    /// All amounts multiplied, such as minutes by a rate.
    #[must_use]
    pub fn times(mut self, by: f64) -> Self {
        self.0.iter_mut().for_each(|t| t.amount *= by);
        self.0.retain(|t| t.amount != 0.0);
        self
    }
    /// The sum of two figures.
    #[must_use]
    pub fn plus(mut self, other: &Self) -> Self {
        other.0.iter().for_each(|t| self.add(t.amount, &t.slopes));
        self
    }
    /// The terms, in the order in which they were first added.
    pub fn all(&self) -> &[Term] {
        &self.0
    }
    /// The figure itself.
    pub fn total(&self) -> f64 {
        self.0.iter().map(|t| t.amount).sum()
    }
    /// Slopes of the figure: those of its terms by their share in it.
    pub fn slopes(&self) -> Slopes {
        let total = self.total();
        if total == 0.0 {
            return Slopes::default();
        }
        let weighted = self.0.iter().map(|t| t.slopes.times(t.amount / total));
        weighted.fold(Slopes::default(), |sum, one| sum.plus(&one))
    }
    /// The figure's median with the range that holds about 68 %.
    ///
    /// Where terms move apart, the median of a sum of lognormal terms lies above the sum of their medians, by up to some
    /// per cent. Middle and width are those of the lognormal with the mean and variance of the sum (L. F. Fenton, "The sum
    /// of log-normal probability distributions in scatter transmission systems", IRE Trans. Communications Systems 8 (1960)
    /// 57–67, from memory): for terms mᵢ with variances vᵢ and covariances cᵢⱼ of their logarithms, E = Σ mᵢ·e^(vᵢ/2),
    /// σ² = ln(Σᵢⱼ mᵢmⱼ·e^((vᵢ+vⱼ)/2 + cᵢⱼ)/E²), middle E·e^(−σ²/2), ends middle·e^(±σ). What is known exactly shifts all
    /// three.
    pub fn ranged(&self, library: &Library) -> Ranged<f64> {
        let spreads = Spreads::of(library);
        let own: Vec<(&Term, f64)> = self
            .0
            .iter()
            .map(|t| (t, spreads.log_sd([&t.slopes]).powi(2)))
            .collect();
        let (known, doubtful): (Vec<_>, Vec<_>) = own.into_iter().partition(|(_, v)| *v == 0.0);
        let sum = |terms: &[(&Term, f64)]| terms.iter().map(|(t, _)| t.amount).sum::<f64>();
        let (known, medians) = (sum(&known), sum(&doubtful));
        let positive = doubtful.iter().all(|(t, _)| t.amount > 0.0);
        if !positive || doubtful.is_empty() || doubtful.len() > MOST_MATCHED {
            return ranged(self.total(), self.slopes().log_sd(library));
        }
        let (mut mean, mut square) = (0.0, 0.0);
        for (i, (a, v)) in doubtful.iter().enumerate() {
            mean += a.amount * (v / 2.0).exp();
            square += a.amount.powi(2) * (2.0 * v).exp();
            for (b, w) in doubtful.iter().skip(i + 1) {
                let shared = if a.slopes.shares_nothing_with(&b.slopes) {
                    0.0
                } else {
                    let both = spreads.log_sd([&a.slopes, &b.slopes]).powi(2);
                    (both - v - w) / 2.0
                };
                square += 2.0 * a.amount * b.amount * ((v + w) / 2.0 + shared).exp();
            }
        }
        let variance = (square / mean.powi(2)).ln().max(0.0);
        // Of one term the median is the term; rounding is no allowance.
        let middle = if doubtful.len() > 1 {
            (mean * (-variance / 2.0).exp()).max(medians)
        } else {
            medians
        };
        let around = ranged(middle, variance.sqrt());
        Ranged {
            median: known + around.median,
            low: known + around.low,
            high: known + around.high,
        }
    }
    /// This figure against another; `medians` are those of both as they are shown.
    ///
    /// The probability compares what got longer, P, with what got shorter, N, after terms that move alike have been
    /// subtracted: P(P < N) = Φ(ln(N/P)/σ), σ the standard deviation of ln P − ln N, in which what both still share
    /// cancels again. It is exact where one term is left on either side, as for two wires that differ in speed.
    pub fn held_against(&self, other: &Self, medians: (f64, f64), library: &Library) -> Against {
        let (a, b) = medians;
        let (own, others) = (self.slopes(), other.slopes());
        let scatter = (spread::CUT.powi(2) * (own.cut.powi(2) + others.cut.powi(2))
            + spread::RUN_OFF_CUT.powi(2) * (own.run_off_cut.powi(2) + others.run_off_cut.powi(2)))
        .sqrt();
        if a <= 0.0 || b <= 0.0 || a.is_nan() || b.is_nan() {
            return Against {
                share: f64::NAN,
                range: (f64::NAN, f64::NAN),
                probability_less: None,
                scatter,
            };
        }
        let (longer, shorter) = self
            .clone()
            .plus(&other.clone().times(-1.0))
            .split(a.max(b));
        let (p, n) = (longer.total(), shorter.total());
        if p == 0.0 && n == 0.0 {
            return Against {
                share: 0.0,
                range: (0.0, 0.0),
                probability_less: None,
                scatter,
            };
        }
        let log = (a / b).ln();
        let sd = own.log_sd_against(&others, library);
        let mut range = ((log - sd).exp_m1(), (log + sd).exp_m1());
        let probability = if p == 0.0 {
            range.1 = range.1.min(0.0);
            1.0
        } else if n == 0.0 {
            range.0 = range.0.max(0.0);
            0.0
        } else {
            let sd = longer.slopes().log_sd_against(&shorter.slopes(), library);
            let log = (n / p).ln();
            match (sd > 0.0, log > 0.0) {
                (true, _) => normal_probability(log / sd),
                (false, true) => 1.0,
                (false, false) => 0.0,
            }
        };
        Against {
            share: a / b - 1.0,
            range,
            probability_less: Some(probability),
            scatter,
        }
    }
    /// What is above 0 and, with its sign turned, what is below; what is only rounding of `whole` is neither.
    fn split(self, whole: f64) -> (Self, Self) {
        let counts = self.0.into_iter();
        let (above, below): (Vec<_>, Vec<_>) = counts
            .filter(|t| t.amount.abs() > ROUNDING * whole)
            .partition(|t| t.amount > 0.0);
        (Self(above), Self(below).times(-1.0))
    }
}
