//! The job by the clock, as JSON and as lines of text.

use crate::estimate::{
    Alone, ByTheClock, Comparison, Doing, Estimate, by_the_clock, tabs_together,
};
use crate::job::hours::WEEK;
use crate::job::{Job, StaffedHours, WeekTime};
use crate::library::Library;
use crate::units::Minutes;
use crate::words::clock::{self as clock_words, in_hundred};
use crate::words::{Style, System};
use serde::Serialize;
use std::io::Write;

/// When the job is begun and when somebody is there.
#[derive(Debug, clap::Args)]
pub(super) struct Clock {
    /// When the first part is begun, such as "Mon 14:00". With it, or with --staffed, the table tells when the job
    /// is done by the clock and what waits for somebody.
    #[arg(long, value_name = "DAY TIME", value_parser = begin)]
    begin: Option<WeekTime>,
    /// When somebody is in the shop, such as "Mon-Fri 7:00-16:00".
    #[arg(long, value_name = "DAYS FROM-TO", value_parser = staffed)]
    staffed: Option<StaffedHours>,
}

impl Clock {
    /// Puts what was said into the job.
    pub(super) fn put(&self, job: &mut Job) {
        job.begin = self.begin.unwrap_or(job.begin);
        job.shop.staffed = self.staffed.unwrap_or(job.shop.staffed);
    }
    /// Whether the table tells of it.
    pub(super) fn is_asked(&self) -> bool {
        self.begin.is_some() || self.staffed.is_some()
    }
}

pub(super) fn begin(text: &str) -> Result<WeekTime, String> {
    WeekTime::parse(text).ok_or_else(|| {
        say!("that is no time of the week. Write a day and a time, such as \"Mon 14:00\".")
            .to_owned()
    })
}

fn staffed(text: &str) -> Result<StaffedHours, String> {
    StaffedHours::parse(text).ok_or_else(|| {
        say!("these are no hours. Write days and times, such as \"Mon-Fri 7:00-16:00\" or \"Mon,Wed 22:00-6:00\".").to_owned()
    })
}

/// One wire by the clock. Moments are minutes after Monday 0:00 of the week of the begin.
#[derive(Serialize)]
pub(super) struct ClockJson {
    begun: f64,
    done: f64,
    done_low: f64,
    done_high: f64,
    done_words: String,
    /// Parts that were walked through, of those of the lot; `done` and all sums are of these.
    parts: u32,
    quantity: u32,
    /// Whether that is the whole lot.
    whole_lot: bool,
    /// When the whole lot is done; at the pace of the parts walked where they are not all.
    all_done: f64,
    all_done_words: String,
    waits_minutes: f64,
    visits: usize,
    spool_m: f64,
    alone: Vec<AloneJson>,
    /// Weeks that go on as the week before; their nights are not listed again.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    repeats: Vec<RepeatsJson>,
    /// The lot with the tabs of all its parts left for the end, where that is done earlier.
    tabs_together: Option<TogetherJson>,
}

/// Weeks that repeat.
#[derive(Serialize)]
struct RepeatsJson {
    from: f64,
    weeks: f64,
    /// Weeks until all is as it was.
    round_weeks: f64,
}

/// All parts on the machine at once, their tabs cut together.
#[derive(Serialize)]
struct TogetherJson {
    done: f64,
    done_words: String,
    earlier_minutes: f64,
    waits_minutes: f64,
    visits: usize,
}

/// A time without anybody.
#[derive(Serialize)]
struct AloneJson {
    from: f64,
    to: f64,
    runs_minutes: f64,
    stops: Option<f64>,
    stops_because: Option<&'static str>,
    done: Option<f64>,
    wire_m: f64,
    threadings: usize,
    breaks: f64,
    needs_nobody: f64,
}

impl AloneJson {
    fn new(a: &Alone) -> Self {
        Self {
            from: a.from,
            to: a.to,
            runs_minutes: a.runs.min_value(),
            stops: a.stops.map(|s| s.0),
            stops_because: a.stops.map(|s| match s.1 {
                Doing::OutOfWire => "out of wire",
                _ => "waits for an operator",
            }),
            done: a.done,
            wire_m: a.wire.m(),
            threadings: a.threadings,
            breaks: a.breaks,
            needs_nobody: a.needs_nobody,
        }
    }
}

