//! What is read from a drawing.

#[path = "../shared/mod.rs"]
mod shared;

mod cancelling;
mod corpus;
mod decoding;
mod drawing;
mod drawn_scale;
mod ezdxf;
mod joining;
mod malformed;
mod notes;
mod offers;
mod proposals;
mod random_drawings;
mod samples;
mod sentences;
mod stand_ins;
