//! Why wire is what it is: metres, kilograms, spools.

use super::{Explaining, product, sum};
use crate::estimate::one_wire::conditions;
use crate::process::finish::explain_finish;
use crate::process::passes::{explain_run_off, passes};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;

impl Explaining<'_> {
    pub(super) fn run_off(&self, k: usize) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let plan = passes(self.job.passes, &c, self.library);
        Some(explain_run_off(k, &c, self.library, plan.get(k)?))
    }

    pub(super) fn finish(&self) -> Option<Figure> {
        let wire = self.library.wire(&self.estimate.candidate.wire)?;
        explain_finish(self.job.passes.checked_sub(1)?, wire, self.library)
    }

    pub(super) fn wire(&self) -> Option<Figure> {
        let mut parts: Vec<Figure> = Vec::new();
        for (k, run) in self.figures.passes.iter().enumerate() {
            let time = Figure::given(
                if k == 0 {
                    say!("minutes of the rough")
                } else {
                    say!("minutes of the skim")
                },
                run.minutes.min_value(),
                Unit::Minutes,
                Standing::Computed,
            );
            let row = &self.library.passes[k];
            let run_off = self.run_off(k)?;
            let mut f = product(
                say!("wire"),
                Unit::WireM,
                vec![(Sign::Plus, time), (Sign::Times, run_off)],
                "",
            );
            f.name = row.name.clone().into();
            parts.push(f);
        }
        let allowed = self.figures.allowance().map_or(0.0, |s| s.wire.m());
        let waste = self.figures.wasted_wire().m() - allowed;
        let o = &self.library.overheads;
        parts.push(Figure::value(
            say!("wasted at threadings"),
            waste,
            Unit::WireM,
            o.threading_waste.standing,
            say!("{} m each", o.threading_waste.value),
        ));
        if allowed > 0.0 {
            parts.push(self.wire_allowance());
        }
        let w = self.figures.wire;
        let all = sum(
            say!("wire"),
            Unit::WireM,
            parts,
            say!("wire runs only while it cuts"),
        );
        Some(all.with_range(w.low.m(), w.high.m()))
    }

    pub(super) fn wire_mass(&self) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let section = std::f64::consts::PI / 4.0 * c.diameter.mm().powi(2);
        let w = self.figures.wire_mass_ranged();
        let mass = Figure::formula(
            say!("wire"),
            self.figures.wire_mass.kg(),
            Unit::Kg,
            vec![
                (Sign::Plus, self.wire()?),
                (
                    Sign::Times,
                    Figure::value(
                        say!("cross-section"),
                        section,
                        Unit::Mm2,
                        Standing::Computed,
                        "π/4·d²",
                    ),
                ),
                (
                    Sign::Times,
                    Figure::library(say!("density"), &c.wire.density, Unit::Density),
                ),
                (
                    Sign::Over,
                    Figure::value(say!("mm² in m²"), 1e6, Unit::Plain, Standing::Computed, ""),
                ),
            ],
            "",
        );
        Some(mass.with_range(w.low.kg(), w.high.kg()))
    }

    pub(super) fn spools(&self) -> Option<Figure> {
        let spool = self
            .library
            .spools
            .iter()
            .find(|s| s.name == self.job.shop.spool)
            .or(self.library.spools.first())?;
        let mut net = Figure::library(say!("net mass of a spool"), &spool.net_mass, Unit::Kg);
        net.name = say!("net mass of {}", spool.name).into();
        let w = self.figures.spools_ranged();
        let spools = product(
            say!("spools for the lot"),
            Unit::Plain,
            vec![
                (Sign::Plus, self.wire_mass()?),
                (
                    Sign::Times,
                    Self::yours(say!("parts"), f64::from(self.job.quantity), Unit::Plain),
                ),
                (Sign::Over, net),
            ],
            "",
        );
        Some(spools.with_range(w.low, w.high))
    }
}
