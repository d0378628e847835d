//! Threads for everything slow: some read drawings, some measure and estimate, each as many as the machine has
//! cores; one saves.
//!
//! Requests carry a number. Of the estimates waiting for one drawing only the latest is worked, and an
//! answer whose number is no longer awaited is dropped by the window.

use super::desk::{ItemDone, ItemWanted};
use super::laid::{Laid, LaidWanted};
use super::open_file::{Answer, taken_by_contour};
use super::readers::{Fetched, Readers};
use super::reading::{Read, Reading, Source};
use super::scene::course::{Detail, DetailWanted, What, detail};
use super::scene::{Model, PathModel};
use super::tasks::{Done, Task};
use crate::drawing::{self, Drawing, Progress};
use crate::enquiry::DrawingFile;
use crate::estimate::{self, Figures};
use crate::geometry::Point;
use crate::job::Job;
use crate::library::Library;
use crate::measures;
use crate::notes::NoteReader;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::words::reading::{hint, problem};
use std::borrow::Cow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// What is to be done.
pub enum Request {
    /// Read a drawing.
    Read(Box<Reading>),
    /// Estimate a job.
    Estimate {
        /// The open drawing.
        file: u64,
        /// Number of the request.
        number: u64,
        /// What was read.
        drawing: Arc<Drawing>,
        /// Its contours.
        profile: Arc<Profile>,
        /// The job.
        job: Box<Job>,
        /// What it rests on.
        library: Arc<Library>,
        /// Wire paths laid so far.
        cache: Arc<PathCache>,
        /// The candidate whose paths are shown, and how they are painted.
        shown: usize,
        /// What the canvas counts from, and the largest distance of chord and arc, mm.
        painted: (Point, f64),
        /// How far it is; stops it.
        progress: Progress,
    },
    /// Something about the shop's own figures.
    Own(Box<Task>),
    /// More about one wire of an estimate.
    Detail(Box<DetailWanted>),
    /// What an item of the enquiry comes to.
    Item(Box<ItemWanted>),
    /// Another drawing laid over an open one.
    Lay(u64, Box<LaidWanted>),
}

/// What came of a request.
pub enum Reply {
    /// A drawing, or why there is none.
    Read {
        /// What was asked.
        reading: Box<Reading>,
        /// The drawing or a message with a hint.
        result: Result<Box<Read>, String>,
    },
    /// An estimate, or why there is none.
    Estimate {
        /// The open drawing.
        file: u64,
        /// Number of the request.
        number: u64,
        /// The answer or a message; an empty one where it was stopped or a later request overtook it.
        result: Result<Box<Answer>, String>,
    },
    /// What came of the shop's own figures.
    Own(Box<Done>),
    /// More about one wire, or why there is none.
    Detail {
        /// The open drawing.
        file: u64,
        /// Number of the estimate that it belongs to.
        number: u64,
        /// Index of the candidate.
        wire: usize,
        /// The answer or a message; an empty one where a later question overtook it.
        result: Result<Detail, String>,
    },
    /// What an item comes to, or why to nothing.
    Item {
        /// Which.
        id: u64,
        /// Number of the request.
        number: u64,
        /// The answer or a message.
        result: Result<Box<ItemDone>, String>,
    },
    /// Two drawings as they lie on each other; nothing where that failed.
    Laid(Box<LaidWanted>, Option<Box<Laid>>),
}

/// The threads and their ends.
pub struct Worker {
    /// Estimates and what belongs to them; those of one drawing always go to the same thread.
    requests: Vec<Sender<Request>>,
    readings: Readers<Reply>,
    /// Items of an enquiry, shared out over the cores.
    items: Vec<Sender<Request>>,
    savings: Sender<Request>,
    replies: Receiver<Reply>,
    out: usize,
}

