//! Text as glyphs: shaped, broken into lines, in reading order of either direction.
//!
//! Two weights of one family are used and one fallback for scripts that it lacks (Hebrew, Arabic, signs). Their
//! figures are all of one width, so that columns of numbers align.

use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use rustybuzz::{Direction, Face, UnicodeBuffer};
use std::ops::Range;
use std::sync::OnceLock;
use unicode_bidi::{BidiClass, BidiInfo, Level, bidi_class};
use unicode_linebreak::{BreakOpportunity, linebreaks};

/// The upright weight of the family.
pub const REGULAR: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-Regular.ttf");
/// Its strong weight.
pub const STRONG: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.ttf");
/// Scripts that the family lacks.
pub const FALLBACK: &[u8] = include_bytes!("../../assets/fonts/DejaVuSans-subset.ttf");

/// A font of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Font {
    /// Upright.
    Regular,
    /// Strong.
    Strong,
    /// For what the family lacks.
    Fallback,
}

impl Font {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Regular, Self::Strong, Self::Fallback];
    /// The font file.
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => REGULAR,
            Self::Strong => STRONG,
            Self::Fallback => FALLBACK,
        }
    }
    /// The outline of a glyph, lengths in ems, y upwards; empty for a space.
    pub fn outline(self, glyph: u32) -> Vec<Step> {
        let mut pen = Pen {
            steps: Vec::new(),
            em: 1.0,
        };
        if let (Some(face), Ok(id)) = (self.face(), u16::try_from(glyph)) {
            pen.em = face.units_per_em().max(1) as f32;
            face.outline_glyph(GlyphId(id), &mut pen);
        }
        pen.steps
    }
    fn face(self) -> Option<&'static Face<'static>> {
        static FACES: OnceLock<[Option<Face<'static>>; 3]> = OnceLock::new();
        let all = FACES.get_or_init(|| Self::ALL.map(|f| Face::from_slice(f.bytes(), 0)));
        all[self as usize].as_ref()
    }
    fn has(self, c: char) -> bool {
        self.face().is_some_and(|f| f.glyph_index(c).is_some())
    }
    /// The font that shows a character: this one, or the fallback where only that has it.
    fn showing(self, c: char) -> Self {
        if !self.has(c) && Self::Fallback.has(c) {
            Self::Fallback
        } else {
            self
        }
    }
}

/// One step along a glyph's outline, ends and control points in ems.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// A new chain begins here.
    Move((f32, f32)),
    /// Straight.
    Line((f32, f32)),
    /// A parabola: control point, end.
    Quad((f32, f32), (f32, f32)),
    /// A cubic: two control points, end.
    Cubic((f32, f32), (f32, f32), (f32, f32)),
    /// Back to the chain's begin.
    Close,
}

struct Pen {
    steps: Vec<Step>,
    em: f32,
}

impl Pen {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        (x / self.em, y / self.em)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.steps.push(Step::Move(self.at(x, y)));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.steps.push(Step::Line(self.at(x, y)));
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let step = Step::Quad(self.at(x1, y1), self.at(x, y));
        self.steps.push(step);
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let step = Step::Cubic(self.at(x1, y1), self.at(x2, y2), self.at(x, y));
        self.steps.push(step);
    }
    fn close(&mut self) {
        self.steps.push(Step::Close);
    }
}

/// One glyph, lengths in ems.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// Number in its font.
    pub id: u32,
    /// To the next one.
    pub advance: f32,
    /// Moved to the right.
    pub x: f32,
    /// Moved upwards.
    pub y: f32,
    /// Bytes of the run's text that it stands for.
    pub text: Range<usize>,
}

/// Glyphs of one font, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its font.
    pub font: Font,
    /// What it says, in the order in which it is read.
    pub text: String,
    /// The glyphs.
    pub glyphs: Vec<Glyph>,
    /// Left end from the line's left end, pt.
    pub x: f32,
    /// Whether it is read from right to left.
    pub leftwards: bool,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    /// From left to right.
    pub runs: Vec<Run>,
    /// Its width, pt.
    pub width: f32,
    /// What it says, in the order in which it is read, without the space at its end.
    pub text: String,
    /// Whether its paragraph is read from right to left.
    pub leftwards: bool,
}

