//! Library entries taken apart into cells, and put together again, by the rules by which their file is written.

use super::tables::Caution;
use crate::standing::{Standing, Value};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// A number with its range, standing and source.
    Value(Value),
    /// A number that this entry does not give, though others do: its unit.
    Missing(String),
    /// Words.
    Text(String),
    /// Plain numbers, such as the low and the high end of a usual tolerance.
    Numbers(Vec<f64>),
    /// What to warn about.
    Caution(Option<Caution>),
}

/// A cell of an entry.
#[derive(Debug, Clone, PartialEq)]
pub struct LibraryCell {
    /// Its name in the file; a dot leads into a cell that has parts.
    pub path: String,
    /// What stands there.
    pub content: Content,
    /// Least and most that a number may be there, in the unit of the file.
    pub allowed: (f64, f64),
}

/// One change to a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Another number; its range keeps its width in proportion, and it counts as the shop's own.
    Number(f64),
    /// The lower end of its range.
    Low(Option<f64>),
    /// The upper end of its range.
    High(Option<f64>),
    /// How far it can be relied on.
    Standing(Standing),
    /// Where it is from.
    Source(String),
    /// Other words.
    Text(String),
    /// One of several plain numbers, counted from 0.
    Part(usize, f64),
    /// What to warn about.
    Caution(Option<Caution>),
}

const IDENTITY: [&str; 2] = ["name", "diameter_mm"];

pub(super) fn written(entry: &impl Serialize) -> Option<toml::Table> {
    match toml::Value::try_from(entry).ok()? {
        toml::Value::Table(table) => Some(table),
        _ => None,
    }
}

pub(super) fn read<T: DeserializeOwned>(whole: toml::Table) -> Result<T, String> {
    toml::Value::Table(whole)
        .try_into()
        .map_err(|e: toml::de::Error| e.message().to_owned())
}

/// The last part of a path that is no number: the name under which the limits are known.
pub(super) fn last(path: &str) -> &str {
    path.rsplit('.')
        .find(|part| part.parse::<usize>().is_err())
        .unwrap_or(path)
}

/// Every cell below a place, with its path.
pub(super) fn flatten(path: &str, at: &toml::Value, out: &mut Vec<(String, Content)>) {
    let below = |key: &str| {
        if path.is_empty() {
            key.to_owned()
        } else {
            format!("{path}.{key}")
        }
    };
    let numbers = |list: &[toml::Value]| list.iter().map(plain).collect::<Option<Vec<f64>>>();
    match at {
        toml::Value::Table(table) => {
            if let Ok(value) = at.clone().try_into::<Value>() {
                out.push((path.to_owned(), Content::Value(value)));
                return;
            }
            for (key, value) in table {
                if !(path.is_empty() && IDENTITY.contains(&key.as_str())) {
                    flatten(&below(key), value, out);
                }
            }
        }
        toml::Value::Array(list) => match numbers(list) {
            Some(numbers) => out.push((path.to_owned(), Content::Numbers(numbers))),
            None => list
                .iter()
                .enumerate()
                .for_each(|(k, value)| flatten(&below(&k.to_string()), value, out)),
        },
        toml::Value::String(text) => {
            let caution = at.clone().try_into::<Caution>().ok();
            out.push((
                path.to_owned(),
                match caution.filter(|_| path == "caution") {
                    Some(caution) => Content::Caution(Some(caution)),
                    None => Content::Text(text.clone()),
                },
            ));
        }
        other => {
            if let Some(number) = plain(other) {
                out.push((path.to_owned(), Content::Numbers(vec![number])));
            }
        }
    }
}

fn plain(value: &toml::Value) -> Option<f64> {
    match value {
        toml::Value::Float(v) => Some(*v),
        toml::Value::Integer(v) => Some(*v as f64),
        _ => None,
    }
}

/// A cell after a change; `None` where the change does not fit what stands there.
pub(super) fn changed(old: &Content, change: Change) -> Option<Content> {
    let own = |value: &Value, new: Value| Value {
        // A source that the shop has noted itself stays.
        source: if value.standing == Standing::Yours {
            value.source.clone()
        } else {
            Value::OWN_LIBRARY.to_owned()
        },
        standing: Standing::Yours,
        ..new
    };
    Some(match (old, change) {
        (Content::Value(old), Change::Number(v)) => Content::Value(own(old, old.moved_to(v))),
        (Content::Value(old), Change::Low(low)) => {
            Content::Value(own(old, Value { low, ..old.clone() }))
        }
        (Content::Value(old), Change::High(high)) => Content::Value(own(
            old,
            Value {
                high,
                ..old.clone()
            },
        )),
        (Content::Value(old), Change::Standing(standing)) => Content::Value(Value {
            standing,
            ..old.clone()
        }),
        (Content::Value(old), Change::Source(source)) => Content::Value(Value {
            source,
            ..old.clone()
        }),
        (Content::Missing(unit), Change::Number(value)) => Content::Value(Value {
            value,
            low: None,
            high: None,
            unit: unit.clone(),
            standing: Standing::Yours,
            source: Value::OWN_LIBRARY.to_owned(),
        }),
        (Content::Text(_), Change::Text(text)) => Content::Text(text),
        (Content::Numbers(old), Change::Part(k, v)) => {
            let mut new = old.clone();
            *new.get_mut(k)? = v;
            Content::Numbers(new)
        }
        (Content::Caution(_), Change::Caution(caution)) => Content::Caution(caution),
        _ => return None,
    })
}

/// Writes a cell into an entry that is taken apart; `None` where there is no such place.
pub(super) fn write_at(whole: &mut toml::Table, path: &str, new: Content) -> Option<()> {
    let new = match new {
        Content::Value(value) => Some(toml::Value::try_from(value).ok()?),
        Content::Text(text) => Some(toml::Value::String(text)),
        Content::Numbers(list) => Some(toml::Value::Array(
            list.into_iter().map(toml::Value::Float).collect(),
        )),
        Content::Caution(caution) => match caution {
            Some(caution) => Some(toml::Value::try_from(caution).ok()?),
            None => None,
        },
        Content::Missing(_) => None,
    };
    let (before, last) = match path.rsplit_once('.') {
        Some((before, last)) => (Some(before), last),
        None => (None, path),
    };
    let mut place: Option<&mut toml::Value> = None;
    for part in before.into_iter().flat_map(|b| b.split('.')) {
        place = Some(match place {
            None => whole.get_mut(part)?,
            Some(toml::Value::Table(table)) => table.get_mut(part)?,
            Some(toml::Value::Array(list)) => list.get_mut(part.parse::<usize>().ok()?)?,
            Some(_) => return None,
        });
    }
    match (place, new) {
        (None, None) => {
            whole.remove(last);
        }
        (None, Some(new)) => match (whole.get(last), new) {
            // A lone number was no list.
            (Some(toml::Value::Float(_) | toml::Value::Integer(_)), toml::Value::Array(list)) => {
                whole.insert(last.to_owned(), list.into_iter().next()?);
            }
            (_, new) => {
                whole.insert(last.to_owned(), new);
            }
        },
        (Some(toml::Value::Table(table)), Some(new)) => {
            table.insert(last.to_owned(), new);
        }
        (Some(toml::Value::Array(list)), Some(new)) => {
            *list.get_mut(last.parse::<usize>().ok()?)? = new;
        }
        _ => return None,
    }
    Some(())
}
