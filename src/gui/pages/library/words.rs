//! What kinds, entries and cells of the library are called on the page.

use crate::gui::own_library::Kind;
use crate::library::{Caution, LibraryTable};

/// A kind as the page names it.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Table(LibraryTable::Materials) => "Materials",
        Kind::Table(LibraryTable::Wires) => "Wires",
        Kind::Table(LibraryTable::Diameters) => "Diameters",
        Kind::Table(LibraryTable::Passes) => "Passes",
        Kind::Table(LibraryTable::Overheads) => "Besides cutting",
        Kind::Table(LibraryTable::Spools) => "Spools",
        Kind::Curve => "Curve",
    }
}

/// What the numbers of a kind mean, in a sentence or two.
pub fn about(kind: Kind) -> &'static str {
    match kind {
        Kind::Table(LibraryTable::Materials) => {
            "Speed is that of the rough against cold-work tool steel with the same wire."
        }
        Kind::Table(LibraryTable::Wires) => {
            "Speed is that of the rough against hard plain brass of the same diameter; the price is against plain brass."
        }
        Kind::Table(LibraryTable::Diameters) => {
            "What a diameter changes against a wire of 0.25 mm. Its speed follows from a formula."
        }
        Kind::Table(LibraryTable::Passes) => {
            "Gap, stock and run-off hold for a wire of 0.25 mm. A plan is the rough and the skims up to one of them."
        }
        Kind::Table(LibraryTable::Overheads) => {
            "What comes on top of cutting, and the rates that a new job begins with. A job whose rate was changed by \
             hand keeps its own."
        }
        Kind::Table(LibraryTable::Spools) => "Wire on a spool by its common name.",
        Kind::Curve => {
            "The rate of the rough in cold-work tool steel, with hard plain brass of 0.25 mm and both nozzles close to \
             the work. Other materials and wires are faster or slower by their factors."
        }
    }
}

/// One of a kind, for "Add a …".
pub fn one(table: LibraryTable) -> &'static str {
    match table {
        LibraryTable::Materials => "material",
        LibraryTable::Wires => "wire",
        LibraryTable::Diameters => "wire diameter",
        LibraryTable::Passes => "pass",
        LibraryTable::Overheads => "overhead",
        LibraryTable::Spools => "spool",
    }
}

/// Cells in the order in which they are read, each with its name on the page.
const CELLS: [(&str, &str); 21] = [
    ("designations", "Also called"),
    ("core", "Core"),
    ("coating", "Coating"),
    ("relative_speed", "Speed in the rough"),
    ("feed_ratio", "Feed against the rough"),
    ("spark_gap", "Spark gap"),
    ("stock", "Stock it takes off"),
    ("gap_and_stock", "Gap and stock"),
    ("run_off", "Run-off"),
    ("corner_slowdown", "Slowing in corners"),
    ("roughness_um", "Usual roughness Ra"),
    ("tolerance_mm", "Usual tolerance"),
    ("price_factor", "Price a kilogram"),
    ("density", "Density"),
    ("tensile_strength", "Tensile strength"),
    ("melting_point", "Melting point"),
    ("usual_max_thickness", "Thickest usual work"),
    ("usual_tension", "Usual tension"),
    ("net_mass", "Wire on it"),
    ("caution", "Caution"),
    ("note", "Note"),
];

