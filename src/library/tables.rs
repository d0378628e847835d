//! The library: materials, wires, diameters, passes, overheads and spools, each value with its standing.
//!
//! The built-in one lies in `assets/library` and is compiled in. It is a starting estimate to be
//! calibrated with the shop's own finished cuts, and no machine setting.

use super::knowledge::Knowledge;
use super::thickness_curve::ThicknessCurve;
use crate::standing::{Standing, Value};
use crate::units::{Density, Length};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// What a material's dust or sludge can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Aluminium, magnesium, titanium: fire and hydrogen.
    ReactiveFines,
    /// Cobalt, beryllium: poisonous dust and sludge.
    ToxicSludge,
}

/// A work material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Material {
    /// Name as in the job, unique.
    pub name: String,
    /// Common designations, for finding it.
    pub designations: String,
    /// Rough speed relative to cold-work tool steel.
    pub relative_speed: Value,
    /// kg/m³.
    pub density: Value,
    /// °C; information only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub melting_point: Option<Value>,
    /// What to warn about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Caution>,
}

/// A kind of wire, apart from its diameter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Wire {
    /// Name as in the job, unique.
    pub name: String,
    /// Core metal.
    pub core: String,
    /// Coating, or "none".
    pub coating: String,
    /// Rough speed relative to hard plain brass of the same diameter.
    pub relative_speed: Value,
    /// kg/m³.
    pub density: Value,
    /// N/mm².
    pub tensile_strength: Value,
    /// Price a kilogram relative to plain brass.
    pub price_factor: Value,
    /// Roughness Ra left, relative to hard plain brass in the same pass.
    #[serde(default = "Wire::roughness_of_plain_brass")]
    pub roughness: Value,
    /// Lowest run-off in skims that usually keeps that finish, m/min at 0.25 mm.
    #[serde(default = "Wire::skim_run_off_of_plain_brass")]
    pub skim_run_off: Value,
    /// What it is good for.
    pub note: String,
}

/// What a wire diameter changes against 0.25 mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Diameter {
    /// mm.
    pub diameter_mm: f64,
    /// Multiplies spark gap and stock.
    pub gap_and_stock: Value,
    /// Multiplies run-off.
    pub run_off: Value,
    /// Thickness beyond which it is unusual, mm of steel.
    pub usual_max_thickness: Value,
    /// N.
    pub usual_tension: Value,
}

/// One pass: the rough or a skim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PassRow {
    /// "rough", "skim 1", …
    pub name: String,
    /// Spark gap between wire and finished wall, mm, at 0.25 mm wire.
    pub spark_gap: Value,
    /// Stock this pass removes per side, mm, at 0.25 mm wire.
    pub stock: Value,
    /// Feed against the rough feed in the same conditions.
    pub feed_ratio: Value,
    /// Depth c of the corner slowdown, 0 … 1.
    pub corner_slowdown: Value,
    /// m/min at 0.25 mm wire.
    pub run_off: Value,
    /// Usual roughness Ra afterwards, low and high, µm.
    pub roughness_um: [f64; 2],
    /// Usual tolerance afterwards, low and high, mm.
    pub tolerance_mm: [f64; 2],
}

/// What comes on top of cutting, and the shop's rates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Overheads {
    /// min.
    pub automatic_threading: Value,
    /// % of automatic threadings that succeed without help.
    pub threading_success: Value,
    /// min.
    pub rethreading_after_break: Value,
    /// min.
    pub manual_threading: Value,
    /// Breaks an hour of roughing.
    pub breaks_in_rough: Value,
    /// mm/min in steel.
    pub hole_drilling: Value,
    /// mm/min in carbide.
    pub hole_drilling_carbide: Value,
    /// min a hole.
    pub hole_setup: Value,
    /// mm.
    pub lead_in: Value,
    /// Share of the rough feed.
    pub lead_in_feed: Value,
    /// mm.
    pub overlap: Value,
    /// mm.
    pub tab: Value,
    /// min, somebody stands there.
    pub slug_removal: Value,
    /// m.
    pub threading_waste: Value,
    /// mm/min.
    pub rapid: Value,
    /// h a lot.
    pub setup: Value,
    /// h a lot.
    pub programming: Value,
    /// min a part.
    pub inspection: Value,
    /// Currency an hour.
    pub machine_rate: Value,
    /// Currency an hour.
    pub labour_rate: Value,
    /// Currency a kilogram of plain brass.
    pub wire_price: Value,
    /// Currency a kilogram.
    pub scrap_value: Value,
    /// Currency an hour of machine time.
    pub consumables: Value,
    /// Percent of the week in which the machine cuts.
    pub uptime: Value,
}

/// A spool by its common name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Spool {
    /// Common name.
    pub name: String,
    /// kg of wire.
    pub net_mass: Value,
}

/// Everything that estimates rest on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Library {
    /// Work materials.
    pub materials: Vec<Material>,
    /// Kinds of wire.
    pub wires: Vec<Wire>,
    /// Diameters, ascending.
    pub diameters: Vec<Diameter>,
    /// The rough and the skims in order.
    pub passes: Vec<PassRow>,
    /// On top of cutting.
    pub overheads: Overheads,
    /// Spools.
    pub spools: Vec<Spool>,
    /// The shop's own thickness curve in place of the built-in one.
    #[serde(skip)]
    pub thickness_curve: Option<ThicknessCurve>,
    /// What was learned from finished cuts, while it is switched on.
    #[serde(skip)]
    pub learned: Option<Knowledge>,
}

