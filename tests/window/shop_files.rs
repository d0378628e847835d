//! The shop's own files: nothing in them is lost, whoever writes them, whatever is in them and whenever the power goes.
//!
//! Processes are this test program, called again for the test [`a_process_that_saves`]: real files, really killed.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kerfcast::calibration::{Cut, Day, Edit, Log, RowFaultKind};
use kerfcast::gui::{App, Start};
use kerfcast::library::{Change as CellChange, Library, LibraryTable, UserLibrary};
use kerfcast::quote::stationery::Stationery;
use kerfcast::shop_files::{Change, Rates, ShopFile, ShopFiles};
use kerfcast::units::{Minutes, Money};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::calling;
use crate::harness;

use calling::{command, sample};
use harness::{LONGEST, Window, settle};

const HEADER: &str = "date,machine,material,wire,diameter_mm,thickness_mm,flushing,passes,cut_length_mm,cutting_minutes";
const ROW: &str = "2024-03-01,left,cold-work tool steel,hard plain brass,0.25,40,close,4,512,300";

fn library() -> &'static Library {
    Library::built_in()
}

/// A cut that took so many minutes.
fn cut(minutes: f64) -> Cut {
    let log = Log::parse(format!("{HEADER}\n{ROW}\n").as_bytes()).expect("a table");
    let read = log.read(library(), Day::latest(), None);
    Cut {
        cutting_minutes: Minutes::from_min(minutes),
        ..read.cuts[0].clone()
    }
}

fn add(minutes: f64) -> Change {
    Change::Cuts(vec![Edit::Add(Box::new(cut(minutes)))])
}

fn rates(machine: f64) -> Rates {
    let mut rates = Rates::of_library(library());
    rates.shop.machine_rate = Money::from_amount(machine);
    rates
}

fn own_library(setup: f64) -> UserLibrary {
    UserLibrary::default()
        .with_change(
            LibraryTable::Overheads,
            "machine_rate",
            "value",
            CellChange::Number(setup),
        )
        .expect("a rate")
}

/// Words of quotes whose shop is called by a number.
fn words(number: f64) -> Stationery {
    Stationery {
        name: number.to_string(),
        ..Stationery::default()
    }
}

/// The change that brings a file to a number.
pub(crate) fn change_to(file: ShopFile, from: f64, to: f64) -> Change {
    match file {
        ShopFile::Cuts => add(to),
        ShopFile::Rates => Change::Rates {
            from: Box::new(rates(from)),
            to: Box::new(rates(to)),
        },
        ShopFile::Quote => Change::Quote {
            from: words(from).to_toml(),
            to: words(to).to_toml(),
        },
        ShopFile::Library => Change::Library {
            from: Box::new(own_library(from)),
            to: Box::new(own_library(to)),
        },
    }
}

/// The numbers that a file holds: all cuts, or the one rate. Panics where it is not whole.
pub(crate) fn numbers_in(files: &ShopFiles, file: ShopFile) -> Vec<f64> {
    let Some(bytes) = files.read(file).expect("it can be read") else {
        return Vec::new();
    };
    match file {
        ShopFile::Cuts => {
            let read =
                Log::parse(&bytes)
                    .expect("a whole table")
                    .read(library(), Day::latest(), None);
            assert_eq!(read.faults, []);
            read.cuts
                .iter()
                .map(|c| c.cutting_minutes.min_value())
                .collect()
        }
        ShopFile::Rates => {
            let (rates, faults) = Rates::parse(&bytes, library()).expect("whole rates");
            assert_eq!(faults, []);
            vec![rates.shop.machine_rate.amount()]
        }
        ShopFile::Quote => {
            let words = Stationery::from_bytes(&bytes).expect("whole words");
            vec![words.name.parse().expect("a number")]
        }
        ShopFile::Library => {
            let own = UserLibrary::from_bytes(&bytes).expect("a whole library");
            vec![own.overheads["machine_rate"].value]
        }
    }
}

