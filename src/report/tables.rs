//! The tables of a report: wires side by side, where the minutes go, what the cost is made of, and why.

use super::Report;
use super::escaped::escaped;
use crate::estimate::{Figures, Question, drill_list, explain};
use crate::language::said;
use crate::plan::Share;
use crate::reason::{Figure, Origin, Unit};
use crate::units::{Length, Minutes, Money};
use crate::words::at_stake::for_what;
use crate::words::reasons;
use crate::words::{Style, figures, obstacles};
use std::fmt::Write as _;

/// Terms below this depth are folded at first.
const OPEN_DEPTH: usize = 2;
/// Deepest that is written: deeper trees do not occur.
const MOST_DEPTH: usize = 24;

/// A table with the first column as heads of rows.
fn table(head: &[String], rows: &[Vec<String>]) -> String {
    let mut out = String::from("<table><thead><tr>");
    for h in head {
        let _ = write!(out, "<th scope=\"col\">{}</th>", escaped(h));
    }
    out.push_str("</tr></thead><tbody>");
    for row in rows {
        out.push_str("<tr>");
        for (k, cell) in row.iter().enumerate() {
            let text = escaped(cell);
            let _ = match k {
                0 => write!(out, "<th scope=\"row\">{text}</th>"),
                _ => write!(out, "<td>{text}</td>"),
            };
        }
        out.push_str("</tr>");
    }
    out.push_str("</tbody></table>");
    out
}

/// Every wire: differences first, then every figure of the tables with its range.
pub(super) fn wires(report: &Report<'_>) -> String {
    let (c, style) = (report.comparison, report.style);
    let rows: Vec<Vec<String>> = c
        .estimates
        .iter()
        .enumerate()
        .map(|(k, e)| {
            let mut row = vec![style.candidate(&e.candidate)];
            let Some(f) = &e.figures else {
                let why = obstacles::told(e.blockers(), style.system);
                let why: Vec<String> = why.into_iter().map(|t| t.sentence).collect();
                row.push(say!("cannot: {}", why.join(" ")));
                return row;
            };
            if e.leaves_a_radius() {
                row[0] += &format!(", {}", said(obstacles::NOT_AS_DRAWN));
            }
            if !e.is_on_hand() {
                row[0] += &format!(", {}", said(obstacles::NOT_ON_HAND));
            }
            let difference = c.difference(k);
            for (n, (_, against)) in figures::compared().enumerate() {
                row.push(match difference {
                    Some(d) => style.signed_difference(against(&d).share),
                    None if n == 0 && k == c.baseline => say!("baseline").to_owned(),
                    None => String::new(),
                });
            }
            for of in [figures::pays_from, figures::turns_at] {
                row.push(difference.map_or_else(String::new, |d| of(&d, style)));
            }
            for e in figures::roomy_columns() {
                row.push(e.digits(style, f));
                if e.shows_range() {
                    row.push(e.range(style, f));
                }
            }
            row
        })
        .collect();
    let mut head = vec![say!("wire").to_owned()];
    head.extend(figures::compared().map(|(e, _)| e.difference_head()));
    head.extend([figures::PAYS_HEAD, figures::TURNS_HEAD].map(|h| said(h).to_owned()));
    for e in figures::roomy_columns() {
        head.push(e.head_with_unit(style));
        if e.shows_range() {
            head.push(said(figures::RANGE_HEAD).to_owned());
        }
    }
    table(&head, &rows)
}

/// What else is said of each wire.
pub(super) fn details(report: &Report<'_>) -> String {
    let wires = possible(report);
    let rows: Vec<Vec<String>> = figures::details()
        .map(|e| {
            let cells = wires.iter().map(|w| e.words(report.style, w.1));
            std::iter::once(e.called().to_owned())
                .chain(cells)
                .collect()
        })
        .collect();
    table(&with_head(&for_what(report.pieces()), &wires), &rows)
}

/// Names of the wires that have figures, and those.
fn possible<'a>(report: &Report<'a>) -> Vec<(String, &'a Figures)> {
    let all = report.comparison.estimates.iter();
    let name = |c| report.style.candidate(c);
    all.filter_map(|e| Some((name(&e.candidate), e.figures.as_ref()?)))
        .collect()
}

fn with_head(first: &str, wires: &[(String, &Figures)]) -> Vec<String> {
    let names = wires.iter().map(|w| w.0.clone());
    std::iter::once(first.to_owned()).chain(names).collect()
}

