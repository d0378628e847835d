//! How a drawing was read, as sentences: its unit and why, its colours, what is perhaps not to be cut, and
//! why a file is no drawing.

use super::System;
use super::counted::some;
use crate::drawing::limits::FILE_BYTES;
use crate::drawing::{
    Answer, FileKind, HeaderUnit, Prefers, ProposalKind, ReadError, Reason, UnitSource, Units,
};
use crate::units::{Length, MM_PER_INCH};

/// Width and height; in mm with the inches beside, because the unit is what may be wrong.
pub fn size((width, height): (Length, Length), system: System) -> String {
    match system {
        System::Metric => format!(
            "{:.2} × {:.2} mm ({:.3} × {:.3} in)",
            width.mm(),
            height.mm(),
            width.mm() / MM_PER_INCH,
            height.mm() / MM_PER_INCH
        ),
        System::Inch => format!("{:.3} × {:.3} in", width.inch(), height.inch()),
    }
}

/// The unit of a drawing and why.
pub fn unit_reason(units: &Units, system: System) -> String {
    let (used, size) = (units.used, size(units.size, system));
    let header = match units.header {
        HeaderUnit::Silent => "the file names no unit".to_owned(),
        HeaderUnit::Unitless => "the file says that it has no unit".to_owned(),
        HeaderUnit::Is(unit) => format!("the file's header says {unit}"),
        HeaderUnit::Unknown(code) => {
            format!("the header's unit number {code} is none that is known here")
        }
    };
    match units.from {
        UnitSource::Option => format!("{used}, as you chose; {header}. Size {size}."),
        UnitSource::Header => format!("{used}: {header}. Size {size}."),
        UnitSource::Guess => {
            let hint = match units.prefers {
                Some(Prefers::Metric) => " and prefers metric",
                Some(Prefers::English) => " and prefers English units",
                None => "",
            };
            format!(
                "{used}, guessed: {header}{hint}. Size {size}. Choose the unit if this is wrong."
            )
        }
    }
}

/// What a colour number is called, for a person: the first seven by name (DXF reference).
pub fn colour_words(colour: i16) -> String {
    match colour {
        1 => "red".to_owned(),
        2 => "yellow".to_owned(),
        3 => "green".to_owned(),
        4 => "cyan".to_owned(),
        5 => "blue".to_owned(),
        6 => "magenta".to_owned(),
        7 => "black or white".to_owned(),
        n => format!("colour {n}"),
    }
}

/// What curves seem to be that are perhaps not to be cut.
pub fn proposal(kind: ProposalKind) -> &'static str {
    match kind {
        ProposalKind::CentreLine => "centre lines",
        ProposalKind::Border => "border",
        ProposalKind::TitleBlock => "title block",
        ProposalKind::BlockEdge => "edge of the block",
        ProposalKind::SameAgain => "part drawn again",
    }
}

