//! What the list of contours holds, made once for a profile and what is decided about it: a frame looks only at the rows
//! that are seen.

use crate::gui::open_file::OpenFile;
use crate::job::{Job, contour_key};
use crate::profile::{Profile, Role};
use crate::units::Length;
use egui::{Id, Ui};
use std::collections::HashSet;
use std::sync::Arc;

/// From this many on, equal contours stand in one line.
const GROUP: usize = 3;

/// One line of the list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Line {
    /// A contour, indented under its group.
    Contour(usize, bool),
    /// Equal contours by their number among the groups.
    Group(usize),
    /// An open curve.
    Open(usize),
}

/// Equal contours of the list.
pub struct Group {
    /// Which: all, or those of the part that is cut.
    pub members: Vec<usize>,
    /// How many of them are cut.
    pub cut: usize,
}

/// The list.
pub struct Listed {
    profile: Arc<Profile>,
    job: Job,
    /// Groups in the order of their first contour, single contours among them, open curves last.
    pub lines: Vec<Line>,
    /// By their numbers.
    pub groups: Vec<Group>,
    /// How many contours are cut, and how many of those that the job is about are not.
    pub cut: usize,
    /// See `cut`.
    pub left_out: usize,
    /// Length of what is cut.
    pub length: Length,
    /// Area of what stays, mm².
    pub net: f64,
}

impl Listed {
    /// The list of a file as it is decided now.
    pub fn of(ui: &Ui, file: &OpenFile) -> Arc<Self> {
        let id = Id::unique(("list of contours", file.id));
        let kept: Option<Arc<Self>> = ui.data(|d| d.get_temp(id));
        let is_of = |l: &Arc<Self>| Arc::ptr_eq(&l.profile, &file.profile) && l.job == file.job;
        kept.filter(is_of).unwrap_or_else(|| {
            let made = Arc::new(Self::new(file));
            ui.data_mut(|d| d.insert_temp(id, Arc::clone(&made)));
            made
        })
    }
    fn new(file: &OpenFile) -> Self {
        let (profile, job) = (&file.profile, &file.job);
        let contours = profile.contours();
        let part = file.part_taken().and_then(|k| file.drawing.parts.get(k));
        let within: Option<HashSet<usize>> = part.map(|p| p.contours.iter().copied().collect());
        let group = |all: &Vec<usize>| {
            let is_listed = |i: &usize| within.as_ref().is_none_or(|w| w.contains(i));
            let members: Vec<usize> = all.iter().copied().filter(is_listed).collect();
            let cut = members.iter().filter(|i| job.cuts(&contours[**i])).count();
            Group { members, cut }
        };
        let groups: Vec<Group> = file.model.groups.iter().map(group).collect();
        let mut lines = Vec::new();
        for (g, group) in groups.iter().enumerate() {
            if group.members.len() < GROUP {
                lines.extend(group.members.iter().map(|i| Line::Contour(*i, false)));
            } else {
                lines.push(Line::Group(g));
            }
        }
        lines.sort_by_key(|line| match line {
            Line::Contour(i, _) => *i,
            Line::Group(g) => file.model.groups[*g][0],
            Line::Open(_) => usize::MAX,
        });
        match part {
            Some(p) => lines.extend(p.open.iter().copied().map(Line::Open)),
            None => lines.extend((0..profile.open().len()).map(Line::Open)),
        }
        let cut: Vec<usize> = (0..contours.len())
            .filter(|i| job.cuts(&contours[*i]))
            .collect();
        let area = |i: &usize| match job.role(profile, *i) {
            Role::Outline => contours[*i].drawn_area.mm2(),
            Role::Opening => -contours[*i].drawn_area.mm2(),
        };
        let about = contours.iter().filter(|c| job.is_about(contour_key(c)));
        Self {
            profile: Arc::clone(profile),
            job: job.clone(),
            lines,
            groups,
            cut: cut.len(),
            left_out: about.count().saturating_sub(cut.len()),
            length: cut.iter().map(|i| contours[*i].drawn_length).sum(),
            net: cut.iter().map(area).sum(),
        }
    }
}
