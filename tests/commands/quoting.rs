//! Quotes: every word of the content is on the pages, nothing leaves the paper, and the customer sees no rates.

use crate::calling::{run, sample};
use kerfcast::calibration::Day;
use kerfcast::drawing::Progress;
use kerfcast::enquiry::{DrawingFile, Item, QuoteWords};
use kerfcast::job::{Confirmed, Job};
use kerfcast::library::Library;
use kerfcast::profile::Keep;
use kerfcast::quote::document::Document;
use kerfcast::quote::layout::laid;
use kerfcast::quote::pages::{Mark, Pages, Paper};
use kerfcast::quote::pdf::pdf;
use kerfcast::quote::stationery::Stationery;
use kerfcast::quote::{Depth, Quote, Quoted, customer, shop};
use kerfcast::samples;
use kerfcast::words::{Style, System};
use std::process::Command;

fn quoted(bytes: &[u8], name: &str, change: impl Fn(&mut Job)) -> Quoted {
    let library = Library::built_in();
    let mut job = Job::starting(library);
    change(&mut job);
    let mut item = Item::new(name.to_owned(), DrawingFile::new(bytes.to_vec()), job);
    item.confirmed = Confirmed::ALL;
    let answered = item
        .answer(library, &Progress::default())
        .expect("it reads");
    Quoted::of(&item, answered, &[1, 5, 20], library)
}

fn words() -> QuoteWords {
    QuoteWords {
        number: "Q-17".to_owned(),
        date: "2026-11-25".to_owned(),
        customer: "Northmill Looms".to_owned(),
        ..QuoteWords::default()
    }
}

fn stationery() -> Stationery {
    Stationery {
        name: "Weaver & Daughters Toolroom".to_owned(),
        address: vec!["14 Shuttle Lane".to_owned()],
        currency: "€".to_owned(),
        ..Stationery::default()
    }
}

fn documents(items: &[Quoted], stationery: &Stationery, style: Style) -> [Document; 3] {
    let quote = Quote {
        items: items.iter().map(Quoted::item).collect(),
        library: Library::built_in(),
        stationery,
        logo: None,
        words: &words(),
        today: Day::parse("2026-11-30").expect("a day"),
        style,
    };
    [
        customer(&quote),
        shop(&quote, Depth::Sheet),
        shop(&quote, Depth::WithReasons),
    ]
}