/// Text in lines no wider than `width` pt; words that are wider are broken. Empty text is one empty line.
pub fn lines(text: &str, font: Font, size: f32, width: f32) -> Vec<Line> {
    let text = without_controls(text);
    let info = BidiInfo::new(&text, Some(base(&text)));
    let mut out = Vec::new();
    for paragraph in &info.paragraphs {
        let words = Words {
            text: &text,
            info: &info,
            paragraph,
            font,
            size,
        };
        out.extend(words.broken(width));
    }
    if out.is_empty() {
        out.push(Line::default());
    }
    out
}

/// The direction of a text: that of most of its letters, so that a name that is read leftwards turns no sentence around it.
fn base(text: &str) -> Level {
    let classes = || text.chars().map(bidi_class);
    let leftwards = classes().filter(|c| matches!(c, BidiClass::R | BidiClass::AL));
    let rightwards = classes().filter(|c| *c == BidiClass::L);
    if leftwards.count() > rightwards.count() {
        Level::rtl()
    } else {
        Level::ltr()
    }
}

/// Text in one line, however wide.
pub fn line(text: &str, font: Font, size: f32) -> Line {
    let joined = text.replace('\n', " ");
    lines(&joined, font, size, f32::INFINITY)
        .into_iter()
        .next()
        .unwrap_or_default()
}

/// Text in one line that ends in "…" where it would be wider than `width` pt.
pub fn elided(text: &str, font: Font, size: f32, width: f32) -> Line {
    let whole = line(text, font, size);
    if whole.width <= width {
        return whole;
    }
    let ends: Vec<usize> = text.char_indices().map(|c| c.0).collect();
    // The longest beginning that fits, by halving.
    let (mut fits, mut too_long) = (0, ends.len());
    while fits + 1 < too_long {
        let middle = usize::midpoint(fits, too_long);
        let shown = line(&format!("{}…", &text[..ends[middle]]), font, size);
        if shown.width <= width {
            fits = middle;
        } else {
            too_long = middle;
        }
    }
    let end = ends.get(fits).copied().unwrap_or(0);
    line(&format!("{}…", text[..end].trim_end()), font, size)
}

/// What no font shows: control characters and marks that force a direction become spaces.
fn without_controls(text: &str) -> String {
    let shown = |c: char| match c {
        '\n' => '\n',
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => ' ',
        c if c.is_control() => ' ',
        c => c,
    };
    text.chars().map(shown).collect()
}

struct Words<'a> {
    text: &'a str,
    info: &'a BidiInfo<'a>,
    paragraph: &'a unicode_bidi::ParagraphInfo,
    font: Font,
    size: f32,
}

