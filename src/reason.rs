//! Why a figure is what it is: a tree from "5 h 12 min" down to "150 mm²/min, judgement".
//!
//! A [`Figure`] is built only when somebody asks; estimates keep plain numbers.

use crate::language::localised;
use crate::standing::{Standing, Value};
use crate::units::Length;
use std::borrow::Cow;
use std::fmt::{self, Write as _};

/// The unit of a figure, so that it can be shown in mm or inch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// No unit: a ratio or a count.
    Plain,
    /// mm of geometry.
    Mm,
    /// mm².
    Mm2,
    /// mm²/min.
    CuttingRate,
    /// mm/min.
    Feed,
    /// m/min of wire.
    RunOff,
    /// m of wire.
    WireM,
    /// min.
    Minutes,
    /// h.
    Hours,
    /// kg.
    Kg,
    /// kg/m³.
    Density,
    /// Currency.
    Money,
    /// Currency an hour.
    MoneyPerHour,
    /// Currency a kilogram.
    MoneyPerKg,
    /// An hour.
    PerHour,
    /// degrees.
    Degrees,
    /// µm of roughness.
    Um,
}

impl Unit {
    /// As printed behind a metric number.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Plain | Self::Money => "",
            Self::Mm => "mm",
            Self::Mm2 => "mm²",
            Self::CuttingRate => "mm²/min",
            Self::Feed => "mm/min",
            Self::RunOff => "m/min",
            Self::WireM => "m",
            Self::Minutes => "min",
            Self::Hours => "h",
            Self::Kg => "kg",
            Self::Density => "kg/m³",
            Self::MoneyPerHour => "/h",
            Self::MoneyPerKg => "/kg",
            Self::PerHour => "1/h",
            Self::Degrees => "°",
            Self::Um => "µm",
        }
    }
}

/// A few words, perhaps with lengths in them: those are shown in the unit of whoever reads it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wording {
    text: Cow<'static, str>,
    lengths: Vec<Length>,
}

impl Wording {
    /// Stands in the text where a length goes.
    pub const LENGTH: char = '\u{fffc}';

    /// With lengths, each of which stands where the text has the next [`Self::LENGTH`].
    pub fn with_lengths(text: String, lengths: impl IntoIterator<Item = Length>) -> Self {
        Self {
            text: text.into(),
            lengths: lengths.into_iter().collect(),
        }
    }
    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }
    /// The words alone where they hold no length, so that they can be looked up.
    pub fn plain(&self) -> Option<&str> {
        self.lengths.is_empty().then_some(&*self.text)
    }
    /// With each length as `length` writes it.
    pub fn written(&self, mut length: impl FnMut(Length) -> String) -> String {
        let mut parts = self.text.split(Self::LENGTH);
        let mut out = parts.next().unwrap_or_default().to_owned();
        let mut lengths = self.lengths.iter();
        for part in parts {
            out += &lengths.next().map_or_else(String::new, |l| length(*l));
            out += part;
        }
        out
    }
    /// This after other words.
    #[must_use]
    pub fn after(mut self, before: &str) -> Self {
        self.text = format!("{before}{}", self.text).into();
        self
    }
}

/// Metric.
impl fmt::Display for Wording {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written(|l| format!("{} mm", short(l.mm()))))
    }
}

impl From<&'static str> for Wording {
    fn from(text: &'static str) -> Self {
        Self {
            text: text.into(),
            lengths: Vec::new(),
        }
    }
}

impl From<String> for Wording {
    fn from(text: String) -> Self {
        Self {
            text: text.into(),
            lengths: Vec::new(),
        }
    }
}

/// A number with a name, a unit and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What it is, in a few words.
    pub name: Wording,
    /// The number in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// About 68 %, where known.
    pub range: Option<(f64, f64)>,
    /// Where it comes from.
    pub origin: Origin,
}

/// Where a figure comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// A value that rests on nothing further.
    Value {
        /// How much it can be relied on.
        standing: Standing,
        /// Source or remark; may be empty.
        source: Wording,
    },
    /// Computed from other figures, read from left to right.
    Formula {
        /// The terms; the first one's sign is not shown.
        terms: Vec<(Sign, Figure)>,
        /// Source or remark on the formula; may be empty.
        note: Wording,
    },
}

/// How a term enters a formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sign {
    /// +
    Plus,
    /// −
    Minus,
    /// ×
    Times,
    /// ÷
    Over,
}

impl Sign {
    /// As printed between two terms.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "−",
            Self::Times => "×",
            Self::Over => "÷",
        }
    }
}

