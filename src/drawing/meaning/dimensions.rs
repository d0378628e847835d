//! What a drawing's dimensions say, held against the geometry they stand at.

use super::scale::{Scale, in_use};
use super::words::{Token, tokens};
use crate::drawing::curves::PlacedDimension;
use crate::drawing::format::Measuring;
use crate::geometry::DrawingPoint;
use crate::units::MM_PER_INCH;

/// What kind of length a dimension gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DimensionKind {
    /// A length along a direction, or between two points.
    Linear,
    /// A diameter.
    Diameter,
    /// A radius.
    Radius,
    /// A coordinate from a datum.
    Ordinate,
}

/// A number that a dimension's text gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Written {
    /// The number.
    pub value: f64,
    /// Half of the last digit written: within it the number may have been rounded.
    pub half: f64,
    /// Millimetres in its unit, where one is written behind it.
    pub unit_mm: Option<f64>,
    /// Typed over what was measured, so that nothing was rounded by a program.
    pub typed: bool,
}

impl Written {
    /// A diameter written at a radius, or a radius at a diameter, as what the dimension is measured over.
    fn of_kind(self, kind: DimensionKind, text: &str) -> Self {
        let times = match kind {
            DimensionKind::Radius if text.contains(['Ø', 'ø', '⌀', '∅']) => 0.5,
            DimensionKind::Diameter if text.trim_start().starts_with(['R', 'r']) => 2.0,
            _ => 1.0,
        };
        Self {
            value: self.value * times,
            half: self.half * times,
            ..self
        }
    }
}

/// A dimension in the model space.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// What it gives.
    pub kind: DimensionKind,
    /// Distance of its definition points, true mm at the scale the drawing was read at.
    pub drawn_mm: f64,
    /// By what its style multiplies what is drawn, 1 where it says nothing.
    pub factor: f64,
    /// The number in its text.
    pub written: Option<Written>,
    /// What the file says was measured, drawing units.
    pub measured: Option<f64>,
    /// Where its text stands, absolute mm.
    pub at: DrawingPoint,
    /// Line number or byte position.
    pub line: usize,
}

/// How a dimension stands to what is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stands {
    /// It gives what is drawn, at the scale that the drawing was read at.
    Agrees,
    /// It gives what lies on the sheet divided by this: by its own factor, or by its text alone.
    Scaled(f64, ByWhat),
    /// It gives 25.4 times what is drawn, or a 25.4th: a matter of units, not of scale.
    OtherUnit,
    /// It gives something else.
    Disagrees,
}

/// What says that a dimension is scaled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ByWhat {
    /// Its style or itself multiplies by a factor.
    OwnFactor,
    /// Only the number in its text.
    Text,
}

/// Share by which a number may miss what is drawn and still give it: drawings are drawn to a few digits.
const SLACK: f64 = 1e-3;
/// A number that was typed is not rounded further than this, mm.
const TYPED_HALF: f64 = 0.05;

impl Dimension {
    /// From a dimension in its place; `None` for angles and what has no length.
    pub(crate) fn of(placed: &PlacedDimension) -> Option<Self> {
        let kind = match placed.measuring {
            Measuring::Along(..) | Measuring::Between(..) => DimensionKind::Linear,
            Measuring::Diameter(..) => DimensionKind::Diameter,
            Measuring::Radius(..) => DimensionKind::Radius,
            Measuring::Ordinate(..) => DimensionKind::Ordinate,
            Measuring::NoLength => return None,
        };
        // `<>` stands for what is measured: then the picture shows the number, rounded.
        let typed = placed.typed.as_deref().filter(|t| !t.contains("<>"));
        let text = typed.or(placed.shown.as_deref());
        let written = text
            .and_then(|t| written_number(t, typed.is_some()))
            .map(|w| w.of_kind(kind, text.unwrap_or_default()));
        // Typed words without a number, such as "see table", say nothing; a blank hides the text.
        if typed.is_some() && written.is_none() {
            return None;
        }
        (placed.drawn_mm > 0.0).then_some(Self {
            kind,
            drawn_mm: placed.drawn_mm,
            factor: placed.factor,
            written,
            measured: Some(placed.measured).filter(|m| *m > 0.0),
            at: placed.at,
            line: placed.line,
        })
    }

