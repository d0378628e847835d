//! The tables of a library by their kind: entries by name, cells by key, whatever the table.

use super::Library;
use super::content::Content;
use super::field::{Cells, Effect, Field};
use super::own_entries::UserLibrary;
use super::tables::{Diameter, Machine, Material, Model, Overheads, PassRow, Spool, Wire};
use crate::standing::Value;
use std::collections::BTreeMap;

/// Does one thing with the type of a table's entries, another with that of its single values.
macro_rules! of_table {
    ($table:expr, $entry:ident => $list:expr, $values:ident => $single:expr) => {
        match $table {
            $crate::library::LibraryTable::Materials => {
                type $entry = $crate::library::Material;
                $list
            }
            $crate::library::LibraryTable::Wires => {
                type $entry = $crate::library::Wire;
                $list
            }
            $crate::library::LibraryTable::Diameters => {
                type $entry = $crate::library::Diameter;
                $list
            }
            $crate::library::LibraryTable::Passes => {
                type $entry = $crate::library::PassRow;
                $list
            }
            $crate::library::LibraryTable::Spools => {
                type $entry = $crate::library::Spool;
                $list
            }
            $crate::library::LibraryTable::Machines => {
                type $entry = $crate::library::Machine;
                $list
            }
            $crate::library::LibraryTable::Overheads => {
                type $values = $crate::library::Overheads;
                $single
            }
            $crate::library::LibraryTable::Model => {
                type $values = $crate::library::Model;
                $single
            }
        }
    };
}
pub(super) use of_table;

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
    /// What comes on top of cutting; an entry's name is its key, its only cell is [`VALUE`].
    Overheads,
    /// The numbers of the formulas for the feed, as the overheads.
    Model,
    /// Spools.
    Spools,
    /// Machines of the shop; none is built in.
    Machines,
}

/// Key of the only cell of an overhead or of a number of the model.
pub const VALUE: &str = "value";

impl LibraryTable {
    /// All, in the order in which they are shown.
    pub const ALL: [Self; 8] = [
        Self::Materials,
        Self::Wires,
        Self::Diameters,
        Self::Passes,
        Self::Overheads,
        Self::Model,
        Self::Spools,
        Self::Machines,
    ];
    /// Its name in the file and in faults.
    pub fn word(self) -> &'static str {
        match self {
            Self::Materials => "material",
            Self::Wires => "wire",
            Self::Diameters => "diameter",
            Self::Passes => "pass",
            Self::Overheads => "overheads",
            Self::Model => "model",
            Self::Spools => "spool",
            Self::Machines => "machine",
        }
    }
    /// Whether it is a fixed set of single values instead of a list of entries.
    pub fn is_single_values(self) -> bool {
        matches!(self, Self::Overheads | Self::Model)
    }
    /// Whether entries can be added; passes and single values are a fixed set.
    pub fn can_grow(self) -> bool {
        !matches!(self, Self::Passes | Self::Overheads | Self::Model)
    }
    /// Fields of its entries; of a table of single values, all of them.
    pub fn fields(self) -> &'static [Field] {
        of_table!(self, E => E::FIELDS, S => S::FIELDS)
    }
}

