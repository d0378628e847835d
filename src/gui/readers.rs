//! Threads that read drawings: as many as the machine has cores, and another one for each that only waits.
//!
//! A file on a share that hangs, or a pipe into which nobody writes, keeps its thread waiting. After a moment
//! another one takes its place, so that no reading ever holds up another drawing; once the file is there, one
//! of them too many goes home. What is read is handed out in the order in which it was asked for; only those that
//! wait for their file are not waited for.

use super::reading::{Reading, Source};
use crate::drawing::{self, ReadError};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// A file that is not there after this is waited for: a disk gives a large drawing in less.
const WAITED_FOR: Duration = Duration::from_millis(300);
/// Most threads that wait: each has a stack of its own, and nobody opens so many files that hang.
const MOST_WAITING: usize = 64;

/// The bytes of a reading's file, or why there are none; nothing where it needs no file.
pub type Fetched = Result<Option<Vec<u8>>, ReadError>;

/// How far a reading is; `R` is its reply.
enum Stage<R> {
    /// Not begun, or being read.
    InWork,
    /// It waits for its file.
    Waits,
    /// Its reply, held until those asked for before it are out.
    Read(R),
}

/// Readings in the order in which they were asked for, each with its number.
struct Order<R> {
    next: u64,
    stages: VecDeque<(u64, Stage<R>)>,
}

impl<R> Order<R> {
    fn add(&mut self) -> u64 {
        let number = self.next;
        self.next += 1;
        self.stages.push_back((number, Stage::InWork));
        number
    }
    /// Notes how far a reading is; the replies that may now go out.
    fn note(&mut self, number: u64, stage: Stage<R>) -> Vec<R> {
        if let Some(own) = self.stages.iter_mut().find(|s| s.0 == number) {
            own.1 = stage;
        }
        let mut out = Vec::new();
        let mut k = 0;
        while let Some((_, stage)) = self.stages.get(k) {
            match stage {
                Stage::InWork => break,
                Stage::Waits => k += 1,
                Stage::Read(_) => {
                    if let Some((_, Stage::Read(reply))) = self.stages.remove(k) {
                        out.push(reply);
                    }
                }
            }
        }
        out
    }
}

/// The threads' common desk.
struct Desk<R> {
    incoming: Mutex<Receiver<(u64, Box<Reading>)>>,
    outgoing: Mutex<Sender<R>>,
    order: Mutex<Order<R>>,
    read: fn(Box<Reading>, Fetched) -> R,
    wake: Box<dyn Fn() + Send + Sync>,
    /// Readings that wait for their file, each with another thread in its place.
    waiting: AtomicUsize,
    /// Threads too many.
    surplus: AtomicUsize,
}

impl<R> Desk<R> {
    /// Notes how far a reading is and hands out what may go; `false` where nobody takes it any more.
    fn note(&self, number: u64, stage: Stage<R>) -> bool {
        // Held before it is decided what may go, so that nobody who decides later sends sooner.
        let outgoing = self.outgoing.lock();
        let outgoing = outgoing.unwrap_or_else(PoisonError::into_inner);
        let replies = {
            let order = self.order.lock();
            order
                .unwrap_or_else(PoisonError::into_inner)
                .note(number, stage)
        };
        for reply in replies {
            if outgoing.send(reply).is_err() {
                return false;
            }
            (self.wake)();
        }
        true
    }
}

/// Where readings are asked for.
pub struct Readers<R> {
    readings: Sender<(u64, Box<Reading>)>,
    desk: Arc<Desk<R>>,
    threads: usize,
}

impl<R: Send + 'static> Readers<R> {
    /// Starts so many threads. `read` makes a reply of a reading and its file; `wake` is called after each.
    pub fn start(
        threads: usize,
        read: fn(Box<Reading>, Fetched) -> R,
        outgoing: Sender<R>,
        wake: impl Fn() + Send + Sync + 'static,
    ) -> Self {
        let (readings, incoming) = channel();
        let desk = Arc::new(Desk {
            incoming: Mutex::new(incoming),
            outgoing: Mutex::new(outgoing),
            order: Mutex::new(Order {
                next: 0,
                stages: VecDeque::new(),
            }),
            read,
            wake: Box::new(wake),
            waiting: AtomicUsize::new(0),
            surplus: AtomicUsize::new(0),
        });
        let started = (0..threads).filter(|_| spawn(&desk)).count();
        Self {
            readings,
            desk,
            threads: started,
        }
    }
    /// Asks for a drawing. `false` where no thread could be started.
    pub fn ask(&self, reading: Box<Reading>) -> bool {
        if self.threads == 0 {
            return false;
        }
        let number = {
            let order = self.desk.order.lock();
            order.unwrap_or_else(PoisonError::into_inner).add()
        };
        self.readings.send((number, reading)).is_ok()
    }
}

/// Starts a thread; `false` where the system has none left.
fn spawn<R: Send + 'static>(desk: &Arc<Desk<R>>) -> bool {
    let desk = Arc::clone(desk);
    let spawned = std::thread::Builder::new()
        .name("drawings".into())
        // Hostile drawings nest deeply; the reader says how much it needs.
        .stack_size(drawing::limits::STACK_BYTES)
        .spawn(move || work(&desk));
    spawned.is_ok()
}

