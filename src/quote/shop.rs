//! What the shop keeps beside the machine: how it is set up, where it is threaded, in which order it is cut, who has to
//! be there when, and what it costs.

use super::Quote;
use super::document::{Align, Block, Document, Table};
use super::picture::Picture;
use super::quoted::{QuotedItem, title_of};
use crate::drawing::Severity;
use crate::estimate::{Doing, Figures, Question, Quotable, Stint, by_the_clock, explain};
use crate::geometry::{Bounds, Point};
use crate::job::hours::WEEK;
use crate::job::{WeekTime, cut_contours, passes_words};
use crate::language::said;
use crate::plan::Share;
use crate::process::PassNumber;
use crate::profile::Keep;
use crate::reason::{Figure, Origin};
use crate::units::{Length, Mass};
use crate::words::at_stake;
use crate::words::cautions::{self, ALWAYS, CautionText, PLANNING_AID, SLUGS, WHAT_COMES_FIRST};
use crate::words::reasons;
use crate::words::{clock as clock_words, obstacles, ways};

/// More start holes than this are left to a list of their own.
const MOST_HOLES: usize = 96;
/// More rows than this of the order of cutting are told in a line.
const MOST_ROWS: usize = 40;
/// More times than this at which somebody is needed are told in a line.
const MOST_TIMES: usize = 12;
/// Deepest reasons that are written.
const MOST_DEPTH: usize = 3;

/// How much the shop's sheet says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Depth {
    /// What is needed at the machine.
    #[default]
    Sheet,
    /// And why the figures are what they are.
    WithReasons,
}

/// The shop's sheets, one after the other.
pub fn shop(quote: &Quote<'_>, depth: Depth) -> Document {
    let mut blocks = Vec::new();
    let many = quote.items.len() > 1;
    for i in &quote.items {
        if many {
            blocks.push(Block::Heading(title_of(i.name)));
        }
        sheet(quote, i, depth, &mut blocks);
    }
    blocks.push(Block::Heading(say!("Cautions").to_owned()));
    blocks.push(Block::Titled(to_beware_of(quote)));
    let name = match &quote.items[..] {
        [one] => title_of(one.name),
        _ => quote.number(),
    };
    Document {
        paper: quote.stationery.paper,
        letterhead: super::document::Letterhead {
            name: quote.stationery.name.clone(),
            ..Default::default()
        },
        title: say!("Set-up sheet · {name}"),
        name: say!("Set-up sheet · {name}"),
        facts: vec![
            (say!("Number").to_owned(), quote.number()),
            (say!("Date").to_owned(), quote.date()),
        ],
        blocks,
        foot: say!("For the shop only · planning aid, no machine setting").to_owned(),
    }
}

fn sheet(quote: &Quote<'_>, i: &QuotedItem<'_>, depth: Depth, blocks: &mut Vec<Block>) {
    let style = quote.style;
    let mut section = |name: &str, list: Vec<Block>| {
        blocks.push(Block::Heading(name.to_owned()));
        blocks.extend(list);
    };
    section(say!("Set-up"), vec![Block::Facts(set_up(quote, i))]);
    let size = |p: Point| {
        let side = |mm: f64| style.typed_length(Length::from_mm((mm * 100.0).round() / 100.0));
        format!("{} × {}", side(p.x), side(p.y))
    };
    let picture = Picture::of(&i.drawing.profile, i.job, size);
    let with_wire = |p: Picture| match i.estimate() {
        Some(e) => p.with_wire(e),
        None => p,
    };
    if let Some(picture) = picture.map(with_wire) {
        section(
            say!("Drawing, path of the rough, start holes"),
            vec![Block::Drawing(Box::new(picture))],
        );
    }
    if let Some(f) = i.figures() {
        for (name, table, rest) in [
            start_holes(quote, i, f),
            order_of_cutting(quote, i, f),
            when_needed(quote, i, f),
        ] {
            if table.rows.is_empty() {
                continue;
            }
            let mut list = vec![Block::Table(table)];
            list.extend(rest.map(Block::Note));
            section(name, list);
        }
        section(say!("Minutes"), vec![Block::Table(minutes(quote, i, f))]);
        section(say!("Cost"), vec![Block::Table(cost(quote, i, f))]);
    }
    let notes = to_look_at(quote, i);
    if !notes.is_empty() {
        section(say!("To look at"), vec![Block::List(notes)]);
    }
    if depth == Depth::WithReasons {
        section(say!("Reasons"), vec![Block::Table(reasons(quote, i))]);
    }
}

