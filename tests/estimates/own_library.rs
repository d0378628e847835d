//! The shop's own library over the built-in one: what it changes, what it refuses, and that nothing is lost.

use kerfcast::job::Shop;
use kerfcast::library::{
    Caution, Cells, Change, Content, End, Kind, Library, LibraryCell, LibraryTable, Reason,
    UserLibrary,
};
use kerfcast::standing::{Standing, Value};
use kerfcast::units::Money;
use kerfcast::words::library::{as_in_file, cell_fault, file_fault};
use std::collections::BTreeMap;

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
            "no “cheese” to copy",
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
            "Point 2: the rate is 0 mm²/min",
        ),
        (
            "thickness_mm = 60",
            "thickness_mm = 20",
            "not above that of the point before",
        ),
        (
            "slug_removal = 6",
            "slug_removals = 6",
            "overheads “slug_removals”, value: There is no such key",
        ),
        ("slug_removal = 6", "rapid = 0", "outside 0.01"),
        ("our coated wire", "our@wire", "@ stands between"),
        ("our powder steel", "cold-work tool steel", "twice"),
    ] {
        let text = OWN.replacen(from, to, 1);
        assert_ne!(text, OWN, "{from}");
        let message = file_fault(&UserLibrary::parse(&text).unwrap_err());
        assert!(message.contains(words), "{to}: {message}");
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.toml");
    std::fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    let fault = UserLibrary::load(&path).unwrap_err();
    assert!(file_fault(&fault).contains("no text"));
    assert!(UserLibrary::load(&folder.path().join("none.toml")).is_err());
}

/// All values of a table of single values.
fn values(of: &impl Cells) -> BTreeMap<&'static str, Value> {
    let keys = of.fields().iter().map(|f| f.key);
    keys.filter_map(|key| match of.content(key)? {
        Content::Value(v) => Some((key, v)),
        _ => None,
    })
    .collect()
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
        machines: l.machines.clone(),
        overheads: values(&l.overheads),
        model: values(&l.model),
        thickness_curve: None,
    };
    assert_eq!(all.faults(), []);
    let again = UserLibrary::parse(&all.to_toml()).unwrap();
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
        let change = |v| none.with_change(table, &entry, cell.key, Change::Number(v));
        let (low, high) = (cell.field.low, cell.field.high);
        for outside in [low - 1.0, high + 1.0, f64::NAN, f64::INFINITY] {
            let fault = change(outside).unwrap_err();
            assert_eq!(
                (fault.table, fault.entry.as_str()),
                (table.word(), entry.as_str())
            );
            assert_eq!(fault.cell, cell.key);
            assert!(matches!(
                fault.reason,
                Reason::Outside {
                    end: End::Value,
                    ..
                }
            ));
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
        let Some(Content::Value(now)) =
            cells.iter().find(|c| c.key == cell.key).map(|c| &c.content)
        else {
            panic!("{entry} {} is a number", cell.key);
        };
        assert_eq!((now.value, now.standing), (new, Standing::Yours));
        assert_eq!(now.source, "your own library");
        assert_eq!(now.unit, old.unit);
        assert!(now.low.is_none_or(|l| l <= new) && now.high.is_none_or(|h| h >= new));
        // It goes through the file unchanged, and without it everything is as before.
        assert_eq!(UserLibrary::parse(&own.to_toml()).unwrap(), own);
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
        let said = cell_fault(&fault, &as_in_file);
        assert!(said.contains(words), "{name}: {said}");
    }
    // A diameter between two that are listed, typed with a nought too many.
    let new = 0.5 * (built_in.diameters[0].diameter_mm + built_in.diameters[1].diameter_mm);
    let thin = own
        .with_copy(LibraryTable::Diameters, "0.25", &format!("{new}0"))
        .unwrap();
    assert!(thin.has(LibraryTable::Diameters, &new.to_string()));
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
    assert!(matches!(e.reason, Reason::RangeHoldsNot { .. }));
    let own = change("caution", Change::Caution(Some(Caution::ToxicSludge))).unwrap();
    assert_eq!(own.materials[0].caution, Some(Caution::ToxicSludge));
    let own = own
        .with_change(materials, steel, "caution", Change::Caution(None))
        .unwrap();
    assert_eq!(own.over(built_in), *built_in);
    let own = change("designations", Change::Text(" our steel,".to_owned())).unwrap();
    assert_eq!(own.materials[0].designations, ["our steel"]);
    let rough = |k, v| {
        none.with_change(
            LibraryTable::Passes,
            "rough",
            "roughness_um",
            Change::Part(k, v),
        )
    };
    assert_eq!(rough(1, 3.0).unwrap().passes[0].roughness_um, [2.0, 3.0]);
    assert!(matches!(
        rough(1, 1.0).unwrap_err().reason,
        Reason::NoPair { .. }
    ));
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
    let refused = file_fault(&own("roughness = 40").unwrap_err());
    assert!(
        refused.contains("wire “ours”, roughness: 40 lies outside"),
        "{refused}"
    );
}

/// An own library of one wire and one overhead.
fn one(cell: &str, overhead: &str) -> Result<UserLibrary, String> {
    let text = format!(
        "kerfcast_library = 1\n[[wire]]\nname = \"ours\"\ncopy_of = \"zinc-coated brass\"\n{cell}\n[overheads]\n{overhead}\n"
    );
    UserLibrary::parse(&text).map_err(|e| file_fault(&e))
}