/// Changes a file of the folder named in the environment, and says each number once it is saved.
#[test]
#[ignore = "the process that other tests start, stop and kill"]
fn a_process_that_saves() {
    let of = |name: &str| std::env::var(name).expect("called by another test");
    if std::env::var_os("SHOP_FOLDER").is_none() {
        // Nobody started it: what it must leave behind is asked by the tests that do.
        return;
    }
    let files = ShopFiles::in_folder(Some(Path::new(&of("SHOP_FOLDER"))));
    let file = ShopFile::ALL[of("SHOP_FILE").parse::<usize>().expect("a file")];
    let first: f64 = of("SHOP_FIRST").parse().expect("a number");
    let count: usize = of("SHOP_COUNT").parse().expect("a number");
    let mut before = first - 1.0;
    for k in 0..count {
        let number = first + k as f64;
        match files.keep(&change_to(file, before, number), None, library()) {
            Ok(_) => println!("saved {number}"),
            Err(e) => println!("refused {e:?}"),
        }
        before = number;
    }
}

/// The whole name of that test in its program.
const NAME: &str = "shop_files::a_process_that_saves";

fn saving(folder: &Path, file: ShopFile, first: f64, count: usize) -> Command {
    let place = ShopFile::ALL
        .iter()
        .position(|f| *f == file)
        .expect("one of them");
    let mut command = Command::new(std::env::current_exe().expect("this program"));
    command
        .args([
            NAME,
            "--exact",
            "--ignored",
            "--nocapture",
            "--test-threads=1",
        ])
        .env("SHOP_FOLDER", folder)
        .env("SHOP_FILE", place.to_string())
        .env("SHOP_FIRST", first.to_string())
        .env("SHOP_COUNT", count.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

/// The numbers that a process said it had saved.
fn said(child: &mut Child) -> Vec<f64> {
    let out = child.stdout.take().expect("its output");
    let lines = BufReader::new(out).lines().map_while(Result::ok);
    let number = |l: String| l.rsplit_once("saved ")?.1.trim().parse().ok();
    lines.filter_map(number).collect()
}

/// Saves are killed at whatever moment, 30 times for each file; `KERFCAST_KILLS` says how often instead.
#[test]
fn whatever_was_said_to_be_saved_outlives_being_killed() {
    let kills: usize = std::env::var("KERFCAST_KILLS").map_or(30, |k| k.parse().expect("a number"));
    for file in ShopFile::ALL {
        let folder = tempfile::tempdir().expect("a folder");
        let files = ShopFiles::in_folder(Some(folder.path()));
        let mut all_said: Vec<f64> = Vec::new();
        let mut first = 1.0;
        for k in 0..kills {
            let mut child = saving(folder.path(), file, first, 100_000)
                .spawn()
                .expect("it starts");
            // From before the first save to after several of them.
            let moment = Duration::from_micros(10_000 + (k as u64 * 7_919) % 140_000);
            std::thread::sleep(moment);
            child.kill().expect("it is killed");
            let said = said(&mut child);
            child.wait().expect("it ends");
            let there = numbers_in(&files, file);
            if file == ShopFile::Cuts {
                // Every single one is there, and the one under way may be.
                all_said.extend(&said);
                assert!(
                    all_said.iter().all(|n| there.contains(n)),
                    "{said:?} in {there:?}"
                );
            } else {
                let last = said.last().copied();
                assert!(last.is_none_or(|n| there[0] >= n), "{last:?} in {there:?}");
            }
            first = there.iter().copied().fold(first, f64::max) + 1.0;
        }
        assert!(first > 2.0, "some were saved before they were killed");
        // Nothing of the attempts stays but what the last one left, and the next save takes that away.
        files
            .keep(&change_to(file, first - 1.0, first), None, library())
            .expect("saved");
        let left = fs::read_dir(folder.path()).expect("the folder").flatten();
        let left: Vec<PathBuf> = left
            .map(|e| e.path())
            .filter(|p| p.extension().is_some_and(|e| e == "tmp"))
            .collect();
        assert_eq!(left, Vec::<PathBuf>::new());
    }
}

#[test]
fn two_programs_at_once_lose_nothing_of_each_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let start = |first: f64| {
        saving(folder.path(), ShopFile::Cuts, first, 40)
            .spawn()
            .expect("it starts")
    };
    let mut both = [start(1000.0), start(2000.0)];
    let said: Vec<f64> = both.iter_mut().flat_map(said).collect();
    both.iter_mut()
        .for_each(|c| assert!(c.wait().expect("it ends").success()));
    assert_eq!(said.len(), 80);
    let mut there = numbers_in(&ShopFiles::in_folder(Some(folder.path())), ShopFile::Cuts);
    there.sort_by(f64::total_cmp);
    let all = (0..40).map(f64::from);
    assert_eq!(
        there,
        all.clone()
            .map(|k| 1000.0 + k)
            .chain(all.map(|k| 2000.0 + k))
            .collect::<Vec<_>>()
    );
}

/// A disk that takes no more: files of this process may have no more than 4 KiB, so a save fails half way.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_the_old_file_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = ShopFiles::in_folder(Some(folder.path()));
    let filler: Vec<Edit> = (0..200)
        .map(|k| Edit::Add(Box::new(cut(f64::from(k + 1)))))
        .collect();
    files
        .keep(&Change::Cuts(filler), None, library())
        .expect("saved");
    let before = files.read(ShopFile::Cuts).expect("read").expect("there");
    assert!(before.len() > 8192);
    let inner = saving(folder.path(), ShopFile::Cuts, 5000.0, 3);
    let mut shell = Command::new("sh");
    shell.args(["-c", "trap '' XFSZ; ulimit -f 8; exec \"$0\" \"$@\""]);
    shell.arg(inner.get_program()).args(inner.get_args());
    for (key, value) in inner.get_envs() {
        shell.env(key, value.expect("set"));
    }
    let out = shell.output().expect("the shell");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    assert_eq!(text.matches("refused System").count(), 3, "{text}");
    assert_eq!(
        files.read(ShopFile::Cuts).expect("read").expect("there"),
        before
    );
    let names = fs::read_dir(folder.path()).expect("the folder").flatten();
    let names: Vec<_> = names
        .map(|e| e.file_name())
        .filter(|n| !n.to_string_lossy().ends_with(".lock"))
        .collect();
    assert_eq!(names, ["finished-cuts.csv"]);
}

