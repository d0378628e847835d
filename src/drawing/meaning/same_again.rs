//! The same part drawn more than once: several parts, or several views of one.

use super::proposals::{Evidence, ProposalKind, Reason};
use crate::profile::{Part, Profile, same_parts};
use std::borrow::Cow;

/// Asks about every part but the first of those that have one outline.
pub(crate) fn find(asked: &mut Evidence<'_>) {
    let (parts, profile) = without_frames(asked);
    let groups = same_parts(&profile, &parts, &|| asked.stops());
    for group in groups {
        let copies = group.parts[1..].iter().map(|&p| &parts[p]);
        let curves = copies.flat_map(|p| curves_of(&profile, p)).collect();
        let reason = Reason::SameOutline {
            parts: group.parts.len(),
            mirrored: group.mirrored,
        };
        asked.propose(ProposalKind::SameAgain, curves, reason);
    }
}

fn curves_of(profile: &Profile, part: &Part) -> Vec<usize> {
    let closed = part.contours.iter();
    let closed = closed.flat_map(|&k| &profile.contours()[k].curves);
    let open = part.open.iter().flat_map(|&k| &profile.open()[k].curves);
    closed.chain(open).copied().collect()
}

/// The parts within a border, which holds all of them together while it counts, and the profile that they are of: what is
/// left once the borders and tables of its sheet are taken away.
///
/// The edge of a block stays: what lies in it are its openings, and equal openings are no question.
fn without_frames<'a>(asked: &Evidence<'a>) -> (Cow<'a, [Part]>, Cow<'a, Profile>) {
    let frames: Vec<usize> = asked
        .found
        .iter()
        .filter(|p| p.kind != ProposalKind::BlockEdge)
        .flat_map(|p| p.curves.iter().copied())
        .collect();
    if frames.is_empty() {
        return (Cow::Borrowed(asked.parts), Cow::Borrowed(asked.profile));
    }
    let mut is_frame = vec![false; asked.curves.len()];
    frames.into_iter().for_each(|c| is_frame[c] = true);
    let stays = |curves: &[usize]| !curves.iter().any(|&c| is_frame[c]);
    let whole = asked.profile;
    let contours = (0..whole.contours().len()).filter(|&k| stays(&whole.contours()[k].curves));
    let open = (0..whole.open().len()).filter(|&k| stays(&whole.open()[k].curves));
    let profile = whole.only(&contours.collect::<Vec<_>>(), &open.collect::<Vec<_>>());
    (Cow::Owned(profile.parts()), Cow::Owned(profile))
}
