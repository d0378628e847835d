//! Every question about curves that are perhaps not to be cut, found and noted.

use super::findings::Findings;
use super::proposals::{Answer, Evidence, Proposal, ProposalKey};
use super::{frames, hinted, same_again};
use crate::drawing::curves::Curve;
use crate::drawing::format::{Cancelled, Progress};
use crate::drawing::joining::Status;
use crate::geometry::Point;
use crate::profile::{Part, Profile};
use std::collections::BTreeMap;

/// All proposals, in the order of their kinds and curves.
pub(crate) fn find(
    curves: &[Curve],
    status: &[Status],
    (profile, parts): (&Profile, &[Part]),
    texts: &[Point],
    answers: &BTreeMap<ProposalKey, Answer>,
    progress: &Progress,
) -> Result<Vec<Proposal>, Cancelled> {
    let mut asked = Evidence {
        curves,
        status,
        profile,
        parts,
        texts,
        claimed: vec![false; curves.len()],
        found: Vec::new(),
        progress,
    };
    hinted::by_name(&mut asked);
    progress.check()?;
    hinted::through_centres(&mut asked)?;
    frames::find(&mut asked);
    progress.check()?;
    same_again::find(&mut asked);
    progress.check()?;
    let mut found = asked.found;
    for proposal in &mut found {
        proposal.answer = answers.get(&proposal.key()).copied();
    }
    found.sort_by_key(Proposal::key);
    Ok(found)
}

/// Notes every proposal that is not answered.
pub(crate) fn report(proposals: &[Proposal], findings: &mut Findings, curves: &[Curve]) {
    for p in proposals.iter().filter(|p| p.answer.is_none()) {
        let line = p.curves.first().map(|&c| curves[c].at);
        findings.add_reason(p.kind.fault(), &p.reason, p.at, line);
    }
}