#[test]
fn thirty_thousand_cuts_stay_thirty_thousand() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = ShopFiles::in_folder(Some(folder.path()));
    let many = (0..30_000).map(|k| Edit::Add(Box::new(cut(1.0 + f64::from(k)))));
    files
        .keep(&Change::Cuts(many.collect()), None, library())
        .expect("saved");
    files.keep(&add(99_999.0), None, library()).expect("saved");
    assert_eq!(numbers_in(&files, ShopFile::Cuts).len(), 30_001);
}

#[test]
fn what_is_damaged_is_put_aside_whole_before_the_first_change() {
    let whole: BTreeMap<&str, Vec<u8>> = ShopFile::ALL
        .into_iter()
        .map(|file| {
            let folder = tempfile::tempdir().expect("a folder");
            let files = ShopFiles::in_folder(Some(folder.path()));
            files
                .keep(&change_to(file, 1.0, 2.0), None, library())
                .expect("saved");
            (file.name(), files.read(file).expect("read").expect("there"))
        })
        .collect();
    for file in ShopFile::ALL {
        let whole = &whole[file.name()];
        // Before all columns are named: a table of names alone is whole.
        let cut_off = whole.len() / 6;
        let mut zeros = whole.clone();
        zeros[cut_off..].fill(0);
        for damaged in [
            whole[..cut_off].to_vec(),
            zeros,
            b"\x00\xff\xfe\x01 no table".to_vec(),
            vec![b'"'; 5000],
        ] {
            let folder = tempfile::tempdir().expect("a folder");
            let files = ShopFiles::in_folder(Some(folder.path()));
            let path = files.path(file).expect("a place").to_owned();
            fs::write(&path, &damaged).expect("written");
            let kept = files
                .keep(&change_to(file, 2.0, 3.0), None, library())
                .expect("saved");
            let aside = kept.aside;
            let aside = aside.unwrap_or_else(|| {
                panic!(
                    "{file:?} is not put aside: {:?}",
                    String::from_utf8_lossy(&damaged)
                )
            });
            assert_eq!(fs::read(&aside).expect("read"), damaged, "{file:?}");
            assert_eq!(numbers_in(&files, file), [3.0], "{file:?}");
            assert_eq!(files.copies(file), [aside]);
            // Once: what is whole is not put aside again.
            let again = files
                .keep(&change_to(file, 3.0, 4.0), None, library())
                .expect("saved");
            assert_eq!(again.aside, None);
        }
    }
}

