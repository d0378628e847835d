//! Why a figure of an estimate is what it is.
//!
//! Built when somebody asks, from the same steps and conditions that made the figure.

use super::one_wire::{conditions, holes_by_thickness};
use super::{Estimate, Figures};
use crate::job::Job;
use crate::plan::{Share, Step, StepKind};
use crate::process::Library;
use crate::process::corner_slowdown::window;
use crate::process::cutting_rate::taper_factor;
use crate::process::passes::{explain_feed, passes};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::Length;

/// A figure that can be asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Question {
    /// Time a part.
    Minutes,
    /// One share of it.
    Share(Share),
    /// Minutes of a pass, 1 the rough.
    Pass(usize),
    /// A step by its index.
    Step(usize),
    /// Metres of wire.
    Wire,
    /// Kilograms of wire.
    WireMass,
    /// Spools for the lot.
    Spools,
    /// Cost a part.
    Cost,
    /// Machine cost.
    Machine,
    /// Labour cost.
    Labour,
    /// Start holes.
    Holes,
    /// Wire less scrap.
    WireCost,
    /// Filters, resin, contacts, guides.
    Consumables,
    /// Set-up.
    Setup,
    /// Parts in a week.
    PartsPerWeek,
    /// Time with somebody standing there.
    Attended,
}

/// The answer; `None` where the candidate cannot do the job or the question does not fit it.
pub fn explain(
    question: Question,
    job: &Job,
    library: &Library,
    estimate: &Estimate,
) -> Option<Figure> {
    let asked = Asked {
        job,
        library,
        estimate,
        figures: estimate.figures.as_ref()?,
    };
    match question {
        Question::Minutes => Some(asked.minutes()),
        Question::Share(s) => Some(asked.share(s)),
        Question::Pass(p) => asked.pass(p),
        Question::Step(k) => asked.figures.steps.get(k).and_then(|s| asked.step(s)),
        Question::Wire => Some(asked.wire()),
        Question::WireMass => asked.wire_mass(),
        Question::Spools => asked.spools(),
        Question::Cost => asked.cost(),
        Question::Machine => Some(asked.machine()),
        Question::Labour => Some(asked.labour()),
        Question::Holes => asked.holes(),
        Question::WireCost => asked.wire_cost(),
        Question::Consumables => Some(asked.consumables()),
        Question::Setup => Some(asked.setup()),
        Question::PartsPerWeek => Some(asked.parts_per_week()),
        Question::Attended => Some(asked.attended()),
    }
}

struct Asked<'a> {
    job: &'a Job,
    library: &'a Library,
    estimate: &'a Estimate,
    figures: &'a Figures,
}

fn sum(name: &'static str, unit: Unit, parts: Vec<Figure>, note: &'static str) -> Figure {
    let value = parts.iter().map(|p| p.value).sum();
    let terms = parts.into_iter().map(|p| (Sign::Plus, p)).collect();
    Figure::formula(name, value, unit, terms, note)
}

fn product(
    name: &'static str,
    unit: Unit,
    terms: Vec<(Sign, Figure)>,
    note: &'static str,
) -> Figure {
    let mut f = Figure::formula(name, 0.0, unit, terms, note);
    f.value = f.recomputed().unwrap_or(0.0);
    f
}

