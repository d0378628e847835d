//! The user's guide: one text for the window and the command. Its cautions are those of every other place.

use super::cautions::{ALWAYS, CautionText, SLUGS, WHAT_COMES_FIRST, of_material};
use crate::language::{self, said};
use crate::library::Caution;
use std::sync::OnceLock;

/// The guide as it is written, without its cautions.
const ENGLISH: &str = include_str!("../../assets/guide.md");
const GERMAN: &str = include_str!("../../assets/languages/guide.de.md");

/// The whole guide in the language that is spoken, in Markdown.
pub fn text() -> &'static str {
    static BOTH: [OnceLock<String>; 2] = [OnceLock::new(), OnceLock::new()];
    BOTH[usize::from(language::is_german())].get_or_init(whole)
}

fn whole() -> String {
    let of_materials = [Caution::ReactiveFines, Caution::ToxicSludge].map(of_material);
    let cautions = std::iter::once(SLUGS).chain(ALWAYS).chain(of_materials);
    let spoken = cautions.map(CautionText::spoken);
    let points = spoken.map(|c| format!("- {}: {}\n", c.title, c.text));
    let written = if language::is_german() {
        GERMAN
    } else {
        ENGLISH
    };
    format!(
        "{written}\n## {}\n\n{}\n\n{}",
        say!("Cautions"),
        said(WHAT_COMES_FIRST),
        points.collect::<String>()
    )
}

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
pub fn pieces() -> &'static [Piece<'static>] {
    static BOTH: [OnceLock<Vec<Piece<'static>>>; 2] = [OnceLock::new(), OnceLock::new()];
    BOTH[usize::from(language::is_german())].get_or_init(|| {
        let lines = text().lines().map(str::trim).filter(|l| !l.is_empty());
        lines.filter_map(piece).collect()
    })
}

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
        let figures = text()
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
        let heads = pieces()
            .iter()
            .filter(|p| matches!(p, Piece::Head(_)))
            .count();
        assert!(heads >= 10);
        assert!(pieces().contains(&Piece::Paragraph(WHAT_COMES_FIRST)));
        for c in std::iter::once(SLUGS).chain(ALWAYS) {
            assert!(
                pieces().contains(&Piece::Point(Some(c.title), c.text)),
                "{}",
                c.title
            );
        }
        assert!(
            pieces()
                .iter()
                .all(|p| !matches!(p, Piece::Paragraph(t) if t.starts_with('#')))
        );
    }
}
