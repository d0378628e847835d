//! How a drawing was read, as sentences: its unit and why, its colours, what is perhaps not to be cut, and
//! why a file is no drawing.

use super::counted::some;
use super::{Style, System};
use crate::drawing::limits::FILE_BYTES;
use crate::drawing::{
    Answer, FileKind, HeaderUnit, Prefers, ProposalKind, ReadError, Reason, UnitSource, Units,
};
use crate::files::plain_words;
use crate::language::localised;
use crate::units::{Length, MM_PER_INCH};

/// A number with so many decimals.
fn with(value: f64, places: usize) -> String {
    localised(format!("{value:.places$}"))
}

/// Width and height; in mm with the inches beside, because the unit is what may be wrong.
pub fn size((width, height): (Length, Length), system: System) -> String {
    match system {
        System::Metric => format!(
            "{} × {} mm ({} × {} in)",
            sized(width.mm(), 2),
            sized(height.mm(), 2),
            sized(width.mm() / MM_PER_INCH, 3),
            sized(height.mm() / MM_PER_INCH, 3)
        ),
        System::Inch => format!(
            "{} × {} in",
            sized(width.inch(), 3),
            sized(height.inch(), 3)
        ),
    }
}

/// A side of what is drawn: fewer decimals, and gaps at thousands, where it is larger than any part.
fn sized(value: f64, decimals: usize) -> String {
    let less = match value {
        v if v >= 10_000.0 => decimals,
        v if v >= 1000.0 => 1,
        _ => 0,
    };
    Style::plain(System::Metric).number(value, decimals - less)
}

/// The unit of a drawing and where it comes from, without its size: "mm, guessed: the file names no unit".
pub fn unit_from(units: &Units) -> String {
    let (used, header) = (units.used, header_words(units));
    match units.from {
        UnitSource::Option => say!("{used}, as you chose; {header}"),
        UnitSource::Header => format!("{used}: {header}"),
        UnitSource::Guess => say!("{used}, guessed: {header}"),
    }
}

/// What the file's header says of its unit.
fn header_words(units: &Units) -> String {
    match units.header {
        HeaderUnit::Silent => say!("the file names no unit").to_owned(),
        HeaderUnit::Unitless => say!("the file says that it has no unit").to_owned(),
        HeaderUnit::Is(unit) => say!("the file's header says {unit}"),
        HeaderUnit::Unknown(code) => {
            say!("the header's unit number {code} is none that is known here")
        }
    }
}

/// The unit of a drawing and why.
pub fn unit_reason(units: &Units, system: System) -> String {
    let (used, size) = (units.used, size(units.size, system));
    let header = header_words(units);
    match units.from {
        UnitSource::Option => say!("{used}, as you chose; {header}. Size {size}."),
        UnitSource::Header => say!("{used}: {header}. Size {size}."),
        UnitSource::Guess => {
            let hint = match units.prefers {
                Some(Prefers::Metric) => say!(" and prefers metric"),
                Some(Prefers::English) => say!(" and prefers English units"),
                None => "",
            };
            say!("{used}, guessed: {header}{hint}. Size {size}. Choose the unit if this is wrong.")
        }
    }
}

/// What a colour number is called, for a person: the first seven by name (DXF reference).
pub fn colour_words(colour: i16) -> String {
    match colour {
        1 => say!("red").to_owned(),
        2 => say!("yellow").to_owned(),
        3 => say!("green").to_owned(),
        4 => say!("cyan").to_owned(),
        5 => say!("blue").to_owned(),
        6 => say!("magenta").to_owned(),
        7 => say!("black or white").to_owned(),
        n => say!("colour {n}"),
    }
}

/// What curves seem to be that are perhaps not to be cut.
pub fn proposal(kind: ProposalKind) -> &'static str {
    match kind {
        ProposalKind::CentreLine => say!("centre lines"),
        ProposalKind::Border => say!("border"),
        ProposalKind::TitleBlock => say!("title block"),
        ProposalKind::BlockEdge => say!("edge of the block"),
        ProposalKind::SameAgain => say!("part drawn again"),
    }
}

