//! What is kept of an enquiry, from the first question to the finished cut: its drawings with everything decided for them, the
//! shop's figures at the time, and what the quote says.
//!
//! 1. [`item`]: a drawing with its decisions. 2. [`drawing_file`]: its bytes and what they hash to. 3. `written`, `reading_options`:
//!    the file, as the README describes it; [`fault`] why one is refused. 4. [`row`]: what one item comes to. 5. [`totals`]: what
//!    all of them come to. 6. [`list`]: items as a table that spreadsheets read and write.

pub mod drawing_file;
pub mod fault;
pub mod item;
pub mod list;
mod reading_options;
pub mod row;
pub mod totals;
mod unknown;
mod written;

pub use drawing_file::{DrawingFile, Hash};
pub use fault::{FileFault, ItemFault};
pub use item::{Item, Logged, Offered, Seen, State};
pub use list::{Columns, ListFault, ListRow};
pub use row::{
    Answered, Best, Pressing, Row, answer, answer_read, answer_row, library_hash, work_hash,
};
pub use totals::{Shared, Totals, WireTotal, totals};
pub use written::VERSION;

use crate::library::Library;
use serde::{Deserialize, Serialize};
use std::io;
use std::sync::Arc;
use unknown::Unknown;

/// The ending of a job file, without its dot.
pub const ENDING: &str = "kerfcast";
/// Largest job file that is read, bytes.
pub const LARGEST: u64 = 4 << 30;

/// Words of the quote that are no figures; empty where nothing is said.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct QuoteWords {
    /// Who asks.
    pub customer: String,
    /// Their reference.
    pub reference: String,
    /// The quote's own number.
    pub number: String,
    /// Its day, ISO 8601.
    pub date: String,
    /// How long it holds.
    pub valid_until: String,
    /// When it will be delivered.
    pub lead_time: String,
    /// What the price includes.
    pub included: String,
    /// What it does not.
    pub excluded: String,
    /// Anything else.
    pub remarks: String,
}

/// One job file. With several items it is an enquiry.
#[derive(Debug, Clone, PartialEq)]
pub struct Enquiry {
    /// Every figure that the estimates rest on, with what was learned.
    pub library: Arc<Library>,
    /// The words of the quote.
    pub quote: QuoteWords,
    /// Its items, in the order of the enquiry.
    pub items: Vec<Item>,
    /// The version of the program that saved it last; empty where it was never saved.
    pub saved_by: String,
    unknown: Unknown,
}

impl Enquiry {
    /// Without any item.
    pub fn new(library: Arc<Library>) -> Self {
        Self {
            library,
            quote: QuoteWords::default(),
            items: Vec::new(),
            saved_by: String::new(),
            unknown: Unknown::default(),
        }
    }
}

impl From<io::Error> for FileFault {
    fn from(error: io::Error) -> Self {
        Self::System(error.to_string())
    }
}
