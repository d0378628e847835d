//! Kerfcast with its window: the rooms of `kerfcast_core` under one name, and [`gui`] on top of them.
//!
//! Without the feature `window` this is the core alone, and the headless command needs no more.

pub use kerfcast_core::*;

#[cfg(feature = "window")]
pub mod gui;
