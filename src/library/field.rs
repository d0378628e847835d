//! What a field of the library is, and the macro by which one table of fields makes the struct, its cells, file and page.

use super::content::{Change, Content, Shape, names};
use super::faults::Reason;
use crate::standing::{Standing, Value};

/// What a field does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    /// It moves some figure of an estimate, or what an estimate warns of.
    Estimate,
    /// It moves no figure and has another use, in words.
    Use(&'static str),
    /// It is shown, and nothing rests on it.
    Information,
}

/// A field of an entry: one line of the table of fields.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its name in the file.
    pub key: &'static str,
    /// What can stand there.
    pub shape: Shape,
    /// Its name on the page.
    pub words: &'static str,
    /// Its name on the line of a closed entry.
    pub short: &'static str,
    /// The heading that it stands under, where a table has headings.
    pub group: &'static str,
    /// Unit of its number; empty for a ratio and for words.
    pub unit: &'static str,
    /// Least that its number may be, in `unit`.
    pub low: f64,
    /// Most that its number may be, in `unit`.
    pub high: f64,
    /// What it does.
    pub effect: Effect,
    /// What stands there where an entry from before there was such a field says nothing.
    pub before: Option<fn() -> Value>,
    /// What is wrong with one of its names.
    pub(super) check: Option<fn(&str) -> Option<Reason>>,
}

impl Field {
    /// Limits are wide: they catch slips of the decimal point and of the unit, not unusual shops (judgement).
    pub(super) const fn number(
        words: &'static str,
        unit: &'static str,
        low: f64,
        high: f64,
    ) -> Self {
        Self {
            key: "",
            shape: Shape::Number,
            words,
            short: "",
            group: "",
            unit,
            low,
            high,
            effect: Effect::Estimate,
            before: None,
            check: None,
        }
    }
    /// Words, a list of words, or one of a few kinds.
    pub(super) const fn words(words: &'static str) -> Self {
        Self::number(words, "", 0.0, 0.0)
    }
    pub(super) const fn short(self, short: &'static str) -> Self {
        Self { short, ..self }
    }
    pub(super) const fn under(self, group: &'static str) -> Self {
        Self { group, ..self }
    }
    pub(super) const fn used_for(self, what: &'static str) -> Self {
        Self {
            effect: Effect::Use(what),
            ..self
        }
    }
    pub(super) const fn information(self) -> Self {
        Self {
            effect: Effect::Information,
            ..self
        }
    }
    pub(super) const fn before(self, value: fn() -> Value) -> Self {
        Self {
            before: Some(value),
            ..self
        }
    }
    /// Each of its names is looked at.
    pub(super) const fn checked(self, check: fn(&str) -> Option<Reason>) -> Self {
        Self {
            check: Some(check),
            ..self
        }
    }
    /// What the macro adds.
    pub(super) const fn keyed(self, key: &'static str, shape: Shape) -> Self {
        Self { key, shape, ..self }
    }
    /// Whether a number may stand there.
    pub fn allows(&self, number: f64) -> bool {
        // Not `<`: no number must not pass.
        (self.low..=self.high).contains(&number)
    }
    /// What stands in such a cell after a change; `None` where the change does not fit what stands there.
    pub(super) fn changed(&self, content: &Content, change: Change) -> Option<Content> {
        let own = |old: &Value, new: Value| {
            Content::Value(Value {
                // A source that the shop has noted itself stays.
                source: if old.standing == Standing::Yours {
                    old.source.clone()
                } else {
                    Value::OWN_LIBRARY.to_owned()
                },
                standing: Standing::Yours,
                ..new
            })
        };
        Some(match (content, change) {
            (Content::Value(old), Change::Number(v)) => own(old, self.moved(old, v)),
            (Content::Value(old), Change::Low(low)) => own(old, Value { low, ..old.clone() }),
            (Content::Value(old), Change::High(high)) => own(
                old,
                Value {
                    high,
                    ..old.clone()
                },
            ),
            (Content::Value(old), Change::Standing(standing)) => Content::Value(Value {
                standing,
                ..old.clone()
            }),
            (Content::Value(old), Change::Source(source)) => Content::Value(Value {
                source,
                ..old.clone()
            }),
            (Content::Missing, Change::Number(value)) => Content::Value(Value {
                value,
                low: None,
                high: None,
                unit: self.unit.to_owned(),
                standing: Standing::Yours,
                source: Value::OWN_LIBRARY.to_owned(),
            }),
            (Content::Value(_) | Content::Missing, Change::Nothing)
                if self.shape == Shape::OptionalNumber =>
            {
                Content::Missing
            }
            (Content::Names(_), Change::Names(names)) => Content::Names(names),
            (Content::Threading(_), Change::Threading(how)) => Content::Threading(how),
            (Content::Text(_), Change::Text(text)) => Content::Text(text),
            (Content::Names(_), Change::Text(text)) => Content::Names(names(&text)),
            (Content::Pair(old), Change::Part(k, v)) => {
                let mut new = *old;
                *new.get_mut(k)? = v;
                Content::Pair(new)
            }
            (Content::Caution(_), Change::Caution(caution)) => Content::Caution(caution),
            (Content::Kind(_), Change::Kind(kind)) => Content::Kind(kind),
            _ => return None,
        })
    }
    /// A value with another number: its range keeps its width in proportion, inside the limits of the self.
    pub(super) fn moved(&self, old: &Value, number: f64) -> Value {
        let moved = old.moved_to(number);
        Value {
            low: moved.low.map(|l| l.max(self.low).min(number)),
            high: moved.high.map(|h| h.min(self.high).max(number)),
            ..moved
        }
    }
}

