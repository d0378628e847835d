//! How figures are written: units, numbers, heads and sentences, the same for the window, the report and the command.
//!
//! - [`style`]: every number with its unit, in mm or inch. Whoever shows a number asks a [`Style`].
//! - [`system`]: mm or inch, and what one is in the other.
//! - [`typed`]: numbers as people type them.
//!
//! The rooms below hold numbers and kinds; what they are called and how they read is said here, once.

pub mod style;
pub mod system;
pub mod typed;

pub use style::Style;
pub use system::System;
