//! What is kept from one start to the next is read here when the window starts. Starting changes none of it.

use crate::calibration::{CutsError, Day, Log, read_cuts};
use crate::gui::learning::{Beside, Learning};
use crate::gui::open_files::name_of;
use crate::gui::own_library::OwnLibrary;
use crate::gui::reading::Source;
use crate::gui::shelf::Shelf;
use crate::gui::tasks::bytes;
use crate::gui::wire_table::WireTable;
use crate::gui::worth::Typed;
use crate::job::Shop;
use crate::language::{Language, said};
use crate::library::{Library, UserLibrary};
use crate::quote::stationery::Stationery;
use crate::shop_files::{MOST_BYTES, Rates, ShopFile, ShopFiles};
use crate::words::System;
use crate::words::library::file_fault;
use crate::words::rates as rates_words;
use egui::ThemePreference;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// Name of the program for the desktop, and of the folder of its data.
pub const APPLICATION: &str = "kerfcast";

/// The usual folder of the shop's own files; `None` where the system names no home folder.
pub fn shop_folder() -> Option<PathBuf> {
    ShopFiles::usual_folder()
}

/// How the window starts.
#[derive(Debug, Clone, Default)]
pub struct Start {
    /// Drawings to open; without any, the first sample.
    pub files: Vec<PathBuf>,
    /// Dark or light; `None` as last time, else as the system.
    pub theme: Option<egui::Theme>,
    /// Neither read nor write what is kept between starts, but for a folder or library that is named.
    pub forget: bool,
    /// Where the shop's own files lie; `None` for the usual place of the user.
    pub folder: Option<PathBuf>,
    /// What is spoken where the shop has not said so.
    pub language: Language,
    /// The file of the shop's own library, instead of the one in the folder.
    pub library: Option<PathBuf>,
}

/// What is kept between starts.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Kept {
    pub(super) system: System,
    pub(super) theme: Option<ThemePreference>,
    /// What earlier versions kept here and now has files of its own: rates, cuts, whether estimates learn and for
    /// which machine. Left as it was.
    pub(super) shop: Option<Shop>,
    pub(super) cuts: String,
    pub(super) learn: bool,
    pub(super) machine: Option<String>,
    /// What was typed on the page of worth.
    pub(super) worth: Typed,
    /// What the table of wires shows.
    pub(super) table: WireTable,
    /// Job files opened or saved, the latest first.
    pub(super) recent: Vec<PathBuf>,
    /// How many of the first hints were read.
    pub(super) hints_read: usize,
    /// Drawings that were open last, the latest first.
    pub(super) recent_drawings: Vec<PathBuf>,
}

/// Faults of a file that are told at the start; the page shows more.
const MOST_TOLD: usize = 3;

const PUT_ASIDE: &str = key!(
    "The file stays as it is; before anything is saved in its place it is kept under another name."
);

/// The folder of what is kept between starts.
pub(super) fn folder(start: &Start) -> Option<PathBuf> {
    let usual = || (!start.forget).then(shop_folder).flatten();
    start.folder.clone().or_else(usual)
}

/// The files of a start.
pub(super) fn shelf(start: &Start) -> Shelf {
    let folder = folder(start);
    Shelf::new(ShopFiles::in_folder(folder.as_deref()).with_library(start.library.clone()))
}

fn place(shelf: &Shelf, file: ShopFile) -> String {
    let path = shelf.path(file);
    path.map_or_else(String::new, |p| p.display().to_string())
}

/// The shop's own library; what to tell where it could not be read.
pub(super) fn library(shelf: &Shelf, told: &mut Vec<String>) -> OwnLibrary {
    let read = shelf.read(ShopFile::Library).and_then(|bytes| {
        let read = bytes.map(|b| UserLibrary::from_bytes(&b));
        read.transpose().map_err(|e| file_fault(&e))
    });
    let own = read.unwrap_or_else(|reason| {
        let place = place(shelf, ShopFile::Library);
        told.push(say!(
            "{place} was not imported. {reason} The built-in library is in force. {PUT_ASIDE}",
            PUT_ASIDE = said(PUT_ASIDE)
        ));
        None
    });
    let mut own = OwnLibrary::kept(own.unwrap_or_default());
    own.place = shelf
        .path(ShopFile::Library)
        .map(|p| p.display().to_string());
    own.is_safe = shelf.is_safe(ShopFile::Library);
    own
}

