//! Mutated drawings: whatever the bytes, an answer and no panic, as far as time, wire and cost.
//!
//! A short run belongs to every test run; `KERFCAST_FUZZ_CASES=2000000 cargo test --test mutations -- --include-ignored`
//! makes a long one. Case n is the same in every run; `KERFCAST_FUZZ_FIRST` sets the first one and
//! `KERFCAST_FUZZ_KEEP` a folder that keeps the files which failed. A second is one of this thread's own
//! work where the system tells it, so that a busy machine fails nothing.

use kerfcast::drawing::{Progress, ReadError, ReadOptions, read};
use kerfcast::estimate::{Estimate, compare};
use kerfcast::job::{Candidate, CutOff, CuttingOrder, Job, LotOrder, Travel};
use kerfcast::library::Library;
use kerfcast::plan::PathCache;
use kerfcast::profile::Keep;
use kerfcast::samples;
use kerfcast::units::Length;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

mod shared;
#[path = "mutations/shop.rs"]
mod shop;

/// Cases of a short run.
const SHORT_RUN: u64 = 400;
/// No case may take longer; debug builds run several times slower.
const LONGEST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 20 } else { 5 });
/// A case that is not answered after this long hangs: the run ends and says which.
const HANGS: Duration = Duration::from_mins(5);
/// Larger seeds would only repeat what smaller ones show.
const LARGEST_SEED: usize = 60_000;

/// SplitMix64 (S. Vigna, public domain): small, and the same everywhere.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n.max(1) as u64).unwrap_or(0)
    }
}

/// Values that have broken readers.
const NASTY: [&str; 16] = [
    "0",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "nan",
    "inf",
    "99999999999999999999",
    "2147483647",
    "-32768",
    "{",
    "",
    "1,5",
    "ENDSEC",
    "INSERT",
    "SPLINE",
];

fn mutate(seed: &[u8], random: &mut Random) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len());
        let length = random.below(200).min(bytes.len() - at);
        match random.below(7) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..at + length)),
            2 => {
                let again = bytes[at..at + length].to_vec();
                let to = random.below(bytes.len());
                bytes.splice(to..to, again);
            }
            3 => (at..at + length).for_each(|k| bytes[k] = random.next() as u8),
            4 => {
                if let Some(b) = bytes.get_mut(at) {
                    *b ^= 1 << random.below(8);
                }
            }
            _ => {
                // A whole line replaced keeps the file readable and changes what it says.
                let start = bytes[..at]
                    .iter()
                    .rposition(|&b| b == b'\n')
                    .map_or(0, |k| k + 1);
                let end = bytes[at..]
                    .iter()
                    .position(|&b| b == b'\n')
                    .map_or(bytes.len(), |k| at + k);
                bytes.splice(start..end, NASTY[random.below(NASTY.len())].bytes());
            }
        }
        if bytes.is_empty() {
            break;
        }
    }
    bytes
}

/// Time that this thread has worked, where Linux tells it, else time that has gone by.
fn worked(since: Instant) -> Duration {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse().ok())
        .map_or_else(|| since.elapsed(), Duration::from_nanos)
}

/// Ends the run, naming the case, when one is not answered.
fn watch_for_a_hang(current: &'static AtomicU64) {
    std::thread::spawn(move || {
        let mut last = (current.load(Ordering::Relaxed), Instant::now());
        loop {
            std::thread::sleep(Duration::from_secs(1));
            let case = current.load(Ordering::Relaxed);
            if case != last.0 {
                last = (case, Instant::now());
            } else if last.1.elapsed() > HANGS {
                eprintln!("case {case} hangs");
                std::process::exit(101);
            }
        }
    });
}

/// Keeps a case that failed, when a folder for it is named.
fn keep(case: u64, bytes: &[u8]) {
    if let Some(folder) = std::env::var_os("KERFCAST_FUZZ_KEEP") {
        let path = std::path::Path::new(&folder).join(format!("case-{case}.dxf"));
        std::fs::write(path, bytes).expect("the case is kept");
    }
}

#[test]
fn mutated_drawings_are_answered() {
    let own = samples::ALL.iter().map(|s| s.bytes.to_vec());
    let small = own.filter(|bytes| bytes.len() <= LARGEST_SEED);
    answered(
        &[small_drawing()]
            .into_iter()
            .chain(small)
            .collect::<Vec<_>>(),
    );
}

#[test]
#[ignore = "needs ../shared"]
fn mutated_real_drawings_are_answered() {
    let mut seeds = Vec::new();
    for name in ["corpus", "malformed", "joining"] {
        let files = std::fs::read_dir(shared::folder(name)).expect("it lists");
        let mut paths: Vec<_> = files.flatten().map(|e| e.path()).collect();
        paths.retain(|p| p.extension().is_some_and(|e| e == "dxf"));
        paths.sort();
        let bytes = paths.iter().map(|p| std::fs::read(p).expect("it opens"));
        seeds.extend(bytes.filter(|b| b.len() <= LARGEST_SEED));
    }
    answered(&seeds);
}

