//! What can stand in a cell, and how it is changed.

use super::kind::{Caution, Kind};
use super::threading::Threading;
use crate::standing::{Standing, Value};

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// A number with its range, standing and source.
    Value(Value),
    /// A number that this entry does not give, though it could.
    Missing,
    /// Words.
    Text(String),
    /// Several names.
    Names(Vec<String>),
    /// The low and the high end of what is usual.
    Pair([f64; 2]),
    /// What to warn about.
    Caution(Option<Caution>),
    /// What kind of material it is.
    Kind(Kind),
    /// How a machine threads.
    Threading(Threading),
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
    /// Other words; several names with commas between them.
    Text(String),
    /// The low (0) or the high end (1) of what is usual.
    Part(usize, f64),
    /// What to warn about.
    Caution(Option<Caution>),
    /// What kind of material it is.
    Kind(Kind),
    /// Several names, one by one.
    Names(Vec<String>),
    /// How a machine threads.
    Threading(Threading),
    /// Nothing is said any more, where nothing need be.
    Nothing,
}

/// What can stand in a cell, before anything does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A number with its range.
    Number,
    /// The same, or nothing.
    OptionalNumber,
    /// Words.
    Text,
    /// Several names.
    Names,
    /// Low and high.
    Pair,
    /// What to warn about.
    Caution,
    /// Kind of material.
    Kind,
    /// How a machine threads.
    Threading,
}

impl Shape {
    /// What stands there where nothing is said; `None` where something must be.
    pub(super) fn absent(self) -> Option<Content> {
        match self {
            Self::Number | Self::Pair => None,
            Self::OptionalNumber => Some(Content::Missing),
            Self::Text => Some(Content::Text(String::new())),
            Self::Names => Some(Content::Names(Vec::new())),
            Self::Caution => Some(Content::Caution(None)),
            Self::Kind => Some(Content::Kind(Kind::default())),
            Self::Threading => Some(Content::Threading(Threading::default())),
        }
    }
}

/// A type that a field can have.
pub trait CellType: Sized {
    /// What can stand in such a cell.
    const SHAPE: Shape;
    /// As a cell.
    fn content(&self) -> Content;
    /// From a cell; `None` where that holds something else.
    fn of(content: Content) -> Option<Self>;
}

impl CellType for Value {
    const SHAPE: Shape = Shape::Number;
    fn content(&self) -> Content {
        Content::Value(self.clone())
    }
    fn of(content: Content) -> Option<Self> {
        match content {
            Content::Value(value) => Some(value),
            _ => None,
        }
    }
}

impl CellType for Option<Value> {
    const SHAPE: Shape = Shape::OptionalNumber;
    fn content(&self) -> Content {
        self.clone().map_or(Content::Missing, Content::Value)
    }
    fn of(content: Content) -> Option<Self> {
        match content {
            Content::Value(value) => Some(Some(value)),
            Content::Missing => Some(None),
            _ => None,
        }
    }
}

macro_rules! cell_type {
    ($type:ty, $content:ident) => {
        impl CellType for $type {
            const SHAPE: Shape = Shape::$content;
            fn content(&self) -> Content {
                Content::$content(self.clone())
            }
            fn of(content: Content) -> Option<Self> {
                match content {
                    Content::$content(inner) => Some(inner),
                    _ => None,
                }
            }
        }
    };
}
cell_type!(String, Text);
cell_type!(Vec<String>, Names);
cell_type!([f64; 2], Pair);
cell_type!(Option<Caution>, Caution);
cell_type!(Kind, Kind);
cell_type!(Threading, Threading);

/// Names out of one text: commas, semicolons or slashes with a space around them stand between.
pub(super) fn names(text: &str) -> Vec<String> {
    text.replace(" / ", ",")
        .split([',', ';'])
        .map(|name| name.trim().to_owned())
        .filter(|name| !name.is_empty())
        .collect()
}
