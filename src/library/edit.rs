//! Entries of a library cell by cell, whatever their kind: what an editor shows and changes.
//!
//! An entry is taken apart and put together by the rules by which its file is written. A cell that an entry gains is therefore
//! shown, changed and checked without a line here.

use super::cells::{allowed, put};
use super::file::{CellFault, UserLibrary};
use super::parts::{Change, Content, LibraryCell, changed, flatten, last, read, write_at, written};
use super::tables::{Diameter, Library};
use super::thickness_curve::{CurveError, CurvePoint, ThicknessCurve};
use std::collections::BTreeMap;

/// A kind of entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LibraryTable {
    /// Work materials.
    Materials,
    /// Kinds of wire.
    Wires,
    /// Wire diameters; an entry's name is its diameter in mm.
    Diameters,
    /// The rough and the skims.
    Passes,
    /// What comes on top of cutting; an entry's name is its key, its only cell is `value`.
    Overheads,
    /// Spools.
    Spools,
}

impl LibraryTable {
    /// All, in the order in which they are shown.
    pub const ALL: [Self; 6] = [
        Self::Materials,
        Self::Wires,
        Self::Diameters,
        Self::Passes,
        Self::Overheads,
        Self::Spools,
    ];
    /// Its name in the file and in faults.
    pub fn word(self) -> &'static str {
        match self {
            Self::Materials => "material",
            Self::Wires => "wire",
            Self::Diameters => "diameter",
            Self::Passes => "pass",
            Self::Overheads => "overheads",
            Self::Spools => "spool",
        }
    }
    /// Whether entries can be added; passes and overheads are a fixed set.
    pub fn can_grow(self) -> bool {
        !matches!(self, Self::Passes | Self::Overheads)
    }
}

impl Library {
    /// Names of the entries of a table, in their order.
    pub fn entry_names(&self, table: LibraryTable) -> Vec<String> {
        match table {
            LibraryTable::Materials => self.materials.iter().map(|m| m.name.clone()).collect(),
            LibraryTable::Wires => self.wires.iter().map(|w| w.name.clone()).collect(),
            LibraryTable::Diameters => self
                .diameters
                .iter()
                .map(|d| d.diameter_mm.to_string())
                .collect(),
            LibraryTable::Passes => self.passes.iter().map(|p| p.name.clone()).collect(),
            LibraryTable::Overheads => {
                let all = self.overheads.all().into_iter();
                all.map(|(key, _)| key.to_owned()).collect()
            }
            LibraryTable::Spools => self.spools.iter().map(|s| s.name.clone()).collect(),
        }
    }

    /// The entries of a table with their cells but for their names, among them those that only other entries give.
    pub fn table_cells(&self, table: LibraryTable) -> Vec<(String, Vec<LibraryCell>)> {
        let apart = |entry: String| {
            let mut cells = Vec::new();
            if let Some(whole) = self.apart(table, &entry) {
                flatten("", &toml::Value::Table(whole), &mut cells);
            }
            (entry, cells)
        };
        let entries: Vec<_> = self.entry_names(table).into_iter().map(apart).collect();
        let mut everywhere: BTreeMap<String, Content> = BTreeMap::new();
        for (path, content) in entries.iter().flat_map(|(_, cells)| cells) {
            let missing = match content {
                Content::Value(v) => Content::Missing(v.unit.clone()),
                Content::Caution(_) => Content::Caution(None),
                _ => continue,
            };
            everywhere.entry(path.clone()).or_insert(missing);
        }
        let whole = |(entry, cells): (String, Vec<(String, Content)>)| {
            let mut all = everywhere.clone();
            all.extend(cells);
            let cell = |(path, content): (String, Content)| LibraryCell {
                allowed: allowed(table.word(), &entry, last(&path)),
                path,
                content,
            };
            let cells = all.into_iter().map(cell).collect();
            (entry, cells)
        };
        entries.into_iter().map(whole).collect()
    }

    /// The cells of one entry.
    pub fn entry_cells(&self, table: LibraryTable, entry: &str) -> Vec<LibraryCell> {
        let mut all = self.table_cells(table).into_iter();
        all.find(|(name, _)| name == entry)
            .map_or_else(Vec::new, |(_, cells)| cells)
    }

