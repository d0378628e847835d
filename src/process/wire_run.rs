//! How a wire is run: at the usual run-off, at the shop's own, or back and forth from a reel.

use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::{Length, RunOff};
use serde::{Deserialize, Serialize};

/// Fastest run-off that is believed, m/min.
pub const MOST_RUN_OFF: f64 = 60.0;

/// The way a wire is run. The same wire run in two ways is two candidates.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WireRun {
    /// As the library says for each pass.
    #[default]
    Usual,
    /// As the shop runs it; some keep the finish at a lower run-off in skims (common practice, no source).
    Own {
        /// In the rough.
        rough: RunOff,
        /// In every skim.
        skims: RunOff,
    },
    /// Back and forth from a reel that wears out: hours a reel instead of metres a minute.
    ///
    /// Machines that run molybdenum wire so use it again and again.
    Reciprocating {
        /// Wire on a reel.
        reel: Length,
        /// Hours that it lasts.
        hours: f64,
    },
}

impl WireRun {
    /// Wire used up a minute in pass `k` (0 the rough), where `usual` is the library's.
    pub fn run_off(self, k: usize, usual: RunOff) -> RunOff {
        match self {
            Self::Usual => usual,
            Self::Own { rough, .. } if k == 0 => rough,
            Self::Own { skims, .. } => skims,
            Self::Reciprocating { reel, hours } => {
                RunOff::from_m_per_min(reel.m() / (hours * 60.0))
            }
        }
    }
    /// Why, where it is not the library's.
    pub fn explain(self, k: usize) -> Option<Figure> {
        match self {
            Self::Usual => None,
            Self::Own { .. } => {
                let value = self.run_off(k, RunOff::ZERO).m_per_min();
                Some(Figure::given(
                    "run-off",
                    value,
                    Unit::RunOff,
                    Standing::Yours,
                ))
            }
            Self::Reciprocating { reel, hours } => {
                let terms = vec![
                    (
                        Sign::Plus,
                        Figure::given("wire on a reel", reel.m(), Unit::WireM, Standing::Yours),
                    ),
                    (
                        Sign::Over,
                        Figure::given("hours a reel lasts", hours, Unit::Hours, Standing::Yours),
                    ),
                    (
                        Sign::Over,
                        Figure::value(
                            "minutes in an hour",
                            60.0,
                            Unit::Plain,
                            Standing::Computed,
                            "",
                        ),
                    ),
                ];
                let value = self.run_off(k, RunOff::ZERO).m_per_min();
                Some(Figure::formula(
                    "wire worn a minute",
                    value,
                    Unit::RunOff,
                    terms,
                    "run back and forth",
                ))
            }
        }
    }
    /// As added to the wire's name; empty for the usual way.
    pub fn words(self) -> String {
        match self {
            Self::Usual => String::new(),
            Self::Own { rough, skims } => {
                format!(
                    "at {} and {} m/min",
                    crate::reason::short(rough.m_per_min()),
                    crate::reason::short(skims.m_per_min())
                )
            }
            Self::Reciprocating { reel, hours } => format!(
                "back and forth, {} m in {} h",
                crate::reason::short(reel.m()),
                crate::reason::short(hours)
            ),
        }
    }
    /// Whether its numbers can be: run-offs above 0 and up to [`MOST_RUN_OFF`], a reel with wire and life.
    pub fn is_sane(self) -> bool {
        let run = |r: RunOff| r.m_per_min() > 0.0 && r.m_per_min() <= MOST_RUN_OFF;
        match self {
            Self::Usual => true,
            Self::Own { rough, skims } => run(rough) && run(skims),
            Self::Reciprocating { reel, hours } => {
                reel.m() > 0.0 && reel.m() <= 1e5 && hours > 0.0 && hours <= 1e5
            }
        }
    }
    /// From text: "usual", "10/6" (m/min in rough and skims) or "reel 200/80" (m, h).
    ///
    /// # Errors
    /// What is wrong and what would be right.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if text.is_empty() || text == "usual" {
            return Ok(Self::Usual);
        }
        let (pair, reel) = text
            .strip_prefix("reel")
            .map_or((text, false), |rest| (rest, true));
        let numbers = pair.split_once('/').and_then(|(a, b)| {
            Some((a.trim().parse::<f64>().ok()?, b.trim().parse::<f64>().ok()?))
        });
        let run = numbers.map(|(a, b)| {
            if reel {
                Self::Reciprocating {
                    reel: Length::from_m(a),
                    hours: b,
                }
            } else {
                Self::Own {
                    rough: RunOff::from_m_per_min(a),
                    skims: RunOff::from_m_per_min(b),
                }
            }
        });
        run.filter(|r| r.is_sane()).ok_or_else(|| {
            format!(
                "“{text}” is no way to run a wire. Write the run-off in rough and skims in m/min, such as 10/6, or \
                 the metres on a reel and the hours it lasts, such as reel 200/80."
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_of_running_are_read_and_wrong_ones_refused() {
        let usual = RunOff::from_m_per_min(10.0);
        assert_eq!(WireRun::parse(""), Ok(WireRun::Usual));
        let own = WireRun::parse("12/6.5").unwrap();
        assert_eq!(own.run_off(0, usual).m_per_min(), 12.0);
        assert_eq!(own.run_off(2, usual).m_per_min(), 6.5);
        // 200 m in 80 h are 200/4800 m/min.
        let reel = WireRun::parse("reel 200/80").unwrap();
        assert!((reel.run_off(1, usual).m_per_min() - 200.0 / 4800.0).abs() < 1e-12);
        for wrong in ["12", "a/b", "0/6", "12/-1", "reel 0/5", "1e9/1", "nan/1"] {
            assert!(WireRun::parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn explanations_recompute() {
        for text in ["12/6", "reel 150/60"] {
            let run = WireRun::parse(text).unwrap();
            let why = run.explain(1).unwrap();
            let again = why.recomputed().unwrap_or(why.value);
            assert!((again - run.run_off(1, RunOff::ZERO).m_per_min()).abs() < 1e-12);
        }
    }
}