#[test]
fn a_library_written_by_hand_keeps_its_remarks() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = ShopFiles::in_folder(Some(folder.path()));
    let by_hand = "# Ours since 2019\nkerfcast_library = 1\n\n[overheads]\nlabour_rate = 48 # agreed in May\n# the old machine\nmachine_rate = 61\n";
    fs::write(files.path(ShopFile::Library).expect("a place"), by_hand).expect("written");
    let from = UserLibrary::parse(by_hand).expect("a library");
    let to = from
        .with_change(
            LibraryTable::Overheads,
            "machine_rate",
            "value",
            CellChange::Number(70.0),
        )
        .expect("a rate");
    let change = Change::Library {
        from: Box::new(from),
        to: Box::new(to.clone()),
    };
    let kept = files.keep(&change, None, library()).expect("saved");
    let text = String::from_utf8(kept.bytes.to_vec()).expect("text");
    for remark in [
        "# Ours since 2019",
        "labour_rate = 48 # agreed in May",
        "# the old machine",
    ] {
        assert!(text.contains(remark), "{text}");
    }
    assert_eq!(UserLibrary::parse(&text).expect("a library"), to);
    assert_eq!((kept.aside, kept.overruled), (None, vec![]));
}

#[test]
fn rates_are_merged_line_by_line_and_the_later_one_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = ShopFiles::in_folder(Some(folder.path()));
    let base = Rates::of_library(library());
    let keep = |change: fn(&mut Rates)| {
        let mut to = base.clone();
        change(&mut to);
        let change = Change::Rates {
            from: Box::new(base.clone()),
            to: Box::new(to),
        };
        files.keep(&change, None, library()).expect("saved")
    };
    keep(|r| r.shop.machine_rate = Money::from_amount(80.0));
    let kept = keep(|r| r.shop.labour_rate = Money::from_amount(50.0));
    assert_eq!(kept.overruled, Vec::<String>::new());
    let kept = keep(|r| r.shop.machine_rate = Money::from_amount(90.0));
    assert_eq!(kept.overruled, ["machine_rate"]);
    let (now, _) = Rates::parse(&kept.bytes, library()).expect("rates");
    assert_eq!(
        (
            now.shop.machine_rate.amount(),
            now.shop.labour_rate.amount()
        ),
        (90.0, 50.0)
    );
}