    fn apart(&self, table: LibraryTable, entry: &str) -> Option<toml::Table> {
        match table {
            LibraryTable::Materials => written(self.material(entry)?),
            LibraryTable::Wires => written(self.wire(entry)?),
            LibraryTable::Diameters => {
                let same = |d: &&Diameter| d.diameter_mm.to_string() == entry;
                written(self.diameters.iter().find(same)?)
            }
            LibraryTable::Passes => written(self.passes.iter().find(|p| p.name == entry)?),
            LibraryTable::Overheads => {
                let value = toml::Value::try_from(self.overheads.get(entry)?).ok()?;
                Some(toml::Table::from_iter([("value".to_owned(), value)]))
            }
            LibraryTable::Spools => written(self.spools.iter().find(|s| s.name == entry)?),
        }
    }
}

impl UserLibrary {
    /// Whether an entry is the shop's own, be it new or in place of a built-in one.
    pub fn has(&self, table: LibraryTable, entry: &str) -> bool {
        match table {
            LibraryTable::Materials => self.materials.iter().any(|m| m.name == entry),
            LibraryTable::Wires => self.wires.iter().any(|w| w.name == entry),
            LibraryTable::Diameters => self
                .diameters
                .iter()
                .any(|d| d.diameter_mm.to_string() == entry),
            LibraryTable::Passes => self.passes.iter().any(|p| p.name == entry),
            LibraryTable::Overheads => self.overheads.contains_key(entry),
            LibraryTable::Spools => self.spools.iter().any(|s| s.name == entry),
        }
    }

    /// How many entries are the shop's own; the thickness curve counts as one.
    pub fn count(&self) -> usize {
        self.materials.len()
            + self.wires.len()
            + self.diameters.len()
            + self.passes.len()
            + self.overheads.len()
            + self.spools.len()
            + usize::from(self.thickness_curve.is_some())
    }

    /// With one cell changed. A built-in entry is copied first and stays as it is.
    ///
    /// # Errors
    /// What is wrong with the cell; nothing is changed then.
    pub fn with_change(
        &self,
        table: LibraryTable,
        entry: &str,
        path: &str,
        change: Change,
    ) -> Result<Self, CellFault> {
        let library = self.over(Library::built_in());
        let fault = |reason: &str| fault(table, entry, reason.to_owned());
        let gone = || fault("There is no such cell.");
        let cells = library.entry_cells(table, entry);
        let cell = cells.iter().find(|c| c.path == path).ok_or_else(gone)?;
        let new = changed(&cell.content, change).ok_or_else(gone)?;
        let mut whole = library.apart(table, entry).ok_or_else(gone)?;
        write_at(&mut whole, path, new).ok_or_else(gone)?;
        let mut out = self.clone();
        out.put_together(table, entry, whole)?;
        out.checked(table, entry)
    }

    /// With a copy of an entry, under another name or under its own over the built-in one.
    ///
    /// # Errors
    /// The name is taken or cannot be.
    pub fn with_copy(
        &self,
        table: LibraryTable,
        from: &str,
        name: &str,
    ) -> Result<Self, CellFault> {
        let library = self.over(Library::built_in());
        let mut whole = library
            .apart(table, from)
            .ok_or_else(|| fault(table, name, format!("There is no “{from}” to copy.")))?;
        let refused = |reason: &str| Err(fault(table, name, reason.to_owned()));
        // A diameter has one name, however it is typed.
        let name = match (table, name.parse::<f64>()) {
            (LibraryTable::Diameters, Ok(mm)) => {
                whole.insert("diameter_mm".to_owned(), toml::Value::Float(mm));
                mm.to_string()
            }
            (LibraryTable::Diameters, Err(_)) => {
                return refused("A diameter is a number of mm, such as 0.22.");
            }
            (LibraryTable::Overheads, _) => name.to_owned(),
            _ => {
                whole.insert("name".to_owned(), toml::Value::String(name.to_owned()));
                name.to_owned()
            }
        };
        if from != name {
            if !table.can_grow() {
                return refused("No entry can be added here.");
            }
            if library.entry_names(table).contains(&name) {
                return refused("There is an entry of this name. Choose another name.");
            }
        }
        let mut out = self.clone();
        out.put_together(table, &name, whole)?;
        out.checked(table, &name)
    }

