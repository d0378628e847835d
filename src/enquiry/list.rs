//! Items as a table (CSV) that a spreadsheet writes and reads: what is asked for goes in, what it comes to comes out.

use super::drawing_file::Hash;
use super::item::Item;
use super::row::Row;
use crate::drawing::{Scale, ScaleChoice, UnitChoice};
use crate::job::{Candidate, JobFault};
use crate::language;
use crate::library::{Flushing, Library};
use crate::numbers::{self, DecimalSign, TwoMeanings, Written};
use crate::profile::Keep;
use crate::units::Length;
use std::io::Write;

/// Columns that are read, in the order in which they are written.
pub const ASKED: [&str; 11] = [
    "drawing",
    "quantity",
    "thickness_mm",
    "material",
    "passes",
    "flushing",
    "keep",
    "scale",
    "units",
    "wire",
    "note",
];
/// Columns of what it comes to: written, and passed over when read.
pub const ANSWERED: [&str; 21] = [
    "state",
    "verdict",
    "findings",
    "pieces",
    "cut_length_mm",
    "best_wire",
    "minutes",
    "minutes_low",
    "minutes_high",
    "wire_m",
    "wire_kg",
    "spools",
    "cost",
    "cost_low",
    "cost_high",
    "lot_minutes",
    "lot_cost",
    "at_stake",
    "sha256",
    "answered_for",
    "error",
];
/// Most rows that are read.
pub const MOST_ROWS: usize = 100_000;
/// Between several wires of one cell.
const BETWEEN_WIRES: char = '|';
const FLUSHINGS: [Flushing; 3] = [Flushing::Close, Flushing::OneAway, Flushing::Away];
const KEEPS: [(Keep, &str); 2] = [(Keep::Inside, "inside"), (Keep::Outside, "outside")];

/// What is wrong with a list, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct ListFault {
    /// Line, counted from 1; the first is the head.
    pub line: usize,
    /// The column's name; empty where it is not about one.
    pub column: String,
    /// What.
    pub kind: ListFaultKind,
}

/// What is wrong with a list.
#[derive(Debug, Clone, PartialEq)]
pub enum ListFaultKind {
    /// It is no table: what the reader says.
    NoTable(String),
    /// A column has no name of those that are read.
    UnknownColumn,
    /// The column is there twice.
    ColumnTwice,
    /// There is no column of drawings.
    NoDrawings,
    /// The cell is empty and must not be.
    Empty,
    /// The cell holds no number that it may hold.
    NoNumber(String),
    /// A number that could mean two things, such as 1.200.
    TwoMeanings(String, TwoMeanings),
    /// The cell holds none of these words.
    NoneOf(String, Vec<String>),
    /// The cell holds no wire with its diameter.
    NoWire(String),
    /// The job cannot be estimated so.
    Job(JobFault),
    /// More rows than are read.
    TooLong,
}

/// One row: what it says of a drawing. What it does not say is left to whoever reads the list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ListRow {
    /// Line in the file.
    pub line: usize,
    /// Path of the drawing, as written.
    pub drawing: String,
    /// Parts in the lot.
    pub quantity: Option<u32>,
    /// Thickness of the work.
    pub thickness: Option<Length>,
    /// Material, by its name in the library.
    pub material: Option<String>,
    /// Passes.
    pub passes: Option<usize>,
    /// Flushing.
    pub flushing: Option<Flushing>,
    /// What stays.
    pub keep: Option<Keep>,
    /// Scale.
    pub scale: Option<Scale>,
    /// Unit.
    pub units: Option<UnitChoice>,
    /// Wires to compare.
    pub wires: Vec<Candidate>,
    /// Words about it.
    pub note: String,
}

/// A table (CSV) with tabs between its cells, as spreadsheets take it from the clipboard.
pub fn with_tabs(table: &[u8]) -> String {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(table);
    let mut out = String::new();
    for record in reader.records().flatten() {
        let cells: Vec<String> = record
            .iter()
            .map(|c| c.replace(['\t', '\n', '\r'], " "))
            .collect();
        out = out + &cells.join("\t") + "\n";
    }
    out
}

