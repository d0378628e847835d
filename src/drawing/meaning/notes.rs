//! The texts of a drawing with their places, and which of them heads which: the cells of a title block are
//! separate texts, "Material" beside "1.2379".

use super::words::{Token, tokens};
use crate::drawing::curves::{PlacedDimension, PlacedText};
use crate::drawing::format::Measuring;
use crate::geometry::{DrawingPoint, Point};
use std::sync::Arc;

/// What a note was drawn as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoteKind {
    /// A text, of one line or several.
    Text,
    /// An attribute of an inserted block, as title blocks have them.
    Attribute,
    /// A dimension.
    Dimension,
}

/// A text of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// What it says, without codes of form.
    pub text: Arc<str>,
    /// The text or attribute's name that heads it, where one does.
    pub head: Option<Arc<str>>,
    /// Where it stands, absolute drawing coordinates in mm; in a layout, in that layout's own.
    pub at: DrawingPoint,
    /// Height of its letters, mm; 0 where the drawing does not say.
    pub height: f64,
    /// Its layer.
    pub layer: Arc<str>,
    /// What it was drawn as.
    pub kind: NoteKind,
    /// It stands in a layout (paper space): it is read, but has no place in the drawing.
    pub in_layout: bool,
    /// Line number or byte position.
    pub line: usize,
}

impl Note {
    /// From a text in its place.
    fn of_text(placed: PlacedText) -> Self {
        Self {
            kind: if placed.tag.is_some() {
                NoteKind::Attribute
            } else {
                NoteKind::Text
            },
            text: placed.text.into(),
            head: placed.tag,
            at: placed.at,
            height: placed.height,
            layer: placed.layer,
            in_layout: placed.in_layout,
            line: placed.line,
        }
    }
    /// From a dimension in its place: its text, or what it measures where the file leaves that to the reader.
    fn of_dimension(placed: &PlacedDimension, unit_mm: f64) -> Option<Self> {
        let measured = match placed.measuring {
            Measuring::NoLength => None,
            Measuring::Diameter(..) => Some("Ø"),
            Measuring::Radius(..) => Some("R"),
            _ => Some(""),
        };
        let value = measured.map(|sign| {
            let value = placed.drawn_mm / unit_mm * placed.factor;
            let digits = format!("{value:.4}");
            let digits = digits.trim_end_matches('0').trim_end_matches('.');
            format!("{sign}{digits}")
        });
        let text = match (&placed.typed, &placed.shown) {
            (Some(typed), _) if !typed.contains("<>") => Some(typed.clone()),
            (_, Some(shown)) => Some(shown.clone()),
            (Some(typed), None) => value.map(|v| typed.replace("<>", &v)),
            (None, None) => value,
        };
        let text = text.filter(|t| !t.trim().is_empty())?;
        Some(Self {
            text: text.into(),
            head: None,
            at: placed.at,
            height: placed.height,
            layer: placed.layer.clone(),
            kind: NoteKind::Dimension,
            in_layout: false,
            line: placed.line,
        })
    }
}

/// All that a drawing says: its texts, then its dimensions. `unit_mm` is what one of its units on the
/// sheet became, mm.
pub(crate) fn notes(
    texts: Vec<PlacedText>,
    dimensions: &[PlacedDimension],
    unit_mm: f64,
) -> Vec<Note> {
    let mut all: Vec<Note> = texts.into_iter().map(Note::of_text).collect();
    find_heads(&mut all);
    let dimensions = dimensions.iter();
    all.extend(dimensions.filter_map(|d| Note::of_dimension(d, unit_mm)));
    all
}

/// Words that head a cell of a title block, and words that go with them.
const HEADS: [&str; 41] = [
    "material",
    "werkstoff",
    "matl",
    "mat",
    "mtl",
    "werkstoffnummer",
    "werkstoffnr",
    "rohmaterial",
    "thickness",
    "thk",
    "dicke",
    "blechdicke",
    "materialdicke",
    "materialstärke",
    "plattendicke",
    "stärke",
    "quantity",
    "qty",
    "menge",
    "anzahl",
    "stückzahl",
    "stück",
    "stk",
    "pcs",
    "reqd",
    "scale",
    "maßstab",
    "massstab",
    "masstab",
    "tolerance",
    "toleranz",
    "surface",
    "finish",
    "oberfläche",
    "rauheit",
    "roughness",
    "nr",
    "no",
    "number",
    "m",
    "t",
];
/// A head alone that says nothing of what stands beside it.
const WEAK: [&str; 7] = ["m", "t", "nr", "no", "number", "surface", "stk"];
/// Longest head, letters.
const LONGEST_HEAD: usize = 40;
/// Most heads that are looked at.
const MOST_HEADS: usize = 200;