impl Worker {
    /// Starts the threads; `wake` is called after each reply.
    pub fn start(wake: impl Fn() + Clone + Send + Sync + 'static) -> Self {
        let (outgoing, replies) = channel();
        let thread = |name: &str| {
            let (requests, incoming) = channel();
            let (outgoing, wake) = (outgoing.clone(), wake.clone());
            let spawned = std::thread::Builder::new()
                .name(name.to_owned())
                // Hostile drawings nest deeply; the reader says how much it needs.
                .stack_size(drawing::limits::STACK_BYTES)
                .spawn(move || work(&incoming, &outgoing, &wake));
            if let Err(e) = spawned {
                // Without threads nothing can be computed; requests are then refused one by one.
                eprintln!("{}", say!("kerfcast: no thread for {name}: {e}"));
            }
            requests
        };
        Self {
            requests: (0..cores()).map(|_| thread("estimates")).collect(),
            // A large drawing must not hold up the figures of those that are open.
            items: (0..cores())
                .map(|k| thread(&format!("items {k}")))
                .collect(),
            // What the user decided is safe, however long an estimate takes.
            savings: thread("saving"),
            readings: Readers::start(cores(), read_fetched, outgoing, wake),
            replies,
            out: 0,
        }
    }
    /// Asks for something. `false` when the thread is gone.
    pub fn ask(&mut self, request: Request) -> bool {
        let of = |threads: &'_ [Sender<Request>], key: u64| key as usize % threads.len();
        // What belongs together always goes to the same thread, where a later request overtakes an earlier one; the
        // shop's own figures are worked in the order in which they were asked for.
        let thread = match &request {
            Request::Own(task) if task.is_saving() => &self.savings,
            Request::Own(task) if task.is_of_items() => &self.items[0],
            Request::Read(_) | Request::Own(_) => &self.requests[0],
            Request::Estimate { file, .. } => &self.requests[of(&self.requests, *file)],
            // Long work with large drawings, which holds up no estimate.
            Request::Lay(file, _) => &self.items[of(&self.items, *file)],
            Request::Detail(wanted) => &self.requests[of(&self.requests, wanted.file)],
            Request::Item(wanted) => &self.items[of(&self.items, wanted.id)],
        };
        let sent = match request {
            Request::Read(reading) => self.readings.ask(reading),
            other => thread.send(other).is_ok(),
        };
        self.out += usize::from(sent);
        sent
    }
    /// What has come back, without waiting.
    pub fn replies(&mut self) -> Vec<Reply> {
        let list: Vec<_> = self.replies.try_iter().collect();
        self.out = self.out.saturating_sub(list.len());
        list
    }
    /// Waits for one reply; `None` after the time or when nothing is out.
    pub fn wait(&mut self, longest: Duration) -> Option<Reply> {
        if self.out == 0 {
            return None;
        }
        match self.replies.recv_timeout(longest) {
            Ok(reply) => {
                self.out -= 1;
                Some(reply)
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => None,
        }
    }
    /// Whether nothing is out.
    pub fn is_idle(&self) -> bool {
        self.out == 0
    }
}

/// Cores of the machine, at most eight: beyond that memory is what is short.
fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, |n| n.get().min(8))
}

fn work(incoming: &Receiver<Request>, outgoing: &Sender<Reply>, wake: &(impl Fn() + Send)) {
    let mut waiting: Vec<Request> = Vec::new();
    loop {
        if waiting.is_empty() {
            match incoming.recv() {
                Ok(request) => waiting.push(request),
                Err(_) => return,
            }
        }
        waiting.extend(incoming.try_iter());
        let request = waiting.remove(0);
        let reply = if is_overtaken(&request, &waiting) {
            overtaken(&request)
        } else {
            Some(answer(request))
        };
        if let Some(reply) = reply {
            if outgoing.send(reply).is_err() {
                return;
            }
            wake();
        }
    }
}

