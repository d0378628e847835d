//! What can be done by name: one enum owns text, tooltip and shortcut; menu, buttons, keyboard and
//! palette read it.

use egui::{Key, KeyboardShortcut, Modifiers};

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Command {
    /// Choose drawings in a dialog.
    Open,
    /// Type a path.
    OpenPath,
    /// The estimate as a page to read and print.
    SaveReport,
    /// Close the drawing in front.
    Close,
    /// Show the next open drawing.
    NextDrawing,
    /// Take back the last change to the job.
    Undo,
    /// Make it again.
    Redo,
    /// mm or inch.
    SwitchUnits,
    /// The whole drawing in view.
    Fit,
    /// Skims beside the rough.
    ShowSkims,
    /// The drawing's texts.
    ShowNotes,
    /// The path by its feed.
    ShadeFeed,
    /// Let the time run.
    Play,
    /// The whole path instead of a moment.
    WholePath,
    /// Why a figure is what it is.
    Why,
    /// Everything the machine and the person do, in order.
    Steps,
    /// What was decided for one contour.
    Contour,
    /// What would let a thicker wire in.
    Limits,
    /// The job by the clock, day and night.
    Unattended,
    /// What the drawing and the wires need looked at.
    Findings,
    /// Rates and habits.
    Shop,
    /// What to watch for.
    Cautions,
    /// Two open drawings side by side.
    Variants,
    /// Finished cuts and what they teach.
    Cuts,
    /// The shop's own library.
    Library,
    /// Curves over thickness, passes or material.
    Sweeps,
    /// Dark or light.
    SwitchTheme,
    /// Dark or light as the system says.
    SystemTheme,
    /// Everything by name.
    Palette,
    /// Leave.
    Quit,
}

impl Command {
    /// All, in the order of menu and palette.
    pub const ALL: [Self; 30] = [
        Self::Open,
        Self::OpenPath,
        Self::SaveReport,
        Self::Close,
        Self::NextDrawing,
        Self::Undo,
        Self::Redo,
        Self::SwitchUnits,
        Self::Fit,
        Self::ShowSkims,
        Self::ShowNotes,
        Self::ShadeFeed,
        Self::Play,
        Self::WholePath,
        Self::Why,
        Self::Steps,
        Self::Contour,
        Self::Limits,
        Self::Unattended,
        Self::Findings,
        Self::Shop,
        Self::Cautions,
        Self::Variants,
        Self::Cuts,
        Self::Library,
        Self::Sweeps,
        Self::SwitchTheme,
        Self::SystemTheme,
        Self::Palette,
        Self::Quit,
    ];