    /// Without an own entry; where it stood in place of a built-in one, that one is back.
    #[must_use]
    pub fn without(&self, table: LibraryTable, entry: &str) -> Self {
        let mut out = self.clone();
        match table {
            LibraryTable::Materials => out.materials.retain(|m| m.name != entry),
            LibraryTable::Wires => out.wires.retain(|w| w.name != entry),
            LibraryTable::Diameters => {
                out.diameters.retain(|d| d.diameter_mm.to_string() != entry);
            }
            LibraryTable::Passes => out.passes.retain(|p| p.name != entry),
            LibraryTable::Overheads => out.overheads.retain(|key, _| key != entry),
            LibraryTable::Spools => out.spools.retain(|s| s.name != entry),
        }
        out
    }

    /// With the entries of another one over its own: those of the same name are replaced, nothing else is lost.
    #[must_use]
    pub fn with_all(&self, other: &Self) -> Self {
        let mut out = self.clone();
        other
            .materials
            .iter()
            .for_each(|e| put(&mut out.materials, e.clone()));
        other
            .wires
            .iter()
            .for_each(|e| put(&mut out.wires, e.clone()));
        other
            .diameters
            .iter()
            .for_each(|e| put(&mut out.diameters, e.clone()));
        other
            .passes
            .iter()
            .for_each(|e| put(&mut out.passes, e.clone()));
        other
            .spools
            .iter()
            .for_each(|e| put(&mut out.spools, e.clone()));
        out.overheads.extend(other.overheads.clone());
        if other.thickness_curve.is_some() {
            out.thickness_curve.clone_from(&other.thickness_curve);
        }
        out
    }

    /// With a thickness curve through these points, in whatever order they are given.
    ///
    /// # Errors
    /// The first point that cannot be, counted in order of thickness.
    pub fn with_curve(&self, mut points: Vec<CurvePoint>) -> Result<Self, CurveError> {
        points.sort_by(|a, b| a.thickness_mm.total_cmp(&b.thickness_mm));
        Ok(Self {
            thickness_curve: Some(ThicknessCurve::new(points)?),
            ..self.clone()
        })
    }

    /// With the built-in thickness curve.
    #[must_use]
    pub fn without_curve(&self) -> Self {
        Self {
            thickness_curve: None,
            ..self.clone()
        }
    }

    fn put_together(
        &mut self,
        table: LibraryTable,
        entry: &str,
        mut whole: toml::Table,
    ) -> Result<(), CellFault> {
        let refused = |e: String| fault(table, entry, e);
        match table {
            LibraryTable::Materials => put(&mut self.materials, read(whole).map_err(refused)?),
            LibraryTable::Wires => put(&mut self.wires, read(whole).map_err(refused)?),
            LibraryTable::Diameters => put(&mut self.diameters, read(whole).map_err(refused)?),
            LibraryTable::Passes => put(&mut self.passes, read(whole).map_err(refused)?),
            LibraryTable::Overheads => {
                let value = whole.remove("value").unwrap_or(toml::Value::Boolean(false));
                let value = value.try_into().map_err(|e| refused(e.to_string()))?;
                self.overheads.insert(entry.to_owned(), value);
            }
            LibraryTable::Spools => put(&mut self.spools, read(whole).map_err(refused)?),
        }
        Ok(())
    }

    fn checked(self, table: LibraryTable, entry: &str) -> Result<Self, CellFault> {
        let mine = |f: &CellFault| f.table == table.word() && f.entry == entry;
        match self.faults().into_iter().find(mine) {
            Some(fault) => Err(fault),
            None => Ok(self),
        }
    }
}

fn fault(table: LibraryTable, entry: &str, reason: String) -> CellFault {
    CellFault {
        table: table.word(),
        entry: entry.to_owned(),
        cell: "name",
        reason,
    }
}