/// Something with fields, cell by cell.
pub trait Cells {
    /// Its fields in the order in which they are read.
    fn fields(&self) -> &'static [Field];
    /// What stands in one.
    fn content(&self, key: &str) -> Option<Content>;
    /// Puts something there; `None` where there is no such field or it does not fit.
    fn put(&mut self, key: &str, content: Content) -> Option<()>;
}

/// One table of fields: each line is a field of the struct and all that file, checks and page know about it.
macro_rules! table_of_fields {
    (
        $(#[$doc:meta])*
        $name:ident $(by $(#[$id_doc:meta])* $id:ident: $id_type:ty)? {
            $( $(#[$field_doc:meta])* $field:ident: $type:ty => $about:expr, )*
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $( $(#[$id_doc])* pub $id: $id_type, )?
            $( $(#[$field_doc])* pub $field: $type, )*
        }
        impl $crate::library::field::Cells for $name {
            fn fields(&self) -> &'static [Field] {
                Self::FIELDS
            }
            fn content(&self, key: &str) -> Option<Content> {
                match key {
                    $( stringify!($field) => Some(CellType::content(&self.$field)), )*
                    _ => None,
                }
            }
            fn put(&mut self, key: &str, content: Content) -> Option<()> {
                match key {
                    $( stringify!($field) => self.$field = CellType::of(content)?, )*
                    _ => return None,
                }
                Some(())
            }
        }
        impl $name {
            /// Its fields in the order in which they are read.
            pub const FIELDS: &'static [Field] = &[ $( $about.keyed(stringify!($field), <$type as CellType>::SHAPE), )* ];
            /// From the content of every field.
            ///
            /// # Errors
            /// Those of `cell`; and what `misfit` makes of content that does not fit its field.
            pub(super) fn from_cells<E>(
                $( $id: $id_type, )?
                mut cell: impl FnMut(&'static Field) -> Result<Content, E>,
                misfit: impl Fn(&'static Field) -> E,
            ) -> Result<Self, E> {
                // One field after the other, in the order of the lines above.
                let mut fields = Self::FIELDS.iter();
                let mut next = || fields.next().unwrap_or(&Self::FIELDS[0]);
                Ok(Self {
                    $( $id, )?
                    $( $field: {
                        let field = next();
                        CellType::of(cell(field)?).ok_or_else(|| misfit(field))?
                    }, )*
                })
            }
        }
    };
}
pub(super) use table_of_fields;
