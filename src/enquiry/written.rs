//! The file: JSON with `"kerfcast_job": 1` at its head, as the README describes it.
//!
//! Numbers are written with as many digits as give the same number back. What is not understood is kept (see [`super::unknown`]),
//! a file of a later version is refused whole.

use super::drawing_file::DrawingFile;
use super::fault::{FileFault, ItemFault};
use super::item::{Item, Logged, Offered, Seen, State};
use super::reading_options::ReadingJson;
use super::unknown::{Step, Unknown, at, steps};
use super::{Enquiry, LARGEST, QuoteWords};
use crate::estimate::Wish;
use crate::estimate::together::Arrangement;
use crate::files;
use crate::job::{Blank, Confirmed, Job, Shop};
use crate::library::{Knowledge, Library};
use crate::safe_file;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::path::Path;
use std::sync::Arc;

/// Version of the file that is written.
pub const VERSION: u64 = 1;

const ITEMS: &str = "items";

#[derive(Deserialize)]
struct Head {
    kerfcast_job: Option<u64>,
}

#[derive(Serialize, Deserialize)]
struct FileJson {
    kerfcast_job: u64,
    #[serde(default)]
    saved_by: String,
    /// The text of a whole library.
    library: String,
    #[serde(default)]
    learned: Option<Knowledge>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    learned_elsewhere: Vec<Knowledge>,
    #[serde(default)]
    quote: QuoteWords,
    items: Vec<ItemJson>,
}

#[derive(Serialize, Deserialize)]
struct ItemJson {
    name: String,
    #[serde(default)]
    path: Option<String>,
    #[serde(default)]
    state: State,
    #[serde(default)]
    note: String,
    #[serde(default)]
    wire: Option<usize>,
    #[serde(default, skip_serializing_if = "is_none_wished")]
    wish: Wish,
    #[serde(default, skip_serializing_if = "is_usual")]
    arrangement: Arrangement,
    reading: ReadingJson,
    job: Job,
    #[serde(default)]
    given: Confirmed,
    #[serde(default)]
    seen: Option<Seen>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    offered: Option<Offered>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    logged: Option<Logged>,
    drawing: DrawingJson,
}

/// Whether nothing is wished for, so that nothing is written.
fn is_none_wished(wish: &Wish) -> bool {
    *wish == Wish::default()
}

/// Whether nothing was said of it, so that nothing is written.
fn is_usual(arrangement: &Arrangement) -> bool {
    *arrangement == Arrangement::default()
}

#[derive(Serialize, Deserialize)]
struct DrawingJson {
    bytes: usize,
    sha256: String,
    base64: String,
}

impl Enquiry {
    /// Reads a job file.
    ///
    /// # Errors
    /// Why it is refused. The file stays as it is.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, FileFault> {
        read(bytes)
    }
    /// As the bytes of a file, which [`Enquiry::from_bytes`] reads back to the last bit.
    ///
    /// # Errors
    /// Something in it would be refused when read back, so that nothing may be saved.
    pub fn to_bytes(&self) -> Result<Vec<u8>, FileFault> {
        write(self)
    }
    /// Reads the job file at a path.
    ///
    /// # Errors
    /// It cannot be read, or is refused.
    pub fn load(path: &Path) -> Result<Self, FileFault> {
        let bytes = files::read(path, LARGEST, || false)?;
        Self::from_bytes(&bytes)
    }
    /// Saves it at a path; a crash leaves the old file or the new one.
    ///
    /// # Errors
    /// It would be refused when read back, or what the system says.
    pub fn save(&self, path: &Path) -> Result<(), FileFault> {
        let bytes = self.to_bytes()?;
        Ok(safe_file::save(path, &bytes)?)
    }
}