/// Why a library could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{part}: {message}")]
pub struct LibraryError {
    /// Which part of the library.
    pub part: &'static str,
    /// What is wrong, with line and column.
    pub message: String,
}

fn part<T: for<'de> Deserialize<'de>>(part: &'static str, text: &str) -> Result<T, LibraryError> {
    toml::from_str(text).map_err(|e| LibraryError {
        part,
        message: e.to_string(),
    })
}

impl Library {
    /// The library compiled into the program.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Library> = LazyLock::new(|| {
            // A test reads it on every run; a damaged one cannot be released.
            Library::from_parts(
                include_str!("../../assets/library/materials.toml"),
                include_str!("../../assets/library/wires.toml"),
                include_str!("../../assets/library/diameters.toml"),
                include_str!("../../assets/library/passes.toml"),
                include_str!("../../assets/library/overheads.toml"),
                include_str!("../../assets/library/spools.toml"),
            )
            .expect("the built-in library is checked by a test")
        });
        &BUILT_IN
    }

    /// From the texts of its six parts, in TOML.
    ///
    /// # Errors
    /// The first part that does not read, with line and reason.
    pub fn from_parts(
        materials: &str,
        wires: &str,
        diameters: &str,
        passes: &str,
        overheads: &str,
        spools: &str,
    ) -> Result<Self, LibraryError> {
        #[derive(Deserialize)]
        struct Materials {
            material: Vec<Material>,
        }
        #[derive(Deserialize)]
        struct Wires {
            wire: Vec<Wire>,
        }
        #[derive(Deserialize)]
        struct Diameters {
            diameter: Vec<Diameter>,
        }
        #[derive(Deserialize)]
        struct Passes {
            pass: Vec<PassRow>,
        }
        #[derive(Deserialize)]
        struct Spools {
            spool: Vec<Spool>,
        }
        Ok(Self {
            materials: part::<Materials>("materials", materials)?.material,
            wires: part::<Wires>("wires", wires)?.wire,
            diameters: part::<Diameters>("diameters", diameters)?.diameter,
            passes: part::<Passes>("passes", passes)?.pass,
            overheads: part("overheads", overheads)?,
            spools: part::<Spools>("spools", spools)?.spool,
            thickness_curve: None,
            learned: None,
        })
    }

    /// A material by name.
    pub fn material(&self, name: &str) -> Option<&Material> {
        self.materials.iter().find(|m| m.name == name)
    }
    /// A wire by name.
    pub fn wire(&self, name: &str) -> Option<&Wire> {
        self.wires.iter().find(|w| w.name == name)
    }
    /// The listed diameter nearest to one asked for.
    pub fn diameter(&self, diameter: Length) -> Option<&Diameter> {
        let off = |d: &Diameter| (d.diameter_mm - diameter.mm()).abs();
        self.diameters
            .iter()
            .min_by(|a, b| off(a).total_cmp(&off(b)))
    }
}

impl Material {
    /// Mass per volume.
    pub fn density(&self) -> Density {
        Density::from_kg_per_m3(self.density.value)
    }
    /// Whether start holes are drilled at the slower rate of carbide.
    pub fn is_carbide(&self) -> bool {
        self.name.contains("carbide")
    }
}

impl Wire {
    /// For wires of the shop's own that say nothing about it: as the reference, not known well.
    pub(super) fn roughness_of_plain_brass() -> Value {
        Value {
            value: 1.0,
            low: Some(0.85),
            high: Some(1.15),
            unit: String::new(),
            standing: Standing::Judgement,
            source: "not said; taken as plain brass".to_owned(),
        }
    }
    /// For wires of the shop's own that say nothing about it.
    pub(super) fn skim_run_off_of_plain_brass() -> Value {
        Value {
            value: 7.0,
            low: Some(5.0),
            high: Some(9.0),
            unit: "m/min".to_owned(),
            standing: Standing::Judgement,
            source: "not said; taken as plain brass".to_owned(),
        }
    }
    /// Mass per volume.
    pub fn density(&self) -> Density {
        Density::from_kg_per_m3(self.density.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_library_reads_and_is_sane() {
        let l = Library::built_in();
        assert!(l.materials.len() >= 15 && l.wires.len() >= 5 && l.passes.len() == 6);
        let names: std::collections::BTreeSet<_> = l.wires.iter().map(|w| &w.name).collect();
        assert_eq!(names.len(), l.wires.len(), "wire names are unique");
        for v in l
            .materials
            .iter()
            .map(|m| &m.relative_speed)
            .chain(l.wires.iter().map(|w| &w.relative_speed))
        {
            assert!(v.low <= Some(v.value) && Some(v.value) <= v.high, "{v:?}");
        }
        assert!(
            l.diameters
                .is_sorted_by(|a, b| a.diameter_mm < b.diameter_mm)
        );
    }

    #[test]
    fn a_damaged_part_is_named_with_its_line() {
        let e = Library::from_parts("[[material]]\nname = 3", "", "", "", "", "").unwrap_err();
        assert_eq!(e.part, "materials");
        assert!(e.message.contains("line 2"), "{e}");
    }
}
