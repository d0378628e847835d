//! How much a value can be relied on, carried with the value wherever it is shown.

use serde::{Deserialize, Serialize};

/// Where a default comes from, from strongest to weakest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Standing {
    /// The source is named and its text was read.
    #[serde(rename = "published")]
    Published,
    /// Follows from a formula given in the documentation of the code.
    #[serde(rename = "computed")]
    Computed,
    /// Usual in the trade; no source.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// Chosen to be sensible; nobody measured it.
    #[serde(rename = "judgement")]
    Judgement,
    /// Entered by the user.
    #[serde(rename = "yours")]
    Yours,
    /// Measured on the drawing.
    #[serde(rename = "measured")]
    Measured,
}

impl Standing {
    /// Each with the word by which a file says it.
    pub const KEYS: [(&'static str, Self); 6] = [
        ("published", Self::Published),
        ("computed", Self::Computed),
        (key!("common practice"), Self::CommonPractice),
        ("judgement", Self::Judgement),
        ("yours", Self::Yours),
        ("measured", Self::Measured),
    ];
    /// As a file says it.
    pub fn key(self) -> &'static str {
        let found = Self::KEYS.iter().find(|(_, s)| *s == self);
        found.map_or("", |(key, _)| key)
    }
    /// From the word in a file.
    pub fn of_key(key: &str) -> Option<Self> {
        let found = Self::KEYS.iter().find(|(k, _)| *k == key);
        found.map(|(_, standing)| *standing)
    }
    /// The word shown beside a figure.
    pub fn word(self) -> &'static str {
        match self {
            Self::Published => say!("published"),
            Self::Computed => say!("computed"),
            Self::CommonPractice => say!("common practice"),
            Self::Judgement => say!("judgement"),
            Self::Yours => say!("yours" in "a standing"),
            Self::Measured => say!("measured on the drawing"),
        }
    }
}

/// A library value: the number, its unit, its range and its standing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// The number in `unit`.
    pub value: f64,
    /// Lower end of about 68 %; of what comes on top of cutting, rates and prices (`overheads.toml`) of about 95 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Upper end, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// Unit as printed; empty for a plain ratio.
    pub unit: String,
    /// How much it can be relied on.
    pub standing: Standing,
    /// The source or a remark; may be empty.
    #[serde(default)]
    pub source: String,
}

impl Value {
    /// Source of a value that a shop has entered without naming another.
    pub const OWN_LIBRARY: &str = key!("your own library");

    /// The same with another number; its range keeps its width in proportion.
    #[must_use]
    pub fn moved_to(&self, value: f64) -> Self {
        let scaled = |end: Option<f64>| {
            end.filter(|_| self.value > 0.0)
                .map(|e| e * value / self.value)
        };
        Self {
            value,
            low: scaled(self.low),
            high: scaled(self.high),
            ..self.clone()
        }
    }
    /// Standard deviation of the logarithm: half of ln(high/low).
    ///
    /// 0 where both ends agree (the reference of a ratio); `None` where no range is given.
    pub fn log_sd(&self) -> Option<f64> {
        match (self.low, self.high) {
            (Some(low), Some(high)) if low > 0.0 && high >= low => Some(0.5 * (high / low).ln()),
            _ => None,
        }
    }
}
