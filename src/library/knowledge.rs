//! What is believed about this shop: how far its machine, materials and wires lie from the built-in values.
//!
//! Each factor θ is a deviation in logarithms. A finished cut says
//! y = ln(predicted minutes / actual minutes)
//! = θ_machine + θ_material + θ_wire + δ_d·ln f_d − Δk_low·\[ln(min(H, H₁)/H₁)\]² − Δk_high·\[ln(max(H, H₂)/H₂)\]² + θ_flushing + q·θ_skims + ε,
//! with q the share of skims in the predicted minutes. So a positive sum means faster than predicted:
//! feed × e^θ, minutes × e^(−θ). This room holds the numbers; who learns them from cuts lives above it. What is believed before any cut: [`super::priors`].

use super::Flushing;
use crate::language::said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::Arc;

/// Something that can differ from the built-in value, and be learned.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Factor {
    /// The machine as a whole, θ₀.
    Machine,
    /// A work material, by its name in the library.
    Material(Arc<str>),
    /// A kind of wire, by its name in the library.
    Wire(Arc<str>),
    /// δ_d: how much more or less the diameter matters.
    Diameter,
    /// Δk_low below the plateau: a faster fall in thin work.
    CurveBelow,
    /// Δk_high above the plateau.
    CurveAbove,
    /// A kind of flushing other than both nozzles close.
    Flushing(Flushing),
    /// All skims together.
    Skims,
    /// Run-off of the wire; positive means more wire a minute. It has no part in the minutes.
    RunOff,
}

impl Factor {
    /// As named in a list.
    pub fn words(&self) -> String {
        match self {
            Self::Machine => say!("machine").to_owned(),
            Self::Material(name) => say!("material: {}", said(name)),
            Self::Wire(name) => say!("wire: {}", said(name)),
            Self::Diameter => say!("diameter").to_owned(),
            Self::CurveBelow => say!("thin work").to_owned(),
            Self::CurveAbove => say!("thick work").to_owned(),
            Self::Flushing(f) => say!("flushing: {}", f.words()),
            Self::Skims => say!("skims").to_owned(),
            Self::RunOff => say!("wire speed").to_owned(),
        }
    }
}

/// One factor after the cuts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// Which.
    pub factor: Factor,
    /// Best value, in logarithms; 0 is the built-in value.
    pub log_mean: f64,
    /// Its standard deviation before the cuts.
    pub prior_log_sd: f64,
    /// How many cuts say something about it.
    pub cuts: usize,
}

/// A Gaussian over the factors that cuts have touched; every other factor keeps its prior around 0.
///
/// The default knows nothing and leaves every figure as it is.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Knowledge {
    /// The machine whose cuts these are; empty where the log names none.
    pub machine: String,
    /// Cuts it rests on.
    pub cuts: usize,
    factors: Vec<Learned>,
    /// Row by row, in the order of `factors`.
    covariance: Vec<Vec<f64>>,
}

/// Numbers that make no Gaussian.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KnowledgeError;

impl fmt::Display for KnowledgeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(say!(
            "What was learned is damaged: its table of covariances does not fit its factors. Fit the cuts again."
        ))
    }
}
impl std::error::Error for KnowledgeError {}

