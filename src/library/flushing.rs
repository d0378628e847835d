//! How well the dielectric reaches the cut, as the user says it.

use serde::{Deserialize, Serialize};

/// How well the dielectric reaches the cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flushing {
    /// Both nozzles close to the work.
    #[default]
    Close,
    /// One nozzle away.
    OneAway,
    /// Both away, or stepped or cross-drilled work.
    Away,
}

impl Flushing {
    /// Every kind, best first.
    pub const ALL: [Self; 3] = [Self::Close, Self::OneAway, Self::Away];
    /// As it stands in the sentence of the job.
    pub fn words(self) -> &'static str {
        match self {
            Self::Close => say!("nozzles on the work"),
            Self::OneAway => say!("one nozzle off"),
            Self::Away => say!("both nozzles off"),
        }
    }
    /// As written on the command line.
    pub fn key(self) -> &'static str {
        match self {
            Self::Close => "close",
            Self::OneAway => "one-away",
            Self::Away => "away",
        }
    }
}
