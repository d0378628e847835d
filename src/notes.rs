//! What the words of a drawing say about the job: thickness, quantity, material, roughness, tolerance, scale.
//!
//! Right or silent: a text counts only where every word of a line, or of a part of it between commas, is
//! understood. Numbers alone, threads, radii, dates and general tolerances say nothing. English and German.
//! What is said is offered, never taken unasked.

mod vocabulary;
mod words;

pub use vocabulary::Vocabulary;

use crate::drawing::words::{Number, Token, clauses, tokens};
use crate::drawing::{Note, NoteKind, Scale, Unit, UnitSource, Units, scale_in_cell, scale_said};
use crate::units::{Length, MM_PER_INCH};
use words::{
    AFTER_MATERIAL, FILLERS, GENERAL, GERMAN_THICKNESS, MATERIAL, METALS, NUMBER_WORDS, OF_WHAT,
    PIECES, QUANTITY, ROUGHNESS_WORDS, THICKNESS,
};

/// What a note says plainly.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Says {
    /// Thickness of the work.
    pub thickness: Option<Length>,
    /// Pieces that are wanted.
    pub quantity: Option<u32>,
    /// The library's name of the material.
    pub material: Option<String>,
    /// Roughness Ra, µm.
    pub roughness_um: Option<f64>,
    /// Half of the tolerance band.
    pub tolerance: Option<Length>,
    /// Drawn size over true size.
    pub scale: Option<Scale>,
}

impl Says {
    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// Reads notes with a drawing's unit and a library's materials.
#[derive(Debug, Clone)]
pub struct NoteReader<'a> {
    vocabulary: &'a Vocabulary,
    unit: Unit,
    guessed: bool,
}

/// One thing said.
#[derive(Debug, Clone, PartialEq)]
enum Said {
    Thickness(f64),
    Quantity(u32),
    Material(String),
    Roughness(f64),
    Tolerance(f64),
}

/// Thicknesses that a wire machine takes, mm. Common practice, no source.
const PLAUSIBLE_THICKNESS: std::ops::RangeInclusive<f64> = 0.05..=500.0;
/// Roughness of machined surfaces, µm (ISO 1302 lists Ra 0.025 to 50, from memory).
const PLAUSIBLE_ROUGHNESS: std::ops::RangeInclusive<f64> = 0.01..=50.0;
/// Half bands that are meant for a machined dimension, mm. Common practice, no source.
const PLAUSIBLE_TOLERANCE: std::ops::RangeInclusive<f64> = 0.0005..=1.0;
/// Pieces in a lot.
const MOST_PIECES: u32 = 1_000_000;
/// µm in a microinch.
const UM_PER_MICROINCH: f64 = MM_PER_INCH * 1e-3;

impl<'a> NoteReader<'a> {
    /// For a drawing in this unit.
    pub fn new(vocabulary: &'a Vocabulary, units: &Units) -> Self {
        Self {
            vocabulary,
            unit: units.used,
            guessed: units.from == UnitSource::Guess,
        }
    }

    /// What a note says plainly.
    pub fn says(&self, note: &Note) -> Says {
        if let Some(head) = &note.head {
            let said = self.in_cell(head, &note.text);
            if !said.is_empty() {
                return said;
            }
        }
        let mut said = self.text(&note.text);
        if note.kind == NoteKind::Dimension {
            // A number behind a dimension belongs to that dimension; its tolerance is one that the cut must hold.
            said = Says {
                tolerance: said.tolerance,
                ..Says::default()
            };
        }
        said
    }

    /// What the text of a cell says whose head is this.
    fn in_cell(&self, head: &str, text: &str) -> Says {
        let head = head.trim_end_matches([':', ' ', '.']).replace('_', " ");
        let mut said = self.text(&format!("{head}: {text}"));
        if said.scale.is_none() {
            said.scale = scale_in_cell(&head, text);
        }
        said
    }