fn write(enquiry: &Enquiry) -> Result<Vec<u8>, FileFault> {
    let file = FileJson {
        kerfcast_job: VERSION,
        saved_by: env!("CARGO_PKG_VERSION").to_owned(),
        library: enquiry.library.to_toml(),
        learned: enquiry.library.learned.clone(),
        learned_elsewhere: enquiry.library.learned_elsewhere.clone(),
        quote: enquiry.quote.clone(),
        items: enquiry.items.iter().map(item_json).collect(),
    };
    let knows_all =
        enquiry.unknown.is_empty() && enquiry.items.iter().all(|i| i.unknown.is_empty());
    let written = if knows_all {
        serde_json::to_vec_pretty(&file)
    } else {
        serde_json::to_value(&file).and_then(|mut root| {
            enquiry.unknown.put_into(&mut root);
            for (k, item) in enquiry.items.iter().enumerate() {
                let place = root.get_mut(ITEMS).and_then(|items| items.get_mut(k));
                place
                    .into_iter()
                    .for_each(|object| item.unknown.put_into(object));
            }
            serde_json::to_vec_pretty(&root)
        })
    };
    let mut bytes = written.map_err(|e| damaged(&e))?;
    bytes.push(b'\n');
    // No file is saved that would be refused.
    read(&bytes)?;
    Ok(bytes)
}

fn item_json(item: &Item) -> ItemJson {
    let drawing = &item.drawing;
    ItemJson {
        name: item.name.clone(),
        path: item.path.clone(),
        state: item.state,
        note: item.note.clone(),
        wire: item.wire,
        wish: item.wish,
        arrangement: item.arrangement,
        reading: ReadingJson::of(&item.options),
        job: item.job.clone(),
        given: item.confirmed,
        seen: item.seen.clone(),
        offered: item.offered.clone(),
        logged: item.logged.clone(),
        drawing: DrawingJson {
            bytes: drawing.bytes().len(),
            sha256: drawing.hash().to_string(),
            base64: BASE64_STANDARD.encode(drawing.bytes()),
        },
    }
}

fn damaged(error: &serde_json::Error) -> FileFault {
    let reason = error.to_string();
    // The place is told apart.
    let reason = reason.split(" at line ").next().unwrap_or_default();
    FileFault::Damaged {
        line: error.line().max(1),
        column: error.column().max(1),
        reason: reason.to_owned(),
    }
}

fn read(bytes: &[u8]) -> Result<Enquiry, FileFault> {
    let first = bytes.iter().find(|b| !b.is_ascii_whitespace());
    if first != Some(&b'{') {
        return Err(FileFault::NoJobFile);
    }
    let head: Head = serde_json::from_slice(bytes).map_err(|e| damaged(&e))?;
    match head.kerfcast_job {
        None | Some(0) => return Err(FileFault::NoJobFile),
        Some(version) if version > VERSION => return Err(FileFault::Newer(version)),
        Some(_) => {}
    }
    let mut ignored = Vec::new();
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let file: FileJson = serde_ignored::deserialize(&mut reader, |path| ignored.push(steps(&path)))
        .map_err(|e| damaged(&e))?;
    reader.end().map_err(|e| damaged(&e))?;
    let mut library = Library::from_toml(&file.library).map_err(FileFault::Library)?;
    let learned = file.learned.map(Knowledge::checked).transpose();
    library.learned = learned.map_err(FileFault::Learned)?;
    let elsewhere = file.learned_elsewhere.into_iter().map(Knowledge::checked);
    let elsewhere: Result<Vec<_>, _> = elsewhere.collect();
    library.learned_elsewhere = elsewhere.map_err(FileFault::Learned)?;
    let mut items = Vec::with_capacity(file.items.len());
    for (k, json) in file.items.into_iter().enumerate() {
        let name = json.name.clone();
        let fault = |fault| FileFault::Item {
            item: k,
            name,
            fault,
        };
        items.push(item(json, &library).map_err(fault)?);
    }
    let mut enquiry = Enquiry {
        library: Arc::new(library),
        quote: file.quote,
        items,
        saved_by: file.saved_by,
        unknown: Unknown::default(),
    };
    if !ignored.is_empty() {
        keep_unknown(bytes, ignored, &mut enquiry)?;
    }
    Ok(enquiry)
}

