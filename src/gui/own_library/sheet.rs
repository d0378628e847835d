//! What the page of the library lists, taken apart once a change and not once a frame.

use crate::library::{Library, LibraryCell, LibraryTable, UserLibrary};
use std::collections::BTreeMap;

/// Where an entry comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// As the program brings it.
    BuiltIn,
    /// The shop's own, under a name of its own.
    Own,
    /// The shop's own in place of a built-in one.
    OwnOverBuiltIn,
}

/// One entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its name.
    pub entry: String,
    /// Where it comes from.
    pub origin: Origin,
    /// Its cells, in the order of their names.
    pub cells: Vec<LibraryCell>,
    /// The cells of the built-in entry that it stands in place of.
    pub built_in: Vec<LibraryCell>,
}

/// All entries by kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet(BTreeMap<LibraryTable, Vec<Row>>);

impl Sheet {
    /// Of the built-in library with own entries over it.
    pub fn of(own: &UserLibrary) -> Self {
        let built_in = Library::built_in();
        let library = own.over(built_in);
        let rows = |table| {
            let mut before: BTreeMap<String, Vec<LibraryCell>> =
                built_in.table_cells(table).into_iter().collect();
            let row = |(entry, cells): (String, Vec<LibraryCell>)| {
                let built_in = before.remove(&entry);
                let origin = match (own.has(table, &entry), &built_in) {
                    (false, _) => Origin::BuiltIn,
                    (true, None) => Origin::Own,
                    (true, Some(_)) => Origin::OwnOverBuiltIn,
                };
                Row {
                    entry,
                    origin,
                    cells,
                    built_in: built_in.unwrap_or_default(),
                }
            };
            library.table_cells(table).into_iter().map(row).collect()
        };
        Self(
            LibraryTable::ALL
                .map(|t| (t, rows(t)))
                .into_iter()
                .collect(),
        )
    }
    /// The entries of a kind, in their order.
    pub fn rows(&self, table: LibraryTable) -> &[Row] {
        self.0.get(&table).map_or(&[], Vec::as_slice)
    }
    /// How many entries of a kind are the shop's own.
    pub fn own_count(&self, table: LibraryTable) -> usize {
        let own = |r: &&Row| r.origin != Origin::BuiltIn;
        self.rows(table).iter().filter(own).count()
    }
}
