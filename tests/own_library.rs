//! The shop's own library over the built-in one: what it changes, what it refuses, and that nothing is lost.

use kerfcast::job::Shop;
use kerfcast::library::{
    Caution, Change, Content, Library, LibraryCell, LibraryTable, UserLibrary,
};
use kerfcast::standing::Standing;
use kerfcast::units::Money;

const OWN: &str = r#"kerfcast_library = 1

[[material]]
name = "cold-work tool steel"
relative_speed = 1.05

[[material]]
name = "our powder steel"
copy_of = "high-speed steel"
relative_speed = { value = 0.8, low = 0.7, high = 0.9, source = "cuts of last winter" }

[[wire]]
name = "our coated wire"
copy_of = "zinc-coated brass"
relative_speed = 1.2
price_factor = 1.3

[[diameter]]
diameter_mm = 0.22
gap_and_stock = 0.94
run_off = 0.94
usual_max_thickness = 200
usual_tension = 14

[[thickness_curve]]
thickness_mm = 20
rate_mm2_per_min = 110

[[thickness_curve]]
thickness_mm = 60
rate_mm2_per_min = 160

[overheads]
slug_removal = 6
"#;

#[test]
fn own_entries_lie_over_the_built_in_ones() {
    let built_in = Library::built_in();
    let own = UserLibrary::parse(OWN).unwrap();
    let l = own.over(built_in);
    let steel = l.material("cold-work tool steel").unwrap();
    assert_eq!(
        (steel.relative_speed.value, steel.relative_speed.standing),
        (1.05, Standing::Yours)
    );
    // The range keeps its width, and what was not named stays built-in.
    assert!(
        (steel.relative_speed.log_sd().unwrap()
            - built_in.materials[0].relative_speed.log_sd().unwrap())
        .abs()
            < 1e-12
    );
    assert_eq!(steel.density, built_in.materials[0].density);
    assert_eq!(l.materials.len(), built_in.materials.len() + 1);
    assert_eq!(
        l.material("our powder steel").unwrap().density,
        built_in.material("high-speed steel").unwrap().density
    );
    assert_eq!(l.wire("our coated wire").unwrap().price_factor.value, 1.3);
    assert!(
        l.diameters
            .is_sorted_by(|a, b| a.diameter_mm < b.diameter_mm)
    );
    assert_eq!(l.overheads.slug_removal.value, 6.0);
    assert_eq!(l.overheads.slug_removal.unit, "min");
    assert_eq!(l.thickness_curve.as_ref().unwrap().points().len(), 2);
    // Taking the own entry out brings the built-in one back.
    let mut less = own.clone();
    less.materials.remove(0);
    assert_eq!(
        less.over(built_in).material("cold-work tool steel"),
        built_in.material("cold-work tool steel")
    );
    assert_eq!(UserLibrary::default().over(built_in), *built_in);
}

#[test]
fn what_is_saved_reads_back_and_a_crash_leaves_the_old_file() {
    let own = UserLibrary::parse(OWN).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.toml");
    own.save(&path).unwrap();
    assert_eq!(UserLibrary::load(&path).unwrap(), own);
    // A library that would be refused is not saved, and the old file stays.
    let mut wrong = own.clone();
    wrong.wires[0].density.value = -1.0;
    assert_eq!(wrong.faults().len(), 1);
    assert!(wrong.save(&path).is_err());
    assert_eq!(UserLibrary::load(&path).unwrap(), own);
}

