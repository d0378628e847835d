//! `learn`: what a shop's finished cuts teach, and how far the estimates can then be trusted.

use super::outcome::{Failure, Outcome};
use super::own::{self, Basis, ShopChoice};
use super::table::{self, fixed, signed};
use super::visible::{tell, tell_of};
use crate::calibration::{
    Column, Cut, CutsRead, Day, MachineFit, assess, far_off, fit, quotes, what_was_learned,
    why_cut_differs,
};
use crate::language::said;
use crate::library::Library;
use crate::units::Minutes;
use crate::words::{self, Style, System, against_quote};
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `learn`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The shop's finished cuts: a table with a header. wire_m is the wire used in cutting, without what is wasted at
    /// threadings.
    #[arg(value_name = "CUTS.csv")]
    cuts: PathBuf,
    #[command(flatten)]
    shop: ShopChoice,
    /// Machine-readable, every figure unrounded.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct LearnedJson {
    cuts: usize,
    factors: Vec<FactorJson>,
    rows: Vec<RowJson>,
    error_log_rms: Option<ErrorJson>,
    words: Vec<String>,
    /// Cuts of the last year against what was quoted for them, the oldest first.
    quotes: Vec<QuoteJson>,
    /// The same by material and thickness, the farthest off first.
    quote_groups: Vec<QuoteGroupJson>,
    unused: Vec<UnusedJson>,
}

#[derive(Serialize)]
struct QuoteJson {
    row: usize,
    quoted_minutes: f64,
    actual_minutes: f64,
    /// 0.1 is 10 % longer than quoted.
    off: f64,
    quoted_cost: f64,
    actual_cost: f64,
}

#[derive(Serialize)]
struct QuoteGroupJson {
    material: String,
    thickness_from_mm: f64,
    thickness_to_mm: Option<f64>,
    cuts: usize,
    mean_off: f64,
    worst_off: f64,
    dearer: f64,
}

/// A year, days.
const YEAR: u32 = 365;

#[derive(Serialize)]
struct FactorJson {
    name: String,
    log_mean: f64,
    log_sd: f64,
    prior_log_sd: f64,
    machine: String,
    cuts: usize,
}

#[derive(Serialize)]
struct RowJson {
    row: usize,
    line: u64,
    machine: String,
    actual_minutes: f64,
    before_minutes: f64,
    after_minutes: f64,
    left_out_minutes: f64,
    left_out_low: f64,
    left_out_high: f64,
    weight: f64,
    suspect: bool,
    outlier: bool,
    /// Actual less what was expected before learning: minutes by what was learned, and what only this cut has in it.
    why_minutes: Vec<WhyJson>,
}

#[derive(Serialize)]
struct WhyJson {
    what: String,
    minutes: f64,
}

#[derive(Serialize)]
struct ErrorJson {
    before: f64,
    after: f64,
    left_out: f64,
}

#[derive(Serialize)]
struct UnusedJson {
    line: u64,
    reason: String,
}

/// Fits the cuts of a file and writes what was learned.
///
/// # Errors
/// A library that is refused, or an output that cannot be written.
pub fn run(args: &Arguments, out: &mut impl Write) -> Result<Outcome, Failure> {
    let Basis { library, rates, .. } = args.shop.basis()?;
    let read = match own::cuts(&args.cuts, &library, &rates) {
        Ok(read) => read,
        Err(message) => {
            tell(&message);
            if args.json {
                let error = serde_json::json!({
                    "file": args.cuts.display().to_string(),
                    "error": { "message": message },
                });
                serde_json::to_writer_pretty(&mut *out, &error)?;
                writeln!(out)?;
            }
            return Ok(Outcome::SomeFailed);
        }
    };
    let fits = fit(&read.cuts, &library);
    own::doubt(&args.cuts, far_off(&fits), read.cuts.len());
    for fault in &read.faults {
        tell_of(&args.cuts, &words::cuts::row(fault));
    }
    if args.json {
        serde_json::to_writer_pretty(&mut *out, &json(&read, &fits, &library))?;
        writeln!(out)?;
    } else {
        write_text(out, &read, &fits, &library)?;
    }
    // The file was fitted; its unusable rows are named above and in the JSON.
    Ok(Outcome::Done)
}