fn set_up(quote: &Quote<'_>, i: &QuotedItem<'_>) -> Vec<(String, String)> {
    let (style, job) = (quote.style, i.job);
    let keep = match job.keep {
        Keep::Inside => say!("the inside (part, punch)"),
        Keep::Outside => say!("the outside (die, opening)"),
    };
    let machine = job.machine_in(quote.library);
    let machine = machine.map(|m| (say!("Machine"), m.name.clone()));
    let mut out = vec![
        (say!("Drawing"), i.name.to_owned()),
        (say!("Material"), said(&job.material).to_owned()),
        (say!("Thickness"), style.typed_length(job.thickness)),
        (say!("Quantity"), style.number(f64::from(job.quantity), 0)),
        (say!("Keep"), keep.to_owned()),
        (say!("Passes"), passes_words(job.passes)),
        (say!("Flushing"), job.flushing.words().to_owned()),
        (
            say!("Order"),
            format!("{}, {}", ways::order(job.order), ways::cut_off(job.cut_off)),
        ),
    ];
    out.extend(machine);
    if let Some(e) = i.estimate() {
        out.push((say!("Wire"), style.candidate(&e.candidate)));
    }
    if let Some((e, f)) = i.estimate().zip(i.figures()) {
        let lot = f64::from(job.quantity);
        out.push((
            say!("Wire a lot"),
            format!(
                "{}, {}, {} {}",
                style.wire(f.wire.median * lot),
                style.mass(Mass::from_kg(f.wire_mass.kg() * lot)),
                style.count(f.spools.ceil() as usize, say!("spool"), say!("spools")),
                job.shop.spool
            ),
        ));
        if let Some(plate) = f.plate() {
            out.push((
                say!("Blank"),
                format!(
                    "{} × {} × {}, {}",
                    style.typed_length(plate.sides.0),
                    style.typed_length(plate.sides.1),
                    style.typed_length(plate.thickness),
                    style.mass(plate.mass)
                ),
            ));
        }
        out.push((
            say!("Time a part"),
            format!(
                "{} ({})",
                quote.time(f.minutes.median),
                style.time_range(f.minutes.low, f.minutes.high)
            ),
        ));
        if let Some(c) = by_the_clock(f, &e.candidate, job, quote.library) {
            out.push((say!("Begin"), moment(c.begun)));
            let walked = if c.is_whole() {
                say!("by the median").to_owned()
            } else {
                let parts = style.number(f64::from(c.parts), 0);
                say!("about, at the pace of the first {parts} parts")
            };
            out.push((say!("Done"), format!("{}, {walked}", moment(c.all_done()))));
        }
    }
    let verdict = Quotable::of(i.drawing.verdict, Some(i.comparison));
    out.push((say!("Verdict"), at_stake::quotable(verdict).to_owned()));
    let own = |(n, v): (&str, String)| (n.to_owned(), v);
    out.into_iter().map(own).collect()
}

/// "Mon 8:00", with the weeks that have passed since the week of the begin.
fn moment(minutes: f64) -> String {
    let weeks = (minutes / WEEK).floor();
    let at = WeekTime::after_monday(minutes);
    if weeks > 0.0 {
        say!("{at}, {weeks:.0} wk on")
    } else {
        at.to_string()
    }
}

