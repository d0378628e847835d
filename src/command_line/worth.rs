//! `worth`: two runs whose time and wire are known, from the machine's own record, held against each other.

use super::own::ShopChoice;
use super::shop::{amount, uptime};
use super::table::{fixed, signed};
use super::{Failure, Outcome};
use crate::estimate::worth::{Run, Worth, WorthBasis};
use crate::job::Job;
use crate::units::{Length, Minutes, Money};
use crate::words::worth::pays;
use crate::words::{Style, System};
use serde::Serialize;
use std::io::Write;

/// What `worth` is asked.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A run: time (minutes, h:mm or h:mm:ss), metres of wire and, if they differ from the shop's plain brass of
    /// 0.25 mm, price a kilogram and diameter in mm. Give it twice; the second is held against the first.
    #[arg(
        long = "run",
        value_name = "TIME,WIRE_M[,PRICE_KG,DIAMETER]",
        required = true
    )]
    runs: Vec<String>,
    /// Share of the week in which the machine cuts, per cent. Default: the shop's.
    #[arg(
        long = "utilisation",
        alias = "uptime",
        value_name = "PERCENT",
        value_parser = amount
    )]
    uptime: Option<f64>,
    /// Weeks in a year in which it works.
    #[arg(long, value_name = "WEEKS", value_parser = amount, default_value_t = 52.0)]
    weeks: f64,
    /// Value of a machine hour. Default: the shop's machine rate.
    #[arg(long, value_name = "MONEY", value_parser = amount)]
    machine_rate: Option<f64>,
    /// Consumables, an hour of machine time; not counted unless given.
    #[arg(long, value_name = "MONEY", value_parser = amount, default_value_t = 0.0)]
    consumables: f64,
    /// What used wire brings, a kilogram; not counted unless given.
    #[arg(long, value_name = "MONEY", value_parser = amount, default_value_t = 0.0)]
    scrap_value: f64,
    #[command(flatten)]
    shop: ShopChoice,
    /// Machine-readable, every figure unrounded.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct WorthJson {
    available_minutes: f64,
    runs: Vec<RunJson>,
    saved: SavedJson,
    more: MoreJson,
    worth: MoneyJson,
}

#[derive(Serialize)]
struct RunJson {
    minutes: f64,
    wire_m: f64,
    wire_kg: f64,
    wire_cost: f64,
    parts_per_week: u64,
    parts_per_year_by_weeks: f64,
    parts_per_year: u64,
}

#[derive(Serialize)]
struct SavedJson {
    minutes: f64,
    time_percent: f64,
    wire_m: f64,
    wire_percent: f64,
    wire_m_by_time: f64,
    wire_m_by_run_off: f64,
}

#[derive(Serialize)]
#[allow(clippy::struct_field_names)] // The keys of the interface.
struct MoreJson {
    per_week: i64,
    per_year_by_weeks: f64,
    per_year: i64,
}

#[derive(Serialize)]
struct MoneyJson {
    per_part_sold: f64,
    per_part_unsold: f64,
    per_year_sold: f64,
    per_year_unsold: f64,
    break_even_gain_percent: f64,
    gain_percent: f64,
    turns_at_machine_rate: Option<f64>,
}

/// Writes what the second run is worth against the first.
///
/// # Errors
/// A run that cannot be read, another number of runs than two, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let basis = args.shop.basis()?;
    let library = &basis.library;
    let mut job = Job::starting(library);
    job.shop = basis.rates.shop.clone();
    let [first, second] = args.runs.as_slice() else {
        let message = say!("Two runs are needed: give --run twice, the one to beat first.");
        return Err(Failure::Call(message.to_owned()));
    };
    let plain = Run {
        minutes: Minutes::ZERO,
        wire: Length::ZERO,
        price: job.shop.wire_price,
        diameter: Length::from_mm(0.25),
        attended: Money::ZERO,
        density: library
            .wire("hard plain brass")
            .or(library.wires.first())
            .map_or(
                crate::units::Density::from_kg_per_m3(8440.0),
                crate::library::Wire::density,
            ),
    };
    let basis = WorthBasis {
        uptime: uptime(args.uptime)?.unwrap_or(job.shop.uptime),
        weeks: args.weeks,
        machine_rate: args
            .machine_rate
            .map_or(job.machine_rate(library), Money::from_amount),
        consumables: Money::from_amount(args.consumables),
    };
    let scrap = Money::from_amount(args.scrap_value);
    let runs = [read_run(first, &plain)?, read_run(second, &plain)?].map(|r| Run {
        price: r.price - scrap,
        ..r
    });
    let worth = Worth::of(&runs[0], &runs[1], &basis);
    if args.json {
        serde_json::to_writer_pretty(&mut *out, &json(&runs, &worth))?;
        writeln!(out)?;
    } else {
        write_text(out, &runs, &worth, &basis)?;
    }
    Ok(Outcome::Done)
}