/// Minutes by what they go into; they sum to the time.
pub(super) fn minutes(report: &Report<'_>) -> String {
    let wires = possible(report);
    let mut rows: Vec<Vec<String>> = Share::ALL
        .into_iter()
        .map(|share| {
            let cells = wires
                .iter()
                .map(|w| report.style.number(w.1.share(share).min_value(), 1));
            std::iter::once(share.words().to_owned())
                .chain(cells)
                .collect()
        })
        .collect();
    let all = wires
        .iter()
        .map(|w| report.style.number(w.1.minutes.median.min_value(), 1));
    rows.push(
        std::iter::once(say!("in all").to_owned())
            .chain(all)
            .collect(),
    );
    table(
        &with_head(&say!("minutes {}", for_what(report.pieces())), &wires),
        &rows,
    )
}

/// The lines of the cost; they sum to it.
pub(super) fn cost(report: &Report<'_>) -> String {
    let wires = possible(report);
    let Some((_, first)) = wires.first() else {
        return String::new();
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for line in first.cost.lines() {
        let of = |f: &Figures| f.cost.lines().into_iter().find(|l| l.what == line.what);
        let cells = wires.iter().map(|w| {
            let amount = of(w.1).map_or(Money::ZERO, |l| l.amount);
            report.style.money(amount)
        });
        rows.push(std::iter::once(line.what.to_owned()).chain(cells).collect());
    }
    let all = wires
        .iter()
        .map(|w| report.style.money(w.1.cost.part.median));
    rows.push(
        std::iter::once(say!("in all").to_owned())
            .chain(all)
            .collect(),
    );
    table(
        &with_head(&say!("cost {}", for_what(report.pieces())), &wires),
        &rows,
    )
}

/// The start holes of the wire shown, for the drill; empty where there are none.
pub(super) fn start_holes(report: &Report<'_>) -> String {
    let shown = report.comparison.estimates.get(report.shown);
    let Some((f, wire)) = shown.and_then(|e| Some((e.figures.as_ref()?, &e.candidate))) else {
        return String::new();
    };
    let style = report.style;
    let rows: Vec<Vec<String>> = drill_list(f, report.profile, report.job, wire)
        .iter()
        .map(|h| {
            let place = |mm| style.length(Length::from_mm(mm));
            vec![
                h.number.to_string(),
                place(h.at.x()),
                place(h.at.y()),
                style.typed_length(h.diameter),
                style.typed_length(h.depth),
                h.contour
                    .map_or(say!("open curve").to_owned(), |c| (c + 1).to_string()),
            ]
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    let head = [
        say!("number" in "of a start hole"),
        "x",
        "y",
        "Ø",
        say!("depth" in "a hole"),
        say!("contour"),
    ]
    .map(str::to_owned);
    table(&head, &rows)
}

/// Why time, wire, cost and finish of the wire shown are what they are, down to where each number is from.
pub(super) fn reasons(report: &Report<'_>) -> String {
    let mut out = String::new();
    let Some(e) = report.comparison.estimates.get(report.shown) else {
        return out;
    };
    for question in [
        Question::Minutes,
        Question::Wire,
        Question::Cost,
        Question::Finish,
    ] {
        if let Some(f) = explain(question, report.job, report.library, e) {
            unfold(&f, report.style, "", 0, &mut out);
        }
    }
    out
}

fn unfold(f: &Figure, style: Style, sign: &str, depth: usize, out: &mut String) {
    let clock = if f.unit == Unit::Minutes && f.value >= 60.0 {
        format!(" ≈ {}", style.time(Minutes::from_min(f.value)))
    } else {
        String::new()
    };
    let range = f.range.map_or_else(String::new, |(low, high)| {
        let end = |v| style.quantity(v, f.unit);
        say!(
            " <small>({} to {})</small>",
            escaped(&end(low)),
            escaped(&end(high))
        )
    });
    let line = format!(
        "{sign}{} <b>{}</b>{}{range}",
        escaped(&reasons::name(f, style)),
        escaped(&style.quantity(f.value, f.unit)),
        escaped(&clock)
    );
    match &f.origin {
        Origin::Value { .. } => {
            let rests_on = reasons::rests_on(&f.origin, style);
            let _ = write!(
                out,
                "<p class=\"leaf\">{line} <i>{}</i></p>",
                escaped(&rests_on)
            );
        }
        Origin::Formula { terms, note } => {
            let open = if depth < OPEN_DEPTH {
                " open=\"open\""
            } else {
                ""
            };
            let _ = write!(out, "<details{open}><summary>{line}</summary>");
            if !note.is_empty() {
                let _ = write!(
                    out,
                    "<p class=\"leaf\"><i>{}</i></p>",
                    escaped(&reasons::words(note, style))
                );
            }
            for (k, (sign, term)) in terms.iter().enumerate() {
                let sign = if k == 0 {
                    String::new()
                } else {
                    format!("{} ", sign.symbol())
                };
                if depth < MOST_DEPTH {
                    unfold(term, style, &sign, depth + 1, out);
                }
            }
            out.push_str("</details>");
        }
    }
}