#[test]
fn tables_of_other_programs_are_read_as_they_are_written() {
    let comma = ROW
        .replace("0.25", "0,25")
        .replace(',', ";")
        .replace("0;25", "0,25");
    let header = HEADER.replace(',', ";");
    let read = |bytes: &[u8]| {
        let log = Log::parse(bytes).expect("a table");
        assert_eq!(log.bytes(), bytes);
        log.read(library(), Day::latest(), None)
    };
    let text = format!("sep=;\r\n{header}\r\n{comma}\r\n");
    let utf16: Vec<u8> = [0xff, 0xfe]
        .into_iter()
        .chain(text.encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    for bytes in [
        text.clone().into_bytes(),
        format!("\u{feff}{text}").into_bytes(),
        utf16,
    ] {
        let found = read(&bytes);
        assert_eq!(found.faults, []);
        assert!((found.cuts[0].wire.diameter.mm() - 0.25).abs() < 1e-12);
    }
    // Twelve hundred minutes in a table whose other numbers have commas.
    let found = read(text.replace(";300\r", ";1.200\r").as_bytes());
    assert_eq!(found.cuts[0].cutting_minutes.min_value(), 1200.0);
    // Nothing else in the table says what it is.
    let unclear = text.replace(";300\r", ";1.200\r").replace("0,25", "1");
    let kind = &read(unclear.as_bytes()).faults[0].kind;
    assert!(
        matches!(
            kind,
            RowFaultKind::TwoMeanings { .. } | RowFaultKind::OutOfRange { .. }
        ),
        "{kind:?}"
    );
}

/// Parts that tables of shops are made of, and what should not be in any.
fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (1..9999_u32, "[a-z ]{0,8}").prop_map(|(m, note)| format!("{},{note},own", ROW.replace(",300", &format!(",{m}")))),
        1 => "[a-z,;\"0-9 ]{0,30}",
        1 => Just(String::new()),
        1 => Just(format!("{ROW},\"two\nlines\",own")),
        1 => Just(ROW.replace("hard plain brass", "a wire that nobody knows")),
        1 => Just(format!("{ROW},\"never closed,own")),
        1 => "\\PC{0,20}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Any table that opens keeps every byte of what was not understood, over any number of changes and starts.
    #[test]
    fn every_byte_that_is_not_understood_is_kept(
        lines in prop::collection::vec(line(), 0..12),
        newline in prop_oneof![Just("\n"), Just("\r\n")],
        ends in any::<bool>(),
        invalid in prop::option::of(any::<u8>()),
        edits in prop::collection::vec((0..4_u8, any::<prop::sample::Index>()), 0..12),
    ) {
        let mut bytes = format!("{HEADER},note,shop{newline}{}", lines.join(newline)).into_bytes();
        bytes.extend(invalid);
        if ends {
            bytes.extend(newline.bytes());
        }
        let mut log = Log::parse(&bytes).expect("the columns are there");
        prop_assert_eq!(&log.bytes(), &bytes);
        let trimmed = |log: &Log| -> Vec<Vec<u8>> {
            let parts = log.not_understood(library(), Day::latest());
            parts.iter().map(|p| p.trim_ascii_end().to_vec()).collect()
        };
        let mut strange = trimmed(&log);
        let mut back = Vec::new();
        for (what, place) in edits {
            let cuts = log.read(library(), Day::latest(), None).cuts;
            let row = (!cuts.is_empty()).then(|| log.row(place.get(&cuts).row).expect("a row"));
            let edit = match (what, row) {
                (1, Some(row)) => Edit::SetAside { row, aside: true },
                (2, Some(row)) => Edit::Remove { row },
                (3, _) if !back.is_empty() => back.pop().expect("one"),
                _ => Edit::Add(Box::new(cut(77.0))),
            };
            let others = log.row_texts().len();
            if let Some(inverse) = log.apply(&edit) {
                back.push(inverse);
            }
            prop_assert!(log.row_texts().len().abs_diff(others) <= 1);
            // Closed and started again.
            let now = log.bytes();
            log = Log::parse(&now).expect("it opens again");
            prop_assert_eq!(&log.bytes(), &now);
            for part in &strange {
                prop_assert!(now.windows(part.len()).any(|w| w == part), "{:?}", String::from_utf8_lossy(part));
            }
            // Two stray marks between which a row is taken out enclose what lies between them, and are a note from then
            // on: that row is understood, shown, and the shop's to change.
            strange = trimmed(&log);
        }
    }
}

proptest! {
    /// What the `csv` crate writes is read as it was meant, and what is written here the `csv` crate reads.
    #[test]
    fn cells_are_those_of_the_csv_crate(note in "[a-zö,;\"\n' ]{0,24}", delimiter in prop_oneof![Just(b','), Just(b';'), Just(b'\t')]) {
        let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
        let header: Vec<&str> = HEADER.split(',').chain(["note"]).collect();
        let row: Vec<&str> = ROW.split(',').chain([note.as_str()]).collect();
        writer.write_record(header).expect("written");
        writer.write_record(row).expect("written");
        let bytes = writer.into_inner().expect("bytes");
        let mut log = Log::parse(&bytes).expect("a table");
        let read = log.read(library(), Day::latest(), None);
        prop_assert_eq!(&read.faults, &vec![]);
        prop_assert_eq!(&read.cuts[0].note, note.trim());
        log.apply(&Edit::Add(Box::new(read.cuts[0].clone())));
        let again = log.bytes();
        let mut reader = csv::ReaderBuilder::new().delimiter(delimiter).flexible(true).from_reader(again.as_slice());
        let records: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().expect("rows");
        prop_assert_eq!(records.len(), 2);
        prop_assert_eq!(records[1].get(10).unwrap_or("").trim(), note.trim());
    }
}

/// A window whose files lie in a folder, as after a start.
fn window_in(folder: &Path) -> Window {
    let start = Start {
        theme: Some(egui::Theme::Dark),
        forget: true,
        folder: Some(folder.to_owned()),
        ..Start::default()
    };
    let mut window = Harness::builder()
        .with_size([1500.0, 1700.0])
        .with_max_steps(60)
        .build_eframe(move |cc| App::new(cc, start));
    settle(&mut window);
    window
}

