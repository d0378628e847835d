//! The shop's own entries, as plain data; [`super::own`] says what can be done with them.

use super::tables::{Diameter, Machine, Material, PassRow, Spool, Wire};
use super::thickness_curve::ThicknessCurve;
use crate::standing::Value;
use std::collections::BTreeMap;

/// The shop's own entries, each whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UserLibrary {
    /// Work materials.
    pub materials: Vec<Material>,
    /// Kinds of wire.
    pub wires: Vec<Wire>,
    /// Wire diameters.
    pub diameters: Vec<Diameter>,
    /// Passes, by the name of a built-in one.
    pub passes: Vec<PassRow>,
    /// Overheads by their key.
    pub overheads: BTreeMap<&'static str, Value>,
    /// Numbers of the formulas for the feed, by their key.
    pub model: BTreeMap<&'static str, Value>,
    /// Spools.
    pub spools: Vec<Spool>,
    /// Machines.
    pub machines: Vec<Machine>,
    /// Thickness curve.
    pub thickness_curve: Option<ThicknessCurve>,
}
