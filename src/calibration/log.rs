//! The log of finished cuts as it lies in its file: changed record by record, everything else kept byte by byte.
//!
//! Columns of the shop's own, their order, notes of several lines, rows that cannot be used, the encoding and the ends of
//! lines stay as they were. The table may have begun in another program; it is read and written in the shape that it has.

mod records;

use super::cut::Cut;
use super::cut_row::Row;
use super::cuts::{CutsError, CutsRead};
use super::day::Day;
use super::row_fault::{Column, RowFault, RowFaultKind};
use crate::library::Library;
use crate::numbers::{self, DecimalSign, Written};
use records::{Encoding, Taken, cell_text, record};
use std::collections::{BTreeMap, HashMap};

/// What may stand between the cells, the most usual first.
const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];
/// Columns whose numbers show which sign is the decimal one.
const SHOWING: [Column; 5] = [
    Column::Diameter,
    Column::Thickness,
    Column::CutLength,
    Column::CuttingMinutes,
    Column::WireUsed,
];

/// A table of finished cuts, every byte of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Log {
    encoding: Encoding,
    delimiter: char,
    newline: &'static str,
    /// Everything before the first record: mark of the byte order, a line `sep=;`, the names of the columns.
    head: Vec<u8>,
    head_lines: u64,
    /// Names of the columns, small letters.
    names: Vec<String>,
    /// The decimal sign that the numbers of the file show, else the one that goes with its delimiter.
    sign: Option<DecimalSign>,
    records: Vec<Record>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Record {
    bytes: Vec<u8>,
    lines: u64,
    kind: RecordKind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum RecordKind {
    Row,
    /// Nothing in it.
    Blank,
    /// With a quotation mark that belongs nowhere.
    Stray,
}

/// What a row says, by the names of its columns; empty cells are left out. Two rows that say the same are the same
/// row, in whatever order and shape they are written.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct RowText(BTreeMap<String, String>);

/// One change to the log.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// A cut joins the table at its end.
    Add(Box<Cut>),
    /// A row is set aside, or counts again.
    SetAside {
        /// Which.
        row: RowText,
        /// Whether it is to be set aside.
        aside: bool,
    },
    /// A row leaves the table.
    Remove {
        /// Which.
        row: RowText,
    },
    /// A row that had left comes back as it was.
    PutBack(WasRow),
    /// A row is again as it was.
    TurnBack {
        /// As it is.
        row: RowText,
        /// As it was.
        was: WasRow,
    },
}

/// A row as it stood in its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WasRow {
    names: Vec<String>,
    bytes: Vec<u8>,
    cells: Vec<String>,
    place: usize,
}

impl Default for Log {
    /// A new table with every column.
    fn default() -> Self {
        let names: Vec<String> = Column::ALL.map(|c| c.name().to_owned()).to_vec();
        Self {
            encoding: Encoding::Bytes,
            delimiter: ',',
            newline: "\n",
            head: format!("{}\n", names.join(",")).into_bytes(),
            head_lines: 1,
            names,
            sign: Some(DecimalSign::Point),
            records: Vec::new(),
        }
    }
}

