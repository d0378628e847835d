//! What the customer gets: items with their drawing, prices, what they hold and what they rest on.

use super::Quote;
use super::document::{Align, Block, Document, Item, Table};
use super::picture::Picture;
use super::quoted::{QuotedItem, Rung, title_of};
use super::stationery::said_lines;
use crate::drawing::{Severity, UnitSource, Verdict};
use crate::estimate::{Estimate, Obstacle, ObstacleKind};
use crate::job::passes_words;
use crate::language::said;
use crate::units::{Length, Mass, Money};
use crate::words::{Style, quoting, style};
use std::collections::BTreeSet;

/// The quotation.
pub fn customer(quote: &Quote<'_>) -> Document {
    let stationery = quote.stationery;
    let words = quote.words;
    let mut facts = vec![
        (say!("Number").to_owned(), quote.number()),
        (say!("Date").to_owned(), quote.date()),
    ];
    let given = |text: &str| Some(text.trim().to_owned()).filter(|t| !t.is_empty());
    let mut fact = |name: &str, value: Option<String>| {
        facts.extend(value.map(|v| (name.to_owned(), v)));
    };
    fact(say!("Valid until"), quote.valid_until());
    fact(say!("For"), given(&words.customer));
    fact(say!("Your reference"), given(&words.reference));
    let items = quote.items.iter().enumerate();
    let mut blocks: Vec<Block> = items
        .map(|(k, i)| Block::Item(Box::new(item(quote, k, i))))
        .collect();
    if quote.items.len() > 1 {
        blocks.push(Block::Heading(say!("Together").to_owned()));
        blocks.push(Block::Table(together(quote)));
    }
    blocks.push(Block::Heading(say!("Lead time").to_owned()));
    let lead_time = || quoting::lead_time(stationery.days_before);
    blocks.push(Block::Text(
        given(&words.lead_time).unwrap_or_else(lead_time),
    ));
    let mut list = |name: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            blocks.push(Block::Heading(name.to_owned()));
            blocks.push(Block::List(lines));
        }
    };
    let own = |own: &str, standing: &[String]| match lines_of(own) {
        none if none.is_empty() => said_lines(standing),
        lines => lines,
    };
    list(say!("Included"), own(&words.included, &stationery.included));
    list(
        say!("Not included"),
        own(&words.excluded, &stationery.excluded),
    );
    list(say!("Remarks"), lines_of(&words.remarks));
    list(say!("This rests on"), assumptions(quote));
    list(say!("Terms"), stationery.terms.clone());
    blocks.push(Block::Heading(say!("On use").to_owned()));
    let own = |t: &&str| said(t).to_owned();
    blocks.push(Block::List(quoting::ON_USE.iter().map(own).collect()));
    Document {
        paper: stationery.paper,
        letterhead: quote.letterhead(),
        title: say!("Quotation").to_owned(),
        name: say!("Quotation {}", quote.number()),
        facts,
        blocks,
        foot: stationery.name.clone(),
    }
}

/// What was typed line by line, without empty ones.
fn lines_of(text: &str) -> Vec<String> {
    let lines = text.lines().map(str::trim).filter(|l| !l.is_empty());
    lines.map(str::to_owned).collect()
}

fn item(quote: &Quote<'_>, index: usize, i: &QuotedItem<'_>) -> Item {
    let (style, ladder) = (quote.style, i.ladder);
    let (job, profile) = (i.job, &i.drawing.profile);
    let size = |p: crate::geometry::Point| {
        let side = |mm: f64| style.typed_length(Length::from_mm((mm * 100.0).round() / 100.0));
        format!("{} × {}", side(p.x), side(p.y))
    };
    let picture = Picture::of(profile, job, size);
    let mut facts = vec![
        (say!("Drawing"), i.name.to_owned()),
        (say!("Material"), said(&job.material).to_owned()),
        (say!("Thickness"), style.typed_length(job.thickness)),
    ];
    if let Some(p) = &picture {
        facts.push((say!("Size"), p.size.clone()));
    }
    if let Some(f) = i.figures() {
        let mass: Mass = f.parts.iter().map(|p| p.mass).sum();
        let pieces = f.parts.len().max(1);
        if mass > Mass::ZERO {
            let each = Mass::from_kg(mass.kg() / pieces as f64);
            facts.push((say!("Mass"), style.mass(each)));
        }
        facts.push((
            say!("Cut by"),
            say!("wire EDM, {}", passes_words(job.passes)),
        ));
        facts.push((
            say!("Finish"),
            say!(
                "usually Ra {} {}",
                style.roughness(f.finish.roughness_um),
                style.roughness_unit()
            ),
        ));
    }
    let count = i.pieces();
    if count > 1 {
        facts.push((say!("Pieces"), say!("{count} in each set")));
    }
    let mut notes = Vec::new();
    if ladder.is_empty() {
        notes.push(said(quoting::NO_PRICE).to_owned());
    }
    Item {
        number: (index + 1).to_string(),
        name: title_of(i.name),
        picture,
        facts: facts.into_iter().map(|(n, v)| (n.to_owned(), v)).collect(),
        ladder: prices(quote, ladder, count),
        notes,
    }
}

