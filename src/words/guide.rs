//! The user's guide: one text for the window and the command.

/// The guide as it is written.
pub const TEXT: &str = include_str!("../../assets/guide.md");

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
pub fn pieces() -> impl Iterator<Item = Piece<'static>> {
    let lines = TEXT.lines().map(str::trim).filter(|l| !l.is_empty());
    lines.filter_map(|line| {
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
    })
}

/// Longer words before a colon are a clause and no name.
const LONGEST_NAME: usize = 24;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::cautions::WHAT_COMES_FIRST;
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
        let heads = pieces().filter(|p| matches!(p, Piece::Head(_))).count();
        assert!(heads >= 10);
        assert!(pieces().any(|p| matches!(p, Piece::Point(Some("Rough cut"), _))));
        assert!(pieces().all(|p| !matches!(p, Piece::Paragraph(t) if t.starts_with('#'))));
        assert!(!WHAT_COMES_FIRST.is_empty());
    }
}
