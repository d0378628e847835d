//! What was decided otherwise between two jobs, what differs between two drawings of a part, and what a quick variant
//! has otherwise: one phrase each.

use super::{Style, System, figures, ways, within};
use crate::estimate::variants::Otherwise;
use crate::estimate::{Difference, Figures};
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

/// "4 contours the same, 1 changed, 1 added"; open curves only where one of them differs.
pub fn counted(r: &Revision) -> String {
    let of = |open: bool, kind: &str| {
        let all = r.contours.iter();
        all.filter(|c| c.open == open && c.kind.word() == kind)
            .count()
    };
    let words = [
        say!("same"),
        say!("changed"),
        say!("moved"),
        say!("added"),
        say!("removed"),
    ];
    let mut parts: Vec<String> = Vec::new();
    for word in words {
        let n = of(false, word);
        if n == 0 {
            continue;
        }
        let the = if word == words[0] {
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
        parts.push(say!("no contour in either").to_owned());
    }
    for word in &words[1..] {
        match of(true, word) {
            0 => {}
            1 => parts.push(say!("1 open curve {word}")),
            n => parts.push(say!("{n} open curves {word}")),
        }
    }
    parts.join(", ")
}

/// "contour 3 moved by 0.4 mm"; contours and open curves have the numbers of the list, a removed one that of the drawing
/// before.
pub fn revised(c: &Revised, system: System) -> String {
    let Some(k) = c.after.or(c.before) else {
        return c.kind.word().to_owned();
    };
    let which = if c.open {
        say!("open curve {}", k + 1)
    } else {
        say!("contour {}", k + 1)
    };
    match c.kind {
        RevisedKind::Moved(way) => say!("{which} moved by {}", within::fine(way, system)),
        kind => format!("{which} {}", kind.word()),
    }
}

/// "5 added" of contours, "5 open curves added".
pub fn several(n: usize, c: &Revised) -> String {
    let word = c.kind.word();
    if c.open {
        say!("{n} open curves {word}")
    } else {
        format!("{n} {word}")
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

/// Head of the names in a table of variants.
pub const HEAD: &str = key!("variant");

/// Heads of the other columns: the time, and what is held against the drawing as it is.
pub fn heads() -> [String; 5] {
    let mut all = figures::compared().map(|(e, _)| e.difference_head());
    let mut next = || all.next().unwrap_or_default();
    [
        figures::TIME.called().to_owned(),
        next(),
        next(),
        next(),
        next(),
    ]
}

/// The cells under [`heads`]: of the drawing as it is only the time, of a variant what it differs by, too.
pub fn row(style: Style, figures: Option<&Figures>, against: Option<&Difference>) -> [String; 5] {
    let mut all = figures::compared().map(|(_, get)| {
        against.map_or_else(String::new, |d| style.signed_difference(get(d).share))
    });
    let mut next = || all.next().unwrap_or_default();
    let time = figures.map_or_else(|| "–".to_owned(), |f| figures::TIME.digits(style, f));
    [time, next(), next(), next(), next()]
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