fn prices(quote: &Quote<'_>, ladder: &[Rung], pieces: usize) -> Table {
    let each = if pieces > 1 {
        say!("A set")
    } else {
        say!("Each")
    };
    let columns = vec![
        (say!("Quantity").to_owned(), Align::Numbers),
        (quote.in_currency(each), Align::Numbers),
        (quote.in_currency(say!("Lot")), Align::Numbers),
        (say!("Working days").to_owned(), Align::Numbers),
    ];
    let row = |r: &Rung| {
        vec![
            quote.style.number(f64::from(r.quantity), 0),
            quote.money(r.each),
            quote.money(r.lot),
            days(quote, r),
        ]
    };
    Table {
        columns,
        rows: ladder.iter().map(row).collect(),
        ..Table::default()
    }
}

fn days(quote: &Quote<'_>, rung: &Rung) -> String {
    let whole = |d: u32| quote.style.number(f64::from(d), 0);
    rung.days.map_or_else(
        || "–".to_owned(),
        |d| whole(d + quote.stationery.days_before),
    )
}

/// All items in the quantity of their job, and their sum.
fn together(quote: &Quote<'_>) -> Table {
    let mut rows = Vec::new();
    let mut sum: Option<Money> = None;
    let mut all_have = true;
    for i in &quote.items {
        let own = i.ladder.iter().find(|r| r.quantity == i.job.quantity);
        let lot = own.and_then(|r| r.lot);
        all_have &= lot.is_some();
        sum = match (sum, lot) {
            (Some(before), Some(lot)) => Some(before + lot),
            (before, lot) => before.or(lot),
        };
        rows.push(vec![
            title_of(i.name),
            quote.style.number(f64::from(i.job.quantity), 0),
            quote.money(own.and_then(|r| r.each)),
            quote.money(lot),
        ]);
    }
    rows.push(vec![
        if all_have {
            say!("Sum").to_owned()
        } else {
            say!("Sum of the items with a price").to_owned()
        },
        String::new(),
        String::new(),
        quote.money(sum),
    ]);
    Table {
        columns: vec![
            (say!("Item").to_owned(), Align::Words),
            (say!("Quantity").to_owned(), Align::Numbers),
            (quote.in_currency(say!("Each")), Align::Numbers),
            (quote.in_currency(say!("Lot")), Align::Numbers),
        ],
        rows,
        sum: true,
        ..Table::default()
    }
}

/// Inside radii that a wire leaves larger than drawn, in one sentence.
fn radii_left(e: &Estimate, style: Style) -> Option<String> {
    let of = |o: &Obstacle| match o.kind {
        ObstacleKind::InsideRadius { leaves, depth, .. } => Some((o.contour(), leaves, depth)),
        _ => None,
    };
    let all: Vec<_> = e.obstacles.iter().filter_map(of).collect();
    let contours: BTreeSet<Option<usize>> = all.iter().map(|r| r.0).collect();
    let most = all.into_iter().map(|r| (r.1, r.2));
    let (leaves, depth) = most.reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))?;
    Some(quoting::radii_left(leaves, contours.len(), depth, style))
}

/// What the prices rest on, each sentence once with the items that it is of.
fn assumptions(quote: &Quote<'_>) -> Vec<String> {
    let mut told: Vec<(String, Vec<usize>)> = Vec::new();
    for (k, i) in quote.items.iter().enumerate() {
        let mut own: Vec<String> = Vec::new();
        own.extend(i.confirmed.words().map(str::to_owned));
        if i.drawing.units.from == UnitSource::Guess {
            own.push(quoting::unit_taken(i.drawing.units.used.sign()));
        }
        if i.drawing.verdict != Verdict::SafeToQuote {
            let open = i.drawing.findings.iter();
            // The unit is told above, in the words of a quote.
            let open =
                open.filter(|f| f.severity() != Severity::Note && f.code() != "units-guessed");
            own.extend(
                open.filter_map(|f| quoting::of_finding(f.fault))
                    .map(str::to_owned),
            );
        }
        if let Some(e) = i.estimate() {
            own.extend(radii_left(e, quote.style));
        }
        for text in own {
            match told.iter_mut().find(|(known, _)| *known == text) {
                Some((_, items)) if items.last() == Some(&(k + 1)) => {}
                Some((_, items)) => items.push(k + 1),
                None => told.push((text, vec![k + 1])),
            }
        }
    }
    let all = quote.items.len();
    let of_items = |(text, items): (String, Vec<usize>)| match items.as_slice() {
        _ if all == 1 => text,
        some if some.len() == all => say!("All items: {text}"),
        [one] => say!("Item {one}: {text}"),
        some => say!("Items {}: {text}", style::ranges(some)),
    };
    let mut out = vec![said(quoting::AS_DRAWN).to_owned()];
    out.extend(told.into_iter().map(of_items));
    out
}
