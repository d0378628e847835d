//! What kind of material it is, and what its dust or sludge can do.

use serde::{Deserialize, Serialize};

/// What a material's dust or sludge can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Aluminium, magnesium, titanium: fire and hydrogen.
    ReactiveFines,
    /// Cobalt, beryllium: poisonous dust and sludge.
    ToxicSludge,
}

impl Caution {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::ReactiveFines, Self::ToxicSludge];
    /// As written in a file.
    pub fn key(self) -> &'static str {
        match self {
            Self::ReactiveFines => "reactive-fines",
            Self::ToxicSludge => "toxic-sludge",
        }
    }
}

/// What kind of material it is: what decides how start holes are drilled in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Kind {
    /// Tool steel, carbon steel, stainless steel.
    #[default]
    Steel,
    /// Sintered carbide.
    Carbide,
    /// Aluminium and its alloys.
    Aluminium,
    /// Magnesium and its alloys.
    Magnesium,
    /// Copper, brass, bronze, beryllium copper.
    Copper,
    /// Titanium and its alloys.
    Titanium,
    /// Nickel alloys.
    Nickel,
    /// Graphite.
    Graphite,
    /// Polycrystalline diamond.
    Diamond,
    /// Anything else.
    Other,
}

impl Kind {
    /// All of them, in the order shown.
    pub const ALL: [Self; 10] = [
        Self::Steel,
        Self::Carbide,
        Self::Aluminium,
        Self::Magnesium,
        Self::Copper,
        Self::Titanium,
        Self::Nickel,
        Self::Graphite,
        Self::Diamond,
        Self::Other,
    ];
    /// As written in a file and shown.
    pub fn key(self) -> &'static str {
        match self {
            Self::Steel => "steel",
            Self::Carbide => "carbide",
            Self::Aluminium => "aluminium",
            Self::Magnesium => "magnesium",
            Self::Copper => "copper",
            Self::Titanium => "titanium",
            Self::Nickel => "nickel",
            Self::Graphite => "graphite",
            Self::Diamond => "diamond",
            Self::Other => "other",
        }
    }
}