    /// What a text says plainly.
    pub fn text(&self, text: &str) -> Says {
        let mut pieces: Vec<Said> = Vec::new();
        for clause in clauses(text) {
            pieces.extend(self.clause(&tokens(clause)).unwrap_or_default());
        }
        let general = tokens(text).iter().any(|t| t.is_word(&GENERAL));
        // What is said twice and not alike is not plain.
        let numbers = |pick: &dyn Fn(&Said) -> Option<f64>| one(pieces.iter().filter_map(pick));
        let thickness = numbers(&|p| match p {
            Said::Thickness(v) => Some(*v),
            _ => None,
        });
        let roughness = numbers(&|p| match p {
            Said::Roughness(v) => Some(*v),
            _ => None,
        });
        let tolerance = numbers(&|p| match p {
            Said::Tolerance(v) => Some(*v),
            _ => None,
        });
        Says {
            thickness: thickness
                .filter(|v| PLAUSIBLE_THICKNESS.contains(v))
                .map(Length::from_mm),
            quantity: one(pieces.iter().filter_map(|p| match p {
                Said::Quantity(n) => Some(*n),
                _ => None,
            })),
            material: one(pieces.iter().filter_map(|p| match p {
                Said::Material(name) => Some(name.clone()),
                _ => None,
            })),
            roughness_um: roughness.filter(|v| PLAUSIBLE_ROUGHNESS.contains(v)),
            tolerance: tolerance
                .filter(|v| !general && PLAUSIBLE_TOLERANCE.contains(v))
                .map(Length::from_mm),
            scale: scale_said(text),
        }
    }

    /// What a clause says; `None` where a word of it is not understood.
    fn clause(&self, all: &[Token]) -> Option<Vec<Said>> {
        let mut pieces = Vec::new();
        let mut rest = all;
        while let [first, tail @ ..] = rest {
            let found = self
                .thickness(rest)
                .or_else(|| quantity(rest))
                .or_else(|| self.material(rest))
                .or_else(|| self.roughness(rest))
                .or_else(|| self.tolerance(rest));
            if let Some((piece, used)) = found {
                pieces.push(piece);
                rest = &rest[used..];
            } else if first.is_word(&FILLERS)
                || matches!(
                    first,
                    Token::Sign('.' | '(' | ')' | '/' | '-' | '–' | '*' | '√')
                )
            {
                rest = tail;
            } else {
                return None;
            }
        }
        Some(pieces)
    }

    fn thickness(&self, all: &[Token]) -> Option<(Said, usize)> {
        let mut k = usize::from(all.first()?.is_word(&OF_WHAT));
        let mut german = false;
        let mut labels = 0;
        while let Some(t) = all.get(k) {
            if t.is_word(&THICKNESS) {
                german |= t.is_word(&GERMAN_THICKNESS);
                labels += 1;
            } else if !(labels > 0 && matches!(t, Token::Sign(':' | '=' | '.' | '/'))) {
                break;
            }
            k += 1;
        }
        if labels == 0
            && let [t, Token::Sign('='), ..] = all
            && t.is_word(&["t"])
        {
            (k, labels) = (2, 1);
        }
        if labels > 0 {
            let (mm, used) = self.length(&all[k..], german)?;
            return Some((
                Said::Thickness(mm),
                k + used + band_behind(&all[k + used..]),
            ));
        }
        // "20 mm thick": the word behind.
        let [Token::Number(_), ..] = all else {
            return None;
        };
        let behind = |t: &Token| t.is_word(&["thick", "thk", "dick", "stark"]);
        let word = all.iter().take(4).position(behind)?;
        let german = all[word].is_word(&["dick", "stark"]);
        let (mm, used) = self.length(all, german)?;
        (used == word).then_some((Said::Thickness(mm), word + 1))
    }

    fn material(&self, all: &[Token]) -> Option<(Said, usize)> {
        let mut k = 0;
        while all.get(k).is_some_and(|t| t.is_word(&MATERIAL)) {
            k += 1;
            while all.get(k).is_some_and(|t| {
                matches!(t, Token::Sign(':' | '=' | '.' | '/' | '-')) || t.is_word(&NUMBER_WORDS)
            }) {
                k += 1;
            }
        }
        // "W.-Nr. 1.2379"
        if let [w, Token::Sign('.'), Token::Sign('-'), nr, ..] = all
            && w.is_word(&["w"])
            && nr.is_word(&["nr"])
        {
            k = 4;
            if all.get(k).is_some_and(|t| t.is_sign('.')) {
                k += 1;
            }
        }
        let mut plain = k > 0;
        while all.get(k).is_some_and(|t| t.is_word(&METALS)) {
            // A designation may begin with such a word itself.
            if self.vocabulary.designation(&all[k..]).is_some() {
                break;
            }
            plain |= !all[k].is_word(&["plate", "din"]);
            k += 1;
        }
        let found = self.vocabulary.designation(&all[k..]);
        let by_name = || self.vocabulary.name(&all[k..]).filter(|_| plain);
        let (name, used) = found.or_else(by_name)?;
        plain |= is_telling(&all[k..k + used]) && k + used == all.len();
        k += used;
        // Further designations of the same material, and words of how it is delivered.
        while let Some(t) = all.get(k) {
            if let Some((other, used)) = self.vocabulary.designation(&all[k..]) {
                if other != name {
                    return None;
                }
                k += used;
            } else if t.is_word(&AFTER_MATERIAL) {
                plain |= t.is_word(&METALS) && !t.is_word(&["plate"]);
                k += 1;
            } else if let Some(used) = hardness(&all[k..]).or_else(|| or_equal(&all[k..])) {
                k += used;
            } else if matches!(t, Token::Sign('/' | '(' | ')' | '-' | '–')) {
                k += 1;
            } else {
                break;
            }
        }
        plain.then(|| (Said::Material(name.to_owned()), k))
    }

