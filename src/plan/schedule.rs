//! The steps of one part on one wire.

use super::paths::{LaidPath, PathCache, PathWanted, ShapeId, wire_side};
use super::sequence::cutting_order;
use super::steps::{Step, StepKind};
use crate::geometry::Point;
use crate::job::Job;
use crate::process::Library;
use crate::process::corner_slowdown::window;
use crate::process::passes::Pass;
use crate::profile::{Profile, Role};
use crate::units::{Length, Minutes};
use std::sync::Arc;

/// Longest share of a path that is left as a tab.
const LARGEST_TAB: f64 = 0.2;

/// The paths of one contour, the rough first.
#[derive(Debug, Clone)]
pub struct ContourPaths {
    /// Index in the profile.
    pub contour: usize,
    /// What it bounds.
    pub role: Role,
    /// One path a pass.
    pub passes: Vec<Arc<LaidPath>>,
}

/// Lays the paths of every contour that is cut, pass by pass.
///
/// `shapes` are the identities of the profile's contours.
pub fn lay_paths(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    passes: &[Pass],
    cache: &PathCache,
) -> Vec<ContourPaths> {
    let wanted = |k: usize, p: &Pass| PathWanted {
        shape: shapes[k],
        contour: &profile.contours[k].shape,
        side: wire_side(profile.role(k, job.keep)),
        offset: p.offset,
    };
    let cut: Vec<usize> = (0..profile.contours.len())
        .filter(|&k| job.cuts(&profile.contours[k]))
        .collect();
    let all: Vec<PathWanted<'_>> = cut
        .iter()
        .flat_map(|&k| passes.iter().map(move |p| wanted(k, p)))
        .collect();
    cache.prepare(&all);
    cut.into_iter()
        .map(|k| ContourPaths {
            contour: k,
            role: profile.role(k, job.keep),
            passes: passes.iter().map(|p| cache.path(&wanted(k, p))).collect(),
        })
        .collect()
}

/// Everything the machine and the person beside it do for one part, in order.
///
/// For each contour: thread, lead in, rough and skims up to the tab that holds the piece, then the tab
/// with all its passes while the piece is held by hand or magnet, then the stop at which it is taken out.
pub fn schedule(
    profile: &Profile,
    job: &Job,
    library: &Library,
    passes: &[Pass],
    paths: &[ContourPaths],
) -> Vec<Step> {
    let o = &library.overheads;
    let lead_in = Length::from_mm(o.lead_in.value);
    let mut of_contour: Vec<Option<&ContourPaths>> = vec![None; profile.contours.len()];
    paths.iter().for_each(|p| of_contour[p.contour] = Some(p));
    let start_of = |k: usize| {
        of_contour[k]
            .and_then(|p| p.passes.first())
            .and_then(|p| p.start(lead_in))
    };
    let hole = |k: usize| start_of(k).map_or(Point::ORIGIN, |s| s.hole);
    let order = cutting_order(profile, job, hole);
    let mut steps = Vec::with_capacity(order.len() * (2 * passes.len() + 4) + 1);
    let mut at: Option<Point> = None;
    for k in order {
        let Some(contour) = of_contour[k] else {
            continue;
        };
        let Some(start) = start_of(k) else { continue };
        if let Some(from) = at {
            let length = Length::from_mm(from.distance(start.hole));
            steps.push(Step {
                length,
                minutes: Minutes::from_min(length.mm() / o.rapid.value),
                ..blank(StepKind::Move, k)
            });
        }
        steps.push(Step {
            minutes: Minutes::from_min(o.automatic_threading.value),
            wire: Length::from_m(o.threading_waste.value),
            ..blank(StepKind::Threading, k)
        });
        cut_contour(&mut steps, contour, start.lead_in, job, library, passes);
        let kind = match contour.role {
            Role::Opening => StepKind::SlugStop,
            Role::Outline => StepKind::PartStop,
        };
        steps.push(Step {
            minutes: Minutes::from_min(o.slug_removal.value),
            attended: true,
            ..blank(kind, k)
        });
        at = Some(start.join);
    }
    steps.extend(expected_breaks(&steps, library));
    steps
}

fn blank(kind: StepKind, contour: usize) -> Step {
    Step {
        kind,
        pass: None,
        contour: Some(contour),
        length: Length::ZERO,
        minutes: Minutes::ZERO,
        corner_minutes: Minutes::ZERO,
        wire: Length::ZERO,
        attended: false,
    }
}

/// Lead-in, every pass up to the tab, then the tab and the overlap behind it.
fn cut_contour(
    steps: &mut Vec<Step>,
    contour: &ContourPaths,
    lead_in: Length,
    job: &Job,
    library: &Library,
    passes: &[Pass],
) {
    let o = &library.overheads;
    let Some(rough) = passes.first() else { return };
    let minutes = lead_in / (rough.feed * o.lead_in_feed.value);
    steps.push(Step {
        pass: Some(1),
        length: lead_in,
        minutes,
        wire: rough.run_off * minutes,
        ..blank(StepKind::LeadIn, contour.contour)
    });
    let shortest = contour
        .passes
        .iter()
        .map(|p| p.length.mm())
        .fold(f64::INFINITY, f64::min);
    let tab = Length::from_mm(o.tab.value.min(LARGEST_TAB * shortest));
    let slow_window = window(job.thickness);
    for (k, (pass, path)) in passes.iter().zip(&contour.passes).enumerate() {
        let length = path.length - tab;
        let corners = path.corner_excess(slow_window, pass.corner_slowdown) / pass.feed;
        let minutes = length / pass.feed + corners;
        steps.push(Step {
            pass: Some(k + 1),
            length,
            minutes,
            corner_minutes: corners,
            wire: pass.run_off * minutes,
            ..blank(StepKind::Pass, contour.contour)
        });
    }
    let length = tab + Length::from_mm(o.overlap.value);
    for (k, pass) in passes.iter().enumerate() {
        let minutes = length / pass.feed;
        steps.push(Step {
            pass: Some(k + 1),
            length,
            minutes,
            wire: pass.run_off * minutes,
            ..blank(StepKind::Tab, contour.contour)
        });
    }
}

/// Breaks an hour of roughing, each with its re-threading: an expectation, not a forecast of one.
fn expected_breaks(steps: &[Step], library: &Library) -> Option<Step> {
    let o = &library.overheads;
    let roughing: Minutes = steps
        .iter()
        .filter(|s| s.pass == Some(1))
        .map(|s| s.minutes)
        .sum();
    let count = roughing.hours() * o.breaks_in_rough.value;
    (count > 0.0).then(|| Step {
        kind: StepKind::Breaks,
        contour: None,
        minutes: Minutes::from_min(count * o.rethreading_after_break.value),
        wire: Length::from_m(count * o.threading_waste.value),
        attended: true,
        ..blank(StepKind::Breaks, 0)
    })
}
