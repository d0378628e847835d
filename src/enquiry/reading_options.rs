//! How a drawing is read, as a job file has it.

use super::fault::ItemFault;
use crate::drawing::{
    Answer, Offer, OfferKind, ReadOptions, Scale, ScaleChoice, ScaleSource, UnitChoice,
    proposal_id, proposal_key,
};
use crate::geometry::DrawingPoint;
use crate::profile::Keep;
use crate::units::Length;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

const AUTO: &str = "auto";
const CUT: &str = "cut";
const LEAVE_OUT: &str = "leave-out";
const OFFERS: [(OfferKind, &str); 3] = [
    (OfferKind::Trim, "trim"),
    (OfferKind::Extend, "extend"),
    (OfferKind::TakeEdges, "edges"),
];
/// Farthest that loose ends may be apart and still be joined, mm.
const LARGEST_GAP: f64 = 1000.0;

#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct ReadingJson {
    units: String,
    scale: f64,
    scale_from: String,
    join_gap_mm: f64,
    #[serde(default)]
    excluded_layers: BTreeSet<String>,
    #[serde(default)]
    excluded_colours: BTreeSet<i16>,
    #[serde(default)]
    answers: BTreeMap<String, String>,
    #[serde(default)]
    accepted: Vec<OfferJson>,
    join_at_sides: bool,
    outline_at_sides: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    what_stays: Option<Keep>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
struct OfferJson {
    kind: String,
    curve: usize,
    at_start: bool,
    from_mm: [f64; 2],
    to_mm: [f64; 2],
}

impl ReadingJson {
    pub(super) fn of(options: &ReadOptions) -> Self {
        Self {
            units: match options.units {
                UnitChoice::Auto => AUTO.to_owned(),
                UnitChoice::Fixed(unit) => unit.sign().to_owned(),
            },
            scale: options.scale.scale.factor(),
            scale_from: options.scale.from.word().to_owned(),
            join_gap_mm: options.join_gap.mm(),
            excluded_layers: options.excluded_layers.clone(),
            excluded_colours: options.excluded_colours.clone(),
            answers: options.answers.iter().map(answer).collect(),
            accepted: options.accepted.iter().map(offer).collect(),
            join_at_sides: options.join_at_sides,
            outline_at_sides: options.outline_at_sides,
            what_stays: options.what_stays,
        }
    }
    pub(super) fn options(self) -> Result<ReadOptions, ItemFault> {
        let from = ScaleSource::ALL
            .into_iter()
            .find(|s| s.word() == self.scale_from);
        if !(0.0..=LARGEST_GAP).contains(&self.join_gap_mm) {
            return Err(ItemFault::NoSuchNumber("join_gap_mm", self.join_gap_mm));
        }
        Ok(ReadOptions {
            units: self
                .units
                .parse()
                .map_err(|_| ItemFault::NoSuchWord("units", self.units.clone()))?,
            scale: ScaleChoice {
                scale: Scale::new(self.scale)
                    .ok_or(ItemFault::NoSuchNumber("scale", self.scale))?,
                from: from
                    .ok_or_else(|| ItemFault::NoSuchWord("scale_from", self.scale_from.clone()))?,
            },
            join_gap: Length::from_mm(self.join_gap_mm),
            excluded_layers: self.excluded_layers,
            excluded_colours: self.excluded_colours,
            answers: self
                .answers
                .into_iter()
                .map(|(id, word)| {
                    let key = proposal_key(&id)
                        .ok_or_else(|| ItemFault::NoSuchWord("answers", id.clone()))?;
                    let answer = match word.as_str() {
                        CUT => Answer::Cut,
                        LEAVE_OUT => Answer::LeaveOut,
                        _ => return Err(ItemFault::NoSuchWord("answers", word)),
                    };
                    Ok((key, answer))
                })
                .collect::<Result<_, _>>()?,
            accepted: self
                .accepted
                .into_iter()
                .map(OfferJson::offer)
                .collect::<Result<_, _>>()?,
            join_at_sides: self.join_at_sides,
            outline_at_sides: self.outline_at_sides,
            what_stays: self.what_stays,
        })
    }
}

fn answer((key, answer): (&crate::drawing::ProposalKey, &Answer)) -> (String, String) {
    let word = match answer {
        Answer::Cut => CUT,
        Answer::LeaveOut => LEAVE_OUT,
    };
    (proposal_id(*key), word.to_owned())
}

fn offer(offer: &Offer) -> OfferJson {
    let word = OFFERS.into_iter().find(|(kind, _)| *kind == offer.kind);
    OfferJson {
        kind: word.map_or("", |(_, word)| word).to_owned(),
        curve: offer.curve,
        at_start: offer.at_start,
        from_mm: offer.from.xy(),
        to_mm: offer.to.xy(),
    }
}

impl OfferJson {
    fn offer(self) -> Result<Offer, ItemFault> {
        let kind = OFFERS.into_iter().find(|(_, word)| *word == self.kind);
        let (kind, _) = kind.ok_or(ItemFault::NoSuchWord("accepted", self.kind))?;
        Ok(Offer {
            kind,
            curve: self.curve,
            at_start: self.at_start,
            from: DrawingPoint::new(self.from_mm[0], self.from_mm[1]),
            to: DrawingPoint::new(self.to_mm[0], self.to_mm[1]),
        })
    }
}