fn item(json: ItemJson, library: &Library) -> Result<Item, ItemFault> {
    let bytes = BASE64_STANDARD.decode(json.drawing.base64.as_bytes());
    let drawing = DrawingFile::new(bytes.map_err(|_| ItemFault::NoBase64)?);
    if drawing.hash().to_string() != json.drawing.sha256
        || drawing.bytes().len() != json.drawing.bytes
    {
        return Err(ItemFault::OtherBytes);
    }
    if let Some(fault) = json.job.faults(library).into_iter().next() {
        return Err(ItemFault::Job(fault));
    }
    let wires = json.job.candidates.len();
    if json.job.baseline >= wires {
        return Err(ItemFault::NoSuchNumber(
            "baseline",
            json.job.baseline as f64,
        ));
    }
    if let Some(wire) = json.wire.filter(|w| *w >= wires) {
        return Err(ItemFault::NoSuchNumber("wire", wire as f64));
    }
    if let Some((cell, number)) = wrong_rate(&json.job.shop) {
        return Err(ItemFault::NoSuchNumber(cell, number));
    }
    Ok(Item {
        name: json.name,
        path: json.path,
        drawing,
        options: json.reading.options()?,
        job: json.job,
        confirmed: json.given,
        wire: json.wire,
        wish: json.wish,
        arrangement: json.arrangement,
        state: json.state,
        note: json.note,
        seen: json.seen,
        offered: json.offered,
        logged: json.logged,
        unknown: Unknown::default(),
    })
}

/// A rate or habit of the shop that cannot be.
fn wrong_rate(shop: &Shop) -> Option<(&'static str, f64)> {
    let most = 1e9;
    let above = |cell, v: f64| (cell, v, 0.0..=most);
    let mut all = vec![
        above("machine_rate", shop.machine_rate.amount()),
        above("labour_rate", shop.labour_rate.amount()),
        above("wire_price", shop.wire_price.amount()),
        above("scrap_value", shop.scrap_value.amount()),
        above("consumables", shop.consumables.amount()),
        above("setup_hours", shop.setup_hours),
        ("uptime", shop.uptime, 0.0..=1.0),
        above("heavy_slug", shop.heavy_slug.kg()),
        above("jamming_slug", shop.jamming_slug.mm()),
        above("drops_alone", shop.drops_alone.kg()),
        above("programming_hours", shop.programming_hours),
        above("inspection_minutes", shop.inspection_minutes),
        above("other", shop.other.amount()),
        above("markup", shop.markup),
    ];
    all.extend(
        shop.programming_rate
            .map(|r| above("programming_rate", r.amount())),
    );
    all.extend(shop.hole_sizes.iter().map(|d| above("hole_sizes", d.mm())));
    if !shop.blank.is_sane() {
        let price = match shop.blank {
            Blank::NotCounted => 0.0,
            Blank::Price(price) | Blank::ByMass { price, .. } => price.amount(),
        };
        return Some(("blank", price));
    }
    let wrong = all.into_iter().find(|(_, v, may)| !may.contains(v));
    wrong.map(|(cell, v, _)| (cell, v))
}

/// Every value is kept by what it stands in: an item takes its own along.
fn keep_unknown(
    bytes: &[u8],
    ignored: Vec<Vec<Step>>,
    enquiry: &mut Enquiry,
) -> Result<(), FileFault> {
    let root: Value = serde_json::from_slice(bytes).map_err(|e| damaged(&e))?;
    for path in ignored {
        let Some(value) = at(&root, &path).cloned() else {
            continue;
        };
        match path.as_slice() {
            [Step::Key(key), Step::Index(k), rest @ ..] if key == ITEMS && !rest.is_empty() => {
                if let Some(item) = enquiry.items.get_mut(*k) {
                    item.unknown.keep(rest.to_vec(), value);
                }
            }
            _ => enquiry.unknown.keep(path, value),
        }
    }
    Ok(())
}