    fn roughness(&self, all: &[Token]) -> Option<(Said, usize)> {
        let mut k = 0;
        while all.get(k).is_some_and(|t| {
            t.is_word(&ROUGHNESS_WORDS) || matches!(t, Token::Sign(':' | '√' | '/'))
        }) {
            k += 1;
        }
        all.get(k)?.is_word(&["ra"]).then_some(())?;
        k += 1;
        while all.get(k).is_some_and(|t| {
            t.is_word(&["max"]) || matches!(t, Token::Sign(':' | '=' | '≤' | '<' | '.'))
        }) {
            k += 1;
        }
        let Token::Number(number) = all.get(k)? else {
            return None;
        };
        k += 1;
        let unit = match (all.get(k), all.get(k + 1)) {
            (Some(t), _) if t.is_word(&["µm", "um"]) => Some((1.0, 1)),
            (Some(t), _) if t.is_word(&["µin", "uin"]) => Some((UM_PER_MICROINCH, 1)),
            (Some(t), Some(Token::Sign('"'))) if t.is_word(&["µ"]) => Some((UM_PER_MICROINCH, 2)),
            _ => None,
        };
        let (factor, used) = match unit {
            Some(found) => found,
            // Without a unit it is µm, but where inches are used it may be microinches.
            None if self.unit == Unit::Inch || number.lacks_zero() => return None,
            None => (1.0, 0),
        };
        k += used;
        // A range, or a second value: which one counts is not plain.
        if matches!(
            all.get(k),
            Some(Token::Number(_) | Token::Sign('-' | '–' | '…' | '(' | '/'))
        ) {
            return None;
        }
        Some((Said::Roughness(number.value * factor), k))
    }

    fn tolerance(&self, all: &[Token]) -> Option<(Said, usize)> {
        let mut k = 0;
        while all.get(k).is_some_and(|t| {
            t.is_word(&[
                "tolerance",
                "toleranz",
                "tol",
                "konturtoleranz",
                "profile",
                "contour",
            ]) || (k > 0 && matches!(t, Token::Sign(':' | '=' | '.' | '/')))
        }) {
            k += 1;
        }
        // The dimension that it belongs to, in the same text: "20 ±0.01".
        if k == 0 {
            while matches!(all.get(k), Some(Token::Sign('Ø' | 'ø' | '⌀' | '∅'))) {
                k += 1;
            }
            if let [Token::Number(_), Token::Sign('±' | '+'), ..] = &all[k..] {
                k += 1;
            }
        }
        match all.get(k)? {
            Token::Sign('±') => {
                let (mm, used) = self.length(&all[k + 1..], false)?;
                k += 1 + used;
                // Degrees are another matter, and so is a range of values.
                all.get(k).is_none().then_some((Said::Tolerance(mm), k))
            }
            Token::Sign('+') => {
                let (upper, used) = self.length(&all[k + 1..], false)?;
                k += 1 + used;
                if all.get(k)?.is_sign('/') {
                    k += 1;
                }
                let signed = matches!(all.get(k)?, Token::Sign('-' | '−'));
                k += usize::from(signed);
                let lower = match all.get(k)? {
                    Token::Number(n) if n.value == 0.0 => {
                        k += 1;
                        0.0
                    }
                    _ if signed => {
                        let (mm, used) = self.length(&all[k..], false)?;
                        k += used;
                        mm
                    }
                    _ => return None,
                };
                (all.get(k).is_none() && upper > 0.0)
                    .then_some((Said::Tolerance(0.5 * (upper + lower)), k))
            }
            _ => None,
        }
    }

