//! Hatched areas and multilines: no curves themselves, but where a drawing holds nothing else their
//! edges are offered, and taken when the user accepts.

use super::findings::{About, Findings, StandInKind};
use crate::drawing::curves::{Curve, StandIn};
use crate::drawing::format::Fault;
use crate::drawing::joining::{Offer, OfferKind, takes_edges};
use crate::geometry::Datum;
use std::collections::{BTreeMap, BTreeSet};

/// Tells which edges are taken and offers the others.
pub fn report(
    stand_ins: &[StandIn],
    curves: &[Curve],
    origin: Datum,
    accepted: &[Offer],
    findings: &mut Findings,
) {
    for stand_in in stand_ins {
        let own = |c: &&Curve| c.stands_in == Some(stand_in.first as u32) && !c.hidden;
        let mut edges = curves.iter().skip(stand_in.first).take_while(own);
        let Some((at, line)) = edges.find_map(|c| Some((c.ends()?.0 + origin, c.at))) else {
            continue;
        };
        let taken = takes_edges(accepted, stand_in.first);
        let fault = if taken {
            Fault::EdgesTaken
        } else {
            Fault::EdgesOffered
        };
        let finding = findings.of_kind(fault).note(Some(at), Some(line));
        let kind = StandInKind::of(stand_in.kind);
        match &mut finding.about {
            About::StandIns(kinds) => {
                kinds.insert(kind);
            }
            about => *about = About::StandIns(BTreeSet::from([kind])),
        }
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
        let before = read.remove(stand_in.kind.word()).unwrap_or(0);
        *skipped.entry(stand_in.kind.word().to_owned()).or_default() += before;
    }
    let taken = stand_ins.iter().filter(|s| s.in_model);
    for stand_in in taken.filter(|s| takes_edges(accepted, s.first)) {
        *read.entry(stand_in.kind.word().to_owned()).or_default() += 1;
        if let Some(n) = skipped.get_mut(stand_in.kind.word()) {
            *n = n.saturating_sub(1);
        }
    }
    skipped.retain(|_, n| *n > 0);
}
