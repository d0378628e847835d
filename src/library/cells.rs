//! The cells of a library: what may stand in each, and how one is read from a file.

use super::file::{CellFault, LibraryFileError, line_at};
use super::tables::{Diameter, Material, Overheads, PassRow, Spool, Wire};
use crate::standing::{Standing, Value};
use serde::Deserialize;
use serde::de::{self, MapAccess, Visitor, value::MapAccessDeserializer};
use std::fmt;
use toml::Spanned;

/// Limits of a cell: least, most, and its unit.
///
/// Wide: they catch slips of the decimal point and of the unit, not unusual shops (judgement).
fn limits(table: &str, cell: &str) -> (f64, f64, &'static str) {
    match (table, cell) {
        (_, "relative_speed") => (0.01, 20.0, ""),
        (_, "density") => (500.0, 25_000.0, "kg/m³"),
        (_, "melting_point") => (0.0, 5000.0, "°C"),
        (_, "tensile_strength") => (50.0, 6000.0, "N/mm²"),
        (_, "price_factor") => (0.05, 200.0, ""),
        (_, "roughness") => (0.2, 5.0, ""),
        (_, "gap_and_stock") | ("diameter", "run_off") => (0.1, 5.0, ""),
        (_, "usual_max_thickness") => (0.5, 1000.0, "mm"),
        (_, "usual_tension") => (0.05, 100.0, "N"),
        (_, "spark_gap") => (0.0005, 0.3, "mm"),
        (_, "stock") => (0.0, 0.5, "mm"),
        (_, "feed_ratio") => (0.05, 50.0, ""),
        (_, "corner_slowdown") => (0.0, 0.95, ""),
        (_, "run_off" | "skim_run_off") => (0.1, 60.0, "m/min"),
        (_, "net_mass") => (0.05, 200.0, "kg"),
        _ => (0.0, 1e6, ""),
    }
}

/// Limits of an overhead by its key.
fn overhead_limits(key: &str) -> (f64, f64) {
    match key {
        // Divided by.
        "hole_drilling" | "hole_drilling_carbide" | "rapid" => (0.01, 100_000.0),
        "lead_in_feed" => (0.05, 1.0),
        "uptime" => (0.1, 100.0),
        "lead_in" | "overlap" | "tab" => (0.0, 1000.0),
        _ => (0.0, 1e6),
    }
}

/// Least and most that may stand in a cell.
pub(super) fn allowed(table: &str, entry: &str, cell: &str) -> (f64, f64) {
    if table == "overheads" {
        overhead_limits(entry)
    } else {
        let (low, high, _) = limits(table, cell);
        (low, high)
    }
}

/// A cell of an entry of a table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place<'a> {
    pub table: &'static str,
    pub entry: &'a str,
    pub cell: &'static str,
}

impl Place<'_> {
    /// What is wrong with a value there.
    pub fn fault(&self, value: &Value) -> Option<CellFault> {
        let (low, high) = allowed(self.table, self.entry, self.cell);
        let reason = if !(low..=high).contains(&value.value) {
            format!("{} lies outside {low} to {high}.", value.value)
        } else if value.low.is_some_and(|l| !(l <= value.value && l >= 0.0))
            || value
                .high
                .is_some_and(|h| !(h >= value.value && h.is_finite()))
        {
            format!(
                "The range {} to {} does not hold {}.",
                value.low.map_or("–".to_owned(), |v| v.to_string()),
                value.high.map_or("–".to_owned(), |v| v.to_string()),
                value.value
            )
        } else {
            return None;
        };
        Some(self.because(reason))
    }
    pub fn because(&self, reason: String) -> CellFault {
        CellFault {
            table: self.table,
            entry: self.entry.to_owned(),
            cell: self.cell,
            reason,
        }
    }
}

/// A cell as it stands in a file.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    /// A plain number.
    Number(f64),
    /// A number with its range and where it is from.
    Table(CellTable),
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CellTable {
    value: f64,
    low: Option<f64>,
    high: Option<f64>,
    unit: Option<String>,
    standing: Option<Standing>,
    #[serde(default)]
    source: String,
}