/// A wire's estimate by the clock; `None` where it cannot do the job.
pub(super) fn clock_json(e: &Estimate, job: &Job, library: &Library) -> Option<ClockJson> {
    let c = by_the_clock(e.figures.as_ref()?, &e.candidate, job, library)?;
    Some(ClockJson {
        begun: c.begun,
        done: c.done,
        done_low: c.done_range.0,
        done_high: c.done_range.1,
        done_words: words(c.done),
        parts: c.parts,
        quantity: c.wanted,
        whole_lot: c.is_whole(),
        all_done: c.all_done(),
        all_done_words: words(c.all_done()),
        waits_minutes: c.waits.min_value(),
        visits: c.visits,
        spool_m: c.spool.m(),
        tabs_together: tabs_together(e.figures.as_ref()?, &e.candidate, job, library).map(|t| {
            TogetherJson {
                done: t.done,
                done_words: words(t.done),
                earlier_minutes: c.done - t.done,
                waits_minutes: t.waits.min_value(),
                visits: t.visits,
            }
        }),
        alone: c.alone.iter().map(AloneJson::new).collect(),
        repeats: c
            .repeats
            .iter()
            .map(|r| RepeatsJson {
                from: r.from,
                weeks: r.weeks,
                round_weeks: r.round,
            })
            .collect(),
    })
}

fn words(moment: f64) -> String {
    let weeks = (moment / WEEK).floor();
    let at = WeekTime::after_monday(moment);
    if weeks > 0.0 {
        say!("{at} +{weeks:.0} wk")
    } else {
        at.to_string()
    }
}

/// A line a wire: when it is done, how long it stands, what the first time without anybody brings.
pub(super) fn write_clock(
    out: &mut impl Write,
    job: &Job,
    library: &Library,
    comparison: &Comparison,
) -> std::io::Result<()> {
    writeln!(
        out,
        "{}",
        say!(
            "  By the clock, begun {}, operator present {}:",
            job.begin,
            job.shop.staffed.said()
        )
    )?;
    let mut told = false;
    for e in &comparison.estimates {
        let Some(f) = &e.figures else { continue };
        let Some(c) = by_the_clock(f, &e.candidate, job, library) else {
            continue;
        };
        // The same for every wire.
        if let Some(later) = clock_words::begun_later(job.begin, &c).filter(|_| !told) {
            writeln!(out, "      {later}")?;
        }
        told = true;
        writeln!(
            out,
            "{}",
            say!(
                "      {}: {} {} ({} to {}), idle {}, {} visits{}",
                Style::plain(System::Metric).candidate(&e.candidate),
                plain(&clock_words::done(&c)).to_lowercase(),
                words(c.done),
                words(c.done_range.0),
                words(c.done_range.1),
                time(c.waits),
                c.visits,
                first_alone(&c)
            )
        )?;
        if let Some(text) = clock_words::walked_in_part(&c, &words(c.all_done())) {
            writeln!(out, "          {}", plain(&text))?;
        }
        for r in &c.repeats {
            let again = plain(&clock_words::again(r));
            writeln!(
                out,
                "{}",
                say!("          from {} on {again}", words(r.from))
            )?;
        }
        if let Some(t) = tabs_together(f, &e.candidate, job, library) {
            writeln!(
                out,
                "{}",
                say!(
                    "          with all {} parts on the machine and their tabs cut together at the end: done {}, idle {}",
                    job.quantity,
                    words(t.done),
                    time(t.waits)
                )
            )?;
        }
    }
    writeln!(
        out,
        "{}",
        say!(
            "      Whether a machine may run with nobody there is for its maker's manual and local fire codes to say."
        )
    )
}

/// Hours and minutes, as the table has them.
fn time(minutes: Minutes) -> String {
    Style::plain(System::Metric).step_time(minutes)
}

/// The text of a terminal: no narrow gaps.
fn plain(text: &str) -> String {
    text.replace('\u{202f}', " ")
}

fn first_alone(c: &ByTheClock) -> String {
    c.alone.first().map_or(String::new(), |a| {
        let from = words(a.from);
        let odds = plain(&in_hundred(a.needs_nobody));
        let runs = say!("it runs {}", time(a.runs));
        match a.stops {
            None => say!("; alone from {from} {runs}, in {odds} such times nobody is needed"),
            Some(_) if a.runs < Minutes::from_min(1.0) => say!("; alone from {from} it waits at once"),
            Some(s) => say!(
                "; alone from {from} {runs}, then waits from {}; it gets that far without help in {odds} such times",
                words(s.0)
            ),
        }
    })
}
