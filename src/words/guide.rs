//! The user's guide: one text for the window and the command. Its cautions are those of every other place.

use super::cautions::{ALWAYS, SLUGS, WHAT_COMES_FIRST, of_material};
use crate::library::Caution;
use std::sync::LazyLock;

/// The guide as it is written, without its cautions.
const WRITTEN: &str = include_str!("../../assets/guide.md");

/// The whole guide, in Markdown.
pub static TEXT: LazyLock<String> = LazyLock::new(|| {
    let of_materials = [Caution::ReactiveFines, Caution::ToxicSludge].map(of_material);
    let cautions = std::iter::once(SLUGS).chain(ALWAYS).chain(of_materials);
    let points = cautions.map(|c| format!("- {}: {}\n", c.title, c.text));
    say!(
        "{WRITTEN}\n## Cautions\n\n{WHAT_COMES_FIRST}\n\n{}",
        points.collect::<String>()
    )
});

/// A piece of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece<'a> {
    /// The title of a part.
    Head(&'a str),
    /// A paragraph.
    Paragraph(&'a str),
    /// A point of a list; what stands before a colon names it.
    Point(Option<&'a str>, &'a str),
}

/// The guide piece by piece, without its own title.
pub static PIECES: LazyLock<Vec<Piece<'static>>> = LazyLock::new(|| {
    let lines = TEXT.lines().map(str::trim).filter(|l| !l.is_empty());
    lines.filter_map(piece).collect()
});

/// Longer words before a colon are a clause and no name.
const LONGEST_NAME: usize = 24;

fn piece(line: &str) -> Option<Piece<'_>> {
    if line.starts_with("# ") {
        None
    } else if let Some(head) = line.strip_prefix("## ") {
        Some(Piece::Head(head))
    } else if let Some(point) = line.strip_prefix("- ") {
        Some(match point.split_once(": ") {
            Some((name, rest)) if name.len() <= LONGEST_NAME => Piece::Point(Some(name), rest),
            _ => Piece::Point(None, point),
        })
    } else {
        Some(Piece::Paragraph(line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::figures::TABLE;

    #[test]
    fn every_figure_of_the_table_is_explained() {
        let figures = TEXT
            .split("\n## ")
            .find(|part| part.starts_with("The figures"));
        let figures = figures.expect("a part on the figures").to_lowercase();
        for entry in &TABLE {
            assert!(
                figures.contains(&entry.head.to_lowercase()),
                "{}",
                entry.head
            );
        }
    }

    #[test]
    fn it_reads_as_heads_paragraphs_and_points() {
        let heads = PIECES
            .iter()
            .filter(|p| matches!(p, Piece::Head(_)))
            .count();
        assert!(heads >= 10);
        assert!(PIECES.contains(&Piece::Paragraph(WHAT_COMES_FIRST)));
        for c in std::iter::once(SLUGS).chain(ALWAYS) {
            assert!(
                PIECES.contains(&Piece::Point(Some(c.title), c.text)),
                "{}",
                c.title
            );
        }
        assert!(
            PIECES
                .iter()
                .all(|p| !matches!(p, Piece::Paragraph(t) if t.starts_with('#')))
        );
    }
}
