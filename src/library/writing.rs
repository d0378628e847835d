//! How a library file is written: what [`super::reading`] reads back unchanged.

use super::Library;
use super::content::Content;
use super::file_words::{CURVE, HEAD, NO_CAUTION, VERSION};
use super::kind::Caution;
use super::kinds::{Entry, LibraryTable, SingleValues, of_table};
use super::own_entries::UserLibrary;
use super::tables::{Model, Overheads};
use super::thickness_curve::ThicknessCurve;
use crate::standing::Value;
use std::fmt::Write;

impl Library {
    /// Everything as the text of a library file, which [`Library::from_toml`] reads back to the last bit; what was learned is not
    /// in it.
    pub fn to_toml(&self) -> String {
        let mut all = UserLibrary {
            materials: self.materials.clone(),
            wires: self.wires.clone(),
            diameters: self.diameters.clone(),
            passes: self.passes.clone(),
            spools: self.spools.clone(),
            machines: self.machines.clone(),
            thickness_curve: self.thickness_curve.clone(),
            ..UserLibrary::default()
        };
        single::<Overheads>(self, &mut all);
        single::<Model>(self, &mut all);
        written(&all)
    }
}

fn single<S: SingleValues>(library: &Library, all: &mut UserLibrary) {
    let values = S::of(library).fields().iter().filter_map(|field| {
        match S::of(library).content(field.key)? {
            Content::Value(value) => Some((field.key, value)),
            _ => None,
        }
    });
    S::own_mut(all).extend(values);
}

pub(super) fn written(own: &UserLibrary) -> String {
    let mut out = format!("{HEAD} = {VERSION}\n");
    for table in LibraryTable::ALL {
        of_table!(table,
            E => E::own(own).iter().for_each(|e| entry(&mut out, e)),
            S => values::<S>(&mut out, own));
    }
    let points = own
        .thickness_curve
        .as_ref()
        .map_or(&[][..], ThicknessCurve::points);
    for p in points {
        let (h, a) = (float(p.thickness_mm), float(p.rate_mm2_per_min));
        line(
            &mut out,
            &format!("\n[[{CURVE}]]\nthickness_mm = {h}\nrate_mm2_per_min = {a}"),
        );
    }
    out
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

fn entry<E: Entry>(out: &mut String, e: &E) {
    let name = match E::TABLE {
        LibraryTable::Diameters => e.name().parse().map_or_else(|_| text(&e.name()), float),
        _ => text(&e.name()),
    };
    line(
        out,
        &format!("\n[[{}]]\n{} = {name}", E::TABLE.word(), E::ID),
    );
    for field in e.fields() {
        if let Some(cell) = e.content(field.key).and_then(|c| cell(&c)) {
            line(out, &format!("{} = {cell}", field.key));
        }
    }
}

fn values<S: SingleValues>(out: &mut String, own: &UserLibrary) {
    if S::own(own).is_empty() {
        return;
    }
    line(out, &format!("\n[{}]", S::TABLE.word()));
    for (key, v) in S::own(own) {
        line(out, &format!("{key} = {}", value(v)));
    }
}

fn text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn float(number: f64) -> String {
    toml::Value::Float(number).to_string()
}

fn list(parts: impl Iterator<Item = String>) -> String {
    format!("[{}]", parts.collect::<Vec<_>>().join(", "))
}

fn value(v: &Value) -> String {
    let mut out = format!("{{ value = {}", float(v.value));
    for (key, end) in [("low", v.low), ("high", v.high)] {
        if let Some(end) = end {
            // Writing to a text cannot fail.
            let _ = write!(out, ", {key} = {}", float(end));
        }
    }
    let (unit, source) = (text(&v.unit), text(&v.source));
    let standing = text(v.standing.key());
    let _ = write!(
        out,
        ", unit = {unit}, standing = {standing}, source = {source} }}"
    );
    out
}

fn cell(content: &Content) -> Option<String> {
    Some(match content {
        Content::Value(v) => value(v),
        Content::Missing => return None,
        Content::Text(words) => text(words),
        Content::Names(names) => list(names.iter().map(|n| text(n))),
        Content::Pair(pair) => list(pair.iter().map(|v| float(*v))),
        Content::Caution(caution) => text(caution.map_or(NO_CAUTION, Caution::key)),
        Content::Kind(kind) => text(kind.key()),
        Content::Threading(how) => text(how.key()),
    })
}
