//! Every cell of the library: one that says it moves an estimate does, one marked as information or for another use does not.

use kerfcast::estimate::{ByTheClock, Estimate, by_the_clock, compare};
use kerfcast::geometry::{Contour, Point};
use kerfcast::job::{Candidate, Flushing, Job};
use kerfcast::library::{
    Caution, Change, Content, Effect, Kind, Library, LibraryCell, LibraryTable, UserLibrary,
};
use kerfcast::plan::PathCache;
use kerfcast::process::WireRun;
use kerfcast::profile::Profile;
use kerfcast::units::Length;

/// A plate with a square and a round opening.
fn plate() -> Profile {
    Profile::of_shapes([
        Contour::polygon(&[(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (0.0, 30.0)]),
        Contour::polygon(&[(5.0, 5.0), (20.0, 5.0), (20.0, 20.0), (5.0, 20.0)]),
        Contour::circle(Point::new(45.0, 15.0), 6.0),
    ])
}

/// Conditions under which every cell of that entry is asked for by one job or another.
type Conditions = (f64, f64, Flushing, f64, &'static str, bool);
const CONDITIONS: [Conditions; 9] = [
    // Thickness, diameter, flushing, taper in degrees, way to run the wire, threaded by hand.
    (40.0, 0.25, Flushing::Close, 0.0, "usual", false),
    (40.0, 0.20, Flushing::Close, 0.0, "usual", true),
    (40.0, 0.30, Flushing::OneAway, 0.0, "usual", false),
    (40.0, 0.33, Flushing::Away, 0.0, "usual", false),
    (40.0, 0.25, Flushing::Close, 10.0, "usual", false),
    (2.0, 0.25, Flushing::Close, 0.0, "10/7", false),
    (5.0, 0.10, Flushing::OneAway, 0.0, "usual", false),
    (150.0, 0.25, Flushing::Close, 0.0, "usual", false),
    (12.0, 0.25, Flushing::OneAway, 0.0, "10/9", false),
];

fn job(library: &Library, table: LibraryTable, entry: &str, c: Conditions) -> Job {
    let mut job = Job::starting(library);
    let (thickness, mut diameter, flushing, degrees, run, by_hand) = c;
    job.thickness = Length::from_mm(thickness);
    job.flushing = flushing;
    job.quantity = 3;
    job.passes = 4;
    job.shop.threads_by_hand = by_hand;
    let mut wire = library.wires[0].name.clone();
    match table {
        LibraryTable::Materials => job.material = entry.to_owned(),
        LibraryTable::Wires => wire = entry.to_owned(),
        LibraryTable::Diameters => diameter = entry.parse().unwrap(),
        LibraryTable::Passes => {
            job.passes = 1 + library.passes.iter().position(|p| p.name == entry).unwrap();
        }
        LibraryTable::Spools => job.shop.spool = entry.to_owned(),
        LibraryTable::Overheads if entry.contains("carbide") => {
            job.material = library
                .materials
                .iter()
                .find(|m| m.is_carbide())
                .unwrap()
                .name
                .clone();
        }
        _ => {}
    }
    job.choose(1, |c| c.taper_degrees = degrees);
    job.candidates = vec![Candidate {
        run: WireRun::parse(run).unwrap(),
        ..Candidate::new(&wire, diameter)
    }];
    job.baseline = 0;
    job
}

/// Everything that is said of such a job.
fn said(
    profile: &Profile,
    library: &Library,
    job: &Job,
    cache: &PathCache,
) -> (Estimate, Option<ByTheClock>) {
    let estimate = compare(profile, job, library, cache).estimates.remove(0);
    let figures = estimate.figures.as_ref();
    let clock = figures.and_then(|f| by_the_clock(f, &job.candidates[0], job, library));
    (estimate, clock)
}

/// Other things that may stand in a cell.
fn others(cell: &LibraryCell) -> Vec<Change> {
    let field = cell.field;
    match &cell.content {
        Content::Value(v) => {
            let near = [v.value * 0.5, v.value * 2.0, v.value * 0.9, v.value * 1.1];
            let all = near.into_iter().chain([field.low, field.high]);
            all.filter(|&x| field.allows(x) && x != v.value)
                .map(Change::Number)
                .collect()
        }
        Content::Missing => vec![Change::Number(field.high * 0.5)],
        Content::Text(_) | Content::Names(_) => vec![Change::Text("something else".to_owned())],
        Content::Pair(_) => vec![Change::Part(0, field.high * 1e-3)],
        Content::Caution(now) => [
            None,
            Some(Caution::ReactiveFines),
            Some(Caution::ToxicSludge),
        ]
        .into_iter()
        .filter(|c| c != now)
        .map(Change::Caution)
        .collect(),
        // No machine is built in: what one moves is asked in `machines.rs`.
        Content::Threading(_) => Vec::new(),
        Content::Kind(now) => Kind::ALL
            .into_iter()
            .filter(|k| k != now)
            .map(Change::Kind)
            .collect(),
    }
}

#[test]
fn a_cell_moves_an_estimate_exactly_where_it_says_so() {
    let built_in = Library::built_in();
    let (profile, cache) = (plate(), PathCache::default());
    let none = UserLibrary::default();
    let mut wrong = Vec::new();
    for table in LibraryTable::ALL {
        for (entry, cells) in built_in.table_cells(table) {
            let of = |library: &Library, c| {
                said(&profile, library, &job(library, table, &entry, c), &cache)
            };
            let before = CONDITIONS.map(|c| of(built_in, c));
            for cell in cells {
                let moves = others(&cell).into_iter().any(|change| {
                    let own = none.with_change(table, &entry, cell.key, change).unwrap();
                    let library = own.over(built_in);
                    CONDITIONS
                        .iter()
                        .zip(&before)
                        .any(|(c, before)| of(&library, *c) != *before)
                });
                if moves != (cell.effect == Effect::Estimate) {
                    wrong.push(format!("{table:?} {entry} {}: moves {moves}", cell.key));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
