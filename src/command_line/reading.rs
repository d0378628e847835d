//! How to read the drawings of a call, and what is written for one that cannot be read.

use super::inputs::STANDARD_INPUT;
use super::visible::tell_of;
use crate::drawing::{
    self, Answer, Drawing, Offer, Progress, Proposal, ReadError, ReadOptions, Scale, ScaleChoice,
    UnitChoice, limits, proposal_id,
};
use crate::profile::Keep;
use crate::units::Length;
use crate::words::reading;
use clap::ValueEnum;
use serde::Serialize;
use std::fmt;
use std::io::Read;
use std::path::Path;
use std::time::{Duration, Instant};

/// Arguments that say how to read a drawing.
#[derive(Debug, clap::Args)]
pub struct Reading {
    /// Unit of the drawings: auto, mm, in, ft, cm, m, um, thou or none (taken as mm).
    #[arg(long, value_name = "UNIT", default_value = "auto")]
    units: UnitChoice,
    /// Scale that the drawings are drawn at, drawn size to true size, such as 10:1 or 1:2. Default: true size; what
    /// a drawing says itself is a finding.
    #[arg(long, value_name = "DRAWN:TRUE")]
    scale: Option<Scale>,
    /// Loose ends up to this far apart are joined, mm.
    #[arg(long, value_name = "MM", default_value = "0.02", value_parser = gap)]
    join_gap: f64,
    /// What stays of the outermost contours: their inside (a part; taken where nothing is said) or their outside (a die
    /// opening). Where contours lie side by side it is a question until it is said.
    #[arg(long, value_enum)]
    keep: Option<KeepWord>,
    /// Open curves are cut and joined where loose ends lie on their sides: never, where the outline is
    /// missing without that, or wherever it closes contours.
    #[arg(
        long,
        value_name = "WHERE",
        value_enum,
        default_value = "outline",
        default_missing_value = "always",
        num_args = 0..=1,
        require_equals = true
    )]
    join_at_sides: SidesWord,
    /// Take an offer that `measure` lists, by its id, or all of them. May be given several times.
    #[arg(long, value_name = "ID")]
    accept: Vec<String>,
    /// Answer a proposal that `measure` lists, by its id: its curves are not cut; all for every one. May be given
    /// several times.
    #[arg(long, value_name = "ID")]
    leave_out: Vec<String>,
    /// Answer a proposal by its id: its curves are cut; all for every one that is not left out.
    #[arg(long, value_name = "ID")]
    cut: Vec<String>,
    /// A layer that is not cut, by its name. May be given several times.
    #[arg(long, value_name = "NAME")]
    without_layer: Vec<String>,
    /// A colour that is not cut, by its number from 1 to 255. May be given several times.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(i16).range(1..=255))]
    without_colour: Vec<i16>,
}

/// Who waits for a file this long is told so.
const TOLD_AFTER: Duration = Duration::from_secs(1);

/// What takes every offer.
const ALL: &str = "all";

impl Reading {
    /// As the reader wants it, before what only the drawing itself can offer.
    pub(super) fn options(&self) -> ReadOptions {
        ReadOptions {
            units: self.units,
            scale: self.scale.map(ScaleChoice::chosen).unwrap_or_default(),
            join_gap: Length::from_mm(self.join_gap),
            join_at_sides: matches!(self.join_at_sides, SidesWord::Always),
            outline_at_sides: matches!(self.join_at_sides, SidesWord::Outline),
            what_stays: self.keep.map(|_| self.keep()),
            excluded_layers: self.without_layer.iter().cloned().collect(),
            excluded_colours: self.without_colour.iter().copied().collect(),
            ..ReadOptions::default()
        }
    }
    /// Reads a drawing and takes the offers that are accepted.
    ///
    /// # Errors
    /// As [`drawing::open`], and where an offer is accepted that is not made.
    pub fn open(&self, path: &Path) -> Result<Drawing, Unread> {
        let bytes = if path == Path::new(STANDARD_INPUT) {
            standard_input()?
        } else {
            bytes_of(path)?
        };
        Ok(self.read(bytes, self.options())?.0)
    }
    /// Reads the bytes of a drawing, takes the offers that are accepted and answers proposals; how it is then read.
    ///
    /// # Errors
    /// As [`drawing::read`], and where an offer, a proposal or a layer is named that is not there.
    pub(super) fn read(
        &self,
        bytes: Vec<u8>,
        mut options: ReadOptions,
    ) -> Result<(Drawing, ReadOptions), Unread> {
        let progress = Progress::default();
        let drawing = drawing::read_on_big_stack(bytes, &options, &progress)?;
        let layers = &drawing.layers;
        let is_there = |name: &&String| layers.iter().any(|l| *l.name == ***name);
        if let Some(name) = self.without_layer.iter().find(|n| !is_there(n)) {
            return Err(Unread::NoSuchLayer(name.clone()));
        }
        for (ids, answer) in [
            (&self.cut, Answer::Cut),
            (&self.leave_out, Answer::LeaveOut),
        ] {
            for id in ids {
                let named = |p: &&Proposal| id == ALL || proposal_id(p.key()) == *id;
                let mut any = id == ALL;
                for proposal in drawing.proposals.iter().filter(named) {
                    options.answers.insert(proposal.key(), answer);
                    any = true;
                }
                if !any {
                    return Err(Unread::NoSuchProposal(id.clone()));
                }
            }
        }
        let offers: Vec<Offer> = drawing
            .findings
            .iter()
            .flat_map(|f| &f.offers)
            .copied()
            .collect();
        let made = |id: &String| id == ALL || offers.iter().any(|o| o.id() == *id);
        if let Some(id) = self.accept.iter().find(|id| !made(id)) {
            return Err(Unread::NoSuchOffer(id.clone()));
        }
        let accepts = |o: &Offer| self.accept.iter().any(|id| id == ALL || *id == o.id());
        options.accepted = offers.into_iter().filter(accepts).collect();
        if options.accepted.is_empty() && options.answers.is_empty() {
            return Ok((drawing, options));
        }
        let drawing = drawing.rejoin(&options, &progress)?;
        Ok((drawing, options))
    }
    /// What stays.
    pub fn keep(&self) -> Keep {
        match self.keep {
            None | Some(KeepWord::Inside) => Keep::Inside,
            Some(KeepWord::Outside) => Keep::Outside,
        }
    }
}

