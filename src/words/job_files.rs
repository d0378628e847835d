//! What is wrong with a job file or a list of drawings, and what to do.

use super::{System, job_faults, saving};
use crate::enquiry::list::ListFaultKind;
use crate::enquiry::{FileFault, ItemFault, ListFault, VERSION};
use crate::words::library::file_fault;

/// Why a job file is refused, in a sentence or two without its name.
pub fn refused(fault: &FileFault) -> String {
    match fault {
        FileFault::System(e) => saving::system_says(e),
        FileFault::Folder => say!("It is a folder. Open a job file in it.").to_owned(),
        FileFault::TooLarge(bytes) => {
            say!("It has {} MB, more than a job file may have.", bytes >> 20)
        }
        FileFault::Damaged {
            line,
            column,
            reason,
        } => say!(
            "It is damaged at line {line}, column {column}: {reason}. Take the backup beside it (ending .bak), or ask for the \
             file again."
        ),
        FileFault::NoJobFile => {
            say!("It is no job file: those begin with { and have \"kerfcast_job\" at their head.")
                .to_owned()
        }
        FileFault::Newer(version) => say!(
            "It was saved by a newer Kerfcast (version {version} of job files; this one reads up to {VERSION}). It stays as it is; \
             open it with the newer program."
        ),
        FileFault::Library(e) => say!("The library in it is refused. {}", file_fault(e)),
        FileFault::Learned(e) => e.to_string(),
        FileFault::Item { item, name, fault } => {
            say!(
                "Item {} ({name}) is refused. {}",
                item + 1,
                item_refused(fault)
            )
        }
    }
}

fn item_refused(fault: &ItemFault) -> String {
    match fault {
        ItemFault::NoBase64 => {
            say!("The bytes of its drawing are damaged. Take the backup beside the file.").to_owned()
        }
        ItemFault::OtherBytes => say!("Its drawing is not the one that was saved: its hash differs. Take the backup beside the file.")
            .to_owned(),
        ItemFault::NoSuchWord(cell, word) => say!("“{word}” cannot stand in {cell}."),
        ItemFault::NoSuchNumber(cell, number) => say!("{number} cannot stand in {cell}."),
        ItemFault::Job(fault) => job_faults::sentence(fault, System::Metric),
    }
}

/// What is wrong with a list, with its line and column.
pub fn list(fault: &ListFault) -> String {
    let place = if fault.column.is_empty() {
        say!("Line {}", fault.line)
    } else {
        say!("Line {}, column {}", fault.line, fault.column)
    };
    let what = match &fault.kind {
        ListFaultKind::NoTable(e) => say!("this is no table that can be read ({e})"),
        ListFaultKind::UnknownColumn => say!(
            "no such column. Columns: {}",
            crate::enquiry::list::ASKED.join(", ")
        ),
        ListFaultKind::ColumnTwice => say!("the column is there twice").to_owned(),
        ListFaultKind::NoDrawings => {
            say!("the list needs a column “drawing” with the files’ paths").to_owned()
        }
        ListFaultKind::Empty => say!("the cell is empty. Name the file of the drawing").to_owned(),
        ListFaultKind::NoNumber(text) => say!("“{text}” is no number that can stand here"),
        ListFaultKind::TwoMeanings(text, two) => {
            say!("“{text}” could mean {two}: write it without a sign between thousands")
        }
        ListFaultKind::NoneOf(text, all) if all.is_empty() => say!("“{text}” cannot stand here"),
        ListFaultKind::NoneOf(text, all) => {
            say!("“{text}” is none of: {}", all.join(", "))
        }
        ListFaultKind::NoWire(text) => say!(
            "“{text}” is no wire. Write its name, @ and its diameter in mm, such as hard plain brass@0.25"
        ),
        ListFaultKind::Job(fault) => {
            let sentence = job_faults::sentence(fault, System::Metric);
            sentence.trim_end_matches('.').to_owned()
        }
        ListFaultKind::TooLong => say!("the list has more rows than are read").to_owned(),
    };
    format!("{place}: {what}.")
}
