//! Opens the window.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

use clap::Parser;
use kerfcast::command_line::window::{Arguments, DrawnBy, Theme};
use kerfcast::gui::{self, Graphics, NoWindow, Start};
use kerfcast::language::{self, Language};
use kerfcast::words::start_faults::{StartFault, in_short, opengl_alone};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(e) if e.use_stderr() => {
            tell(&e.to_string());
            return ExitCode::from(2);
        }
        // Help and version.
        Err(e) => {
            let _ = e.print();
            return ExitCode::SUCCESS;
        }
    };
    let language = arguments.language.unwrap_or_else(Language::of_system);
    language::speak(language);
    let start = Start {
        language,
        files: arguments.files,
        theme: arguments.theme.map(|t| match t {
            Theme::Dark => egui::Theme::Dark,
            Theme::Light => egui::Theme::Light,
        }),
        library: arguments.library,
        ..Start::default()
    };
    let graphics = match arguments.graphics {
        None | Some(DrawnBy::Opengl) => Graphics::OpenGl,
        Some(DrawnBy::Software) => Graphics::Software,
    };
    if graphics == Graphics::Software && !cfg!(feature = "wgpu") {
        eprintln!("{}", opengl_alone());
    }
    let Err(no_window) = gui::run(start, graphics) else {
        return ExitCode::SUCCESS;
    };
    if arguments.graphics.is_none()
        && no_window.fault == StartFault::NoOpenGl
        && let Some(status) = again_in_software()
    {
        return status;
    }
    tell(&in_words(&no_window));
    ExitCode::FAILURE
}

/// Starts the program once more without OpenGL: a process has one event loop only. `None` where this build cannot.
fn again_in_software() -> Option<ExitCode> {
    if !cfg!(feature = "wgpu") {
        return None;
    }
    let program = std::env::current_exe().ok()?;
    let status = std::process::Command::new(program)
        .args(std::env::args_os().skip(1))
        .args(["--graphics", "software"])
        .status()
        .ok()?;
    let code = status
        .code()
        .and_then(|c| u8::try_from(c).ok())
        .unwrap_or(1);
    Some(ExitCode::from(code))
}

fn in_words(no_window: &NoWindow) -> String {
    let NoWindow { fault, said } = no_window;
    let said = in_short(said);
    kerfcast_say::say!(
        "{}\n{}\nThe system says: {said}",
        fault.sentence(),
        fault.advice()
    )
}

/// On standard error; on Windows, where a window program has no console, in a message box.
fn tell(text: &str) {
    eprintln!("{}", text.trim_end());
    #[cfg(windows)]
    rfd::MessageDialog::new()
        .set_level(rfd::MessageLevel::Error)
        .set_title(kerfcast_say::say!("Kerfcast"))
        .set_description(text)
        .show();
}