/// The bytes of a drawing's file. Who waits for them longer than a disk takes is told so, once, on the error stream.
///
/// # Errors
/// As [`drawing::bytes_of`].
pub(super) fn bytes_of(path: &Path) -> Result<Vec<u8>, ReadError> {
    let since = Instant::now();
    let mut told = false;
    drawing::bytes_of_while(path, &Progress::default(), || {
        if !told && since.elapsed() >= TOLD_AFTER {
            told = true;
            tell_of(path, say!("still waiting for this file. Ctrl-C stops it."));
        }
    })
}

/// A drawing that another program writes to this one, of at most as many bytes as a file may have.
fn standard_input() -> Result<Vec<u8>, ReadError> {
    let mut bytes = Vec::new();
    let most = limits::FILE_BYTES as u64;
    let read = std::io::stdin().take(most + 1).read_to_end(&mut bytes);
    read.map_err(|e| ReadError::CannotOpen(e.to_string()))?;
    if bytes.len() > limits::FILE_BYTES {
        return Err(ReadError::TooLarge(bytes.len() >> 20));
    }
    Ok(bytes)
}

/// The word for what stays.
pub fn keep_word(keep: Keep) -> &'static str {
    match keep {
        Keep::Inside => "inside",
        Keep::Outside => "outside",
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum KeepWord {
    Inside,
    Outside,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum SidesWord {
    Never,
    Outline,
    Always,
}

/// Why a file of a call comes to nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// It is no readable drawing.
    Drawing(ReadError),
    /// It makes no offer of that id.
    NoSuchOffer(String),
    /// It asks nothing of that id.
    NoSuchProposal(String),
    /// It has no layer of that name.
    NoSuchLayer(String),
}

impl From<ReadError> for Unread {
    fn from(error: ReadError) -> Self {
        Self::Drawing(error)
    }
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawing(error) => f.write_str(&reading::problem(error)),
            Self::NoSuchOffer(id) => write!(f, "{}", say!("The drawing makes no offer \"{id}\".")),
            Self::NoSuchProposal(id) => {
                write!(f, "{}", say!("The drawing asks no question \"{id}\"."))
            }
            Self::NoSuchLayer(name) => {
                write!(f, "{}", say!("The drawing has no layer \"{name}\"."))
            }
        }
    }
}

impl Unread {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Drawing(error) => reading::hint(error),
            Self::NoSuchOffer(_) => say!("See the ids that measure lists with the findings."),
            Self::NoSuchProposal(_) => say!("See the ids of the proposals in measure --json."),
            Self::NoSuchLayer(_) => say!("See the layers in measure --json; case counts."),
        }
    }
}

fn gap(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() && (0.0..=1000.0).contains(&v) => Ok(v),
        _ => Err(say!("a length in mm from 0 to 1000 is needed").to_owned()),
    }
}

/// A file that could not be read.
#[derive(Debug, Serialize)]
pub struct Failed {
    file: String,
    error: ErrorText,
}

#[derive(Debug, Serialize)]
struct ErrorText {
    message: String,
    hint: &'static str,
}

impl Failed {
    /// The file.
    pub fn file(&self) -> &str {
        &self.file
    }
    /// What is wrong.
    pub fn message(&self) -> &str {
        &self.error.message
    }
    /// A file that was read, but cannot do what was asked.
    pub fn because(file: String, message: String, hint: &'static str) -> Self {
        Self {
            file,
            error: ErrorText { message, hint },
        }
    }
    /// What is written for an error.
    pub fn new(file: String, error: &Unread) -> Self {
        Self {
            file,
            error: ErrorText {
                message: error.to_string(),
                hint: error.hint(),
            },
        }
    }
}
