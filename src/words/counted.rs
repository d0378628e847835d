//! Numbers of things.

use crate::language::said;

/// Number with the right form of an English word that makes its plural with an s; both stand in the table of texts.
pub(crate) fn some(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {}", said(word))
    } else {
        format!("{n} {}", said(&format!("{word}s")))
    }
}
