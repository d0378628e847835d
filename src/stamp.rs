//! Build script of the programs: the commit that a release is built from, and the icon of the Windows programs.

use std::process::Command;

fn main() {
    println!("cargo:rerun-if-env-changed=KERFCAST_COMMIT");
    println!("cargo:rerun-if-changed=assets/icon/kerfcast.ico");
    let release = std::env::var("PROFILE").is_ok_and(|p| p == "release");
    let commit = std::env::var("KERFCAST_COMMIT")
        .ok()
        .filter(|c| !c.is_empty());
    // While somebody works on the program every commit would build it anew.
    let commit = commit.or_else(|| release.then(of_the_repository).flatten());
    println!(
        "cargo:rustc-env=KERFCAST_COMMIT={}",
        commit.unwrap_or_default()
    );
    if std::env::var("CARGO_CFG_TARGET_OS").is_ok_and(|os| os == "windows") {
        let mut resource = winresource::WindowsResource::new();
        resource.set_icon("assets/icon/kerfcast.ico");
        resource.set("ProductName", "Kerfcast");
        resource.set(
            "FileDescription",
            "Kerfcast: time, wire and cost of wire EDM jobs",
        );
        if let Err(e) = resource.compile() {
            println!("cargo:warning=The programs will have no icon: {e}");
        }
    }
}

fn of_the_repository() -> Option<String> {
    println!("cargo:rerun-if-changed=.git/HEAD");
    let output = Command::new("git")
        .args(["rev-parse", "--short", "HEAD"])
        .output()
        .ok()?;
    let commit = String::from_utf8(output.stdout).ok()?;
    output.status.success().then(|| commit.trim().to_owned())
}
