//! The shop's own library over the built-in one, and its file.
//!
//! An entry of the same name takes the place of the built-in one; another name is added. The built-in library
//! itself is never changed, so taking an entry out brings the built-in one back.
//!
//! The file is TOML with `kerfcast_library = 1` at its head. A cell is a plain number, or a table with value, low,
//! high, standing and source. An entry may leave cells out: they keep the value of the built-in entry of that
//! name, or of the one named by `copy_of`.

use super::cells::{Place, put};
use super::file_v1::FileV1;
use super::tables::{Diameter, Library, Material, PassRow, Spool, Wire};
use super::thickness_curve::{CurvePoint, ThicknessCurve};
use crate::safe_file;
use crate::standing::Value;
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Version of the file that is written.
pub const VERSION: i64 = 1;

/// The shop's own entries, each whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UserLibrary {
    /// Work materials.
    pub materials: Vec<Material>,
    /// Kinds of wire.
    pub wires: Vec<Wire>,
    /// Wire diameters.
    pub diameters: Vec<Diameter>,
    /// Passes, by the name of a built-in one.
    pub passes: Vec<PassRow>,
    /// Overheads by their key.
    pub overheads: BTreeMap<String, Value>,
    /// Spools.
    pub spools: Vec<Spool>,
    /// Thickness curve.
    pub thickness_curve: Option<ThicknessCurve>,
}

/// Why a library file is refused. Nothing of it is then in force.
#[derive(Debug, thiserror::Error)]
pub enum LibraryFileError {
    /// Cannot be read or written.
    #[error("The library file cannot be read or written: {0}.")]
    Io(#[from] std::io::Error),
    /// No UTF-8 text.
    #[error("The library file is no text. Choose a file that this program has saved.")]
    NoText,
    /// No TOML, or cells that are not known; line, column and reason.
    #[error("The library file is damaged. {0}")]
    Damaged(String),
    /// No head.
    #[error(
        "The file does not begin with kerfcast_library = {VERSION}, so it is no library. Choose another file."
    )]
    NoLibrary,
    /// Saved by a later program.
    #[error(
        "The library file has version {0}; this program knows versions up to {VERSION}. Update the program."
    )]
    Newer(i64),
    /// A cell out of range.
    #[error("Line {line}: {fault}")]
    Cell {
        /// Line, counted from 1.
        line: usize,
        /// Which cell, and why.
        fault: CellFault,
    },
}

/// A cell that cannot be as it is.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{table} “{entry}”, {cell}: {reason}")]
pub struct CellFault {
    /// "material", "wire", …
    pub table: &'static str,
    /// Name of the entry.
    pub entry: String,
    /// Which of its cells.
    pub cell: &'static str,
    /// What is wrong and what would be right.
    pub reason: String,
}

#[derive(Serialize)]
struct WrittenV1<'a> {
    kerfcast_library: i64,
    material: &'a [Material],
    wire: &'a [Wire],
    diameter: &'a [Diameter],
    pass: &'a [PassRow],
    spool: &'a [Spool],
    thickness_curve: &'a [CurvePoint],
    overheads: &'a BTreeMap<String, Value>,
}

