//! `job show`: what every item of a job file comes to, and all together.

use super::super::cores::pool;
use super::super::ladder::{BreakJson, Ladder, ladder_json, quantities, write_ladder};
use super::super::outcome::{Failure, Outcome};
use super::super::own::Own;
use super::super::quick_variants::{self, VariantJson, variants_json};
use super::super::table;
use crate::drawing::{Progress, ReadError};
use crate::enquiry::{Enquiry, Item, QuoteWords, Row, Seen, Totals, list, totals};
use crate::estimate::{Break, Comparison, QuickVariant, breaks};
use crate::language::said;
use crate::library::Library;
use crate::profile::Profile;
use crate::words::at_stake::quotable;
use crate::words::{Style, System, figures, job_files, reading};
use rayon::prelude::*;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `job show`.
#[derive(Debug, clap::Args)]
pub(in crate::command_line) struct Arguments {
    /// The job file.
    #[arg(value_name = "FILE.kerfcast")]
    file: PathBuf,
    /// What a part of each item costs in lots of these sizes, such as 1,5,20,100.
    #[arg(long, value_name = "N,N,…", value_parser = quantities)]
    breaks: Option<Ladder>,
    #[command(flatten)]
    own: Own,
    /// Text in inches, feet and pounds. CSV and JSON stay metric.
    #[arg(long)]
    inch: bool,
    /// Machine-readable, every figure unrounded.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// The table of items, as `job new --list` reads it and with what each comes to.
    #[arg(long)]
    csv: bool,
}

/// An item that was worked out.
struct Shown {
    row: Result<Row, ReadError>,
    /// With today's library, where that is another one.
    today: Option<Row>,
    ladder: Vec<Break>,
    /// The variants kept with it, and what they stand beside.
    variants: Vec<QuickVariant>,
    beside: Option<(Comparison, Profile)>,
}

fn shown(item: &Item, then: &Library, today: Option<&Library>, lots: &[u32]) -> Shown {
    let progress = Progress::default();
    let answered = match item.answer(then, &progress) {
        Ok(answered) => answered,
        Err(error) => {
            return Shown {
                row: Err(error),
                today: None,
                ladder: Vec::new(),
                variants: Vec::new(),
                beside: None,
            };
        }
    };
    let row = item.row(&answered);
    let profile = &answered.drawing.profile;
    let ladder = row
        .best
        .as_ref()
        .filter(|_| !lots.is_empty())
        .and_then(|best| breaks(profile, &item.job, then, &answered.cache, best.index, lots));
    let each = item.job.variants.iter();
    let variants = each.map(|v| {
        let as_it_is = &answered.comparison;
        QuickVariant::of(v, (profile, &item.job), as_it_is, then, &answered.cache)
    });
    let variants: Vec<QuickVariant> = variants.collect();
    let today = today.and_then(|library| {
        // What the library of today does not know any more has no answer from it.
        let knows = item.job.faults(library).is_empty();
        let answered = knows.then(|| item.answer(library, &progress).ok())?;
        answered.map(|a| item.row(&a))
    });
    Shown {
        row: Ok(row),
        today,
        ladder: ladder.unwrap_or_default(),
        variants,
        beside: Some((answered.comparison, answered.drawing.profile)),
    }
}

/// Shows a job file.
///
/// # Errors
/// The file is refused, or the output cannot be written.
pub(super) fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let enquiry = Enquiry::load(&args.file).map_err(|fault| {
        Failure::Call(format!(
            "{}: {}",
            args.file.display(),
            job_files::refused(&fault)
        ))
    })?;
    let today = args.own.library()?;
    let other = (today != *enquiry.library).then_some(&today);
    let lots = args.breaks.as_ref().map_or(&[][..], |l| &l.0);
    let all: Vec<Shown> = pool(enquiry.items.len())?.install(|| {
        let items = enquiry.items.par_iter();
        items
            .map(|item| shown(item, &enquiry.library, other, lots))
            .collect()
    });
    let rows = all.iter().map(|s| s.row.as_ref().ok());
    let total = totals(enquiry.items.iter().zip(rows));
    if args.json {
        let file = file_json(args, &enquiry, &all, &total);
        serde_json::to_writer_pretty(&mut *out, &file)?;
        writeln!(out)?;
    } else if args.csv {
        let told: Vec<Option<String>> =
            all.iter().map(|s| s.row.as_ref().err().map(told)).collect();
        let lines = enquiry.items.iter().zip(&all).zip(&told);
        let lines = lines.map(|((item, shown), told)| list::Line {
            item,
            drawing: item.path.as_deref().unwrap_or(&item.name),
            row: match (&shown.row, told) {
                (Ok(row), _) => Some(Ok(row)),
                (Err(_), told) => told.as_deref().map(Err),
            },
            answered_for: None,
        });
        list::write(&mut *out, lines)?;
    } else {
        write_text(out, args, &enquiry, &all, &total)?;
    }
    let outcomes = all.iter().map(|s| match &s.row {
        Ok(row) => Outcome::of(row.quotable),
        Err(_) => Outcome::SomeFailed,
    });
    Ok(outcomes.fold(Outcome::Done, Outcome::and))
}

