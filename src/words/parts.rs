//! Several parts of one drawing, and a set of them.

use super::Style;
use crate::job::Job;
use crate::profile::{Part, Profile};

/// "2 × part 1, 1 × part 2", of counts in the order of the drawing; what is not wanted is not named.
fn members(counts: impl Iterator<Item = (usize, u32)>, style: Style) -> String {
    let one = |(part, count): (usize, u32)| {
        let count = style.number(f64::from(count), 0);
        say!("{count} × part {}", part + 1)
    };
    let members: Vec<String> = counts.filter(|c| c.1 > 0).map(one).collect();
    members.join(", ")
}

/// "a set is 2 × part 1, 1 × part 2", where a job wants its parts in unequal numbers.
pub fn what_a_set_is(job: &Job, profile: &Profile, parts: &[Part], style: Style) -> Option<String> {
    if job.counts.is_empty()
        || job.part_taken(profile, parts).is_some()
        || !job.has_counts(profile, parts)
    {
        return None;
    }
    let counts = parts.iter().map(|p| job.count_of(profile, p)).enumerate();
    Some(say!("a set is {}", members(counts, style)))
}

/// Why numbers of parts cannot be taken for a drawing, and what to do.
pub fn too_many_counts(given: usize, there: usize) -> String {
    say!("{given} numbers were given for the parts of a set, but the drawing holds {there}.")
}
