//! `batch`: every drawing of a folder or list, on all cores. The table remembers what each answer depends on, so that a run that
//! was broken off, or is made again, works only what is new.

mod memory;

use super::conditions::Conditions;
use super::cores::pool;
use super::estimate_json::{EstimateBasis, EstimatedJson, estimated};
use super::job_file::{Asked, listed};
use super::outcome::{Failure, Outcome};
use super::output::Overwrite;
use super::reading::Failed;
use super::stopping::{self, pressed as stopped};
use super::table;
use super::visible::{tell, tell_of};
use crate::drawing::ReadError;
use crate::enquiry::{Hash, Row, answer_read, answer_row, library_hash, list, work_hash};
use crate::estimate::as_openings;
use crate::job::Job;
use crate::library::Library;
use crate::progress::caught;
use crate::words::reading;
use memory::Memory;
use rayon::prelude::*;
use serde::Serialize;
use std::collections::HashMap;
use std::io::{IsTerminal as _, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant, SystemTime};

/// Between two looks at a watched folder. A file counts once it has been still for that long.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// Between two lines of progress on a terminal, and in a file.
const TELL_EVERY: [Duration; 2] = [Duration::from_millis(500), Duration::from_secs(30)];
/// Drawings whose JSON is held at once.
const AT_ONCE: usize = 32;

/// Arguments of `batch`.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A folder, with all its folders, or a list as `job new --list` takes.
    #[arg(value_name = "FOLDER|LIST.csv", required_unless_present = "merge")]
    from: Option<PathBuf>,
    /// Tables of shares to be put together in the table of --out; of a drawing that stands in several, the last counts.
    #[arg(long, value_name = "TABLE.csv", num_args = 1.., requires = "out", conflicts_with_all = ["from", "watch", "shard", "json"])]
    merge: Vec<PathBuf>,
    /// The table that is written, worst verdict first. What stands in it and still holds is not worked again.
    #[arg(long, value_name = "TABLE.csv", conflicts_with = "json")]
    out: Option<PathBuf>,
    /// Go on and work what comes into the folder or changes there, until Ctrl-C.
    #[arg(long, requires = "out")]
    watch: bool,
    /// Work one share of several of the drawings, such as 2/5; each drawing falls into the same share every time.
    #[arg(long, value_name = "I/N", value_parser = shard)]
    shard: Option<Shard>,
    #[command(flatten)]
    overwrite: Overwrite,
    /// Everything that `estimate --json` says, with the hash of each drawing; in the order of the drawings.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    with: Conditions,
}

/// One share of several.
#[derive(Debug, Clone, Copy)]
struct Shard {
    share: u64,
    of: u64,
}

fn shard(text: &str) -> Result<Shard, String> {
    let numbers = text.split_once('/');
    let numbers = numbers.and_then(|(i, n)| Some((i.parse().ok()?, n.parse().ok()?)));
    match numbers {
        Some((share, of)) if (1..=of).contains(&share) => Ok(Shard { share, of }),
        _ => Err(say!("a share of so many is needed, such as 2/5").to_owned()),
    }
}

impl Shard {
    /// By the name alone, so that a drawing that comes later moves none.
    fn takes(self, name: &str) -> bool {
        let hash = Hash::of(name.as_bytes()).to_string();
        let number = u64::from_str_radix(&hash[..12], 16).unwrap_or(0);
        number % self.of == self.share - 1
    }
}

/// Runs a batch.
///
/// # Errors
/// The call is wrong, or an output cannot be written.
pub(super) fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    if !args.merge.is_empty() {
        return merge(args, out);
    }
    let library = args.with.own.library()?;
    let base = args.with.job_or_assumed(&library)?;
    // Drawings under way are finished, no other is begun.
    stopping::looks_itself();
    let batch = Batch {
        args,
        base,
        hash: library_hash(&library),
        library,
    };
    let drawings = batch.drawings()?;
    if args.json {
        return batch.write_json(&drawings, out);
    }
    let mut memory = match &args.out {
        Some(path) => {
            if !memory::is_table(path) {
                let inputs: Vec<&Path> = drawings.iter().map(|a| a.path.as_path()).collect();
                args.overwrite.check(path, &inputs)?;
            }
            Memory::open(path)?
        }
        None => Memory::default(),
    };
    let mut outcome = batch.round(&drawings, &mut memory)?;
    if args.out.is_none() {
        write_text(out, &memory.sorted())?;
    }
    if args.watch && !stopped() {
        outcome = batch.watch(&mut memory)?;
    }
    if stopped() {
        tell(say!(
            "Stopped. What is done is kept beside the table; the same call goes on from there."
        ));
        outcome = Outcome::SomeFailed;
    }
    Ok(outcome)
}

