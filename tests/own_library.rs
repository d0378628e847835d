//! The shop's own library over the built-in one: what it changes, what it refuses, and that nothing is lost.

use kerfcast::process::{Library, Standing, UserLibrary};

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