/// Names and bytes of all that lies in a folder.
fn all_in(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let there = fs::read_dir(folder).expect("the folder").flatten();
    let bytes = |e: &fs::DirEntry| fs::read(e.path()).expect("a file");
    there
        .map(|e| (e.file_name().to_string_lossy().into_owned(), bytes(&e)))
        .collect()
}

fn quit(mut window: Window) {
    eframe::App::on_exit(window.state_mut(), None);
}

#[test]
fn starting_and_ending_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    // Minutes before length, a column of the shop's own, a note of two lines, a wire that nobody knows, a stray mark.
    let odd = "date;operator;material;wire;diameter_mm;thickness_mm;flushing;passes;cutting_minutes;cut_length_mm;note\r\n\
               2024-03-01;me;cold-work tool steel;hard plain brass;0,25;40;close;4;300;512;\"broke\nonce\"\r\n\
               2024-03-02;me;cold-work tool steel;string;0,25;40;close;4;300;512;\r\n\
               2024-03-03;me;cold-work tool steel;hard plain brass;0,25;40;close;4;300;512;\"stray\r\n\
               2024-03-04;me;cold-work tool steel;hard plain brass;0,25;40;close;4;310;512;last";
    fs::write(folder.path().join("finished-cuts.csv"), odd).expect("written");
    fs::write(
        folder.path().join("rates.toml"),
        "kerfcast_rates = 1\nmachine_rate = -4\nlabour_rate = 51 # ours\n",
    )
    .expect("written");
    fs::write(folder.path().join("library.toml"), "no library").expect("written");
    let before = all_in(folder.path());
    for _ in 0..2 {
        let window = window_in(folder.path());
        let cuts = &window.state().learning().cuts;
        assert_eq!(cuts.len(), 2, "the first and the last row");
        assert_eq!(
            (cuts[0].cutting_minutes.min_value(), cuts[0].cut_length.mm()),
            (300.0, 512.0)
        );
        let told = window
            .state()
            .message()
            .expect("what could not be read")
            .to_owned();
        assert!(
            told.contains("machine_rate") && told.contains("library.toml"),
            "{told}"
        );
        assert_eq!(window.state().rates().shop.labour_rate.amount(), 51.0);
        quit(window);
        assert_eq!(all_in(folder.path()), before);
    }
}

/// Runs a window until something is so, or fails.
fn until(window: &mut Window, what: &str, is_so: impl Fn(&App) -> bool) {
    let end = Instant::now() + LONGEST;
    while !is_so(window.state()) {
        assert!(Instant::now() < end, "{what}");
        std::thread::sleep(Duration::from_millis(20));
        window.run();
        window.state_mut().wait_until_idle(LONGEST);
    }
}

#[test]
fn two_windows_share_one_shop() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut a, mut b) = (window_in(folder.path()), window_in(folder.path()));
    let table = |minutes: u32| {
        format!(
            "{HEADER}\n{}\n",
            ROW.replace(",300", &format!(",{minutes}"))
        )
    };
    harness::drop_on(&mut a, "one.csv", table(301).as_bytes());
    until(&mut b, "b sees the cut of a", |app| {
        app.learning().cuts.len() == 1
    });
    harness::drop_on(&mut b, "two.csv", table(302).as_bytes());
    until(&mut a, "a sees the cut of b", |app| {
        app.learning().cuts.len() == 2
    });
    harness::drop_on(
        &mut a,
        "rates.toml",
        b"kerfcast_rates = 1\nmachine_rate = 81.5\n",
    );
    let rate = |app: &App| app.rates().shop.machine_rate.amount();
    until(&mut b, "b sees the rate of a", |app| rate(app) == 81.5);
    let job = |w: &Window| {
        w.state()
            .front()
            .expect("a drawing")
            .job
            .shop
            .machine_rate
            .amount()
    };
    assert_eq!((job(&a), job(&b)), (81.5, 81.5));
    // The one that was touched least quits last.
    quit(a);
    quit(b);
    let files = ShopFiles::in_folder(Some(folder.path()));
    assert_eq!(numbers_in(&files, ShopFile::Rates), [81.5]);
    assert_eq!(numbers_in(&files, ShopFile::Cuts), [301.0, 302.0]);
    assert_eq!(files.copies(ShopFile::Cuts), Vec::<PathBuf>::new());
}

