//! How a library file is read: TOML with `kerfcast_library = 1` at its head.
//!
//! A cell is a plain number, or a table with value, low, high, unit, standing and source. An entry may leave cells out: they keep
//! the value of the built-in entry of that name, or of the one named by `copy_of`. A number in another unit of the same quantity is
//! converted; in any other unit it is refused. The first thing that is wrong is told with its line.

use super::Library;
use super::content::{Content, Shape, names};
use super::faults::{CellFault, LibraryFileError, Reason};
use super::field::Field;
use super::file_words::{CURVE, HEAD, NO_CAUTION, VERSION};
use super::kind::{Caution, Kind};
use super::kinds::{Entry, LibraryTable, SingleValues, VALUE, find, of_table};
use super::own_entries::UserLibrary;
use super::sound::{name_fault, wrong};
use super::tables::{Model, Overheads};
use super::thickness_curve::{CurveError, CurvePoint, ThicknessCurve};
use super::threading::Threading;
use super::units::factor;
use crate::standing::{Standing, Value};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

type Read<T> = Result<T, LibraryFileError>;
type At<'t> = Spanned<DeValue<'t>>;

/// Key of the entry that is copied.
const COPY_OF: &str = "copy_of";

impl Library {
    /// A whole library from the text that [`Library::to_toml`] wrote: nothing of the built-in one is in it unless written there.
    ///
    /// # Errors
    /// The first thing that is wrong or missing.
    pub fn from_toml(text: &str) -> Read<Self> {
        check_head(parsed(text)?.get_ref())?;
        Self::of_files(&[text])
    }
    /// A whole library from files of its tables, without any other below it.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line in its file.
    pub(super) fn of_files(files: &[&str]) -> Read<Self> {
        let mut all = UserLibrary::default();
        for text in files {
            let root = parsed(text)?;
            Source { text, base: None }.tables(root.get_ref(), &mut all)?;
        }
        Ok(Self {
            overheads: whole::<Overheads>(&all)?,
            model: whole::<Model>(&all)?,
            materials: all.materials,
            wires: all.wires,
            diameters: all.diameters,
            passes: all.passes,
            spools: all.spools,
            machines: all.machines,
            thickness_curve: all.thickness_curve,
            learned: None,
            learned_elsewhere: Vec::new(),
        })
    }
}

/// All single values of a table.
fn whole<S: SingleValues>(all: &UserLibrary) -> Read<S> {
    let lacks = |field: &'static Field| LibraryFileError::Lacks(field.key);
    S::built(
        |field| {
            let value = S::own(all).get(field.key).cloned();
            value.map(Content::Value).ok_or_else(|| lacks(field))
        },
        lacks,
    )
}

/// The shop's own library over the built-in one, from the text of a file.
fn check_head(root: &DeTable<'_>) -> Read<()> {
    match root.get(HEAD).and_then(|v| number(v.get_ref())) {
        Some(v) if v > VERSION as f64 => Err(LibraryFileError::Newer(v as i64)),
        Some(v) if v >= 1.0 => Ok(()),
        _ => Err(LibraryFileError::NoLibrary),
    }
}

pub(super) fn read(text: &str) -> Read<UserLibrary> {
    let root = parsed(text)?;
    let root = root.get_ref();
    check_head(root)?;
    let base = Some(Library::built_in());
    let mut all = UserLibrary::default();
    Source { text, base }.tables(root, &mut all)?;
    Ok(all)
}

fn parsed(text: &str) -> Read<Spanned<DeTable<'_>>> {
    DeTable::parse(text).map_err(|e| LibraryFileError::NoToml {
        line: e.span().map_or(1, |s| line_at(text, s.start)),
        reason: e.message().replace('\n', ", "),
    })
}

/// Line of a byte of the text, counted from 1.
fn line_at(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|&b| b == b'\n').count()
}

fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(v) => i64::from_str_radix(v.as_str(), v.radix())
            .ok()
            .map(|v| v as f64),
        DeValue::Float(v) => v.as_str().parse().ok(),
        _ => None,
    }
}

/// Keys of a table in the order of the file.
fn in_order<'a, 't>(table: &'a DeTable<'t>) -> impl Iterator<Item = (&'a str, usize, &'a At<'t>)> {
    let mut all: Vec<_> = table
        .iter()
        .map(|(key, value)| (&**key.get_ref(), key.span().start, value))
        .collect();
    all.sort_by_key(|(_, start, _)| *start);
    all.into_iter()
}

