//! What was decided otherwise between two jobs, one phrase each.

use super::{System, ways, within};
use crate::estimate::variants::Otherwise;
use crate::job::{Candidate, passes_words};
use crate::profile::Keep;

/// "thickness 40 mm → 60 mm".
pub fn phrase(decided: &Otherwise, system: System) -> String {
    let thickness = |t| within::short_length(t, system);
    let (what, before, after) = match decided {
        Otherwise::Wire(a, b) => ("wire", wire(a, system), wire(b, system)),
        Otherwise::Thickness(a, b) => ("thickness", thickness(*a), thickness(*b)),
        Otherwise::Material(a, b) => ("material", a.clone(), b.clone()),
        Otherwise::Passes(a, b) => ("passes", passes_words(*a), passes_words(*b)),
        Otherwise::Flushing(a, b) => ("flushing", a.words().to_owned(), b.words().to_owned()),
        Otherwise::Parts(a, b) => ("parts", a.to_string(), b.to_string()),
        Otherwise::Kept(a, b) => ("kept", kept(*a).to_owned(), kept(*b).to_owned()),
        Otherwise::Order => return "another order of cutting".to_owned(),
        Otherwise::Shop => return "other shop rates".to_owned(),
        Otherwise::Contours => return "single contours with choices of their own".to_owned(),
    };
    format!("{what} {before} → {after}")
}

fn wire(c: &Candidate, system: System) -> String {
    let run = ways::of_running(c.run, system);
    let gap = if run.is_empty() { "" } else { ", " };
    let diameter = within::diameter(c.diameter, system);
    format!("{} Ø {diameter}{gap}{run}", c.wire)
}

fn kept(keep: Keep) -> &'static str {
    match keep {
        Keep::Inside => "the inside",
        Keep::Outside => "the outside",
    }
}
