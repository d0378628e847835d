//! Version 1 of the library file as it is read: cells may be missing, and every cell knows its line.

use super::cells::{Cell, Reader};
use super::file::{CellFault, LibraryFileError, UserLibrary, line_at};
use super::tables::{Caution, Diameter, Library, Material, PassRow, Spool, Wire};
use super::thickness_curve::{CurveError, CurvePoint, ThicknessCurve};
use crate::standing::Value;
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

type Read<T> = Result<T, LibraryFileError>;

/// The whole file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileV1 {
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
    caution: Option<Caution>,
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
    roughness: Option<Spanned<Cell>>,
    skim_run_off: Option<Spanned<Cell>>,
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

impl FileV1 {
    /// The whole entries that it stands for.
    pub fn resolved(self, text: &str) -> Read<UserLibrary> {
        let b = Library::built_in();
        let mut overheads = BTreeMap::new();
        for (key, cell) in self.overheads {
            let r = Reader::new("overheads", key.get_ref(), text, &key);
            let value = r.overhead(&key, &cell, b.overheads.get(key.get_ref()))?;
            overheads.insert(key.into_inner(), value);
        }
        Ok(UserLibrary {
            materials: self
                .material
                .into_iter()
                .map(|m| m.resolved(b, text))
                .collect::<Read<_>>()?,
            wires: self
                .wire
                .into_iter()
                .map(|w| w.resolved(b, text))
                .collect::<Read<_>>()?,
            diameters: self
                .diameter
                .iter()
                .map(|d| d.resolved(b, text))
                .collect::<Read<_>>()?,
            passes: self
                .pass
                .iter()
                .map(|p| p.resolved(b, text))
                .collect::<Read<_>>()?,
            overheads,
            spools: self
                .spool
                .iter()
                .map(|s| s.resolved(b, text))
                .collect::<Read<_>>()?,
            thickness_curve: curve(&self.thickness_curve, text)?,
        })
    }
}

impl MaterialV1 {
    fn resolved(self, built_in: &Library, text: &str) -> Read<Material> {
        let name = self.name.get_ref();
        let r = Reader::new("material", name, text, &self.name);
        let old = built_in.material(self.copy_of.as_ref().map_or(name, |c| c.get_ref()));
        r.copy_is_there(self.copy_of.as_ref(), old.is_some())?;
        let value = |cell, own: &Option<Spanned<Cell>>, of: fn(&Material) -> &Value| {
            r.value(cell, own.as_ref(), old.map(of))
        };
        let melting = old.and_then(|o| o.melting_point.as_ref());
        Ok(Material {
            designations: self
                .designations
                .or_else(|| old.map(|o| o.designations.clone()))
                .unwrap_or_default(),
            relative_speed: value("relative_speed", &self.relative_speed, |o| {
                &o.relative_speed
            })?,
            density: value("density", &self.density, |o| &o.density)?,
            melting_point: r.optional("melting_point", self.melting_point.as_ref(), melting)?,
            caution: self.caution.or_else(|| old.and_then(|o| o.caution)),
            name: name.clone(),
        })
    }
}

