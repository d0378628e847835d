//! The page itself.

use super::escaped::escaped;
use super::{Report, drawing, tables};
use crate::estimate::{Estimate, Quotable, SlugCaution, at_stake};
use crate::job::passes_words;
use crate::language::{self, said};
use crate::profile::Keep;
use crate::reason::Unit;
use crate::words::at_stake::{self as words_at_stake, Pieces};
use crate::words::cautions::{self, ALWAYS, CautionText, PLANNING_AID, SLUGS, WHAT_COMES_FIRST};
use crate::words::{figures, loose_pieces, obstacles, ways};
use std::fmt::Write as _;

const STYLE: &str = "
:root { color-scheme: light; }
body { font: 14px/1.45 system-ui, sans-serif; color: #1d2327; background: #fff; max-width: 1080px; margin: 24px auto; padding: 0 20px; }
h1 { font-size: 22px; margin: 0; } h2 { font-size: 16px; margin: 26px 0 6px; border-bottom: 1px solid #b9c2c7; }
.sub { color: #56626a; margin: 2px 0 14px; } .top { display: flex; gap: 28px; flex-wrap: wrap; align-items: flex-start; }
table { border-collapse: collapse; width: 100%; font-size: 12.5px; font-variant-numeric: tabular-nums; }
th, td { text-align: right; padding: 3px 7px; border-bottom: 1px solid #dde3e6; vertical-align: top; }
th:first-child { text-align: left; } thead th { color: #56626a; font-weight: normal; } tbody tr:last-child.sum { font-weight: bold; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 2px 14px; margin: 0; } dt { color: #56626a; } dd { margin: 0; }
details { margin-left: 18px; } .leaf { margin: 0 0 0 34px; } i { color: #56626a; } .caution { border-left: 3px solid #a35a00; padding-left: 10px; margin: 6px 0; }
svg { border: 1px solid #dde3e6; } .part { fill: #eef2f3; fill-rule: evenodd; stroke: #1d2327; stroke-width: 1.1; }
.left { fill: none; stroke: #98a3a9; stroke-width: 0.8; stroke-dasharray: 4 3; } .wire { fill: none; stroke: #0a6c8f; stroke-width: 0.7; }
@media print { body { margin: 0; max-width: none; } h2 { break-after: avoid; } table, .caution { break-inside: avoid; } }
";

/// "1 outline", "4 openings".
fn count(n: usize, one: &str, more: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

/// The whole page.
pub fn html(report: &Report<'_>) -> String {
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\"><head><meta charset=\"utf-8\"/>",
        language::now().tag()
    );
    let name = escaped(report.name);
    let _ = write!(
        out,
        "{}",
        say!("<title>{name}: wire EDM estimate</title><style>{STYLE}</style></head><body>")
    );
    let _ = write!(
        out,
        "{}",
        say!("<h1>{name}</h1><p class=\"sub\">Wire EDM estimate")
    );
    if !report.date.is_empty() {
        let _ = write!(out, ", {}", escaped(report.date));
    }
    let _ = write!(
        out,
        "{}",
        say!(
            ". A planning aid, no machine setting.</p><p>{}{}</p><p>{}</p><div class=\"top\">{}<dl>{}</dl></div>",
            escaped(&sentence(report)),
            report
                .confirmed
                .words()
                .map_or_else(String::new, |words| format!(" <b>{words}</b>")),
            escaped(&in_doubt(report)),
            drawing::svg(report),
            assumptions(report)
        )
    );
    let found = found(report);
    if !found.is_empty() {
        section(&mut out, say!("Found in the drawing"), &found);
    }
    section(&mut out, say!("Wires side by side"), &tables::wires(report));
    if let Some(baseline) = report.comparison.estimates.get(report.comparison.baseline) {
        let _ = write!(
            out,
            "{}",
            say!(
                "<p class=\"sub\">Differences (Δ) are against {}. Two of three jobs fall in the range. \
             Amounts are in the shop’s own currency. {}</p>",
                escaped(&report.style.candidate(&baseline.candidate)),
                escaped(said(figures::UNSOLD_REMARK))
            )
        );
    }
    section(&mut out, say!("Beside the table"), &tables::details(report));
    section(
        &mut out,
        say!("Where the minutes go"),
        &tables::minutes(report),
    );
    let cost_title = match report.pieces() {
        1 => say!("What a part costs").to_owned(),
        n => say!("What all {n} parts cost together"),
    };
    section(&mut out, &cost_title, &tables::cost(report));
    let holes = tables::start_holes(report);
    if !holes.is_empty() {
        section(&mut out, say!("Start holes"), &holes);
    }
    let notes = to_look_at(report);
    if !notes.is_empty() {
        section(&mut out, say!("To look at"), &notes);
    }
    if let Some(e) = report.comparison.estimates.get(report.shown) {
        let title = say!("Why, for {}", report.style.candidate(&e.candidate));
        section(&mut out, &escaped(&title), &tables::reasons(report));
    }
    section(&mut out, say!("Cautions"), &to_beware_of(report));
    out.push_str("</body></html>\n");
    out
}

fn section(out: &mut String, title: &str, body: &str) {
    let _ = write!(out, "<section><h2>{title}</h2>{body}</section>");
}

/// The job as one reads it aloud.
fn sentence(report: &Report<'_>) -> String {
    let job = report.job;
    let keep = match job.keep {
        Keep::Inside => say!("keep the inside"),
        Keep::Outside => say!("keep the outside"),
    };
    say!(
        "{} of {} {}, {}, {}; {keep}.",
        words_at_stake::how_many(job.quantity, report.pieces()),
        report.style.typed_length(job.thickness),
        said(&job.material),
        passes_words(job.passes),
        job.flushing.words(),
    )
}

/// What the import found, one line each.
fn found(report: &Report<'_>) -> String {
    let of_shown = |e: &Estimate| e.figures.as_ref().map(|f| f.cost.part.median);
    let parts = report.comparison.estimates.get(report.shown);
    let parts = parts.and_then(of_shown);
    let openings = report.as_openings.get(report.shown).copied().flatten();
    let lines = report.drawing.findings.iter().map(|f| {
        let sentence = words_at_stake::finding(f, parts, openings, report.style);
        format!("<li>{}: {}</li>", f.severity().said(), escaped(&sentence))
    });
    let lines: String = lines.collect();
    if lines.is_empty() {
        return lines;
    }
    format!("<ul>{lines}</ul>")
}

/// May it be quoted, what of the price is in question, and what a piece costs where several are cut.
fn in_doubt(report: &Report<'_>) -> String {
    let style = report.style;
    let quotable = Quotable::of(report.drawing.verdict, Some(report.comparison));
    let shown = report.comparison.estimates.get(report.shown);
    let figures = shown.and_then(|e| e.figures.as_ref());
    let stakes = figures.map_or_else(Vec::new, |f| at_stake(report.drawing, report.job, f));
    let whole = figures.map(|f| f.cost.part.median);
    let mut line = say!(
        "Verdict: {}.",
        words_at_stake::line(quotable, whole, &stakes, style)
    );
    if let Some(whole) = whole.filter(|_| report.pieces() > 1) {
        let pieces = Pieces::of(report.pieces(), whole);
        line += &say!(
            " Times and costs are {}: {} {}.",
            words_at_stake::for_what(pieces.count),
            style.money(whole),
            pieces.words(style)
        );
    }
    line
}

fn assumptions(report: &Report<'_>) -> String {
    let (job, totals) = (report.job, &report.measures.totals);
    let s = &job.shop;
    let rate = |amount, unit| report.style.quantity(amount, unit);
    let machine = job.machine_in(report.library);
    let machine = machine.map(|m| (say!("machine"), m.name.clone()));
    let mut rows: Vec<(&str, String)> = machine.into_iter().collect();
    rows.extend([
        (say!("cut length"), report.style.length(totals.cut_length)),
        (
            say!("contours"),
            format!(
                "{}, {}, {}",
                count(totals.outlines, say!("outline"), say!("outlines")),
                count(totals.openings, say!("opening"), say!("openings")),
                count(totals.corners, say!("sharp corner"), say!("sharp corners"))
            ),
        ),
        (
            say!("order"),
            format!("{}, {}", ways::order(job.order), ways::cut_off(job.cut_off)),
        ),
        (
            say!("rates"),
            say!(
                "machine {} and labour {}, plain brass wire {}, scrap {}, consumables {}",
                rate(
                    job.machine_rate(report.library).amount(),
                    Unit::MoneyPerHour
                ),
                rate(s.labour_rate.amount(), Unit::MoneyPerHour),
                rate(s.wire_price.amount(), Unit::MoneyPerKg),
                rate(s.scrap_value.amount(), Unit::MoneyPerKg),
                rate(s.consumables.amount(), Unit::MoneyPerHour),
            ),
        ),
        (
            say!("set-up"),
            say!(
                "{} h per lot; utilisation {}",
                report.style.significant(s.setup_hours, 4),
                report.style.share(s.uptime)
            ),
        ),
    ]);
    let left_out = report
        .profile
        .contours()
        .iter()
        .filter(|c| !job.cuts(c))
        .count();
    if left_out > 0 {
        rows.push((
            say!("left out"),
            say!(
                "{}, dashed",
                count(left_out, say!("contour"), say!("contours"))
            ),
        ));
    }
    rows.push((
        say!("basis"),
        match &report.job.library_on_machine(report.library).learned {
            None => {
                say!("starting values of the library; no finished cut of the shop is in them yet")
                    .to_owned()
            }
            Some(known) => say!(
                "the library and {} finished cuts of the shop{}",
                known.cuts,
                known.on_machine()
            ),
        },
    ));
    rows.into_iter()
        .fold(String::new(), |mut out, (what, text)| {
            let _ = write!(out, "<dt>{what}</dt><dd>{}</dd>", escaped(&text));
            out
        })
}

/// Obstacles of every wire, each sentence once.
fn to_look_at(report: &Report<'_>) -> String {
    let mut seen: Vec<(String, Vec<String>)> = Vec::new();
    for e in &report.comparison.estimates {
        let name = report.style.candidate(&e.candidate);
        for told in obstacles::told(&e.obstacles, report.style.system) {
            let (said, name) = (told.sentence, name.clone());
            match seen.iter_mut().find(|s| s.0 == said) {
                Some(s) if !s.1.contains(&name) => s.1.push(name),
                Some(_) => {}
                None => seen.push((said, vec![name])),
            }
        }
    }
    seen.into_iter()
        .fold(String::new(), |mut out, (message, names)| {
            let names = escaped(&names.join("; "));
            let _ = write!(out, "<p><b>{names}</b>: {}</p>", escaped(&message));
            out
        })
}

fn to_beware_of(report: &Report<'_>) -> String {
    let one = |c: CautionText| {
        let c = c.spoken();
        format!(
            "<p class=\"caution\"><b>{}.</b> {}</p>",
            escaped(c.title),
            escaped(c.text)
        )
    };
    let mut out = String::new();
    let material = report.library.material(&report.job.material);
    if let Some(caution) = material.and_then(|m| m.caution) {
        out += &one(cautions::of_material(caution));
    }
    out += &one(SLUGS);
    let shown = report.comparison.estimates.get(report.shown);
    let figures = shown.and_then(|e| e.figures.as_ref());
    let slugs = figures.map_or(&[][..], |f| &f.slugs);
    for (caution, title) in [
        (SlugCaution::MayFall, say!("Heavy slugs")),
        (SlugCaution::MayJam, say!("Small slugs")),
    ] {
        let own: Vec<String> = slugs
            .iter()
            .filter(|s| s.caution == Some(caution))
            .map(|s| {
                let mass = report.style.quantity(s.mass.kg(), Unit::Kg);
                say!("contour {} with {mass}", s.contour + 1)
            })
            .collect();
        if !own.is_empty() {
            let _ = write!(
                out,
                "<p class=\"caution\"><b>{title}.</b> {}: {}</p>",
                escaped(&own.join(", ")),
                escaped(loose_pieces::slug(caution))
            );
        }
    }
    let mut held: Vec<(&str, Vec<String>)> = Vec::new();
    for s in figures.iter().flat_map(|f| &f.starts) {
        let Some(words) = s.holds.words() else {
            continue;
        };
        let name = say!("contour {}", s.contour + 1);
        match held.iter_mut().find(|h| h.0 == words) {
            Some(h) => h.1.push(name),
            None => held.push((words, vec![name])),
        }
    }
    for (words, names) in held {
        let _ = write!(
            out,
            "{}",
            say!(
                "<p class=\"caution\"><b>Support.</b> {}: {}</p>",
                escaped(&names.join(", ")),
                escaped(words)
            )
        );
    }
    for caution in ALWAYS {
        out += &one(caution);
    }
    out += &one(PLANNING_AID);
    let _ = write!(out, "<p><b>{}</b></p>", escaped(said(WHAT_COMES_FIRST)));
    out
}