/// Puts the tables of several shares together.
fn merge(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let Some(to) = &args.out else {
        return Ok(Outcome::Done);
    };
    let inputs: Vec<&Path> = args.merge.iter().map(PathBuf::as_path).collect();
    args.overwrite.check(to, &inputs)?;
    let mut lines = Vec::new();
    for table in &args.merge {
        let read = memory::read(table).ok_or_else(|| {
            Failure::Call(say!(
                "{} is no table of a batch, or cannot be read. Nothing was written.",
                table.display()
            ))
        })?;
        lines.extend(read);
    }
    let mut merged = Memory::to(to);
    for line in lines {
        merged.keep(line);
    }
    merged.save()?;
    let count =
        crate::words::style::count(merged.sorted().len(), say!("drawing"), say!("drawings"));
    writeln!(out, "{}: {count}.", to.display())?;
    Ok(merged.outcome())
}

/// What all drawings share.
struct Batch<'a> {
    args: &'a Arguments,
    base: Job,
    library: Library,
    hash: Hash,
}

/// What one drawing came to, as a line of the table.
struct Done {
    cells: Vec<String>,
    /// Whether it stood in the table already.
    known: bool,
}

impl Batch<'_> {
    fn drawings(&self) -> Result<Vec<Asked>, Failure> {
        let Some(from) = &self.args.from else {
            return Ok(Vec::new());
        };
        let mut all = if from.is_dir() {
            let mut paths = Vec::new();
            collect(from, &mut paths, 0);
            paths.sort();
            let asked = paths.into_iter().map(|path| Asked {
                name: path
                    .strip_prefix(from)
                    .unwrap_or(&path)
                    .display()
                    .to_string(),
                path,
                row: None,
            });
            asked.collect()
        } else {
            listed(from, &self.library)?
        };
        if let Some(shard) = self.args.shard {
            all.retain(|a: &Asked| shard.takes(&a.name));
        }
        Ok(all)
    }

    /// Works every drawing that is not known, and writes the table.
    fn round(&self, drawings: &[Asked], memory: &mut Memory) -> Result<Outcome, Failure> {
        let told = Told::new(drawings.len());
        let known = memory.known();
        let sink = Mutex::new(memory);
        pool(drawings.len())?.install(|| {
            drawings.par_iter().for_each(|asked| {
                if stopped() {
                    return;
                }
                let done = self.line(asked, &known);
                told.one(done.known, done.cells.last().is_some_and(|e| !e.is_empty()));
                if !done.known
                    && let Ok(mut memory) = sink.lock()
                {
                    memory.keep(done.cells);
                }
            });
        });
        told.end();
        let Ok(memory) = sink.into_inner() else {
            return Ok(Outcome::SomeFailed);
        };
        let names: std::collections::HashSet<&str> =
            drawings.iter().map(|a| a.name.as_str()).collect();
        if !stopped() {
            memory.only(|name| names.contains(name));
            memory.save()?;
        }
        Ok(memory.outcome())
    }

    fn line(&self, asked: &Asked, known: &HashMap<(String, String), Vec<String>>) -> Done {
        let item = self
            .args
            .with
            .item(&asked.path, &self.base, asked.row.as_ref(), &self.library);
        let mut item = match item {
            Ok(item) => item,
            Err(message) => return failed(asked, None, &message),
        };
        let decided = work_hash(item.drawing.hash(), &item.options, &item.job, self.hash);
        let hash = Hash::of_pieces(&[
            decided.to_string().as_bytes(),
            self.args.with.key().as_bytes(),
        ]);
        if let Some(cells) = known.get(&(asked.name.clone(), hash.to_string())) {
            return Done {
                cells: cells.clone(),
                known: true,
            };
        }
        let answered = self.args.with.read(&mut item).and_then(|drawing| {
            let answered = answer_row(drawing, &item.job, &self.library);
            answered.map_err(|e| format!("{} {}", reading::problem(&e), reading::hint(&e)))
        });
        let row: Result<Row, String> = answered.map(|a| item.row(&a));
        let row = match &row {
            Ok(row) => Ok(row),
            Err(message) => Err(message.as_str()),
        };
        Done {
            cells: list::cells(&list::Line {
                item: &item,
                drawing: &asked.name,
                row: Some(row),
                answered_for: Some(hash),
            }),
            known: false,
        }
    }

    fn watch(&self, memory: &mut Memory) -> Result<Outcome, Failure> {
        type Seen = HashMap<PathBuf, Option<(SystemTime, u64)>>;
        let look = |drawings: &[Asked]| -> Seen {
            let about = |path: &Path| {
                let about = std::fs::metadata(path).ok()?;
                Some((about.modified().ok()?, about.len()))
            };
            let all = drawings.iter();
            all.map(|a| (a.path.clone(), about(&a.path))).collect()
        };
        let mut worked = look(&self.drawings()?);
        let mut before = worked.clone();
        let mut outcome = memory.outcome();
        if let Some(from) = &self.args.from {
            tell_of(from, say!("watched; Ctrl-C ends it."));
        }
        while !stopped() {
            std::thread::sleep(LOOK_EVERY);
            let drawings = self.drawings()?;
            let now = look(&drawings);
            if now == before && now != worked {
                outcome = self.round(&drawings, memory)?;
                worked.clone_from(&now);
            }
            before = now;
        }
        Ok(outcome)
    }

    fn write_json(&self, drawings: &[Asked], out: &mut impl Write) -> Result<Outcome, Failure> {
        let told = Told::new(drawings.len());
        let pool = pool(drawings.len())?;
        let mut outcome = Outcome::Done;
        let mut first = true;
        write!(out, "[")?;
        for some in drawings.chunks(AT_ONCE) {
            if stopped() {
                outcome = Outcome::SomeFailed;
                break;
            }
            let texts: Vec<(String, Outcome)> =
                pool.install(|| some.par_iter().map(|a| self.json(a, &told)).collect());
            for (text, of) in texts {
                outcome = outcome.and(of);
                writeln!(out, "{}", if first { "" } else { "," })?;
                write!(out, "{text}")?;
                first = false;
            }
        }
        writeln!(out, "\n]")?;
        told.end();
        Ok(outcome)
    }

    fn json(&self, asked: &Asked, told: &Told) -> (String, Outcome) {
        #[derive(Serialize)]
        struct Hashed {
            hash: String,
            #[serde(flatten)]
            whole: EstimatedJson,
        }
        let with = &self.args.with;
        let worked = with
            .item(&asked.path, &self.base, asked.row.as_ref(), &self.library)
            .and_then(|mut item| {
                let drawing = with.read(&mut item)?;
                let failed = |e| format!("{} {}", reading::problem(&e), reading::hint(&e));
                let answered = answer_read(drawing, &item.job, &self.library).map_err(failed)?;
                let (drawing, cache) = (&answered.drawing, &answered.cache);
                // One drawing stops no other.
                let openings = caught(|| as_openings(drawing, &item.job, &self.library, cache))
                    .map_err(|_| failed(ReadError::ReaderFailed))?;
                Ok((item, answered, openings))
            });
        told.one(false, worked.is_err());
        let (text, outcome) = match worked {
            Ok((item, answered, openings)) => {
                let basis = EstimateBasis {
                    drawing: &answered.drawing,
                    job: &item.job,
                    confirmed: item.confirmed,
                    library: &self.library,
                    cache: &answered.cache,
                    as_openings: &openings,
                    alternatives: false,
                    wanted: None,
                    files: &[],
                    breaks: &[],
                    variants: &[],
                };
                let whole = Hashed {
                    hash: item.drawing.hash().to_string(),
                    whole: estimated(&asked.path, &basis, &answered.comparison),
                };
                let outcome = Outcome::of(item.row(&answered).quotable);
                (serde_json::to_string(&whole), outcome)
            }
            Err(message) => {
                let failed = Failed::because(asked.path.display().to_string(), message, "");
                (serde_json::to_string(&failed), Outcome::SomeFailed)
            }
        };
        // Plain data always writes.
        (text.unwrap_or_default(), outcome)
    }
}

