//! What joining, bridging and crossing came to, told with places.

use super::Work;
use super::rings::Ring;
use crate::drawing::Status;
use crate::drawing::format::Cancelled;
use crate::drawing::joining::box_index::BoxIndex;
use crate::drawing::joining::crossings::Member;
use crate::drawing::joining::edges::Run;
use crate::drawing::joining::ends::Joined;
use crate::drawing::joining::sides::Sides;
use crate::drawing::joining::{crossings, ends, offers};
use crate::drawing::meaning::Fault;
use crate::geometry::{Bounds, Point, Segment};

impl Work<'_> {
    /// Bridges, branches and loose ends.
    pub(crate) fn report(
        &mut self,
        joined: &Joined,
        junctions: &[Point],
        sides: &Sides,
    ) -> Result<(), Cancelled> {
        for bridge in &joined.bridges {
            let size = bridge.from.distance(bridge.to);
            let at = bridge.from.lerp(bridge.to, 0.5) + self.origin;
            self.findings
                .add_sized(Fault::GapBridged, size, Some(at), None);
        }
        let inner: f64 = joined
            .inner
            .iter()
            .map(|&e| self.edges[e].measure.length)
            .sum();
        let reach = self.gap.max(self.exact);
        let cut = BoxIndex::of_points(junctions.iter().copied(), self.progress)?;
        for &at in &joined.branches {
            self.progress.check()?;
            let around = Bounds { min: at, max: at }.grown(reach);
            let mut near = cut.within(&around).into_iter();
            if near.any(|k| junctions[k].distance(at) <= reach) {
                continue;
            }
            self.findings
                .add_sized(Fault::Branch, inner, Some(at + self.origin), None);
        }
        for &e in &joined.inner {
            self.status[self.edges[e].curve] = Status::Inner;
        }
        self.report_loose_ends(&joined.loose, sides)
    }

    /// A loose end on the side of another curve is a T, elsewhere it is open.
    fn report_loose_ends(&mut self, loose: &[usize], sides: &Sides) -> Result<(), Cancelled> {
        let reach = self.gap.max(self.exact);
        let mut open = Vec::new();
        for &end in loose {
            self.progress.check()?;
            let (at, edge) = (ends::end_point(&self.edges, end), end / 2);
            let on_side = sides.at(at, reach).iter().any(|(other, _)| *other != edge);
            let fault = if on_side {
                Fault::TJunction
            } else {
                open.push(end);
                Fault::OpenEnd
            };
            let line = self.curves[self.edges[edge].curve].at;
            self.findings.add(fault, Some(at + self.origin), Some(line));
        }
        let work = (&self.edges[..], self.curves);
        for offer in offers::extensions(work, &open, sides, self.origin, self.progress)? {
            self.findings.offer(Fault::OpenEnd, offer);
        }
        Ok(())
    }

    /// Where chains cross, and the trims that would mend it.
    pub(crate) fn report_crossings(
        &mut self,
        rings: &[Ring],
        open: &[Run],
    ) -> Result<(), Cancelled> {
        let mut chains: Vec<(usize, &[Segment])> = Vec::new();
        chains.extend(rings.iter().map(|r| &r.segments[..]).enumerate());
        for (k, run) in open.iter().enumerate() {
            for &(edge, _) in &run.steps {
                chains.push((rings.len() + k, self.edges[edge].segments(self.curves)));
            }
        }
        let mut members = Vec::with_capacity(chains.iter().map(|c| c.1.len()).sum());
        for (chain, segments) in chains {
            members.extend(segments.iter().map(|segment| Member { segment, chain }));
        }
        let crossings = crossings::find(&members, self.progress)?;
        drop(members);
        let mut trims = Vec::new();
        for crossing in crossings {
            let (p, q) = crossing.chains;
            let fault = if p >= rings.len() || q >= rings.len() {
                Fault::Crossing
            } else if p == q {
                Fault::SelfCrossing
            } else {
                Fault::ContoursCross
            };
            self.findings
                .add(fault, Some(crossing.at + self.origin), None);
            for chain in [p, q] {
                if let Some(run) = chain.checked_sub(rings.len()).and_then(|k| open.get(k)) {
                    let work = (&self.edges[..], self.curves);
                    offers::trims(work, run, crossing.at, self.origin, &mut trims);
                }
            }
        }
        for offer in trims {
            self.findings.offer(Fault::Crossing, offer);
        }
        Ok(())
    }
}
