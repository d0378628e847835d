//! What is kept from one start to the next is read here when the window starts.

use super::{Kept, Start, shop_folder};
use crate::calibration::Day;
use crate::calibration::read_cuts;
use crate::gui::learning::Learning;
use crate::gui::own_library::OwnLibrary;
use crate::gui::shelf::{Shelf, Shelved};
use crate::library::{Library, UserLibrary};
use crate::words::library::file_fault;
use std::path::PathBuf;

/// The folder of what is kept between starts.
pub(super) fn folder(start: &Start) -> Option<PathBuf> {
    let usual = || (!start.forget).then(shop_folder).flatten();
    start.folder.clone().or_else(usual)
}

/// The files of a start.
pub(super) fn shelf(start: &Start) -> Shelf {
    let folder = folder(start);
    Shelf::new(folder.as_deref(), start.library.clone())
}

/// The shop's own library, and what to tell where it could not be read.
pub(super) fn library(shelf: &mut Shelf) -> (OwnLibrary, Option<String>) {
    let (own, told) = match shelf.read(Shelved::Library) {
        Ok(None) => (UserLibrary::default(), None),
        Ok(Some(bytes)) => match UserLibrary::from_bytes(&bytes) {
            Ok(own) => (own, None),
            Err(e) => (UserLibrary::default(), Some(file_fault(&e))),
        },
        Err(e) => (
            UserLibrary::default(),
            Some(format!("The system says: {e}.")),
        ),
    };
    let place = shelf
        .path(Shelved::Library)
        .map(|p| p.display().to_string());
    let told = told.map(|reason| {
        shelf.distrust(Shelved::Library);
        format!(
            "{} was not imported. {reason} The built-in library is in force. The file stays as it is; before \
             anything is saved in its place it is kept under another name.",
            place.as_deref().unwrap_or_default()
        )
    });
    let mut own = OwnLibrary::kept(own);
    own.place = place;
    own.is_safe = shelf.is_safe(Shelved::Library);
    (own, told)
}

/// Finished cuts: from their file, and from where earlier versions of the program kept them.
pub(super) fn learning(
    shelf: &mut Shelf,
    kept: &Kept,
    library: &Library,
) -> (Learning, Option<String>) {
    let mut told = None;
    let mut table = match shelf.read(Shelved::Cuts) {
        Ok(bytes) => bytes.map(|b| {
            String::from_utf8(b).unwrap_or_else(|e| {
                // Letters are lost that way, so the file itself is kept beside.
                shelf.distrust(Shelved::Cuts);
                String::from_utf8_lossy(e.as_bytes()).into_owned()
            })
        }),
        Err(e) => {
            told = Some(format!("Your finished cuts could not be read: {e}."));
            None
        }
    };
    if let Some(text) = table.as_deref().filter(|t| !t.is_empty())
        && let Err(e) = read_cuts(text.as_bytes(), library, Day::latest())
    {
        shelf.distrust(Shelved::Cuts);
        told = Some(format!(
            "Your finished cuts could not be read. {e} Their file stays as it is; before anything is saved in its \
             place it is kept under another name."
        ));
        table = None;
    }
    let first = table.as_deref().unwrap_or(&kept.cuts);
    let mut learning = Learning::kept(first, kept.learn, kept.machine.clone(), library);
    if table.is_some()
        && !kept.cuts.is_empty()
        && let Ok(read) = read_cuts(kept.cuts.as_bytes(), library, Day::latest())
    {
        // Kept there because the file could not be written then, so nothing of it may be lost.
        learning.bring("The kept table".to_owned(), read);
    }
    (learning, told)
}