/// A run as it is typed.
fn read_run(text: &str, plain: &Run) -> Result<Run, Failure> {
    let wrong = |what: &str| {
        Failure::Call(say!(
            "The run \u{201c}{text}\u{201d}: {what} Write TIME,WIRE_M[,PRICE_KG,DIAMETER], such as 5:01:46,2855 or \
             208,1949,16,0.25."
        ))
    };
    let cells: Vec<&str> = text.split(',').map(str::trim).collect();
    let (Some(time), Some(wire), true) = (cells.first(), cells.get(1), cells.len() <= 4) else {
        return Err(wrong(say!("two to four values are needed.")));
    };
    let minutes = Minutes::parse(time).filter(|m| (0.001..=1e6).contains(&m.min_value()));
    let number = |text: &str, low: f64, high: f64| {
        let value = text.parse::<f64>().ok();
        value.filter(|v| (low..=high).contains(v))
    };
    let mut run = Run {
        minutes: minutes.ok_or_else(|| wrong(say!("the time is no time above 0.")))?,
        wire: number(wire, 0.001, 1e7)
            .map(Length::from_m)
            .ok_or_else(|| wrong(say!("the wire is not a length above 0 in metres.")))?,
        ..*plain
    };
    if let Some(price) = cells.get(2).filter(|c| !c.is_empty()) {
        let price = number(price, 0.0, 1e6).ok_or_else(|| wrong(say!("the price is no price.")))?;
        run.price = Money::from_amount(price);
    }
    if let Some(diameter) = cells.get(3).filter(|c| !c.is_empty()) {
        let mm = number(diameter, 0.01, 1.0);
        run.diameter = Length::from_mm(
            mm.ok_or_else(|| wrong(say!("the diameter lies outside 0.01 to 1 mm.")))?,
        );
    }
    Ok(run)
}

fn json(runs: &[Run; 2], w: &Worth) -> WorthJson {
    let (per_week, per_year_by_weeks, per_year) = w.more();
    let both = runs.iter().zip(&w.outputs);
    WorthJson {
        available_minutes: w.available.min_value(),
        runs: both
            .map(|(r, o)| RunJson {
                minutes: r.minutes.min_value(),
                wire_m: r.wire.m(),
                wire_kg: r.mass().kg(),
                wire_cost: r.wire_cost().amount(),
                parts_per_week: o.per_week,
                parts_per_year_by_weeks: o.per_year_by_weeks,
                parts_per_year: o.per_year,
            })
            .collect(),
        saved: SavedJson {
            minutes: w.minutes.min_value(),
            time_percent: w.time_share * 100.0,
            wire_m: w.wire.m(),
            wire_percent: w.wire_share * 100.0,
            wire_m_by_time: w.wire_by_time.m(),
            wire_m_by_run_off: w.wire_by_speed.m(),
        },
        more: MoreJson {
            per_week,
            per_year_by_weeks,
            per_year,
        },
        worth: MoneyJson {
            per_part_sold: w.per_part_sold.amount(),
            per_part_unsold: w.per_part_unsold.amount(),
            per_year_sold: w.per_year_sold.amount(),
            per_year_unsold: w.per_year_unsold.amount(),
            break_even_gain_percent: w.break_even_gain * 100.0,
            gain_percent: w.gain * 100.0,
            turns_at_machine_rate: w.turns_at_rate.map(Money::amount),
        },
    }
}

fn write_text(
    out: &mut impl Write,
    runs: &[Run; 2],
    w: &Worth,
    basis: &WorthBasis,
) -> std::io::Result<()> {
    let [a, b] = w.outputs;
    let (week, by_weeks, year) = w.more();
    writeln!(
        out,
        "{}",
        say!(
            "{:.0} min of a week in which the machine cuts ({:.0} %)",
            w.available.min_value(),
            basis.uptime * 100.0
        )
    )?;
    writeln!(
        out,
        "{:<26}{:>12}{:>12}{:>12}",
        "",
        say!("first"),
        say!("second"),
        say!("more")
    )?;
    let mut row = |what: &str, a: String, b: String, more: String| {
        writeln!(out, "{what:<26}{a:>12}{b:>12}{more:>12}")
    };
    let clock = |m: Minutes| {
        let seconds = (m.min_value() * 60.0).round() as u64;
        format!(
            "{}:{:02}:{:02}",
            seconds / 3600,
            seconds / 60 % 60,
            seconds % 60
        )
    };
    row(
        say!("time a part"),
        clock(runs[0].minutes),
        clock(runs[1].minutes),
        String::new(),
    )?;
    let metres = |r: &Run| format!("{:.0} m", r.wire.m());
    row(
        say!("wire a part"),
        metres(&runs[0]),
        metres(&runs[1]),
        String::new(),
    )?;
    row(
        say!("parts/week"),
        a.per_week.to_string(),
        b.per_week.to_string(),
        format!("{week:+}"),
    )?;
    row(
        say!("parts/year, whole weeks"),
        format!("{:.0}", a.per_year_by_weeks),
        format!("{:.0}", b.per_year_by_weeks),
        format!("{by_weeks:+.0}"),
    )?;
    row(
        say!("parts/year"),
        a.per_year.to_string(),
        b.per_year.to_string(),
        format!("{year:+}"),
    )?;
    writeln!(
        out,
        "{}",
        say!(
            "saved a part: {} min ({} %), {:.0} m of wire ({} %): {:.0} m by time, {:.0} m by wire speed",
            fixed(w.minutes.min_value(), 1),
            fixed(w.time_share * 100.0, 1),
            w.wire.m(),
            fixed(w.wire_share * 100.0, 1),
            w.wire_by_time.m(),
            w.wire_by_speed.m()
        )
    )?;
    writeln!(
        out,
        "{}",
        say!(
            "worth with the freed machine hours sold at {}: {} a part, {:+.0} a year; not sold: {} a part, {:+.0} a year",
            fixed(basis.machine_rate.amount(), 2),
            signed(w.per_part_sold.amount(), 2),
            w.per_year_sold.amount(),
            signed(w.per_part_unsold.amount(), 2),
            w.per_year_unsold.amount()
        )
    )?;
    let style = Style::plain(System::Metric);
    write!(out, "{}", pays(w.break_even_gain, w.gain, style))?;
    match w.turns_at_rate {
        Some(rate) => writeln!(
            out,
            "{}",
            say!(
                "; the two are even at {} a machine hour",
                fixed(rate.amount(), 2)
            )
        ),
        None => writeln!(out),
    }
}