fn work<R: Send + 'static>(desk: &Arc<Desk<R>>) {
    loop {
        let next = {
            let incoming = desk.incoming.lock();
            incoming.unwrap_or_else(PoisonError::into_inner).recv()
        };
        let Ok((number, reading)) = next else {
            return;
        };
        let reply = read(desk, number, reading);
        if !desk.note(number, Stage::Read(reply)) {
            return;
        }
        let one_less = |n: usize| n.checked_sub(1);
        let gone = desk
            .surplus
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, one_less);
        if gone.is_ok() {
            return;
        }
    }
}

/// Fetches the file, then reads it.
fn read<R: Send + 'static>(desk: &Arc<Desk<R>>, number: u64, reading: Box<Reading>) -> R {
    let fetched = match &reading.source {
        Source::Path(path) if reading.known.is_none() => {
            let mut waiter = Waiter {
                desk,
                number,
                since: Instant::now(),
                replaced: false,
            };
            drawing::bytes_of_while(path, &reading.progress, || waiter.look()).map(Some)
        }
        _ => Ok(None),
    };
    (desk.read)(reading, fetched)
}

/// A reading that waits for its file.
struct Waiter<'a, R: Send + 'static> {
    desk: &'a Arc<Desk<R>>,
    number: u64,
    since: Instant,
    replaced: bool,
}

impl<R: Send + 'static> Waiter<'_, R> {
    /// Once it has waited for long, another thread takes the place of this one.
    fn look(&mut self) {
        if self.replaced || self.since.elapsed() < WAITED_FOR {
            return;
        }
        if self.desk.waiting.fetch_add(1, Ordering::Relaxed) < MOST_WAITING && spawn(self.desk) {
            self.replaced = true;
            self.desk.note(self.number, Stage::Waits);
        } else {
            self.desk.waiting.fetch_sub(1, Ordering::Relaxed);
            // Asked again after as long.
            self.since = Instant::now();
        }
    }
}

impl<R: Send + 'static> Drop for Waiter<'_, R> {
    fn drop(&mut self) {
        if self.replaced {
            self.desk.waiting.fetch_sub(1, Ordering::Relaxed);
            self.desk.surplus.fetch_add(1, Ordering::Relaxed);
            // Its file is there: from now on it is waited for again.
            self.desk.note(self.number, Stage::InWork);
        }
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use crate::drawing::{Progress, ReadOptions};
    use crate::library::Library;
    use crate::notes::Vocabulary;
    use std::borrow::Cow;

    /// Longer than any of this takes on the busiest machine.
    const LONG: Duration = Duration::from_mins(1);

    fn reading(name: &str, source: Source) -> Box<Reading> {
        Box::new(Reading {
            name: name.to_owned(),
            path: None,
            source,
            options: ReadOptions::default(),
            known: None,
            replaces: None,
            against: None,
            item: None,
            progress: Progress::default(),
            vocabulary: Arc::new(Vocabulary::of(Library::built_in())),
        })
    }

    fn named(reading: Box<Reading>, fetched: Fetched) -> (String, Fetched) {
        // Some take longer than others.
        if reading.name.ends_with('0') {
            std::thread::sleep(Duration::from_millis(30));
        }
        (reading.name, fetched)
    }

    /// Whoever opens twenty drawings finds them in that order, however long each took.
    #[test]
    fn drawings_come_in_the_order_asked_for() {
        let (outgoing, replies) = channel();
        let readers = Readers::start(4, named, outgoing, || {});
        for k in 0..20 {
            let source = Source::Bytes(Cow::Borrowed(b"0\nEOF\n"));
            assert!(readers.ask(reading(&k.to_string(), source)));
        }
        for k in 0..20 {
            assert_eq!(replies.recv_timeout(LONG).unwrap().0, k.to_string());
        }
    }

    /// Pipes into which nobody writes stand for shares that hang: more of them than there are threads.
    #[test]
    fn files_that_hang_hold_up_no_other_and_can_be_cancelled() {
        let folder = tempfile::tempdir().unwrap();
        let (outgoing, replies) = channel();
        let readers = Readers::start(2, named, outgoing, || {});
        let mut hanging = Vec::new();
        for k in 0..3 {
            let pipe = folder.path().join(format!("pipe {k}"));
            let made = std::process::Command::new("mkfifo").arg(&pipe).status();
            assert!(made.unwrap().success());
            let reading = reading(&format!("hangs {k}"), Source::Path(pipe));
            hanging.push(reading.progress.clone());
            assert!(readers.ask(reading));
        }
        let file = folder.path().join("file");
        std::fs::write(&file, b"0\nEOF\n").unwrap();
        assert!(readers.ask(reading("file", Source::Path(file))));
        let (name, fetched) = replies.recv_timeout(LONG).unwrap();
        assert_eq!(
            (name.as_str(), fetched),
            ("file", Ok(Some(b"0\nEOF\n".to_vec())))
        );
        hanging.iter().for_each(Progress::cancel);
        for _ in &hanging {
            let (name, fetched) = replies.recv_timeout(LONG).unwrap();
            assert!(name.starts_with("hangs"));
            assert_eq!(fetched, Err(ReadError::Cancelled));
        }
    }
}
