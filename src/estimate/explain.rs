//! Why a figure of an estimate is what it is.
//!
//! Built when somebody asks, from the same steps and conditions that made the figure.

mod added;
mod allowance;
mod along;
mod money;
mod time;
mod wire;

use super::question::Question;
use super::{Estimate, Figures};
use crate::job::Job;
use crate::library::Library;
use crate::plan::{Share, Step, StepKind};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::{Standing, Value};
use crate::units::{Feed, Length, Minutes};

/// The answer; `None` where the candidate cannot do the job or the question does not fit it.
pub fn explain(
    question: Question,
    job: &Job,
    library: &Library,
    estimate: &Estimate,
) -> Option<Figure> {
    let library = &*job.library_on_machine(library);
    let asked = Explaining {
        job,
        library,
        estimate,
        figures: estimate.figures.as_ref()?,
    };
    asked.answer(question)
}

/// Steps in which the wire cuts: passes, tabs, lead-ins, crossings of the waste and what is eroded away.
fn cutting(f: &Figures) -> impl Iterator<Item = &Step> {
    let cuts = |s: &&Step| {
        matches!(
            s.kind,
            StepKind::Pass | StepKind::Tab | StepKind::LeadIn | StepKind::Across | StepKind::Erode
        )
    };
    f.steps.iter().filter(cuts)
}

/// The wire's way while it cuts, every pass with lead-in, overlap and tab, over the minutes that takes, corners
/// included; 0 where nothing is cut.
pub fn average_feed(f: &Figures) -> Feed {
    let length: Length = cutting(f).map(|s| s.length).sum();
    let minutes: Minutes = cutting(f).map(|s| s.minutes).sum();
    if minutes > Minutes::ZERO {
        Feed::from_mm_per_min(length.mm() / minutes.min_value())
    } else {
        Feed::ZERO
    }
}

struct Explaining<'a> {
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
impl Explaining<'_> {
    /// `None` where the question does not fit the estimate.
    fn answer(&self, question: Question) -> Option<Figure> {
        match question {
            Question::Minutes => Some(self.minutes()),
            Question::Share(s) => Some(self.share(s)),
            Question::Pass(p) => self.pass(p),
            Question::Step(k) => self.figures.steps.get(k).and_then(|s| self.step(s)),
            Question::Wire => self.wire(),
            Question::WireMass => self.wire_mass(),
            Question::Spools => self.spools(),
            Question::Cost => self.cost(),
            Question::Unsold => self.unsold(),
            Question::Machine => Some(self.machine()),
            Question::Labour => Some(self.labour()),
            Question::Holes => self.holes(),
            Question::WireCost => self.wire_cost(),
            Question::Consumables => Some(self.consumables()),
            Question::Setup => Some(self.setup()),
            Question::Loading => Some(self.loading()),
            Question::Dressing => Some(self.dressing()),
            Question::Programming => Some(self.programming()),
            Question::Inspection => Some(self.inspection()),
            Question::Material => Some(self.material()),
            Question::Other => Some(self.other()),
            Question::CostAllowance => Some(self.cost_allowance()),
            Question::Markup => self.markup(),
            Question::PartsPerWeek => Some(self.parts_per_week()),
            Question::Attended => Some(self.attended()),
            Question::AverageFeed => Some(self.average_feed()),
            Question::Finish => self.finish(),
            Question::RunOff(p) => self.run_off(p.checked_sub(1)?),
        }
    }

    pub(super) fn yours(name: &'static str, value: f64, unit: Unit) -> Figure {
        Figure::given(name, value, unit, Standing::Yours)
    }

    /// A rate of the shop: where it stands at the library's default, what the library says of it.
    pub(super) fn rate(name: &'static str, value: f64, default: &Value, unit: Unit) -> Figure {
        if value == default.value {
            Figure::value(name, value, unit, default.standing, default.source.clone())
        } else {
            Self::yours(name, value, unit)
        }
    }

    pub(super) fn minutes(&self) -> Figure {
        let parts = Share::ALL
            .iter()
            .map(|&s| self.share(s))
            .filter(|f| f.value > 0.0)
            .collect();
        let m = self.figures.minutes;
        sum(
            say!("time"),
            Unit::Minutes,
            parts,
            say!("each line is the sum of its steps"),
        )
        .with_range(m.low.min_value(), m.high.min_value())
    }

    fn average_feed(&self) -> Figure {
        let length: Length = cutting(self.figures).map(|s| s.length).sum();
        let minutes: Minutes = cutting(self.figures).map(|s| s.minutes).sum();
        let given = |name, value, unit| Figure::given(name, value, unit, Standing::Computed);
        let terms = vec![
            (
                Sign::Plus,
                given(say!("path that is cut"), length.mm(), Unit::Mm),
            ),
            (
                Sign::Over,
                given(
                    say!("minutes of cutting"),
                    minutes.min_value(),
                    Unit::Minutes,
                ),
            ),
        ];
        Figure::formula(
            say!("average feed"),
            average_feed(self.figures).mm_per_min(),
            Unit::Feed,
            terms,
            say!("every pass with lead-in, overlap and tab; corners included, no stops"),
        )
    }

    pub(super) fn steps(&self, kind: StepKind) -> impl Iterator<Item = &Step> {
        self.figures.steps.iter().filter(move |s| s.kind == kind)
    }
}