fn told(error: &ReadError) -> String {
    format!("{} {}", reading::problem(error), reading::hint(error))
}

fn write_text(
    out: &mut impl Write,
    args: &Arguments,
    enquiry: &Enquiry,
    all: &[Shown],
    total: &Totals,
) -> Result<(), Failure> {
    let style = Style::plain(if args.inch {
        System::Inch
    } else {
        System::Metric
    });
    let by = match enquiry.saved_by.as_str() {
        "" => String::new(),
        version => say!(", saved by Kerfcast {version}"),
    };
    writeln!(
        out,
        "{}: {}{by}",
        args.file.display(),
        style.count(enquiry.items.len(), say!("item"), say!("items"))
    )?;
    let head = [
        say!("item"),
        say!("drawing"),
        say!("state"),
        say!("parts"),
        say!("thick"),
        say!("material"),
        say!("passes"),
        say!("verdict"),
        say!("wire"),
        said(figures::TIME_EACH),
        said(figures::COST_EACH),
        said(figures::COST_OF_ALL),
    ];
    let items = enquiry.items.iter().zip(all).enumerate();
    let rows: Vec<Vec<String>> = items
        .clone()
        .map(|(k, (item, shown))| text_row(style, k, item, &shown.row))
        .collect();
    table::write(out, &head, &rows)?;
    for (k, (item, shown)) in items {
        let row = match &shown.row {
            Ok(row) => row,
            Err(error) => {
                writeln!(out, "  {}: {}", k + 1, told(error))?;
                continue;
            }
        };
        let now = row.seen();
        if item.seen.is_some() && item.seen != now {
            writeln!(
                out,
                "{}",
                say!(
                    "  {}: this version of Kerfcast computes otherwise than the one that saved the file: {}",
                    k + 1,
                    against(item.seen.as_ref(), now.as_ref(), style)
                )
            )?;
        }
        if let Some(today) = &shown.today
            && today.seen() != now
        {
            writeln!(
                out,
                "{}",
                say!(
                    "  {}: today’s library says otherwise: {}",
                    k + 1,
                    against(now.as_ref(), today.seen().as_ref(), style)
                )
            )?;
        }
        if let Some(best) = &row.best {
            let wire = format!("{}: {}", k + 1, style.candidate(&best.candidate));
            write_ladder(out, &wire, &shown.ladder, style)?;
        }
        write_variants(out, k, shown, row, style)?;
    }
    write_totals(out, enquiry, total, style)
}

/// The variants kept with an item, with the wire that it is quoted on.
fn write_variants(
    out: &mut impl Write,
    k: usize,
    shown: &Shown,
    row: &Row,
    style: Style,
) -> std::io::Result<()> {
    let (Some((as_it_is, profile)), false) = (&shown.beside, shown.variants.is_empty()) else {
        return Ok(());
    };
    let number = k + 1;
    writeln!(out, "{}", say!("  {number}: variants kept with it"))?;
    let wire = Some(row.best.as_ref().map_or(0, |best| best.index));
    quick_variants::write(out, as_it_is, wire, &shown.variants, profile, style)
}