impl Words<'_> {
    fn broken(&self, width: f32) -> Vec<Line> {
        let range = self.paragraph.range.clone();
        let within = &self.text[range.clone()];
        let mut lines = Vec::new();
        let mut start = range.start;
        let mut end = start;
        for (at, kind) in linebreaks(within) {
            let at = range.start + at;
            if self.width(start..at) > width && end > start {
                lines.push(self.line(start..end));
                start = end;
            }
            // A word that is too wide by itself is broken between characters.
            while self.width(start..at) > width {
                let cut = self.fitting(start..at, width);
                if cut >= at {
                    break;
                }
                lines.push(self.line(start..cut));
                start = cut;
            }
            end = at;
            if kind == BreakOpportunity::Mandatory && end > start {
                lines.push(self.line(start..end));
                start = end;
            }
        }
        if end > start {
            lines.push(self.line(start..end));
        }
        lines
    }
    /// End of the longest beginning of a range that fits, at least one character.
    fn fitting(&self, range: Range<usize>, width: f32) -> usize {
        let chars = self.text[range.clone()].char_indices().skip(1);
        let mut fits = None;
        for end in chars.map(|c| range.start + c.0) {
            if fits.is_some() && self.width(range.start..end) > width {
                break;
            }
            fits = Some(end);
        }
        fits.unwrap_or(range.end)
    }
    fn width(&self, range: Range<usize>) -> f32 {
        self.line(range).width
    }
    fn line(&self, range: Range<usize>) -> Line {
        let trimmed = self.text[range.clone()].trim_end().len();
        let range = range.start..range.start + trimmed;
        let mut line = Line {
            text: self.text[range.clone()].to_owned(),
            leftwards: self.paragraph.level.is_rtl(),
            ..Line::default()
        };
        if range.is_empty() {
            return line;
        }
        let (levels, visual) = self.info.visual_runs(self.paragraph, range);
        for part in visual {
            let level = levels.get(part.start).copied().unwrap_or(Level::ltr());
            let mut pieces = self.of_one_font(part);
            if level.is_rtl() {
                pieces.reverse();
            }
            for (font, piece) in pieces {
                if let Some((run, width)) = self.run(font, piece, level.is_rtl(), line.width) {
                    line.width += width;
                    line.runs.push(run);
                }
            }
        }
        line
    }
    fn of_one_font(&self, range: Range<usize>) -> Vec<(Font, Range<usize>)> {
        let mut out: Vec<(Font, Range<usize>)> = Vec::new();
        for (k, c) in self.text[range.clone()].char_indices() {
            let at = range.start + k;
            let end = at + c.len_utf8();
            match out.last_mut() {
                // A space belongs to what it follows.
                Some((font, last)) if c == ' ' || self.font.showing(c) == *font => {
                    let _ = font;
                    last.end = end;
                }
                _ => out.push((self.font.showing(c), at..end)),
            }
        }
        out
    }
    fn run(&self, font: Font, range: Range<usize>, rtl: bool, x: f32) -> Option<(Run, f32)> {
        let face = font.face()?;
        let text = &self.text[range];
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        buffer.set_direction(if rtl {
            Direction::RightToLeft
        } else {
            Direction::LeftToRight
        });
        let shaped = rustybuzz::shape(face, &[], buffer);
        let em = face.units_per_em() as f32;
        let infos = shaped.glyph_infos();
        let mut starts: Vec<usize> = infos.iter().map(|i| i.cluster as usize).collect();
        starts.sort_unstable();
        starts.dedup();
        let end_of = |start: usize| {
            let next = starts.partition_point(|&s| s <= start);
            starts.get(next).copied().unwrap_or(text.len())
        };
        let glyphs: Vec<Glyph> = infos
            .iter()
            .zip(shaped.glyph_positions())
            .map(|(i, p)| Glyph {
                id: i.glyph_id,
                advance: p.x_advance as f32 / em,
                x: p.x_offset as f32 / em,
                y: p.y_offset as f32 / em,
                text: i.cluster as usize..end_of(i.cluster as usize),
            })
            .collect();
        let width = glyphs.iter().map(|g| g.advance).sum::<f32>() * self.size;
        let run = Run {
            font,
            text: text.to_owned(),
            glyphs,
            x,
            leftwards: rtl,
        };
        Some((run, width))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_one_width_in_both_weights() {
        for font in [Font::Regular, Font::Strong] {
            let width = |text: &str| line(text, font, 10.0).width;
            for digit in "0123456789".chars() {
                assert!((width(&digit.to_string()) - width("0")).abs() < 1e-4);
            }
        }
    }

    #[test]
    fn lines_hold_all_the_words_and_none_is_too_wide() {
        let text = "Edges come off the wire sharp, and anaveryveryverylongnamewithoutanybreakinitatallreally";
        let broken = lines(text, Font::Regular, 9.5, 90.0);
        assert!(broken.len() > 3);
        assert!(broken.iter().all(|l| l.width <= 90.0));
        let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        let all: String = broken.iter().map(|l| letters(&l.text)).collect();
        assert_eq!(all, letters(text));
        let short = elided(text, Font::Regular, 9.5, 90.0);
        assert!(short.width <= 90.0 && short.text.ends_with('…'));
    }

    #[test]
    fn hebrew_runs_from_the_right_and_keeps_its_figures() {
        // "plate 12": the figures stand to the left of the word and are read from left to right themselves.
        let mixed = line("לוח 12", Font::Regular, 10.0);
        assert!(mixed.leftwards && mixed.text == "לוח 12");
        assert_eq!(mixed.runs.first().map(|r| r.text.trim()), Some("12"));
        let word = mixed.runs.last().expect("a word");
        assert!(word.leftwards && word.font == Font::Fallback);
        assert!(word.glyphs.iter().all(|g| g.id != 0));
    }
}
