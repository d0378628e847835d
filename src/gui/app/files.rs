//! Drawings come in, are read again in their place, and are closed.

use super::App;
use crate::drawing::{Progress, ReadOptions};
use crate::estimate::Wish;
use crate::estimate::together::Arrangement;
use crate::gui::commands::Command;
use crate::gui::open_file::{Beside, OpenFile, Spot};
use crate::gui::open_files::name_of;
use crate::gui::page::Page;
use crate::gui::reading::{Read, Reading, Source};
use crate::gui::scene::Camera;
use crate::gui::scene::clock::Clock;
use crate::gui::set_free::set_free;
use crate::gui::state::{BeingRead, Weight};
use crate::gui::undo::Undo;
use crate::gui::worker::Request;
use crate::job::Confirmed;
use crate::language::said;
use crate::notes::Vocabulary;
use crate::plan::PathCache;
use crate::profile::Profile;
use crate::samples;
use std::borrow::Cow;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

/// Said of a file that cannot be read, behind its name; and of all the others.
const NOT_OPENED: &str = key!(" was not opened.");
const STAY: &str = key!(" The drawings already open stay as they are.");

impl App {
    pub(super) fn open_path(&mut self, path: PathBuf) {
        self.read(name_of(&path), Some(path.clone()), Source::Path(path));
    }

    pub(super) fn open_sample(&mut self, k: usize) {
        if let Some(sample) = samples::ALL.get(k) {
            let bytes = Source::Bytes(Cow::Borrowed(sample.bytes));
            self.read(sample.name.to_owned(), None, bytes);
        }
    }

    pub(super) fn read(&mut self, name: String, path: Option<PathBuf>, source: Source) {
        if self.bring(&name, &source) {
            return;
        }
        let open = self
            .files
            .iter()
            .position(|f| path.is_some() && f.path == path);
        if let (Some(k), Source::Path(_)) = (open, &source) {
            self.front = k;
            let text = say!("{name} is open already, with what you decided for it.");
            return self.offer(text, Command::Reload);
        }
        let file = open.map(|k| &self.files[k]);
        self.ask_for(Reading {
            name,
            path,
            source,
            options: file.map_or_else(ReadOptions::default, |f| f.wanted.clone()),
            known: None,
            replaces: file.map(|f| f.id),
            against: None,
            item: None,
            progress: Progress::default(),
            vocabulary: Arc::default(),
        });
    }

    /// Reads the drawing in front again from its file, as it may have been changed.
    pub(super) fn reload(&mut self) {
        let Some(file) = self.files.get(self.front) else {
            return;
        };
        self.shown.banner = None;
        self.ask_for(Reading {
            known: None,
            options: file.wanted.clone(),
            replaces: Some(file.id),
            progress: Progress::default(),
            ..file.reading.clone()
        });
    }

    /// Reads the file of the drawing in front as it is now beside the one that was read before, which then lies over it.
    pub(super) fn compare_changed(&mut self) {
        let Some(file) = self.files.get(self.front).filter(|f| f.path.is_some()) else {
            return self.say(
                say!("The drawing in front comes from no file."),
                Weight::Note,
            );
        };
        self.shown.banner = None;
        self.ask_for(Reading {
            known: None,
            options: file.wanted.clone(),
            replaces: None,
            against: Some(file.id),
            item: None,
            progress: Progress::default(),
            ..file.reading.clone()
        });
    }

    /// Tells of the drawing in front when its file has changed.
    pub(super) fn look_for_changed_drawings(&mut self) {
        for path in self.drawings.changed() {
            let is_it = |f: &&mut OpenFile| {
                let own = f.path.as_deref().and_then(|p| std::path::absolute(p).ok());
                own.as_deref() == Some(path.as_path())
            };
            if let Some(file) = self.files.iter_mut().find(is_it) {
                file.changed_on_disk = true;
            }
        }
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        if std::mem::take(&mut file.changed_on_disk) {
            let text = say!("{} has changed on disk since it was read.", file.name);
            self.offer(text, Command::CompareChanged);
            if let Some(banner) = &mut self.shown.banner {
                banner.offers.push(Command::Reload);
            }
        }
    }

