//! Hatched areas and multilines: no curves themselves, but where a drawing holds nothing else their
//! edges are offered, and taken when the user accepts.

use super::findings::{Fault, Findings};
use crate::drawing::curves::Curve;
use crate::drawing::format::Kind;
use crate::drawing::joining::{Offer, OfferKind};
use crate::geometry::Point;
use std::collections::BTreeMap;

/// A hatched area or a multiline whose edges are among the curves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StandIn {
    /// The word in the file.
    pub kind: &'static str,
    /// Its first curve.
    pub first: usize,
    /// It lies in the model space itself, not in a block.
    pub in_model: bool,
}

impl StandIn {
    fn words(&self) -> &'static str {
        if self.kind == Kind::Hatch.word() {
            "hatched areas"
        } else {
            "multilines"
        }
    }
}

/// Whether the edges that begin with a curve are taken.
pub fn are_taken(accepted: &[Offer], first: usize) -> bool {
    let mut takes = accepted.iter().filter(|o| o.kind == OfferKind::TakeEdges);
    takes.any(|o| o.curve == first)
}

/// Tells which edges are taken and offers the others.
pub fn report(
    stand_ins: &[StandIn],
    curves: &[Curve],
    origin: Point,
    accepted: &[Offer],
    findings: &mut Findings,
) {
    for stand_in in stand_ins {
        let own = |c: &&Curve| c.stands_in == Some(stand_in.first as u32) && !c.hidden;
        let mut edges = curves.iter().skip(stand_in.first).take_while(own);
        let Some((at, line)) = edges.find_map(|c| Some((c.ends()?.0 + origin, c.at))) else {
            continue;
        };
        let taken = are_taken(accepted, stand_in.first);
        let fault = if taken {
            Fault::EdgesTaken
        } else {
            Fault::EdgesOffered
        };
        findings.add_named(fault, stand_in.words(), Some(at), Some(line));
        if !taken {
            let offer = Offer {
                kind: OfferKind::TakeEdges,
                curve: stand_in.first,
                at_start: true,
                from: at,
                to: at,
            };
            findings.offer(fault, offer);
        }
    }
}

/// Counts those in the model space as read where their edges are taken, else as skipped.
pub fn count(
    stand_ins: &[StandIn],
    accepted: &[Offer],
    (read, skipped): (&mut BTreeMap<String, usize>, &mut BTreeMap<String, usize>),
) {
    for stand_in in stand_ins.iter().filter(|s| s.in_model) {
        // What an earlier answer made of it is undone first.
        let before = read.remove(stand_in.kind).unwrap_or(0);
        *skipped.entry(stand_in.kind.to_owned()).or_default() += before;
    }
    let taken = stand_ins.iter().filter(|s| s.in_model);
    for stand_in in taken.filter(|s| are_taken(accepted, s.first)) {
        *read.entry(stand_in.kind.to_owned()).or_default() += 1;
        if let Some(n) = skipped.get_mut(stand_in.kind) {
            *n = n.saturating_sub(1);
        }
    }
    skipped.retain(|_, n| *n > 0);
}
