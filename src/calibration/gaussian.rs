//! A Gaussian belief about several numbers, and what one observation does to it.
//!
//! Observing y = x·θ + noise with a known variance turns a Gaussian into another one, in closed form:
//! K = C·x / (xᵀC·x + variance), m ← m + K·(y − x·m), C ← C − K·(C·x)ᵀ. One observation at a time gives the same as
//! all at once through the normal equations, needs no inverse, and can be undone by observing with the
//! variance negated (published: any text on recursive least squares; from memory).

/// Means and covariance.
#[derive(Debug, Clone, PartialEq)]
pub struct Gaussian {
    /// Best values.
    pub mean: Vec<f64>,
    /// Covariance, row by row.
    pub covariance: Vec<Vec<f64>>,
}

/// One observation of a combination.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Index and slope of each number that has a part in it.
    pub slopes: Vec<(usize, f64)>,
    /// What was observed.
    pub value: f64,
    /// Standard deviation of its noise, above 0.
    pub noise: f64,
}

impl Gaussian {
    /// Independent numbers around 0 with these standard deviations.
    pub fn around_zero(log_sd: &[f64]) -> Self {
        let n = log_sd.len();
        Self {
            mean: vec![0.0; n],
            covariance: (0..n)
                .map(|i| {
                    let mut row = vec![0.0; n];
                    row[i] = log_sd[i] * log_sd[i];
                    row
                })
                .collect(),
        }
    }
    /// What the observation is expected to be.
    pub fn expected(&self, o: &Observation) -> f64 {
        o.slopes.iter().map(|&(i, x)| x * self.mean[i]).sum()
    }
    /// C·x.
    fn spread_along(&self, o: &Observation) -> Vec<f64> {
        self.covariance
            .iter()
            .map(|row| o.slopes.iter().map(|&(i, x)| x * row[i]).sum())
            .collect()
    }
    /// Variance of what is observed, without its noise.
    pub fn variance_of(&self, o: &Observation) -> f64 {
        let along = self.spread_along(o);
        o.slopes.iter().map(|&(i, x)| x * along[i]).sum()
    }
    /// Learns from an observation that counts with `weight` (1: fully; 0: not at all).
    pub fn observe(&mut self, o: &Observation, weight: f64) {
        if weight > 0.0 {
            self.update(o, o.noise * o.noise / weight);
        }
    }
    /// Forgets an observation that was learned with `weight`.
    pub fn forget(&mut self, o: &Observation, weight: f64) {
        if weight > 0.0 {
            self.update(o, -o.noise * o.noise / weight);
        }
    }
    fn update(&mut self, o: &Observation, variance: f64) {
        let along = self.spread_along(o);
        let own: f64 = o.slopes.iter().map(|&(i, x)| x * along[i]).sum();
        let all = own + variance;
        let missed = o.value - self.expected(o);
        if all == 0.0 {
            return;
        }
        for i in 0..self.mean.len() {
            self.mean[i] += along[i] / all * missed;
            for j in 0..self.mean.len() {
                self.covariance[i][j] -= along[i] * along[j] / all;
            }
        }
        // Rounding must leave neither a negative variance nor a lopsided table.
        for i in 0..self.mean.len() {
            self.covariance[i][i] = self.covariance[i][i].max(0.0);
            for j in 0..i {
                let c = 0.5 * (self.covariance[i][j] + self.covariance[j][i]);
                self.covariance[i][j] = c;
                self.covariance[j][i] = c;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_observation_is_forgotten_as_if_it_had_never_been() {
        let a = Observation {
            slopes: vec![(0, 1.0), (1, 0.5)],
            value: 0.2,
            noise: 0.1,
        };
        let b = Observation {
            slopes: vec![(0, 1.0), (2, -1.0)],
            value: -0.3,
            noise: 0.1,
        };
        let mut only = Gaussian::around_zero(&[0.35, 0.2, 0.1]);
        only.observe(&a, 1.0);
        let mut both = only.clone();
        both.observe(&b, 0.4);
        both.forget(&b, 0.4);
        for i in 0..3 {
            assert!((only.mean[i] - both.mean[i]).abs() < 1e-12);
            for j in 0..3 {
                assert!((only.covariance[i][j] - both.covariance[i][j]).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn after_one_three_and_five_cuts() {
        // Prior sqrt(0.35² + 0.20²), noise 0.10: predictive 0.1394 / 0.1152 / 0.1094, and 150 mm²/min
        // shrinks to 112.00 / 110.69 after one / three cuts at 110; from an independent script.
        let mut g = Gaussian::around_zero(&[0.35, 0.20]);
        let cut = Observation {
            slopes: vec![(0, 1.0), (1, 1.0)],
            value: (110.0_f64 / 150.0).ln(),
            noise: 0.10,
        };
        let mut cuts = 0;
        for (upto, predictive, rate) in [
            (1, 0.1394, Some(112.00)),
            (3, 0.1152, Some(110.69)),
            (5, 0.1094, None),
        ] {
            while cuts < upto {
                g.observe(&cut, 1.0);
                cuts += 1;
            }
            let sd = (g.variance_of(&cut) + 0.01).sqrt();
            assert!((sd - predictive).abs() < 5e-5, "{upto}: {sd}");
            if let Some(rate) = rate {
                assert!(
                    (150.0 * g.expected(&cut).exp() - rate).abs() < 5e-3,
                    "{upto}"
                );
            }
        }
    }
}
