//! The project's own sample drawings, compiled into the program.

/// A drawing that is always there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sample {
    /// File name.
    pub name: &'static str,
    /// What it is, in a few words.
    pub title: &'static str,
    /// The file.
    pub bytes: &'static [u8],
}

macro_rules! sample {
    ($name:literal, $title:literal) => {
        Sample {
            name: $name,
            title: $title,
            bytes: include_bytes!(concat!("../sample_drawings/", $name)),
        }
    };
}

/// Every sample; the first one greets a newcomer.
pub const ALL: [Sample; 6] = [
    sample!("latch-cam.dxf", "Latch cam of a ribbon loom"),
    sample!("loom-stamping-die.dxf", "Stamping die, openings only"),
    sample!("escapement-wheel.dxf", "Escape wheel of a clock"),
    sample!("splined-bore.dxf", "Splined bore with radii of 0.1 mm"),
    sample!("loom-bracket-inch.dxf", "Bracket drawn in inches"),
    sample!("dirty-customer-plate.dxf", "Plate as a customer sent it"),
];

/// The sample that greets a newcomer.
pub const fn first() -> Sample {
    ALL[0]
}