impl Log {
    /// Takes the bytes of a file apart.
    ///
    /// # Errors
    /// A file without the needed columns. A bad row is no error.
    pub fn parse(bytes: &[u8]) -> Result<Self, CutsError> {
        let (encoding, mark) = Encoding::of(bytes);
        let mut at = mark;
        let mut head_lines = 0;
        let mut told = None;
        // Spreadsheets write in a line of its own what stands between the cells.
        let header = loop {
            if at >= bytes.len() {
                return Err(CutsError::Empty);
            }
            let line = record(&bytes[at..], encoding, '\0');
            let text = line.cells.first().map_or("", |c| c.text.as_str());
            let small = text.trim_matches('"').to_ascii_lowercase();
            if let Some(rest) = small.strip_prefix("sep=") {
                told = rest.chars().next().or(told);
            } else if !text.is_empty() {
                break &bytes[at..];
            }
            at += line.bytes;
            head_lines += line.lines;
        };
        let (delimiter, header) = told
            .into_iter()
            .chain(DELIMITERS)
            .map(|d| (d, record(header, encoding, d)))
            // The first of those that give most columns.
            .rev()
            .max_by_key(|(_, taken)| {
                taken
                    .cells
                    .iter()
                    .filter(|c| column(&c.text).is_some())
                    .count()
            })
            .ok_or(CutsError::Empty)?;
        let names: Vec<String> = header
            .cells
            .iter()
            .map(|c| c.text.to_ascii_lowercase())
            .collect();
        let header_bytes = &bytes[at..at + header.bytes];
        let mut out = Self {
            encoding,
            delimiter,
            newline: if header_bytes.contains(&b'\r') {
                "\r\n"
            } else {
                "\n"
            },
            head: bytes[..at + header.bytes].to_vec(),
            head_lines: head_lines + header.lines,
            names,
            sign: None,
            records: cut_up(&bytes[at + header.bytes..], encoding, delimiter),
        };
        out.sign = out.own_sign(&out.places()?);
        Ok(out)
    }

