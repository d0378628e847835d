//! Pages as marks on paper, before they become a file or a picture on screen.
//!
//! Lengths are points (1/72 inch), x to the right and y downwards from the upper left corner.

use super::typeset::Line;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8½ × 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Width and height, pt.
    pub fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.28, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// How dark something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Text.
    Text,
    /// What stands back: heads, notes.
    Quiet,
    /// Hairlines.
    Hair,
    /// Hairlines between rows.
    Faint,
    /// Material in a drawing.
    Material,
    /// Paper.
    Paper,
    /// The wire's way.
    Wire,
}

impl Ink {
    /// Red, green and blue.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Self::Text => [24, 29, 33],
            Self::Quiet => [98, 108, 116],
            Self::Hair => [120, 130, 137],
            Self::Faint => [216, 221, 224],
            Self::Material => [232, 236, 238],
            Self::Paper => [255, 255, 255],
            Self::Wire => [10, 108, 143],
        }
    }
}

/// One thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line of text.
    Text {
        /// Left end.
        x: f32,
        /// Baseline.
        y: f32,
        /// The text.
        line: Line,
        /// Size of its letters.
        size: f32,
        /// Its colour.
        ink: Ink,
    },
    /// A straight line.
    Rule {
        /// From.
        from: (f32, f32),
        /// To.
        to: (f32, f32),
        /// Its width.
        width: f32,
        /// Its colour.
        ink: Ink,
    },
    /// Chains of points; where it is filled, what lies inside an odd number of them.
    Shape {
        /// The chains.
        chains: Vec<Vec<(f32, f32)>>,
        /// Whether the last point is joined to the first.
        closed: bool,
        /// Inside.
        fill: Option<Ink>,
        /// Width and colour of the line.
        stroke: Option<(f32, Ink)>,
        /// Whether the line is broken.
        dashed: bool,
    },
    /// A picture.
    Picture {
        /// Left.
        x: f32,
        /// Top.
        y: f32,
        /// Width and height.
        size: (f32, f32),
        /// The picture.
        image: Arc<Image>,
    },
}

/// A picture as it lies in its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its kind.
    pub kind: ImageKind,
    /// Width and height, pixels.
    pub pixels: (u32, u32),
}

/// Kinds of pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ImageKind {
    /// Portable network graphics.
    Png,
    /// JPEG.
    Jpeg,
}

/// A page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// What is on it, in the order in which it is read.
    pub marks: Vec<Mark>,
}

/// All pages of a document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pages {
    /// Their size.
    pub paper: Paper,
    /// What the document is called.
    pub title: String,
    /// Who it is from.
    pub author: String,
    /// The pages.
    pub pages: Vec<Page>,
}

impl Pages {
    /// Everything that is written on them, line by line.
    pub fn text(&self) -> String {
        let marks = self.pages.iter().flat_map(|p| &p.marks);
        let mut out = String::new();
        for mark in marks {
            if let Mark::Text { line, .. } = mark {
                out += &line.text;
                out.push('\n');
            }
        }
        out
    }
}