/// "plain brass 120.00 → copper-core 110.00".
fn against(then: Option<&Seen>, now: Option<&Seen>, style: Style) -> String {
    let one = |s: Option<&Seen>| {
        s.map_or_else(
            || say!("no wire").to_owned(),
            |s| {
                let money = style.money(crate::units::Money::from_amount(s.cost));
                let time = style.time(crate::units::Minutes::from_min(s.minutes));
                say!("{} Ø {} in {time} for {money}", s.wire, s.diameter_mm)
            },
        )
    };
    say!("{} then, {} now.", one(then), one(now))
}

fn text_row(style: Style, k: usize, item: &Item, row: &Result<Row, ReadError>) -> Vec<String> {
    let job = &item.job;
    let mut cells = vec![
        (k + 1).to_string(),
        item.name.clone(),
        item.state.said().to_owned(),
        job.quantity.to_string(),
        style.typed_length(job.thickness),
        said(&job.material).to_owned(),
        job.passes.to_string(),
    ];
    match row {
        Err(_) => cells.push(say!("cannot be read").to_owned()),
        Ok(row) => {
            cells.push(quotable(row.quotable).to_owned());
            match &row.best {
                None => cells.push(say!("none" in "wire").to_owned()),
                Some(best) => cells.extend([
                    style.candidate(&best.candidate),
                    style.time(best.minutes.median),
                    style.money(best.cost.part.median),
                    row.lot().map_or_else(String::new, |m| style.money(m)),
                ]),
            }
        }
    }
    cells
}

fn write_totals(
    out: &mut impl Write,
    enquiry: &Enquiry,
    total: &Totals,
    style: Style,
) -> Result<(), Failure> {
    let uptime = enquiry.items.first().map_or(0.0, |i| i.job.shop.uptime);
    writeln!(
        out,
        "{}",
        say!(
            "  Together: machine {}, of it attended {}; {} weeks of one machine; cost {}.",
            style.time(total.minutes),
            style.time(total.attended),
            style.significant(total.weeks(uptime), 2),
            style.money(total.cost)
        )
    )?;
    for wire in &total.wires {
        writeln!(
            out,
            "{}",
            say!(
                "      {}: {}, {}, {} spools",
                style.candidate(&wire.candidate),
                style.wire(wire.length),
                style.mass(wire.mass),
                style.significant(wire.spools, 2)
            )
        )?;
    }
    for shared in &total.shared {
        let items: Vec<String> = shared.items.iter().map(|k| (k + 1).to_string()).collect();
        writeln!(
            out,
            "{}",
            say!(
                "      One set-up may serve items {} ({}, {}): {} less.",
                items.join(", "),
                style.candidate(&shared.candidate),
                style.typed_length(shared.thickness),
                style.money(shared.saved)
            )
        )?;
    }
    if !total.shared.is_empty() {
        writeln!(
            out,
            "{}",
            say!(
                "      With set-ups shared: {}.",
                style.money(total.cost_shared())
            )
        )?;
    }
    if total.without > 0 {
        writeln!(
            out,
            "{}",
            say!(
                "      Not counted: {} without figures.",
                style.count(total.without, say!("item"), say!("items"))
            )
        )?;
    }
    Ok(())
}

#[derive(Serialize)]
struct FileJson<'a> {
    file: String,
    saved_by: &'a str,
    quote: &'a QuoteWords,
    items: Vec<ItemJson<'a>>,
    totals: TotalsJson,
}

#[derive(Serialize)]
struct ItemJson<'a> {
    item: usize,
    name: &'a str,
    path: Option<&'a str>,
    sha256: String,
    state: &'static str,
    note: &'a str,
    quantity: u32,
    thickness_mm: f64,
    material: &'a str,
    passes: usize,
    assumed: Vec<&'static str>,
    verdict: Option<&'static str>,
    #[serde(flatten)]
    best: Option<BestJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    breaks: Vec<BreakJson>,
    /// The variants kept with it, as `compare --variant` writes them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    variants: Vec<VariantJson>,
    /// What the file says it came to when it was saved.
    seen: Option<&'a Seen>,
    /// What today's library says, where that is another one.
    today: Option<Seen>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
}

#[derive(Serialize)]
struct BestJson {
    wire: String,
    diameter_mm: f64,
    minutes: f64,
    minutes_low: f64,
    minutes_high: f64,
    wire_m: f64,
    wire_kg: f64,
    spools: f64,
    cost: f64,
    cost_low: f64,
    cost_high: f64,
    at_stake: f64,
    pieces: usize,
    lot_minutes: f64,
    lot_cost: f64,
}

