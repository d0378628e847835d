//! What can be wrong with a row of the log of finished cuts.

use super::day::Day;
use crate::numbers::TwoMeanings;
use crate::units::Minutes;
use std::fmt;

/// A column of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Column {
    /// When the cut was finished.
    Date,
    /// Machine, as the shop calls it.
    Machine,
    /// Name of the material in the library.
    Material,
    /// Name of the wire in the library.
    Wire,
    /// Diameter of the wire, mm.
    Diameter,
    /// Thickness of the work, mm.
    Thickness,
    /// How well the dielectric reached the cut.
    Flushing,
    /// Passes, 1 the rough alone.
    Passes,
    /// Drawn length, mm.
    CutLength,
    /// Minutes of cutting.
    CuttingMinutes,
    /// Minutes of the whole run, with threading and stops, where those of cutting alone were not noted.
    RunMinutes,
    /// Threadings in the whole run.
    Threadings,
    /// Slugs and parts taken out in the whole run.
    Stops,
    /// Wire used in cutting, without what is wasted at threadings, m.
    WireUsed,
    /// How the wire was run where that was not the usual way, as on the command line: "10/6", "reel 200/80".
    Run,
    /// Remark.
    Note,
    /// Whether it is shown, but not learned from.
    Outlier,
    /// Path of each pass, mm.
    PassPath,
    /// Minutes of cutting that were quoted.
    QuotedMinutes,
    /// Wire in cutting that was quoted, m.
    QuotedWire,
    /// Cost of a part that was quoted.
    QuotedCost,
    /// Cost of a part as it was cut.
    ActualCost,
}

impl Column {
    /// All.
    pub const ALL: [Self; 22] = [
        Self::Date,
        Self::Machine,
        Self::Material,
        Self::Wire,
        Self::Diameter,
        Self::Thickness,
        Self::Flushing,
        Self::Passes,
        Self::CutLength,
        Self::CuttingMinutes,
        Self::RunMinutes,
        Self::Threadings,
        Self::Stops,
        Self::WireUsed,
        Self::Run,
        Self::Note,
        Self::Outlier,
        Self::PassPath,
        Self::QuotedMinutes,
        Self::QuotedWire,
        Self::QuotedCost,
        Self::ActualCost,
    ];
    /// As it stands in the first line of the file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Date => "date",
            Self::Machine => "machine",
            Self::Material => "material",
            Self::Wire => "wire",
            Self::Diameter => "diameter_mm",
            Self::Thickness => "thickness_mm",
            Self::Flushing => "flushing",
            Self::Passes => "passes",
            Self::CutLength => "cut_length_mm",
            Self::CuttingMinutes => "cutting_minutes",
            Self::RunMinutes => "run_minutes",
            Self::Threadings => "threadings",
            Self::Stops => "stops",
            Self::WireUsed => "wire_m",
            Self::Run => "run",
            Self::Note => "note",
            Self::Outlier => "outlier",
            Self::PassPath => "pass_path_mm",
            Self::QuotedMinutes => "quoted_minutes",
            Self::QuotedWire => "quoted_wire_m",
            Self::QuotedCost => "quoted_cost",
            Self::ActualCost => "actual_cost",
        }
    }
    /// Whether a cut says nothing without it; of the cutting and the whole run, one is enough.
    pub fn is_needed(self) -> bool {
        !matches!(
            self,
            Self::Machine
                | Self::RunMinutes
                | Self::Threadings
                | Self::Stops
                | Self::WireUsed
                | Self::Run
                | Self::Note
                | Self::Outlier
                | Self::PassPath
                | Self::QuotedMinutes
                | Self::QuotedWire
                | Self::QuotedCost
                | Self::ActualCost
        )
    }
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A row that cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub struct RowFault {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// What is wrong with it.
    pub kind: RowFaultKind,
}

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq)]
pub enum RowFaultKind {
    /// It is no row of a table.
    NoRow,
    /// A cell without the number that it needs.
    Empty {
        /// Which.
        column: Column,
        /// What it may hold.
        low: f64,
        /// What it may hold at most.
        high: f64,
    },
    /// A cell that is no number.
    NoNumber {
        /// Which.
        column: Column,
        /// What stands there.
        text: String,
    },
    /// A cell that is one of two numbers.
    TwoMeanings {
        /// Which.
        column: Column,
        /// What stands there.
        text: String,
        /// What it could mean.
        meanings: TwoMeanings,
    },
    /// A number that cannot be.
    OutOfRange {
        /// Which.
        column: Column,
        /// What stands there.
        text: String,
        /// What it may hold.
        low: f64,
        /// What it may hold at most.
        high: f64,
    },
    /// The date cannot be read.
    NoDate(String),
    /// The date lies after today.
    Future {
        /// In the row.
        date: Day,
        /// The last day that a cut may have been finished on.
        today: Day,
    },
    /// A material that the library lacks.
    UnknownMaterial(String),
    /// A wire that the library lacks.
    UnknownWire(String),
    /// A word for the flushing that is none.
    Flushing(String),
    /// No number of passes, or too many.
    Passes {
        /// What stands there.
        text: String,
        /// Passes that the library describes.
        most: usize,
    },
    /// No way to run a wire.
    Run(String),
    /// Neither yes nor no.
    Outlier(String),
    /// A whole run that cannot be split into cutting and the rest.
    WholeRunWithout(Column),
    /// Threading and stops alone are predicted to take longer than the whole run took.
    NothingLeft {
        /// The whole run.
        run: Minutes,
        /// Threading and stops.
        others: Minutes,
    },
    /// Another number of paths than of passes.
    PassPaths {
        /// Paths given.
        given: usize,
        /// Passes of the cut.
        passes: usize,
    },
}
