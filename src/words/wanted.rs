//! The plan that is wanted, as sentences: the best, why, and the two next.

use super::obstacles::NOT_ON_HAND;
use super::{Style, ways};
use crate::estimate::{Aim, Answer, TriedPlan, Wish};
use crate::job::hours::WEEK;
use crate::job::{WeekTime, passes_words};
use crate::language::said;
use crate::reason::Unit;
use crate::units::Length;

/// "Mon 16:40", or "Mon 16:40 of the second week".
pub fn moment(minutes: f64) -> String {
    let at = WeekTime::after_monday(minutes);
    match (minutes / WEEK).floor() {
        w if w < 1.0 => at.to_string(),
        w => say!("{at} of week {:.0}", w + 1.0),
    }
}

/// "Ra ≤ 0.8 µm and ± 0.01 mm, done by Tue 8:00"; "nothing in particular" where nothing is asked for.
pub fn wish(wish: &Wish, style: Style) -> String {
    let mut asked = Vec::new();
    if let Some(ra) = wish.finish.roughness_um {
        asked.push(say!("Ra ≤ {}", style.quantity(ra, Unit::Um)));
    }
    if let Some(t) = wish.finish.tolerance_mm {
        asked.push(format!("± {}", style.typed_length(Length::from_mm(t))));
    }
    let mut text = asked.join(say!(" and "));
    if let Some(by) = wish.by {
        let gap = if text.is_empty() { "" } else { ", " };
        text += &say!("{gap}done by {by}");
    }
    if text.is_empty() {
        say!("nothing in particular").clone_into(&mut text);
    }
    text
}

/// "gamma-phase annealed brass Ø 0.25 mm, rough and three skims, each contour in turn, slugs out after the skims".
pub fn way(plan: &TriedPlan, style: Style) -> String {
    let w = &plan.way;
    let on_hand = if plan.on_hand {
        String::new()
    } else {
        format!(" ({})", said(NOT_ON_HAND))
    };
    format!(
        "{}{on_hand}, {}, {}, {}",
        style.spoken_candidate(&w.candidate),
        passes_words(w.passes),
        ways::order(w.order),
        ways::cut_off(w.cut_off)
    )
}

/// What a plan comes to: "395.20 a part, 4 h 15 min, begun Mon 8:00, done Mon 16:40".
pub fn comes_to(plan: &TriedPlan, style: Style) -> String {
    let mut text = say!(
        "{} a part, {}",
        style.money(plan.cost),
        style.time(plan.minutes)
    );
    if let Some(done) = plan.done {
        text += &say!(", begun {}, done {}", plan.way.begin, moment(done));
    }
    text
}

/// The answer: the best plan, or why there is none; then its reasons and the two next best, a line each.
pub fn sentences(answer: &Answer, asked: &Wish, style: Style) -> Vec<String> {
    let Some(best) = answer.best.and_then(|k| answer.plans.get(k)) else {
        return vec![none(answer, asked, style)];
    };
    let aim = match asked.aim {
        Aim::Cheapest => say!("Cheapest"),
        Aim::Soonest => say!("Soonest"),
    };
    let asks = Wish {
        aim: Aim::default(),
        ..*asked
    } != Wish::default();
    let with = if asks {
        say!(" with {}", wish(asked, style))
    } else {
        String::new()
    };
    let mut out = vec![format!(
        "{aim}{with}: {}. {}.",
        way(best, style),
        comes_to(best, style)
    )];
    let fine = answer.plans.iter().filter(|p| p.is_fine).count();
    let meeting = answer.plans.iter().filter(|p| p.meets()).count();
    let all = answer.plans.len();
    if let Some(passes) = answer.passes_needed.filter(|p| *p > 1) {
        out.push(say!(
            "Fewer passes than {} are not usually enough for that finish and tolerance with any of these wires.",
            passes_words(passes)
        ));
    }
    if !asks {
        out.push(say!(
            "{all} plans were tried, and nothing is asked of their finish, tolerance or end."
        ));
    } else if answer.deadline.is_some() {
        out.push(say!(
            "Of {all} plans {fine} are fine enough, and {meeting} of them are done in time."
        ));
    } else {
        out.push(say!("Of {all} plans {fine} are fine enough."));
    }
    if !best.makes_radii {
        out.push(say!("It leaves inside radii larger than drawn, as every plan that is fine enough and in time does.").to_owned());
    }
    for (k, plan) in answer
        .next
        .iter()
        .filter_map(|k| answer.plans.get(*k))
        .enumerate()
    {
        let dearer = (plan.cost - best.cost) / best.cost;
        let dearer = if dearer.is_finite() {
            format!(", {}", style.difference(dearer))
        } else {
            String::new()
        };
        let head = if k == 0 { say!("Next") } else { say!("Then") };
        out.push(format!(
            "{head}: {}. {}{dearer}.",
            way(plan, style),
            comes_to(plan, style)
        ));
    }
    out
}

fn none(answer: &Answer, asked: &Wish, style: Style) -> String {
    if answer.plans.is_empty() {
        return say!("None of these wires can cut it, so there is no plan.").to_owned();
    }
    let fine = answer.plans.iter().filter(|p| p.is_fine);
    let earliest = fine.min_by(|a, b| {
        let done = |p: &TriedPlan| p.done.unwrap_or(f64::INFINITY);
        done(a).total_cmp(&done(b))
    });
    match earliest {
        None => say!(
            "No number of passes is usually enough for {} with these wires.",
            wish(&Wish { by: None, ..*asked }, style)
        ),
        Some(plan) => match plan.done {
            Some(done) => say!(
                "No plan is {}. The earliest is done {}: {}.",
                wish(asked, style),
                moment(done),
                way(plan, style)
            ),
            None => say!("No plan is {}.", wish(asked, style)),
        },
    }
}
