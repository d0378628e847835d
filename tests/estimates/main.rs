//! Wire paths, steps and what an estimate says of them.

#[path = "../shared/mod.rs"]
mod shared;

mod comparing;
mod job_files;
mod learning;
mod letting_go;
mod library_cells;
mod logging;
mod loose_pieces;
mod lot_by_hand;
mod machines;
mod obstacle_sentences;
mod offsets_known;
mod own_library;
mod path_properties;
mod plate_by_hand;
mod remembered;
mod start_holes;
mod stopping;
mod taper_and_threading;
mod tight_places;
mod tight_radii;
mod wire_path;
