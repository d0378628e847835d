//! What was decided otherwise between two jobs, what differs between two drawings of a part, and what a quick variant
//! has otherwise: one phrase each.

use super::{Style, System, ways, within};
use crate::estimate::variants::Otherwise;
use crate::geometry::Motion;
use crate::job::{Candidate, Edit, MadeVariant, Variant, contour_key, passes_words};
use crate::language::{localised, said};
use crate::profile::{Keep, Profile, Revised, RevisedKind, Revision};
use crate::units::{Minutes, Money};

/// What no single contour accounts for.
pub const ELSEWHERE: &str = key!("all else");

/// How one drawing lies on another, by the motion between their coordinates: "mirrored and turned by 90°".
pub fn laid_how(motion: &Motion) -> String {
    /// Moved by less, mm, it was not moved.
    const MOVED: f64 = 1e-3;
    let turned = localised(format!("{:.3}", motion.degrees()));
    let turned = turned.trim_end_matches('0').trim_end_matches('.');
    let turned = turned.replace('-', "−");
    match (turned == "0" || turned == "−0", motion.mirrored) {
        (true, false) if motion.shift.norm() < MOVED => say!("where it is drawn").to_owned(),
        (true, false) => say!("moved, not turned").to_owned(),
        (true, true) => say!("mirrored").to_owned(),
        (false, false) => say!("turned by {turned}°"),
        (false, true) => say!("mirrored and turned by {turned}°"),
    }
}

/// "The first drawing lies on the second turned by 90°".
pub fn laid(motion: &Motion) -> String {
    say!("The first drawing lies on the second {}", laid_how(motion))
}

/// "4 contours the same, 1 changed, 1 added".
pub fn counted(r: &Revision) -> String {
    let mut parts: Vec<String> = Vec::new();
    for word in [
        say!("same"),
        say!("changed"),
        say!("moved"),
        say!("added"),
        say!("removed"),
    ] {
        let n = r.contours.iter().filter(|c| c.kind.word() == word).count();
        if n == 0 {
            continue;
        }
        let the = if word == "same" {
            say!("the same")
        } else {
            word
        };
        parts.push(match (parts.is_empty(), n) {
            (true, 1) => say!("1 contour {the}"),
            (true, n) => say!("{n} contours {the}"),
            (false, n) => format!("{n} {the}"),
        });
    }
    if parts.is_empty() {
        return say!("no contour in either").to_owned();
    }
    parts.join(", ")
}

/// "contour 3 moved by 0.4 mm"; contours have the numbers of the list, a removed one that of the drawing before.
pub fn revised(c: &Revised, system: System) -> String {
    match (c.kind, c.after, c.before) {
        (RevisedKind::Moved(way), Some(k), _) => {
            say!("contour {} moved by {}", k + 1, within::fine(way, system))
        }
        (RevisedKind::Removed, _, Some(k)) => say!("contour {} removed", k + 1),
        (kind, Some(k), _) | (kind, None, Some(k)) => say!("contour {} {}", k + 1, kind.word()),
        (kind, None, None) => kind.word().to_owned(),
    }
}

/// More or less time: "+12 min", "−3 min"; a dash where it is nothing.
pub fn more_time(style: Style, minutes: Minutes) -> String {
    let size = Minutes::from_min(minutes.min_value().abs());
    signed(
        minutes.min_value(),
        &style.step_time(size),
        &style.step_time(Minutes::ZERO),
    )
}

/// More or less money: "+12", "−3"; a dash where it is nothing.
pub fn more_money(style: Style, money: Money) -> String {
    let size = Money::from_amount(money.amount().abs());
    signed(
        money.amount(),
        &style.money(size),
        &style.money(Money::ZERO),
    )
}

fn signed(value: f64, size: &str, nothing: &str) -> String {
    if size == nothing || !value.is_finite() {
        "–".to_owned()
    } else if value > 0.0 {
        format!("+{size}")
    } else {
        format!("−{size}")
    }
}

/// What a variant has otherwise, or what the user calls it.
pub fn name(variant: &Variant, profile: &Profile, system: System) -> String {
    if !variant.name.is_empty() {
        return variant.name.clone();
    }
    let all = variant.edits.iter().map(|e| edit(e, profile, system));
    let all: Vec<String> = all.collect();
    if all.is_empty() {
        say!("as it is").to_owned()
    } else {
        all.join(", ")
    }
}

/// One thing that a variant has otherwise: "inside radii ≥ 0.3 mm".
pub fn edit(edit: &Edit, profile: &Profile, system: System) -> String {
    match edit {
        Edit::Scale(by) => say!("scaled × {by}"),
        Edit::Mirror => say!("mirrored").to_owned(),
        Edit::InsideRadii(r) => say!("inside radii ≥ {}", within::fine(*r, system)),
        Edit::LeaveOut(key) => {
            let mut all = profile.contours().iter();
            match all.position(|c| contour_key(c) == *key) {
                Some(k) => say!("without contour {}", k + 1),
                None => say!("without a contour that is gone").to_owned(),
            }
        }
        Edit::Thickness(t) => say!("{} thick", within::short_length(*t, system)),
        Edit::Passes(n) => passes_words(*n),
    }
}

/// How many inside corners got a larger radius, and how many have no room for it; `None` where none was asked for.
pub fn radii(made: &MadeVariant) -> Option<String> {
    let corners = |n: usize| {
        if n == 1 {
            say!("1 inside corner").to_owned()
        } else {
            say!("{n} inside corners")
        }
    };
    match (made.rounded, made.no_room.len()) {
        (0, 0) => None,
        (n, 0) => Some(say!("{} rounded.", corners(n))),
        (0, n) => Some(say!(
            "{} with no room for the radius: as drawn.",
            corners(n)
        )),
        (n, m) => Some(say!(
            "{} rounded; {m} with no room for the radius stay as drawn.",
            corners(n)
        )),
    }
}

/// "thickness 40 mm → 60 mm".
pub fn phrase(decided: &Otherwise, system: System) -> String {
    let thickness = |t| within::short_length(t, system);
    let (what, before, after) = match decided {
        Otherwise::Wire(a, b) => (say!("wire"), wire(a, system), wire(b, system)),
        Otherwise::Thickness(a, b) => (say!("thickness"), thickness(*a), thickness(*b)),
        Otherwise::Material(a, b) => (say!("material"), a.clone(), b.clone()),
        Otherwise::Passes(a, b) => (say!("passes"), passes_words(*a), passes_words(*b)),
        Otherwise::Flushing(a, b) => (say!("flushing"), a.words().to_owned(), b.words().to_owned()),
        Otherwise::Parts(a, b) => (say!("parts"), a.to_string(), b.to_string()),
        Otherwise::Kept(a, b) => (say!("kept"), kept(*a).to_owned(), kept(*b).to_owned()),
        Otherwise::Order => return say!("another order of cutting").to_owned(),
        Otherwise::Shop => return say!("other shop rates").to_owned(),
        Otherwise::Contours => return say!("single contours with choices of their own").to_owned(),
    };
    format!("{what} {before} → {after}")
}

fn wire(c: &Candidate, system: System) -> String {
    let run = ways::of_running(c.run, system);
    let gap = if run.is_empty() { "" } else { ", " };
    let diameter = within::diameter(c.diameter, system);
    format!("{} Ø {diameter}{gap}{run}", said(&c.wire))
}

fn kept(keep: Keep) -> &'static str {
    match keep {
        Keep::Inside => say!("the inside"),
        Keep::Outside => say!("the outside"),
    }
}
