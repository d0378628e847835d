//! Why time is what it is: shares, passes and steps.

use super::{Explaining, product, sum};
use crate::estimate::range::{overhead_log_sd, ranged};
use crate::plan::{Share, Step, StepKind};
use crate::process::PassNumber;
use crate::process::corner_slowdown::window;
use crate::reason::Wording;
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::standing::Value;

impl Explaining<'_> {
    pub(super) fn share(&self, share: Share) -> Figure {
        let figure = self.share_without_range(share);
        let d = &self.figures.doubts;
        let o = &self.library.overheads;
        let sd = match share {
            Share::Rough => d.rough_log_sd,
            Share::Skims => d.skims_log_sd,
            Share::Corners => d.cutting_log_sd,
            Share::Threading => overhead_log_sd(self.threading().1),
            Share::SlugStops => overhead_log_sd(&o.slug_removal),
            Share::Moves => overhead_log_sd(&o.rapid),
            Share::Breaks => overhead_log_sd(&o.breaks_in_rough),
            Share::Allowance => return figure,
        };
        let m = ranged(figure.value, sd);
        figure.with_range(m.low, m.high)
    }

    pub(super) fn share_without_range(&self, share: Share) -> Figure {
        let f = self.figures;
        match share {
            Share::Rough => self
                .straight(PassNumber::ROUGH)
                .unwrap_or_else(|| sum(say!("rough"), Unit::Minutes, vec![], "")),
            Share::Skims => {
                let skims = PassNumber::all(f.passes.len())
                    .skip(1)
                    .filter_map(|p| self.straight(p))
                    .collect();
                sum(say!("skims"), Unit::Minutes, skims, "")
            }
            Share::Corners => self.corners(),
            Share::Threading => {
                let (name, value) = self.threading();
                self.counted(
                    StepKind::Threading,
                    say!("threading"),
                    say!("start holes threaded"),
                    Figure::library(name, value, Unit::Minutes),
                )
            }
            Share::SlugStops => self.stops(),
            Share::Moves => {
                let length: f64 = self.steps(StepKind::Move).map(|s| s.length.mm()).sum();
                product(
                    say!("moves"),
                    Unit::Minutes,
                    vec![
                        (
                            Sign::Plus,
                            Figure::given(
                                say!("way between contours"),
                                length,
                                Unit::Mm,
                                Standing::Measured,
                            ),
                        ),
                        (
                            Sign::Over,
                            Figure::library(
                                say!("rapid"),
                                &self.library.overheads.rapid,
                                Unit::Feed,
                            ),
                        ),
                    ],
                    "",
                )
            }
            Share::Breaks => self.breaks(),
            Share::Allowance => self.time_allowance(),
        }
    }

    /// How the wire is threaded, and how long it takes.
    fn threading(&self) -> (&'static str, &Value) {
        let o = &self.library.overheads;
        if self.by_hand() {
            (say!("threading by hand, attended"), &o.manual_threading)
        } else {
            (say!("automatic threading"), &o.automatic_threading)
        }
    }

    /// Whether somebody threads the wire.
    pub(super) fn by_hand(&self) -> bool {
        let candidate = &self.estimate.candidate;
        self.library
            .wire(&candidate.wire)
            .is_some_and(|wire| self.job.threads_by_hand(candidate.run, wire, self.library))
    }

    pub(super) fn counted(
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

    /// The whole of a stop.
    fn removal(&self) -> Figure {
        let known = &self.library.overheads.slug_removal;
        Figure::library(
            say!("securing a piece and taking it out, attended"),
            known,
            Unit::Minutes,
        )
    }

    pub(super) fn stops(&self) -> Figure {
        let each = || self.removal();
        let parts = [
            (StepKind::SlugStop, say!("slugs taken out"), say!("slugs")),
            (
                StepKind::PartStop,
                say!("the part coming free"),
                say!("outlines"),
            ),
        ]
        .into_iter()
        .filter(|(kind, ..)| self.steps(*kind).next().is_some())
        .map(|(kind, name, what)| self.counted(kind, name, what, each()))
        .collect();
        sum(
            say!("stops"),
            Unit::Minutes,
            parts,
            say!("operator present"),
        )
    }

    /// Cutting with somebody there: tabs that are cut off, and roughs in which pieces come loose.
    pub(super) fn watched(&self) -> Option<Figure> {
        let own = |s: &&Step| s.attended && s.pass.is_some();
        let mut keys: Vec<(usize, PassNumber)> = Vec::new();
        for s in self.figures.steps.iter().filter(own) {
            let key = (s.plan, s.pass?);
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        let mut parts = Vec::new();
        for (plan, pass) in keys {
            let steps = self.figures.steps.iter().filter(own);
            let (length, corners) = steps
                .filter(|s| s.plan == plan && s.pass == Some(pass))
                .fold((0.0, 0.0), |(l, c), s| {
                    (l + s.length.mm(), c + s.corner_minutes.min_value())
                });
            let length = Figure::given(say!("length"), length, Unit::Mm, Standing::Measured);
            let terms = vec![(Sign::Plus, length), (Sign::Over, self.feed(plan, pass)?)];
            parts.push(product(say!("tabs cut off"), Unit::Minutes, terms, ""));
            if corners > 0.0 {
                let corners =
                    Figure::given(say!("corners"), corners, Unit::Minutes, Standing::Computed);
                parts.push(corners);
            }
        }
        (!parts.is_empty()).then(|| {
            sum(
                say!("cutting with an operator present"),
                Unit::Minutes,
                parts,
                "",
            )
        })
    }

    pub(super) fn breaks(&self) -> Figure {
        let o = &self.library.overheads;
        let minutes: f64 = self
            .steps(StepKind::Breaks)
            .map(|s| s.minutes.min_value())
            .sum();
        let roughing: f64 = self
            .figures
            .steps
            .iter()
            .filter(|s| s.is_rough())
            .map(|s| s.minutes.hours())
            .sum();
        Figure::formula(
            say!("expected wire breaks"),
            minutes,
            Unit::Minutes,
            vec![
                (
                    Sign::Plus,
                    Figure::given(
                        say!("hours of roughing"),
                        roughing,
                        Unit::Hours,
                        Standing::Computed,
                    ),
                ),
                (
                    Sign::Times,
                    Figure::library(say!("breaks an hour"), &o.breaks_in_rough, Unit::PerHour),
                ),
                (
                    Sign::Times,
                    Figure::library(
                        say!("re-threading"),
                        &o.rethreading_after_break,
                        Unit::Minutes,
                    ),
                ),
            ],
            say!("an expectation over many jobs, not a forecast of one"),
        )
    }

    pub(super) fn corners(&self) -> Figure {
        let parts = PassNumber::all(self.figures.passes.len())
            .flat_map(|p| self.plans_of(p).into_iter().map(move |(k, w)| (p, k, w)))
            .filter_map(|(p, k, words)| {
                let steps = self.figures.steps.iter();
                let minutes: f64 = steps
                    .filter(|s| s.pass == Some(p) && s.plan == k)
                    .map(|s| s.corner_minutes.min_value())
                    .sum();
                let plan = self.figures.plans.get(k)?;
                let run = plan.passes.get(p.place())?;
                let feed = self.feed(k, p)?;
                let excess = Figure::value(
                    say!("length that corners and tight arcs seem to add"),
                    minutes * run.feed.mm_per_min(),
                    Unit::Mm,
                    Standing::Judgement,
                    Wording::with_lengths(
                        say!(
                            "sum of 1/r − 1 along the path, r = 1 − {}·(1 − cos θ)/2, θ the direction change within {}",
                            crate::reason::short(run.corner_slowdown),
                            Wording::LENGTH
                        ),
                        [window(plan.thickness)],
                    ),
                );
                let terms = vec![(Sign::Plus, excess), (Sign::Over, feed)];
                let mut f = product(say!("corners"), Unit::Minutes, terms, "");
                let the = if p.is_rough() { say!("the ") } else { "" };
                f.name = words.after(&say!("in {the}{p}"));
                Some(f)
            })
            .collect();
        sum(
            say!("corners"),
            Unit::Minutes,
            parts,
            say!("tight corners slow the machine"),
        )
    }

    pub(super) fn pass(&self, p: PassNumber) -> Option<Figure> {
        let run = self.figures.passes.get(p.place())?;
        let corners: f64 = self
            .figures
            .steps
            .iter()
            .filter(|s| s.pass == Some(p))
            .map(|s| s.corner_minutes.min_value())
            .sum();
        let parts = vec![
            self.straight(p)?,
            Figure::given(say!("corners"), corners, Unit::Minutes, Standing::Computed),
        ];
        let mut f = sum(say!("pass"), Unit::Minutes, parts, "");
        f.name = p.to_string().into();
        f.value = run.minutes.min_value();
        let m = self.figures.pass_minutes(p)?;
        Some(f.with_range(m.low.min_value(), m.high.min_value()))
    }

    /// Why one step takes what it takes.
    pub(super) fn step(&self, s: &Step) -> Option<Figure> {
        let o = &self.library.overheads;
        let minutes = s.minutes.min_value();
        let by_feed = |feed: Figure| {
            let length = Figure::given(say!("length"), s.length.mm(), Unit::Mm, Standing::Measured);
            product(
                say!("straight"),
                Unit::Minutes,
                vec![(Sign::Plus, length), (Sign::Over, feed)],
                "",
            )
        };
        let mut f = match s.kind {
            StepKind::Move => by_feed(Figure::library(say!("rapid"), &o.rapid, Unit::Feed)),
            StepKind::Threading => {
                let (name, value) = self.threading();
                Figure::library(name, value, Unit::Minutes)
            }
            StepKind::Secure | StepKind::SlugStop | StepKind::PartStop => {
                let removal = self.removal();
                let share =
                    Figure::library(say!("share of it for securing"), &o.securing, Unit::Plain);
                if s.kind == StepKind::Secure {
                    let terms = vec![(Sign::Plus, removal), (Sign::Times, share)];
                    product(say!("securing"), Unit::Minutes, terms, "")
                } else {
                    let rest = Figure::formula(
                        say!("share of it for taking out"),
                        1.0 - o.securing.value,
                        Unit::Plain,
                        vec![
                            (
                                Sign::Plus,
                                Figure::given(
                                    say!("all" in "the whole"),
                                    1.0,
                                    Unit::Plain,
                                    Standing::Computed,
                                ),
                            ),
                            (Sign::Minus, share),
                        ],
                        "",
                    );
                    let terms = vec![(Sign::Plus, removal), (Sign::Times, rest)];
                    product(say!("taking out"), Unit::Minutes, terms, "")
                }
            }
            StepKind::Loading => self.loading_a_part(),
            StepKind::Dressing => self.dressing_a_part(),
            StepKind::Breaks => self.breaks(),
            StepKind::Allowance => self.time_allowance(),
            StepKind::LeadIn => {
                let share = self.lead_in_share();
                let length =
                    Figure::given(say!("length"), s.length.mm(), Unit::Mm, Standing::Measured);
                let terms = vec![
                    (Sign::Plus, length),
                    (Sign::Over, self.feed(s.plan, PassNumber::ROUGH)?),
                    (Sign::Over, share),
                ];
                product(say!("lead-in"), Unit::Minutes, terms, "")
            }
            StepKind::Pass | StepKind::Tab | StepKind::Across | StepKind::Erode => {
                let straight = by_feed(self.feed(s.plan, s.pass?)?);
                if s.corner_minutes.min_value() > 0.0 {
                    let corners = Figure::given(
                        say!("corners"),
                        s.corner_minutes.min_value(),
                        Unit::Minutes,
                        Standing::Computed,
                    );
                    sum(say!("pass"), Unit::Minutes, vec![straight, corners], "")
                } else {
                    straight
                }
            }
        };
        f.name = if s.kind == StepKind::Threading && self.by_hand() {
            self.threading().0.into()
        } else {
            s.words().into()
        };
        f.value = minutes;
        Some(f)
    }
}
