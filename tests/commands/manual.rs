//! Pages for `man` and completions, as packages carry them.

use crate::calling::run;
use std::fs;

/// Every page begins as man(7) asks, with its title in section 1 and the parts NAME and SYNOPSIS, and tells what `--help` tells.
#[test]
fn both_programs_have_a_page_and_completions() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("UTF-8");
    assert!(run(&["manual", path]).status.success());
    let read = |name: &str| {
        fs::read_to_string(folder.path().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    };
    let job = "How long a wire EDM job runs";
    for (page, about, options) in [
        ("kerfcast", job, &["theme", "library", "graphics"][..]),
        ("kerfcast-cli", job, &[]),
        (
            "kerfcast-cli-estimate",
            "Estimate time, wire and cost",
            &["thickness", "no\\-shop"],
        ),
    ] {
        let text = read(&format!("{page}.1"));
        assert!(text.contains(&format!("\n.TH {page} 1")), "{page}");
        assert!(text.contains(about), "{page} does not say what it is");
        assert!(text.contains("\n.SH NAME\n") && text.contains("\n.SH SYNOPSIS\n"));
        for option in options {
            assert!(
                text.contains(&format!("\\-\\-{option}")),
                "{page}: {option}"
            );
        }
    }
    assert!(read("kerfcast-cli.1").contains("Exit status"));
    for completion in [
        "kerfcast.bash",
        "_kerfcast",
        "kerfcast.fish",
        "kerfcast-cli.bash",
        "_kerfcast-cli",
        "kerfcast-cli.fish",
    ] {
        assert!(read(completion).contains("kerfcast"), "{completion}");
    }
}
