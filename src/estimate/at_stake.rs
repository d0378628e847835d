//! How much of a price stands or falls with a question that is still open, and whether it may be quoted.

use super::{Comparison, Figures};
use crate::drawing::{Drawing, ProposalKind, Verdict};
use crate::job::Job;
use crate::plan::{Step, StepKind};
use crate::units::Money;

/// What one kind of open question costs while its curves count.
#[derive(Debug, Clone, PartialEq)]
pub struct AtStake {
    /// What the curves seem to be.
    pub kind: ProposalKind,
    /// The contours that are cut of them, ascending: indices into the profile's contours.
    pub contours: Vec<usize>,
    /// Their share of the cost that [`Figures::cost`] gives.
    pub cost: Money,
}

/// The money at stake, by kind of open question; kinds of which nothing is cut are left out.
///
/// The cost of contours is the share that their own steps have in it: of machine and consumables by their
/// minutes, of labour by their attended minutes, of wire by its length, of start holes by how many are
/// threaded, of dressing by its minutes, with the mark-up on all that; expected wire breaks go with the
/// minutes of roughing, allowances with all the rest. Set-up, loading, programming,
/// inspection and the work piece are spent either way and count as none of it. Without the contours the
/// others may be cut otherwise (another order, another side), so that the price left is not exactly the
/// difference.
pub fn at_stake(drawing: &Drawing, job: &Job, figures: &Figures) -> Vec<AtStake> {
    let profile = &drawing.profile;
    let mut all = Vec::new();
    for kind in ProposalKind::ALL {
        let open = drawing.proposals.iter();
        let open: Vec<_> = open
            .filter(|p| p.kind == kind && p.answer.is_none())
            .collect();
        if open.is_empty() {
            continue;
        }
        let asked = |curves: &[usize]| {
            let held = |c: &usize| open.iter().any(|p| p.curves.binary_search(c).is_ok());
            !curves.is_empty() && curves.iter().all(held)
        };
        let contours: Vec<bool> = profile
            .contours()
            .iter()
            .map(|c| job.cuts(c) && asked(&c.curves))
            .collect();
        let chains: Vec<bool> = profile
            .open()
            .iter()
            .map(|c| job.cuts_on_line(c) && asked(&c.curves))
            .collect();
        let own = |s: &Step| {
            let is_in = |list: &[bool], k: Option<usize>| k.and_then(|k| list.get(k).copied());
            is_in(&contours, s.contour) == Some(true) || is_in(&chains, s.open) == Some(true)
        };
        let starts = |k: usize| contours.get(k).copied().unwrap_or(false);
        let cost = share_of_cost(figures, &own, &starts);
        if cost != Money::ZERO {
            let numbered = contours.iter().enumerate();
            all.push(AtStake {
                kind,
                contours: numbered.filter(|c| *c.1).map(|c| c.0).collect(),
                cost,
            });
        }
    }
    all
}

/// What some of the steps, and the start holes of some contours, have in the cost.
pub(super) fn share_of_cost(
    f: &Figures,
    own: &dyn Fn(&Step) -> bool,
    starts: &dyn Fn(usize) -> bool,
) -> Money {
    let minutes = |s: &Step| s.minutes.min_value();
    let attended = |s: &Step| if s.attended { minutes(s) } else { 0.0 };
    let ratio = |mine: f64, whole: f64| if whole > 0.0 { mine / whole } else { 0.0 };
    let roughing = |only: bool| -> f64 {
        let rough = f.steps.iter().filter(|s| s.is_rough());
        rough.filter(|s| !only || own(s)).map(minutes).sum()
    };
    let of_breaks = ratio(roughing(true), roughing(false));
    let weight = |s: &Step| match s.kind {
        StepKind::Breaks => of_breaks,
        _ => f64::from(u8::from(own(s))),
    };
    let part = |steps: &[Step], of: &dyn Fn(&Step) -> f64| {
        let rest = || steps.iter().filter(|s| s.kind != StepKind::Allowance);
        let mine = rest().map(|s| weight(s) * of(s)).sum();
        ratio(mine, rest().map(of).sum())
    };
    let threaded = f.starts.iter().filter(|s| s.threaded);
    let (mut holes, mut own_holes) = (0_u32, 0_u32);
    for start in threaded {
        let copies = f.copies.of_contour(start.contour);
        holes += copies;
        own_holes += copies * u32::from(starts(start.contour));
    }
    let dressing: Vec<Step> = f
        .beside
        .iter()
        .filter(|s| s.kind == StepKind::Dressing)
        .copied()
        .collect();
    let c = &f.cost;
    let cost = (c.machine + c.consumables) * part(&f.steps, &minutes)
        + c.labour * part(&f.steps, &attended)
        + c.wire * part(&f.steps, &|s| s.wire.m())
        + c.holes * (f64::from(own_holes) / f64::from(holes.max(1)))
        + c.dressing * part(&dressing, &minutes);
    let whole = c.part.median.amount();
    let before_markup = whole - c.markup.amount();
    let lines = before_markup - c.allowance.amount();
    if lines == 0.0 {
        return cost;
    }
    cost * (whole / lines)
}

/// May a price be given? The drawing's verdict, and whether any wire can do it at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quotable {
    /// What the drawing alone says.
    Drawing(Verdict),
    /// None of the wires can cut it, however clean the drawing is.
    NoWire,
}

