//! What is believed about each factor before any cut was logged, and how far a figure may then be off.

use super::Library;
use super::knowledge::{Factor, Knowledge};
use crate::standing::Value;

/// Standard deviations of logarithms before any cut was logged: two of three shops lie within ×/÷ e^sd.
///
/// All are judgement, and none is a value of the library: a shop does not know how far it is from an average that it has
/// never seen. It logs finished cuts, and what these say takes the place of the priors factor by factor. What a shop does
/// know of a single material or wire, the range of that entry, is taken from the library instead.
pub mod spread {
    /// What every machine has of its own: ×/÷ 1.42. Generators of different age, and one generator with cautious or
    /// sharp settings, differ by tens of per cent in the same work; this is by far the widest and the first to be learned.
    pub const MACHINE: f64 = 0.35;
    /// Where the library gives no range for a material or a wire: ×/÷ 1.22, wider than what usual tool steels or plain
    /// brasses differ by among themselves, because nothing is known of it.
    pub const UNKNOWN: f64 = 0.20;
    /// On the logarithm of the diameter factor, as a share of it: published exponents lie between 0.5 (Schacht's limit)
    /// and 2 (fine wire), the built-in one between them.
    pub const DIAMETER: f64 = 0.30;
    /// On k_low of the thickness curve, below its plateau: with work ten times thinner than the plateau, where the
    /// square of the logarithm is 5.3, about ×/÷ 1.17.
    pub const CURVE_BELOW: f64 = 0.03;
    /// On k_high, above its plateau: with work twice as thick, where the square is 0.48, about ×/÷ 1.07; five times
    /// wider than below, because flushing and the machine's own limits in thick work differ more.
    pub const CURVE_ABOVE: f64 = 0.15;
    /// On the flushing factor, unless both nozzles are close: one gap between nozzle and work is not like another.
    pub const FLUSHING: f64 = 0.15;
    /// On all skims together, times their share of the minutes: how many sparks a shop spends for its finish is its own.
    pub const SKIMS: f64 = 0.25;
    /// From one cut to the next in the same conditions: breaks, a worn guide, the water of the day. No number of logged
    /// cuts takes it away.
    pub const CUT: f64 = 0.10;
    /// On the run-off, beside the time: the machine's setting and the single cut together. The setting is written on
    /// the machine, so it is narrow.
    pub const RUN_OFF: f64 = 0.10;
    /// Of that, from one cut to the next: a length read off a spool or a scale.
    pub const RUN_OFF_CUT: f64 = 0.04;
}

impl Library {
    /// The spread of a factor before any cut was logged: standard deviation of the logarithm.
    pub fn prior_log_sd(&self, factor: &Factor) -> f64 {
        let of = |v: Option<&Value>| v.and_then(Value::log_sd);
        match factor {
            Factor::Machine => spread::MACHINE,
            Factor::Material(name) => {
                of(self.material(name).map(|m| &m.relative_speed)).unwrap_or(spread::UNKNOWN)
            }
            Factor::Wire(name) => {
                of(self.wire(name).map(|w| &w.relative_speed)).unwrap_or(spread::UNKNOWN)
            }
            Factor::Diameter => spread::DIAMETER,
            Factor::CurveBelow => spread::CURVE_BELOW,
            Factor::CurveAbove => spread::CURVE_ABOVE,
            Factor::Flushing(_) => spread::FLUSHING,
            Factor::Skims => spread::SKIMS,
            Factor::RunOff => (spread::RUN_OFF.powi(2) - spread::RUN_OFF_CUT.powi(2)).sqrt(),
        }
    }
    /// Variance of Σ slope·θ, with what was learned where something was, and the priors elsewhere.
    ///
    /// A factor may appear more than once; its slopes add.
    pub fn log_variance(&self, slopes: &[(Factor, f64)], learned: Option<&Knowledge>) -> f64 {
        let slopes = slopes.iter().map(|(f, x)| (f, *x));
        log_variance(slopes, learned, |f| self.prior_log_sd(f))
    }
}

/// The same as [`Library::log_variance`], where the priors are known.
pub(crate) fn log_variance<'a>(
    slopes: impl Iterator<Item = (&'a Factor, f64)>,
    learned: Option<&Knowledge>,
    prior_log_sd: impl Fn(&Factor) -> f64,
) -> f64 {
    let mut merged: Vec<(&Factor, f64)> = Vec::with_capacity(slopes.size_hint().0);
    for (f, x) in slopes {
        match merged.iter_mut().find(|(g, _)| *g == f) {
            Some((_, sum)) => *sum += x,
            None => merged.push((f, x)),
        }
    }
    let place = |f: &Factor| learned.and_then(|k| k.place(f));
    let mut sum = 0.0;
    for (k, (f, x)) in merged.iter().enumerate() {
        match (place(f), learned) {
            (Some(i), Some(known)) => {
                sum += x * x * known.covariance(i, i);
                for (g, y) in &merged[k + 1..] {
                    if let Some(j) = place(g) {
                        sum += 2.0 * x * y * known.covariance(i, j);
                    }
                }
            }
            _ => sum += (x * prior_log_sd(f)).powi(2),
        }
    }
    sum.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::knowledge::Learned;

    fn learned(factor: Factor, log_mean: f64) -> Learned {
        Learned {
            factor,
            log_mean,
            prior_log_sd: 0.35,
            cuts: 3,
        }
    }

    #[test]
    fn covariances_count_and_untouched_factors_keep_their_prior() {
        let l = Library::built_in();
        let k = Knowledge::new(
            String::new(),
            3,
            vec![learned(Factor::Machine, 0.1), learned(Factor::Skims, -0.2)],
            vec![vec![0.04, -0.01], vec![-0.01, 0.09]],
        )
        .unwrap();
        let slopes = [
            (Factor::Machine, 1.0),
            (Factor::Skims, 0.5),
            (Factor::Diameter, 2.0),
        ];
        // 0.04 + 0.25·0.09 − 2·0.5·0.01 + (2·0.30)², on paper.
        let found = l.log_variance(&slopes, Some(&k));
        assert!((found - (0.04 + 0.0225 - 0.01 + 0.36)).abs() < 1e-15);
        // Split in two, the slopes of one factor add before they are squared.
        let split = [(Factor::Machine, 0.3), (Factor::Machine, 0.7)];
        assert!((l.log_variance(&split, Some(&k)) - 0.04).abs() < 1e-15);
        assert!((l.log_variance(&split, None) - 0.1225).abs() < 1e-15);
        assert_eq!(k.speed(&[(Factor::Machine, 1.0)]), 0.1_f64.exp());
    }
}