fn letters(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// Every text of the content stands on the pages, word for word, and every mark lies on the paper.
fn check(document: &Document, pages: &Pages) {
    let shown = letters(&pages.text());
    for text in document.text() {
        for word in text.split_whitespace() {
            let word: String = letters(word);
            // Long words may be broken over lines, and a table column holds other cells between them.
            let known = shown.contains(&word) || word.chars().count() > 20;
            assert!(known, "{word:?} of {text:?}");
        }
    }
    let (width, height) = pages.paper.size();
    for mark in pages.pages.iter().flat_map(|p| &p.marks) {
        if let Mark::Text { x, y, line, .. } = mark {
            assert!(*x >= 0.0 && *y > 0.0 && *y < height, "{}", line.text);
            assert!(
                x + line.width <= width,
                "{} ends at {}",
                line.text,
                x + line.width
            );
        }
    }
}

/// Twelve square openings, whose corners no round wire makes.
fn square_openings() -> Vec<u8> {
    let square = |x: f64, y: f64, a: f64| {
        let corners = [(x, y), (x + a, y), (x + a, y + a), (x, y + a)];
        let corners = corners.map(|(x, y)| format!("10\n{x}\n20\n{y}\n"));
        format!("0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n{}", corners.concat())
    };
    let openings = (0..12).map(|k| {
        square(
            6.0 + 10.0 * f64::from(k % 4),
            6.0 + 10.0 * f64::from(k / 4),
            6.0,
        )
    });
    let all = openings.collect::<String>() + &square(0.0, 0.0, 50.0);
    format!("0\nSECTION\n2\nENTITIES\n{all}0\nENDSEC\n0\nEOF\n").into_bytes()
}

/// What holds for many contours is one sentence; what the shop might do about it is none of the customer's.
#[test]
fn the_same_of_many_openings_is_said_once() {
    let items = [quoted(&square_openings(), "grid.dxf", |_| {})];
    let [customer, sheet, _] = documents(&items, &stationery(), Style::plain(System::Metric));
    let said = |document: &Document, what: &str| {
        document.text().iter().filter(|t| t.contains(what)).count()
    };
    assert_eq!(said(&customer, "The wire is round: 12 contours have"), 1);
    assert_eq!(said(&customer, "accept it"), 0);
    assert_eq!(said(&sheet, "sharp inside corners"), 1);
}

/// Nobody said whether three rings are parts or openings: the shop reads what hangs on it, the customer how it was taken.
#[test]
fn the_shop_reads_what_contours_side_by_side_cost_either_way() {
    let circle = |x: u32| format!("0\nCIRCLE\n8\n0\n10\n{x}\n20\n0\n40\n5\n");
    let rings = [0, 20, 50].map(circle).concat();
    let rings = format!("0\nSECTION\n2\nENTITIES\n{rings}0\nENDSEC\n0\nEOF\n");
    let style = Style::plain(System::Metric);
    let taken = |keep| quoted(rings.as_bytes(), "rings.dxf", |job| job.keep = keep);
    let cost = |q: &Quoted| q.item().figures().expect("figures").cost.part.median;
    let (parts, openings) = (taken(Keep::Inside), taken(Keep::Outside));
    let told = format!(
        "{} as parts, {} as openings in a plate",
        style.money(cost(&parts)),
        style.money(cost(&openings))
    );
    let [customer, sheet, _] = documents(&[parts], &stationery(), style);
    let says = |document: &Document, what: &str| document.text().iter().any(|t| t.contains(what));
    assert!(says(&sheet, &told), "{told}");
    assert!(!says(&customer, &told));
    assert!(says(
        &customer,
        "whether they are parts or openings is assumed"
    ));
    let [_, sheet, _] = documents(&[openings], &stationery(), style);
    assert!(!says(&sheet, "as openings in a plate"));
}

#[test]
fn every_word_of_the_content_is_on_the_pages() {
    let hebrew = "לוח חיתוך 12.dxf";
    let long = format!("{}.dxf", "averylongnamewithoutanybreak".repeat(6));
    for (paper, system) in [(Paper::A4, System::Metric), (Paper::Letter, System::Inch)] {
        let stationery = Stationery {
            paper,
            ..stationery()
        };
        let names = [hebrew, long.as_str(), "c", "d", "e", "f"];
        let items: Vec<Quoted> = samples::ALL
            .iter()
            .zip(names)
            .map(|(s, name)| quoted(s.bytes, name, |job| job.quantity = 7))
            .collect();
        for document in documents(&items, &stationery, Style::of(system)) {
            let pages = laid(&document);
            check(&document, &pages);
            let bytes = pdf(&pages).expect("it is written");
            assert!(bytes.starts_with(b"%PDF-"));
        }
    }
}

/// Of many items four go on a page, nothing lies on anything else, and what cannot be priced is no part of the sum.
#[test]
fn many_items_make_a_list_whose_sum_is_of_those_with_a_price() {
    // Narrower than any wire.
    let pin = "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n9\n\
               0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n0.01\n0\nENDSEC\n0\nEOF\n";
    let mut items: Vec<Quoted> = (0..12)
        .map(|k| quoted(samples::ALL[k % 2].bytes, &format!("item {k}.dxf"), |_| {}))
        .collect();
    items.push(quoted(pin.as_bytes(), "pin.dxf", |_| {}));
    let stationery = Stationery {
        name: String::new(),
        address: Vec::new(),
        ..stationery()
    };
    let [customer, ..] = documents(&items, &stationery, Style::plain(System::Metric));
    let pages = laid(&customer);
    check(&customer, &pages);
    let name = |n: usize| format!("item {n}");
    let on = |n: usize| {
        let has = |mark: &Mark| matches!(mark, Mark::Text { line, .. } if line.text == name(n));
        pages.pages.iter().position(|p| p.marks.iter().any(has))
    };
    assert_eq!(
        [on(0), on(3), on(7), on(11)],
        [Some(0), Some(0), Some(1), Some(2)]
    );
    for page in &pages.pages {
        let texts = page.marks.iter().filter_map(|m| match m {
            Mark::Text {
                x, y, line, size, ..
            } => Some((*x, y - 0.7 * size, x + line.width, *y, &line.text)),
            _ => None,
        });
        let texts: Vec<_> = texts.collect();
        for (k, a) in texts.iter().enumerate() {
            for b in &texts[..k] {
                let apart = a.0 >= b.2 || b.0 >= a.2 || a.1 >= b.3 || b.1 >= a.3;
                assert!(apart, "{} on {}", a.4, b.4);
            }
        }
    }
    let sum: f64 = items
        .iter()
        .filter_map(|i| i.item().ladder.iter().find(|r| r.quantity == 1)?.lot)
        .map(|m| (m.amount() * 100.0).round() / 100.0)
        .sum();
    let text = customer.text();
    let at = text
        .iter()
        .position(|t| *t == "Sum of the items with a price");
    let said = text[at.expect("it is said of what it is the sum") + 1];
    let said: f64 = letters(said).parse().expect("a number");
    // Each lot is rounded by itself.
    assert!((said - sum).abs() <= 0.005 * 13.0, "{said} {sum}");
}

#[test]
fn the_customer_sees_no_rates_and_each_times_quantity_is_the_lot() {
    let items = [quoted(samples::ALL[0].bytes, "latch.dxf", |job| {
        job.shop.machine_rate = kerfcast::units::Money::from_amount(98.7654);
        job.shop.labour_rate = kerfcast::units::Money::from_amount(54.321);
    })];
    let stationery = stationery();
    let [customer, shop, _] = documents(&items, &stationery, Style::of(System::Metric));
    let text = laid(&customer).text();
    for secret in ["98.7", "54.3", "machine", "labour", "Cost"] {
        let told = text.lines().any(|l| l.starts_with(secret));
        assert!(!told, "{secret}");
    }
    assert!(laid(&shop).text().contains("labour"));
    let ladder = items[0].item().ladder;
    assert_eq!(
        ladder.iter().map(|r| r.quantity).collect::<Vec<_>>(),
        [1, 5, 20]
    );
    for rung in ladder {
        let (each, lot) = (rung.each.expect("a price"), rung.lot.expect("a price"));
        assert!((each.amount() * f64::from(rung.quantity) - lot.amount()).abs() < 1e-6);
    }
    // Set-up is spread over the lot: the more, the cheaper.
    assert!(ladder.windows(2).all(|w| w[1].each < w[0].each));
}

#[test]
#[ignore = "needs pdftotext of poppler"]
fn the_text_of_the_file_is_that_of_the_pages() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("quote.pdf");
    let name = file.display().to_string();
    let out = run(&[
        "quote",
        &sample("latch-cam"),
        "--thickness",
        "40",
        "--pdf",
        &name,
    ]);
    assert_eq!(out.status.code(), Some(0));
    let again = run(&[
        "quote",
        &sample("latch-cam"),
        "--thickness",
        "40",
        "--pdf",
        &name,
    ]);
    assert_eq!(again.status.code(), Some(2));
    let text = Command::new("pdftotext")
        .args(["-raw", &name, "-"])
        .output()
        .expect("pdftotext");
    assert!(text.stderr.is_empty());
    let text = letters(&String::from_utf8(text.stdout).expect("UTF-8"));
    for said in [
        "Quotation",
        "latch-cam.dxf",
        "cold-work tool steel",
        "Not included",
        "Page 1 of",
    ] {
        assert!(text.contains(&letters(said)), "{said}");
    }
}