/// Runs the cases over these drawings.
/// One of the ways to go about it.
fn job(random: &mut Random) -> Job {
    let thicknesses = [0.1, 3.0, 30.0, 30.0, 250.0];
    let wires = [
        ("hard plain brass", 0.25),
        ("hard plain brass", 0.1),
        ("gamma-phase annealed brass", 0.3),
        ("molybdenum (single run)", 0.05),
    ];
    let mut choice = |n: usize| random.below(n);
    let (wire, diameter) = wires[choice(wires.len())];
    Job {
        thickness: Length::from_mm(thicknesses[choice(thicknesses.len())]),
        passes: 1 + choice(5),
        quantity: [1, 1, 7][choice(3)],
        keep: [Keep::Inside, Keep::Inside, Keep::Outside][choice(3)],
        order: [CuttingOrder::EachInTurn, CuttingOrder::RoughsFirst][choice(2)],
        cut_off: [CutOff::AfterSkims, CutOff::BeforeSkims][choice(2)],
        travel: [Travel::Rethread, Travel::KeepThreaded][choice(2)],
        outlines_from_edge: choice(3) == 0,
        lot_order: [LotOrder::default(), LotOrder::TabsTogether][choice(2)],
        candidates: vec![Candidate::new(wire, diameter)],
        ..Job::starting(Library::built_in())
    }
}

fn answered(seeds: &[Vec<u8>]) {
    let cases = std::env::var("KERFCAST_FUZZ_CASES")
        .ok()
        .and_then(|v| v.parse().ok());
    let cases: u64 = cases.unwrap_or(SHORT_RUN);
    let first: u64 = std::env::var("KERFCAST_FUZZ_FIRST")
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(0);
    let mut slowest = (Duration::ZERO, 0);
    let mut faults = Vec::new();
    let (mut refused, run) = (0_u64, Instant::now());
    let current: &'static AtomicU64 = Box::leak(Box::new(AtomicU64::new(first)));
    watch_for_a_hang(current);
    for case in first..first + cases {
        current.store(case, Ordering::Relaxed);
        let mut random = Random(case.wrapping_mul(0xD134_2543_DE82_EF95));
        let seed = &seeds[random.below(seeds.len())];
        let bytes = mutate(seed, &mut random);
        let job = job(&mut random);
        let start = worked(run);
        let result = std::panic::catch_unwind(|| {
            let drawing = read(&bytes, &ReadOptions::default(), &Progress::default())?;
            let comparison = compare(
                &drawing.profile,
                &job,
                Library::built_in(),
                &PathCache::default(),
            );
            Ok::<_, ReadError>((drawing, comparison))
        });
        let took = worked(run).saturating_sub(start);
        slowest = slowest.max((took, case));
        let fault = match result {
            Err(_) => Some("panicked".to_owned()),
            _ if took > LONGEST => Some(format!("took {took:?}")),
            Ok(Ok((d, comparison))) => {
                let defined = |e: &Estimate| {
                    e.figures.as_ref().is_none_or(|f| {
                        let minutes = f.minutes.median.min_value();
                        minutes.is_finite() && minutes >= 0.0 && f.wire.median.m().is_finite()
                    })
                };
                let finite = d.profile.contours().iter().all(|c| {
                    c.drawn_length.is_finite()
                        && c.drawn_area.is_finite()
                        && c.shape.bounds().min.is_finite()
                });
                let finite = finite && comparison.estimates.iter().all(defined);
                (!finite).then(|| "has undefined measures".to_owned())
            }
            Ok(Err(_)) => {
                refused += 1;
                None
            }
        };
        if let Some(fault) = fault {
            eprintln!("case {case} {fault}");
            keep(case, &bytes);
            faults.push(format!("case {case} {fault}"));
        }
        if (case + 1 - first).is_multiple_of(50_000) {
            println!("{} cases, {:?}", case + 1 - first, run.elapsed());
        }
    }
    current.store(u64::MAX, Ordering::Relaxed);
    println!(
        "{cases} cases from {first}, {refused} refused, the slowest (number {}) {:?}",
        slowest.1, slowest.0
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn small_drawing() -> Vec<u8> {
    let text = "0 SECTION|2 BLOCKS|0 BLOCK|8 0|2 B|70 0|10 0|20 0|0 CIRCLE|8 0|10 0|20 0|40 1|0 ENDBLK|0 ENDSEC|\
        0 SECTION|2 ENTITIES|0 INSERT|8 0|2 B|10 5|20 5|41 2|42 1|70 3|71 2|44 5|45 5|\
        0 LWPOLYLINE|8 0|70 1|10 0|20 0|42 0.3|10 9|20 0|10 9|20 9|\
        0 SPLINE|8 0|70 8|71 2|40 0|40 0|40 0|40 1|40 1|40 1|10 0|20 0|10 5|20 8|10 9|20 0|\
        0 ELLIPSE|8 0|10 1|20 1|11 4|21 0|40 0.5|41 0|42 3|0 POLYLINE|8 0|66 1|70 1|\
        0 VERTEX|8 0|10 0|20 0|42 1|0 VERTEX|8 0|10 2|20 0|42 1|0 SEQEND|0 ENDSEC|0 EOF|";
    text.split('|')
        .flat_map(|pair| [pair.replacen(' ', "\n", 1), "\n".to_owned()])
        .collect::<String>()
        .into()
}
