//! Why no window can be opened, and what to install.

/// What a start lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StartFault {
    /// No screen to show a window on: no X11 or Wayland session.
    NoScreen,
    /// The keyboard library of X11 is missing.
    NoKeyboardLibrary,
    /// A library of the X window system is missing.
    NoScreenLibrary,
    /// OpenGL is missing, or too old, as on some remote desktops and virtual machines.
    NoOpenGl,
    /// What draws without OpenGL does not draw here either.
    NoOtherGraphics,
    /// Something else; the toolkit's own words are all there is.
    Other,
}

/// The toolkit's words without places in its source and without what it had asked for, which help no reader.
pub fn in_short(said: &str) -> String {
    let mut line = said.lines().next().unwrap_or_default().to_owned();
    // … could not be loaded. (/…/.cargo/…/x11.rs:59:28)
    if let Some(at) = line.rfind(" (")
        && line[at..].contains(".cargo")
    {
        line.truncate(at);
    }
    // … os error at /…/mod.rs:788: Failed to …
    if let Some((before, rest)) = line.split_once("os error at ")
        && let Some((_, after)) = rest.split_once(": ")
    {
        line = format!("{before}{after}");
    }
    // … the template: ConfigTemplate { … }. Error: …
    if let (Some(from), Some(to)) = (line.find(" {"), line.rfind('}'))
        && from < to
    {
        line.replace_range(from..=to, "");
    }
    line
}

/// What a build without the feature `wgpu` says where software is asked for.
pub fn opengl_alone() -> &'static str {
    say!(
        "This build draws with OpenGL alone. With LIBGL_ALWAYS_SOFTWARE=1 in its environment Mesa draws in software."
    )
}

impl StartFault {
    /// Which it is, by what the window toolkit said.
    pub fn of(said: &str) -> Self {
        let said = said.to_lowercase();
        let has = |words: &[&str]| words.iter().any(|w| said.contains(w));
        if has(&["xkbcommon"]) {
            Self::NoKeyboardLibrary
        } else if has(&[
            "libx11",
            "libxcursor",
            "libxi.",
            "libxrandr",
            "libxinerama",
            "libxcb",
            "xlib's shared libraries",
        ]) {
            Self::NoScreenLibrary
        } else if has(&[
            "display is set",
            "open connection to x server",
            "xopendisplay",
            "wayland compositor",
            "failed to open display",
            "xnotsupported",
        ]) {
            Self::NoScreen
        } else if has(&["wgpu"]) {
            Self::NoOtherGraphics
        } else if has(&["opengl", "glutin", "libgl", "libegl", "egl", "glx"]) {
            Self::NoOpenGl
        } else {
            Self::Other
        }
    }

    /// What is wrong, in a sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Self::NoScreen => say!("No window can be opened: there is no screen to show it on."),
            Self::NoKeyboardLibrary => {
                say!(
                    "No window can be opened: the keyboard library of the X window system is missing."
                )
            }
            Self::NoScreenLibrary => {
                say!("No window can be opened: a library of the X window system is missing.")
            }
            Self::NoOpenGl => {
                say!("No window can be opened: OpenGL is missing here, or older than 2.1.")
            }
            Self::NoOtherGraphics => {
                say!(
                    "No window can be opened: the system’s graphics do not draw it without OpenGL."
                )
            }
            Self::Other => say!("No window can be opened."),
        }
    }

    /// What to do about it on this system.
    pub fn advice(self) -> &'static str {
        let linux = cfg!(target_os = "linux");
        match self {
            Self::NoScreen if linux => {
                say!(
                    "Start Kerfcast from a desktop (X11 or Wayland), or give DISPLAY or WAYLAND_DISPLAY. kerfcast-cli estimates \
                 without a window."
                )
            }
            Self::NoKeyboardLibrary if linux => {
                say!(
                    "Install it: libxkbcommon-x11-0 on Debian and Ubuntu, libxkbcommon-x11 elsewhere."
                )
            }
            Self::NoScreenLibrary if linux => {
                say!(
                    "Install them: libx11-6 libx11-xcb1 libxcursor1 libxi6 libxrandr2 on Debian and Ubuntu, libX11 libXcursor \
                 libXi libXrandr elsewhere."
                )
            }
            Self::NoOpenGl if linux => {
                say!(
                    "Install it: libgl1-mesa-dri libegl1 on Debian and Ubuntu, mesa-dri-drivers and mesa-libEGL elsewhere. It \
                 draws in software where there is no graphics card."
                )
            }
            Self::NoOpenGl => {
                say!(
                    "Update the graphics driver, or start with --graphics software, which draws without OpenGL."
                )
            }
            Self::NoOtherGraphics => {
                say!("Update the graphics driver, or start without --graphics.")
            }
            _ => say!("kerfcast-cli estimates without a window."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the toolkits say, word for word, each seen on a system that lacked the thing.
    #[test]
    fn each_lack_is_told_by_its_name() {
        for (said, fault) in [
            (
                "Library libxkbcommon-x11.so could not be loaded.",
                StartFault::NoKeyboardLibrary,
            ),
            (
                "winit EventLoopError: os error at platform_impl/linux/mod.rs:757: neither WAYLAND_DISPLAY nor \
                 WAYLAND_SOCKET nor DISPLAY is set.",
                StartFault::NoScreen,
            ),
            (
                "Found no glutin configs matching the template: ConfigTemplate { .. }. Error: provided display handle \
                 is not supported",
                StartFault::NoOpenGl,
            ),
            (
                "winit EventLoopError: os error at platform_impl/linux/mod.rs:788: Failed to load one of xlib's shared libraries",
                StartFault::NoScreenLibrary,
            ),
            (
                "WGPU error: Parent device is lost",
                StartFault::NoOtherGraphics,
            ),
            ("the table has no legs", StartFault::Other),
        ] {
            assert_eq!(StartFault::of(said), fault, "{said}");
        }
    }

    #[test]
    fn what_is_passed_on_names_no_place_in_the_toolkit() {
        for (said, short) in [
            (
                "winit EventLoopError: os error at /home/a/.cargo/registry/winit/mod.rs:765: neither WAYLAND_DISPLAY nor \
                 WAYLAND_SOCKET nor DISPLAY is set.",
                "winit EventLoopError: neither WAYLAND_DISPLAY nor WAYLAND_SOCKET nor DISPLAY is set.",
            ),
            (
                "Library libxkbcommon-x11.so could not be loaded. (/home/a/.cargo/registry/xkbcommon-dl/x11.rs:59:28)",
                "Library libxkbcommon-x11.so could not be loaded.",
            ),
            (
                "Found no glutin configs matching the template: ConfigTemplate { rgb: Rgb { r_size: 8 }, api: None }. \
                 Error: not found",
                "Found no glutin configs matching the template: ConfigTemplate. Error: not found",
            ),
            (
                "the table has no legs (src/gui/app.rs:12:3)\nand no top",
                "the table has no legs (src/gui/app.rs:12:3)",
            ),
            ("", ""),
        ] {
            assert_eq!(in_short(said), short);
        }
    }

    #[test]
    fn every_lack_says_what_is_wrong_and_what_to_do() {
        let mut said = std::collections::HashSet::new();
        for fault in [
            StartFault::NoScreen,
            StartFault::NoKeyboardLibrary,
            StartFault::NoScreenLibrary,
            StartFault::NoOpenGl,
            StartFault::NoOtherGraphics,
            StartFault::Other,
        ] {
            assert!(said.insert(fault.sentence()) && fault.advice().len() > 20);
        }
    }
}