impl WireV1 {
    fn resolved(self, built_in: &Library, text: &str) -> Read<Wire> {
        let name = self.name.get_ref();
        let r = Reader::new("wire", name, text, &self.name);
        let old = built_in.wire(self.copy_of.as_ref().map_or(name, |c| c.get_ref()));
        r.copy_is_there(self.copy_of.as_ref(), old.is_some())?;
        let kept = |own: Option<String>, of: fn(&Wire) -> &String| {
            own.or_else(|| old.map(|o| of(o).clone()))
                .unwrap_or_default()
        };
        let value = |cell, own: &Option<Spanned<Cell>>, of: fn(&Wire) -> &Value| {
            r.value(cell, own.as_ref(), old.map(of))
        };
        // Files written before these two were there say nothing about them.
        let later =
            |cell, own: &Option<Spanned<Cell>>, of: fn(&Wire) -> &Value, else_: fn() -> Value| {
                let found = r.optional(cell, own.as_ref(), old.map(of))?;
                Read::Ok(found.unwrap_or_else(else_))
            };
        Ok(Wire {
            core: kept(self.core, |o| &o.core),
            coating: kept(self.coating, |o| &o.coating),
            relative_speed: value("relative_speed", &self.relative_speed, |o| {
                &o.relative_speed
            })?,
            density: value("density", &self.density, |o| &o.density)?,
            tensile_strength: value("tensile_strength", &self.tensile_strength, |o| {
                &o.tensile_strength
            })?,
            price_factor: value("price_factor", &self.price_factor, |o| &o.price_factor)?,
            roughness: later(
                "roughness",
                &self.roughness,
                |o| &o.roughness,
                Wire::roughness_of_plain_brass,
            )?,
            skim_run_off: later(
                "skim_run_off",
                &self.skim_run_off,
                |o| &o.skim_run_off,
                Wire::skim_run_off_of_plain_brass,
            )?,
            note: kept(self.note, |o| &o.note),
            name: name.clone(),
        })
    }
}

impl DiameterV1 {
    fn resolved(&self, built_in: &Library, text: &str) -> Read<Diameter> {
        let diameter_mm = *self.diameter_mm.get_ref();
        let name = diameter_mm.to_string();
        let r = Reader::new("diameter", &name, text, &self.diameter_mm);
        let same = |o: &&Diameter| (o.diameter_mm - diameter_mm).abs() < 1e-9;
        let old = built_in.diameters.iter().find(same);
        let value = |cell, own: &Option<Spanned<Cell>>, of: fn(&Diameter) -> &Value| {
            r.value(cell, own.as_ref(), old.map(of))
        };
        Ok(Diameter {
            diameter_mm,
            gap_and_stock: value("gap_and_stock", &self.gap_and_stock, |o| &o.gap_and_stock)?,
            run_off: value("run_off", &self.run_off, |o| &o.run_off)?,
            usual_max_thickness: value("usual_max_thickness", &self.usual_max_thickness, |o| {
                &o.usual_max_thickness
            })?,
            usual_tension: value("usual_tension", &self.usual_tension, |o| &o.usual_tension)?,
        })
    }
}

impl PassV1 {
    fn resolved(&self, built_in: &Library, text: &str) -> Read<PassRow> {
        let name = self.name.get_ref();
        let r = Reader::new("pass", name, text, &self.name);
        let old = built_in.passes.iter().find(|o| o.name == *name);
        let value = |cell, own: &Option<Spanned<Cell>>, of: fn(&PassRow) -> &Value| {
            r.value(cell, own.as_ref(), old.map(of))
        };
        let roughness = self.roughness_um.or_else(|| old.map(|o| o.roughness_um));
        let tolerance = self.tolerance_mm.or_else(|| old.map(|o| o.tolerance_mm));
        Ok(PassRow {
            spark_gap: value("spark_gap", &self.spark_gap, |o| &o.spark_gap)?,
            stock: value("stock", &self.stock, |o| &o.stock)?,
            feed_ratio: value("feed_ratio", &self.feed_ratio, |o| &o.feed_ratio)?,
            corner_slowdown: value("corner_slowdown", &self.corner_slowdown, |o| {
                &o.corner_slowdown
            })?,
            run_off: value("run_off", &self.run_off, |o| &o.run_off)?,
            roughness_um: roughness.unwrap_or_default(),
            tolerance_mm: tolerance.unwrap_or_default(),
            name: name.clone(),
        })
    }
}

impl SpoolV1 {
    fn resolved(&self, built_in: &Library, text: &str) -> Read<Spool> {
        let name = self.name.get_ref();
        let r = Reader::new("spool", name, text, &self.name);
        let old = built_in.spools.iter().find(|o| o.name == *name);
        Ok(Spool {
            net_mass: r.value("net_mass", self.net_mass.as_ref(), old.map(|o| &o.net_mass))?,
            name: name.clone(),
        })
    }
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
