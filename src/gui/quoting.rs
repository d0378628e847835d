//! The quote on the desk: what it is made from, its pages as far as they are set, and their pictures.
//!
//! A thread works the items, sets the pages and paints them; the window shows the last that came. What was worked for one
//! item stays until the item changes, so that a word typed sets the pages anew and estimates nothing.

use super::paper;
use crate::calibration::Day;
use crate::drawing::{Progress, limits};
use crate::enquiry::{Item, QuoteWords};
use crate::language::Language;
use crate::library::Library;
use crate::quote::layout::laid;
use crate::quote::pages::{Image, Pages};
use crate::quote::stationery::Stationery;
use crate::quote::{Depth, Quote, Quoted, customer, shop};
use crate::words::Style;
use crate::words::reading::{hint, problem};
use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

/// Most pictures of pages that are kept.
const MOST_PICTURES: usize = 16;

/// Whom the pages are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Reader {
    /// The customer: none of the shop's rates.
    #[default]
    Customer,
    /// The shop: set-up sheets and cost.
    Shop,
    /// The same with the reasons of every figure.
    ShopWithReasons,
}

impl Reader {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Customer, Self::Shop, Self::ShopWithReasons];
    /// As it is offered.
    pub fn words(self) -> &'static str {
        match self {
            Self::Customer => say!("for the customer"),
            Self::Shop => say!("for the shop"),
            Self::ShopWithReasons => say!("with reasons"),
        }
    }
    /// What its file is called behind the name of the enquiry.
    pub fn file(self) -> &'static str {
        match self {
            Self::Customer => "quote.pdf",
            Self::Shop | Self::ShopWithReasons => "set-up.pdf",
        }
    }
}

/// What the page asks for.
#[derive(Debug, Clone)]
pub enum QuoteAction {
    /// Whom it is for.
    For(Reader),
    /// The words of this quote; they lie in the job file.
    Words(Box<QuoteWords>),
    /// Letterhead and standing words; they are the shop's.
    Stationery(Box<Stationery>),
    /// Save letterhead and standing words now.
    Keep,
    /// Choose the picture of the letterhead.
    Logo,
    /// A picture of a page, so many pixels wide.
    Picture(usize, u16),
    /// The pages as a file.
    Save,
    /// What is quoted here counts as quoted.
    MarkQuoted,
    /// The wire that an item is quoted with; `None` is the cheapest on hand that can do it.
    Wire(u64, Option<usize>),
}

/// What pages depend on.
#[derive(Clone)]
pub struct Key {
    /// The items, in the order of the enquiry.
    pub items: Vec<Item>,
    /// What they rest on.
    pub library: Arc<Library>,
    /// The words of this quote.
    pub words: QuoteWords,
    /// Letterhead and standing words.
    pub stationery: Stationery,
    /// Where the picture of the letterhead lies.
    pub folder: Option<PathBuf>,
    /// mm or inch.
    pub style: Style,
    /// Whom it is for.
    pub reader: Reader,
    /// The language that it is in.
    pub language: Language,
}

impl PartialEq for Key {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.library, &other.library)
            && self.words == other.words
            && self.stationery == other.stationery
            && self.style.system == other.style.system
            && self.reader == other.reader
            && self.language == other.language
            && self.items.len() == other.items.len()
            && self
                .items
                .iter()
                .zip(&other.items)
                .all(|(a, b)| is_same(a, b))
    }
}

/// Whether two items are quoted alike.
fn is_same(a: &Item, b: &Item) -> bool {
    a.drawing.hash() == b.drawing.hash()
        && a.name == b.name
        && a.wire == b.wire
        && a.confirmed == b.confirmed
        && a.options == b.options
        && a.job == b.job
}

/// An item that was worked.
struct Worked {
    item: Item,
    library: Arc<Library>,
    quantities: Vec<u32>,
    /// As quoted, or why it cannot be.
    quoted: Result<Arc<Quoted>, String>,
}

/// What was worked for the pages before, shared with the thread that makes them.
#[derive(Clone, Default)]
pub struct Known(Arc<Mutex<Vec<Worked>>>);

/// Pages, and what is not in them.
pub struct Made {
    /// The pages.
    pub pages: Arc<Pages>,
    /// Items that are left out, each with the reason.
    pub left_out: Vec<String>,
    /// Why the picture of the letterhead is not shown.
    pub no_logo: Option<String>,
}

/// Pages that are wanted.
pub struct PagesWanted {
    /// Number of the request.
    pub number: u64,
    /// What they depend on.
    pub key: Key,
    /// What is known of the items.
    pub known: Known,
}