/// A drawing that cannot even be opened has a line all the same.
fn failed(asked: &Asked, hash: Option<Hash>, message: &str) -> Done {
    let mut cells = vec![String::new(); list::head().count()];
    cells[0].clone_from(&asked.name);
    if let Some(last) = cells.last_mut() {
        message.clone_into(last);
    }
    let place = list::head().position(|c| c == "answered_for");
    if let (Some(place), Some(hash)) = (place, hash) {
        cells[place] = hash.to_string();
    }
    Done {
        cells,
        known: false,
    }
}

/// Deepest folder that is looked into.
const DEEPEST: usize = 64;

/// Drawings of a folder and of the folders in it; links to folders are not followed.
fn collect(folder: &Path, into: &mut Vec<PathBuf>, depth: usize) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let path = entry.path();
        let is_folder = entry.file_type().is_ok_and(|t| t.is_dir());
        if is_folder && depth < DEEPEST {
            collect(&path, into, depth + 1);
        } else if !is_folder
            && path
                .extension()
                .is_some_and(|e| e.eq_ignore_ascii_case("dxf"))
        {
            into.push(path);
        }
    }
}

/// A few columns for a person to read.
fn write_text(out: &mut impl Write, rows: &[&Vec<String>]) -> Result<(), Failure> {
    let shown = [
        "drawing",
        "verdict",
        "quantity",
        "thickness_mm",
        "material",
        "best_wire",
        "minutes",
        "cost",
        "lot_cost",
        "error",
    ];
    let places = shown.map(|c| list::head().position(|h| h == c).unwrap_or(0));
    let short = |text: &str| {
        let number = text.parse::<f64>().ok().filter(|_| text.contains('.'));
        number.map_or_else(|| text.to_owned(), |v| format!("{v:.2}"))
    };
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| places.iter().map(|k| short(&row[*k])).collect())
        .collect();
    Ok(table::write(out, &shown, &rows)?)
}

