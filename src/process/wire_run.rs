//! How a wire is run: at the usual run-off, at the shop's own, or back and forth from a reel.

use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::{Length, RunOff};
use serde::{Deserialize, Serialize};

/// Fastest run-off that is believed, m/min.
pub const MOST_RUN_OFF: f64 = 60.0;
/// The rough and five skims.
pub const MOST_PASSES: usize = 6;

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
    /// As the shop runs it, each pass for itself: the rough, then skim 1 to skim 5.
    Each([RunOff; MOST_PASSES]),
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
            Self::Each(passes) => passes[k.min(MOST_PASSES - 1)],
            Self::Reciprocating { reel, hours } => {
                RunOff::from_m_per_min(reel.m() / (hours * 60.0))
            }
        }
    }
    /// Whether the shop says itself how much wire runs off in each pass.
    pub fn is_own(self) -> bool {
        matches!(self, Self::Own { .. } | Self::Each(_))
    }
    /// The run-off of each pass as the shop gave it, without the end that repeats itself; empty where it gave none.
    pub fn given(self) -> Vec<RunOff> {
        match self {
            Self::Usual | Self::Reciprocating { .. } => Vec::new(),
            Self::Own { rough, skims } => vec![rough, skims],
            Self::Each(passes) => {
                let mut given = passes.to_vec();
                while given.len() > 2 && given[given.len() - 1] == given[given.len() - 2] {
                    given.pop();
                }
                given
            }
        }
    }
    /// From the rough and the skims one by one; the last holds for all later ones. `None` without any, or with
    /// more than the rough and five skims.
    ///
    /// Skims that are all alike make [`Self::Own`], so that the same way of running is the same value.
    pub fn of_passes(given: &[RunOff]) -> Option<Self> {
        let (&rough, &last) = (given.first()?, given.last()?);
        if given.len() > MOST_PASSES {
            return None;
        }
        let mut passes = [last; MOST_PASSES];
        passes[..given.len()].copy_from_slice(given);
        Some(if passes[1..].iter().all(|u| *u == last) {
            Self::Own { rough, skims: last }
        } else {
            Self::Each(passes)
        })
    }
    /// Why, where it is not the library's.
    pub fn explain(self, k: usize) -> Option<Figure> {
        match self {
            Self::Usual => None,
            Self::Own { .. } | Self::Each(_) => {
                let value = self.run_off(k, RunOff::ZERO).m_per_min();
                Some(Figure::given(
                    say!("wire speed"),
                    value,
                    Unit::RunOff,
                    Standing::Yours,
                ))
            }
            Self::Reciprocating { reel, hours } => {
                let terms = vec![
                    (
                        Sign::Plus,
                        Figure::given(
                            say!("wire on a reel"),
                            reel.m(),
                            Unit::WireM,
                            Standing::Yours,
                        ),
                    ),
                    (
                        Sign::Over,
                        Figure::given(
                            say!("hours a reel lasts"),
                            hours,
                            Unit::Hours,
                            Standing::Yours,
                        ),
                    ),
                    (
                        Sign::Over,
                        Figure::value(
                            say!("minutes in an hour"),
                            60.0,
                            Unit::Plain,
                            Standing::Computed,
                            "",
                        ),
                    ),
                ];
                let value = self.run_off(k, RunOff::ZERO).m_per_min();
                Some(Figure::formula(
                    say!("wire worn a minute"),
                    value,
                    Unit::RunOff,
                    terms,
                    say!("reciprocating"),
                ))
            }
        }
    }
    /// As [`Self::parse`] reads it back; empty for the usual way.
    pub fn written(self) -> String {
        match self {
            Self::Usual => String::new(),
            Self::Own { .. } | Self::Each(_) => {
                let given: Vec<String> = self
                    .given()
                    .iter()
                    .map(|u| u.m_per_min().to_string())
                    .collect();
                given.join("/")
            }
            Self::Reciprocating { reel, hours } => format!("reel {}/{hours}", reel.m()),
        }
    }
    /// Whether its numbers can be: run-offs above 0 and up to [`MOST_RUN_OFF`], a reel with wire and life.
    pub fn is_sane(self) -> bool {
        let run = |r: RunOff| r.m_per_min() > 0.0 && r.m_per_min() <= MOST_RUN_OFF;
        match self {
            Self::Usual => true,
            Self::Own { rough, skims } => run(rough) && run(skims),
            Self::Each(passes) => passes.into_iter().all(run),
            Self::Reciprocating { reel, hours } => {
                reel.m() > 0.0 && reel.m() <= 1e5 && hours > 0.0 && hours <= 1e5
            }
        }
    }
    /// From text: "usual", "10/6" (m/min in rough and skims), "10/9/8/6" (rough, skim 1, skim 2, and all later
    /// ones) or "reel 200/80" (m, h).
    ///
    /// `None` where it is none of these, or its numbers cannot be.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        if text.is_empty() || text == "usual" {
            return Some(Self::Usual);
        }
        let (list, reel) = text
            .strip_prefix("reel")
            .map_or((text, false), |rest| (rest, true));
        let numbers: Option<Vec<f64>> = list.split('/').map(|n| n.trim().parse().ok()).collect();
        let run = match (numbers.as_deref(), reel) {
            (Some([metres, hours]), true) => Some(Self::Reciprocating {
                reel: Length::from_m(*metres),
                hours: *hours,
            }),
            (Some(given), false) if given.len() >= 2 => {
                let given: Vec<RunOff> = given.iter().map(|u| RunOff::from_m_per_min(*u)).collect();
                Self::of_passes(&given)
            }
            _ => None,
        };
        run.filter(|r| r.is_sane())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_of_running_are_read_and_wrong_ones_refused() {
        let usual = RunOff::from_m_per_min(10.0);
        assert_eq!(WireRun::parse(""), Some(WireRun::Usual));
        let own = WireRun::parse("12/6.5").unwrap();
        assert_eq!(own.run_off(0, usual).m_per_min(), 12.0);
        assert_eq!(own.run_off(2, usual).m_per_min(), 6.5);
        // 200 m in 80 h are 200/4800 m/min.
        let reel = WireRun::parse("reel 200/80").unwrap();
        assert!((reel.run_off(1, usual).m_per_min() - 200.0 / 4800.0).abs() < 1e-12);
        for wrong in [
            "12",
            "a/b",
            "0/6",
            "12/-1",
            "reel 0/5",
            "1e9/1",
            "nan/1",
            "reel 1/2/3",
            "9/8/7/6/5/4/3",
            "10//6",
        ] {
            assert!(WireRun::parse(wrong).is_none(), "{wrong}");
        }
    }

    #[test]
    fn each_pass_may_run_at_its_own_run_off() {
        let run = WireRun::parse("10/9/8/6").unwrap();
        let at = |k| run.run_off(k, RunOff::ZERO).m_per_min();
        assert_eq!(
            [at(0), at(1), at(2), at(3), at(4), at(5)],
            [10.0, 9.0, 8.0, 6.0, 6.0, 6.0]
        );
        // Skims all alike are rough and skims, however they are written.
        assert_eq!(WireRun::parse("10/6/6/6"), WireRun::parse("10/6"));
        assert_eq!(WireRun::of_passes(&run.given()), Some(run));
        assert_eq!(WireRun::of_passes(&[]), None);
        for text in ["", "10/6", "10/9/8/6", "10/9.25", "reel 200/80"] {
            assert_eq!(WireRun::parse(text).unwrap().written(), text);
        }
    }

    #[test]
    fn explanations_recompute() {
        for text in ["12/6", "12/9/5", "reel 150/60"] {
            let run = WireRun::parse(text).unwrap();
            let why = run.explain(1).unwrap();
            let again = why.recomputed().unwrap_or(why.value);
            assert!((again - run.run_off(1, RunOff::ZERO).m_per_min()).abs() < 1e-12);
        }
    }
}