    /// Reads the drawing in front otherwise; undo comes back from there.
    pub(super) fn reread(&mut self, options: ReadOptions) {
        self.shown.banner = None;
        if let Some(file) = self.files.get_mut(self.front) {
            file.undo.remember(file.decided());
        }
        self.read_again(options);
    }

    /// Reads the drawing in front with other options; what was read stays shown until then.
    pub(super) fn read_again(&mut self, options: ReadOptions) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        // In the same unit and scale the curves stay as they are and are only joined anew.
        let same_size = options.units == file.reading.options.units
            && options.scale == file.reading.options.scale;
        let reading = Reading {
            known: same_size.then(|| Arc::clone(&file.drawing)),
            options: options.clone(),
            replaces: Some(file.id),
            progress: Progress::default(),
            ..file.reading.clone()
        };
        file.wanted = options;
        for earlier in &self.shown.readings {
            if earlier.replaces == reading.replaces {
                earlier.progress.cancel();
            }
        }
        self.ask_for(reading);
    }

    pub(super) fn ask_for(&mut self, mut reading: Reading) {
        reading.vocabulary = Arc::new(Vocabulary::of(&self.library));
        let being_read = BeingRead {
            name: reading.name.clone(),
            replaces: reading.replaces,
            progress: reading.progress.clone(),
            since: Instant::now(),
        };
        let asked = self.worker.ask(Request::Read(Box::new(reading)));
        if asked {
            self.shown.readings.push(being_read);
        } else {
            self.say(
                say!("The thread that reads drawings has ended. Start Kerfcast again."),
                Weight::Fault,
            );
        }
    }

    pub(super) fn take_reading(&mut self, reading: Reading, result: Result<Box<Read>, String>) {
        let replaced = self
            .files
            .iter_mut()
            .find(|f| Some(f.id) == reading.replaces);
        if let Some(file) = replaced {
            if file.wanted != reading.options {
                // Overtaken by a later choice.
                return;
            }
            if result.is_err() {
                file.wanted = file.reading.options.clone();
            }
        }
        match result {
            Ok(read) if reading.replaces.is_some() => self.replace(reading, *read),
            Ok(read) => self.add(reading, *read),
            Err(_) if reading.progress.is_cancelled() => {
                let text = match reading.replaces {
                    Some(_) => say!(
                        "{} stays as it was; you cancelled the change.",
                        reading.name
                    ),
                    None => say!("{} was not read; you cancelled it.", reading.name),
                };
                self.say(text, Weight::Note);
                set_free(reading);
            }
            Err(message) => {
                let name = &reading.name;
                if reading.replaces.is_some() {
                    let text = say!("{name} stays as it was read before. {message}");
                    self.say(text, Weight::Fault);
                    return;
                }
                // Of several files that fail each is told.
                let earlier = self.shown.banner.as_ref();
                let earlier = earlier.filter(|b| {
                    b.text.contains(said(NOT_OPENED)) && !b.text.contains(&reading.name)
                });
                let earlier = earlier.map(|b| b.text.trim_end_matches(said(STAY)));
                let text = format!("{name}{} {message}", said(NOT_OPENED));
                let mut text = match earlier {
                    Some(earlier) => format!("{earlier}\n{text}"),
                    None => text,
                };
                if !self.files.is_empty() {
                    text.push_str(said(STAY));
                }
                self.say(text, Weight::Fault);
            }
        }
    }

    /// The same drawing read otherwise keeps its job: curves, and so what is left out, stay the same.
    pub(super) fn replace(&mut self, reading: Reading, read: Read) {
        let Some(k) = self
            .files
            .iter()
            .position(|f| Some(f.id) == reading.replaces)
        else {
            return;
        };
        let file = &mut self.files[k];
        let shift = file.model.centre - read.model.centre;
        let same_size = read.drawing.units.used == file.drawing.units.used
            && read.drawing.scale.used.scale == file.drawing.scale.used.scale;
        if same_size {
            file.camera
                .shift(egui::vec2(shift.x as f32, shift.y as f32));
        } else {
            // In another size a start hole placed by hand would lie elsewhere.
            file.job.forget_places();
            file.camera.fit();
        }
        file.spot = file.spot.and_then(|spot| {
            // The same finding, where it is still there.
            let fault = file.drawing.findings.get(spot.finding)?.fault;
            let finding = read
                .drawing
                .findings
                .iter()
                .position(|f| f.fault == fault)?;
            let there = spot.place < read.drawing.findings[finding].at.len();
            there.then_some(Spot { finding, ..spot })
        });
        let from_file = reading.known.is_none();
        let shapes_changed =
            from_file && same_size && !has_shapes_of(&file.profile, &read.drawing.profile);
        if shapes_changed {
            // What was decided for single contours belongs to those of before.
            file.job.forget_contours();
            file.undo = Undo::default();
            file.selected = None;
        }
        set_free(std::mem::take(&mut file.course));
        file.limits = Beside::default();
        file.clocks = Beside::default();
        file.parts = Beside::default();
        file.ladder = Beside::default();
        file.variants = Beside::default();
        file.clock = Clock::default();
        let before = (
            std::mem::replace(&mut file.profile, read.profile),
            std::mem::replace(&mut file.drawing, read.drawing),
        );
        set_free((before, file.answer.take(), file.paths.answer.take()));
        file.says = read.says;
        file.job.follow_part(&file.profile, &file.drawing.parts);
        set_free(std::mem::replace(&mut file.model, Arc::new(read.model)));
        let reading = Reading {
            known: None,
            ..reading
        };
        set_free(std::mem::replace(&mut file.reading, reading));
        set_free(std::mem::take(&mut file.cache));
        file.explained = None;
        file.selected = None;
        let name = file.name.clone();
        file.changed_on_disk = false;
        if let Some(path) = file.path.as_ref().filter(|_| from_file) {
            self.drawings.follow(path);
        }
        let front = std::mem::replace(&mut self.front, k);
        self.estimate();
        self.front = front;
        if shapes_changed {
            self.say(
                say!(
                    "{name} has other contours than before. What was decided for single ones is gone; the job itself stays."
                ),
                Weight::Note,
            );
        }
    }

    pub(super) fn add(&mut self, reading: Reading, read: Read) {
        let (name, path) = (reading.name.clone(), reading.path.clone());
        if let Some(path) = path.as_deref().filter(|p| p.is_absolute()) {
            self.remember_drawing(path);
        }
        let before = reading.against;
        let before = before.and_then(|id| self.files.iter_mut().find(|f| f.id == id));
        let before = before.map(|f| {
            let mut job = f.job.clone();
            if !has_shapes_of(&f.profile, &read.drawing.profile) {
                job.forget_contours();
            }
            // From now on the file is that of the new one.
            f.path = None;
            f.name = say!("{}, before", f.name);
            (f.id, job, f.confirmed)
        });
        if let Some((id, ..)) = &before {
            self.shown.against = Some(*id);
            self.shown.open_page(Page::Compare);
        }
        let before = before.map(|(_, job, confirmed)| (job, confirmed));
        let as_before = before.is_some();
        let item = self.item_of(&reading);
        let own = item.map(|i| (i.job.clone(), i.confirmed));
        let (job, confirmed) = match before.or(own) {
            Some(decided) => decided,
            None => (self.next_job(), Confirmed::default()),
        };
        let quoted = item.and_then(|i| i.wire);
        let wish = item.map_or_else(Wish::default, |i| i.wish);
        let arrangement = item.map_or_else(Arrangement::default, |i| i.arrangement);
        let profile = read.profile;
        if profile.contours().is_empty() {
            let mended = read.drawing.findings.iter().any(|f| !f.offers.is_empty());
            let hint = if mended {
                say!(
                    "Look at what the findings on the right offer, or join the curves in the drawing."
                )
            } else {
                say!("Close the gaps where the ends are marked, or join the curves in the drawing.")
            };
            self.say(
                say!("{name} holds no closed contour, so there is nothing to cut. {hint}"),
                Weight::Fault,
            );
            self.shown.open_page(Page::Findings);
        }
        let id = self.next_id;
        self.next_id += 1;
        self.note_opened(id, &reading, read.file);
        let file = OpenFile {
            id,
            name,
            path,
            wanted: reading.options.clone(),
            reading,
            drawing: read.drawing,
            profile,
            job,
            confirmed,
            quoted,
            wish,
            arrangement,
            says: read.says,
            undo: Undo::default(),
            cache: Arc::new(PathCache::default()),
            awaited: 0,
            waiting: false,
            estimating: None,
            stopped: false,
            asking: Vec::new(),
            answer: None,
            shown: 0,
            selected: None,
            spot: None,
            asked: None,
            compared: None,
            explained: None,
            model: Arc::new(read.model),
            paths: Beside::default(),
            camera: Camera::default(),
            clock: Clock::default(),
            course: Beside::default(),
            limits: Beside::default(),
            clocks: Beside::default(),
            parts: Beside::default(),
            ladder: Beside::default(),
            variants: Beside::default(),
            variant: None,
            changed_on_disk: false,
        };
        let shown = self.files.get(self.front).map_or(0, |f| f.shown);
        self.files.push(file);
        self.front = self.files.len() - 1;
        let front = &mut self.files[self.front];
        let usual = quoted.unwrap_or(front.job.baseline);
        front.shown = if as_before { shown } else { usual };
        if !front.is_sample() {
            // The first hint says how to open a drawing of one's own.
            self.shown.hints_read = self.shown.hints_read.max(1);
        }
        if let Some(path) = &front.path {
            self.drawings.follow(path);
        }
        self.estimate();
    }

    pub(super) fn close(&mut self, id: u64) {
        /// Most drawings that can be opened again.
        const MOST_CLOSED: usize = 8;
        self.sync(id);
        let mut item = None;
        if let Some(entry) = self.desk.of_file(id) {
            entry.open = None;
            item = Some(entry.id);
        }
        if let Some(k) = self.files.iter().position(|f| f.id == id) {
            self.closed.push((self.files.remove(k), item));
            let excess = self.closed.len().saturating_sub(MOST_CLOSED);
            set_free(self.closed.drain(..excess).collect::<Vec<_>>());
        }
        self.front = self.front.min(self.files.len().saturating_sub(1));
    }
}