impl Knowledge {
    /// From factors and their covariance, row by row in the same order.
    ///
    /// # Errors
    /// The table is not square, not symmetric, has a negative variance or numbers that are not finite.
    pub fn new(
        machine: String,
        cuts: usize,
        factors: Vec<Learned>,
        covariance: Vec<Vec<f64>>,
    ) -> Result<Self, KnowledgeError> {
        let n = factors.len();
        let square = covariance.len() == n && covariance.iter().all(|r| r.len() == n);
        let sound = square
            && (0..n).all(|i| {
                covariance[i][i] >= 0.0
                    && (0..n).all(|j| {
                        let c = covariance[i][j];
                        c.is_finite() && (c - covariance[j][i]).abs() <= 1e-9
                    })
            })
            && factors.iter().all(|f| f.log_mean.is_finite());
        if sound {
            Ok(Self {
                machine,
                cuts,
                factors,
                covariance,
            })
        } else {
            Err(KnowledgeError)
        }
    }
    /// The same, where its numbers make a Gaussian: for what was read from a file.
    ///
    /// # Errors
    /// As [`Knowledge::new`].
    pub fn checked(self) -> Result<Self, KnowledgeError> {
        Self::new(self.machine, self.cuts, self.factors, self.covariance)
    }
    /// Factors that cuts have touched.
    pub fn factors(&self) -> &[Learned] {
        &self.factors
    }
    /// One of them.
    pub fn learned(&self, factor: &Factor) -> Option<&Learned> {
        self.factors.iter().find(|l| l.factor == *factor)
    }
    /// Best value of a factor in logarithms; 0 where no cut touched it.
    pub fn log_mean(&self, factor: &Factor) -> f64 {
        self.learned(factor).map_or(0.0, |l| l.log_mean)
    }
    /// Standard deviation of a factor that was touched.
    pub fn log_sd(&self, factor: &Factor) -> Option<f64> {
        let k = self.place(factor)?;
        Some(self.covariance[k][k].sqrt())
    }
    /// Row of the covariance.
    pub(super) fn place(&self, factor: &Factor) -> Option<usize> {
        self.factors.iter().position(|l| l.factor == *factor)
    }
    /// By how much the rough is faster than the built-in values say: e^(Σ x·θ).
    pub fn speed(&self, acting: &[(Factor, f64)]) -> f64 {
        let sum: f64 = acting.iter().map(|(f, x)| x * self.log_mean(f)).sum();
        sum.exp()
    }
    /// By how much skims are faster still.
    pub fn skim_speed(&self) -> f64 {
        self.log_mean(&Factor::Skims).exp()
    }
    /// Covariance of two factors, by their places in the list.
    pub(super) fn covariance(&self, i: usize, j: usize) -> f64 {
        self.covariance[i][j]
    }
    /// By how much more wire runs off.
    pub fn run_off(&self) -> f64 {
        self.log_mean(&Factor::RunOff).exp()
    }
    /// The same belief with one factor moved by so much in logarithms: for asking what would be if.
    ///
    /// A factor that no cut touched is taken in with its spread from before, a standard deviation of the logarithm.
    #[must_use]
    pub fn moved(&self, factor: &Factor, by: f64, prior_log_sd: f64) -> Self {
        let mut moved = self.clone();
        if let Some(k) = self.place(factor) {
            moved.factors[k].log_mean += by;
            return moved;
        }
        moved.covariance.iter_mut().for_each(|row| row.push(0.0));
        moved.factors.push(Learned {
            factor: factor.clone(),
            log_mean: by,
            prior_log_sd,
            cuts: 0,
        });
        let mut row = vec![0.0; moved.factors.len()];
        if let Some(last) = row.last_mut() {
            *last = prior_log_sd * prior_log_sd;
        }
        moved.covariance.push(row);
        moved
    }
    /// The source line of a learned factor, shown beside it.
    pub fn source(&self, factor: &Factor) -> String {
        let cuts = self.learned(factor).map_or(0, |l| l.cuts);
        let machine = self.on_machine();
        match cuts {
            1 => say!("learned from 1 cut of yours{machine}"),
            _ => say!("learned from {cuts} cuts of yours{machine}"),
        }
    }
    /// " on Press 2": the machine that it was learned on, to follow what was; empty where it has no name.
    pub fn on_machine(&self) -> String {
        if self.machine.is_empty() {
            String::new()
        } else {
            say!(" on {}", self.machine)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn learned(factor: Factor, log_mean: f64) -> Learned {
        Learned {
            factor,
            log_mean,
            prior_log_sd: 0.35,
            cuts: 3,
        }
    }

    #[test]
    fn damaged_tables_are_refused() {
        let one = || vec![learned(Factor::Machine, 0.0)];
        for table in [
            vec![],
            vec![vec![-1.0]],
            vec![vec![f64::NAN]],
            vec![vec![1.0, 0.0]],
        ] {
            assert!(Knowledge::new(String::new(), 1, one(), table).is_err());
        }
    }
}