impl UserLibrary {
    /// From the text of a file.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, LibraryFileError> {
        let damaged = |e: toml::de::Error| LibraryFileError::Damaged(one_line(&e, text));
        let head: toml::Table = toml::from_str(text).map_err(damaged)?;
        match head
            .get("kerfcast_library")
            .and_then(toml::Value::as_integer)
        {
            Some(v) if v > VERSION => return Err(LibraryFileError::Newer(v)),
            Some(v) if v >= 1 => {}
            _ => return Err(LibraryFileError::NoLibrary),
        }
        let file: FileV1 = toml::from_str(text).map_err(damaged)?;
        let library = file.resolved(text)?;
        // Cells were checked one by one as they were read; what is left concerns whole entries.
        match library.faults().into_iter().next() {
            Some(fault) => Err(LibraryFileError::Cell {
                line: line_of(text, &fault.entry),
                fault,
            }),
            None => Ok(library),
        }
    }

    /// As the text of a file, which [`UserLibrary::parse`] reads back unchanged.
    ///
    /// # Errors
    /// A number that TOML cannot hold.
    pub fn to_toml(&self) -> Result<String, LibraryFileError> {
        let file = WrittenV1 {
            kerfcast_library: VERSION,
            material: &self.materials,
            wire: &self.wires,
            diameter: &self.diameters,
            pass: &self.passes,
            spool: &self.spools,
            thickness_curve: self
                .thickness_curve
                .as_ref()
                .map_or(&[], ThicknessCurve::points),
            overheads: &self.overheads,
        };
        toml::to_string(&file).map_err(|e| LibraryFileError::Damaged(e.to_string()))
    }

    /// Reads a file.
    ///
    /// # Errors
    /// It cannot be read, or is refused; keep what was in force before.
    pub fn load(path: &Path) -> Result<Self, LibraryFileError> {
        Self::from_bytes(&std::fs::read(path)?)
    }

    /// From the bytes of a file.
    ///
    /// # Errors
    /// The file is refused; keep what was in force before.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, LibraryFileError> {
        let text = std::str::from_utf8(bytes).map_err(|_| LibraryFileError::NoText)?;
        // Some editors put a mark of the byte order in front.
        Self::parse(text.strip_prefix('\u{feff}').unwrap_or(text))
    }

    /// Saves a file; a crash leaves the old one.
    ///
    /// # Errors
    /// It cannot be written, or a cell is out of range: no file is saved that would be refused.
    pub fn save(&self, path: &Path) -> Result<(), LibraryFileError> {
        let text = self.to_toml()?;
        Self::parse(&text)?;
        Ok(safe_file::save(path, text.as_bytes())?)
    }

    /// The built-in library with these entries over it.
    pub fn over(&self, built_in: &Library) -> Library {
        let mut l = built_in.clone();
        self.materials
            .iter()
            .for_each(|m| put(&mut l.materials, m.clone()));
        self.wires.iter().for_each(|w| put(&mut l.wires, w.clone()));
        self.diameters
            .iter()
            .for_each(|d| put(&mut l.diameters, d.clone()));
        l.diameters
            .sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
        self.passes
            .iter()
            .for_each(|p| put(&mut l.passes, p.clone()));
        self.spools
            .iter()
            .for_each(|s| put(&mut l.spools, s.clone()));
        for (key, value) in &self.overheads {
            if let Some(place) = l.overheads.get_mut(key) {
                place.clone_from(value);
            }
        }
        if self.thickness_curve.is_some() {
            l.thickness_curve.clone_from(&self.thickness_curve);
        }
        l
    }

    /// Every cell that cannot be as it is: for an editor, which marks them.
    pub fn faults(&self) -> Vec<CellFault> {
        let built_in = Library::built_in();
        let mut out = Vec::new();
        let mut check = |table, entry: &str, cells: &[(&'static str, &Value)]| {
            for (cell, value) in cells {
                let place = Place { table, entry, cell };
                out.extend(place.fault(value));
            }
        };
        for m in &self.materials {
            check(
                "material",
                &m.name,
                &[
                    ("relative_speed", &m.relative_speed),
                    ("density", &m.density),
                ],
            );
            if let Some(v) = &m.melting_point {
                check("material", &m.name, &[("melting_point", v)]);
            }
        }
        for w in &self.wires {
            let cells = [
                ("relative_speed", &w.relative_speed),
                ("density", &w.density),
                ("tensile_strength", &w.tensile_strength),
                ("price_factor", &w.price_factor),
                ("roughness", &w.roughness),
                ("skim_run_off", &w.skim_run_off),
            ];
            check("wire", &w.name, &cells);
        }
        for d in &self.diameters {
            let cells = [
                ("gap_and_stock", &d.gap_and_stock),
                ("run_off", &d.run_off),
                ("usual_max_thickness", &d.usual_max_thickness),
                ("usual_tension", &d.usual_tension),
            ];
            check("diameter", &d.diameter_mm.to_string(), &cells);
        }
        for p in &self.passes {
            let cells = [
                ("spark_gap", &p.spark_gap),
                ("stock", &p.stock),
                ("feed_ratio", &p.feed_ratio),
                ("corner_slowdown", &p.corner_slowdown),
                ("run_off", &p.run_off),
            ];
            check("pass", &p.name, &cells);
        }
        for s in &self.spools {
            check("spool", &s.name, &[("net_mass", &s.net_mass)]);
        }
        for (key, value) in &self.overheads {
            check("overheads", key, &[("value", value)]);
        }
        self.entry_faults(built_in, &mut out);
        out
    }

    /// Faults of whole entries: names, diameters, pairs.
    fn entry_faults(&self, built_in: &Library, out: &mut Vec<CellFault>) {
        let mut add = |table, entry: &str, cell, reason: &str| {
            out.push(CellFault {
                table,
                entry: entry.to_owned(),
                cell,
                reason: reason.to_owned(),
            });
        };
        let lists: [(&'static str, Vec<&str>); 4] = [
            (
                "material",
                self.materials.iter().map(|m| m.name.as_str()).collect(),
            ),
            ("wire", self.wires.iter().map(|w| w.name.as_str()).collect()),
            (
                "pass",
                self.passes.iter().map(|p| p.name.as_str()).collect(),
            ),
            (
                "spool",
                self.spools.iter().map(|s| s.name.as_str()).collect(),
            ),
        ];
        for (table, names) in lists {
            for (k, name) in names.iter().enumerate() {
                if name.trim().is_empty() || name.trim() != *name {
                    add(
                        table,
                        name,
                        "name",
                        "The name is empty or begins or ends with a space.",
                    );
                } else if name.contains('@') {
                    add(
                        table,
                        name,
                        "name",
                        "@ stands between a wire and its diameter. Leave it out.",
                    );
                }
                if names[..k].contains(name) {
                    add(
                        table,
                        name,
                        "name",
                        "The name is there twice. Keep one entry.",
                    );
                }
            }
        }
        for d in &self.diameters {
            if !(0.03..=0.4).contains(&d.diameter_mm) {
                let entry = d.diameter_mm.to_string();
                add(
                    "diameter",
                    &entry,
                    "diameter_mm",
                    "It must lie between 0.03 and 0.4 mm.",
                );
            }
        }
        for p in &self.passes {
            if !built_in.passes.iter().any(|b| b.name == p.name) {
                add(
                    "pass",
                    &p.name,
                    "name",
                    "Only the built-in passes can be changed: rough, skim 1 to skim 5.",
                );
            }
            let sound =
                |pair: [f64; 2], most: f64| pair[0] > 0.0 && pair[0] <= pair[1] && pair[1] <= most;
            if !sound(p.roughness_um, 50.0) {
                add(
                    "pass",
                    &p.name,
                    "roughness_um",
                    "Write low and high, above 0 and at most 50 µm, low first.",
                );
            }
            if !sound(p.tolerance_mm, 1.0) {
                add(
                    "pass",
                    &p.name,
                    "tolerance_mm",
                    "Write low and high, above 0 and at most 1 mm, low first.",
                );
            }
        }
        for key in self.overheads.keys() {
            if built_in.overheads.get(key).is_none() {
                add("overheads", key, "name", "There is no such overhead.");
            }
        }
    }
}

/// Line of a byte of the text, counted from 1.
pub(super) fn line_at(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|&b| b == b'\n').count()
}

/// First line that has a word in it; 1 where none has.
fn line_of(text: &str, word: &str) -> usize {
    text.find(word).map_or(1, |at| line_at(text, at))
}

fn one_line(e: &toml::de::Error, text: &str) -> String {
    let line = e.span().map_or(1, |s| line_at(text, s.start));
    format!("Line {line}: {}", e.message().replace('\n', ", "))
}
