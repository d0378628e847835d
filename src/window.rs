//! Kerfcast with its window: the rooms of `kerfcast_core` under one name, and [`gui`] on top of them.
//!
//! Without the feature `window` this is the core alone, and the headless command needs no more.

#[cfg(feature = "window")]
#[macro_use]
extern crate kerfcast_say;

pub use kerfcast_core::*;

/// `say!` reads this table while the package is compiled, so a change of it is a change of the package.
const _: &str = include_str!("../assets/languages/german.toml");

#[cfg(feature = "window")]
pub mod gui;
