//! The shop's own library over the built-in one, and its file.
//!
//! An entry of the same name takes the place of the built-in one; another name is added. The built-in library
//! itself is never changed, so taking an entry out brings the built-in one back.
//!
//! The file is TOML with `kerfcast_library = 1` at its head. A cell is a plain number, or a table with value, low,
//! high, standing and source. An entry may leave cells out: they keep the value of the built-in entry of that
//! name, or of the one named by `copy_of`.

use super::library::{Diameter, Library, Material, PassRow, Spool, Wire};
use super::library_cells::{Cell, Place, Reader, put};
use super::thickness_curve::{CurveError, CurvePoint, ThicknessCurve};
use crate::safe_file;
use crate::standing::Value;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::Path;
use toml::Spanned;

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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileV1 {
    #[serde(rename = "kerfcast_library")]
    _version: i64,
    #[serde(default)]
    material: Vec<MaterialV1>,
    #[serde(default)]
    wire: Vec<WireV1>,
    #[serde(default)]
    diameter: Vec<DiameterV1>,
    #[serde(default)]
    pass: Vec<PassV1>,
    #[serde(default)]
    overheads: BTreeMap<Spanned<String>, Cell>,
    #[serde(default)]
    spool: Vec<SpoolV1>,
    #[serde(default)]
    thickness_curve: Vec<Spanned<CurvePoint>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialV1 {
    name: Spanned<String>,
    copy_of: Option<Spanned<String>>,
    designations: Option<String>,
    relative_speed: Option<Spanned<Cell>>,
    density: Option<Spanned<Cell>>,
    melting_point: Option<Spanned<Cell>>,
    caution: Option<super::library::Caution>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WireV1 {
    name: Spanned<String>,
    copy_of: Option<Spanned<String>>,
    core: Option<String>,
    coating: Option<String>,
    relative_speed: Option<Spanned<Cell>>,
    density: Option<Spanned<Cell>>,
    tensile_strength: Option<Spanned<Cell>>,
    price_factor: Option<Spanned<Cell>>,
    note: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DiameterV1 {
    diameter_mm: Spanned<f64>,
    gap_and_stock: Option<Spanned<Cell>>,
    run_off: Option<Spanned<Cell>>,
    usual_max_thickness: Option<Spanned<Cell>>,
    usual_tension: Option<Spanned<Cell>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PassV1 {
    name: Spanned<String>,
    spark_gap: Option<Spanned<Cell>>,
    stock: Option<Spanned<Cell>>,
    feed_ratio: Option<Spanned<Cell>>,
    corner_slowdown: Option<Spanned<Cell>>,
    run_off: Option<Spanned<Cell>>,
    roughness_um: Option<[f64; 2]>,
    tolerance_mm: Option<[f64; 2]>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SpoolV1 {
    name: Spanned<String>,
    net_mass: Option<Spanned<Cell>>,
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
        let library = resolved(file, text)?;
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
        let bytes = std::fs::read(path)?;
        let text = std::str::from_utf8(&bytes).map_err(|_| LibraryFileError::NoText)?;
        Self::parse(text)
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

/// The whole entries that a file stands for.
fn resolved(file: FileV1, text: &str) -> Result<UserLibrary, LibraryFileError> {
    let built_in = Library::built_in();
    let mut out = UserLibrary::default();
    for m in file.material {
        let name = m.name.get_ref().clone();
        let r = Reader::new("material", &name, text, &m.name);
        let wanted = m.copy_of.as_ref().map_or(&name, Spanned::get_ref);
        let old = built_in.material(wanted);
        r.copy_is_there(m.copy_of.as_ref(), old.is_some())?;
        out.materials.push(Material {
            designations: m
                .designations
                .or_else(|| old.map(|o| o.designations.clone()))
                .unwrap_or_default(),
            relative_speed: r.value(
                "relative_speed",
                m.relative_speed.as_ref(),
                old.map(|o| &o.relative_speed),
            )?,
            density: r.value("density", m.density.as_ref(), old.map(|o| &o.density))?,
            melting_point: r.optional(
                "melting_point",
                m.melting_point.as_ref(),
                old.and_then(|o| o.melting_point.as_ref()),
            )?,
            caution: m.caution.or_else(|| old.and_then(|o| o.caution)),
            name: name.clone(),
        });
    }
    for w in file.wire {
        let name = w.name.get_ref().clone();
        let r = Reader::new("wire", &name, text, &w.name);
        let wanted = w.copy_of.as_ref().map_or(&name, Spanned::get_ref);
        let old = built_in.wire(wanted);
        r.copy_is_there(w.copy_of.as_ref(), old.is_some())?;
        let kept = |own: Option<String>, of: fn(&Wire) -> &String| {
            own.or_else(|| old.map(|o| of(o).clone()))
                .unwrap_or_default()
        };
        out.wires.push(Wire {
            core: kept(w.core, |o| &o.core),
            coating: kept(w.coating, |o| &o.coating),
            relative_speed: r.value(
                "relative_speed",
                w.relative_speed.as_ref(),
                old.map(|o| &o.relative_speed),
            )?,
            density: r.value("density", w.density.as_ref(), old.map(|o| &o.density))?,
            tensile_strength: r.value(
                "tensile_strength",
                w.tensile_strength.as_ref(),
                old.map(|o| &o.tensile_strength),
            )?,
            price_factor: r.value(
                "price_factor",
                w.price_factor.as_ref(),
                old.map(|o| &o.price_factor),
            )?,
            note: kept(w.note, |o| &o.note),
            name: name.clone(),
        });
    }
    for d in file.diameter {
        let diameter_mm = *d.diameter_mm.get_ref();
        let name = diameter_mm.to_string();
        let r = Reader::new("diameter", &name, text, &d.diameter_mm);
        let old = built_in
            .diameters
            .iter()
            .find(|o| (o.diameter_mm - diameter_mm).abs() < 1e-9);
        out.diameters.push(Diameter {
            diameter_mm,
            gap_and_stock: r.value(
                "gap_and_stock",
                d.gap_and_stock.as_ref(),
                old.map(|o| &o.gap_and_stock),
            )?,
            run_off: r.value("run_off", d.run_off.as_ref(), old.map(|o| &o.run_off))?,
            usual_max_thickness: r.value(
                "usual_max_thickness",
                d.usual_max_thickness.as_ref(),
                old.map(|o| &o.usual_max_thickness),
            )?,
            usual_tension: r.value(
                "usual_tension",
                d.usual_tension.as_ref(),
                old.map(|o| &o.usual_tension),
            )?,
        });
    }
    for p in file.pass {
        let name = p.name.get_ref().clone();
        let r = Reader::new("pass", &name, text, &p.name);
        let old = built_in.passes.iter().find(|o| o.name == name);
        out.passes.push(PassRow {
            spark_gap: r.value("spark_gap", p.spark_gap.as_ref(), old.map(|o| &o.spark_gap))?,
            stock: r.value("stock", p.stock.as_ref(), old.map(|o| &o.stock))?,
            feed_ratio: r.value(
                "feed_ratio",
                p.feed_ratio.as_ref(),
                old.map(|o| &o.feed_ratio),
            )?,
            corner_slowdown: r.value(
                "corner_slowdown",
                p.corner_slowdown.as_ref(),
                old.map(|o| &o.corner_slowdown),
            )?,
            run_off: r.value("run_off", p.run_off.as_ref(), old.map(|o| &o.run_off))?,
            roughness_um: p
                .roughness_um
                .or_else(|| old.map(|o| o.roughness_um))
                .unwrap_or_default(),
            tolerance_mm: p
                .tolerance_mm
                .or_else(|| old.map(|o| o.tolerance_mm))
                .unwrap_or_default(),
            name: name.clone(),
        });
    }
    for s in file.spool {
        let name = s.name.get_ref().clone();
        let r = Reader::new("spool", &name, text, &s.name);
        let old = built_in.spools.iter().find(|o| o.name == name);
        out.spools.push(Spool {
            net_mass: r.value("net_mass", s.net_mass.as_ref(), old.map(|o| &o.net_mass))?,
            name: name.clone(),
        });
    }
    for (key, cell) in file.overheads {
        let r = Reader::new("overheads", key.get_ref(), text, &key);
        let value = r.overhead(&key, &cell, built_in.overheads.get(key.get_ref()))?;
        out.overheads.insert(key.into_inner(), value);
    }
    out.thickness_curve = curve(&file.thickness_curve, text)?;
    Ok(out)
}

fn curve(
    points: &[Spanned<CurvePoint>],
    text: &str,
) -> Result<Option<ThicknessCurve>, LibraryFileError> {
    if points.is_empty() {
        return Ok(None);
    }
    let plain = points.iter().map(|p| *p.get_ref()).collect();
    ThicknessCurve::new(plain).map(Some).map_err(|e| {
        let point = match e {
            CurveError::TooFew => 1,
            CurveError::OutOfRange { point, .. } | CurveError::Order(point) => point,
        };
        let start = points.get(point - 1).map_or(0, |p| p.span().start);
        LibraryFileError::Cell {
            line: line_at(text, start),
            fault: CellFault {
                table: "thickness_curve",
                entry: point.to_string(),
                cell: "point",
                reason: e.to_string(),
            },
        }
    })
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