/// Whether a later estimate of the same drawing, or the same question about it, waits.
fn is_overtaken(request: &Request, waiting: &[Request]) -> bool {
    let (own, what): (u64, Option<What>) = match request {
        Request::Estimate { file, .. } => (*file, None),
        Request::Detail(d) => (d.file, Some(d.what)),
        Request::Item(wanted) => {
            let own = wanted.id;
            let later = |r: &Request| matches!(r, Request::Item(w) if w.id == own);
            return waiting.iter().any(later);
        }
        Request::Read(_) | Request::Own(_) | Request::Lay(..) => return false,
    };
    waiting.iter().any(|r| match r {
        Request::Estimate { file, .. } => *file == own,
        Request::Detail(d) => d.file == own && what == Some(d.what),
        Request::Read(_) | Request::Own(_) | Request::Item(_) | Request::Lay(..) => false,
    })
}

/// An overtaken estimate still gets its reply, so that the window can count what is out.
fn overtaken(request: &Request) -> Option<Reply> {
    match request {
        &Request::Estimate { file, number, .. } => Some(Reply::Estimate {
            file,
            number,
            result: Err(String::new()),
        }),
        Request::Detail(d) => Some(detail_reply(d, Err(String::new()))),
        Request::Item(wanted) => Some(Reply::Item {
            id: wanted.id,
            number: wanted.number,
            result: Err(String::new()),
        }),
        Request::Read(_) | Request::Own(_) | Request::Lay(..) => None,
    }
}

fn detail_reply(wanted: &DetailWanted, result: Result<Detail, String>) -> Reply {
    Reply::Detail {
        file: wanted.file,
        number: wanted.number,
        wire: wanted.wire,
        result,
    }
}

/// Does it. A fault of our own becomes a message, never the end of the program.
fn answer(request: Request) -> Reply {
    match request {
        Request::Own(task) => Reply::Own(Box::new(task.run())),
        Request::Lay(_, wanted) => {
            let found = catch_unwind(AssertUnwindSafe(|| wanted.find()));
            Reply::Laid(wanted, found.ok().flatten().map(Box::new))
        }
        Request::Item(wanted) => Reply::Item {
            id: wanted.id,
            number: wanted.number,
            result: wanted.work(),
        },
        Request::Read(reading) => {
            let result = catch_unwind(AssertUnwindSafe(|| read(&reading))).unwrap_or_else(|_| {
                Err(say!(
                    "Kerfcast failed on this drawing; that is our fault, not yours. \
                     Exporting it anew as DXF R12 or 2000 with lines and arcs may help."
                )
                .to_owned())
            });
            Reply::Read { reading, result }
        }
        Request::Detail(wanted) => {
            let result = worked(&wanted.progress, || detail(&wanted)).map_err(|stopped| {
                stopped.unless_failed(say!(
                    "Kerfcast failed on the course of this job; that is our fault, not yours. \
                     The figures hold; undo the last change to see the course again."
                ))
            });
            detail_reply(&wanted, result)
        }
        Request::Estimate {
            file,
            number,
            drawing,
            profile,
            job,
            library,
            cache,
            shown,
            painted: (centre, sagitta),
            progress,
        } => {
            let result = worked(&progress, || {
                let (comparison, as_openings) =
                    estimate::compare_either_way(&drawing, &job, &library, &cache);
                let figures = comparison.estimates.iter().map(|e| e.figures.as_ref());
                let paths = comparison.estimates.get(shown);
                let mut answer = Box::new(Answer {
                    paths: paths.map(|e| (shown, Arc::new(PathModel::new(e, centre, sagitta)))),
                    shares: figures
                        .clone()
                        .map(|f| f.map(Figures::shares).unwrap_or_default())
                        .collect(),
                    taken: figures
                        .map(|f| {
                            let contours = profile.contours().len();
                            f.map_or_else(Vec::new, |f| taken_by_contour(f, contours))
                        })
                        .collect(),
                    comparison,
                    measures: measures::measure_as(&profile, |k| job.role(&profile, k)),
                    job: (*job).clone(),
                    at_stake: Vec::new(),
                    as_openings,
                    pieces: 1,
                });
                answer.find_doubt(&drawing);
                answer
            })
            .map_err(|stopped| {
                stopped.unless_failed(
                    say!("Kerfcast failed on this estimate; that is our fault, not yours. \
                     The figures shown are those from before; undo the last change, or leave contours out \
                     one by one to find the one that fails."),
                )
            });
            Reply::Estimate {
                file,
                number,
                result,
            }
        }
    }
}