/// Whether contours lie where they lay, one by one, so that what was decided for them still belongs to them.
fn has_shapes_of(before: &Profile, now: &Profile) -> bool {
    /// Far below anything that would be decided otherwise, mm.
    const SAME: f64 = 1e-6;
    let near = |a: f64, b: f64| (a - b).abs() <= SAME * (1.0 + a.abs());
    let shift = before.origin() - now.origin();
    before.contours().len() == now.contours().len()
        && before.contours().iter().zip(now.contours()).all(|(a, b)| {
            let (p, q) = (a.shape.bounds(), b.shape.bounds());
            near(a.shape.length(), b.shape.length())
                && near(p.min.x + shift.x, q.min.x)
                && near(p.min.y + shift.y, q.min.y)
                && near(p.max.x + shift.x, q.max.x)
                && near(p.max.y + shift.y, q.max.y)
        })
}

impl App {
    /// The drawing that was closed last comes back as it was, unless its item was opened anew.
    pub(super) fn reopen(&mut self) {
        while let Some((file, item)) = self.closed.pop() {
            let entry = self.desk.entries.iter_mut().find(|e| Some(e.id) == item);
            match entry {
                Some(entry) if entry.open.is_some() => continue,
                Some(entry) => entry.open = Some(file.id),
                None => {}
            }
            self.files.push(file);
            self.front = self.files.len() - 1;
            // The library may have changed since.
            self.estimate();
            return;
        }
    }
    /// Remembers where a drawing lies.
    fn remember_drawing(&mut self, path: &std::path::Path) {
        const MOST_RECENT: usize = 8;
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_owned());
        self.recent.truncate(MOST_RECENT);
    }
}