#[derive(Serialize)]
struct TotalsJson {
    items: usize,
    without_figures: usize,
    minutes: f64,
    attended_minutes: f64,
    weeks: f64,
    cost: f64,
    cost_with_shared_setups: f64,
    wires: Vec<WireJson>,
    shared_setups: Vec<SharedJson>,
}

#[derive(Serialize)]
struct WireJson {
    wire: String,
    diameter_mm: f64,
    wire_m: f64,
    wire_kg: f64,
    spools: f64,
}

#[derive(Serialize)]
struct SharedJson {
    items: Vec<usize>,
    wire: String,
    diameter_mm: f64,
    thickness_mm: f64,
    saved: f64,
}

fn best_json(row: &Row) -> Option<BestJson> {
    let b = row.best.as_ref()?;
    let lot = f64::from(row.quantity);
    Some(BestJson {
        wire: b.candidate.wire.clone(),
        diameter_mm: b.candidate.diameter.mm(),
        minutes: b.minutes.median.min_value(),
        minutes_low: b.minutes.low.min_value(),
        minutes_high: b.minutes.high.min_value(),
        wire_m: b.wire.m(),
        wire_kg: b.wire_mass.kg(),
        spools: b.spools,
        cost: b.cost.part.median.amount(),
        cost_low: b.cost.part.low.amount(),
        cost_high: b.cost.part.high.amount(),
        at_stake: b.at_stake.amount(),
        pieces: row.pieces,
        lot_minutes: (b.minutes.median * lot).min_value(),
        lot_cost: (b.cost.part.median * lot).amount(),
    })
}

fn file_json<'a>(
    args: &Arguments,
    enquiry: &'a Enquiry,
    all: &[Shown],
    total: &Totals,
) -> FileJson<'a> {
    let items = enquiry.items.iter().zip(all).enumerate();
    let item = |(k, (item, shown)): (usize, (&'a Item, &Shown))| {
        let row = shown.row.as_ref();
        ItemJson {
            item: k + 1,
            name: &item.name,
            path: item.path.as_deref(),
            sha256: item.drawing.hash().to_string(),
            state: item.state.word(),
            note: &item.note,
            quantity: item.job.quantity,
            thickness_mm: item.job.thickness.mm(),
            material: &item.job.material,
            passes: item.job.passes,
            assumed: item.confirmed.assumed(),
            verdict: row.ok().map(|r| r.quotable.word()),
            best: row.ok().and_then(best_json),
            breaks: ladder_json(&shown.ladder),
            variants: (shown.beside.as_ref())
                .map_or_else(Vec::new, |(_, p)| variants_json(&shown.variants, p)),
            seen: item.seen.as_ref(),
            today: shown.today.as_ref().and_then(Row::seen),
            error: row.err().map(told),
        }
    };
    let uptime = enquiry.items.first().map_or(0.0, |i| i.job.shop.uptime);
    let wires = total.wires.iter().map(|w| WireJson {
        wire: w.candidate.wire.clone(),
        diameter_mm: w.candidate.diameter.mm(),
        wire_m: w.length.m(),
        wire_kg: w.mass.kg(),
        spools: w.spools,
    });
    let shared = total.shared.iter().map(|s| SharedJson {
        items: s.items.iter().map(|k| k + 1).collect(),
        wire: s.candidate.wire.clone(),
        diameter_mm: s.candidate.diameter.mm(),
        thickness_mm: s.thickness.mm(),
        saved: s.saved.amount(),
    });
    FileJson {
        file: args.file.display().to_string(),
        saved_by: &enquiry.saved_by,
        quote: &enquiry.quote,
        items: items.map(item).collect(),
        totals: TotalsJson {
            items: total.counted,
            without_figures: total.without,
            minutes: total.minutes.min_value(),
            attended_minutes: total.attended.min_value(),
            weeks: total.weeks(uptime),
            cost: total.cost.amount(),
            cost_with_shared_setups: total.cost_shared().amount(),
            wires: wires.collect(),
            shared_setups: shared.collect(),
        },
    }
}
