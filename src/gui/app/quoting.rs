//! What the page of the quote asks for: its words, its pages, their pictures, and the file.

use super::App;
use crate::calibration::Day;
use crate::enquiry::{DrawingFile, Item, State};
use crate::gui::desk::Entry;
use crate::gui::open_files::{Kind, name_of};
use crate::gui::page::Page;
use crate::gui::quoting::{Key, Made, QuoteAction, Quoting};
use crate::gui::reading::Source;
use crate::gui::state::Weight;
use crate::gui::tasks::Task;
use crate::quote::stationery::Stationery;
use crate::shop_files::{self, ShopFile};
use egui::Context;
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl App {
    /// The quote on the desk.
    pub fn quoting(&self) -> &Quoting {
        &self.quoting
    }

    pub(super) fn quote(&mut self, action: QuoteAction, ctx: &Context) {
        match action {
            QuoteAction::For(reader) => self.quoting.reader = reader,
            QuoteAction::Words(words) => {
                self.desk.rest.quote = *words;
                self.desk.change();
            }
            QuoteAction::Stationery(stationery) => self.set_stationery(*stationery),
            QuoteAction::Keep => self.keep_stationery(),
            QuoteAction::Logo => {
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::Logo, None, move || ctx.request_repaint());
            }
            QuoteAction::Picture(index, width) => {
                if let Some(wanted) = self.quoting.ask_picture(index, width, ctx) {
                    self.ask_task(Task::Picture(wanted));
                }
            }
            QuoteAction::Save => match self.quoting.made() {
                Some(made) if !self.quoting.is_waiting() => {
                    let pages = Arc::clone(&made.pages);
                    self.ask_task(Task::Pdf(pages));
                }
                _ => self.say(say!("The pages are still being set."), Weight::Note),
            },
            QuoteAction::Wire(id, wire) => self.quote_with(id, wire),
            QuoteAction::MarkQuoted => {
                let ids: Vec<u64> = self.quoted_entries().map(|e| e.id).collect();
                for id in ids {
                    if let Some(entry) = self.desk.entry(id)
                        && entry.item.state == State::Asked
                    {
                        let today = Day::today().to_string();
                        let offered = entry.row().and_then(|r| r.offered(today));
                        entry.item.enter(State::Quoted, offered);
                    }
                }
                self.desk.change();
            }
        }
    }

    /// An item is quoted with this wire from now on; of an open drawing undo takes it back.
    fn quote_with(&mut self, id: u64, wire: Option<usize>) {
        let Some(entry) = self.desk.entry(id) else {
            return;
        };
        if let Some(file) = entry.open {
            let open = self.files.iter_mut().find(|f| f.id == file);
            if let Some(open) = open.filter(|f| f.quoted != wire) {
                open.undo.remember(open.decided());
                open.quoted = wire;
                self.sync(file);
            }
        } else if entry.item.wire != wire {
            entry.item.wire = wire;
            self.ask_item(id);
        }
        self.desk.change();
    }

    /// Items that are quoted: the chosen ones, all where none is chosen.
    pub(super) fn quoted_entries(&self) -> impl Iterator<Item = &Entry> {
        let some = self.desk.entries.iter().any(|e| e.chosen);
        self.desk.entries.iter().filter(move |e| e.chosen || !some)
    }

    /// Asks for the pages while they are looked at and are not those of what is there.
    pub(super) fn prepare_quote(&mut self) {
        if self.shown.page != Some(Page::Quote) || self.files.iter().any(|f| f.waiting) {
            return;
        }
        let mut items: Vec<Item> = self.quoted_entries().map(|e| e.item.clone()).collect();
        // A sample is quoted where there is nothing else.
        if items.is_empty() {
            items.extend(self.front_as_item());
        }
        let key = Key {
            items,
            library: Arc::clone(&self.library),
            words: self.desk.rest.quote.clone(),
            stationery: self.quoting.stationery.clone(),
            folder: self.stationery_folder(),
            style: self.shown.style,
            reader: self.quoting.reader,
            language: crate::language::now(),
        };
        if let Some(wanted) = self.quoting.ask(key)
            && !self.ask_task(Task::Pages(Box::new(wanted)))
        {
            self.quoting.failed();
        }
    }

    fn front_as_item(&self) -> Option<Item> {
        let file = self.front()?;
        let Source::Bytes(bytes) = &file.reading.source else {
            return None;
        };
        let drawing = DrawingFile::new(bytes.to_vec());
        let mut item = Item::new(file.name.clone(), drawing, file.job.clone());
        item.options = file.wanted.clone();
        item.confirmed = file.confirmed;
        item.wire = file.quoted;
        Some(item)
    }

    pub(super) fn take_pages(&mut self, number: u64, made: Option<Box<Made>>) {
        if let Some(made) = made {
            self.quoting.take(number, *made);
        } else {
            self.quoting.failed();
            self.say(
                say!(
                    "Kerfcast failed on the pages; that is our fault, not yours. Nothing was lost."
                ),
                Weight::Fault,
            );
        }
    }

    /// The file of the quote is made; where it goes is asked.
    pub(super) fn take_pdf(&mut self, result: Result<Vec<u8>, String>) {
        match result {
            Ok(bytes) => {
                let ending = self.quoting.reader.file();
                let job = self.desk.path.clone();
                let first = || {
                    let first = self.quoted_entries().next();
                    first.and_then(|e| e.item.path.as_ref().map(PathBuf::from))
                };
                let near = job.or_else(first);
                let front = || self.front().map(|f| PathBuf::from(&f.name));
                let named = near.clone().or_else(front).unwrap_or_default();
                let folder = near.as_deref().and_then(Path::parent).map(Path::to_owned);
                let name = name_of(&named);
                let wake = self.quoting.waker();
                self.send_out_named((Kind::Quote, folder, &name), ending, bytes, wake);
            }
            Err(why) => self.say(say!("Nothing was written: {why}."), Weight::Fault),
        }
    }

    /// Where quote.toml lies, and the picture beside it.
    fn stationery_folder(&self) -> Option<PathBuf> {
        let path = self.shelf.path(ShopFile::Quote)?;
        path.parent().map(Path::to_owned)
    }

    fn set_stationery(&mut self, stationery: Stationery) {
        let lots = self.quoting.stationery.quantities != stationery.quantities;
        self.quoting.stationery = stationery;
        if lots {
            self.forget_ladders();
        }
    }

    /// Letterhead and standing words go into their file where they are others than there.
    pub(super) fn keep_stationery(&mut self) {
        let (now, before) = (&self.quoting.stationery, &self.quoting.in_file);
        if now == before {
            return;
        }
        let change = shop_files::Change::Quote {
            from: before.to_toml(),
            to: now.to_toml(),
        };
        self.quoting.in_file = now.clone();
        self.keep(change);
    }

    /// What somebody else has written into quote.toml.
    pub(super) fn take_stationery(&mut self, bytes: &[u8]) {
        match Stationery::from_bytes(bytes) {
            Ok(read) => {
                // What is being typed here is not there yet, and goes there next.
                let typed = self.quoting.stationery != self.quoting.in_file;
                self.quoting.in_file = read.clone();
                if !typed {
                    self.set_stationery(read);
                }
            }
            Err(why) => self.say(
                say!(
                    "The words of your quotes were changed elsewhere and cannot be used now: {why}. Those from before stay in force."
                ),
                Weight::Fault,
            ),
        }
    }

    /// A picture was chosen or dropped: it is copied beside the shop's files and stands on the letterhead.
    pub(super) fn take_logo(&mut self, result: Result<String, String>) {
        match result {
            Ok(name) => {
                let stationery = Stationery {
                    logo: name,
                    ..self.quoting.stationery.clone()
                };
                self.set_stationery(stationery);
                self.keep_stationery();
                self.shown.page = Some(Page::Quote);
                self.say(
                    say!("The picture stands on your letterhead now."),
                    Weight::Note,
                );
            }
            Err(why) => self.say(say!("The letterhead stays as it was. {why}"), Weight::Fault),
        }
    }

    /// Copies a picture into the folder of the shop's files.
    pub(super) fn bring_logo(&mut self, name: &str, source: &Source) {
        let Some(folder) = self.stationery_folder() else {
            self.say(
                say!(
                    "This user has no folder for data of programs, where the picture could be kept."
                ),
                Weight::Fault,
            );
            return;
        };
        self.ask_task(Task::Logo {
            name: name.to_owned(),
            source: source.clone(),
            folder,
        });
    }
}