impl ListRow {
    /// Lays what the row says over an item.
    ///
    /// # Errors
    /// The job cannot be estimated so.
    pub fn apply(&self, item: &mut Item, library: &Library) -> Result<(), ListFault> {
        let job = &mut item.job;
        if let Some(n) = self.quantity {
            job.quantity = n;
        }
        if let Some(t) = self.thickness {
            job.thickness = t;
            item.confirmed.thickness = true;
        }
        if let Some(name) = &self.material {
            job.material.clone_from(name);
            item.confirmed.material = true;
        }
        if let Some(n) = self.passes {
            job.passes = n;
        }
        job.flushing = self.flushing.unwrap_or(job.flushing);
        if let Some(keep) = self.keep {
            job.keep = keep;
            item.options.what_stays = Some(keep);
        }
        if let Some(scale) = self.scale {
            item.options.scale = ScaleChoice::chosen(scale);
        }
        item.options.units = self.units.unwrap_or(item.options.units);
        if !self.wires.is_empty() {
            job.candidates.clone_from(&self.wires);
            job.baseline = 0;
        }
        if !self.note.is_empty() {
            item.note.clone_from(&self.note);
        }
        match item.job.faults(library).into_iter().next() {
            None => Ok(()),
            Some(fault) => Err(ListFault {
                line: self.line,
                column: column_of(&fault).to_owned(),
                kind: ListFaultKind::Job(fault),
            }),
        }
    }
}

fn column_of(fault: &JobFault) -> &'static str {
    match fault {
        JobFault::Thickness(_) => "thickness_mm",
        JobFault::UnknownMaterial(_) => "material",
        JobFault::UnknownWire(_) | JobFault::Run(_) | JobFault::Diameter(_) => "wire",
        JobFault::Passes { .. } => "passes",
        JobFault::Quantity(_) => "quantity",
        JobFault::Taper(_) | JobFault::Tab(_) | JobFault::NobodyThere | JobFault::LooseLimit => "",
    }
}

/// Where the columns of a list stand.
#[derive(Debug, Clone, Default)]
pub struct Columns(Vec<Option<&'static str>>);

impl Columns {
    fn of(head: &csv::StringRecord) -> Result<Self, ListFault> {
        let mut out = Self::default();
        for name in head {
            let name = name.trim().trim_start_matches('\u{feff}').to_lowercase();
            let fault = |kind| ListFault {
                line: 1,
                column: name.clone(),
                kind,
            };
            let asked = ASKED.into_iter().find(|c| *c == name);
            if asked.is_none() && !ANSWERED.contains(&name.as_str()) && !name.is_empty() {
                return Err(fault(ListFaultKind::UnknownColumn));
            }
            if asked.is_some() && out.0.contains(&asked) {
                return Err(fault(ListFaultKind::ColumnTwice));
            }
            out.0.push(asked);
        }
        if out.0.contains(&Some(ASKED[0])) {
            Ok(out)
        } else {
            Err(ListFault {
                line: 1,
                column: ASKED[0].to_owned(),
                kind: ListFaultKind::NoDrawings,
            })
        }
    }
}

/// Reads a list. Between columns stands a comma, a semicolon or a tab; with a semicolon or tab numbers may have a decimal comma.
///
/// # Errors
/// The first thing that is wrong, with line and column. Names of materials and wires that the library does not have are refused.
pub fn read(bytes: &[u8], library: &Library) -> Result<Vec<ListRow>, ListFault> {
    let first = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |sign: u8| memchr::memchr_iter(sign, first).count();
    let between = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|sign| (count(*sign), *sign == b','))
        .unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(between)
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(bytes);
    let no_table = |e: &csv::Error| ListFault {
        line: e
            .position()
            .map_or(1, |p| usize::try_from(p.line()).unwrap_or(usize::MAX)),
        column: String::new(),
        kind: ListFaultKind::NoTable(e.to_string()),
    };
    let columns = Columns::of(reader.headers().map_err(|e| no_table(&e))?)?;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| no_table(&e))?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record
            .position()
            .map_or(0, |p| usize::try_from(p.line()).unwrap_or(usize::MAX));
        if rows.len() == MOST_ROWS {
            return Err(ListFault {
                line,
                column: String::new(),
                kind: ListFaultKind::TooLong,
            });
        }
        let mut row = ListRow {
            line,
            ..ListRow::default()
        };
        for (column, text) in columns.0.iter().zip(&record) {
            if let (Some(column), false) = (column, text.is_empty()) {
                let cell = Cell {
                    column,
                    text,
                    decimal_comma: between != b',',
                    library,
                };
                cell.put(&mut row).map_err(|kind| ListFault {
                    line,
                    column: (*column).to_owned(),
                    kind,
                })?;
            }
        }
        if row.drawing.is_empty() {
            return Err(ListFault {
                line,
                column: ASKED[0].to_owned(),
                kind: ListFaultKind::Empty,
            });
        }
        rows.push(row);
    }
    Ok(rows)
}