/// What may be answered to the question whether curves are to be cut.
pub fn answers(kind: ProposalKind) -> [(Answer, &'static str); 2] {
    let (cut, leave_out) = match kind {
        ProposalKind::SameAgain => (
            say!("another part, cut it"),
            say!("another view, leave it out"),
        ),
        _ => (say!("cut it"), say!("leave it out")),
    };
    [(Answer::Cut, cut), (Answer::LeaveOut, leave_out)]
}

/// Why curves are perhaps not to be cut.
pub fn reason(reason: &Reason, system: System) -> String {
    let texts = |n: usize| {
        if n == 1 {
            say!("a text").to_owned()
        } else {
            say!("{n} texts")
        }
    };
    let curves = |n: usize| some(n, key!("curve"));
    match reason {
        Reason::LayerName { curves: n, layer } => {
            say!("{} on layer {layer}, by its name", curves(*n))
        }
        Reason::LineType { curves: n, layer } => say!(
            "{} on layer {layer} in a dashed and dotted line type",
            curves(*n)
        ),
        Reason::BlockName(n) => say!("{} of a block with such a name", curves(*n)),
        Reason::ThroughCentres { curves: n, layer } => {
            say!("{} on layer {layer} through centres of circles", curves(*n))
        }
        Reason::FrameWithTexts(n) => {
            say!("a rectangle around everything with {} in it", texts(*n))
        }
        Reason::Frame(width, height) => {
            let (unit, places) = match system {
                System::Metric => ("mm", 3),
                System::Inch => ("in", 4),
            };
            let (width, height) = (system.length_value(*width), system.length_value(*height));
            let (width, height) = (with(width, places), with(height, places));
            say!("a rectangle of {width} × {height} {unit} around everything")
        }
        Reason::TableOfTexts(n) => say!("a rectangle with {} and only lines in it", texts(*n)),
        Reason::InTheBorder(n) => say!("{} in the border beside the part", curves(*n)),
        Reason::SameOutline { parts, mirrored } => {
            let times = match parts {
                2 => say!("twice").to_owned(),
                n => say!("{n} times"),
            };
            match mirrored {
                0 => say!("the same outline {times}"),
                m if m + 1 == *parts => say!("the same outline {times}, mirrored"),
                m => say!("the same outline {times}, {m} of them mirrored"),
            }
        }
    }
}

/// Why a file cannot be read.
pub fn problem(error: &ReadError) -> String {
    match error {
        ReadError::CannotOpen(system_says) => {
            say!("The file cannot be opened: {}.", plain_words(system_says))
        }
        ReadError::Folder => say!("It is a folder.").to_owned(),
        ReadError::NoFile => say!("It is a device, not a file.").to_owned(),
        ReadError::Growing => say!("The file is still being written.").to_owned(),
        ReadError::Empty => say!("The file is empty.").to_owned(),
        ReadError::OtherKind(kind) => say!("This is {}, not a DXF drawing.", file_kind(*kind)),
        ReadError::NotADrawing => {
            say!("This is not a DXF drawing: no group codes were found.").to_owned()
        }
        ReadError::NoEntities => {
            say!("The drawing holds no entities: it is cut off or damaged before them.").to_owned()
        }
        ReadError::TooLarge(mb) => say!(
            "The file has {mb} MB; files up to {} MB are read.",
            FILE_BYTES >> 20
        ),
        ReadError::Cancelled => say!("Reading was cancelled.").to_owned(),
        ReadError::ReaderFailed => say!("The reader failed on this file.").to_owned(),
    }
}

/// What to do about a file that cannot be read.
pub fn hint(error: &ReadError) -> &'static str {
    match error {
        ReadError::CannotOpen(_) => say!("Check its name, and that you may read it."),
        ReadError::Folder => say!("Choose a DXF drawing in it."),
        ReadError::NoFile => say!("Choose a DXF drawing."),
        ReadError::Growing => say!("Open it again once the program that writes it has finished."),
        ReadError::Empty => say!("Ask for the file again, or export it once more."),
        ReadError::OtherKind(FileKind::Job) => say!(
            "Open it as a job: by its name ending in .kerfcast in the window, or with job show; or take the drawings it was made of."
        ),
        ReadError::OtherKind(_) => say!("Open it in the program it comes from and save it as DXF."),
        ReadError::NotADrawing => {
            say!("Check that the right file was chosen, and export it as DXF.")
        }
        ReadError::NoEntities => say!("Ask for the file again; a complete one ends with EOF."),
        ReadError::TooLarge(_) => say!("Ask for a drawing of the part alone."),
        ReadError::Cancelled => say!("Open it again to read it."),
        ReadError::ReaderFailed => {
            say!("Export the drawing once more, possibly as an older DXF version.")
        }
    }
}

fn file_kind(kind: FileKind) -> &'static str {
    match kind {
        FileKind::Dwg => say!("a DWG drawing"),
        FileKind::Pdf => say!("a PDF document"),
        FileKind::Step => say!("a STEP model"),
        FileKind::Zip => say!("a ZIP archive"),
        FileKind::Png => say!("a PNG picture"),
        FileKind::Jpeg => say!("a JPEG picture"),
        FileKind::RichText => say!("a text document"),
        FileKind::Xml => say!("an XML file"),
        FileKind::Svg => say!("an SVG drawing"),
        FileKind::Stl => say!("an STL model"),
        FileKind::Job => say!("a job of Kerfcast"),
    }
}
