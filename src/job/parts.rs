//! One part of a drawing that holds several: cut alone, the others out of the job.

use super::{Job, chain_key, contour_key};
use crate::profile::{Keep, Part, Profile};
use std::collections::BTreeSet;

/// Keys of the contours and open chains of a part.
pub fn part_keys(profile: &Profile, part: &Part) -> BTreeSet<usize> {
    let closed = part
        .contours
        .iter()
        .filter_map(|&k| profile.contours().get(k));
    let open = part.open.iter().filter_map(|&k| profile.open().get(k));
    closed.map(contour_key).chain(open.map(chain_key)).collect()
}

impl Job {
    /// Whether a contour or chain belongs to what the job is about.
    pub fn is_about(&self, key: usize) -> bool {
        self.part.is_empty() || self.part.contains(&key)
    }

    /// Takes one part alone, or all together.
    pub fn take_part(&mut self, profile: &Profile, part: Option<&Part>) {
        self.part = part.map(|p| part_keys(profile, p)).unwrap_or_default();
    }

    /// What identifies a part while its drawing stays open: its lowest curve.
    pub fn part_key(profile: &Profile, part: &Part) -> Option<usize> {
        part_keys(profile, part).first().copied()
    }

    /// Pieces of a part in a set.
    pub fn count_of(&self, profile: &Profile, part: &Part) -> u32 {
        let key = Self::part_key(profile, part);
        let count = key.and_then(|k| self.counts.get(&k));
        count.copied().unwrap_or(1)
    }

    /// Decides how many pieces of a part make a set; 1 is forgotten, 0 leaves it out of the set.
    pub fn set_count(&mut self, profile: &Profile, part: &Part, count: u32) {
        let Some(key) = Self::part_key(profile, part) else {
            return;
        };
        if count == 1 {
            self.counts.remove(&key);
        } else {
            self.counts.insert(key, count.min(Self::MOST_PARTS));
        }
    }

    /// Whether the parts of a set are not one of each.
    pub fn has_counts(&self, profile: &Profile, parts: &[Part]) -> bool {
        parts.iter().any(|p| self.count_of(profile, p) != 1)
    }

    /// Pieces in a set.
    pub fn set_pieces(&self, profile: &Profile, parts: &[Part]) -> u32 {
        parts.iter().map(|p| self.count_of(profile, p)).sum()
    }

    /// Which of the parts is cut alone; `None` when all are cut together.
    pub fn part_taken(&self, profile: &Profile, parts: &[Part]) -> Option<usize> {
        if self.part.is_empty() {
            return None;
        }
        parts.iter().position(|p| {
            let contours = p.contours.iter().filter_map(|&k| profile.contours().get(k));
            contours
                .into_iter()
                .any(|c| self.part.contains(&contour_key(c)))
        })
    }

    /// Pieces that come off the machine in one estimate: the parts of the drawing of which something is
    /// cut, each as often as a set wants it, one where a part is taken alone. Openings in a plate, however far apart, make
    /// one piece.
    pub fn pieces(&self, profile: &Profile, parts: &[Part]) -> usize {
        if self.keep == Keep::Outside || self.part_taken(profile, parts).is_some() {
            return 1;
        }
        let is_cut = |k: &usize| profile.contours().get(*k).is_some_and(|c| self.cuts(c));
        let cut = parts.iter().filter(|p| p.contours.iter().any(&is_cut));
        let count = |p: &Part| self.count_of(profile, p) as usize;
        cut.map(count).sum::<usize>().max(1)
    }

    /// The part taken as it is in a drawing joined otherwise; all together where it is no more.
    pub fn follow_part(&mut self, profile: &Profile, parts: &[Part]) {
        if !self.part.is_empty() {
            let taken = self
                .part_taken(profile, parts)
                .filter(|_| parts.len() > 1)
                .and_then(|k| parts.get(k));
            self.take_part(profile, taken);
        }
    }
}
