//! What is wrong with a finished cut, in a file of cuts or as typed.

use super::{Style, System, job_faults, style, ways, within};
use crate::calibration::{Column, LessThanWasted, RowFault, RowFaultKind};
use crate::language::said;
use crate::units::Length;

const OR_ADD_IT: &str = key!("Use one of its names, or add it to your library.");

/// A row that cannot be used, with its line.
pub fn row(fault: &RowFault) -> String {
    say!("Line {}: {}", fault.line, reason(&fault.kind, Column::name))
}

/// What is wrong and what to do. `name` says how a column is called where it is read.
pub fn reason(kind: &RowFaultKind, name: impl Fn(Column) -> &'static str) -> String {
    match kind {
        RowFaultKind::NoRow => {
            say!("The line is no row of a table. Look for a stray quotation mark.").to_owned()
        }
        RowFaultKind::Empty { column, low, high } => say!(
            "{} is empty. Enter a number between {low} and {high}.",
            name(*column)
        ),
        RowFaultKind::NoNumber { column, text } => {
            say!("{} is “{text}”, which is not a number.", name(*column))
        }
        RowFaultKind::TwoMeanings {
            column,
            text,
            meanings,
        } => say!(
            "{} is “{text}”, which could mean {meanings}. Write it without a sign between thousands.",
            name(*column)
        ),
        RowFaultKind::OutOfRange {
            column,
            text,
            low,
            high,
        } => say!(
            "{} is {text}. It must lie between {low} and {high}.",
            name(*column)
        ),
        RowFaultKind::NoDate(text) => say!(
            "{} is “{text}”. Write it as year-month-day, such as 2026-03-31.",
            name(Column::Date)
        ),
        RowFaultKind::Future { date, today } => {
            say!("The date {date} lies in the future. Today is {today}.")
        }
        RowFaultKind::UnknownMaterial(text) => {
            format!("{} {}", job_faults::unknown_material(text), said(OR_ADD_IT))
        }
        RowFaultKind::UnknownWire(text) => {
            format!("{} {}", job_faults::unknown_wire(text), said(OR_ADD_IT))
        }
        RowFaultKind::Flushing(text) => say!(
            "{} is “{text}”. Write close, one-away or away.",
            name(Column::Flushing)
        ),
        RowFaultKind::Passes { text, most } => say!(
            "{} is “{text}”. Write a whole number from 1 (rough only) to {most}.",
            name(Column::Passes)
        ),
        RowFaultKind::Run(text) => ways::not_a_run(text),
        RowFaultKind::Outlier(text) => say!(
            "{} is “{text}”. Write yes or no, or leave it empty.",
            name(Column::Outlier)
        ),
        RowFaultKind::WholeRunWithout(column) => say!(
            "{} is the whole run. How much of it was cutting can be told only with {} and {}, and {} is empty. Write how many \
             there were, 0 where none, or write {} instead.",
            name(Column::RunMinutes),
            name(Column::Threadings),
            name(Column::Stops),
            name(*column),
            name(Column::CuttingMinutes)
        ),
        RowFaultKind::NothingLeft { run, others } => say!(
            "Threadings and stops alone are predicted at {}, so the whole run cannot have taken {}. Check {}, {} and {}.",
            style::time(*others),
            style::time(*run),
            name(Column::RunMinutes),
            name(Column::Threadings),
            name(Column::Stops)
        ),
        RowFaultKind::PassPaths { given, passes } => say!(
            "{} has {given} lengths for {passes} passes. Write one a pass with | between, or leave it empty.",
            name(Column::PassPath)
        ),
    }
}

/// Said of wire that cannot have been run at the speed given.
pub fn of_another_speed(noted: Length, expected: Length, style: Style) -> String {
    say!(
        "At this wire speed {} would have run off in that time, not {}. Type the speed that the wire was run at.",
        style.wire(expected),
        style.wire_measured(noted)
    )
}

/// The wire noted is no more than threadings waste.
pub fn less_than_wasted(fault: &LessThanWasted, system: System) -> String {
    say!(
        "Threadings alone are predicted to waste {} of wire, so the whole job cannot have used less. Check the wire \
         used, or leave it empty.",
        within::wire_used(fault.wasted, system)
    )
}
