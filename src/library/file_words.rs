//! Words of the library file that reading and writing share.

/// Version of the file that is written.
pub const VERSION: i64 = 1;
/// Key of the head.
pub(super) const HEAD: &str = "kerfcast_library";
/// Key of the thickness curve.
pub(super) const CURVE: &str = "thickness_curve";
/// As written for no caution.
pub(super) const NO_CAUTION: &str = "none";