    /// The whole file.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = self.head.clone();
        for r in &self.records {
            out.extend_from_slice(&r.bytes);
        }
        out
    }

    /// Whether no row is in it, whatever it is worth.
    pub fn is_empty(&self) -> bool {
        self.records.iter().all(|r| r.kind == RecordKind::Blank)
    }

    /// Where the known columns stand.
    fn places(&self) -> Result<HashMap<Column, usize>, CutsError> {
        let mut places = HashMap::new();
        for (k, name) in self.names.iter().enumerate() {
            if let Some(column) = column(name)
                && places.insert(column, k).is_some()
            {
                return Err(CutsError::Twice(column));
            }
        }
        let instead =
            |c: &Column| *c == Column::CuttingMinutes && places.contains_key(&Column::RunMinutes);
        let lacks = |c: &Column| c.is_needed() && !places.contains_key(c) && !instead(c);
        let missing: Vec<Column> = Column::ALL.into_iter().filter(lacks).collect();
        if missing.is_empty() {
            Ok(places)
        } else {
            Err(CutsError::Columns(missing))
        }
    }

    fn cells(&self, r: &Record) -> Taken {
        record(&r.bytes, self.encoding, self.delimiter)
    }

    fn rows(&self) -> impl Iterator<Item = &Record> {
        self.records.iter().filter(|r| r.kind != RecordKind::Blank)
    }

    /// The cuts that the rows tell of, and what is wrong with the others.
    ///
    /// `today` is the last day that a cut may have been finished on. `sign` is the shop's decimal sign, if it has said
    /// so; what the table itself shows goes before.
    pub fn read(&self, library: &Library, today: Day, sign: Option<DecimalSign>) -> CutsRead {
        let mut out = CutsRead {
            unknown_columns: self
                .names
                .iter()
                .filter(|n| !n.is_empty() && column(n).is_none())
                .cloned()
                .collect(),
            ..CutsRead::default()
        };
        let Ok(places) = self.places() else {
            return out;
        };
        let sign = self.sign.or(sign);
        let (mut line, mut number) = (self.head_lines + 1, 0);
        for r in &self.records {
            if r.kind != RecordKind::Blank {
                number += 1;
                let taken = self.cells(r);
                let cells: Vec<&str> = taken.cells.iter().map(|c| c.text.as_str()).collect();
                let row = Row {
                    cells: &cells,
                    places: &places,
                    sign,
                };
                match row.cut(number, line, library, today) {
                    _ if r.kind == RecordKind::Stray => out.faults.push(RowFault {
                        line,
                        kind: RowFaultKind::NoRow,
                    }),
                    Ok(cut) => out.cuts.push(cut),
                    Err(kind) => out.faults.push(RowFault { line, kind }),
                }
            }
            line += r.lines;
        }
        out
    }

    /// The decimal sign that the numbers of the table show, else the one that goes with its delimiter.
    fn own_sign(&self, places: &HashMap<Column, usize>) -> Option<DecimalSign> {
        let mut shown = [false; 2];
        let columns: Vec<usize> = SHOWING
            .iter()
            .filter_map(|c| places.get(c).copied())
            .collect();
        for r in &self.records {
            let taken = self.cells(r);
            for k in &columns {
                let text = taken.cells.get(*k).map_or("", |c| c.text.as_str());
                match numbers::shown_sign(text) {
                    Some(DecimalSign::Point) => shown[0] = true,
                    Some(DecimalSign::Comma) => shown[1] = true,
                    None => {}
                }
            }
            if shown == [true; 2] {
                break;
            }
        }
        match shown {
            [true, false] => Some(DecimalSign::Point),
            [false, true] => Some(DecimalSign::Comma),
            // Where commas part the cells, they hardly part a number as well.
            _ => (self.delimiter == ',').then_some(DecimalSign::Point),
        }
    }

    /// Whether every row of it is understood.
    pub fn is_understood(&self, library: &Library, today: Day) -> bool {
        self.read(library, today, None).faults.is_empty()
    }

    /// The bytes of the rows that are not understood.
    pub fn not_understood(&self, library: &Library, today: Day) -> Vec<&[u8]> {
        let faults = self.read(library, today, None).faults;
        let lines: std::collections::HashSet<u64> = faults.iter().map(|f| f.line).collect();
        let mut line = self.head_lines + 1;
        let mut out = Vec::new();
        for r in &self.records {
            if lines.contains(&line) {
                out.push(r.bytes.as_slice());
            }
            line += r.lines;
        }
        out
    }

    /// What the rows say, in their order; rows with a stray quotation mark say nothing.
    pub fn row_texts(&self) -> Vec<RowText> {
        self.rows()
            .filter(|r| r.kind == RecordKind::Row)
            .map(|r| self.row_text(r))
            .collect()
    }

    /// What a row says; rows are counted from 1.
    pub fn row(&self, number: usize) -> Option<RowText> {
        let r = self.rows().nth(number.checked_sub(1)?)?;
        (r.kind == RecordKind::Row).then(|| self.row_text(r))
    }

    fn row_text(&self, r: &Record) -> RowText {
        let cells = self.cells(r).cells;
        let name = |k: usize| {
            let named = self.names.get(k).filter(|n| !n.is_empty()).cloned();
            // Cells behind the last column have their place for a name.
            named.unwrap_or_else(|| format!("{k}"))
        };
        let all = cells.into_iter().enumerate();
        RowText(
            all.filter(|(_, c)| !c.text.is_empty())
                .map(|(k, c)| (name(k), c.text))
                .collect(),
        )
    }

    fn find(&self, row: &RowText) -> Option<usize> {
        // Of rows that say the same the last one: it is the latest.
        let is_it = |r: &Record| r.kind == RecordKind::Row && self.row_text(r) == *row;
        self.records.iter().rposition(is_it)
    }

    /// Makes a change; the one that takes it back, or `None` where the row is not there, as when somebody else took
    /// it out.
    pub fn apply(&mut self, edit: &Edit) -> Option<Edit> {
        match edit {
            Edit::Add(cut) => {
                let bytes = self.written(cut);
                self.end_last_line();
                let r = self.one_record(bytes);
                let row = self.row_text(&r);
                self.records.push(r);
                Some(Edit::Remove { row })
            }
            Edit::SetAside { row, aside } => {
                let k = self.find(row)?;
                let was = self.was(k);
                self.set_cell(k, Column::Outlier, if *aside { "yes" } else { "" });
                let row = self.row_text(&self.records[k]);
                Some(Edit::TurnBack { row, was })
            }
            Edit::Remove { row } => {
                let k = self.find(row)?;
                let was = self.was(k);
                self.records.remove(k);
                Some(Edit::PutBack(was))
            }
            Edit::PutBack(was) => {
                let r = self.one_record(self.bytes_of(was));
                let row = self.row_text(&r);
                let place = was.place.min(self.records.len());
                if place == self.records.len() {
                    self.end_last_line();
                }
                self.records.insert(place, r);
                // A row that was the last may have had no end of line.
                if place + 1 < self.records.len() {
                    self.end_line(place);
                }
                Some(Edit::Remove { row })
            }
            Edit::TurnBack { row, was } => {
                let k = self.find(row)?;
                let now = self.was(k);
                let bytes = self.bytes_of(was);
                self.records[k] = self.one_record(bytes);
                if k + 1 < self.records.len() {
                    self.end_line(k);
                }
                let row = self.row_text(&self.records[k]);
                Some(Edit::TurnBack { row, was: now })
            }
        }
    }

    fn was(&self, k: usize) -> WasRow {
        let r = &self.records[k];
        WasRow {
            names: self.names.clone(),
            bytes: r.bytes.clone(),
            cells: self.cells(r).cells.into_iter().map(|c| c.text).collect(),
            place: k,
        }
    }

    /// As it stood, or where the columns are others by now, its cells under their names.
    fn bytes_of(&self, was: &WasRow) -> Vec<u8> {
        if self.names.starts_with(&was.names) {
            return was.bytes.clone();
        }
        let cell = |name: &String| {
            let k = was.names.iter().position(|n| n == name);
            let text = k.and_then(|k| was.cells.get(k)).map_or("", String::as_str);
            cell_text(text, self.delimiter)
        };
        let cells: Vec<String> = self.names.iter().map(cell).collect();
        self.line_of(&cells)
    }

    fn line_of(&self, cells: &[String]) -> Vec<u8> {
        let mut text = cells.join(&self.delimiter.to_string());
        text.push_str(self.newline);
        self.encoding.encoded(&text)
    }

    fn one_record(&self, bytes: Vec<u8>) -> Record {
        let taken = record(&bytes, self.encoding, self.delimiter);
        Record {
            kind: kind(&taken),
            lines: taken.lines,
            bytes,
        }
    }

    fn end_last_line(&mut self) {
        if let Some(last) = self.records.len().checked_sub(1) {
            self.end_line(last);
        } else if self.head_lines == 0 || !self.ends_line(&self.head) {
            let newline = self.encoding.encoded(self.newline);
            self.head.extend_from_slice(&newline);
            self.head_lines += 1;
        }
    }
    fn ends_line(&self, bytes: &[u8]) -> bool {
        let ends = |c: &str| bytes.ends_with(&self.encoding.encoded(c));
        ends("\n") || ends("\r")
    }
    fn end_line(&mut self, k: usize) {
        if !self.ends_line(&self.records[k].bytes) {
            // Half a character at the very end must not shift what follows.
            if self.encoding != Encoding::Bytes && self.records[k].bytes.len() % 2 == 1 {
                self.records[k].bytes.push(0);
            }
            let newline = self.encoding.encoded(self.newline);
            self.records[k].bytes.extend_from_slice(&newline);
            self.records[k].lines += 1;
        }
    }

    /// A cut as a row of this table. Columns that the cut needs and the table lacks join it on the right.
    fn written(&mut self, cut: &Cut) -> Vec<u8> {
        for column in Column::ALL {
            if !cut.cell(column, |v| v.to_string()).is_empty() {
                self.place_of(column);
            }
        }
        let places = self.places().unwrap_or_default();
        let mut cells = vec![String::new(); self.names.len()];
        for (column, k) in places {
            let text = cut.cell(column, |v| number_text(v, self.sign));
            cells[k] = cell_text(&text, self.delimiter);
        }
        self.line_of(&cells)
    }

    /// Where a column stands; it joins the table where it is not there yet.
    fn place_of(&mut self, column: Column) -> usize {
        if let Some(k) = self
            .names
            .iter()
            .position(|n| self::column(n) == Some(column))
        {
            return k;
        }
        // Cells that stand behind the last column without a name must not come to stand under this one.
        let cells = self.records.iter().map(|r| self.cells(r).cells.len());
        let width = cells.chain([self.names.len()]).max().unwrap_or(0);
        let mut added = String::new();
        while self.names.len() < width {
            added.push(self.delimiter);
            self.names.push(String::new());
        }
        added.push(self.delimiter);
        added.push_str(column.name());
        self.names.push(column.name().to_owned());
        let added = self.encoding.encoded(&added);
        let end = self.before_line_end(&self.head);
        self.head.splice(end..end, added);
        self.names.len() - 1
    }

    /// Where the end of the last line begins.
    fn before_line_end(&self, bytes: &[u8]) -> usize {
        let mut end = bytes.len();
        for c in ["\n", "\r"] {
            let c = self.encoding.encoded(c);
            if bytes[..end].ends_with(&c) {
                end -= c.len();
            }
        }
        end
    }

    /// Puts a text in a cell and leaves every other byte of the row.
    fn set_cell(&mut self, k: usize, column: Column, text: &str) {
        let there = self.names.iter().any(|n| self::column(n) == Some(column));
        if !there && text.is_empty() {
            return;
        }
        let place = self.place_of(column);
        let taken = self.cells(&self.records[k]);
        let mut bytes = self.records[k].bytes.clone();
        match taken.cells.get(place) {
            Some(cell) => {
                bytes.splice(cell.at.clone(), self.encoding.encoded(text));
            }
            None if text.is_empty() => return,
            None => {
                let missing = place + 1 - taken.cells.len();
                let mut added = self.delimiter.to_string().repeat(missing);
                added.push_str(text);
                let end = self.before_line_end(&bytes);
                bytes.splice(end..end, self.encoding.encoded(&added));
            }
        }
        self.records[k] = self.one_record(bytes);
    }
}