/// Overheads in the order in which they are read: group, key, name on the page.
const OVERHEADS: [(&str, &str, &str); 24] = [
    ("Rates and prices", "machine_rate", "Machine rate"),
    ("Rates and prices", "labour_rate", "Labour rate"),
    ("Rates and prices", "wire_price", "Plain brass wire"),
    ("Rates and prices", "scrap_value", "Used wire as scrap"),
    (
        "Rates and prices",
        "consumables",
        "Filters, resin, contacts",
    ),
    ("Lot and week", "setup", "Set-up of a lot"),
    ("Lot and week", "programming", "Programming of a lot"),
    ("Lot and week", "inspection", "Inspection of a part"),
    ("Lot and week", "uptime", "Machine uptime"),
    (
        "Threading and breaks",
        "automatic_threading",
        "Automatic threading",
    ),
    (
        "Threading and breaks",
        "threading_success",
        "Threadings that succeed",
    ),
    (
        "Threading and breaks",
        "manual_threading",
        "Threading by hand",
    ),
    (
        "Threading and breaks",
        "rethreading_after_break",
        "Threading after a break",
    ),
    (
        "Threading and breaks",
        "breaks_in_rough",
        "Wire breaks in the rough",
    ),
    (
        "Threading and breaks",
        "threading_waste",
        "Wire wasted at a threading",
    ),
    ("Start holes", "hole_setup", "Setting up a start hole"),
    ("Start holes", "hole_drilling", "Drilling in steel"),
    (
        "Start holes",
        "hole_drilling_carbide",
        "Drilling in carbide",
    ),
    ("Beginning and end of a cut", "lead_in", "Lead-in"),
    (
        "Beginning and end of a cut",
        "lead_in_feed",
        "Feed in the lead-in",
    ),
    (
        "Beginning and end of a cut",
        "overlap",
        "Overlap past the start",
    ),
    (
        "Beginning and end of a cut",
        "tab",
        "Tab that holds the slug",
    ),
    (
        "Beginning and end of a cut",
        "slug_removal",
        "Taking a slug out",
    ),
    (
        "Beginning and end of a cut",
        "rapid",
        "Moves between contours",
    ),
];

/// Place of an overhead on the page, and the group that it stands in.
pub fn overhead(key: &str) -> (usize, &'static str) {
    let known = OVERHEADS.iter().position(|(_, k, _)| *k == key);
    known.map_or((OVERHEADS.len(), "Others"), |k| (k, OVERHEADS[k].0))
}

/// A key in words where the page has none of its own: "run_off.2" becomes "Run off 2".
fn plain(key: &str) -> String {
    let spaced = key.replace(['_', '.'], " ");
    let mut letters = spaced.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A cell as the page names it.
pub fn cell(table: LibraryTable, entry: &str, path: &str) -> String {
    if table == LibraryTable::Overheads {
        return entry_name(table, entry);
    }
    let (first, rest) = path.split_once('.').unwrap_or((path, ""));
    match CELLS.iter().find(|(key, _)| *key == first) {
        Some((_, words)) if rest.is_empty() => (*words).to_owned(),
        Some((_, words)) => format!("{words}, {}", rest.replace(['_', '.'], " ")),
        None => plain(path),
    }
}

/// A cell in one word or two, for the line of a closed entry.
pub fn short(path: &str) -> String {
    match path {
        "relative_speed" => "speed".to_owned(),
        "price_factor" => "price".to_owned(),
        "feed_ratio" => "feed".to_owned(),
        "net_mass" => "holds".to_owned(),
        other => cell(LibraryTable::Wires, "", other).to_lowercase(),
    }
}

/// Place of a cell in its entry: those without a name of their own come last, in the order of their keys.
pub fn place(path: &str) -> usize {
    let first = path.split('.').next().unwrap_or(path);
    let known = CELLS.iter().position(|(key, _)| *key == first);
    known.unwrap_or(CELLS.len())
}

/// An entry as the page names it.
pub fn entry_name(table: LibraryTable, entry: &str) -> String {
    match table {
        LibraryTable::Overheads => OVERHEADS
            .iter()
            .find(|(_, key, _)| *key == entry)
            .map_or_else(|| plain(entry), |(_, _, words)| (*words).to_owned()),
        _ => entry.to_owned(),
    }
}

/// Unit of plain numbers, which the file says in the key.
pub fn unit_in_key(path: &str) -> &'static str {
    if path.ends_with("_um") {
        "µm"
    } else if path.ends_with("_mm") {
        "mm"
    } else {
        ""
    }
}

/// What a material warns about, in words.
pub fn caution(caution: Option<Caution>) -> &'static str {
    match caution {
        None => "none",
        Some(Caution::ReactiveFines) => "fines can burn",
        Some(Caution::ToxicSludge) => "poisonous sludge",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;

    #[test]
    fn every_cell_of_the_library_has_a_name_for_people() {
        let library = Library::built_in();
        for table in LibraryTable::ALL {
            for entry in library.entry_names(table) {
                for c in library.entry_cells(table, &entry) {
                    let words = cell(table, &entry, &c.path);
                    assert!(!words.contains('_') && !words.is_empty(), "{words}");
                }
                assert!(!entry_name(table, &entry).contains('_'));
            }
        }
        assert_eq!(
            cell(LibraryTable::Wires, "x", "some_new.skim_1"),
            "Some new skim 1"
        );
    }
}