impl PagesWanted {
    /// Works the items that are not known yet and sets the pages.
    pub fn work(&self) -> Made {
        let key = &self.key;
        let all = self.quoted();
        let left_out = key.items.iter().zip(&all);
        let left_out = left_out
            .filter_map(|(i, q)| q.as_ref().err().map(|why| format!("{}: {why}", i.name)))
            .collect();
        let items: Vec<Arc<Quoted>> = all.into_iter().filter_map(Result::ok).collect();
        let folder = key.folder.clone().unwrap_or_default();
        let (logo, no_logo): (Option<Arc<Image>>, _) = match key.stationery.picture(&folder) {
            Ok(logo) => (logo, None),
            Err(why) => (None, Some(why.to_string())),
        };
        let quote = Quote {
            items: items.iter().map(|q| q.item()).collect(),
            library: &key.library,
            stationery: &key.stationery,
            logo,
            words: &key.words,
            today: Day::today(),
            style: key.style,
        };
        let document = match key.reader {
            Reader::Customer => customer(&quote),
            Reader::Shop => shop(&quote, Depth::Sheet),
            Reader::ShopWithReasons => shop(&quote, Depth::WithReasons),
        };
        Made {
            pages: Arc::new(laid(&document)),
            left_out,
            no_logo,
        }
    }
    fn quoted(&self) -> Vec<Result<Arc<Quoted>, String>> {
        let key = &self.key;
        let quantities = &key.stationery.quantities;
        let mut known = self.known.0.lock().unwrap_or_else(PoisonError::into_inner);
        let is_known = |w: &Worked, item: &Item| {
            Arc::ptr_eq(&w.library, &key.library)
                && w.quantities == *quantities
                && is_same(&w.item, item)
        };
        let missing: Vec<&Item> = key.items.iter().collect();
        let missing: Vec<&Item> = missing
            .into_iter()
            .filter(|i| !known.iter().any(|w| is_known(w, i)))
            .collect();
        let worked = on_all_cores(&missing, |item| quoted(item, quantities, &key.library));
        known.retain(|w| key.items.iter().any(|i| is_known(w, i)));
        known.extend(missing.iter().zip(worked).map(|(item, quoted)| Worked {
            item: (*item).clone(),
            library: Arc::clone(&key.library),
            quantities: quantities.clone(),
            quoted,
        }));
        let of = |item: &Item| known.iter().find(|w| is_known(w, item));
        let missed = || Err(say!("it was not worked").to_owned());
        let items = key.items.iter();
        items
            .map(|i| of(i).map_or_else(missed, |w| w.quoted.clone()))
            .collect()
    }
}

fn quoted(item: &Item, quantities: &[u32], library: &Library) -> Result<Arc<Quoted>, String> {
    let answered = item.answer(library, &Progress::default());
    let answered = answered.map_err(|e| format!("{} {}", problem(&e), hint(&e)))?;
    Ok(Arc::new(Quoted::of(item, answered, quantities, library)))
}

/// Works a list on threads whose stacks are as large as drawings need them, in its order.
fn on_all_cores<T: Sync, R: Send>(list: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let size = list.len().div_ceil(cores).max(1);
    let work = &work;
    std::thread::scope(|scope| {
        let one = |chunk: &'_ [T]| -> Vec<R> { chunk.iter().map(work).collect() };
        let threads: Vec<_> = list
            .chunks(size)
            .map(|chunk| {
                let builder = std::thread::Builder::new().stack_size(limits::STACK_BYTES);
                (chunk, builder.spawn_scoped(scope, move || one(chunk)))
            })
            .collect();
        let mut out = Vec::with_capacity(list.len());
        for (chunk, thread) in threads {
            match thread {
                Ok(thread) => match thread.join() {
                    Ok(done) => out.extend(done),
                    // The caller makes a message of it, as of any fault of our own.
                    Err(fault) => std::panic::resume_unwind(fault),
                },
                // Without another thread this one does it.
                Err(_) => out.extend(one(chunk)),
            }
        }
        out
    })
}

/// A picture of a page that is wanted.
pub struct PictureWanted {
    /// Number of the pages.
    pub number: u64,
    /// The pages.
    pub pages: Arc<Pages>,
    /// Which.
    pub index: usize,
    /// So many pixels wide.
    pub width: u16,
}

