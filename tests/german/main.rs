//! The window in German, in a program of its own: what a process speaks, it speaks in every window of it.

#![cfg(feature = "window")]

#[path = "../harness/mod.rs"]
mod harness;
#[path = "../shared/mod.rs"]
mod shared;

mod files;
mod layout;
mod switching;
mod typing;

use kerfcast::language::{self, Language};
use std::sync::{PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

static SPOKEN: RwLock<()> = RwLock::new(());

/// German is spoken as long as this is kept, by this test and others.
fn german() -> RwLockReadGuard<'static, ()> {
    let kept = SPOKEN.read().unwrap_or_else(PoisonError::into_inner);
    language::speak(Language::German);
    kept
}

/// As long as this is kept no other test speaks, so that the language can be changed.
fn any_language() -> RwLockWriteGuard<'static, ()> {
    SPOKEN.write().unwrap_or_else(PoisonError::into_inner)
}