impl<'de> Deserialize<'de> for Cell {
    fn deserialize<D: de::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct CellVisitor;
        impl<'de> Visitor<'de> for CellVisitor {
            type Value = Cell;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number, or a table with value, low, high, standing and source")
            }
            fn visit_f64<E: de::Error>(self, v: f64) -> Result<Cell, E> {
                Ok(Cell::Number(v))
            }
            fn visit_i64<E: de::Error>(self, v: i64) -> Result<Cell, E> {
                Ok(Cell::Number(v as f64))
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Cell, A::Error> {
                CellTable::deserialize(MapAccessDeserializer::new(map)).map(Cell::Table)
            }
        }
        deserializer.deserialize_any(CellVisitor)
    }
}

impl Cell {
    /// The value it stands for. A plain number keeps the relative width of the built-in range.
    fn value(&self, old: Option<&Value>, unit: &str) -> Value {
        match self {
            Self::Number(v) => {
                let own = |low, high| Value {
                    value: *v,
                    low,
                    high,
                    unit: unit.to_owned(),
                    standing: Standing::Yours,
                    source: Value::OWN_LIBRARY.to_owned(),
                };
                old.map(|o| o.moved_to(*v))
                    .map_or_else(|| own(None, None), |m| own(m.low, m.high))
            }
            Self::Table(t) => Value {
                value: t.value,
                low: t.low,
                high: t.high,
                unit: t.unit.clone().unwrap_or_else(|| unit.to_owned()),
                standing: t.standing.unwrap_or(Standing::Yours),
                source: t.source.clone(),
            },
        }
    }
}

/// Reads the cells of one entry.
pub(super) struct Reader<'a> {
    table: &'static str,
    entry: &'a str,
    text: &'a str,
    start: usize,
}

