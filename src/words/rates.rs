//! What is wrong with a file of the shop's rates.

use crate::shop_files::{RatesFault, RatesFaultKind, RatesFileError};

/// A line that cannot be as it is, with its place.
pub fn fault(fault: &RatesFault) -> String {
    say!("Line {}: {}", fault.line, line(&fault.key, &fault.kind))
}

/// What is wrong with a line and what to write.
pub fn line(key: &str, kind: &RatesFaultKind) -> String {
    match kind {
        RatesFaultKind::Unknown => say!(
            "{key} is no line of the rates. Compare its spelling with the list at the head of the file, or take it out."
        ),
        RatesFaultKind::Number { low, high } => {
            say!("{key} must be a number between {low} and {high}.")
        }
        RatesFaultKind::Switch => say!("{key} must be true or false."),
        RatesFaultKind::Text => say!("{key} must be a text in quotation marks."),
        RatesFaultKind::Spool(name) => {
            say!(
                "{key} is “{name}”, which is no spool of the library. Use one of its names, or add it to your library."
            )
        }
        RatesFaultKind::Hours => {
            say!("{key} must be days and hours, such as \"Mon-Fri 7:00-16:00\".")
        }
        RatesFaultKind::Holes => {
            say!("{key} must be a list of diameters in mm, such as [0.5, 1, 2].")
        }
        RatesFaultKind::Blank => say!(
            "{key} must be \"not counted\", a price a part {{ price = 12.5 }}, or a price by mass {{ price_per_kg = 6, allowance_mm = 5 }}."
        ),
        RatesFaultKind::Sign => say!("{key} must be \"point\" or \"comma\"."),
        RatesFaultKind::Language => say!("{key} must be \"en\" or \"de\"."),
    }
}

/// Why a whole file is refused.
pub fn file_fault(error: &RatesFileError) -> String {
    match error {
        RatesFileError::NoText => say!("It is no text in UTF-8.").to_owned(),
        RatesFileError::NoToml { line, reason } => {
            say!("Line {line} cannot be read: {reason}.")
        }
        RatesFileError::NoRates => {
            say!("It holds no rates: the line kerfcast_rates = 1 is missing.").to_owned()
        }
        RatesFileError::Newer(v) => say!(
            "It was saved by a later version of Kerfcast (format {v}). Update Kerfcast to use it."
        ),
    }
}
