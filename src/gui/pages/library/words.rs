//! What kinds, entries and cells of the library are called on the page.

use crate::gui::own_library::Kind;
use crate::language::{lower_case, said};
use crate::library::{Caution, Effect, Field, LibraryTable};

/// A kind as the page names it.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Table(LibraryTable::Materials) => say!("Materials"),
        Kind::Table(LibraryTable::Wires) => say!("Wires"),
        Kind::Table(LibraryTable::Diameters) => say!("Diameters"),
        Kind::Table(LibraryTable::Passes) => say!("Passes"),
        Kind::Table(LibraryTable::Overheads) => say!("Besides cutting"),
        Kind::Table(LibraryTable::Model) => say!("Formulas"),
        Kind::Table(LibraryTable::Spools) => say!("Spools"),
        Kind::Table(LibraryTable::Machines) => say!("Machines"),
        Kind::Curve => say!("Curve"),
    }
}

/// What the numbers of a kind mean, in a sentence or two.
pub fn about(kind: Kind) -> &'static str {
    match kind {
        Kind::Table(LibraryTable::Materials) => {
            say!("Speed is that of the rough against cold-work tool steel with the same wire.")
        }
        Kind::Table(LibraryTable::Wires) => {
            say!(
                "Speed is that of the rough against hard plain brass of the same diameter; the price is against plain brass."
            )
        }
        Kind::Table(LibraryTable::Diameters) => {
            say!(
                "What a diameter changes against a wire of 0.25 mm. Its speed follows from a formula."
            )
        }
        Kind::Table(LibraryTable::Passes) => {
            say!(
                "Gap, stock and wire speed hold for a wire of 0.25 mm. A plan is the rough and the skims up to one of them."
            )
        }
        Kind::Table(LibraryTable::Overheads) => {
            say!(
                "What comes on top of cutting, and the rates that a new job begins with. A job whose rate was changed by \
             hand keeps its own."
            )
        }
        Kind::Table(LibraryTable::Model) => {
            say!(
                "The numbers behind every feed, for cold-work tool steel and hard plain brass of 0.25 mm. Nobody measured \
             them for your machine: what finished cuts teach lies on top of them."
            )
        }
        Kind::Table(LibraryTable::Spools) => say!("Wire on a spool by its common name."),
        Kind::Table(LibraryTable::Machines) => {
            say!("What the machines of the shop take, and what is on hand for them.")
        }
        Kind::Curve => {
            say!(
                "The rate of the rough in cold-work tool steel, with hard plain brass of 0.25 mm and both nozzles on \
             the work. Other materials and wires are faster or slower by their factors."
            )
        }
    }
}

/// One of a kind, for "Add a …".
pub fn one(table: LibraryTable) -> &'static str {
    match table {
        LibraryTable::Materials => say!("material"),
        LibraryTable::Wires => say!("wire"),
        LibraryTable::Diameters => say!("wire diameter"),
        LibraryTable::Passes => say!("pass"),
        LibraryTable::Overheads => say!("overhead"),
        LibraryTable::Model => say!("number"),
        LibraryTable::Spools => say!("spool"),
        LibraryTable::Machines => say!("machine"),
    }
}

/// An entry as the page names it.
pub fn entry_name(table: LibraryTable, entry: &str) -> String {
    let field = table.fields().iter().find(|f| f.key == entry);
    match field.filter(|_| table.is_single_values()) {
        Some(field) => said(field.words).to_owned(),
        None => said(entry).to_owned(),
    }
}

/// A cell in one word or two, for the line of a closed entry.
pub fn short(field: &Field) -> String {
    match field.short {
        "" => lower_case(said(field.words)),
        short => said(short).to_owned(),
    }
}

/// What a field does, where it moves no figure.
pub fn effect(effect: Effect) -> Option<String> {
    match effect {
        Effect::Estimate => None,
        Effect::Use(what) => Some(said(what).to_owned()),
        Effect::Information => Some(say!("information: no figure rests on it").to_owned()),
    }
}

/// What a material warns about, in words.
pub fn caution(caution: Option<Caution>) -> &'static str {
    match caution {
        None => say!("none"),
        Some(Caution::ReactiveFines) => say!("fines can burn"),
        Some(Caution::ToxicSludge) => say!("poisonous sludge"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_of_the_library_has_a_name_for_people() {
        for table in LibraryTable::ALL {
            for field in table.fields() {
                assert!(!field.words.is_empty() && !field.words.contains('_'));
                assert_eq!(table.is_single_values(), !field.group.is_empty());
            }
        }
    }
}