    /// A length in mm and the tokens that it takes, by its own unit or the drawing's.
    fn length(&self, all: &[Token], german: bool) -> Option<(f64, usize)> {
        let [Token::Number(number), rest @ ..] = all else {
            return None;
        };
        let unit = rest.first();
        if unit.is_some_and(|t| t.is_word(&["mm"])) {
            return Some((number.value, 2));
        }
        if unit
            .is_some_and(|t| t.is_word(&["in", "inch", "zoll"]) || t.is_sign('"') || t.is_sign('″'))
        {
            return Some((number.value * MM_PER_INCH, 2));
        }
        // Another unit, or part of a larger whole: 20 x 30, 1/2, 10°.
        if let Some(Token::Word(w)) = unit
            && ["cm", "m", "µm", "um", "x", "mil", "thou", "ft"].contains(&w.as_str())
        {
            return None;
        }
        if matches!(unit, Some(Token::Sign('×' | '°' | '\'' | '%' | ':')))
            || matches!(rest, [Token::Sign('/'), Token::Number(n), ..] if n.value > 0.0)
        {
            return None;
        }
        self.mm_in(number, german).map(|f| (number.value * f, 1))
    }

    /// Millimetres in the unit of a number that has none behind it.
    fn mm_in(&self, number: &Number, german: bool) -> Option<f64> {
        match self.unit {
            Unit::Millimetre | Unit::None => (!number.lacks_zero()).then_some(1.0),
            Unit::Inch if german => self.guessed.then_some(1.0),
            Unit::Inch if !self.guessed || number.lacks_zero() => Some(MM_PER_INCH),
            _ => None,
        }
    }
}

/// The value that all agree on.
fn one<T: PartialEq>(mut values: impl Iterator<Item = T>) -> Option<T> {
    let first = values.next()?;
    values.all(|v| v == first).then_some(first)
}

/// A tolerance behind a thickness: understood, and of no further use.
fn band_behind(rest: &[Token]) -> usize {
    match rest {
        [Token::Sign('±'), Token::Number(_), mm, ..] if mm.is_word(&["mm"]) => 3,
        [Token::Sign('±'), Token::Number(_), ..] => 2,
        _ => 0,
    }
}

fn quantity(all: &[Token]) -> Option<(Said, usize)> {
    let count = |t: Option<&Token>| match t {
        Some(Token::Number(n)) => n.whole().filter(|n| (1..=MOST_PIECES).contains(n)),
        _ => None,
    };
    let mut k = 0;
    while all.get(k).is_some_and(|t| {
        t.is_word(&QUANTITY) || (k > 0 && matches!(t, Token::Sign(':' | '=' | '.' | '/')))
    }) {
        k += 1;
    }
    if k > 0 {
        let n = count(all.get(k))?;
        k += 1;
        k += usize::from(all.get(k).is_some_and(|t| t.is_word(&PIECES)));
        return all.get(k).is_none().then_some((Said::Quantity(n), k));
    }
    let n = count(all.first())?;
    all.get(1)?.is_word(&PIECES).then_some(())?;
    // Per what, or of what, would be another count: "4 off holes", "2 pcs per set".
    let end = match all.get(2) {
        Some(t) if t.is_sign('.') => 3,
        _ => 2,
    };
    all.get(end).is_none().then_some((Said::Quantity(n), end))
}

/// A designation that is no other word: SKD11, CuZn37, EN AW-6061, 17-4PH. D2 may be a zone of the sheet.
fn is_telling(words: &[Token]) -> bool {
    let letters_and_digits = |t: &Token| match t {
        Token::Word(w) => (
            w.chars().filter(|c| c.is_alphabetic()).count(),
            w.chars().filter(char::is_ascii_digit).count(),
        ),
        Token::Number(n) => (0, n.text.len()),
        Token::Sign(_) => (0, 0),
    };
    let (letters, digits) = words
        .iter()
        .map(letters_and_digits)
        .fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    letters >= 2 && digits >= 2 && letters + digits >= 5
}

/// "60 HRC", "58-60 HRC", "58+2 HRC": understood, and of no use here.
fn hardness(rest: &[Token]) -> Option<usize> {
    let k = match rest {
        [
            Token::Number(_),
            Token::Sign('-' | '–' | '+' | '±'),
            Token::Number(_),
            ..,
        ] => 3,
        [Token::Number(_), ..] => 1,
        _ => return None,
    };
    rest.get(k)?.is_word(&["hrc", "hb", "hv"]).then_some(k + 1)
}

/// "or equivalent", "oder gleichwertig".
fn or_equal(rest: &[Token]) -> Option<usize> {
    let [or, equal, ..] = rest else { return None };
    let equals = [
        "equivalent",
        "equal",
        "similar",
        "equiv",
        "gleichwertig",
        "ähnlich",
        "vergleichbar",
    ];
    (or.is_word(&["or", "oder"]) && equal.is_word(&equals)).then_some(2)
}
