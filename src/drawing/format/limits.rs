//! Bounds that no honest drawing reaches, so that no dishonest one takes the program down.

/// Largest file that is read, bytes.
pub const FILE_BYTES: usize = 1 << 30;
/// Most curves after blocks are expanded.
pub const CURVES: usize = 5_000_000;
/// Most curves that a small file may become by its blocks …
pub const CURVES_OF_A_SMALL_FILE: usize = 10_000;
/// … and a larger one, for each of its entities.
pub const CURVES_AN_ENTITY: usize = 20;
/// Deepest nesting of blocks that is followed.
pub const BLOCK_DEPTH: usize = 32;
/// Most lines and arcs all curves together may become: a spline of many spans takes many.
pub const SEGMENTS: usize = 20_000_000;
/// Most lines and arcs that the curves of a small file may become …
pub const SEGMENTS_OF_A_SMALL_FILE: usize = 200_000;
/// … and those of a larger one, for each of its entities.
pub const SEGMENTS_AN_ENTITY: usize = 500;
/// Highest degree of a spline; drawing programs stay at 11 or below.
pub const SPLINE_DEGREE: usize = 25;
/// Places that one finding keeps; its count goes on.
pub const KEPT_PLACES: usize = 1000;
/// Stack of the thread that reads, bytes.
pub const STACK_BYTES: usize = 64 << 20;
/// Largest number in an entity and largest coordinate, mm: a thousand times the way to the moon.
pub const LARGEST_NUMBER: f64 = 1e12;

/// Farthest that a curve may reach from the middle of the others, mm: ten kilometres. What lies beyond is a stray
/// that would cost the rest its precision.
pub const FARTHEST: f64 = 1e7;
pub use crate::profile::TOO_LARGE;
/// Larger than this no wire machine is, mm.
pub const BEYOND_MACHINES: f64 = 20_000.0;

/// Texts, and dimensions, that are kept of a drawing: more say nothing that anyone would read.
pub const NOTES: usize = 5000;
/// Bytes of texts that are kept of a file.
pub const TEXT_BYTES: usize = 2 << 20;
