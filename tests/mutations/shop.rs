//! Mutated files of the shop: libraries, tables of finished cuts, rates and job files. Whatever the bytes, an answer and
//! no panic; what is read can be worked with, written and read again; what is not understood keeps every byte.
//!
//! `KERFCAST_FUZZ_CASES=100000 cargo test --test mutations shop` makes a long run of each.

use super::{LONGEST, Random, keep, mutate, worked};
use kerfcast::calibration::{Cut, Day, Edit, Log, fit};
use kerfcast::drawing::Progress;
use kerfcast::enquiry::{DrawingFile, Enquiry, Item};
use kerfcast::estimate::{Comparison, compare};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{Candidate, Job};
use kerfcast::library::{Change, CurvePoint, Library, LibraryTable, UserLibrary};
use kerfcast::plan::PathCache;
use kerfcast::profile::Profile;
use kerfcast::shop_files::Rates;
use kerfcast::units::Length;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Cases of a short run, of each kind.
const SHORT_RUN: u64 = 300;

/// Works the cases; `work` says what is wrong with an answer, and whether the file was read at all.
fn worked_through(
    seeds: &[Vec<u8>],
    work: impl Fn(&[u8]) -> Result<bool, String> + std::panic::RefUnwindSafe,
) {
    let of = |name: &str, usual| {
        let set = std::env::var(name).ok().and_then(|v| v.parse().ok());
        set.unwrap_or(usual)
    };
    let (cases, first) = (
        of("KERFCAST_FUZZ_CASES", SHORT_RUN),
        of("KERFCAST_FUZZ_FIRST", 0),
    );
    let run = Instant::now();
    let (mut read, mut faults, mut slowest) = (0_u64, Vec::new(), (Duration::ZERO, 0));
    // The seeds themselves are read.
    for seed in seeds {
        assert_eq!(work(seed), Ok(true), "{}", String::from_utf8_lossy(seed));
    }
    for case in first..first + cases {
        let mut random = Random(case.wrapping_mul(0xD134_2543_DE82_EF95) ^ 0x5407);
        let seed = &seeds[random.below(seeds.len())];
        let bytes = mutate(seed, &mut random);
        let start = worked(run);
        let result = std::panic::catch_unwind(|| work(&bytes));
        let took = worked(run).saturating_sub(start);
        slowest = slowest.max((took, case));
        let fault = match result {
            Err(_) => Some("panicked".to_owned()),
            Ok(Err(fault)) => Some(fault),
            Ok(_) if took > LONGEST => Some(format!("took {took:?}")),
            Ok(Ok(was_read)) => {
                read += u64::from(was_read);
                None
            }
        };
        if let Some(fault) = fault {
            eprintln!("case {case} {fault}");
            keep(case, &bytes);
            faults.push(format!("case {case} {fault}"));
        }
    }
    println!("{cases} cases from {first}, {read} read, the slowest {slowest:?}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn job() -> Job {
    Job {
        thickness: Length::from_mm(30.0),
        candidates: vec![Candidate::new("hard plain brass", 0.25)],
        ..Job::starting(Library::built_in())
    }
}

fn is_defined(comparison: &Comparison) -> bool {
    comparison.estimates.iter().all(|e| {
        e.figures.as_ref().is_none_or(|f| {
            let all = [
                f.minutes.low.min_value(),
                f.minutes.median.min_value(),
                f.minutes.high.min_value(),
                f.wire.median.m(),
            ];
            all.iter().all(|v| v.is_finite() && *v >= 0.0)
                && f.cost.part.median.amount().is_finite()
        })
    })
}

fn wrong(what: &str) -> String {
    format!("is wrong: {what}")
}

fn own_library() -> UserLibrary {
    let number = |l: UserLibrary, table, entry, field, v| {
        let changed = l.with_change(table, entry, field, Change::Number(v));
        changed.expect("a value that may be")
    };
    let l = UserLibrary::default();
    let l = number(l, LibraryTable::Overheads, "machine_rate", "value", 61.5);
    let l = number(l, LibraryTable::Overheads, "slug_removal", "value", 3.0);
    let point = |thickness_mm, rate_mm2_per_min| CurvePoint {
        thickness_mm,
        rate_mm2_per_min,
    };
    let curve = vec![point(10.0, 110.0), point(40.0, 170.0), point(90.0, 180.0)];
    l.with_curve(curve).expect("a curve")
}

#[test]
fn mutated_libraries_are_answered() {
    let by_hand = "# Ours since 2019\nkerfcast_library = 1\n\n[overheads]\nlabour_rate = 48 # agreed in May\nmachine_rate = 61\n";
    let circle = Contour::circle(Point::ORIGIN, 20.0);
    let profile = Profile::of_shapes(vec![circle]);
    let seeds = [own_library().to_toml(), by_hand.to_owned()].map(String::into_bytes);
    worked_through(&seeds, |bytes| {
        let Ok(own) = UserLibrary::from_bytes(bytes) else {
            return Ok(false);
        };
        if !own.faults().is_empty() {
            return Err(wrong("it was read with faults"));
        }
        let again = UserLibrary::parse(&own.to_toml());
        if again.ok().as_ref() != Some(&own) {
            return Err(wrong("written, it reads otherwise"));
        }
        let library = own.over(Library::built_in());
        let comparison = compare(&profile, &job(), &library, &PathCache::default());
        if !is_defined(&comparison) {
            return Err(wrong("figures that are no numbers"));
        }
        let change = Change::Number(77.0);
        let to = own.with_change(LibraryTable::Overheads, "machine_rate", "value", change);
        let to = to.map_err(|e| wrong(&format!("{e:?}")))?;
        let text = std::str::from_utf8(bytes).unwrap_or("");
        if let Some(changed) = to.carried_over(&own, text) {
            let now = UserLibrary::parse(&changed.text);
            if now.is_ok_and(|now| now.overheads["machine_rate"].value != 77.0) {
                return Err(wrong("a change did not arrive"));
            }
        }
        Ok(true)
    });
}

#[test]
fn mutated_rates_are_answered() {
    let mut rates = Rates::of_library(Library::built_in());
    rates.shop.machine_rate = kerfcast::units::Money::from_amount(83.0);
    let by_hand =
        "# ours\nkerfcast_rates = 1\nmachine_rate = 137 # with the new lease\nlabour_rate = 71\n";
    let seeds = [rates.to_toml(), by_hand.to_owned()].map(String::into_bytes);
    worked_through(&seeds, |bytes| {
        let library = Library::built_in();
        let Ok((rates, _)) = Rates::parse(bytes, library) else {
            return Ok(false);
        };
        if let Some(fault) = rates.fault() {
            return Err(wrong(&format!("{fault:?} was taken")));
        }
        let again = Rates::parse(rates.to_toml().as_bytes(), library);
        match again {
            Ok((again, faults)) if faults.is_empty() && again == rates => Ok(true),
            _ => Err(wrong("written, they read otherwise")),
        }
    });
}

#[test]
fn mutated_tables_of_cuts_keep_what_is_not_understood() {
    const HEAD: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes";
    const ROW: &str =
        "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300";
    let plain =
        format!("{HEAD},note,shop\n{ROW},\"two\nlines\",A7\n2024-13-01,left,stone\n{ROW},,\n");
    let semicolons = format!("sep=;\r\n{HEAD}\r\n{ROW}\r\n{ROW}\r\n").replace(',', ";");
    let wide: Vec<u8> = std::iter::once(0xFEFF_u16)
        .chain(plain.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    let seeds = [plain.clone().into_bytes(), semicolons.into_bytes(), wide];
    let library = Library::built_in();
    let log = Log::parse(plain.as_bytes()).expect("a table");
    let cut: Cut = log.read(library, Day::latest(), None).cuts[0].clone();
    worked_through(&seeds, |bytes| {
        let Ok(mut log) = Log::parse(bytes) else {
            return Ok(false);
        };
        if log.bytes() != bytes {
            return Err(wrong("unchanged, it is other bytes"));
        }
        // A half character at the very end is made whole before a row is added, and may then be understood: so what is
        // strange is looked for in the bytes. A row that was the last may get an end of line, too.
        let ends = |b: &u8| b.is_ascii_whitespace() || *b == 0;
        let strange: Vec<Vec<u8>> = log
            .not_understood(library, Day::latest())
            .into_iter()
            .map(|p| p[..p.iter().rposition(|b| !ends(b)).map_or(0, |k| k + 1)].to_vec())
            .collect();
        let lacks = |log: &Log| {
            let (all, mut from) = (log.bytes(), 0);
            let place = |part: &Vec<u8>, from: usize| {
                let found = all[from..]
                    .windows(part.len().max(1))
                    .position(|w| w == part);
                found.map(|k| from + k + part.len())
            };
            strange.iter().filter(|p| !p.is_empty()).any(|part| {
                let behind = place(part, from);
                from = behind.unwrap_or(from);
                behind.is_none()
            })
        };
        let read = log.read(library, Day::latest(), None);
        let _ = fit(&read.cuts, library);
        let back = log.apply(&Edit::Add(Box::new(cut.clone())));
        if lacks(&log) {
            return Err(wrong("a row that is not understood was changed"));
        }
        let again = Log::parse(&log.bytes());
        if again.ok().map(|l| l.bytes()) != Some(log.bytes()) {
            return Err(wrong("written, it does not open"));
        }
        // Taken back, all is there.
        if back.and_then(|edit| log.apply(&edit)).is_some() && lacks(&log) {
            return Err(wrong("taken back, a row is another"));
        }
        Ok(true)
    });
}

#[test]
fn mutated_job_files_are_answered() {
    let library = Arc::new(Library::built_in().clone());
    let mut enquiry = Enquiry::new(Arc::clone(&library));
    let drawing = DrawingFile::new(super::small_drawing());
    let item = Item::new("small.dxf".to_owned(), drawing, job());
    enquiry.items.push(item);
    let seeds = [enquiry.to_bytes().expect("written")];
    worked_through(&seeds, |bytes| {
        let Ok(enquiry) = Enquiry::from_bytes(bytes) else {
            return Ok(false);
        };
        for item in &enquiry.items {
            let answered = item.answer(&enquiry.library, &Progress::default());
            if answered.is_ok_and(|a| !is_defined(&a.comparison)) {
                return Err(wrong("figures that are no numbers"));
            }
        }
        let written = enquiry.to_bytes().map_err(|e| wrong(&format!("{e:?}")))?;
        match Enquiry::from_bytes(&written) {
            Ok(again) if again.to_bytes().ok() == Some(written) => Ok(true),
            _ => Err(wrong("written, it reads otherwise")),
        }
    });
}
