//! What is not known about the figures of one candidate.

use super::range::Slopes;
use super::terms::Terms;

/// Slopes of a candidate's totals, and the spread of its passes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Doubts {
    /// Of the time a part.
    pub minutes: Slopes,
    /// Of the wire a part.
    pub wire: Slopes,
    /// Of the cost a part.
    pub cost: Slopes,
    /// Standard deviation of the logarithm of the minutes of the rough.
    pub rough_log_sd: f64,
    /// The same of any skim, or all of them.
    pub skims_log_sd: f64,
    /// The same of rough and skims together.
    pub cutting_log_sd: f64,
    /// The terms of time, wire and cost, for holding them against others.
    pub terms: FigureTerms,
}

/// What time, wire and cost of a part are the sums of, by what each part moves with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FigureTerms {
    /// Minutes a part.
    pub minutes: Terms,
    /// Metres of wire a part.
    pub wire: Terms,
    /// Cost of a part, machine hours at their rate.
    pub cost: Terms,
    /// Of that, what is really spent where freed machine hours are not sold: wire, consumables, start holes and
    /// attended work.
    pub cash: Terms,
}
