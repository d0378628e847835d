//! What every estimate rests on: materials, wires, diameters, passes, spools, what comes on top of cutting and the model of the
//! rate, each value with its unit, range and standing; the shop's own over the built-in ones; and what finished cuts have
//! taught, as plain data.
//!
//! [`tables`] is the one table of fields. The built-in numbers lie in `assets/library` and are compiled in. They are a starting
//! estimate to be calibrated with the shop's own finished cuts, and no machine setting.

pub mod content;
mod faults;
pub mod field;
mod file_words;
mod flushing;
mod kind;
mod kinds;
pub mod knowledge;
mod machine;
pub mod on_hand;
mod own;
mod own_entries;
pub mod priors;
mod reading;
mod sound;
pub mod tables;
mod thickness_curve;
mod threading;
mod units;
mod writing;

pub use content::{Change, Content};
pub use faults::{CellFault, End, LibraryFileError, Reason};
pub use field::{Cells, Effect, Field};
pub use file_words::VERSION;
pub use flushing::Flushing;
pub use kind::{Caution, Kind};
pub use kinds::{LibraryCell, LibraryTable};
pub use knowledge::{Factor, Knowledge};
pub use own_entries::UserLibrary;
pub use tables::{Diameter, Machine, Material, Model, Overheads, PassRow, Spool, Wire};
pub use thickness_curve::{CurveError, CurvePoint, CurveReading, ThicknessCurve};
pub use threading::Threading;
pub use units::alike as units_alike;

use crate::units::Length;
use std::sync::LazyLock;

/// Everything that estimates rest on.
#[derive(Debug, Clone, PartialEq)]
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
    /// Numbers of the formulas for the feed.
    pub model: Model,
    /// Spools.
    pub spools: Vec<Spool>,
    /// Machines of the shop, the usual one first; none is built in.
    pub machines: Vec<Machine>,
    /// The shop's own thickness curve in place of the built-in one.
    pub thickness_curve: Option<ThicknessCurve>,
    /// What was learned from finished cuts, while it is switched on.
    pub learned: Option<Knowledge>,
    /// The same of the shop's other machines, for jobs that are cut on one of them.
    pub learned_elsewhere: Vec<Knowledge>,
}

/// The files of the built-in library.
const ASSETS: [&str; 7] = [
    include_str!("../assets/library/materials.toml"),
    include_str!("../assets/library/wires.toml"),
    include_str!("../assets/library/diameters.toml"),
    include_str!("../assets/library/passes.toml"),
    include_str!("../assets/library/overheads.toml"),
    include_str!("../assets/library/model.toml"),
    include_str!("../assets/library/spools.toml"),
];

impl Library {
    /// The library compiled into the program.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Library> = LazyLock::new(|| {
            // A test reads it on every run; a damaged one cannot be released.
            Library::of_files(&ASSETS).expect("the built-in library is checked by a test")
        });
        &BUILT_IN
    }

    /// A material by its name or one of its designations, whatever the case; `None` where two materials share it.
    ///
    /// A name comes before any designation.
    pub fn material_by_designation(&self, wanted: &str) -> Option<&Material> {
        let wanted = wanted.trim().to_lowercase();
        if let Some(m) = self.material(&wanted) {
            return Some(m);
        }
        let is = |other: &str| other.to_lowercase() == wanted;
        let named = self.materials.iter().filter(|m| is(&m.name));
        let called = self
            .materials
            .iter()
            .filter(|m| m.designations.iter().any(|d| is(d)));
        only(named).or_else(|| only(called))
    }
    /// A material by name.
    pub fn material(&self, name: &str) -> Option<&Material> {
        self.materials.iter().find(|m| m.name == name)
    }
    /// A wire by name.
    pub fn wire(&self, name: &str) -> Option<&Wire> {
        self.wires.iter().find(|w| w.name == name)
    }
    /// A machine by name.
    pub fn machine(&self, name: &str) -> Option<&Machine> {
        self.machines.iter().find(|m| m.name == name)
    }
    /// The listed diameter nearest to one asked for.
    pub fn diameter(&self, diameter: Length) -> Option<&Diameter> {
        let off = |d: &Diameter| (d.diameter_mm - diameter.mm()).abs();
        self.diameters
            .iter()
            .min_by(|a, b| off(a).total_cmp(&off(b)))
    }
}

/// What comes alone.
fn only<T>(mut all: impl Iterator<Item = T>) -> Option<T> {
    let first = all.next()?;
    all.next().is_none().then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn the_built_in_library_reads_and_is_sane() {
        let l = Library::of_files(&ASSETS).unwrap();
        assert!(l.materials.len() >= 15 && l.wires.len() >= 5 && l.passes.len() == 6);
        let names: BTreeSet<_> = l.wires.iter().map(|w| &w.name).collect();
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
    fn a_material_is_found_by_any_of_its_designations() {
        // Common equivalents of AISI, EN and JIS designations: common practice, from memory.
        let l = Library::built_in();
        let name = |wanted| l.material_by_designation(wanted).map(|m| m.name.as_str());
        for (wanted, found) in [
            ("D2", "cold-work tool steel"),
            ("1.2379", "cold-work tool steel"),
            ("skd11", "cold-work tool steel"),
            ("h13", "hot-work tool steel"),
            (" 304 ", "austenitic stainless steel"),
            ("316", "austenitic stainless steel (Mo)"),
            ("Cold-Work Tool Steel", "cold-work tool steel"),
            ("WC-6Co", "tungsten carbide"),
        ] {
            assert_eq!(name(wanted), Some(found), "{wanted}");
        }
        // Part of a designation is none.
        for wanted in ["", "1.23", "30", "steel", "D2 / 1.2379"] {
            assert_eq!(name(wanted), None, "{wanted}");
        }
        // What two materials share names neither; a name comes first.
        let mut two = l.clone();
        two.materials[1].designations.push("d2".to_owned());
        assert_eq!(two.material_by_designation("D2"), None);
        two.materials[1].name = "D2".to_owned();
        assert_eq!(two.material_by_designation("D2").unwrap().name, "D2");
    }

    #[test]
    fn no_designation_stands_at_two_materials() {
        let mut seen = BTreeSet::new();
        for m in &Library::built_in().materials {
            for d in m.designations.iter().chain([&m.name]) {
                assert!(seen.insert(d.to_lowercase()), "{d}");
            }
        }
    }
}