    /// As shown on a button, in the menu and in the palette.
    pub fn text(self) -> &'static str {
        match self {
            Self::Open => "Open…",
            Self::OpenPath => "Open by path…",
            Self::SaveReport => "Save report…",
            Self::Close => "Close drawing",
            Self::NextDrawing => "Next drawing",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::SwitchUnits => "Switch between mm and inch",
            Self::Fit => "Fit drawing",
            Self::ShowSkims => "Show skims",
            Self::ShowNotes => "Show texts",
            Self::ShadeFeed => "Shade by feed",
            Self::Play => "Play or pause",
            Self::WholePath => "Show the whole path",
            Self::Why => "Why",
            Self::Steps => "Steps",
            Self::Contour => "Contour",
            Self::Limits => "Limits",
            Self::Unattended => "Unattended",
            Self::Findings => "Findings",
            Self::Shop => "Shop rates",
            Self::Cautions => "Cautions",
            Self::Variants => "Two drawings",
            Self::Cuts => "Finished cuts",
            Self::Library => "Library",
            Self::Sweeps => "What if",
            Self::SwitchTheme => "Switch between dark and light",
            Self::SystemTheme => "Dark or light as the system",
            Self::Palette => "Find a command…",
            Self::Quit => "Quit",
        }
    }

    /// What it does, in a sentence.
    pub fn tooltip(self) -> &'static str {
        match self {
            Self::Open => "Choose one or more DXF drawings",
            Self::OpenPath => "Type or paste the path of a DXF drawing",
            Self::SaveReport => {
                "The estimate with drawing, ranges, reasons and cautions, as a page to read and print"
            }
            Self::Close => "Close the drawing in front; its job is not kept",
            Self::NextDrawing => "Show the next of the open drawings",
            Self::Undo => "Take back the last change to the job",
            Self::Redo => "Make the change again that was taken back",
            Self::SwitchUnits => "Lengths, areas, rates, wire and mass in the other system",
            Self::Fit => "Bring the whole drawing into view",
            Self::ShowSkims => "Draw the skims beside the rough path",
            Self::ShowNotes => {
                "Show where the drawing's texts and dimensions stand, and what they say"
            }
            Self::ShadeFeed => "Shade the path by its local feed: strong where the wire is slow",
            Self::Play => "Let the wire run through the job, or stand still",
            Self::WholePath => "Leave the moment and show the path as a whole",
            Self::Why => "What a figure is made of, and how far each part can be relied on",
            Self::Steps => "Everything the machine and the person beside it do, in order",
            Self::Contour => "Passes, thickness, tab and start hole of the contour selected",
            Self::Limits => "The radius each wire leaves, and what would let a thicker one in",
            Self::Unattended => {
                "When it is done by the clock, whether it runs through the night, and what waits for somebody"
            }
            Self::Findings => "What the import and the chosen wire need looked at",
            Self::Shop => "Rates, wire price, set-up and uptime of your shop",
            Self::Cautions => "What to watch for on this job",
            Self::Library => {
                "Materials, wires, passes, overheads and spools: the built-in ones, and your own over them"
            }
            Self::Variants => {
                "The drawing in front against another open one: which minutes, and where the wire goes"
            }
            Self::Cuts => "Log finished cuts, and let the estimates learn from them",
            Self::Sweeps => {
                "Time, wire or cost against thickness, passes or material, and what matters most"
            }
            Self::SwitchTheme => "Turn the window dark or light",
            Self::SystemTheme => "Follow the system's choice of dark or light",
            Self::Palette => "Run any command by its name",
            Self::Quit => "Close the window",
        }
    }

    /// Its keys, where it has any.
    pub fn shortcut(self) -> Option<KeyboardShortcut> {
        let ctrl = |key| KeyboardShortcut::new(Modifiers::COMMAND, key);
        let bare = |key| KeyboardShortcut::new(Modifiers::NONE, key);
        Some(match self {
            Self::Open => ctrl(Key::O),
            Self::OpenPath => {
                KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::O)
            }
            Self::Close => ctrl(Key::W),
            Self::NextDrawing => ctrl(Key::Tab),
            Self::Undo => ctrl(Key::Z),
            Self::Redo => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z),
            Self::SwitchUnits => bare(Key::U),
            Self::Fit => bare(Key::F),
            Self::ShowSkims => bare(Key::K),
            Self::ShowNotes => bare(Key::M),
            Self::ShadeFeed => bare(Key::H),
            Self::Play => bare(Key::P),
            Self::WholePath => bare(Key::W),
            Self::Why => bare(Key::Y),
            Self::Steps => bare(Key::S),
            Self::Contour => bare(Key::E),
            Self::Limits => bare(Key::G),
            Self::Unattended => bare(Key::T),
            Self::Findings => bare(Key::N),
            Self::Shop => bare(Key::R),
            Self::Variants => bare(Key::D),
            Self::SaveReport => ctrl(Key::P),
            Self::Cuts => bare(Key::L),
            Self::Library => bare(Key::B),
            Self::Sweeps => bare(Key::I),
            Self::Palette => ctrl(Key::K),
            Self::Quit => ctrl(Key::Q),
            Self::Cautions | Self::SwitchTheme | Self::SystemTheme => return None,
        })
    }

    /// Commands whose keys were pressed. Bare letters count only while no field takes text, and undo
    /// there is the field's own.
    pub fn pressed(ctx: &egui::Context) -> Vec<Self> {
        let typing = ctx.text_edit_focused();
        // The longer chord first: Ctrl+Shift+Z also matches Ctrl+Z.
        let mut all = Self::ALL;
        all.sort_by_key(|c| c.shortcut().is_none_or(|s| !s.modifiers.shift));
        ctx.input_mut(|input| {
            all.into_iter()
                .filter(|c| {
                    c.shortcut().is_some_and(|s| {
                        let chord = s.modifiers.any() && !matches!(c, Self::Undo | Self::Redo);
                        (chord || !typing) && input.consume_shortcut(&s)
                    })
                })
                .collect()
        })
    }

    /// How well it answers what was typed: smaller is better, `None` not at all.
    pub fn rank(self, typed: &str) -> Option<usize> {
        let typed = typed.trim().to_lowercase();
        let text = self.text().to_lowercase();
        let words = |s: &str| typed.split_whitespace().all(|w| s.contains(w));
        if text.starts_with(&typed) {
            Some(0)
        } else if words(&text) {
            Some(1)
        } else if words(&format!("{text} {}", self.tooltip().to_lowercase())) {
            Some(2)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_two_commands_share_text_or_keys() {
        let texts: HashSet<_> = Command::ALL.iter().map(|c| c.text()).collect();
        assert_eq!(texts.len(), Command::ALL.len());
        let keys: Vec<_> = Command::ALL.iter().filter_map(|c| c.shortcut()).collect();
        for (k, a) in keys.iter().enumerate() {
            assert!(!keys[..k].contains(a), "{a:?} twice");
        }
    }

    #[test]
    fn the_palette_finds_by_meaning() {
        assert_eq!(Command::Fit.rank("fit"), Some(0));
        assert_eq!(Command::Shop.rank("uptime"), Some(2));
        assert_eq!(Command::Quit.rank("fit"), None);
    }
}
