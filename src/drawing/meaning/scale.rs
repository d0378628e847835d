//! The scale that a drawing is drawn at, and what its dimensions and texts say about it.
//!
//! Nothing is scaled unasked: what dimensions or texts say becomes a finding with the scale to take.

use super::words::{Token, clauses, tokens};
use std::fmt;
use std::str::FromStr;

/// Drawn size over true size: 10:1 is 10.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Scale(f64);

/// Scales that can be meant.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = 1e-4..=1e4;
/// Two scales this near to each other are the same one, as a share: factors are written with six digits.
const SAME: f64 = 1e-4;

impl Scale {
    /// Drawn in true size.
    pub const TRUE_SIZE: Self = Self(1.0);

    /// Drawn size over true size; `None` beyond 1:10 000 and 10 000:1.
    pub fn new(drawn_over_true: f64) -> Option<Self> {
        PLAUSIBLE
            .contains(&drawn_over_true)
            .then_some(Self(drawn_over_true))
    }
    /// Drawn size over true size.
    pub fn factor(self) -> f64 {
        self.0
    }
    /// Whether nothing is enlarged or reduced.
    pub fn is_true_size(self) -> bool {
        self.is_about(Self::TRUE_SIZE)
    }
    /// Whether it is the same scale, but for the digits it was written with.
    pub fn is_about(self, other: Self) -> bool {
        (self.0 / other.0 - 1.0).abs() <= SAME
    }
}

impl Default for Scale {
    fn default() -> Self {
        Self::TRUE_SIZE
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = |v: f64| {
            let text = format!("{v:.4}");
            let text = text.trim_end_matches('0');
            text.trim_end_matches('.').to_owned()
        };
        if self.0 >= 1.0 {
            write!(f, "{}:1", number(self.0))
        } else {
            write!(f, "1:{}", number(1.0 / self.0))
        }
    }
}

impl FromStr for Scale {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        let side = |s: &str| s.trim().replace(',', ".").parse::<f64>().ok();
        let scale = text.split_once(':').and_then(|(drawn, size)| {
            let (drawn, size) = (side(drawn)?, side(size)?);
            (drawn > 0.0 && size > 0.0)
                .then(|| Self::new(drawn / size))
                .flatten()
        });
        scale.ok_or_else(|| {
            say!("\"{text}\" is not a scale; write drawn size to true size, such as 10:1 or 1:2")
        })
    }
}

/// Where a scale comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum ScaleSource {
    /// Nobody said anything: true size.
    #[default]
    Default,
    /// The user typed or chose it.
    Option,
    /// The dimensions, as the user accepted.
    Dimensions,
    /// A text, as the user accepted.
    Text,
}

impl ScaleSource {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Default, Self::Option, Self::Dimensions, Self::Text];
    /// The word written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Default => "default",
            Self::Option => "option",
            Self::Dimensions => "dimensions",
            Self::Text => "text",
        }
    }
}

/// A scale and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ScaleChoice {
    /// The scale.
    pub scale: Scale,
    /// Where it comes from.
    pub from: ScaleSource,
}

impl ScaleChoice {
    /// As the user typed or chose it.
    pub fn chosen(scale: Scale) -> Self {
        Self {
            scale,
            from: ScaleSource::Option,
        }
    }
}

/// The scale that a drawing was read at, and the one that it says itself.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DrawnScale {
    /// The one it was read at.
    pub used: ScaleChoice,
    /// Another one that its dimensions or texts agree on.
    pub offered: Option<ScaleChoice>,
}

/// Words before a scale in a title block or note.
const LABELS: [&str; 9] = [
    "scale", "scales", "maßstab", "massstab", "masstab", "echelle", "échelle", "escala", "scala",
];
/// A scale beside such a word is that of one view, not of the drawing.
const OF_A_VIEW: [&str; 12] = [
    "detail",
    "details",
    "view",
    "section",
    "ansicht",
    "ansichten",
    "schnitt",
    "einzelheit",
    "einzelheiten",
    "drucken",
    "plot",
    "print",
];

/// The scale that a text says, if it does so plainly: "SCALE 10:1", "Maßstab: 1:2", "M 2:1".
pub fn scale_said(text: &str) -> Option<Scale> {
    let mut said = clauses(text)
        .into_iter()
        .filter_map(|clause| scale_of(&tokens(clause)));
    let first = said.next()?;
    said.all(|s| s.is_about(first)).then_some(first)
}

/// The scale of a text in a cell that is headed so: "10:1" below "Scale".
pub fn scale_in_cell(head: &str, text: &str) -> Option<Scale> {
    scale_said(&format!("{} {text}", head.trim_end_matches([':', ' '])))
}

fn scale_of(tokens: &[Token]) -> Option<Scale> {
    if tokens.iter().any(|t| t.is_word(&OF_A_VIEW)) {
        return None;
    }
    // "M" alone is too short to be looked for within a sentence.
    let mut k = match tokens.first()? {
        t if t.is_word(&["m"]) => 1,
        t if t.is_word(&["drawing", "drawn", "main", "zeichnungs"]) => 1,
        _ => 0,
    };
    if !tokens[0].is_word(&["m"]) {
        let mut labels = 0;
        while tokens.get(k).is_some_and(|t| t.is_word(&LABELS)) {
            labels += 1;
            k += 1;
            if tokens.get(k).is_some_and(|t| t.is_sign('/')) {
                k += 1;
            }
        }
        if labels == 0 {
            return None;
        }
    }
    while tokens
        .get(k)
        .is_some_and(|t| t.is_sign(':') || t.is_sign('=') || t.is_sign('.'))
    {
        k += 1;
    }
    let [Token::Number(a), colon, Token::Number(b), rest @ ..] = tokens.get(k..)? else {
        return None;
    };
    // What follows may be the next cell of the table, but no second ratio and no unit.
    let plain = colon.is_sign(':')
        && match rest.first() {
            None => true,
            Some(Token::Word(w)) => {
                w.chars().count() > 1 && !["mm", "in", "inch", "cm"].contains(&w.as_str())
            }
            Some(t) => t.is_sign('(') || t.is_sign('@'),
        }
        && !rest
            .windows(2)
            .any(|w| w[0].is_sign(':') && matches!(w[1], Token::Number(_)));
    (plain && a.value > 0.0 && b.value > 0.0)
        .then(|| Scale::new(a.value / b.value))
        .flatten()
}

/// Scales that drawings are made at (ISO 5455, from memory), and the further ones in use, as the larger
/// number to 1.
const IN_USE: [f64; 10] = [2.0, 2.5, 3.0, 4.0, 5.0, 8.0, 10.0, 20.0, 50.0, 100.0];

/// The scale in use within a range of drawn over true size.
pub(crate) fn in_use(low: f64, high: f64) -> Option<f64> {
    let up = IN_USE.into_iter();
    let both = up.clone().chain(up.map(|f| 1.0 / f));
    both.into_iter().find(|f| (low..=high).contains(f))
}