/// A cell that is being read.
#[derive(Clone, Copy)]
struct Place<'a> {
    table: &'static str,
    entry: &'a str,
    cell: &'a str,
}

/// The text that is being read, and the library that lies below.
struct Source<'a> {
    text: &'a str,
    base: Option<&'a Library>,
}

impl Source<'_> {
    fn refused(&self, place: Place<'_>, byte: usize, reason: Reason) -> LibraryFileError {
        LibraryFileError::Cell {
            line: line_at(self.text, byte),
            fault: Box::new(CellFault {
                table: place.table,
                entry: place.entry.to_owned(),
                cell: place.cell.to_owned(),
                reason,
            }),
        }
    }

    fn tables(&self, root: &DeTable<'_>, all: &mut UserLibrary) -> Read<()> {
        for (key, start, value) in in_order(root) {
            let table = LibraryTable::ALL.into_iter().find(|t| t.word() == key);
            match table {
                Some(table) => of_table!(table,
                    E => self.entries::<E>(value, E::own_mut(all))?,
                    S => self.values::<S>(value, all)?),
                None if key == CURVE => all.thickness_curve = self.curve(value)?,
                None if key == HEAD => {}
                None => {
                    let known = LibraryTable::ALL.map(LibraryTable::word);
                    let place = Place {
                        table: "library",
                        entry: key,
                        cell: key,
                    };
                    let known = known.into_iter().chain([CURVE]).collect();
                    return Err(self.refused(place, start, Reason::UnknownKey(known)));
                }
            }
        }
        Ok(())
    }

    fn entries<E: Entry>(&self, value: &At<'_>, list: &mut Vec<E>) -> Read<()> {
        let place = Place {
            table: E::TABLE.word(),
            entry: "",
            cell: E::ID,
        };
        let Some(array) = value.get_ref().as_array() else {
            return Err(self.refused(place, value.span().start, Reason::NoName));
        };
        for at in array {
            let entry = self.entry::<E>(at, place, list)?;
            list.push(entry);
        }
        Ok(())
    }

    fn entry<E: Entry>(&self, at: &At<'_>, place: Place<'_>, before: &[E]) -> Read<E> {
        let no_name = |byte| Err(self.refused(place, byte, Reason::NoName));
        let Some(table) = at.get_ref().as_table() else {
            return no_name(at.span().start);
        };
        let Some(id) = table.get(E::ID) else {
            let first = in_order(table).next().map(|(_, start, _)| start);
            return no_name(first.unwrap_or(at.span().start));
        };
        let start = id.span().start;
        let name = match (id.get_ref().as_str(), number(id.get_ref())) {
            (Some(name), _) => name.to_owned(),
            (None, Some(number)) if E::TABLE == LibraryTable::Diameters => number.to_string(),
            _ => return no_name(start),
        };
        let place = Place {
            entry: &name,
            ..place
        };
        if let Some(reason) = name_fault(E::TABLE, &name, self.base) {
            return Err(self.refused(place, start, reason));
        }
        if find(before, &name).is_some() {
            return Err(self.refused(place, start, Reason::NameTwice));
        }
        let listed = |name: &str| self.base.and_then(|b| find(E::of(b), name));
        let old = match table.get(COPY_OF) {
            None => listed(&name),
            Some(copied) => {
                let of = copied.get_ref().as_str().unwrap_or_default();
                let nothing = Reason::NothingToCopy(of.to_owned());
                let place = Place {
                    cell: COPY_OF,
                    ..place
                };
                let start = copied.span().start;
                Some(listed(of).ok_or_else(|| self.refused(place, start, nothing))?)
            }
        };
        for (key, byte, _) in in_order(table) {
            let known =
                E::TABLE.fields().iter().any(|f| f.key == key) || key == E::ID || key == COPY_OF;
            if !known {
                let place = Place { cell: key, ..place };
                let reason = Reason::UnknownKey(E::TABLE.fields().iter().map(|f| f.key).collect());
                return Err(self.refused(place, byte, reason));
            }
        }
        let cell = |field: &'static Field| {
            let place = Place {
                cell: field.key,
                ..place
            };
            let old = old.and_then(|o| o.content(field.key));
            match table.get(field.key) {
                Some(given) => self.content(place, field, given, old.as_ref()),
                None => old
                    .or_else(|| unsaid(field, &name))
                    .ok_or_else(|| self.refused(place, start, Reason::Missing)),
            }
        };
        E::built(&name, cell, |field| {
            let place = Place {
                cell: field.key,
                ..place
            };
            self.refused(place, start, Reason::NoSuchCell)
        })
    }

    fn values<S: SingleValues>(&self, value: &At<'_>, all: &mut UserLibrary) -> Read<()> {
        let table = S::TABLE.word();
        let whole = Place {
            table,
            entry: table,
            cell: VALUE,
        };
        let Some(given) = value.get_ref().as_table() else {
            return Err(self.refused(whole, value.span().start, Reason::NoSuchCell));
        };
        for (key, start, value) in in_order(given) {
            let place = Place {
                entry: key,
                ..whole
            };
            let fields = S::TABLE.fields();
            let Some(field) = fields.iter().find(|f| f.key == key) else {
                let known = fields.iter().map(|f| f.key).collect();
                return Err(self.refused(place, start, Reason::UnknownKey(known)));
            };
            let old = self.base.and_then(|b| S::of(b).content(key));
            if let Content::Value(value) = self.content(place, field, value, old.as_ref())? {
                S::own_mut(all).insert(field.key, value);
            }
        }
        Ok(())
    }

    /// What stands in a cell, checked.
    fn content(
        &self,
        place: Place<'_>,
        field: &'static Field,
        at: &At<'_>,
        old: Option<&Content>,
    ) -> Read<Content> {
        let refused = |reason| Err(self.refused(place, at.span().start, reason));
        let given = at.get_ref();
        let text = given.as_str();
        let content = match field.shape {
            Shape::Number | Shape::OptionalNumber => {
                let old = match old {
                    Some(Content::Value(old)) => Some(old),
                    _ => None,
                };
                Content::Value(self.value(place, field, at, old)?)
            }
            Shape::Text => match text {
                Some(text) => Content::Text(text.to_owned()),
                None => return refused(Reason::NoWords),
            },
            Shape::Names => match (text, given.as_array()) {
                (Some(text), _) => Content::Names(names(text)),
                (None, Some(array)) => {
                    let all = array
                        .iter()
                        .map(|n| n.get_ref().as_str().map(str::to_owned));
                    match all.collect::<Option<Vec<_>>>() {
                        Some(all) => Content::Names(all),
                        None => return refused(Reason::NoWords),
                    }
                }
                (None, None) => return refused(Reason::NoWords),
            },
            Shape::Pair => {
                let numbers: Vec<_> = given
                    .as_array()
                    .into_iter()
                    .flat_map(|array| array.iter())
                    .filter_map(|n| number(n.get_ref()))
                    .collect();
                match numbers.try_into() {
                    Ok(pair) => Content::Pair(pair),
                    Err(_) => {
                        return refused(Reason::NoPair {
                            most: field.high,
                            unit: field.unit,
                        });
                    }
                }
            }
            Shape::Caution => {
                let found = Caution::ALL.into_iter().find(|c| Some(c.key()) == text);
                if found.is_none() && text != Some(NO_CAUTION) {
                    let keys = Caution::ALL.map(Caution::key).into_iter();
                    return refused(Reason::NoneOf(keys.chain([NO_CAUTION]).collect()));
                }
                Content::Caution(found)
            }
            Shape::Threading => match Threading::ALL.into_iter().find(|k| Some(k.key()) == text) {
                Some(how) => Content::Threading(how),
                None => {
                    return refused(Reason::NoneOf(Threading::ALL.map(Threading::key).to_vec()));
                }
            },
            Shape::Kind => match Kind::ALL.into_iter().find(|k| Some(k.key()) == text) {
                Some(kind) => Content::Kind(kind),
                None => return refused(Reason::NoneOf(Kind::ALL.map(Kind::key).to_vec())),
            },
        };
        match wrong(field, &content) {
            Some(reason) => refused(reason),
            None => Ok(content),
        }
    }

    /// A number with what is known about it. A plain number keeps the relative width of the built-in range.
    fn value(
        &self,
        place: Place<'_>,
        field: &'static Field,
        at: &At<'_>,
        old: Option<&Value>,
    ) -> Read<Value> {
        let plain = |v| Value {
            value: v,
            low: None,
            high: None,
            unit: field.unit.to_owned(),
            standing: Standing::Yours,
            source: Value::OWN_LIBRARY.to_owned(),
        };
        if let Some(v) = number(at.get_ref()) {
            let new = old.map(|o| field.moved(o, v));
            return Ok(Value {
                low: new.as_ref().and_then(|n| n.low),
                high: new.as_ref().and_then(|n| n.high),
                ..plain(v)
            });
        }
        let refused = |byte, reason| Err(self.refused(place, byte, reason));
        let start = at.span().start;
        let Some(table) = at.get_ref().as_table() else {
            return refused(start, Reason::NoNumber);
        };
        let mut read = Value {
            source: String::new(),
            ..plain(f64::NAN)
        };
        let mut times = 1.0;
        let mut there = false;
        for (key, byte, part) in in_order(table) {
            let (number, text) = (number(part.get_ref()), part.get_ref().as_str());
            match (key, number, text) {
                ("value", Some(v), _) => (read.value, there) = (v, true),
                ("low", Some(v), _) => read.low = Some(v),
                ("high", Some(v), _) => read.high = Some(v),
                ("value" | "low" | "high", None, _) => return refused(byte, Reason::NoNumber),
                ("unit", _, Some(unit)) => match factor(unit, field.unit) {
                    Some(f) => times = f,
                    None => {
                        return refused(
                            byte,
                            Reason::Unit {
                                given: unit.to_owned(),
                                needed: field.unit,
                            },
                        );
                    }
                },
                ("standing", _, Some(word)) => {
                    let Some(standing) = Standing::of_key(word) else {
                        let known = Standing::KEYS.map(|(key, _)| key).to_vec();
                        return refused(byte, Reason::NoneOf(known));
                    };
                    read.standing = standing;
                }
                ("source", _, Some(source)) => source.clone_into(&mut read.source),
                ("unit" | "standing" | "source", ..) => return refused(byte, Reason::NoWords),
                _ => {
                    let known = ["value", "low", "high", "unit", "standing", "source"];
                    return refused(byte, Reason::UnknownKey(known.to_vec()));
                }
            }
        }
        if !there {
            return refused(start, Reason::Missing);
        }
        read.value *= times;
        read.low = read.low.map(|v| v * times);
        read.high = read.high.map(|v| v * times);
        Ok(read)
    }

    fn curve(&self, value: &At<'_>) -> Read<Option<ThicknessCurve>> {
        let mut points = Vec::new();
        let mut starts = Vec::new();
        for (k, at) in value
            .get_ref()
            .as_array()
            .into_iter()
            .flat_map(|a| a.iter())
            .enumerate()
        {
            let nth = (k + 1).to_string();
            let start = at.span().start;
            let cell = |key| {
                let given = at.get_ref().as_table().and_then(|t| t.get(key));
                let Some(given) = given else {
                    return Err(self.refused(curve_place(&nth, key), start, Reason::Missing));
                };
                let byte = given.span().start;
                number(given.get_ref())
                    .ok_or_else(|| self.refused(curve_place(&nth, key), byte, Reason::NoNumber))
            };
            let keys = ["thickness_mm", "rate_mm2_per_min"];
            points.push(CurvePoint {
                thickness_mm: cell(keys[0])?,
                rate_mm2_per_min: cell(keys[1])?,
            });
            let given = at.get_ref().as_table().into_iter().flat_map(in_order);
            for (key, byte, _) in given {
                if !keys.contains(&key) {
                    let reason = Reason::UnknownKey(keys.to_vec());
                    return Err(self.refused(curve_place(&nth, key), byte, reason));
                }
            }
            starts.push(start);
        }
        if points.is_empty() {
            return Ok(None);
        }
        ThicknessCurve::new(points).map(Some).map_err(|e| {
            let point = match e {
                CurveError::TooFew => 1,
                CurveError::OutOfRange { point, .. } | CurveError::Order(point) => point,
            };
            let start = starts.get(point - 1).copied().unwrap_or_default();
            let nth = point.to_string();
            self.refused(curve_place(&nth, "point"), start, Reason::Curve(e))
        })
    }
}

fn curve_place<'a>(entry: &'a str, cell: &'a str) -> Place<'a> {
    Place {
        table: CURVE,
        entry,
        cell,
    }
}

/// What stands in a field of which a new entry says nothing; `None` where it must be said.
pub(super) fn unsaid(field: &'static Field, name: &str) -> Option<Content> {
    // Files from before materials had kinds said by the name alone that one is carbide.
    if field.shape == Shape::Kind && name.contains(Kind::Carbide.key()) {
        return Some(Content::Kind(Kind::Carbide));
    }
    match field.before {
        Some(value) => Some(Content::Value(value())),
        None => field.shape.absent(),
    }
}
