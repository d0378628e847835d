//! Why the wire takes so long along the path of a pass, as if it ran straight.

use super::{Explaining, product, sum};
use crate::estimate::one_wire::conditions;
use crate::plan::StepKind;
use crate::process::PassNumber;
use crate::process::passes::explain_feed;
use crate::reason::Wording;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;

impl Explaining<'_> {
    /// Plans under which a pass is run, in order, with what tells them apart where there are several.
    pub(super) fn plans_of(&self, p: PassNumber) -> Vec<(usize, Wording)> {
        let mut found: Vec<usize> = self
            .figures
            .steps
            .iter()
            .filter(|s| s.pass == Some(p))
            .map(|s| s.plan)
            .collect();
        found.sort_unstable();
        found.dedup();
        let alone = found.len() < 2;
        let words = |k: usize| {
            let plan = &self.figures.plans[k];
            let taper = if plan.taper_degrees == 0.0 {
                String::new()
            } else {
                say!(", {}° taper", crate::reason::short(plan.taper_degrees))
            };
            Wording::with_lengths(
                say!(
                    " at {}, {}, {}{taper}",
                    Wording::LENGTH,
                    plan.flushing.words(),
                    crate::job::passes_words(plan.passes.len()),
                ),
                [plan.thickness],
            )
        };
        found
            .into_iter()
            .map(|k| (k, if alone { Wording::default() } else { words(k) }))
            .collect()
    }

    /// A pass as if it ran straight, with lead-in, tab and overlap.
    pub(super) fn straight(&self, p: PassNumber) -> Option<Figure> {
        self.figures.passes.get(p.place())?;
        let name = p.to_string();
        let mut parts = self
            .plans_of(p)
            .into_iter()
            .map(|(k, words)| {
                let mut f = self.straight_under(p, k)?;
                f.name = words.after(&name);
                Some(f)
            })
            .collect::<Option<Vec<Figure>>>()?;
        if parts.len() == 1 {
            return Some(parts.remove(0));
        }
        let mut f = sum(say!("pass"), Unit::Minutes, parts, "");
        f.name = name.into();
        Some(f)
    }

    /// The same for the contours of one plan.
    pub(super) fn straight_under(&self, p: PassNumber, plan: usize) -> Option<Figure> {
        let of = |kinds: &[StepKind]| -> (f64, f64) {
            let steps = self.figures.steps.iter();
            let own =
                steps.filter(|s| s.pass == Some(p) && s.plan == plan && kinds.contains(&s.kind));
            own.fold((0.0, 0.0), |(n, l), s| (n + 1.0, l + s.length.mm()))
        };
        let overlap = self.library.overheads.overlap.value;
        let (overlaps, _) = of(&[StepKind::Tab]);
        let (_, path) = of(&[StepKind::Pass, StepKind::Tab]);
        let run = self.figures.plans.get(plan)?.passes.get(p.place())?;
        let feed = self.feed(plan, p)?;
        let measured =
            |name: &'static str, mm: f64| Figure::given(name, mm, Unit::Mm, Standing::Measured);
        let mut lengths = vec![
            Figure::value(
                say!("wire paths"),
                path - overlaps * overlap,
                Unit::Mm,
                Standing::Measured,
                Wording::with_lengths(
                    say!("wire centre {} beside the drawn contour", Wording::LENGTH),
                    [run.offset],
                ),
            ),
            product(
                say!("overlaps"),
                Unit::Mm,
                vec![
                    (
                        Sign::Plus,
                        Figure::given(say!("contours"), overlaps, Unit::Plain, Standing::Measured),
                    ),
                    (
                        Sign::Times,
                        Figure::library(say!("overlap"), &self.library.overheads.overlap, Unit::Mm),
                    ),
                ],
                "",
            ),
        ];
        for (kind, name) in [
            (StepKind::Erode, say!("rings that burn the waste out")),
            (StepKind::Across, say!("ways across the waste")),
        ] {
            let (count, length) = of(&[kind]);
            if count > 0.0 {
                lengths.push(measured(name, length));
            }
        }
        let length = sum(say!("path"), Unit::Mm, lengths, "");
        let terms = vec![(Sign::Plus, length), (Sign::Over, feed.clone())];
        let path = product(say!("along the path"), Unit::Minutes, terms, "");
        let (_, lead) = of(&[StepKind::LeadIn]);
        if lead <= 0.0 {
            return Some(path);
        }
        let share = self.lead_in_share();
        let terms = vec![
            (Sign::Plus, measured(say!("lead-ins"), lead)),
            (Sign::Over, feed),
            (Sign::Over, share),
        ];
        let lead = product(say!("lead-ins"), Unit::Minutes, terms, "");
        Some(sum(say!("pass"), Unit::Minutes, vec![path, lead], ""))
    }

    /// Feed of pass `p` under a plan.
    pub(super) fn feed(&self, plan: usize, p: PassNumber) -> Option<Figure> {
        let own = self.figures.plans.get(plan)?;
        let base = conditions(self.job, &self.estimate.candidate, self.library)?;
        let c = own.conditions(&base);
        let pass = own.passes.get(p.place())?;
        Some(explain_feed(
            p.place(),
            own.taper_degrees,
            &c,
            self.library,
            pass,
        ))
    }
}