impl PictureWanted {
    /// Paints it; `None` where there is no such page.
    pub fn work(&self) -> Option<ColorImage> {
        let page = self.pages.pages.get(self.index)?;
        Some(paper::picture(page, self.pages.paper, self.width))
    }
}

struct Picture {
    number: u64,
    width: u16,
    texture: Option<TextureHandle>,
}

/// The quote on the desk.
#[derive(Default)]
pub struct Quoting {
    /// Letterhead and standing words in force.
    pub stationery: Stationery,
    /// As they lie in the shop's file.
    pub in_file: Stationery,
    /// Whom the pages are for.
    pub reader: Reader,
    known: Known,
    asked: Option<(Key, u64)>,
    waiting: bool,
    made: Option<(u64, Made)>,
    pictures: BTreeMap<usize, Picture>,
    number: u64,
    /// What pictures are shown in.
    ctx: Option<Context>,
}

impl Quoting {
    /// With the shop's words.
    pub fn new(stationery: Stationery) -> Self {
        Self {
            in_file: stationery.clone(),
            stationery,
            ..Self::default()
        }
    }
    /// The last pages, be they overtaken or not.
    pub fn made(&self) -> Option<&Made> {
        self.made.as_ref().map(|m| &m.1)
    }
    /// Whether other pages are on their way.
    pub fn is_waiting(&self) -> bool {
        self.waiting
    }
    /// Wakes the window that shows the pages.
    pub fn waker(&self) -> impl FnOnce() + Send + 'static {
        let ctx = self.ctx.clone();
        move || {
            if let Some(ctx) = ctx {
                ctx.request_repaint();
            }
        }
    }
    /// How many items are quoted.
    pub fn items(&self) -> usize {
        self.asked.as_ref().map_or(0, |a| a.0.items.len())
    }
    /// Asks for pages where those there are of something else. One request is out at a time; the next takes all that was
    /// typed meanwhile along.
    pub fn ask(&mut self, key: Key) -> Option<PagesWanted> {
        let same = self.asked.as_ref().is_some_and(|a| a.0 == key);
        if self.waiting || same || key.items.is_empty() {
            return None;
        }
        self.number += 1;
        self.waiting = true;
        self.asked = Some((key.clone(), self.number));
        Some(PagesWanted {
            number: self.number,
            key,
            known: self.known.clone(),
        })
    }
    /// Takes pages.
    pub fn take(&mut self, number: u64, made: Made) {
        self.waiting = false;
        self.pictures.retain(|k, _| *k < made.pages.pages.len());
        self.made = Some((number, made));
    }
    /// The request that was out failed.
    pub fn failed(&mut self) {
        self.waiting = false;
    }
    /// Asks for a picture, unless it is there or on its way.
    pub fn ask_picture(
        &mut self,
        index: usize,
        width: u16,
        ctx: &Context,
    ) -> Option<PictureWanted> {
        self.ctx = Some(ctx.clone());
        let (number, made) = self.made.as_ref()?;
        let before = self.pictures.remove(&index);
        let same = |p: &Picture| p.number == *number && p.width == width;
        let is_there = before.as_ref().is_some_and(same);
        let picture = Picture {
            number: *number,
            width,
            texture: before.and_then(|p| p.texture),
        };
        self.pictures.insert(index, picture);
        // Far pages give way.
        while self.pictures.len() > MOST_PICTURES {
            let far = |k: &&usize| k.abs_diff(index);
            let farthest = self.pictures.keys().max_by_key(far).copied()?;
            self.pictures.remove(&farthest);
        }
        (!is_there).then(|| PictureWanted {
            number: *number,
            pages: Arc::clone(&made.pages),
            index,
            width,
        })
    }
    /// Takes a picture.
    pub fn take_picture(&mut self, number: u64, index: usize, width: u16, image: ColorImage) {
        let wanted = self.pictures.get_mut(&index);
        let wanted = wanted.filter(|p| p.number == number && p.width == width);
        if let (Some(picture), Some(ctx)) = (wanted, &self.ctx) {
            let name = say!("page {index}");
            picture.texture = Some(ctx.load_texture(name, image, TextureOptions::LINEAR));
        }
    }
    /// The picture of a page, and whether it is what is wanted by now.
    pub fn picture(&self, index: usize, width: u16) -> (Option<&TextureHandle>, bool) {
        let number = self.made.as_ref().map(|m| m.0);
        let Some(picture) = self.pictures.get(&index) else {
            return (None, false);
        };
        let current = Some(picture.number) == number && picture.width == width;
        (picture.texture.as_ref(), current)
    }
}
