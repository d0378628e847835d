//! Ctrl-C in the middle of a call. A named pipe into which nobody writes keeps the call at work for as long as a test likes.
#![cfg(unix)]

use crate::calling;
use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Stdio};

/// Calls the command, presses Ctrl-C once it reads the pipe, and gives its exit status and what it said.
fn stopped(pipe: &Path, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = calling::command();
    command
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    let child = command.spawn().expect("the command starts");
    // Opening waits until the command has opened the other end.
    let held_open = File::options().write(true).open(pipe).expect("it opens");
    let pid = child.id().to_string();
    // The shell's own, which a system without a program of that name has as well.
    let kill = format!("kill -INT {pid}");
    let sent = Command::new("sh").args(["-c", &kill]).status();
    assert!(sent.expect("there is a shell").success());
    let ended = child.wait_with_output().expect("it ends");
    drop(held_open);
    let said = String::from_utf8(ended.stderr).expect("UTF-8");
    (ended.status.code(), said)
}

#[test]
fn a_call_that_is_stopped_says_so_and_leaves_no_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("part.dxf");
    let made = Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("there is a mkfifo").success());
    let (part, out) = (pipe.display().to_string(), folder.path().join("out"));
    let out = out.display().to_string();
    let calls: [&[&str]; 4] = [
        &["measure", "--json", &part],
        &["estimate", &part, "--thickness", "20", "--report", &out],
        &["export", &part, "--dxf", &out],
        &["quote", &part, "--thickness", "20", "--pdf", &out],
    ];
    for call in calls {
        let (status, said) = stopped(&pipe, call);
        // 128 and the signal's number, as POSIX shells report it (IEEE 1003.1, 2.8.2).
        assert_eq!(status, Some(130), "{call:?}: {said}");
        assert!(said.contains("Stopped."), "{call:?}: {said}");
        let left = fs::read_dir(folder.path()).expect("it lists");
        let left: Vec<_> = left.flatten().map(|e| e.file_name()).collect();
        assert_eq!(left, ["part.dxf"], "{call:?}");
    }
}