#[test]
fn a_copy_beside_the_table_is_mentioned_and_merged() {
    let folder = tempfile::tempdir().expect("a folder");
    let table = |minutes: &[u32]| {
        let rows = minutes
            .iter()
            .map(|m| ROW.replace(",300", &format!(",{m}")) + "\n");
        format!("{HEADER}\n{}", rows.collect::<String>())
    };
    fs::write(folder.path().join("finished-cuts.csv"), table(&[301])).expect("written");
    fs::write(
        folder.path().join("finished-cuts (2).csv"),
        table(&[301, 302]),
    )
    .expect("written");
    let mut window = window_in(folder.path());
    let told = window.state().message().expect("told").to_owned();
    assert!(
        told.contains("finished-cuts (2).csv") && told.contains("1 cut"),
        "{told}"
    );
    window.key_press(egui::Key::L);
    settle(&mut window);
    window.get_by_label("Merge into the table").click();
    settle(&mut window);
    assert_eq!(window.state().learning().cuts.len(), 2);
    assert!(window.state().learning().beside.is_empty());
    quit(window);
    let files = ShopFiles::in_folder(Some(folder.path()));
    assert_eq!(numbers_in(&files, ShopFile::Cuts), [301.0, 302.0]);
}

#[test]
fn a_table_in_hours_is_doubted_aloud_and_not_learned_from_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = window_in(folder.path());
    let rows = ["5", "5.2", "4.9"]
        .map(|h| ROW.replace(",300", &format!(",{h}")) + "\n")
        .concat();
    harness::drop_on(
        &mut window,
        "hours.csv",
        format!("{HEADER}\n{rows}").as_bytes(),
    );
    let told = window.state().message().expect("told").to_owned();
    assert!(
        told.contains("3 of 3 cuts") && told.contains("minutes"),
        "{told}"
    );
    assert!(!window.state().learning().on && window.state().learning().cuts.len() == 3);
}

#[test]
fn a_drawing_that_is_opened_again_keeps_its_decisions() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("part.dxf");
    fs::copy(sample("latch-cam"), &drawing).expect("copied");
    let start = Start {
        theme: Some(egui::Theme::Dark),
        forget: true,
        files: vec![drawing.clone()],
        ..Start::default()
    };
    let mut window = Harness::builder()
        .with_size([1500.0, 1700.0])
        .with_max_steps(60)
        .build_eframe(move |cc| App::new(cc, start));
    settle(&mut window);
    window
        .get_by_role_and_label(egui::accesskit::Role::TextInput, "Quantity")
        .click();
    window.run();
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    window.event(egui::Event::Text("7".to_owned()));
    window.key_press(egui::Key::Enter);
    settle(&mut window);
    let quantity = |w: &Window| w.state().front().expect("a drawing").job.quantity;
    assert_eq!(quantity(&window), 7);
    let both = egui::Modifiers::COMMAND.plus(egui::Modifiers::SHIFT);
    window.key_press_modifiers(both, egui::Key::O);
    window.run();
    window.event(egui::Event::Text(drawing.display().to_string()));
    window.run();
    window.get_by_label("Open path").click();
    settle(&mut window);
    let told = window.state().message().expect("told").to_owned();
    assert!(told.contains("open already"), "{told}");
    window.get_by_label("Read again").click();
    settle(&mut window);
    assert_eq!((window.state().open_count(), quantity(&window)), (1, 7));
}

