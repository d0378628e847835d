//! The headless command, run as a program.

#[path = "../calling/mod.rs"]
mod calling;

mod belief;
mod estimate;
mod exporting;
mod figures;
mod hostile;
mod job;
mod languages;
mod machines;
mod manual;
mod measure;
mod quoting;
mod stopping;
mod variants;
mod wanted;
mod worth;
