//! Numbers of things.

/// Number with the right form of a word.
pub(crate) fn some(n: usize, word: &str) -> String {
    if n == 1 {
        format!("1 {word}")
    } else {
        format!("{n} {word}s")
    }
}