/// An entry of a list.
pub(super) trait Entry: Cells + Clone {
    /// What it is called by.
    fn name(&self) -> String;
    /// The same under another name; `None` where it cannot have that.
    fn named(&self, name: &str) -> Option<Self>;
    /// Key of its name in the file.
    const ID: &'static str;
    /// Which table it belongs to.
    const TABLE: LibraryTable;
    /// From its name and the content of every field.
    ///
    /// # Errors
    /// Those of `cell`; and what `misfit` makes of content that does not fit its field.
    fn built<F>(
        name: &str,
        cell: impl FnMut(&'static Field) -> Result<Content, F>,
        misfit: impl Fn(&'static Field) -> F,
    ) -> Result<Self, F>;
    /// Its list in a library.
    fn of(library: &Library) -> &Vec<Self>;
    /// The same, to be changed.
    fn of_mut(library: &mut Library) -> &mut Vec<Self>;
    /// Its list among the shop's own.
    fn own(own: &UserLibrary) -> &Vec<Self>;
    /// The same, to be changed.
    fn own_mut(own: &mut UserLibrary) -> &mut Vec<Self>;
}

macro_rules! named_entries {
    ($($type:ty, $list:ident, $table:ident;)*) => { $(impl Entry for $type {
        fn name(&self) -> String {
            self.name.clone()
        }
        fn named(&self, name: &str) -> Option<Self> {
            Some(Self { name: name.to_owned(), ..self.clone() })
        }
        const ID: &'static str = "name";
        const TABLE: LibraryTable = LibraryTable::$table;
        fn built<F>(
            name: &str,
            cell: impl FnMut(&'static Field) -> Result<Content, F>,
            misfit: impl Fn(&'static Field) -> F,
        ) -> Result<Self, F> {
            Self::from_cells(name.to_owned(), cell, misfit)
        }
        lists!($list);
    })* };
}
macro_rules! lists {
    ($list:ident) => {
        fn of(library: &Library) -> &Vec<Self> {
            &library.$list
        }
        fn of_mut(library: &mut Library) -> &mut Vec<Self> {
            &mut library.$list
        }
        fn own(own: &UserLibrary) -> &Vec<Self> {
            &own.$list
        }
        fn own_mut(own: &mut UserLibrary) -> &mut Vec<Self> {
            &mut own.$list
        }
    };
}
named_entries! {
    Material, materials, Materials;
    Wire, wires, Wires;
    PassRow, passes, Passes;
    Spool, spools, Spools;
    Machine, machines, Machines;
}
impl Entry for Diameter {
    fn name(&self) -> String {
        self.diameter_mm.to_string()
    }
    fn named(&self, name: &str) -> Option<Self> {
        Some(Self {
            diameter_mm: name.parse().ok()?,
            ..self.clone()
        })
    }
    const ID: &'static str = "diameter_mm";
    const TABLE: LibraryTable = LibraryTable::Diameters;
    fn built<F>(
        name: &str,
        cell: impl FnMut(&'static Field) -> Result<Content, F>,
        misfit: impl Fn(&'static Field) -> F,
    ) -> Result<Self, F> {
        // No number is no diameter, and is refused as one.
        Self::from_cells(name.parse().unwrap_or(f64::NAN), cell, misfit)
    }
    lists!(diameters);
}

/// A table of single values.
pub(super) trait SingleValues: Cells {
    /// Its values in a library.
    fn of(library: &Library) -> &Self;
    /// The same, to be changed.
    fn of_mut(library: &mut Library) -> &mut Self;
    /// Which table it is.
    const TABLE: LibraryTable;
    /// From the content of every field.
    ///
    /// # Errors
    /// Those of `cell`; and what `misfit` makes of content that does not fit its field.
    fn built<F>(
        cell: impl FnMut(&'static Field) -> Result<Content, F>,
        misfit: impl Fn(&'static Field) -> F,
    ) -> Result<Self, F>
    where
        Self: Sized;
    /// Those that are the shop's own.
    fn own(own: &UserLibrary) -> &BTreeMap<&'static str, Value>;
    /// The same, to be changed.
    fn own_mut(own: &mut UserLibrary) -> &mut BTreeMap<&'static str, Value>;
}

macro_rules! single_values {
    ($($type:ty, $place:ident, $table:ident;)*) => { $(impl SingleValues for $type {
        const TABLE: LibraryTable = LibraryTable::$table;
        fn built<F>(
            cell: impl FnMut(&'static Field) -> Result<Content, F>,
            misfit: impl Fn(&'static Field) -> F,
        ) -> Result<Self, F> {
            Self::from_cells(cell, misfit)
        }
        fn of(library: &Library) -> &Self {
            &library.$place
        }
        fn of_mut(library: &mut Library) -> &mut Self {
            &mut library.$place
        }
        fn own(own: &UserLibrary) -> &BTreeMap<&'static str, Value> {
            &own.$place
        }
        fn own_mut(own: &mut UserLibrary) -> &mut BTreeMap<&'static str, Value> {
            &mut own.$place
        }
    }
    impl $type {
        /// One by its key.
        pub fn get(&self, key: &str) -> Option<Value> {
            match self.content(key)? {
                Content::Value(value) => Some(value),
                _ => None,
            }
        }
        /// Puts one in by its key; `None` where there is none of that key.
        pub fn set(&mut self, key: &str, value: Value) -> Option<()> {
            self.put(key, Content::Value(value))
        }
    })* };
}
single_values! {
    Overheads, overheads, Overheads;
    Model, model, Model;
}

/// A cell of an entry.
#[derive(Debug, Clone)]
pub struct LibraryCell {
    /// Its key in the entry.
    pub key: &'static str,
    /// All that is known about its field.
    pub field: &'static Field,
    /// What it does in this entry.
    pub effect: Effect,
    /// What stands there.
    pub content: Content,
}

impl PartialEq for LibraryCell {
    fn eq(&self, other: &Self) -> bool {
        self.field.key == other.field.key && self.content == other.content
    }
}

pub(super) fn cells(entry: &impl Cells) -> Vec<LibraryCell> {
    let cell = |field: &'static Field| {
        Some(LibraryCell {
            key: field.key,
            field,
            effect: field.effect,
            content: entry.content(field.key)?,
        })
    };
    entry.fields().iter().filter_map(cell).collect()
}

/// Puts an entry into a list in place of the one of the same name, or behind all.
pub(super) fn put<E: Entry>(list: &mut Vec<E>, entry: E) {
    let name = entry.name();
    match list.iter_mut().find(|e| e.name() == name) {
        Some(place) => *place = entry,
        None => list.push(entry),
    }
}

pub(super) fn find<'a, E: Entry>(list: &'a [E], name: &str) -> Option<&'a E> {
    list.iter().find(|e| e.name() == name)
}

impl Library {
    /// Names of the entries of a table, in their order.
    pub fn entry_names(&self, table: LibraryTable) -> Vec<String> {
        of_table!(table,
            E => <E as Entry>::of(self).iter().map(Entry::name).collect(),
            S => S::FIELDS.iter().map(|f| f.key.to_owned()).collect())
    }
    /// The cells of one entry, but for its name, in the order in which they are read; none where there is no such entry.
    pub fn entry_cells(&self, table: LibraryTable, entry: &str) -> Vec<LibraryCell> {
        of_table!(table,
        E => self.effects(table, entry, find(<E as Entry>::of(self), entry).map_or_else(Vec::new, cells)),
        S => {
            let all = cells(<S as SingleValues>::of(self)).into_iter();
            all.filter(|c| c.key == entry).map(|c| LibraryCell { key: VALUE, ..c }).collect()
        })
    }
    /// Nothing is left for the rough to take off or to be held against: both are of the skims after it.
    fn effects(
        &self,
        table: LibraryTable,
        entry: &str,
        mut cells: Vec<LibraryCell>,
    ) -> Vec<LibraryCell> {
        let rough = self.passes.first().is_some_and(|p| p.name == entry);
        if table == LibraryTable::Passes && rough {
            for cell in &mut cells {
                if matches!(cell.key, "stock" | "feed_ratio") {
                    cell.effect = Effect::Information;
                }
            }
        }
        cells
    }
    /// The entries of a table with their cells.
    pub fn table_cells(&self, table: LibraryTable) -> Vec<(String, Vec<LibraryCell>)> {
        let names = self.entry_names(table).into_iter();
        names
            .map(|name| {
                let cells = self.entry_cells(table, &name);
                (name, cells)
            })
            .collect()
    }
}