struct Cell<'a> {
    column: &'a str,
    text: &'a str,
    decimal_comma: bool,
    library: &'a Library,
}

impl Cell<'_> {
    fn put(&self, row: &mut ListRow) -> Result<(), ListFaultKind> {
        match self.column {
            "drawing" => row.drawing = self.text.to_owned(),
            "quantity" => row.quantity = Some(self.whole()?),
            "thickness_mm" => row.thickness = Some(Length::from_mm(self.number()?)),
            "passes" => row.passes = Some(self.whole()?),
            "material" => row.material = Some(self.material()?),
            "flushing" => {
                row.flushing = Some(self.one_of(FLUSHINGS.map(|f| (f, f.key())))?);
            }
            "keep" => row.keep = Some(self.one_of(KEEPS)?),
            "scale" => row.scale = Some(self.parsed()?),
            "units" => row.units = Some(self.parsed()?),
            "wire" => row.wires = self.wires()?,
            _ => row.note = self.text.to_owned(),
        }
        Ok(())
    }
    fn no_number(&self) -> ListFaultKind {
        ListFaultKind::NoNumber(self.text.to_owned())
    }
    fn number(&self) -> Result<f64, ListFaultKind> {
        // Commas that part columns are no decimal signs.
        let sign = (!self.decimal_comma).then_some(DecimalSign::Point);
        match numbers::read(self.text, sign) {
            Written::Number(v) => Ok(v),
            Written::Either(two) => Err(ListFaultKind::TwoMeanings(self.text.to_owned(), two)),
            Written::None => Err(self.no_number()),
        }
    }
    /// Spreadsheets write whole numbers as 4.0 too.
    fn whole<T: TryFrom<u32>>(&self) -> Result<T, ListFaultKind> {
        let number = self.number()?;
        let whole = number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number);
        let number = whole.then_some(number as u32);
        let fits = number.and_then(|n| T::try_from(n).ok());
        fits.ok_or_else(|| self.no_number())
    }
    fn one_of<T, const N: usize>(&self, words: [(T, &str); N]) -> Result<T, ListFaultKind> {
        let all = words.iter().map(|(_, word)| (*word).to_owned()).collect();
        let wanted = self.text.to_lowercase();
        let found = words.into_iter().find(|(_, word)| *word == wanted);
        found
            .map(|(value, _)| value)
            .ok_or_else(|| ListFaultKind::NoneOf(self.text.to_owned(), all))
    }
    fn parsed<T: std::str::FromStr>(&self) -> Result<T, ListFaultKind> {
        let parsed = self.text.parse();
        parsed.map_err(|_| ListFaultKind::NoneOf(self.text.to_owned(), Vec::new()))
    }
    fn material(&self) -> Result<String, ListFaultKind> {
        let found = self.library.material_by_designation(self.text);
        found.map(|m| m.name.clone()).ok_or_else(|| {
            let names = self.library.materials.iter().map(|m| m.name.clone());
            ListFaultKind::NoneOf(self.text.to_owned(), names.collect())
        })
    }
    fn wires(&self) -> Result<Vec<Candidate>, ListFaultKind> {
        let each = |text: &str| {
            let wire = Candidate::parse(text.trim())
                .map_err(|_| ListFaultKind::NoWire(text.trim().to_owned()))?;
            if self.library.wire(&wire.wire).is_some() {
                return Ok(wire);
            }
            let names = self.library.wires.iter().map(|w| w.name.clone());
            Err(ListFaultKind::NoneOf(wire.wire, names.collect()))
        };
        self.text.split(BETWEEN_WIRES).map(each).collect()
    }
}

/// A line to write: an item, and what it comes to or why it comes to nothing.
#[derive(Debug, Clone, Copy)]
pub struct Line<'a> {
    /// The item.
    pub item: &'a Item,
    /// Its path or name, as it stands in the first column.
    pub drawing: &'a str,
    /// What it comes to; `None` where that is not known yet.
    pub row: Option<Result<&'a Row, &'a str>>,
    /// What the answer depends on, see [`super::work_hash`]; `None` where nobody needs it.
    pub answered_for: Option<Hash>,
}