#[test]
fn the_command_rests_on_the_shop_as_the_window_does() {
    let home = tempfile::tempdir().expect("a folder");
    let shop = home.path().join("kerfcast");
    fs::create_dir(&shop).expect("made");
    let files = ShopFiles::in_folder(Some(&shop));
    files
        .keep(&change_to(ShopFile::Rates, 60.0, 123.0), None, library())
        .expect("saved");
    let run = |more: &[&str]| {
        let drawing = sample("latch-cam");
        let mut call = command();
        call.env("XDG_DATA_HOME", home.path());
        call.args(["estimate", &drawing, "--thickness", "40", "--json"])
            .args(more);
        call.output().expect("the command starts")
    };
    let machine = |out: &std::process::Output| {
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        let v: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        v[0]["wires"][0]["cost"]["machine"]
            .as_f64()
            .expect("a cost")
    };
    let (with, without, given) = (
        machine(&run(&[])),
        machine(&run(&["--no-shop"])),
        machine(&run(&["--machine-rate", "246"])),
    );
    let usual = Rates::of_library(library()).shop.machine_rate.amount();
    assert!(
        (with / without - 123.0 / usual).abs() < 1e-9,
        "{with} {without}"
    );
    assert!((given / with - 2.0).abs() < 1e-9);
    // The window shows the same.
    let window = window_in(&shop);
    let file = window.state().front().expect("a drawing");
    assert_eq!(file.job.shop.machine_rate.amount(), 123.0);
    // A line that cannot be is refused by its name, and --no-shop goes on without.
    fs::write(
        shop.join("rates.toml"),
        "kerfcast_rates = 1\nmachine_rate = 1e300\n",
    )
    .expect("written");
    let refused = run(&[]);
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        said.contains("machine_rate") && said.contains("Line 2") && said.contains("--no-shop"),
        "{said}"
    );
    assert!(run(&["--no-shop"]).status.success());
}

#[test]
fn a_report_is_never_written_over_a_drawing_and_over_another_file_only_when_forced() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("part.dxf");
    fs::copy(sample("latch-cam"), &drawing).expect("copied");
    let bytes = fs::read(&drawing).expect("read");
    let report = |page: &Path, more: &[&str]| {
        let mut call = command();
        call.arg("estimate")
            .arg(&drawing)
            .args(["--thickness", "40", "--report"])
            .arg(page)
            .args(more);
        call.output().expect("the command starts").status.code()
    };
    let link = folder.path().join("link.html");
    #[cfg(unix)]
    std::os::unix::fs::symlink(&drawing, &link).expect("linked");
    for more in [&[][..], &["--force"]] {
        for page in [
            &drawing,
            &link,
            &folder
                .path()
                .join("../")
                .join(folder.path().file_name().expect("a name"))
                .join("part.dxf"),
        ] {
            if page.exists() {
                assert_eq!(report(page, more), Some(2));
                assert_eq!(fs::read(&drawing).expect("read"), bytes);
            }
        }
    }
    let page = folder.path().join("page.html");
    assert_eq!(report(&page, &[]), Some(0));
    fs::write(&page, "mine").expect("written");
    assert_eq!(report(&page, &[]), Some(2));
    assert_eq!(fs::read_to_string(&page).expect("read"), "mine");
    assert_eq!(report(&page, &["--force"]), Some(0));
    assert!(fs::read_to_string(&page).expect("read").contains("Verdict"));
}

#[test]
fn a_drawing_that_is_not_to_be_quoted_has_an_exit_status_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("crossed.dxf");
    // An outline that crosses itself: what is inside and what is waste cannot be said.
    let corners = [(0, 0), (20, 20), (20, 0), (0, 20)];
    let corners: String = corners
        .iter()
        .map(|(x, y)| format!("10\n{x}\n20\n{y}\n"))
        .collect();
    let text = format!(
        "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n{corners}0\nENDSEC\n0\nEOF\n"
    );
    fs::write(&drawing, text).expect("written");
    for (form, verdict, finding) in [
        (None, "Verdict: don’t quote", "cross"),
        (
            Some("--json"),
            "\"verdict\": \"refuse\"",
            "\"self-crossing\"",
        ),
        (Some("--csv"), ",refuse,", "self-crossing 1"),
    ] {
        let mut call = command();
        call.arg("estimate")
            .arg(&drawing)
            .args(["--thickness", "40"])
            .args(form);
        let out = call.output().expect("the command starts");
        let text = String::from_utf8_lossy(&out.stdout).into_owned();
        assert_eq!(out.status.code(), Some(3), "{text}");
        let plain = |t: &str| t.to_lowercase().replace('’', "'");
        assert!(plain(&text).contains(&plain(verdict)), "{verdict}: {text}");
        assert!(plain(&text).contains(finding), "{finding}: {text}");
    }
}
