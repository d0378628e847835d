//! What was said for this very drawing, and what is only assumed for it.

use serde::{Deserialize, Serialize};

/// Which figures somebody gave for this drawing: typed, taken from its notes, or confirmed as they stood. The others
/// are assumed, and are shown so. They change no figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Confirmed {
    /// The thickness of the work.
    pub thickness: bool,
    /// Its material.
    pub material: bool,
}

impl Confirmed {
    /// Nothing is assumed.
    pub const ALL: Self = Self {
        thickness: true,
        material: true,
    };
    /// Names of what is assumed.
    pub fn assumed(self) -> Vec<&'static str> {
        let mut names = Vec::new();
        if !self.thickness {
            names.push("thickness");
        }
        if !self.material {
            names.push("material");
        }
        names
    }
    /// "Thickness and material are assumed, not confirmed for this drawing."; `None` where nothing is assumed.
    pub fn words(self) -> Option<&'static str> {
        Some(match (self.thickness, self.material) {
            (true, true) => return None,
            (false, true) => say!("Thickness is assumed, not confirmed for this drawing."),
            (true, false) => say!("Material is assumed, not confirmed for this drawing."),
            (false, false) => {
                say!("Thickness and material are assumed, not confirmed for this drawing.")
            }
        })
    }
}