    /// The number that it gives, drawing units; `used` is the scale that the drawing was read at.
    pub fn gives(&self, unit_mm: f64, used: Scale) -> f64 {
        self.written
            .map_or(self.drawn_mm * used.factor() / unit_mm * self.factor, |w| {
                w.value
            })
    }

    /// Holds it against what is drawn. `unit_mm` is the drawing's unit, `used` the scale it was read at.
    pub fn stands(&self, unit_mm: f64, used: Scale) -> Stands {
        // As it lies on the sheet, whatever scale was taken.
        let drawn = self.drawn_mm * used.factor();
        let own = Some(self.factor).filter(|f| (f - 1.0).abs() > SLACK);
        let Some(written) = self.written else {
            return self.stands_without_text(own, (drawn, unit_mm), used);
        };
        let value = written.value * written.unit_mm.unwrap_or(unit_mm);
        let mut half = written.half * written.unit_mm.unwrap_or(unit_mm);
        if written.typed {
            half = half.min(TYPED_HALF);
        }
        half += SLACK * value;
        let (low, high) = (
            drawn / (value + half),
            drawn / (value - half).max(f64::MIN_POSITIVE),
        );
        let within = |ratio: f64| (low..=high).contains(&ratio);
        if within(used.factor()) {
            return Stands::Agrees;
        }
        if within(1.0) {
            return Stands::Scaled(1.0, ByWhat::Text);
        }
        if let Some(stands) = unit_matter(within, unit_mm, written.unit_mm.is_some()) {
            return stands;
        }
        if let Some(factor) = own.filter(|f| within(1.0 / f)) {
            return Stands::Scaled(1.0 / factor, ByWhat::OwnFactor);
        }
        in_use(low, high).map_or(Stands::Disagrees, |f| Stands::Scaled(f, ByWhat::Text))
    }

    fn stands_without_text(
        &self,
        own: Option<f64>,
        (drawn, unit_mm): (f64, f64),
        used: Scale,
    ) -> Stands {
        let is_used = |f: f64| (f / used.factor() - 1.0).abs() <= SLACK;
        let Some(factor) = own else {
            // The text is what the program measured; a file that keeps another number has drawn it otherwise.
            let ratio = self.measured.map(|m| drawn / (m * unit_mm));
            let kept = ratio.and_then(|r| in_use(r * (1.0 - SLACK), r * (1.0 + SLACK)));
            return match kept {
                Some(f) if is_used(f) => Stands::Agrees,
                Some(f) => Stands::Scaled(f, ByWhat::Text),
                None if is_used(1.0) => Stands::Agrees,
                None => Stands::Scaled(1.0, ByWhat::Text),
            };
        };
        if is_used(1.0 / factor) {
            return Stands::Agrees;
        }
        let near = |ratio: f64| (ratio * factor - 1.0).abs() <= SLACK;
        unit_matter(near, unit_mm, false).unwrap_or(Stands::Scaled(1.0 / factor, ByWhat::OwnFactor))
    }
}

/// Where what is drawn and what is written differ by 25.4, alone or on top of a scale. A drawing in inches
/// may be dimensioned in millimetres and the other way round.
fn unit_matter(is_ratio: impl Fn(f64) -> bool, unit_mm: f64, unit_written: bool) -> Option<Stands> {
    let inch = (unit_mm - MM_PER_INCH).abs() < 1e-9;
    let metric = (unit_mm - 1.0).abs() < 1e-9;
    let dimensioned_in_mm = is_ratio(1.0 / MM_PER_INCH);
    let dimensioned_in_inches = is_ratio(MM_PER_INCH);
    if !unit_written && (inch && dimensioned_in_mm || metric && dimensioned_in_inches) {
        return Some(Stands::Agrees);
    }
    let twice = [2.0, 5.0, 10.0, 0.5, 0.2, 0.1]
        .into_iter()
        .any(|f| is_ratio(f / MM_PER_INCH) || is_ratio(f * MM_PER_INCH));
    (dimensioned_in_mm || dimensioned_in_inches || twice).then_some(Stands::OtherUnit)
}

