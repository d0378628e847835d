//! The colours that curves are seen in: their own, or that of their layer.

use super::layers::Layer;
use crate::drawing::curves::Curve;
use std::collections::{BTreeMap, BTreeSet};

/// Colour number that stands for "as the layer" (DXF reference, code 62).
const BY_LAYER: i16 = 256;
/// The colour of what names none: black or white.
const PLAIN: i16 = 7;

/// The colour number that a curve is seen in, 1 to 255.
fn seen(curve: &Curve, layers: &[Layer]) -> i16 {
    match curve.colour {
        BY_LAYER => layers.get(curve.layer_index).map_or(PLAIN, |l| l.colour),
        // By block, in a block whose insertion names none.
        0 => PLAIN,
        own => own,
    }
}

/// How many visible curves are seen in each colour.
pub(crate) fn counted(curves: &[Curve], layers: &[Layer]) -> BTreeMap<i16, usize> {
    let mut out = BTreeMap::new();
    for curve in curves.iter().filter(|c| !c.hidden) {
        *out.entry(seen(curve, layers)).or_insert(0) += 1;
    }
    out
}

/// Curves seen in any of some colours.
pub(crate) fn curves_in(
    colours: &BTreeSet<i16>,
    curves: &[Curve],
    layers: &[Layer],
) -> BTreeSet<usize> {
    if colours.is_empty() {
        return BTreeSet::new();
    }
    let all = curves.iter().enumerate();
    all.filter(|(_, c)| !c.hidden && colours.contains(&seen(c, layers)))
        .map(|(k, _)| k)
        .collect()
}