impl<'a> Reader<'a> {
    pub fn new<T>(table: &'static str, entry: &'a str, text: &'a str, at: &Spanned<T>) -> Self {
        Self {
            table,
            entry,
            text,
            start: at.span().start,
        }
    }
    fn refused(&self, cell: &'static str, byte: usize, reason: String) -> LibraryFileError {
        LibraryFileError::Cell {
            line: line_at(self.text, byte),
            fault: self.place(cell).because(reason),
        }
    }
    fn place(&self, cell: &'static str) -> Place<'a> {
        Place {
            table: self.table,
            entry: self.entry,
            cell,
        }
    }
    /// The entry that is copied must be a built-in one.
    pub fn copy_is_there(
        &self,
        copy_of: Option<&Spanned<String>>,
        found: bool,
    ) -> Result<(), LibraryFileError> {
        match copy_of {
            Some(name) if !found => {
                let reason = format!("The built-in library has no “{}”.", name.get_ref());
                Err(self.refused("copy_of", name.span().start, reason))
            }
            _ => Ok(()),
        }
    }
    pub fn optional(
        &self,
        cell: &'static str,
        own: Option<&Spanned<Cell>>,
        old: Option<&Value>,
    ) -> Result<Option<Value>, LibraryFileError> {
        let Some(own) = own else {
            return Ok(old.cloned());
        };
        let (_, _, unit) = limits(self.table, cell);
        let value = own.get_ref().value(old, unit);
        match self.place(cell).fault(&value) {
            Some(fault) => Err(LibraryFileError::Cell {
                line: line_at(self.text, own.span().start),
                fault,
            }),
            None => Ok(Some(value)),
        }
    }
    pub fn value(
        &self,
        cell: &'static str,
        own: Option<&Spanned<Cell>>,
        old: Option<&Value>,
    ) -> Result<Value, LibraryFileError> {
        self.optional(cell, own, old)?.ok_or_else(|| {
            let reason = "It is missing, and there is no built-in entry to take it from. Add it, or name one with copy_of.";
            self.refused(cell, self.start, reason.to_owned())
        })
    }
    pub fn overhead(
        &self,
        key: &Spanned<String>,
        cell: &Cell,
        old: Option<&Value>,
    ) -> Result<Value, LibraryFileError> {
        let Some(old) = old else {
            let reason = "There is no such overhead.".to_owned();
            return Err(self.refused("name", key.span().start, reason));
        };
        let value = cell.value(Some(old), &old.unit);
        match self.place("value").fault(&value) {
            Some(fault) => Err(LibraryFileError::Cell {
                line: line_at(self.text, key.span().start),
                fault,
            }),
            None => Ok(value),
        }
    }
}

/// Something with a name in a list.
pub trait Entry {
    /// Whether two stand for the same thing, so that one takes the other's place.
    fn same(&self, other: &Self) -> bool;
}

macro_rules! named {
    ($($t:ty),*) => { $(impl Entry for $t {
        fn same(&self, other: &Self) -> bool { self.name == other.name }
    })* };
}
named!(Material, Wire, PassRow, Spool);

impl Entry for Diameter {
    fn same(&self, other: &Self) -> bool {
        (self.diameter_mm - other.diameter_mm).abs() < 1e-9
    }
}

/// Puts an entry into a list in place of the one of the same name, or behind all.
pub fn put<T: Entry>(list: &mut Vec<T>, entry: T) {
    match list.iter_mut().find(|e| e.same(&entry)) {
        Some(place) => *place = entry,
        None => list.push(entry),
    }
}

impl Overheads {
    /// Keys in the order of the library, each with its value.
    pub fn all(&self) -> [(&'static str, &Value); 24] {
        [
            ("automatic_threading", &self.automatic_threading),
            ("threading_success", &self.threading_success),
            ("rethreading_after_break", &self.rethreading_after_break),
            ("manual_threading", &self.manual_threading),
            ("breaks_in_rough", &self.breaks_in_rough),
            ("hole_drilling", &self.hole_drilling),
            ("hole_drilling_carbide", &self.hole_drilling_carbide),
            ("hole_setup", &self.hole_setup),
            ("lead_in", &self.lead_in),
            ("lead_in_feed", &self.lead_in_feed),
            ("overlap", &self.overlap),
            ("tab", &self.tab),
            ("slug_removal", &self.slug_removal),
            ("threading_waste", &self.threading_waste),
            ("rapid", &self.rapid),
            ("setup", &self.setup),
            ("programming", &self.programming),
            ("inspection", &self.inspection),
            ("machine_rate", &self.machine_rate),
            ("labour_rate", &self.labour_rate),
            ("wire_price", &self.wire_price),
            ("scrap_value", &self.scrap_value),
            ("consumables", &self.consumables),
            ("uptime", &self.uptime),
        ]
    }
    /// One by its key.
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.all()
            .into_iter()
            .find(|(k, _)| *k == key)
            .map(|(_, v)| v)
    }
    /// One by its key, to be changed.
    pub fn get_mut(&mut self, key: &str) -> Option<&mut Value> {
        Some(match key {
            "automatic_threading" => &mut self.automatic_threading,
            "threading_success" => &mut self.threading_success,
            "rethreading_after_break" => &mut self.rethreading_after_break,
            "manual_threading" => &mut self.manual_threading,
            "breaks_in_rough" => &mut self.breaks_in_rough,
            "hole_drilling" => &mut self.hole_drilling,
            "hole_drilling_carbide" => &mut self.hole_drilling_carbide,
            "hole_setup" => &mut self.hole_setup,
            "lead_in" => &mut self.lead_in,
            "lead_in_feed" => &mut self.lead_in_feed,
            "overlap" => &mut self.overlap,
            "tab" => &mut self.tab,
            "slug_removal" => &mut self.slug_removal,
            "threading_waste" => &mut self.threading_waste,
            "rapid" => &mut self.rapid,
            "setup" => &mut self.setup,
            "programming" => &mut self.programming,
            "inspection" => &mut self.inspection,
            "machine_rate" => &mut self.machine_rate,
            "labour_rate" => &mut self.labour_rate,
            "wire_price" => &mut self.wire_price,
            "scrap_value" => &mut self.scrap_value,
            "consumables" => &mut self.consumables,
            "uptime" => &mut self.uptime,
            _ => return None,
        })
    }
}