/// How far a round is, on standard error.
struct Told {
    all: usize,
    begun: Instant,
    state: Mutex<State>,
    on_terminal: bool,
}

struct State {
    worked: usize,
    known: usize,
    failed: usize,
    last: Instant,
}

impl Told {
    fn new(all: usize) -> Self {
        let now = Instant::now();
        Self {
            all,
            begun: now,
            state: Mutex::new(State {
                worked: 0,
                known: 0,
                failed: 0,
                last: now,
            }),
            on_terminal: std::io::stderr().is_terminal(),
        }
    }
    fn one(&self, known: bool, failed: bool) {
        let Ok(mut s) = self.state.lock() else { return };
        s.worked += usize::from(!known);
        s.known += usize::from(known);
        s.failed += usize::from(failed);
        if s.last.elapsed() < TELL_EVERY[usize::from(!self.on_terminal)] {
            return;
        }
        s.last = Instant::now();
        // What was known took no time worth counting.
        let done = s.worked + s.known;
        let left = self.begun.elapsed().as_secs_f64() / s.worked.max(1) as f64
            * self.all.saturating_sub(done) as f64;
        self.say(&s, &say!(", about {} left", seconds(left)));
    }
    fn end(&self) {
        let Ok(s) = self.state.lock() else { return };
        let took = self.begun.elapsed().as_secs_f64();
        self.say(&s, &say!(" in {}", seconds(took)));
        if self.on_terminal {
            eprintln!();
        }
    }
    fn say(&self, s: &State, more: &str) {
        let line = say!(
            "{} of {} drawings, {} of them unchanged, {} failed{more}",
            s.worked + s.known,
            self.all,
            s.known,
            s.failed
        );
        if self.on_terminal {
            eprint!("\r\x1b[K{line}");
        } else {
            eprintln!("{line}");
        }
    }
}

fn seconds(s: f64) -> String {
    match s {
        s if s < 90.0 => format!("{s:.0} s"),
        s if s < 5400.0 => say!("{:.0} min", s / 60.0),
        s => format!("{:.1} h", s / 3600.0),
    }
}