type Section = (&'static str, Table, Option<String>);

/// Where the wire is threaded, from the lower left corner of the box around what is cut.
fn start_holes(quote: &Quote<'_>, i: &QuotedItem<'_>, f: &Figures) -> Section {
    let style = quote.style;
    let mut bounds = Bounds::EMPTY;
    cut_contours(i.job, &i.drawing.profile)
        .for_each(|c| bounds.include_bounds(&c.1.shape.bounds()));
    let threaded: Vec<_> = f.starts.iter().filter(|s| s.threaded).collect();
    let at = |mm: f64| {
        let (value, decimals) = match style.system {
            crate::words::System::Metric => (mm, 3),
            crate::words::System::Inch => (mm / 25.4, 4),
        };
        style.number(value, decimals)
    };
    let rows = threaded.iter().take(MOST_HOLES).enumerate();
    let rows: Vec<Vec<String>> = rows
        .map(|(k, s)| {
            let hole = s.start.hole - bounds.min;
            vec![
                (k + 1).to_string(),
                (s.contour + 1).to_string(),
                at(hole.x),
                at(hole.y),
            ]
        })
        .collect();
    let unit = style.system.length_unit();
    let mut rest = say!("From the lower left corner of the box around what is cut, in {unit}.");
    if threaded.len() > MOST_HOLES {
        rest += &say!(
            " {} more are in the list of start holes, which is exported by itself.",
            style.number((threaded.len() - MOST_HOLES) as f64, 0)
        );
    }
    let numbers = |head: &str| (head.to_owned(), Align::Numbers);
    let table = Table {
        columns: vec![
            numbers(say!("No.")),
            numbers(say!("Contour")),
            numbers("X"),
            numbers("Y"),
        ],
        across: if rows.len() > 4 { 3 } else { 1 },
        rows,
        ..Table::default()
    };
    (say!("Start holes"), table, Some(rest))
}

/// Neighbours in the order of cutting of which the same is said.
struct Row {
    first: usize,
    last: usize,
    count: usize,
    cells: Vec<String>,
}

/// Contours in the order in which they are cut, equal neighbours in one row.
fn order_of_cutting(quote: &Quote<'_>, i: &QuotedItem<'_>, f: &Figures) -> Section {
    let style = quote.style;
    let profile = &i.drawing.profile;
    let mut rows: Vec<Row> = Vec::new();
    for s in &f.starts {
        let Some(drawn) = profile.contours().get(s.contour) else {
            continue;
        };
        let passes = f.steps.iter().filter(|t| t.contour == Some(s.contour));
        let passes = passes.filter_map(|t| t.pass).max();
        let passes = passes.map_or(1, PassNumber::number);
        let minutes = f.steps.iter().filter(|t| t.contour == Some(s.contour));
        let minutes = minutes.map(|t| t.minutes).sum();
        let slug: Mass = f
            .slugs
            .iter()
            .filter(|g| g.contour == s.contour)
            .map(|g| g.mass)
            .sum();
        let part: Mass = f
            .parts
            .iter()
            .filter(|g| g.contour == s.contour)
            .map(|g| g.mass)
            .sum();
        let mass = slug + part;
        let cells = vec![
            i.job.role(profile, s.contour).word().to_owned(),
            style.length(drawn.drawn_length),
            passes.to_string(),
            style.typed_length(Length::from_mm((s.tab.mm() * 100.0).round() / 100.0)),
            if mass > Mass::ZERO {
                grams(quote, mass)
            } else {
                "–".to_owned()
            },
            style.step_time(minutes),
        ];
        match rows.last_mut().filter(|r| r.cells == cells) {
            Some(row) => {
                row.last = s.contour;
                row.count += 1;
            }
            None => rows.push(Row {
                first: s.contour,
                last: s.contour,
                count: 1,
                cells,
            }),
        }
    }
    let left = rows.len().saturating_sub(MOST_ROWS);
    let shown = rows.into_iter().take(MOST_ROWS).map(|r| {
        let name = match r.count {
            1 => (r.first + 1).to_string(),
            n => format!("{} … {} ({n})", r.first + 1, r.last + 1),
        };
        let mut cells = vec![name];
        cells.extend(r.cells);
        cells
    });
    let heads = [
        say!("Contour"),
        say!("Is"),
        say!("Length"),
        say!("Passes"),
        say!("Tab"),
        say!("Comes loose"),
        say!("Minutes each"),
    ];
    let align = |head: &str| {
        let align = if [say!("Contour"), say!("Is")].contains(&head) {
            Align::Words
        } else {
            Align::Numbers
        };
        (head.to_owned(), align)
    };
    let table = Table {
        rows: shown.collect(),
        columns: heads.into_iter().map(align).collect(),
        wide: true,
        ..Table::default()
    };
    let rest = (left > 0).then(|| {
        say!(
            "{} more rows follow in the list of steps.",
            style.number(left as f64, 0)
        )
    });
    (say!("Order of cutting"), table, rest)
}

fn grams(quote: &Quote<'_>, mass: Mass) -> String {
    match quote.style.system {
        crate::words::System::Metric if mass.kg() < 1.0 => quote
            .style
            .with_unit(&quote.style.significant(mass.kg() * 1000.0, 2), "g"),
        _ => quote.style.mass(mass),
    }
}

/// When somebody has to be at the machine. That somebody works at it goes without saying; what stands idle is said.
fn when_needed(quote: &Quote<'_>, i: &QuotedItem<'_>, f: &Figures) -> Section {
    let clock = i
        .estimate()
        .and_then(|e| by_the_clock(f, &e.candidate, i.job, quote.library));
    let stints = clock.iter().flat_map(|c| &c.stints);
    let needed: Vec<_> = stints.filter(|s| s.doing != Doing::Runs).collect();
    let waits = needed.iter().any(|s| s.doing != Doing::Attended);
    let row = |s: &&Stint| {
        let mut cells = vec![
            moment(s.from),
            moment(s.to),
            s.contour.map_or_else(String::new, |k| (k + 1).to_string()),
        ];
        if waits {
            let what = match s.doing {
                Doing::Attended | Doing::Runs => "",
                Doing::Waits => say!("idle until somebody comes"),
                Doing::OutOfWire => say!("out of wire, idle until somebody comes"),
            };
            cells.push(what.to_owned());
        }
        cells
    };
    let mut columns = vec![
        (say!("From").to_owned(), Align::Words),
        (say!("To").to_owned(), Align::Words),
        (say!("Contour").to_owned(), Align::Numbers),
    ];
    if waits {
        columns.push((String::new(), Align::Words));
    }
    let table = Table {
        columns,
        rows: needed.iter().take(MOST_TIMES).map(row).collect(),
        ..Table::default()
    };
    let more = needed.len().saturating_sub(MOST_TIMES);
    let mut rest = Vec::new();
    if more > 0 {
        let times = quote.style.number(more as f64, 0);
        rest.push(say!("And {times} times more."));
    }
    if let Some(c) = &clock {
        let again = c.repeats.iter().map(|r| {
            let again = clock_words::again(r);
            say!("From {} on {again}.", moment(r.from))
        });
        rest.extend(again);
        rest.extend(clock_words::walked_in_part(c, &moment(c.all_done())));
    }
    let rest = (!rest.is_empty()).then(|| rest.join(" "));
    (say!("Somebody is needed"), table, rest)
}

fn minutes(quote: &Quote<'_>, i: &QuotedItem<'_>, f: &Figures) -> Table {
    let lot = f64::from(i.job.quantity);
    let cell = |m: f64| quote.style.number(m, 1);
    let shares = Share::ALL.into_iter();
    let row = |name: &str, m: f64| vec![name.to_owned(), cell(m), cell(m * lot)];
    let mut rows: Vec<_> = shares
        .map(|s| (s, f.share(s).min_value()))
        .filter(|s| s.1 > 0.0)
        .map(|(s, m)| row(s.words(), m))
        .collect();
    rows.push(row(say!("In all"), f.minutes.median.min_value()));
    by_part_and_lot(rows, "", say!("Min a part"), say!("Min a lot"))
}

fn cost(quote: &Quote<'_>, i: &QuotedItem<'_>, f: &Figures) -> Table {
    let lot = f64::from(i.job.quantity);
    let row = |name: &str, amount: f64| {
        vec![
            name.to_owned(),
            quote.style.number(amount, 2),
            quote.style.number(amount * lot, 2),
        ]
    };
    let lines = f.cost.lines();
    let mut rows: Vec<_> = lines
        .iter()
        .map(|l| row(l.what, l.amount.amount()))
        .collect();
    rows.push(row(say!("In all"), f.cost.part.median.amount()));
    by_part_and_lot(
        rows,
        "",
        &quote.in_currency(say!("A part")),
        &quote.in_currency(say!("A lot")),
    )
}

fn by_part_and_lot(rows: Vec<Vec<String>>, what: &str, part: &str, lot: &str) -> Table {
    Table {
        columns: vec![
            (what.to_owned(), Align::Words),
            (part.to_owned(), Align::Numbers),
            (lot.to_owned(), Align::Numbers),
        ],
        rows,
        sum: true,
        ..Table::default()
    }
}

fn to_look_at(quote: &Quote<'_>, i: &QuotedItem<'_>) -> Vec<String> {
    let system = quote.style.system;
    let parts = i.figures().map(|f| f.cost.part.median);
    let open = i.drawing.findings.iter();
    let open = open.filter(|f| f.severity() != Severity::Note);
    let mut out: Vec<String> = open
        .map(|f| at_stake::finding(f, parts, i.as_openings, quote.style))
        .collect();
    let own = i.estimate().into_iter().flat_map(|e| &e.obstacles);
    out.extend(obstacles::told(own, system).into_iter().map(|t| t.sentence));
    let mut seen = std::collections::HashSet::new();
    out.retain(|t| seen.insert(t.clone()));
    out
}

fn to_beware_of(quote: &Quote<'_>) -> Vec<(String, String)> {
    let mut all = vec![SLUGS];
    all.extend(ALWAYS);
    for i in &quote.items {
        let material = quote.library.material(&i.job.material);
        all.extend(material.and_then(|m| m.caution).map(cautions::of_material));
    }
    all.push(PLANNING_AID);
    all.dedup();
    let mut out: Vec<(String, String)> = all
        .into_iter()
        .map(CautionText::spoken)
        .map(|c| (c.title.to_owned(), c.text.to_owned()))
        .collect();
    out.push((String::new(), said(WHAT_COMES_FIRST).to_owned()));
    out
}

/// Why time, wire, cost and finish are what they are, the terms of each set in below it.
fn reasons(quote: &Quote<'_>, i: &QuotedItem<'_>) -> Table {
    let mut rows = Vec::new();
    let questions = [
        Question::Minutes,
        Question::Wire,
        Question::Cost,
        Question::Finish,
    ];
    for question in questions {
        let answer = i
            .estimate()
            .and_then(|e| explain(question, i.job, quote.library, e));
        if let Some(figure) = answer {
            unfold(quote, &figure, 0, &mut rows);
        }
    }
    Table {
        columns: vec![
            (say!("What").to_owned(), Align::Words),
            (say!("Value").to_owned(), Align::Numbers),
            (say!("Rests on").to_owned(), Align::Words),
        ],
        rows,
        wide: true,
        ..Table::default()
    }
}

fn unfold(quote: &Quote<'_>, figure: &Figure, depth: usize, rows: &mut Vec<Vec<String>>) {
    rows.push(vec![
        format!(
            "{}{}",
            "\u{2003}".repeat(depth),
            reasons::name(figure, quote.style)
        ),
        quote.style.quantity(figure.value, figure.unit),
        reasons::rests_on(&figure.origin, quote.style),
    ]);
    if let Origin::Formula { terms, .. } = &figure.origin
        && depth < MOST_DEPTH
    {
        terms
            .iter()
            .for_each(|(_, term)| unfold(quote, term, depth + 1, rows));
    }
}