/// The head of the table.
pub fn head() -> impl Iterator<Item = &'static str> {
    ASKED.into_iter().chain(ANSWERED)
}

/// One line as cells, in the order of [`head`].
pub fn cells(line: &Line<'_>) -> Vec<String> {
    let (item, job) = (line.item, &line.item.job);
    let keep = KEEPS.into_iter().find(|(k, _)| *k == job.keep);
    let wires: Vec<String> = job.candidates.iter().map(Candidate::written).collect();
    let mut out = vec![
        line.drawing.to_owned(),
        job.quantity.to_string(),
        job.thickness.mm().to_string(),
        job.material.clone(),
        job.passes.to_string(),
        job.flushing.key().to_owned(),
        keep.map_or("", |(_, word)| word).to_owned(),
        item.options.scale.scale.to_string(),
        match item.options.units {
            UnitChoice::Auto => "auto".to_owned(),
            UnitChoice::Fixed(unit) => unit.sign().to_owned(),
        },
        wires.join(&BETWEEN_WIRES.to_string()),
        item.note.clone(),
        item.state.word().to_owned(),
    ];
    let row = line.row.and_then(Result::ok);
    out.extend(match row {
        Some(row) => [
            row.quotable.word().to_owned(),
            row.findings.to_string(),
            row.pieces.to_string(),
            row.cut_length.mm().to_string(),
        ],
        None => std::array::from_fn(|_| String::new()),
    });
    let best = row.and_then(|r| Some((r, r.best.as_ref()?)));
    out.extend(match best {
        Some((row, best)) => [
            best.candidate.written(),
            best.minutes.median.min_value().to_string(),
            best.minutes.low.min_value().to_string(),
            best.minutes.high.min_value().to_string(),
            best.wire.m().to_string(),
            best.wire_mass.kg().to_string(),
            best.spools.to_string(),
            best.cost.part.median.amount().to_string(),
            best.cost.part.low.amount().to_string(),
            best.cost.part.high.amount().to_string(),
            row.lot_minutes()
                .map_or_else(String::new, |m| m.min_value().to_string()),
            row.lot()
                .map_or_else(String::new, |m| m.amount().to_string()),
            best.at_stake.amount().to_string(),
        ],
        None => std::array::from_fn(|_| String::new()),
    });
    out.push(item.drawing.hash().to_string());
    out.push(
        line.answered_for
            .map_or_else(String::new, |h| h.to_string()),
    );
    let error = line.row.and_then(Result::err);
    out.push(error.unwrap_or_default().to_owned());
    out
}

/// Writes a table of items.
///
/// # Errors
/// What the system says.
pub fn write<'a>(out: impl Write, lines: impl Iterator<Item = Line<'a>>) -> Result<(), csv::Error> {
    let mut table = csv::Writer::from_writer(out);
    table.write_record(head())?;
    for line in lines {
        table.write_record(language::for_programs(|| cells(&line)))?;
    }
    Ok(table.flush()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_could_mean_two_things_is_no_guess() {
        let library = Library::built_in();
        let thickness = |table: &str| {
            let rows = read(table.as_bytes(), library);
            rows.map(|r| r[0].thickness.map(Length::mm))
                .map_err(|e| e.kind)
        };
        // With semicolons between, a comma is a decimal sign and a point may part thousands.
        assert_eq!(
            thickness("drawing;thickness_mm\na.dxf;62,5\n"),
            Ok(Some(62.5))
        );
        let two = TwoMeanings {
            small: 1.2,
            large: 1200.0,
        };
        for text in ["1.200", "1,200"] {
            let asked = ListFaultKind::TwoMeanings(text.to_owned(), two);
            assert_eq!(
                thickness(&format!("drawing;thickness_mm\na.dxf;{text}\n")),
                Err(asked)
            );
        }
        // With commas between, a point is the decimal sign.
        assert_eq!(
            thickness("drawing,thickness_mm\na.dxf,1.200\n"),
            Ok(Some(1.2))
        );
        assert_eq!(
            thickness("drawing,thickness_mm\na.dxf,40\n"),
            Ok(Some(40.0))
        );
    }
}