/// Words that may stand before the number of a dimension.
const BEFORE: [&str; 6] = ["r", "sr", "s", "d", "dia", "rad"];
/// Words that may stand behind the number of a dimension.
const BEHIND: [&str; 17] = [
    "ref", "typ", "basic", "dia", "diameter", "max", "min", "thru", "through", "durch", "tief",
    "nom", "ca", "theor", "all", "rundum", "equi",
];

/// The number that a dimension's text gives; `None` where it is not plainly one length.
pub fn written_number(text: &str, typed: bool) -> Option<Written> {
    let text = without_brackets(text);
    let text = text.rsplit('=').next().unwrap_or_default();
    let (text, divided) = match text.rsplit_once('/') {
        // A constraint keeps its sum: "d1=33.2/2".
        Some((number, by)) if typed && !number.contains(['+', '-', '±', '"']) => {
            (number, by.trim().parse::<f64>().ok().filter(|d| *d > 0.0)?)
        }
        _ => (text, 1.0),
    };
    let mut all = tokens(text);
    // "2x Ø8", "4 × R5".
    if let [Token::Number(n), times, ..] = all.as_slice()
        && n.whole().is_some()
        && (times.is_word(&["x"]) || times.is_sign('×') || times.is_sign('*'))
    {
        all.drain(..2);
    }
    let mut rest = all.as_slice();
    while let [first, tail @ ..] = rest
        && (matches!(first, Token::Sign('Ø' | 'ø' | '⌀' | '∅' | '□' | '~'))
            || first.is_word(&BEFORE))
    {
        rest = tail;
    }
    let [Token::Number(number), tail @ ..] = rest else {
        return None;
    };
    rest = tail;
    let mut unit_mm = None;
    if let [first, tail @ ..] = rest {
        if first.is_word(&["mm"]) {
            unit_mm = Some(1.0);
            rest = tail;
        } else if first.is_word(&["in", "inch"]) || first.is_sign('"') || first.is_sign('″') {
            unit_mm = Some(MM_PER_INCH);
            rest = tail;
        }
    }
    only_limits(rest, number.value)?;
    let half = 0.5 * 0.1_f64.powi(i32::try_from(number.decimals).unwrap_or(12));
    (number.value > 0.0 && number.value.is_finite()).then_some(Written {
        value: number.value / divided,
        half: half / divided,
        unit_mm,
        typed,
    })
}

/// What stands in brackets behind a number: the same length in another unit. A number that is all in
/// brackets is one for reference.
fn without_brackets(text: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    for c in text.chars() {
        match c {
            '[' | '(' => depth += 1,
            ']' | ')' => depth = depth.saturating_sub(1),
            _ if depth == 0 => out.push(c),
            _ => {}
        }
    }
    if out.trim().is_empty() {
        text.replace(['(', ')', '[', ']'], " ")
    } else {
        out
    }
}

/// Whether only tolerances, fits and a few words follow.
fn only_limits(mut rest: &[Token], value: f64) -> Option<()> {
    let mut limits = false;
    while let [first, tail @ ..] = rest {
        rest = tail;
        match first {
            Token::Sign('±' | '+' | '-' | '−') => {
                let [Token::Number(n), tail @ ..] = rest else {
                    return None;
                };
                // A larger one is the other end of a range.
                (n.value <= 0.2 * value).then_some(())?;
                rest = tail;
                limits = true;
            }
            Token::Sign('/') if limits => {
                if let [Token::Number(n), tail @ ..] = rest
                    && n.value == 0.0
                {
                    rest = tail;
                }
            }
            Token::Sign('.' | '*') => {}
            Token::Number(n) if limits && n.value == 0.0 => {}
            Token::Word(w) if BEHIND.contains(&w.as_str()) || is_fit(w) => {}
            _ => return None,
        }
    }
    Some(())
}

/// A tolerance class of ISO 286: one or two letters and a grade, such as H7, js6.
fn is_fit(word: &str) -> bool {
    let digits = word.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let letters = word.len() - digits.len();
    (1..=2).contains(&letters)
        && (1..=2).contains(&digits.len())
        && digits.chars().all(|c| c.is_ascii_digit())
        && !word.starts_with(['x', 'm'])
}