fn json(read: &CutsRead, fits: &[MachineFit], library: &Library) -> LearnedJson {
    let factors = fits
        .iter()
        .flat_map(|f| {
            f.knowledge.factors().iter().map(|l| FactorJson {
                name: l.factor.words(),
                log_mean: l.log_mean,
                log_sd: f.knowledge.log_sd(&l.factor).unwrap_or(l.prior_log_sd),
                prior_log_sd: l.prior_log_sd,
                machine: f.machine.clone(),
                cuts: l.cuts,
            })
        })
        .collect();
    let mut rows: Vec<RowJson> = fits
        .iter()
        .flat_map(|f| {
            f.rows.iter().map(|r| RowJson {
                row: read.cuts[r.cut].row,
                line: read.cuts[r.cut].line,
                machine: f.machine.clone(),
                actual_minutes: r.actual.min_value(),
                before_minutes: r.before.min_value(),
                after_minutes: r.after.min_value(),
                left_out_minutes: r.left_out.min_value(),
                left_out_low: r.left_out.min_value() * (-r.left_out_log_sd).exp(),
                left_out_high: r.left_out.min_value() * r.left_out_log_sd.exp(),
                weight: r.weight,
                suspect: r.is_suspect(),
                outlier: r.outlier,
                why_minutes: why(&read.cuts[r.cut], f, library),
            })
        })
        .collect();
    rows.sort_by_key(|r| r.row);
    LearnedJson {
        cuts: read.cuts.len(),
        factors,
        rows,
        error_log_rms: assess(fits).map(|a| ErrorJson {
            before: a.before,
            after: a.after,
            left_out: a.left_out,
        }),
        words: fits.iter().flat_map(|f| lessons(f, library)).collect(),
        quotes: quotes(&read.cuts, Day::latest(), YEAR)
            .0
            .iter()
            .filter_map(|q| {
                let cut = &read.cuts[q.cut];
                let quoted = cut.quoted?;
                Some(QuoteJson {
                    row: cut.row,
                    quoted_minutes: quoted.minutes.min_value(),
                    actual_minutes: cut.cutting_minutes.min_value(),
                    off: q.log_off.exp() - 1.0,
                    quoted_cost: quoted.cost.amount(),
                    actual_cost: quoted.actual_cost.amount(),
                })
            })
            .collect(),
        quote_groups: quotes(&read.cuts, Day::latest(), YEAR)
            .1
            .into_iter()
            .map(|g| QuoteGroupJson {
                material: g.material,
                thickness_from_mm: g.thickness_mm.0,
                thickness_to_mm: Some(g.thickness_mm.1).filter(|mm| mm.is_finite()),
                cuts: g.cuts,
                mean_off: g.mean_off,
                worst_off: g.worst_off,
                dearer: g.dearer.amount(),
            })
            .collect(),
        unused: read
            .faults
            .iter()
            .map(|f| UnusedJson {
                line: f.line,
                reason: words::cuts::reason(&f.kind, Column::name),
            })
            .collect(),
    }
}

fn lessons(fit: &MachineFit, library: &Library) -> Vec<String> {
    let lessons = what_was_learned(fit, library).into_iter();
    lessons
        .map(|l| words::lessons::sentence(&l, &fit.machine, System::Metric))
        .collect()
}

fn why(cut: &Cut, fit: &MachineFit, library: &Library) -> Vec<WhyJson> {
    let Some(why) = why_cut_differs(cut, &fit.knowledge, library) else {
        return Vec::new();
    };
    let line = |what: String, minutes: Minutes| WhyJson {
        what,
        minutes: minutes.min_value(),
    };
    let factors = why.by_factor.into_iter().map(|(f, m)| line(f.words(), m));
    let own = line(say!("this cut’s own").to_owned(), why.own);
    factors.chain([own]).collect()
}

/// Quotes against actuals of the last year, by material and thickness; nothing where no cut has a quote.
fn write_quotes(out: &mut impl Write, cuts: &[Cut]) -> std::io::Result<()> {
    let (_, groups) = quotes(cuts, Day::latest(), YEAR);
    if groups.is_empty() {
        return Ok(());
    }
    let style = Style::plain(System::Metric);
    writeln!(out, "{}", against_quote::headline(&groups, style))?;
    let rows: Vec<Vec<String>> = groups
        .iter()
        .map(|g| {
            vec![
                said(&g.material).to_owned(),
                against_quote::band(g.thickness_mm, style),
                g.cuts.to_string(),
                style.difference(g.mean_off),
                style.difference(g.worst_off),
                signed(g.dearer.amount(), 2),
            ]
        })
        .collect();
    let head = [
        say!("material"),
        say!("thickness"),
        say!("cuts"),
        say!("time"),
        say!("worst"),
        say!("dearer, all"),
    ];
    table::write(out, &head, &rows)?;
    writeln!(out)
}

fn write_text(
    out: &mut impl Write,
    read: &CutsRead,
    fits: &[MachineFit],
    library: &Library,
) -> std::io::Result<()> {
    if fits.is_empty() {
        return writeln!(out, "{}", say!("No cut could be learned from."));
    }
    for f in fits {
        for sentence in lessons(f, library) {
            writeln!(out, "{sentence}")?;
        }
        writeln!(
            out,
            "\n  {:>5}  {:>10}  {:>10}  {:>10}  {:>10}",
            say!("row"),
            say!("actual min"),
            say!("before"),
            say!("after"),
            say!("left out")
        )?;
        for r in &f.rows {
            let mark = match (r.outlier, r.is_suspect()) {
                (true, _) => say!("  outlier"),
                (_, true) => say!("  does not fit"),
                _ => "",
            };
            writeln!(
                out,
                "  {:>5}  {:>10}  {:>10}  {:>10}  {:>10}{mark}",
                read.cuts[r.cut].row,
                fixed(r.actual.min_value(), 1),
                fixed(r.before.min_value(), 1),
                fixed(r.after.min_value(), 1),
                fixed(r.left_out.min_value(), 1)
            )?;
        }
        writeln!(out)?;
    }
    write_quotes(out, &read.cuts)?;
    writeln!(
        out,
        "{}",
        say!(
            "before: expected before learning; after: with what was learned, this cut included; left out: predicted from all \
         the other cuts of the machine, the honest error."
        )
    )
}