#[test]
fn a_damaged_file_is_refused_with_line_and_reason() {
    for (from, to, words) in [
        ("kerfcast_library = 1", "kerfcast_library = 2", "version 2"),
        ("kerfcast_library = 1", "", "no library"),
        (
            "kerfcast_library = 1",
            "kerfcast_library = \"x\"",
            "no library",
        ),
        ("relative_speed = 1.05", "relative_speed = ", "Line 5"),
        (
            "relative_speed = 1.05",
            "relative_speed = \"fast\"",
            "Line 5",
        ),
        (
            "relative_speed = 1.05",
            "relative_spede = 1.05",
            "relative_spede",
        ),
        (
            "relative_speed = 1.05",
            "relative_speed = 105",
            "Line 5: material “cold-work tool steel”, relative_speed: 105 lies outside 0.01 to 20.",
        ),
        (
            "relative_speed = 1.05",
            "relative_speed = nan",
            "relative_speed: NaN lies outside",
        ),
        (
            "low = 0.7",
            "low = 0.85",
            "Line 10: material “our powder steel”, relative_speed: The range 0.85 to 0.9 does not hold 0.8.",
        ),
        (
            "copy_of = \"high-speed steel\"\n",
            "",
            "density: It is missing",
        ),
        (
            "copy_of = \"high-speed steel\"",
            "copy_of = \"cheese\"",
            "no “cheese”",
        ),
        ("usual_tension = 14", "usual_tension = -14", "Line 23"),
        (
            "diameter_mm = 0.22",
            "diameter_mm = 2.2",
            "between 0.03 and 0.4",
        ),
        (
            "rate_mm2_per_min = 160",
            "rate_mm2_per_min = 0",
            "Point 2: rate_mm2_per_min",
        ),
        (
            "thickness_mm = 60",
            "thickness_mm = 20",
            "not above that of the point before",
        ),
        ("slug_removal = 6", "slug_removals = 6", "no such overhead"),
        ("slug_removal = 6", "rapid = 0", "outside 0.01"),
        ("our coated wire", "our@wire", "@ stands between"),
        ("our powder steel", "cold-work tool steel", "twice"),
    ] {
        let text = OWN.replacen(from, to, 1);
        assert_ne!(text, OWN, "{from}");
        let message = UserLibrary::parse(&text).unwrap_err().to_string();
        assert!(message.contains(words), "{to}: {message}");
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.toml");
    std::fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    assert!(
        UserLibrary::load(&path)
            .unwrap_err()
            .to_string()
            .contains("no text")
    );
    assert!(UserLibrary::load(&folder.path().join("none.toml")).is_err());
}

#[test]
fn the_built_in_library_passes_its_own_check() {
    let l = Library::built_in();
    let all = UserLibrary {
        materials: l.materials.clone(),
        wires: l.wires.clone(),
        diameters: l.diameters.clone(),
        passes: l.passes.clone(),
        spools: l.spools.clone(),
        overheads: l
            .overheads
            .all()
            .into_iter()
            .map(|(k, v)| (k.to_owned(), v.clone()))
            .collect(),
        thickness_curve: None,
    };
    assert_eq!(all.faults(), []);
    let again = UserLibrary::parse(&all.to_toml().unwrap()).unwrap();
    assert_eq!(again.over(l), *l);
}

/// Every cell of every entry, whatever its kind.
fn all_cells() -> Vec<(LibraryTable, String, LibraryCell)> {
    let built_in = Library::built_in();
    let mut out = Vec::new();
    for table in LibraryTable::ALL {
        for (entry, cells) in built_in.table_cells(table) {
            out.extend(cells.into_iter().map(|c| (table, entry.clone(), c)));
        }
    }
    out
}

#[test]
fn every_number_can_be_changed_and_none_can_leave_its_range() {
    let built_in = Library::built_in();
    let none = UserLibrary::default();
    let mut numbers = 0;
    for (table, entry, cell) in all_cells() {
        let Content::Value(old) = &cell.content else {
            continue;
        };
        numbers += 1;
        let change = |v| none.with_change(table, &entry, &cell.path, Change::Number(v));
        let (low, high) = cell.allowed;
        for outside in [low - 1.0, high + 1.0, f64::NAN, f64::INFINITY] {
            let fault = change(outside).unwrap_err();
            assert_eq!(
                (fault.table, fault.entry.as_str()),
                (table.word(), entry.as_str())
            );
            assert_eq!(fault.cell, cell.path, "{fault}");
        }
        // Halfway to the upper limit in proportion is another number in range, also where the old one is 0.
        let new = if old.value > low {
            (old.value * high).sqrt()
        } else {
            high * 0.5
        };
        let own = change(new).unwrap();
        assert!(own.has(table, &entry) && own.count() == 1);
        let library = own.over(built_in);
        let cells = library.entry_cells(table, &entry);
        let Some(Content::Value(now)) = cells
            .iter()
            .find(|c| c.path == cell.path)
            .map(|c| &c.content)
        else {
            panic!("{entry} {} is a number", cell.path);
        };
        assert_eq!((now.value, now.standing), (new, Standing::Yours));
        assert_eq!(now.source, "your own library");
        assert_eq!(now.unit, old.unit);
        assert!(now.low.is_none_or(|l| l <= new) && now.high.is_none_or(|h| h >= new));
        // It goes through the file unchanged, and without it everything is as before.
        assert_eq!(UserLibrary::parse(&own.to_toml().unwrap()).unwrap(), own);
        assert_eq!(own.without(table, &entry).over(built_in), *built_in);
    }
    assert!(numbers > 150, "{numbers}");
}

#[test]
fn an_entry_is_copied_under_a_name_of_its_own() {
    let built_in = Library::built_in();
    let none = UserLibrary::default();
    let wires = LibraryTable::Wires;
    let own = none
        .with_copy(wires, "zinc-coated brass", "our wire")
        .unwrap();
    let library = own.over(built_in);
    let (new, old) = (
        library.wire("our wire").unwrap(),
        built_in.wire("zinc-coated brass").unwrap(),
    );
    assert_eq!(new.relative_speed, old.relative_speed);
    assert_eq!(library.wires.len(), built_in.wires.len() + 1);
    for (table, from, name, words) in [
        (
            wires,
            "zinc-coated brass",
            "hard plain brass",
            "of this name",
        ),
        (wires, "zinc-coated brass", " ", "empty"),
        (wires, "zinc-coated brass", "a@b", "@ stands"),
        (wires, "no such wire", "x", "to copy"),
        (LibraryTable::Passes, "skim 5", "skim 6", "be added"),
        (LibraryTable::Overheads, "setup", "coffee", "be added"),
        (LibraryTable::Diameters, "0.25", "thick", "number of mm"),
        (
            LibraryTable::Diameters,
            "0.25",
            "2.5",
            "between 0.03 and 0.4",
        ),
    ] {
        let fault = own.with_copy(table, from, name).unwrap_err();
        assert!(fault.reason.contains(words), "{name}: {fault}");
    }
    let thin = own
        .with_copy(LibraryTable::Diameters, "0.25", "0.220")
        .unwrap();
    assert!(thin.has(LibraryTable::Diameters, "0.22"));
    // Over a built-in entry the copy is the same until it is changed.
    let over = none
        .with_copy(wires, "zinc-coated brass", "zinc-coated brass")
        .unwrap();
    assert_eq!(over.over(built_in), *built_in);
    assert!(over.has(wires, "zinc-coated brass"));
}

#[test]
fn ends_words_pairs_and_cautions_can_be_changed() {
    let none = UserLibrary::default();
    let built_in = Library::built_in();
    let steel = "cold-work tool steel";
    let materials = LibraryTable::Materials;
    let change = |path: &str, c| none.with_change(materials, steel, path, c);
    let own = change("relative_speed", Change::Low(Some(0.5))).unwrap();
    assert_eq!(own.materials[0].relative_speed.low, Some(0.5));
    let e = change("relative_speed", Change::Low(Some(1.5))).unwrap_err();
    assert!(e.reason.contains("does not hold"), "{e}");
    let own = change("caution", Change::Caution(Some(Caution::ToxicSludge))).unwrap();
    assert_eq!(own.materials[0].caution, Some(Caution::ToxicSludge));
    let own = own
        .with_change(materials, steel, "caution", Change::Caution(None))
        .unwrap();
    assert_eq!(own.over(built_in), *built_in);
    let own = change("designations", Change::Text("our steel".to_owned())).unwrap();
    assert_eq!(own.materials[0].designations, "our steel");
    let rough = |k, v| {
        none.with_change(
            LibraryTable::Passes,
            "rough",
            "roughness_um",
            Change::Part(k, v),
        )
    };
    assert_eq!(rough(1, 3.0).unwrap().passes[0].roughness_um, [2.0, 3.0]);
    assert!(rough(1, 1.0).unwrap_err().reason.contains("low first"));
    assert!(rough(7, 1.0).is_err() && change("density", Change::Text(String::new())).is_err());
    // A number that only other materials give can be added.
    let diamond = "polycrystalline diamond";
    assert!(built_in.material(diamond).unwrap().melting_point.is_none());
    let own = none
        .with_change(materials, diamond, "melting_point", Change::Number(3500.0))
        .unwrap();
    assert_eq!(own.materials[0].melting_point.as_ref().unwrap().unit, "°C");
}

#[test]
fn a_file_of_another_shop_adds_and_replaces_and_takes_nothing_away() {
    let own = UserLibrary::parse(OWN).unwrap();
    let theirs = OWN
        .replace("our powder steel", "their steel")
        .replace("1.05", "0.9");
    let both = own.with_all(&UserLibrary::parse(&theirs).unwrap());
    assert_eq!(both.count(), own.count() + 1);
    assert_eq!(both.materials[0].relative_speed.value, 0.9);
    assert!(both.has(LibraryTable::Materials, "our powder steel"));
    assert_eq!(both.faults(), []);
    let with_mark = [b"\xef\xbb\xbf", OWN.as_bytes()].concat();
    assert_eq!(UserLibrary::from_bytes(&with_mark).unwrap(), own);
}

#[test]
fn rates_follow_the_library_unless_they_were_set_by_hand() {
    let built_in = Library::built_in();
    let dearer = UserLibrary::default()
        .with_change(
            LibraryTable::Overheads,
            "wire_price",
            "value",
            Change::Number(20.0),
        )
        .unwrap()
        .over(built_in);
    let (from, to) = (Shop::from_library(built_in), Shop::from_library(&dearer));
    let mut untouched = from.clone();
    untouched.follow(&from, &to);
    assert_eq!(untouched, to);
    let mut set = from.clone();
    set.wire_price = Money::from_amount(12.5);
    set.follow(&from, &to);
    assert_eq!(set.wire_price.amount(), 12.5);
}

#[test]
fn a_wire_of_ones_own_may_say_what_it_leaves_and_bears() {
    let built_in = Library::built_in();
    let own = |cells: &str| {
        let text = format!(
            "kerfcast_library = 1\n[[wire]]\nname = \"ours\"\nrelative_speed = 1.1\ndensity = 8400\n\
             tensile_strength = 900\nprice_factor = 1.2\n{cells}"
        );
        UserLibrary::parse(&text)
    };
    let wire = |l: UserLibrary| l.over(built_in).wire("ours").unwrap().clone();
    let given =
        wire(own("roughness = 0.8\nskim_run_off = { value = 4, low = 3, high = 5 }").unwrap());
    assert_eq!(
        (given.roughness.value, given.skim_run_off.value),
        (0.8, 4.0)
    );
    // Files from before say nothing about it; they are read as they were, and taken as plain brass.
    let silent = wire(own("").unwrap());
    assert_eq!(
        (silent.roughness.value, silent.skim_run_off.value),
        (1.0, 7.0)
    );
    assert_eq!(silent.roughness.standing, Standing::Judgement);
    let refused = own("roughness = 40").unwrap_err().to_string();
    assert!(
        refused.contains("wire “ours”, roughness: 40 lies outside"),
        "{refused}"
    );
}