/// What may be answered to the question whether curves are to be cut.
pub fn answers(kind: ProposalKind) -> [(Answer, &'static str); 2] {
    let (cut, leave_out) = match kind {
        ProposalKind::SameAgain => ("another part, cut it", "another view, leave it out"),
        _ => ("cut it", "leave it out"),
    };
    [(Answer::Cut, cut), (Answer::LeaveOut, leave_out)]
}

/// Why curves are perhaps not to be cut.
pub fn reason(reason: &Reason, system: System) -> String {
    let texts = |n: usize| {
        if n == 1 {
            "a text".to_owned()
        } else {
            format!("{n} texts")
        }
    };
    let curves = |n: usize| some(n, "curve");
    match reason {
        Reason::LayerName { curves: n, layer } => {
            format!("{} on layer {layer}, by its name", curves(*n))
        }
        Reason::LineType { curves: n, layer } => format!(
            "{} on layer {layer} in a dashed and dotted line type",
            curves(*n)
        ),
        Reason::BlockName(n) => format!("{} of a block with such a name", curves(*n)),
        Reason::ThroughCentres { curves: n, layer } => {
            format!("{} on layer {layer} through centres of circles", curves(*n))
        }
        Reason::FrameWithTexts(n) => {
            format!("a rectangle around everything with {} in it", texts(*n))
        }
        Reason::Frame(width, height) => {
            let (unit, decimals) = match system {
                System::Metric => ("mm", 3),
                System::Inch => ("in", 4),
            };
            let (width, height) = (system.length_value(*width), system.length_value(*height));
            format!(
                "a rectangle of {width:.decimals$} × {height:.decimals$} {unit} around everything"
            )
        }
        Reason::TableOfTexts(n) => format!("a rectangle with {} and only lines in it", texts(*n)),
        Reason::InTheBorder(n) => format!("{} in the border beside the part", curves(*n)),
        Reason::SameOutline { parts, mirrored } => {
            let times = match parts {
                2 => "twice".to_owned(),
                n => format!("{n} times"),
            };
            match mirrored {
                0 => format!("the same outline {times}"),
                m if m + 1 == *parts => format!("the same outline {times}, mirrored"),
                m => format!("the same outline {times}, {m} of them mirrored"),
            }
        }
    }
}

/// Why a file cannot be read.
pub fn problem(error: &ReadError) -> String {
    match error {
        ReadError::CannotOpen(system_says) => {
            format!("The file cannot be opened: {}.", plain_system(system_says))
        }
        ReadError::Folder => "It is a folder.".to_owned(),
        ReadError::NoFile => "It is a device, not a file.".to_owned(),
        ReadError::Growing => "The file is still being written.".to_owned(),
        ReadError::Empty => "The file is empty.".to_owned(),
        ReadError::OtherKind(kind) => format!("This is {}, not a DXF drawing.", file_kind(*kind)),
        ReadError::NotADrawing => {
            "This is not a DXF drawing: no group codes were found.".to_owned()
        }
        ReadError::NoEntities => {
            "The drawing holds no entities: it is cut off or damaged before them.".to_owned()
        }
        ReadError::TooLarge(mb) => format!(
            "The file has {mb} MB; files up to {} MB are read.",
            FILE_BYTES >> 20
        ),
        ReadError::Cancelled => "Reading was cancelled.".to_owned(),
        ReadError::ReaderFailed => "The reader failed on this file.".to_owned(),
    }
}

/// What the system says of a file, without its number and in the words of a sentence.
fn plain_system(says: &str) -> String {
    let words = says.split(" (os error").next().unwrap_or(says);
    match words {
        "No such file or directory" | "The system cannot find the file specified." => {
            "there is no such file".to_owned()
        }
        "Permission denied" | "Access is denied." => "you may not read it".to_owned(),
        "Is a directory" => "it is a folder".to_owned(),
        other => other.trim_end_matches('.').to_lowercase(),
    }
}

/// What to do about a file that cannot be read.
pub fn hint(error: &ReadError) -> &'static str {
    match error {
        ReadError::CannotOpen(_) => "Check its name, and that you may read it.",
        ReadError::Folder => "Choose a DXF drawing in it.",
        ReadError::NoFile => "Choose a DXF drawing.",
        ReadError::Growing => "Open it again once the program that writes it has finished.",
        ReadError::Empty => "Ask for the file again, or export it once more.",
        ReadError::OtherKind(_) => "Open it in the program it comes from and save it as DXF.",
        ReadError::NotADrawing => "Check that the right file was chosen, and export it as DXF.",
        ReadError::NoEntities => "Ask for the file again; a complete one ends with EOF.",
        ReadError::TooLarge(_) => "Ask for a drawing of the part alone.",
        ReadError::Cancelled => "Open it again to read it.",
        ReadError::ReaderFailed => {
            "Export the drawing once more, possibly as an older DXF version."
        }
    }
}

fn file_kind(kind: FileKind) -> &'static str {
    match kind {
        FileKind::Dwg => "a DWG drawing",
        FileKind::Pdf => "a PDF document",
        FileKind::Step => "a STEP model",
        FileKind::Zip => "a ZIP archive",
        FileKind::Png => "a PNG picture",
        FileKind::Jpeg => "a JPEG picture",
        FileKind::RichText => "a text document",
        FileKind::Xml => "an XML file",
        FileKind::Svg => "an SVG drawing",
        FileKind::Stl => "an STL model",
    }
}