/// Reads a table with a header; columns in any order, separated by comma, semicolon, tab or bar.
///
/// `today` is the last day that a cut may have been finished on.
///
/// # Errors
/// A file without the needed columns. A bad row is no error: it is named in the result.
pub fn read_cuts(bytes: &[u8], library: &Library, today: Day) -> Result<CutsRead, CutsError> {
    Ok(Log::parse(bytes)?.read(library, today, None))
}

fn column(name: &str) -> Option<Column> {
    let name = name.to_ascii_lowercase();
    Column::ALL.into_iter().find(|c| c.name() == name)
}

fn kind(taken: &Taken) -> RecordKind {
    if taken.stray {
        RecordKind::Stray
    } else if taken.cells.iter().all(|c| c.text.is_empty()) {
        RecordKind::Blank
    } else {
        RecordKind::Row
    }
}

fn cut_up(bytes: &[u8], encoding: Encoding, delimiter: char) -> Vec<Record> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let taken = record(&bytes[at..], encoding, delimiter);
        out.push(Record {
            kind: kind(&taken),
            lines: taken.lines,
            bytes: bytes[at..at + taken.bytes].to_vec(),
        });
        at += taken.bytes;
    }
    out
}

/// A number as the table writes its own, and so that it can mean only one thing there.
fn number_text(value: f64, sign: Option<DecimalSign>) -> String {
    let text = value.to_string();
    match sign {
        Some(DecimalSign::Comma) => text.replace('.', ","),
        // 512.125 could be half a million; 512.1250 cannot.
        None if matches!(numbers::read(&text, None), Written::Either(_)) => text + "0",
        Some(DecimalSign::Point) | None => text,
    }
}
