//! The window without a display, driven as a person would.

#![allow(dead_code, reason = "not every test drops a file")]

pub mod legible;

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kerfcast::gui::{App, Start};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Far longer than any sample takes, also on a busy machine.
pub const LONGEST: Duration = Duration::from_mins(1);

/// The whole program.
pub type Window = Harness<'static, App>;

/// Waits for the field in which a place is typed where no dialog can be shown.
pub fn wait_for_place(window: &mut Window) {
    for _ in 0..100 {
        settle(window);
        let field = window.query_by_role_and_label(Role::TextInput, "Save as");
        if field.is_some() {
            break;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}

/// Frames until every answer has come and been shown.
pub fn settle(window: &mut Window) {
    // An answer may ask for the next one.
    for _ in 0..4 {
        window.run();
        assert!(
            window.state_mut().wait_until_idle(LONGEST),
            "an answer is late"
        );
    }
    window.run();
}

/// A window of a size with the sample that greets a newcomer, and nothing kept from before.
pub fn window_of(size: [f32; 2]) -> Window {
    started(size, Start::default())
}

/// A window that keeps its things in a folder, with some files opened.
pub fn window_in(folder: &Path, files: Vec<PathBuf>) -> Window {
    let folder = Some(folder.to_owned());
    let start = Start {
        folder,
        files,
        ..Start::default()
    };
    started([1280.0, 800.0], start)
}

/// A window in a theme that keeps its things in a folder and hands its textures to something that paints.
pub fn window_painted_by(
    painter: impl egui_kittest::TestRenderer + 'static,
    theme: egui::Theme,
    folder: &Path,
) -> Window {
    let start = Start {
        folder: Some(folder.to_owned()),
        theme: Some(theme),
        ..Start::default()
    };
    let builder = Harness::builder().renderer(painter).with_theme(theme);
    built(builder, [1280.0, 800.0], start)
}

fn started(size: [f32; 2], start: Start) -> Window {
    let start = Start {
        theme: Some(egui::Theme::Dark),
        ..start
    };
    built(Harness::builder(), size, start)
}

fn built(builder: egui_kittest::HarnessBuilder<App>, size: [f32; 2], start: Start) -> Window {
    let start = Start {
        forget: true,
        ..start
    };
    let mut window = builder
        .with_size(size)
        // An answer that comes in between asks for a frame of its own.
        .with_max_steps(60)
        .build_eframe(move |cc| App::new(cc, start));
    settle(&mut window);
    window
}

/// Replaces what stands in a field, and leaves it by Return.
pub fn type_into(window: &mut Window, name: &str, text: &str) {
    type_over(window, name, text);
    window.key_press(Key::Enter);
    settle(window);
}

/// Replaces what stands in a field and stays in it.
pub fn type_over(window: &mut Window, name: &str, text: &str) {
    let field = window.get_by_role_and_label(Role::TextInput, name);
    field.scroll_to_me();
    window.run();
    window.get_by_role_and_label(Role::TextInput, name).click();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    if text.is_empty() {
        window.key_press(Key::Delete);
    } else {
        window.event(egui::Event::Text(text.to_owned()));
    }
    window.run();
}

/// Opens the list of contours that lies over the drawing.
pub fn open_list(window: &mut Window) {
    window.key_press(Key::C);
    settle(window);
}

#[derive(Debug)]
struct Drop {
    path: PathBuf,
    bytes: Vec<u8>,
}

impl egui::DroppedFile for Drop {
    fn path(&self) -> &Path {
        &self.path
    }
    fn bytes(&self) -> Result<Vec<u8>, String> {
        Ok(self.bytes.clone())
    }
}

/// Drops a file on the window, and waits until it is read and estimated.
pub fn drop_on(window: &mut Window, name: &str, bytes: &[u8]) {
    drop_without_waiting(window, name, bytes);
    settle(window);
}

/// Drops a file on the window.
pub fn drop_without_waiting(window: &mut Window, name: &str, bytes: &[u8]) {
    let file = Drop {
        path: PathBuf::from("nowhere").join(name),
        bytes: bytes.to_vec(),
    };
    window.input_mut().dropped_files.push(Arc::new(file));
}

/// Drops a file that lies somewhere on the window.
pub fn drop_path(window: &mut Window, path: &Path) {
    let file = Drop {
        path: path.to_owned(),
        bytes: Vec::new(),
    };
    window.input_mut().dropped_files.push(Arc::new(file));
}