/// Why work came to nothing.
enum Stopped {
    /// Somebody asked for that.
    Cancelled,
    /// A fault of our own.
    Failed,
}

impl Stopped {
    /// The message of a fault; none where it was asked for.
    fn unless_failed(&self, message: &str) -> String {
        match self {
            Self::Cancelled => String::new(),
            Self::Failed => message.to_owned(),
        }
    }
}

/// Does what can be stopped and may fail.
fn worked<T>(progress: &Progress, work: impl FnOnce() -> T) -> Result<T, Stopped> {
    match catch_unwind(AssertUnwindSafe(|| progress.run(work))) {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(_)) => Err(Stopped::Cancelled),
        Err(_) => Err(Stopped::Failed),
    }
}

/// Reads a drawing whose file has been fetched.
fn read_fetched(mut reading: Box<Reading>, fetched: Fetched) -> Reply {
    match fetched {
        Err(error) => Reply::Read {
            reading,
            result: Err(not_read(&error)),
        },
        Ok(None) => answer(Request::Read(reading)),
        Ok(Some(bytes)) => {
            let file = std::mem::replace(&mut reading.source, Source::Bytes(Cow::Owned(bytes)));
            let mut reply = answer(Request::Read(reading));
            if let Reply::Read { reading, .. } = &mut reply {
                // Read again, it is fetched again.
                reading.source = file;
            }
            reply
        }
    }
}

/// Why a drawing was not read, and what to do.
fn not_read(error: &drawing::ReadError) -> String {
    with_hint(&problem(error), hint(error))
}

fn read(reading: &Reading) -> Result<Box<Read>, String> {
    let told = |e: drawing::ReadError| not_read(&e);
    let mut file = None;
    let drawing = match &reading.known {
        Some(known) => known.rejoin(&reading.options, &reading.progress),
        None => bytes_of(reading).and_then(|bytes| {
            let drawing = drawing::read(&bytes, &reading.options, &reading.progress);
            file = Some(DrawingFile::new(bytes.into_owned()));
            drawing
        }),
    };
    let drawing = drawing.map_err(told)?;
    let profile = &drawing.profile;
    let offered = drawing.findings.iter().any(|f| !f.offers.is_empty());
    if profile.contours().is_empty() && profile.open().is_empty() && !offered {
        return Err(say!(
            "The drawing holds no curve that could be cut. Export the profile itself as lines, \
             arcs, circles, polylines or splines in model space, on a visible layer."
        )
        .to_owned());
    }
    let model = Model::new(profile);
    let reader = NoteReader::new(&reading.vocabulary, &drawing.units);
    let says = drawing.notes.iter().map(|n| reader.says(n)).collect();
    Ok(Box::new(Read {
        profile: Arc::new(profile.clone()),
        drawing: Arc::new(drawing),
        file,
        model,
        says,
    }))
}

/// The bytes of a drawing.
fn bytes_of(reading: &Reading) -> Result<Cow<'_, [u8]>, drawing::ReadError> {
    Ok(match &reading.source {
        Source::Bytes(bytes) => Cow::Borrowed(bytes.as_ref()),
        Source::Path(path) => Cow::Owned(drawing::bytes_of(path, &reading.progress)?),
    })
}

/// A fact and its hint as sentences.
fn with_hint(fact: &str, hint: &str) -> String {
    let mut out = fact.trim().to_owned();
    if !out.ends_with(['.', '!', '?']) {
        out.push('.');
    }
    if !hint.is_empty() {
        out.push(' ');
        out.push_str(hint.trim());
    }
    out
}
