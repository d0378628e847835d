//! Measures drawings and estimates jobs without a window; see `kerfcast::command_line`.

use std::process::ExitCode;

fn main() -> ExitCode {
    kerfcast::command_line::run(std::env::args_os())
}