/// The shop's rates as they are in force, and as they lie in their file.
pub(super) fn rates(
    shelf: &Shelf,
    kept: &Kept,
    library: &Library,
    told: &mut Vec<String>,
) -> (Rates, Rates) {
    let usual = Rates::of_library(library);
    let place = place(shelf, ShopFile::Rates);
    let bytes = shelf.read(ShopFile::Rates).unwrap_or_else(|reason| {
        told.push(say!(
            "{place} could not be read. {reason}. The library's rates are in force."
        ));
        None
    });
    match bytes.map(|b| Rates::parse(&b, library)) {
        Some(Ok((rates, faults))) => {
            let lines: Vec<String> = faults
                .iter()
                .take(MOST_TOLD)
                .map(rates_words::fault)
                .collect();
            if !lines.is_empty() {
                told.push(say!(
                    "{place}: {} The library's value stands there; the other lines are in force.",
                    lines.join(" ")
                ));
            }
            (rates.clone(), rates)
        }
        Some(Err(error)) => {
            let reason = rates_words::file_fault(&error);
            told.push(say!(
                "{place} could not be used. {reason} The library's rates are in force. {PUT_ASIDE}",
                PUT_ASIDE = said(PUT_ASIDE)
            ));
            (usual.clone(), usual)
        }
        // As earlier versions of the program kept them.
        None => {
            let rates = Rates {
                shop: kept.shop.clone().unwrap_or_else(|| usual.shop.clone()),
                learns: kept.learn,
                machine: kept.machine.clone(),
                sign: None,
                language: None,
            };
            (rates, usual)
        }
    }
}

/// Letterhead and standing words of quotes from their file.
pub(super) fn stationery(shelf: &Shelf, told: &mut Vec<String>) -> Stationery {
    let read = shelf.read(ShopFile::Quote).and_then(|bytes| {
        let read = bytes.map(|b| Stationery::from_bytes(&b).map_err(|e| e.to_string()));
        read.transpose()
    });
    let read = read.unwrap_or_else(|reason| {
        let place = place(shelf, ShopFile::Quote);
        told.push(say!(
            "{place} could not be used: {reason}. Quotes have no letterhead until it is mended. {PUT_ASIDE}",
            PUT_ASIDE = said(PUT_ASIDE)
        ));
        None
    });
    read.unwrap_or_default()
}

/// Finished cuts from their file, and which others lie beside it.
pub(super) fn learning(
    shelf: &Shelf,
    kept: &Kept,
    rates: &Rates,
    library: &Library,
    told: &mut Vec<String>,
) -> Learning {
    let read = shelf
        .read(ShopFile::Cuts)
        .and_then(|bytes| match bytes.map(|b| Log::parse(&b)) {
            None | Some(Err(CutsError::Empty)) => Ok(Log::default()),
            Some(log) => log.map_err(|e| e.to_string()),
        });
    let log = read.unwrap_or_else(|reason| {
        let place = place(shelf, ShopFile::Cuts);
        told.push(say!(
            "Your finished cuts in {place} could not be read. {reason} {PUT_ASIDE}",
            PUT_ASIDE = said(PUT_ASIDE)
        ));
        Log::default()
    });
    let mut learning = Learning::kept(log, rates.learns, rates.machine.clone(), library);
    let copies = shelf.files().copies(ShopFile::Cuts);
    let copies = copies.into_iter().map(|p| (name_of(&p), Source::Path(p)));
    let earlier = Some(kept.cuts.clone()).filter(|t| !t.is_empty());
    let earlier = earlier.map(|text| {
        let bytes = Source::Bytes(text.into_bytes().into());
        (say!("The table of an earlier version").to_owned(), bytes)
    });
    for (name, source) in copies.chain(earlier) {
        let cuts = bytes(&source, MOST_BYTES)
            .ok()
            .and_then(|b| read_cuts(&b, library, Day::latest()).ok())
            .map_or(0, |read| learning.not_yet_there(read.cuts).0.len());
        if cuts > 0 {
            learning.beside.push(Beside { name, source, cuts });
        }
    }
    let names: Vec<&str> = learning.beside.iter().map(|b| b.name.as_str()).collect();
    if !names.is_empty() {
        let cuts = learning.beside.iter().map(|b| b.cuts).sum();
        told.push(say!(
            "{} beside your table: {} not in it. Open the page of finished cuts to merge.",
            names.join(", "),
            match cuts {
                1 => say!("1 cut is").to_owned(),
                n => say!("{n} cuts are"),
            }
        ));
    }
    learning
}