impl Quotable {
    /// A drawing that is not to be quoted stays so; until there are estimates the drawing alone counts.
    pub fn of(verdict: Verdict, comparison: Option<&Comparison>) -> Self {
        let none_can = |c: &Comparison| !c.estimates.iter().any(super::Estimate::is_possible);
        if verdict != Verdict::Refuse && comparison.is_some_and(none_can) {
            Self::NoWire
        } else {
            Self::Drawing(verdict)
        }
    }
    /// The fixed words written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Drawing(verdict) => verdict.word(),
            Self::NoWire => say!("no wire can"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Answer, Progress, ReadOptions, read};
    use crate::estimate::compare;
    use crate::library::Library;
    use crate::plan::PathCache;

    /// Two rings alike, 90 mm apart.
    fn rings() -> String {
        let circle = |x: f64, r: f64| format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n0\n40\n{r}\n");
        let all = [(0.0, 20.0), (0.0, 6.0), (90.0, 20.0), (90.0, 6.0)];
        let all = all.map(|(x, r)| circle(x, r)).concat();
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n\
             0\nSECTION\n2\nENTITIES\n{all}0\nENDSEC\n0\nEOF\n"
        )
    }

    fn opened(options: &ReadOptions) -> Drawing {
        read(rings().as_bytes(), options, &Progress::default()).expect("it reads")
    }

    fn figures(drawing: &Drawing, job: &Job) -> Figures {
        let all = compare(
            &drawing.profile,
            job,
            Library::built_in(),
            &PathCache::default(),
        );
        let first = all.estimates.into_iter().next();
        first.and_then(|e| e.figures).expect("the wire can")
    }

    fn answered(drawing: &Drawing, answer: Answer) -> Drawing {
        let key = drawing.proposals[0].key();
        opened(&ReadOptions {
            answers: [(key, answer)].into(),
            ..ReadOptions::default()
        })
    }

    #[test]
    fn with_a_machine_at_one_a_minute_the_money_is_the_minutes_of_the_steps() {
        let drawing = opened(&ReadOptions::default());
        let mut job = Job::starting(Library::built_in());
        let zero = Money::ZERO;
        job.shop.machine_rate = Money::from_amount(60.0);
        job.shop.labour_rate = zero;
        job.shop.wire_price = zero;
        job.shop.scrap_value = zero;
        job.shop.consumables = zero;
        let f = figures(&drawing, &job);
        let found = at_stake(&drawing, &job, &f);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].kind, ProposalKind::SameAgain);
        assert_eq!(found[0].contours, [2, 3]);
        let second = |s: &&Step| s.contour.is_some_and(|c| c >= 2);
        let minutes = |s: &Step| s.minutes.min_value();
        let own: f64 = f.steps.iter().filter(second).map(minutes).sum();
        let allowed = f.allowance().map_or(0.0, minutes);
        let allowed = 1.0 + allowed / (f.minutes.median.min_value() - allowed);
        let whole = f.cost.part.median;
        let allowed = allowed * (whole / (whole - f.cost.allowance));
        let breaks = f.steps.iter().filter(|s| s.kind == StepKind::Breaks);
        // Both rings are roughed alike, so half of the expected breaks are of the second.
        let by_hand = (own + 0.5 * breaks.map(minutes).sum::<f64>()) * allowed;
        assert!((found[0].cost.amount() - by_hand).abs() < 1e-6 * by_hand);
    }

    #[test]
    fn left_out_the_price_falls_by_what_was_at_stake_but_for_moves_and_allowance() {
        let drawing = opened(&ReadOptions::default());
        let mut job = Job::starting(Library::built_in());
        job.shop.markup = 0.1;
        let both = figures(&drawing, &job);
        let stake = at_stake(&drawing, &job, &both)[0].cost.amount();
        let alone = figures(&answered(&drawing, Answer::LeaveOut), &job);
        let fell = both.cost.part.median.amount() - alone.cost.part.median.amount();
        let moves = both.steps.iter().filter(|s| s.kind == StepKind::Move);
        let moves: f64 = moves.map(|s| s.minutes.hours()).sum();
        let rates = job.shop.machine_rate + job.shop.labour_rate + job.shop.consumables;
        // And the allowance for a whole is not in proportion to it.
        let slack = 1.1 * moves * rates.amount() + 0.03 * fell;
        assert!((fell - stake).abs() <= slack, "{fell} {stake} {slack}");
    }

    #[test]
    fn what_is_answered_is_no_longer_at_stake() {
        let drawing = opened(&ReadOptions::default());
        let job = Job::starting(Library::built_in());
        for answer in [Answer::Cut, Answer::LeaveOut] {
            let d = answered(&drawing, answer);
            assert!(at_stake(&d, &job, &figures(&d, &job)).is_empty());
        }
    }

    #[test]
    fn a_clean_drawing_that_no_wire_can_cut_is_not_safe_to_quote() {
        let none = Comparison {
            estimates: Vec::new(),
            baseline: 0,
            differences: Vec::new(),
        };
        let safe = Verdict::SafeToQuote;
        assert_eq!(Quotable::of(safe, Some(&none)), Quotable::NoWire);
        assert_eq!(Quotable::of(safe, None), Quotable::Drawing(safe));
        let refuse = Verdict::Refuse;
        assert_eq!(Quotable::of(refuse, Some(&none)), Quotable::Drawing(refuse));
    }

    #[test]
    fn pieces_are_the_parts_that_are_cut() {
        let drawing = opened(&ReadOptions::default());
        let mut job = Job::starting(Library::built_in());
        assert_eq!(job.pieces(&drawing.profile, &drawing.parts), 2);
        job.take_part(&drawing.profile, Some(&drawing.parts[1]));
        assert_eq!(job.pieces(&drawing.profile, &drawing.parts), 1);
        job.take_part(&drawing.profile, None);
        job.keep = crate::profile::Keep::Outside;
        assert_eq!(job.pieces(&drawing.profile, &drawing.parts), 1);
    }
}
