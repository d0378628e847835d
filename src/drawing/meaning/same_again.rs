//! The same part drawn more than once: several parts, or several views of one.

use super::proposals::{Evidence, ProposalKind, Reason};
use crate::profile::{Part, Profile, same_parts};

/// Asks about every part but the first of those that have one outline.
pub(crate) fn find(asked: &mut Evidence<'_>) {
    let (parts, loose) = without_frames(asked);
    let groups = same_parts(&loose.profile, &parts, &|| asked.stops());
    for group in groups {
        let copies = group.parts[1..].iter().map(|&p| &parts[p]);
        let curves = copies.flat_map(|p| loose.curves_of(p)).collect();
        let reason = Reason::SameOutline {
            parts: group.parts.len(),
            mirrored: group.mirrored,
        };
        asked.propose(ProposalKind::SameAgain, curves, reason);
    }
}

/// What is left of a profile once the borders and tables of its sheet are taken away.
struct Loose {
    profile: Profile,
}

impl Loose {
    fn curves_of(&self, part: &Part) -> Vec<usize> {
        let closed = part
            .contours
            .iter()
            .flat_map(|&k| &self.profile.contours()[k].curves);
        let open = part
            .open
            .iter()
            .flat_map(|&k| &self.profile.open()[k].curves);
        closed.chain(open).copied().collect()
    }
}

/// The parts within a border, which holds all of them together while it counts.
///
/// The edge of a block stays: what lies in it are its openings, and equal openings are no question.
fn without_frames(asked: &Evidence<'_>) -> (Vec<Part>, Loose) {
    let frames: Vec<usize> = asked
        .found
        .iter()
        .filter(|p| p.kind != ProposalKind::BlockEdge)
        .flat_map(|p| p.curves.iter().copied())
        .collect();
    let mut is_frame = vec![false; asked.curves.len()];
    frames.into_iter().for_each(|c| is_frame[c] = true);
    let stays = |curves: &[usize]| !curves.iter().any(|&c| is_frame[c]);
    let whole = asked.profile;
    let contours = (0..whole.contours().len()).filter(|&k| stays(&whole.contours()[k].curves));
    let open = (0..whole.open().len()).filter(|&k| stays(&whole.open()[k].curves));
    let profile = whole.only(&contours.collect::<Vec<_>>(), &open.collect::<Vec<_>>());
    (profile.parts(), Loose { profile })
}