impl Asked<'_> {
    fn yours(name: &'static str, value: f64, unit: Unit) -> Figure {
        Figure::given(name, value, unit, Standing::Yours)
    }

    fn minutes(&self) -> Figure {
        let parts = Share::ALL
            .iter()
            .map(|&s| self.share(s))
            .filter(|f| f.value > 0.0)
            .collect();
        let m = self.figures.minutes;
        sum(
            "time a part",
            Unit::Minutes,
            parts,
            "each line is the sum of its steps",
        )
        .with_range(m.low.min_value(), m.high.min_value())
    }

    fn share(&self, share: Share) -> Figure {
        let f = self.figures;
        match share {
            Share::Rough => self
                .straight(1)
                .unwrap_or_else(|| sum("rough", Unit::Minutes, vec![], "")),
            Share::Skims => {
                let skims = (2..=f.passes.len())
                    .filter_map(|p| self.straight(p))
                    .collect();
                sum("skims", Unit::Minutes, skims, "")
            }
            Share::Corners => self.corners(),
            Share::Threading => self.counted(
                StepKind::Threading,
                "threading",
                "start holes threaded",
                Figure::library(
                    "automatic threading",
                    &self.library.overheads.automatic_threading,
                    Unit::Minutes,
                ),
            ),
            Share::SlugStops => self.stops(),
            Share::Moves => {
                let length: f64 = self.steps(StepKind::Move).map(|s| s.length.mm()).sum();
                product(
                    "moves",
                    Unit::Minutes,
                    vec![
                        (
                            Sign::Plus,
                            Figure::given(
                                "way between contours",
                                length,
                                Unit::Mm,
                                Standing::Measured,
                            ),
                        ),
                        (
                            Sign::Over,
                            Figure::library("rapid", &self.library.overheads.rapid, Unit::Feed),
                        ),
                    ],
                    "",
                )
            }
            Share::Breaks => self.breaks(),
        }
    }

    fn steps(&self, kind: StepKind) -> impl Iterator<Item = &Step> {
        self.figures.steps.iter().filter(move |s| s.kind == kind)
    }

    fn counted(
        &self,
        kind: StepKind,
        name: &'static str,
        what: &'static str,
        each: Figure,
    ) -> Figure {
        let count = self.steps(kind).count() as f64;
        let count = Figure::given(what, count, Unit::Plain, Standing::Measured);
        product(
            name,
            Unit::Minutes,
            vec![(Sign::Plus, count), (Sign::Times, each)],
            "",
        )
    }

    fn stops(&self) -> Figure {
        let each = || {
            Figure::library(
                "taking a piece out, attended",
                &self.library.overheads.slug_removal,
                Unit::Minutes,
            )
        };
        let parts = [
            (StepKind::SlugStop, "slugs taken out", "slugs"),
            (StepKind::PartStop, "the part coming free", "outlines"),
        ]
        .into_iter()
        .filter(|(kind, ..)| self.steps(*kind).next().is_some())
        .map(|(kind, name, what)| self.counted(kind, name, what, each()))
        .collect();
        sum("stops", Unit::Minutes, parts, "somebody stands there")
    }

    fn breaks(&self) -> Figure {
        let o = &self.library.overheads;
        let minutes: f64 = self
            .steps(StepKind::Breaks)
            .map(|s| s.minutes.min_value())
            .sum();
        let roughing: f64 = self
            .figures
            .steps
            .iter()
            .filter(|s| s.pass == Some(1))
            .map(|s| s.minutes.hours())
            .sum();
        Figure::formula(
            "expected wire breaks",
            minutes,
            Unit::Minutes,
            vec![
                (
                    Sign::Plus,
                    Figure::given(
                        "hours of roughing",
                        roughing,
                        Unit::Hours,
                        Standing::Computed,
                    ),
                ),
                (
                    Sign::Times,
                    Figure::library("breaks an hour", &o.breaks_in_rough, Unit::PerHour),
                ),
                (
                    Sign::Times,
                    Figure::library("re-threading", &o.rethreading_after_break, Unit::Minutes),
                ),
            ],
            "an expectation over many jobs, not a forecast of one",
        )
    }

    /// Plans under which pass `p` is run, in order, with what tells them apart where there are several.
    fn plans_of(&self, p: usize) -> Vec<(usize, String)> {
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
                format!(", {}° taper", crate::reason::short(plan.taper_degrees))
            };
            format!(
                " at {} mm, {}, {}{taper}",
                crate::reason::short(plan.thickness.mm()),
                plan.flushing.words(),
                crate::job::passes_words(plan.passes.len()),
            )
        };
        found
            .into_iter()
            .map(|k| (k, if alone { String::new() } else { words(k) }))
            .collect()
    }

    /// Pass `p` as if it ran straight, with lead-in, tab and overlap.
    fn straight(&self, p: usize) -> Option<Figure> {
        self.figures.passes.get(p.checked_sub(1)?)?;
        let name = if p == 1 {
            "rough".to_owned()
        } else {
            format!("skim {}", p - 1)
        };
        let mut parts = self
            .plans_of(p)
            .into_iter()
            .map(|(k, words)| {
                let mut f = self.straight_under(p, k)?;
                f.name = format!("{name}{words}").into();
                Some(f)
            })
            .collect::<Option<Vec<Figure>>>()?;
        if parts.len() == 1 {
            return Some(parts.remove(0));
        }
        let mut f = sum("pass", Unit::Minutes, parts, "");
        f.name = name.into();
        Some(f)
    }

    /// The same for the contours of one plan.
    fn straight_under(&self, p: usize, plan: usize) -> Option<Figure> {
        let of = |kinds: &[StepKind]| -> (f64, f64) {
            let steps = self.figures.steps.iter();
            let own =
                steps.filter(|s| s.pass == Some(p) && s.plan == plan && kinds.contains(&s.kind));
            own.fold((0.0, 0.0), |(n, l), s| (n + 1.0, l + s.length.mm()))
        };
        let overlap = self.library.overheads.overlap.value;
        let (overlaps, _) = of(&[StepKind::Tab]);
        let (_, path) = of(&[StepKind::Pass, StepKind::Tab]);
        let run = self.figures.plans.get(plan)?.passes.get(p - 1)?;
        let feed = self.feed(plan, p)?;
        let measured =
            |name: &'static str, mm: f64| Figure::given(name, mm, Unit::Mm, Standing::Measured);
        let mut lengths = vec![
            Figure::value(
                "wire paths",
                path - overlaps * overlap,
                Unit::Mm,
                Standing::Measured,
                format!(
                    "wire centre {} mm beside the drawn contour",
                    crate::reason::short(run.offset.mm())
                ),
            ),
            product(
                "overlaps",
                Unit::Mm,
                vec![
                    (
                        Sign::Plus,
                        Figure::given("contours", overlaps, Unit::Plain, Standing::Measured),
                    ),
                    (
                        Sign::Times,
                        Figure::library("overlap", &self.library.overheads.overlap, Unit::Mm),
                    ),
                ],
                "",
            ),
        ];
        for (kind, name) in [
            (StepKind::Erode, "rings that erode waste away"),
            (StepKind::Across, "ways across the waste"),
        ] {
            let (count, length) = of(&[kind]);
            if count > 0.0 {
                lengths.push(measured(name, length));
            }
        }
        let length = sum("path", Unit::Mm, lengths, "");
        let terms = vec![(Sign::Plus, length), (Sign::Over, feed.clone())];
        let path = product("along the path", Unit::Minutes, terms, "");
        let (_, lead) = of(&[StepKind::LeadIn]);
        if lead <= 0.0 {
            return Some(path);
        }
        let share = Figure::library(
            "share of the rough feed",
            &self.library.overheads.lead_in_feed,
            Unit::Plain,
        );
        let terms = vec![
            (Sign::Plus, measured("lead-ins", lead)),
            (Sign::Over, feed),
            (Sign::Over, share),
        ];
        let lead = product("lead-ins", Unit::Minutes, terms, "");
        Some(sum("pass", Unit::Minutes, vec![path, lead], ""))
    }

    /// Feed of pass `p` under a plan.
    fn feed(&self, plan: usize, p: usize) -> Option<Figure> {
        let own = self.figures.plans.get(plan)?;
        let base = conditions(self.job, &self.estimate.candidate, self.library)?;
        let c = own.conditions(&base);
        let upright = passes(own.passes.len(), &c, self.library);
        let feed = explain_feed(p - 1, &c, self.library, upright.get(p - 1)?);
        if own.taper_degrees == 0.0 {
            return Some(feed);
        }
        let slower = Figure::value(
            "taper",
            taper_factor(own.taper_degrees),
            Unit::Plain,
            Standing::Judgement,
            "1 − 0.012 a degree, never below 0.4; the wire in the work is H/cos θ long",
        );
        let terms = vec![(Sign::Plus, feed), (Sign::Times, slower)];
        Some(product("feed with taper", Unit::Feed, terms, ""))
    }

    fn corners(&self) -> Figure {
        let parts = (1..=self.figures.passes.len())
            .flat_map(|p| self.plans_of(p).into_iter().map(move |(k, w)| (p, k, w)))
            .filter_map(|(p, k, words)| {
                let steps = self.figures.steps.iter();
                let minutes: f64 = steps
                    .filter(|s| s.pass == Some(p) && s.plan == k)
                    .map(|s| s.corner_minutes.min_value())
                    .sum();
                let plan = self.figures.plans.get(k)?;
                let run = plan.passes.get(p - 1)?;
                let feed = self.feed(k, p)?;
                let excess = Figure::value(
                    "length that corners and tight arcs seem to add",
                    minutes * run.feed.mm_per_min(),
                    Unit::Mm,
                    Standing::Judgement,
                    format!(
                        "sum of 1/r − 1 along the path, r = 1 − {}·(1 − cos θ)/2, θ the direction change within {} mm",
                        run.corner_slowdown,
                        crate::reason::short(window(plan.thickness).mm())
                    ),
                );
                let terms = vec![(Sign::Plus, excess), (Sign::Over, feed)];
                let mut f = product("corners", Unit::Minutes, terms, "");
                f.name = if p == 1 {
                    format!("in the rough{words}").into()
                } else {
                    format!("in skim {}{words}", p - 1).into()
                };
                Some(f)
            })
            .collect();
        sum(
            "corners",
            Unit::Minutes,
            parts,
            "tight corners slow the machine",
        )
    }

    fn pass(&self, p: usize) -> Option<Figure> {
        let run = self.figures.passes.get(p.checked_sub(1)?)?;
        let corners: f64 = self
            .figures
            .steps
            .iter()
            .filter(|s| s.pass == Some(p))
            .map(|s| s.corner_minutes.min_value())
            .sum();
        let parts = vec![
            self.straight(p)?,
            Figure::given("corners", corners, Unit::Minutes, Standing::Computed),
        ];
        let mut f = sum("pass", Unit::Minutes, parts, "");
        f.name = if p == 1 {
            "rough".into()
        } else {
            format!("skim {}", p - 1).into()
        };
        f.value = run.minutes.min_value();
        Some(f)
    }

    /// Why one step takes what it takes.
    pub(super) fn step(&self, s: &Step) -> Option<Figure> {
        let o = &self.library.overheads;
        let minutes = s.minutes.min_value();
        let by_feed = |feed: Figure| {
            let length = Figure::given("length", s.length.mm(), Unit::Mm, Standing::Measured);
            product(
                "straight",
                Unit::Minutes,
                vec![(Sign::Plus, length), (Sign::Over, feed)],
                "",
            )
        };
        let mut f = match s.kind {
            StepKind::Move => by_feed(Figure::library("rapid", &o.rapid, Unit::Feed)),
            StepKind::Threading => {
                Figure::library("automatic threading", &o.automatic_threading, Unit::Minutes)
            }
            StepKind::SlugStop | StepKind::PartStop => Figure::library(
                "taking a piece out, attended",
                &o.slug_removal,
                Unit::Minutes,
            ),
            StepKind::Breaks => self.breaks(),
            StepKind::LeadIn => {
                let share =
                    Figure::library("share of the rough feed", &o.lead_in_feed, Unit::Plain);
                let length = Figure::given("length", s.length.mm(), Unit::Mm, Standing::Measured);
                let terms = vec![
                    (Sign::Plus, length),
                    (Sign::Over, self.feed(s.plan, 1)?),
                    (Sign::Over, share),
                ];
                product("lead-in", Unit::Minutes, terms, "")
            }
            StepKind::Pass | StepKind::Tab | StepKind::Across | StepKind::Erode => {
                let straight = by_feed(self.feed(s.plan, s.pass?)?);
                if s.corner_minutes.min_value() > 0.0 {
                    let corners = Figure::given(
                        "corners",
                        s.corner_minutes.min_value(),
                        Unit::Minutes,
                        Standing::Computed,
                    );
                    sum("pass", Unit::Minutes, vec![straight, corners], "")
                } else {
                    straight
                }
            }
        };
        f.name = s.words().into();
        f.value = minutes;
        Some(f)
    }

    fn wire(&self) -> Figure {
        let mut parts: Vec<Figure> = Vec::new();
        for (k, run) in self.figures.passes.iter().enumerate() {
            let time = Figure::given(
                if k == 0 {
                    "minutes of the rough"
                } else {
                    "minutes of the skim"
                },
                run.minutes.min_value(),
                Unit::Minutes,
                Standing::Computed,
            );
            let row = &self.library.passes[k];
            let mut run_off = Figure::library("run-off", &row.run_off, Unit::RunOff);
            run_off.value = run.run_off.m_per_min();
            let mut f = product(
                "wire",
                Unit::WireM,
                vec![(Sign::Plus, time), (Sign::Times, run_off)],
                "",
            );
            f.name = row.name.clone().into();
            parts.push(f);
        }
        let waste: f64 = self
            .figures
            .steps
            .iter()
            .filter(|s| matches!(s.kind, StepKind::Threading | StepKind::Breaks))
            .map(|s| s.wire.m())
            .sum();
        let o = &self.library.overheads;
        parts.push(Figure::value(
            "wasted at threadings",
            waste,
            Unit::WireM,
            o.threading_waste.standing,
            format!("{} m each", o.threading_waste.value),
        ));
        let w = self.figures.wire;
        sum(
            "wire a part",
            Unit::WireM,
            parts,
            "wire runs only while it cuts",
        )
        .with_range(w.low.m(), w.high.m())
    }

    fn wire_mass(&self) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let section = std::f64::consts::PI / 4.0 * c.diameter.mm().powi(2);
        Some(Figure::formula(
            "wire a part",
            self.figures.wire_mass.kg(),
            Unit::Kg,
            vec![
                (Sign::Plus, self.wire()),
                (
                    Sign::Times,
                    Figure::value(
                        "cross-section",
                        section,
                        Unit::Mm2,
                        Standing::Computed,
                        "π/4·d²",
                    ),
                ),
                (
                    Sign::Times,
                    Figure::library("density", &c.wire.density, Unit::Density),
                ),
                (
                    Sign::Over,
                    Figure::value("mm² in m²", 1e6, Unit::Plain, Standing::Computed, ""),
                ),
            ],
            "",
        ))
    }

    fn spools(&self) -> Option<Figure> {
        let spool = self
            .library
            .spools
            .iter()
            .find(|s| s.name == self.job.shop.spool)
            .or(self.library.spools.first())?;
        let mut net = Figure::library("net mass of a spool", &spool.net_mass, Unit::Kg);
        net.name = format!("net mass of {}", spool.name).into();
        Some(product(
            "spools for the lot",
            Unit::Plain,
            vec![
                (Sign::Plus, self.wire_mass()?),
                (
                    Sign::Times,
                    Self::yours("parts", f64::from(self.job.quantity), Unit::Plain),
                ),
                (Sign::Over, net),
            ],
            "",
        ))
    }

    fn cost(&self) -> Option<Figure> {
        let parts = vec![
            self.machine(),
            self.labour(),
            self.wire_cost()?,
            self.consumables(),
            self.setup(),
            self.holes()?,
        ];
        let c = self.figures.cost.part;
        Some(
            sum(
                "cost a part",
                Unit::Money,
                parts,
                "without programming, inspection, material and overhead",
            )
            .with_range(c.low.amount(), c.high.amount()),
        )
    }

    fn hours(&self) -> Figure {
        Figure::formula(
            "time a part",
            self.figures.minutes.median.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.minutes()),
                (
                    Sign::Over,
                    Figure::value(
                        "minutes in an hour",
                        60.0,
                        Unit::Plain,
                        Standing::Computed,
                        "",
                    ),
                ),
            ],
            "",
        )
    }

    fn machine(&self) -> Figure {
        let rate = Self::yours(
            "machine rate",
            self.job.shop.machine_rate.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "machine",
            Unit::Money,
            vec![(Sign::Plus, self.hours()), (Sign::Times, rate)],
            "",
        )
    }

    fn attended(&self) -> Figure {
        let mut parts = vec![self.stops()];
        parts.push(self.breaks());
        sum("attended", Unit::Minutes, parts, "somebody stands there")
    }

    fn labour(&self) -> Figure {
        let hours = Figure::formula(
            "attended time",
            self.figures.attended.hours(),
            Unit::Hours,
            vec![
                (Sign::Plus, self.attended()),
                (
                    Sign::Over,
                    Figure::value(
                        "minutes in an hour",
                        60.0,
                        Unit::Plain,
                        Standing::Computed,
                        "",
                    ),
                ),
            ],
            "",
        );
        let rate = Self::yours(
            "labour rate",
            self.job.shop.labour_rate.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "labour",
            Unit::Money,
            vec![(Sign::Plus, hours), (Sign::Times, rate)],
            "",
        )
    }

    fn holes(&self) -> Option<Figure> {
        let o = &self.library.overheads;
        let material = self.library.material(&self.job.material)?;
        let drill = if material.is_carbide() {
            &o.hole_drilling_carbide
        } else {
            &o.hole_drilling
        };
        let hours = |(thickness, count): (Length, usize)| {
            let drilling = product(
                "drilling",
                Unit::Minutes,
                vec![
                    (
                        Sign::Plus,
                        Self::yours("thickness", thickness.mm(), Unit::Mm),
                    ),
                    (
                        Sign::Over,
                        Figure::library("drilling feed", drill, Unit::Feed),
                    ),
                ],
                "",
            );
            let setup = Figure::library("set-up", &o.hole_setup, Unit::Minutes);
            let each = sum("one hole", Unit::Minutes, vec![setup, drilling], "");
            let count = Figure::given("start holes", count as f64, Unit::Plain, Standing::Measured);
            let hour = Figure::value(
                "minutes in an hour",
                60.0,
                Unit::Plain,
                Standing::Computed,
                "",
            );
            let rate = Self::yours(
                "labour rate",
                self.job.shop.labour_rate.amount(),
                Unit::MoneyPerHour,
            );
            product(
                "start holes",
                Unit::Money,
                vec![
                    (Sign::Plus, count),
                    (Sign::Times, each),
                    (Sign::Over, hour),
                    (Sign::Times, rate),
                ],
                "drilled beside the machine, one a contour",
            )
        };
        let mut parts: Vec<Figure> = holes_by_thickness(&self.figures.steps, &self.figures.plans)
            .into_iter()
            .map(hours)
            .collect();
        if parts.len() == 1 {
            return Some(parts.remove(0));
        }
        Some(sum("start holes", Unit::Money, parts, ""))
    }

    fn wire_cost(&self) -> Option<Figure> {
        let c = conditions(self.job, &self.estimate.candidate, self.library)?;
        let s = &self.job.shop;
        let price = Figure::formula(
            "wire less scrap",
            s.wire_price.amount() * c.wire.price_factor.value - s.scrap_value.amount(),
            Unit::MoneyPerKg,
            vec![
                (
                    Sign::Plus,
                    Self::yours("plain brass", s.wire_price.amount(), Unit::MoneyPerKg),
                ),
                (
                    Sign::Times,
                    Figure::library(
                        "price of this wire against it",
                        &c.wire.price_factor,
                        Unit::Plain,
                    ),
                ),
                (
                    Sign::Minus,
                    Self::yours("scrap", s.scrap_value.amount(), Unit::MoneyPerKg),
                ),
            ],
            "",
        );
        Some(product(
            "wire",
            Unit::Money,
            vec![(Sign::Plus, self.wire_mass()?), (Sign::Times, price)],
            "",
        ))
    }

    fn consumables(&self) -> Figure {
        let rate = Self::yours(
            "filters, resin, contacts, guides",
            self.job.shop.consumables.amount(),
            Unit::MoneyPerHour,
        );
        product(
            "consumables",
            Unit::Money,
            vec![(Sign::Plus, self.hours()), (Sign::Times, rate)],
            "",
        )
    }

    fn setup(&self) -> Figure {
        let s = &self.job.shop;
        let rates = sum(
            "machine and labour",
            Unit::MoneyPerHour,
            vec![
                Self::yours("machine rate", s.machine_rate.amount(), Unit::MoneyPerHour),
                Self::yours("labour rate", s.labour_rate.amount(), Unit::MoneyPerHour),
            ],
            "",
        );
        product(
            "set-up",
            Unit::Money,
            vec![
                (
                    Sign::Plus,
                    Self::yours("set-up of the lot", s.setup_hours, Unit::Hours),
                ),
                (Sign::Times, rates),
                (
                    Sign::Over,
                    Self::yours(
                        "parts in the lot",
                        f64::from(self.job.quantity),
                        Unit::Plain,
                    ),
                ),
            ],
            "",
        )
    }

    fn parts_per_week(&self) -> Figure {
        let week = Figure::value(
            "minutes in a week",
            10_080.0,
            Unit::Plain,
            Standing::Computed,
            "7 × 24 × 60",
        );
        Figure::formula(
            "whole parts a week",
            self.figures.parts_per_week as f64,
            Unit::Plain,
            vec![
                (Sign::Plus, week),
                (
                    Sign::Times,
                    Self::yours("uptime", self.job.shop.uptime, Unit::Plain),
                ),
                (Sign::Over, self.minutes()),
            ],
            "rounded down to whole parts",
        )
    }
}
