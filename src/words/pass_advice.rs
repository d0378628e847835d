//! Which pass plan is usually enough; what is usual is common practice, no promise of a machine.

use crate::estimate::{Advice, OtherPlan};
use crate::job::passes_words;

/// The smallest plans for what is wanted, in one or two sentences.
pub fn sentence(advice: &Advice) -> String {
    let perhaps = advice.perhaps_enough.as_ref();
    let perhaps = perhaps.map_or_else(String::new, |p| {
        say!(" On a good day {} does.", passes_words(p.passes))
    });
    match &advice.usually_enough {
        Some(p) => say!("Usually enough: {}.{perhaps}", passes_words(p.passes)),
        None => say!(
            "No plan of the library is usually enough for that.{perhaps} Plan a finishing operation, or ask for less."
        ),
    }
}

/// Wires that need another plan than the one shown.
pub fn other(plan: &OtherPlan) -> String {
    let name = plan
        .passes
        .map_or_else(|| say!("no plan of the library").to_owned(), passes_words);
    say!("With {}: {name}.", in_a_row(&plan.wires))
}

/// "a, b and c".
fn in_a_row(words: &[String]) -> String {
    match words.split_last() {
        Some((last, others)) if !others.is_empty() => say!("{} and {last}", others.join(", ")),
        _ => words.concat(),
    }
}