#[test]
fn a_unit_of_the_same_quantity_is_converted_with_its_range() {
    // 1 in = 25.4 mm and 1 lb = 0.453 592 37 kg: international yard and pound, 1959, exact.
    let value = |overhead: &str, key: &str| one("", overhead).unwrap().overheads[key].clone();
    let lead = value(
        "lead_in = { value = 0.2, low = 0.1, high = 0.3, unit = \"in\" }",
        "lead_in",
    );
    assert!((lead.value - 5.08).abs() < 1e-12, "{lead:?}");
    assert!((lead.low.unwrap() - 2.54).abs() < 1e-12);
    assert!((lead.high.unwrap() - 7.62).abs() < 1e-12);
    assert_eq!(lead.unit, "mm");
    for (overhead, key, expected) in [
        ("setup = { value = 90, unit = \"min\" }", "setup", 1.5),
        (
            "inspection = { value = 0.5, unit = \"h\" }",
            "inspection",
            30.0,
        ),
        (
            "threading_waste = { value = 5, unit = \"ft\" }",
            "threading_waste",
            1.524,
        ),
        ("rapid = { value = 40, unit = \"in/min\" }", "rapid", 1016.0),
        (
            "wire_price = { value = 5, unit = \"currency/lb\" }",
            "wire_price",
            11.023_113_109,
        ),
    ] {
        let found = value(overhead, key).value;
        assert!((found - expected).abs() < 1e-8, "{key}: {found}");
    }
    let run = one("skim_run_off = { value = 20, unit = \"ft/min\" }", "").unwrap();
    assert!((run.wires[0].skim_run_off.value - 6.096).abs() < 1e-12);
}

#[test]
fn a_unit_that_cannot_be_converted_is_refused_with_its_line() {
    for (cell, overhead, words) in [
        (
            "",
            "lead_in = { value = 0.2, unit = \"kg\" }",
            "Line 7: overheads “lead_in”, value: The unit “kg” cannot be turned into mm. Possible are mm, µm, m, in, ft.",
        ),
        (
            "",
            "lead_in = { value = 0.2, unit = \"inches\" }",
            "“inches” cannot be turned into mm",
        ),
        (
            "relative_speed = { value = 1.1, unit = \"mm\" }",
            "",
            "Line 5: wire “ours”, relative_speed: This is a ratio",
        ),
        (
            "",
            "uptime = { value = 0.75, unit = \"share\" }",
            "Write it in %",
        ),
        // Converted first, then held against the limits.
        (
            "",
            "lead_in = { value = 50, unit = \"in\" }",
            "1270 lies outside 0 to 1000 mm",
        ),
    ] {
        let message = one(cell, overhead).unwrap_err();
        assert!(message.contains(words), "{message}");
    }
}

#[test]
fn both_ends_of_a_range_have_limits() {
    for (range, words) in [
        (
            "low = 1e-100, high = 2",
            "relative_speed: The lower end of the range, ",
        ),
        (
            "low = 1, high = 1e300",
            "relative_speed: The upper end of the range, ",
        ),
        ("low = nan", "The lower end"),
        ("high = inf", "The upper end"),
    ] {
        let message = one(&format!("relative_speed = {{ value = 1.1, {range} }}"), "").unwrap_err();
        assert!(message.starts_with("Line 5: wire “ours”, "), "{message}");
        assert!(message.contains(words), "{message}");
    }
    let none = UserLibrary::default();
    let steel = "cold-work tool steel";
    let high = Change::High(Some(1e300));
    let fault = none
        .with_change(LibraryTable::Materials, steel, "relative_speed", high)
        .unwrap_err();
    assert!(matches!(
        fault.reason,
        Reason::Outside { end: End::High, .. }
    ));
}

#[test]
fn what_kind_of_material_it_is_stands_in_a_field() {
    let of = |text: &str| {
        let own = UserLibrary::parse(&format!("kerfcast_library = 1\n{text}"));
        own.map(|o| o.materials[0].clone())
            .map_err(|e| file_fault(&e))
    };
    let rest = "relative_speed = 0.4\ndensity = 14000\n";
    let named =
        |name: &str, more: &str| of(&format!("[[material]]\nname = \"{name}\"\n{rest}{more}"));
    assert!(named("K20", "kind = \"carbide\"").unwrap().is_carbide());
    assert!(!named("K20", "").unwrap().is_carbide());
    // A word in the name decides nothing where the kind is said.
    assert!(
        !named("carbide of ours", "kind = \"steel\"")
            .unwrap()
            .is_carbide()
    );
    // Files from before there were kinds said it by the name alone.
    assert!(named("carbide of ours", "").unwrap().is_carbide());
    let message = named("K20", "kind = \"cheese\"").unwrap_err();
    assert!(message.contains("one of steel, carbide"), "{message}");
    // Old files wrote designations in one text.
    let both = named("K20", "designations = \"WC / K 20\"").unwrap();
    assert_eq!(both.designations, ["WC", "K 20"]);
    let none = UserLibrary::default();
    let kind = Change::Kind(Kind::Carbide);
    let own = none
        .with_change(LibraryTable::Materials, "graphite", "kind", kind)
        .unwrap();
    assert!(own.materials[0].is_carbide());
    // A caution taken away stays away in the file.
    let calm = none
        .with_change(
            LibraryTable::Materials,
            "titanium alloy",
            "caution",
            Change::Caution(None),
        )
        .unwrap();
    assert_eq!(UserLibrary::parse(&calm.to_toml()).unwrap(), calm);
}
