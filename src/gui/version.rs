//! Which Kerfcast this is.

/// Version, and the commit it was built from where that is known.
pub fn version() -> String {
    let version = env!("CARGO_PKG_VERSION");
    match option_env!("KERFCAST_COMMIT").filter(|c| !c.is_empty()) {
        Some(commit) => format!("{version} ({commit})"),
        None => version.to_owned(),
    }
}