/// Whether a text is nothing but the head of a cell.
pub fn is_head(text: &str) -> bool {
    if text.chars().count() > LONGEST_HEAD {
        return false;
    }
    let tokens = tokens(text);
    let words =
        |t: &Token| t.is_word(&HEADS) || matches!(t, Token::Sign(':' | '.' | '/' | '-' | '_'));
    let strong = |t: &Token| t.is_word(&HEADS) && !t.is_word(&WEAK);
    tokens.iter().all(words) && tokens.iter().any(strong)
}

/// Heights of letters within which a text stands in the same line as another.
const SAME_LINE: f64 = 0.6;
/// Heights of letters to the right within which a cell's text begins.
const TO_THE_RIGHT: f64 = 25.0;
/// Heights of letters below within which it stands, and to either side of the head's beginning.
const BELOW: f64 = 3.5;
const ASIDE: f64 = 4.0;

/// Finds the head of each text that has one. Texts of one list are of one space.
pub(crate) fn find_heads(notes: &mut [Note]) {
    let plain = |n: &Note| n.kind == NoteKind::Text && n.height > 0.0;
    let heads: Vec<usize> = (0..notes.len())
        .filter(|&k| plain(&notes[k]) && is_head(&notes[k].text))
        .take(MOST_HEADS)
        .collect();
    let mut heads_a_cell = vec![false; notes.len()];
    for &head in &heads {
        heads_a_cell[head] = true;
    }
    for &head in &heads {
        let h = &notes[head];
        let away = |n: &Note| (n.at - h.at) * (1.0 / h.height);
        let others = || {
            notes.iter().enumerate().filter(|&(k, n)| {
                k != head && n.in_layout == h.in_layout && plain(n) && !heads_a_cell[k]
            })
        };
        let nearest = |fits: &dyn Fn(Point) -> bool| {
            others()
                .filter(|(_, n)| fits(away(n)))
                .min_by(|a, b| away(a.1).norm().total_cmp(&away(b.1).norm()))
                .map(|(k, _)| k)
        };
        let beside = nearest(&|d| d.y.abs() <= SAME_LINE && d.x > 0.5 && d.x <= TO_THE_RIGHT);
        let below = nearest(&|d| d.y < -SAME_LINE && d.y >= -BELOW && d.x.abs() <= ASIDE);
        // Another head between the two means that the cell is empty.
        let next_head = heads
            .iter()
            .filter(|&&k| k != head)
            .map(|&k| away(&notes[k]));
        let blocked_right = next_head
            .clone()
            .filter(|d| d.y.abs() <= SAME_LINE && d.x > 0.5)
            .map(|d| d.x)
            .fold(f64::INFINITY, f64::min);
        let blocked_below = next_head
            .filter(|d| d.y < -SAME_LINE && d.x.abs() <= ASIDE)
            .map(|d| d.y)
            .fold(f64::NEG_INFINITY, f64::max);
        let beside = beside.filter(|&k| away(&notes[k]).x < blocked_right);
        let below = below.filter(|&k| away(&notes[k]).y > blocked_below);
        // With texts on both sides it cannot be told whose head it is.
        let found = match (beside, below) {
            (Some(k), None) | (None, Some(k)) => Some(k),
            _ => None,
        };
        if let Some(k) = found.filter(|&k| notes[k].head.is_none()) {
            notes[k].head = Some(notes[head].text.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(text: &str, x: f64, y: f64) -> Note {
        Note {
            text: text.into(),
            head: None,
            at: DrawingPoint::new(x, y),
            height: 2.5,
            layer: "0".into(),
            kind: NoteKind::Text,
            in_layout: false,
            line: 0,
        }
    }

    #[test]
    fn cells_beside_and_below_their_heads() {
        let mut notes = vec![
            note("Material:", 0.0, 0.0),
            note("1.2379", 20.0, 0.0),
            note("Scale", 0.0, -20.0),
            note("10:1", 1.0, -24.0),
            note("QTY", 0.0, -50.0),
            note("Title", 200.0, -50.0),
        ];
        find_heads(&mut notes);
        assert_eq!(notes[1].head.as_deref(), Some("Material:"));
        assert_eq!(notes[3].head.as_deref(), Some("Scale"));
        assert_eq!(notes[5].head, None);
    }

    #[test]
    fn an_empty_cell_takes_nothing_of_the_next() {
        let mut notes = vec![
            note("Material", 0.0, 0.0),
            note("Scale", 20.0, 0.0),
            note("1:2", 32.0, 0.0),
        ];
        find_heads(&mut notes);
        assert_eq!(notes[2].head.as_deref(), Some("Scale"));
    }
}
