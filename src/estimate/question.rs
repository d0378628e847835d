//! What can be asked about an estimate.

use crate::plan::Share;
use crate::process::PassNumber;

/// A figure that can be asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Question {
    /// Time a part.
    Minutes,
    /// One share of it.
    Share(Share),
    /// Minutes of a pass, 1 the rough.
    Pass(PassNumber),
    /// A step by its index.
    Step(usize),
    /// Metres of wire.
    Wire,
    /// Kilograms of wire.
    WireMass,
    /// Spools for the lot.
    Spools,
    /// Cost a part.
    Cost,
    /// What of it is spent where freed machine hours are not sold.
    Unsold,
    /// Machine cost.
    Machine,
    /// Labour cost.
    Labour,
    /// Start holes.
    Holes,
    /// Wire less scrap.
    WireCost,
    /// Filters, resin, contacts, guides.
    Consumables,
    /// Set-up.
    Setup,
    /// Loading and aligning a part.
    Loading,
    /// Dressing by hand where a part's tab was.
    Dressing,
    /// Programming of the lot.
    Programming,
    /// Inspection.
    Inspection,
    /// The work piece.
    Material,
    /// Anything else the shop adds.
    Other,
    /// What the median of the cost lies above the sum of its lines.
    CostAllowance,
    /// What is added to the whole.
    Markup,
    /// Parts in a week.
    PartsPerWeek,
    /// Time with somebody standing there.
    Attended,
    /// Feed of the wire along its path, on average.
    AverageFeed,
    /// Usual roughness Ra afterwards.
    Finish,
    /// Run-off of a pass, 1 the rough.
    RunOff(usize),
}