impl Figure {
    /// A number of the job or the drawing.
    pub fn given(name: impl Into<Wording>, value: f64, unit: Unit, standing: Standing) -> Self {
        Self::value(name, value, unit, standing, "")
    }
    /// A number with its standing and source.
    pub fn value(
        name: impl Into<Wording>,
        value: f64,
        unit: Unit,
        standing: Standing,
        source: impl Into<Wording>,
    ) -> Self {
        Self {
            name: name.into(),
            value,
            unit,
            range: None,
            origin: Origin::Value {
                standing,
                source: source.into(),
            },
        }
    }
    /// A value of the library.
    pub fn library(name: impl Into<Wording>, value: &Value, unit: Unit) -> Self {
        Self {
            range: value.low.zip(value.high).filter(|(l, h)| l < h),
            ..Self::value(
                name,
                value.value,
                unit,
                value.standing,
                value.source.clone(),
            )
        }
    }
    /// A computed number.
    pub fn formula(
        name: impl Into<Wording>,
        value: f64,
        unit: Unit,
        terms: Vec<(Sign, Figure)>,
        note: impl Into<Wording>,
    ) -> Self {
        Self {
            name: name.into(),
            value,
            unit,
            range: None,
            origin: Origin::Formula {
                terms,
                note: note.into(),
            },
        }
    }
    /// With a range of about 68 %.
    #[must_use]
    pub fn with_range(mut self, low: f64, high: f64) -> Self {
        self.range = Some((low, high));
        self
    }
    /// What the terms of a formula come to, read from left to right with × and ÷ before + and −.
    ///
    /// For checking that an explanation explains its own number; `None` for a plain value.
    pub fn recomputed(&self) -> Option<f64> {
        let Origin::Formula { terms, .. } = &self.origin else {
            return None;
        };
        let mut sum = 0.0;
        let mut product: Option<f64> = None;
        for (k, (sign, figure)) in terms.iter().enumerate() {
            let sign = if k == 0 { Sign::Plus } else { *sign };
            match sign {
                Sign::Plus | Sign::Minus => {
                    sum += product.unwrap_or(0.0);
                    product = Some(if sign == Sign::Plus {
                        figure.value
                    } else {
                        -figure.value
                    });
                }
                Sign::Times => product = product.map(|p| p * figure.value),
                Sign::Over => product = product.map(|p| p / figure.value),
            }
        }
        Some(sum + product.unwrap_or(0.0))
    }
    /// The number and its unit, metric, with about four digits.
    pub fn metric(&self) -> String {
        let symbol = self.unit.symbol();
        let gap = if symbol.is_empty() || symbol.starts_with(['/', '°']) {
            ""
        } else {
            "\u{202f}"
        };
        format!("{}{gap}{symbol}", short(self.value))
    }
    /// One line: the formula in numbers and, all the way down, what each term is made of or where it is from.
    pub fn one_line(&self) -> String {
        let mut out = String::new();
        match &self.origin {
            Origin::Value { standing, source } => {
                let _ = write!(out, "{} {} ({}", self.name, self.metric(), standing.word());
                if !source.is_empty() {
                    let _ = write!(out, ", {source}");
                }
                out.push(')');
            }
            Origin::Formula { terms, .. } => {
                out.push_str(&in_numbers(terms));
                unfold(terms, &mut out);
            }
        }
        out
    }
}

/// "length 52.17 mm ÷ rough feed 3.248 mm/min".
fn in_numbers(terms: &[(Sign, Figure)]) -> String {
    let mut out = String::new();
    for (k, (sign, f)) in terms.iter().enumerate() {
        if k > 0 {
            let _ = write!(out, " {} ", sign.symbol());
        }
        let _ = write!(out, "{} {}", f.name, f.metric());
    }
    out
}

/// "; rough feed = rough rate … ÷ thickness …; thickness: yours", every name once.
fn unfold(terms: &[(Sign, Figure)], out: &mut String) {
    for (_, f) in terms {
        let said = match &f.origin {
            Origin::Value { standing, .. } => format!("; {}: {}", f.name, standing.word()),
            Origin::Formula { terms, .. } => format!("; {} = {}", f.name, in_numbers(terms)),
        };
        if out.contains(&said) {
            continue;
        }
        out.push_str(&said);
        if let Origin::Formula { terms, .. } = &f.origin {
            unfold(terms, out);
        }
    }
}

/// About four significant digits, no exponent, no trailing zeros.
pub fn short(value: f64) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (3 - magnitude).clamp(0, 6) as usize;
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    localised(text.replacen('-', "−", 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        assert_eq!(short(149.2537), "149.3");
        assert_eq!(short(0.131), "0.131");
        assert_eq!(short(2.0), "2");
        assert_eq!(short(-12.5), "−12.5");
        assert_eq!(short(123_456.7), "123457");
    }

    #[test]
    fn an_explanation_recomputes_its_number() {
        let given = |v| Figure::given("x", v, Unit::Plain, Standing::Yours);
        let f = Figure::formula(
            "y",
            14.0,
            Unit::Plain,
            vec![
                (Sign::Plus, given(2.0)),
                (Sign::Plus, given(6.0)),
                (Sign::Times, given(4.0)),
                (Sign::Over, given(2.0)),
            ],
            "",
        );
        assert_eq!(f.recomputed(), Some(14.0));
    }
}
