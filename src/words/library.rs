//! What is wrong with a library, in words: what, where, and what to do.

use crate::library::{CellFault, CurveError, End, LibraryFileError, Reason, VERSION, units_alike};

/// How a number is shown, given with the unit that it has in a file: the number, and what stands behind it.
pub type Show<'a> = &'a dyn Fn(f64, &str) -> (String, String);

/// As a file has it.
pub fn as_in_file(number: f64, unit: &str) -> (String, String) {
    let behind = match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    (number.to_string(), behind)
}

/// Why something cannot be as it is, in a sentence or two.
pub fn reason(reason: &Reason, show: Show<'_>) -> String {
    let listed = |all: &[&str]| all.join(", ");
    let bare = |number: f64, unit: &str| show(number, unit).0;
    let whole = |number: f64, unit: &str| {
        let (number, behind) = show(number, unit);
        format!("{number}{behind}")
    };
    let end = |end: &Option<f64>, unit: &str| end.map_or_else(|| "–".to_owned(), |v| bare(v, unit));
    match reason {
        Reason::Outside {
            end,
            number,
            low,
            high,
            unit,
        } => {
            let what = match end {
                End::Value => "",
                End::Low => say!("The lower end of the range, "),
                End::High => say!("The upper end of the range, "),
            };
            let comma = if *end == End::Value { "" } else { "," };
            say!(
                "{what}{}{comma} lies outside {} to {}.",
                bare(*number, unit),
                bare(*low, unit),
                whole(*high, unit)
            )
        }
        Reason::RangeHoldsNot {
            number,
            low,
            high,
            unit,
        } => say!(
            "The range {} to {} does not hold {}.",
            end(low, unit),
            end(high, unit),
            whole(*number, unit)
        ),
        Reason::RangeTooWide {
            number,
            times,
            unit,
        } => say!(
            "The range is too wide to say anything. Keep its ends within {} to {}.",
            bare(number / times, unit),
            whole(number * times, unit)
        ),
        Reason::NoPair { most, unit } => say!(
            "Write low and high, above 0 and at most {}, low first.",
            whole(*most, unit)
        ),
        Reason::Unit { given, needed: "" } => {
            say!(
                "This is a ratio without a unit, so it cannot be in “{given}”. Leave the unit out."
            )
        }
        Reason::Unit { given, needed } => match &units_alike(needed)[..] {
            [] => say!("The unit “{given}” is not that of this cell. Write it in {needed}."),
            units => say!(
                "The unit “{given}” cannot be turned into {needed}. Possible are {}.",
                listed(units)
            ),
        },
        Reason::NoNumber => say!(
            "A number is missing here, or a table with value, low, high, unit, \
                             standing and source."
        )
        .to_owned(),
        Reason::NoWords => say!("Words in quotes are missing here.").to_owned(),
        Reason::NoneOf(known) => say!("It must be one of {}.", listed(known)),
        Reason::UnknownKey(known) => {
            say!("There is no such key. Known are {}.", listed(known))
        }
        Reason::Missing => say!(
            "It is missing, and there is no built-in entry to take it from. Add it, \
                            or name one with copy_of."
        )
        .to_owned(),
        Reason::NothingToCopy(name) => say!("There is no “{name}” to copy."),
        Reason::NoSuchCell => say!("There is no such cell.").to_owned(),
        Reason::NoName => say!("The entry has no name. Add one.").to_owned(),
        Reason::BadName => say!("The name is empty or begins or ends with a space.").to_owned(),
        Reason::NameWithAt => {
            say!("@ stands between a wire and its diameter. Leave it out.").to_owned()
        }
        Reason::NameTwice => say!("The name is there twice. Keep one entry.").to_owned(),
        Reason::NameTaken => {
            say!("There is an entry of this name. Choose another name.").to_owned()
        }
        Reason::FixedSet => say!("No entry can be added here.").to_owned(),
        Reason::NoDiameter => say!("A diameter is a number of mm, such as 0.22.").to_owned(),
        Reason::DiameterOutside => say!("It must lie between 0.03 and 0.4 mm.").to_owned(),
        Reason::NoSuchPass => {
            say!("Only the built-in passes can be changed: rough, skim 1 to skim 5.").to_owned()
        }
        Reason::Curve(e) => curve(e, show),
    }
}

/// Why points make no thickness curve.
pub fn curve(error: &CurveError, show: Show<'_>) -> String {
    let whole = |number: f64, unit: &str| {
        let (number, behind) = show(number, unit);
        format!("{number}{behind}")
    };
    match error {
        CurveError::TooFew => {
            say!("A curve needs at least two points. Add another thickness.").to_owned()
        }
        CurveError::OutOfRange {
            point,
            rate,
            value,
            low,
            high,
        } => {
            let (what, unit) = if *rate {
                (say!("rate"), "mm²/min")
            } else {
                (say!("thickness"), "mm")
            };
            say!(
                "Point {point}: the {what} is {}, which lies outside {} to {}.",
                whole(*value, unit),
                whole(*low, unit),
                whole(*high, unit)
            )
        }
        CurveError::Order(point) => say!(
            "Point {point}: its thickness is not above that of the point before. Put the points in order of \
             thickness, each once."
        ),
    }
}

/// Where and why.
pub fn cell_fault(fault: &CellFault, show: Show<'_>) -> String {
    format!(
        "{} “{}”, {}: {}",
        fault.table,
        fault.entry,
        fault.cell,
        reason(&fault.reason, show)
    )
}

/// Why a file is refused.
pub fn file_fault(error: &LibraryFileError) -> String {
    match error {
        LibraryFileError::Io(e) => say!("The library file cannot be read or written: {e}."),
        LibraryFileError::NoText => {
            say!("The library file is no text. Choose a file that this program has saved.")
                .to_owned()
        }
        LibraryFileError::NoToml { line, reason } => {
            say!("The library file is damaged. Line {line}: {reason}")
        }
        LibraryFileError::NoLibrary => say!(
            "The file does not begin with kerfcast_library = {VERSION}, so it is no library. Choose another file."
        ),
        LibraryFileError::Newer(version) => say!(
            "The library file has version {version}; this program knows versions up to {VERSION}. Update the program."
        ),
        LibraryFileError::Cell { line, fault } => {
            say!("Line {line}: {}", cell_fault(fault, &as_in_file))
        }
        LibraryFileError::Lacks(what) => say!("The library lacks {what}."),
    }
}
