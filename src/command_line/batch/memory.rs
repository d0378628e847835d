//! The table of a batch as its memory: lines that stand there, lines added since, and a file beside it that holds the added ones
//! until the table is written.

use super::super::outcome::{Failure, Outcome};
use crate::drawing::Verdict;
use crate::enquiry::list;
use crate::estimate::Quotable;
use crate::safe_file;
use std::collections::HashMap;
use std::fs::{File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

/// Lines by the drawing's name.
#[derive(Default)]
pub struct Memory {
    lines: HashMap<String, Vec<String>>,
    table: Option<PathBuf>,
    added: Option<csv::Writer<File>>,
}

/// Verdicts as they stand in the table, the worst first.
const VERDICTS: [Quotable; 4] = [
    Quotable::NoWire,
    Quotable::Drawing(Verdict::Refuse),
    Quotable::Drawing(Verdict::CheckThis),
    Quotable::Drawing(Verdict::SafeToQuote),
];

fn place(column: &str) -> usize {
    list::head().position(|c| c == column).unwrap_or(0)
}

/// Where a line stands: what failed first, then by verdict.
fn rank(line: &[String]) -> usize {
    let word = &line[place("verdict")];
    let verdict = VERDICTS.iter().position(|v| v.word() == word);
    verdict.map_or(0, |k| k + 1)
}

fn beside(table: &Path) -> PathBuf {
    let mut name = table.as_os_str().to_owned();
    name.push(".part");
    name.into()
}

fn unwritten(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    let text = say!("{} cannot be written: {error}", path.display());
    Failure::Output(io::Error::other(text))
}

/// The lines of a table, as far as they are whole; `None` where it is no table of a batch.
pub fn read(path: &Path) -> Option<Vec<Vec<String>>> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_path(path)
        .ok()?;
    let head: Vec<String> = reader.headers().ok()?.iter().map(str::to_owned).collect();
    if !list::head().eq(head.iter().map(String::as_str)) {
        return None;
    }
    let whole = reader.records().flatten().filter(|r| r.len() == head.len());
    let lines = whole.map(|r| r.iter().map(str::to_owned).collect());
    Some(lines.collect())
}

/// Whether a batch wrote it, or nothing is there.
pub fn is_table(path: &Path) -> bool {
    !path.exists() || read(path).is_some()
}

impl Memory {
    /// Empty, for a table that is written new.
    pub fn to(table: &Path) -> Self {
        Self {
            lines: HashMap::new(),
            table: Some(table.to_owned()),
            added: None,
        }
    }
    /// What stands in a table and beside it.
    ///
    /// # Errors
    /// The file beside it cannot be written.
    pub fn open(table: &Path) -> Result<Self, Failure> {
        let part = beside(table);
        let mut lines = HashMap::new();
        for line in [table, &part].into_iter().filter_map(read).flatten() {
            lines.insert(line[0].clone(), line);
        }
        let begun = part.metadata().is_ok_and(|m| m.len() > 0) && read(&part).is_some();
        let mut options = OpenOptions::new();
        options.create(true).write(true);
        if begun {
            options.append(true);
        } else {
            options.truncate(true);
        }
        let file = options.open(&part).map_err(|e| unwritten(&part, &e))?;
        let mut added = csv::Writer::from_writer(file);
        if begun {
            // A line that was cut short must not swallow the next one.
            use std::io::Write as _;
            let file = added.get_ref();
            (&*file)
                .write_all(b"\n")
                .map_err(|e| unwritten(&part, &e))?;
        } else {
            let head = added.write_record(list::head());
            head.map_err(|e| unwritten(&part, &e))?;
            added.flush().map_err(|e| unwritten(&part, &e))?;
        }
        Ok(Self {
            lines,
            table: Some(table.to_owned()),
            added: Some(added),
        })
    }
    /// Lines by name and by what they depend on; what failed is tried again.
    pub fn known(&self) -> HashMap<(String, String), Vec<String>> {
        let hash = place("answered_for");
        let whole = self
            .lines
            .values()
            .filter(|l| !l[hash].is_empty() && l.last().is_some_and(String::is_empty));
        whole
            .map(|l| ((l[0].clone(), l[hash].clone()), l.clone()))
            .collect()
    }
    /// Takes a new line in, at once beside the table too.
    pub fn keep(&mut self, line: Vec<String>) {
        if let Some(added) = &mut self.added {
            // Where this fails the line is only in memory, and the table is written all the same.
            let _ = added.write_record(&line).is_ok() && added.flush().is_ok();
        }
        self.lines.insert(line[0].clone(), line);
    }
    /// Forgets lines of drawings that are there no more.
    pub fn only(&mut self, is_there: impl Fn(&str) -> bool) {
        self.lines.retain(|name, _| is_there(name));
    }
    /// All lines, worst verdict first, then by name.
    pub fn sorted(&self) -> Vec<&Vec<String>> {
        let mut all: Vec<&Vec<String>> = self.lines.values().collect();
        all.sort_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| a[0].cmp(&b[0])));
        all
    }
    /// Writes the table whole, and gives up the file beside it.
    ///
    /// # Errors
    /// What the system says; the old table is then as it was.
    pub fn save(&mut self) -> Result<(), Failure> {
        let Some(table) = &self.table else {
            return Ok(());
        };
        let mut bytes = Vec::new();
        {
            let mut out = csv::Writer::from_writer(&mut bytes);
            out.write_record(list::head())?;
            for line in self.sorted() {
                out.write_record(line)?;
            }
            out.flush()?;
        }
        safe_file::save(table, &bytes).map_err(|e| unwritten(table, &e))?;
        let part = beside(table);
        let file = File::create(&part).map_err(|e| unwritten(&part, &e))?;
        let mut added = csv::Writer::from_writer(file);
        added.write_record(list::head())?;
        added.flush()?;
        self.added = Some(added);
        Ok(())
    }
    /// What has to be known of all lines.
    pub fn outcome(&self) -> Outcome {
        let of = |line: &Vec<String>| match rank(line) {
            0 => Outcome::SomeFailed,
            1 | 2 => Outcome::NotToQuote,
            _ => Outcome::Done,
        };
        self.lines
            .values()
            .map(of)
            .fold(Outcome::Done, Outcome::and)
    }
}

impl Drop for Memory {
    fn drop(&mut self) {
        // Everything in it stands in the table.
        if let Some(table) = &self.table
            && table.exists()
            && read(&beside(table)).is_some_and(|lines| lines.is_empty())
        {
            self.added = None;
            let _ = std::fs::remove_file(beside(table));
        }
    }
}
