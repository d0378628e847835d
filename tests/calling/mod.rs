//! The headless command, called as a script calls it.

#![allow(dead_code, reason = "not every test needs all of it")]

use serde_json::Value;
use std::process::{Command, Output};

/// Folder of the sample drawings.
pub const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample_drawings");

/// The command for a user who has kept nothing.
pub fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kerfcast-cli"));
    // A folder that is never made.
    let nowhere = concat!(env!("CARGO_TARGET_TMPDIR"), "/nobody");
    command.env("HOME", nowhere);
    command.env("XDG_DATA_HOME", nowhere);
    // The language of whoever runs the tests is not theirs.
    for of_the_system in ["LC_ALL", "LC_MESSAGES", "LANGUAGE", "LANG"] {
        command.env(of_the_system, "en_GB.UTF-8");
    }
    command
}

/// Runs the command.
pub fn run(arguments: &[&str]) -> Output {
    command()
        .args(arguments)
        .output()
        .expect("the command starts")
}

/// Path of a sample drawing.
pub fn sample(name: &str) -> String {
    format!("{SAMPLES}/{name}.dxf")
}

/// Runs the command and reads what it writes.
pub fn json(arguments: &[&str]) -> (Value, Option<i32>) {
    let out = run(arguments);
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    (
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}")),
        out.status.code(),
    )
}

/// A number of the answer.
pub fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

/// Sum over a field of a list.
pub fn sum(lines: &Value, field: &str) -> f64 {
    lines
        .as_array()
        .expect("lines")
        .iter()
        .map(|l| number(&l[field]))
        .sum()
}
