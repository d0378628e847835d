//! What the figures of an explanation are called, and what they rest on, in mm or inch.

use super::{Style, within};
use crate::language::said;
use crate::reason::{Figure, Origin, Wording};

/// Words, with lengths as the reader measures them.
pub fn words(wording: &Wording, style: Style) -> String {
    match wording.plain() {
        // Sources of the library are looked up: they stand in its files, in English.
        Some(text) => said(text).to_owned(),
        None => wording.written(|length| within::short_length(length, style.system)),
    }
}

/// What a figure is called.
pub fn name(figure: &Figure, style: Style) -> String {
    words(&figure.name, style)
}

/// What a figure rests on: "judgement: from memory", or the remark on its formula; empty where there is none.
pub fn rests_on(origin: &Origin, style: Style) -> String {
    match origin {
        Origin::Value { standing, source } if source.is_empty() => standing.word().to_owned(),
        Origin::Value { standing, source } => {
            format!("{}: {}", standing.word(), words(source, style))
        }
        Origin::Formula { note, .. } => words(note, style),
    }
}
