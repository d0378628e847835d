//! The shop's own library over the built-in one, and its file.
//!
//! An entry of the same name takes the place of the built-in one; another name is added. The built-in library
//! itself is never changed, so taking an entry out brings the built-in one back.

use super::content::{Change, Content};
use super::faults::{CellFault, LibraryFileError, Reason};
use super::kinds::{Entry, LibraryTable, SingleValues, cells, find, of_table, put};
use super::own_entries::UserLibrary;
use super::sound::{name_fault, wrong};
use super::thickness_curve::{CurveError, CurvePoint, ThicknessCurve};
use super::{Library, reading, writing};
use crate::files::{self, Unread};
use crate::safe_file;
use crate::toml_change::{self, Changed};
use std::io;
use std::path::Path;

/// Largest file that is read, bytes.
const MOST_BYTES: u64 = 64 << 20;

fn fault(table: LibraryTable, entry: &str, cell: &str, reason: Reason) -> CellFault {
    CellFault {
        table: table.word(),
        entry: entry.to_owned(),
        cell: cell.to_owned(),
        reason,
    }
}

impl UserLibrary {
    /// From the text of a file.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, LibraryFileError> {
        reading::read(text)
    }

    /// As the text of a file, which [`UserLibrary::parse`] reads back unchanged.
    pub fn to_toml(&self) -> String {
        writing::written(self)
    }

    /// What makes this of `from`, done to the text of a file; comments and all that is not changed stay.
    ///
    /// `None` where the text cannot be changed piece by piece.
    pub fn carried_over(&self, from: &Self, text: &str) -> Option<Changed> {
        toml_change::carry_over(text, &from.to_toml(), &self.to_toml(), &|word| {
            let table = LibraryTable::ALL.into_iter().find(|t| t.word() == word)?;
            of_table!(table, E => Some(E::ID), S => {
                let _ = S::TABLE;
                None
            })
        })
    }

    /// Reads a file.
    ///
    /// # Errors
    /// It cannot be read, or is refused; keep what was in force before.
    pub fn load(path: &Path) -> Result<Self, LibraryFileError> {
        let read = files::read(path, MOST_BYTES, || false);
        Self::from_bytes(&read.map_err(|e| match e {
            Unread::System(e) => LibraryFileError::Io(e),
            Unread::Folder => io::Error::new(io::ErrorKind::IsADirectory, e.reason()).into(),
            Unread::TooLarge(_) => io::Error::new(io::ErrorKind::FileTooLarge, e.reason()).into(),
            Unread::NoFile | Unread::Growing | Unread::Stopped => {
                io::Error::other(e.reason()).into()
            }
        })?)
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
        let text = self.to_toml();
        Self::parse(&text)?;
        Ok(safe_file::save(path, text.as_bytes())?)
    }

    /// The built-in library with these entries over it.
    pub fn over(&self, built_in: &Library) -> Library {
        let mut l = built_in.clone();
        for table in LibraryTable::ALL {
            of_table!(table,
            E => for entry in E::own(self) {
                put(E::of_mut(&mut l), entry.clone());
            },
            S => for (key, value) in S::own(self) {
                // The keys are those of the fields.
                let _ = S::of_mut(&mut l).set(key, value.clone());
            });
        }
        l.diameters
            .sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
        if self.thickness_curve.is_some() {
            l.thickness_curve.clone_from(&self.thickness_curve);
        }
        l
    }

    /// Everything that cannot be as it is: for an editor, which marks it.
    pub fn faults(&self) -> Vec<CellFault> {
        LibraryTable::ALL
            .into_iter()
            .flat_map(|t| self.table_faults(t))
            .collect()
    }

    fn table_faults(&self, table: LibraryTable) -> Vec<CellFault> {
        let built_in = Some(Library::built_in());
        let mut out = Vec::new();
        of_table!(table,
        E => for (k, entry) in E::own(self).iter().enumerate() {
            let name = entry.name();
            let twice = find(&E::own(self)[..k], &name).map(|_| Reason::NameTwice);
            let named = name_fault(table, &name, built_in).or(twice);
            out.extend(named.map(|reason| fault(table, &name, E::ID, reason)));
            for cell in cells(entry) {
                let reason = wrong(cell.field, &cell.content);
                out.extend(reason.map(|reason| fault(table, &name, cell.key, reason)));
            }
        },
        S => for (key, value) in S::own(self) {
            let field = S::FIELDS.iter().find(|f| f.key == *key);
            let content = Content::Value(value.clone());
            let reason = field.and_then(|f| wrong(f, &content));
            out.extend(reason.map(|reason| fault(table, key, super::kinds::VALUE, reason)));
        });
        out
    }

    /// Whether an entry is the shop's own, be it new or in place of a built-in one.
    pub fn has(&self, table: LibraryTable, entry: &str) -> bool {
        of_table!(table,
            E => find(E::own(self), entry).is_some(),
            S => S::own(self).contains_key(entry))
    }

    /// How many entries are the shop's own; the thickness curve counts as one.
    pub fn count(&self) -> usize {
        let of = |table| of_table!(table, E => E::own(self).len(), S => S::own(self).len());
        let entries: usize = LibraryTable::ALL.into_iter().map(of).sum();
        entries + usize::from(self.thickness_curve.is_some())
    }

    /// With one cell changed. A built-in entry is copied first and stays as it is.
    ///
    /// # Errors
    /// What is wrong with the cell; nothing is changed then.
    pub fn with_change(
        &self,
        table: LibraryTable,
        entry: &str,
        key: &str,
        change: Change,
    ) -> Result<Self, CellFault> {
        let library = self.over(Library::built_in());
        let gone = || fault(table, entry, key, Reason::NoSuchCell);
        let cells = library.entry_cells(table, entry);
        let cell = cells.iter().find(|c| c.key == key).ok_or_else(gone)?;
        let new = cell.field.changed(&cell.content, change).ok_or_else(gone)?;
        if let Some(reason) = wrong(cell.field, &new) {
            return Err(fault(table, entry, key, reason));
        }
        let mut out = self.clone();
        of_table!(table,
        E => {
            let mut whole = find(E::of(&library), entry).ok_or_else(gone)?.clone();
            super::field::Cells::put(&mut whole, key, new).ok_or_else(gone)?;
            put(E::own_mut(&mut out), whole);
        },
        S => if let Content::Value(value) = new {
            S::own_mut(&mut out).insert(cell.field.key, value);
        });
        Ok(out)
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
        let refused = |reason| fault(table, name, "name", reason);
        // A diameter has one name, however it is typed.
        let name = match (table, name.parse::<f64>()) {
            (LibraryTable::Diameters, Ok(mm)) => mm.to_string(),
            (LibraryTable::Diameters, Err(_)) => return Err(refused(Reason::NoDiameter)),
            _ => name.to_owned(),
        };
        if from != name {
            if !table.can_grow() {
                return Err(refused(Reason::FixedSet));
            }
            if library.entry_names(table).contains(&name) {
                return Err(refused(Reason::NameTaken));
            }
        }
        if let (false, Some(reason)) = (
            table.is_single_values(),
            name_fault(table, &name, Some(Library::built_in())),
        ) {
            return Err(refused(reason));
        }
        let nothing = || refused(Reason::NothingToCopy(from.to_owned()));
        let mut out = self.clone();
        of_table!(table,
        E => {
            let whole = find(E::of(&library), from).ok_or_else(nothing)?;
            let copy = whole.named(&name).ok_or_else(|| refused(Reason::BadName))?;
            put(E::own_mut(&mut out), copy);
        },
        S => {
            let field = S::FIELDS.iter().find(|f| f.key == from).ok_or_else(nothing)?;
            let value = S::of(&library).get(from).ok_or_else(nothing)?;
            S::own_mut(&mut out).insert(field.key, value);
        });
        Ok(out)
    }

    /// With a new entry of which nothing is said but its name.
    ///
    /// # Errors
    /// The name is taken or cannot be, or such an entry has to say more.
    pub fn with_new(&self, table: LibraryTable, name: &str) -> Result<Self, CellFault> {
        let refused = |reason| fault(table, name, "name", reason);
        self.check_new_name(table, name)?;
        let mut out = self.clone();
        of_table!(table,
        E => {
            let cell = |field: &'static super::Field| {
                reading::unsaid(field, name).ok_or_else(|| fault(table, name, field.key, Reason::Missing))
            };
            let entry = E::built(name, cell, |field| fault(table, name, field.key, Reason::Missing))?;
            put(E::own_mut(&mut out), entry);
        },
        S => {
            let _ = S::TABLE;
            return Err(refused(Reason::FixedSet));
        });
        Ok(out)
    }

    /// With an own entry under another name, in its place.
    ///
    /// # Errors
    /// The name is taken or cannot be, or there is no such entry of the shop's own.
    pub fn with_renamed(
        &self,
        table: LibraryTable,
        from: &str,
        name: &str,
    ) -> Result<Self, CellFault> {
        let refused = |reason| fault(table, name, "name", reason);
        self.check_new_name(table, name)?;
        let mut out = self.clone();
        of_table!(table,
        E => {
            let place = E::own_mut(&mut out).iter_mut().find(|e| e.name() == from);
            let place = place.ok_or_else(|| refused(Reason::NothingToCopy(from.to_owned())))?;
            *place = place.named(name).ok_or_else(|| refused(Reason::BadName))?;
        },
        S => {
            let _ = S::TABLE;
            return Err(refused(Reason::FixedSet));
        });
        Ok(out)
    }

    fn check_new_name(&self, table: LibraryTable, name: &str) -> Result<(), CellFault> {
        let refused = |reason| Err(fault(table, name, "name", reason));
        let library = self.over(Library::built_in());
        if let Some(reason) = name_fault(table, name, Some(Library::built_in())) {
            return refused(reason);
        }
        if library.entry_names(table).iter().any(|n| n == name) {
            return refused(Reason::NameTaken);
        }
        Ok(())
    }

    /// Without an own entry; where it stood in place of a built-in one, that one is back.
    #[must_use]
    pub fn without(&self, table: LibraryTable, entry: &str) -> Self {
        let mut out = self.clone();
        of_table!(table,
            E => E::own_mut(&mut out).retain(|e| e.name() != entry),
            S => S::own_mut(&mut out).retain(|key, _| *key != entry));
        out
    }

    /// With the entries of another one over its own: those of the same name are replaced, nothing else is lost.
    #[must_use]
    pub fn with_all(&self, other: &Self) -> Self {
        let mut out = self.clone();
        for table in LibraryTable::ALL {
            of_table!(table,
                E => E::own(other).iter().for_each(|e| put(E::own_mut(&mut out), e.clone())),
                S => S::own_mut(&mut out).extend(S::own(other).clone()));
        }
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
}
