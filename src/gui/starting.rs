//! Opening the window, and saying what is missing where it cannot be opened.

use super::app::{APPLICATION, App, Start, shop_folder};
use super::crash_report;
use crate::words::start_faults::StartFault;
use egui::ViewportBuilder;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The program's picture: in the task bar and the list of windows.
const ICON: &[u8] = include_bytes!("../../assets/icon/kerfcast-256.png");

/// What draws the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Graphics {
    /// OpenGL, by the graphics card or by a library that draws in software.
    #[default]
    OpenGl,
    /// Without OpenGL: the system's own graphics, in software where there is no other.
    Software,
}

/// Why there is no window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoWindow {
    /// What is missing.
    pub fault: StartFault,
    /// The toolkit's own words.
    pub said: String,
}

/// Opens the window and returns when it is closed.
///
/// # Errors
/// No window can be opened: what is missing.
pub fn run(start: Start, graphics: Graphics) -> Result<(), NoWindow> {
    if let Some(folder) = shop_folder() {
        crash_report::watch(folder);
    }
    let mut viewport = ViewportBuilder::default()
        .with_app_id(APPLICATION)
        .with_title(say!("Kerfcast"))
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([960.0, 600.0])
        .with_drag_and_drop(true);
    if let Ok(icon) = eframe::icon_data::from_png_bytes(ICON) {
        viewport = viewport.with_icon(icon);
    }
    let mut options = eframe::NativeOptions {
        viewport,
        ..Default::default()
    };
    draw_by(graphics, &mut options);
    let opened = catch_unwind(AssertUnwindSafe(|| {
        eframe::run_native(
            APPLICATION,
            options,
            Box::new(move |cc| Ok(Box::new(App::new(cc, start)))),
        )
    }));
    let said = match opened {
        Ok(Ok(())) => return Ok(()),
        Ok(Err(e)) => e.to_string(),
        // The toolkit panics where some libraries are missing.
        Err(_) => crash_report::last().unwrap_or_default(),
    };
    Err(NoWindow {
        fault: StartFault::of(&said),
        said,
    })
}

/// Chooses the toolkit's renderer. A build without the feature `wgpu` has OpenGL alone.
#[cfg(feature = "wgpu")]
fn draw_by(graphics: Graphics, options: &mut eframe::NativeOptions) {
    options.renderer = match graphics {
        Graphics::OpenGl => eframe::Renderer::Glow,
        Graphics::Software => eframe::Renderer::Wgpu,
    };
}

#[cfg(not(feature = "wgpu"))]
fn draw_by(_graphics: Graphics, _options: &mut eframe::NativeOptions) {}
