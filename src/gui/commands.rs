//! What can be done by name: one enum owns text, tooltip and shortcut; menu, buttons, keyboard and
//! palette read it.

use super::page::Page;
use egui::{Key, KeyboardShortcut, ModifierNames, Modifiers};

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Command {
    /// Choose drawings in a dialog.
    Open,
    /// Type a path.
    OpenPath,
    /// The estimate as a page to read and print.
    SaveReport,
    /// The contours as a clean drawing.
    Export,
    /// The same with the wire's paths.
    ExportPaths,
    /// The start holes as a list for the drill.
    SaveHoles,
    /// The drawing as a picture.
    ExportPicture,
    /// The table of wires on the clipboard.
    CopyWires,
    /// Save the job file.
    SaveJob,
    /// Save it under another name.
    SaveJobAs,
    /// Read the drawing in front again from its file.
    Reload,
    /// Read the file of the drawing in front again beside it.
    CompareChanged,
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
    /// Open a page of the right-hand side, or close it.
    Page(Page),
    /// Return to the page before.
    PageBack,
    /// Close what lies over the drawing.
    ClosePage,
    /// The list of contours over the drawing.
    Contours,
    /// What lines and marks mean.
    Legend,
    /// Only the chosen wire and the best, or all.
    FoldWires,
    /// Dark or light.
    SwitchTheme,
    /// Dark or light as the system says.
    SystemTheme,
    /// Everything by name.
    Palette,
    /// Every key.
    Keys,
    /// The drawing that was closed last.
    Reopen,
    /// Leave.
    Quit,
}

impl Command {
    /// All, in the order of menu and palette.
    pub fn all() -> impl Iterator<Item = Self> {
        let before = [
            Self::Open,
            Self::OpenPath,
            Self::SaveReport,
            Self::Export,
            Self::ExportPaths,
            Self::SaveHoles,
            Self::ExportPicture,
            Self::CopyWires,
            Self::SaveJob,
            Self::SaveJobAs,
            Self::Reload,
            Self::CompareChanged,
            Self::Close,
            Self::Reopen,
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
            Self::Contours,
            Self::Legend,
            Self::FoldWires,
            Self::PageBack,
            Self::ClosePage,
        ];
        let after = [
            Self::SwitchTheme,
            Self::SystemTheme,
            Self::Palette,
            Self::Keys,
            Self::Quit,
        ];
        let pages = Page::ALL.map(Self::Page);
        before.into_iter().chain(pages).chain(after)
    }

    /// Text, tooltip and keys: the one place that says them.
    #[expect(clippy::too_many_lines, reason = "a table, one entry a command")]
    fn about(self) -> (&'static str, &'static str, Option<KeyboardShortcut>) {
        let keys = |modifiers, key| Some(KeyboardShortcut::new(modifiers, key));
        let bare = |key| keys(Modifiers::NONE, key);
        let ctrl = |key| keys(Modifiers::COMMAND, key);
        let ctrl_shift = |key| keys(Modifiers::COMMAND.plus(Modifiers::SHIFT), key);
        match self {
            Self::Open => (
                say!("Open…"),
                say!("Choose DXF drawings or a job file"),
                ctrl(Key::O),
            ),
            Self::OpenPath => (
                say!("Open by path…"),
                say!("Type or paste the path of a DXF drawing"),
                ctrl_shift(Key::O),
            ),
            Self::SaveReport => (
                say!("Save report…"),
                say!(
                    "The estimate with drawing, ranges, reasons and cautions, as a page to read and print"
                ),
                ctrl(Key::P),
            ),
            Self::Export => (
                say!("Cleaned drawing…"),
                say!(
                    "The contours that are cut as a clean DXF drawing: gaps closed, doubles gone, arcs whole, a layer a role"
                ),
                None,
            ),
            Self::ExportPaths => (
                say!("Cleaned drawing with wire paths…"),
                say!(
                    "The same, with the paths of the wire shown and the start holes: a planning aid, no machine program"
                ),
                None,
            ),
            Self::SaveHoles => (
                say!("List of start holes…"),
                say!(
                    "Number, x, y, diameter and depth of every start hole of the wire shown, for the drill"
                ),
                ctrl_shift(Key::H),
            ),
            Self::ExportPicture => (
                say!("Drawing as SVG…"),
                say!(
                    "The contours, the paths of the wire shown and its start holes as a picture of lines and arcs, true to size"
                ),
                None,
            ),
            Self::CopyWires => (
                say!("Copy the table of wires"),
                say!(
                    "Every figure of every wire on the clipboard, tabs between the cells, for a spreadsheet"
                ),
                ctrl_shift(Key::C),
            ),
            Self::SaveJob => (
                say!("Save job"),
                say!(
                    "Save all items of the enquiry, with everything decided for them, in one file"
                ),
                ctrl(Key::S),
            ),
            Self::SaveJobAs => (
                say!("Save job as…"),
                say!("Save the job file under another name"),
                ctrl_shift(Key::S),
            ),
            Self::Reload => (
                say!("Read again"),
                say!(
                    "Read the drawing in front again from its file; what was decided for it stays"
                ),
                bare(Key::F5),
            ),
            Self::CompareChanged => (
                say!("Compare with its file"),
                say!(
                    "Read the file again beside the drawing in front, and lay one over the other: what changed, and what it costs"
                ),
                ctrl(Key::F5),
            ),
            Self::Close => (
                say!("Close drawing"),
                say!(
                    "Close the drawing in front; its item stays in the enquiry, and it can be opened again as it was"
                ),
                ctrl(Key::W),
            ),
            Self::NextDrawing => (
                say!("Next drawing"),
                say!("Show the next of the open drawings"),
                ctrl(Key::Tab),
            ),
            Self::Undo => (
                say!("Undo"),
                say!("Take back the last change to the job"),
                ctrl(Key::Z),
            ),
            Self::Redo => (
                say!("Redo"),
                say!("Make the change again that was taken back"),
                ctrl_shift(Key::Z),
            ),
            Self::SwitchUnits => (
                say!("Switch between mm and inch"),
                say!("Lengths, areas, rates, wire and mass in the other system"),
                bare(Key::U),
            ),
            Self::Fit => (
                say!("Fit drawing"),
                say!("Bring the whole drawing into view"),
                bare(Key::F),
            ),
            Self::ShowSkims => (
                say!("Show skims"),
                say!("Draw the skims beside the rough path"),
                bare(Key::K),
            ),
            Self::ShowNotes => (
                say!("Show texts"),
                say!("Show where the drawing's texts and dimensions stand, and what they say"),
                bare(Key::M),
            ),
            Self::ShadeFeed => (
                say!("Shade by feed"),
                say!("Shade the path by its local feed: strong where the wire is slow"),
                bare(Key::H),
            ),
            Self::Play => (
                say!("Play or pause"),
                say!("Let the wire run through the job, or stand still"),
                bare(Key::P),
            ),
            Self::WholePath => (
                say!("Show the whole path"),
                say!("Leave the moment and show the path as a whole"),
                bare(Key::W),
            ),
            Self::Contours => (
                say!("List of contours"),
                say!("Contours, parts and open curves as a list over the drawing"),
                bare(Key::C),
            ),
            Self::Legend => (
                say!("What lines and marks mean"),
                say!("Show the legend of the drawing, or hide it"),
                bare(Key::X),
            ),
            Self::FoldWires => (
                say!("Fold the table of wires"),
                say!("Only the chosen wire and the best, or all of them"),
                bare(Key::O),
            ),
            Self::PageBack => (
                say!("Page before"),
                say!("Return to the page from which this one was opened"),
                keys(Modifiers::ALT, Key::ArrowLeft),
            ),
            Self::ClosePage => (
                say!("Close the page"),
                say!("Close the page, or what else lies over the drawing"),
                bare(Key::Escape),
            ),
            Self::Page(page) => {
                let (text, tooltip, key) = page.about();
                (text, tooltip, key.and_then(bare))
            }
            Self::SwitchTheme => (
                say!("Switch between dark and light"),
                say!("Turn the window dark or light"),
                None,
            ),
            Self::SystemTheme => (
                say!("Dark or light as the system"),
                say!("Follow the system's choice of dark or light"),
                None,
            ),
            Self::Palette => (
                say!("Find a command…"),
                say!("Run any command by its name"),
                ctrl(Key::K),
            ),
            Self::Keys => (
                say!("Keys"),
                say!("Every key on one sheet"),
                bare(Key::Questionmark),
            ),
            Self::Reopen => (
                say!("Reopen drawing"),
                say!("The drawing that was closed last, with its job and all that can be undone"),
                ctrl_shift(Key::T),
            ),
            Self::Quit => (say!("Quit"), say!("Close the window"), ctrl(Key::Q)),
        }
    }

    /// As shown on a button, in the menu and in the palette.
    pub fn text(self) -> &'static str {
        self.about().0
    }

    /// What it does, in a sentence.
    pub fn tooltip(self) -> &'static str {
        self.about().1
    }

    /// Its keys, where it has any.
    pub fn shortcut(self) -> Option<KeyboardShortcut> {
        self.about().2
    }

    /// Its keys as they stand on a keyboard of the language that is spoken; `None` where it has none.
    pub fn keys(self) -> Option<String> {
        let KeyboardShortcut {
            modifiers,
            logical_key,
        } = self.shortcut()?;
        let is_mac = cfg!(target_os = "macos");
        let names = ModifierNames {
            ctrl: say!("Ctrl"),
            shift: say!("Shift"),
            ..ModifierNames::NAMES
        };
        let held = names.format(&modifiers, is_mac);
        let key = match logical_key {
            Key::Questionmark => "?",
            Key::Escape => say!("Esc"),
            other => other.symbol_or_name(),
        };
        Some(if held.is_empty() {
            key.to_owned()
        } else {
            format!("{held}{}{key}", names.concat)
        })
    }

    /// Other keys that do the same.
    fn also(self) -> Option<KeyboardShortcut> {
        let ctrl = |key| KeyboardShortcut::new(Modifiers::COMMAND, key);
        (self == Self::Redo).then(|| ctrl(Key::Y))
    }

    /// Commands whose keys were pressed. Bare letters count only while no field takes text, and undo
    /// there is the field's own.
    pub fn pressed(ctx: &egui::Context) -> Vec<Self> {
        // Letters that are typed into an open list search it; nothing happens behind it.
        if egui::Popup::is_any_open(ctx) || ctx.memory(|m| m.top_modal_layer().is_some()) {
            return Vec::new();
        }
        let typing = ctx.text_edit_focused();
        // The longer chord first: Ctrl+Shift+Z also matches Ctrl+Z.
        let mut all: Vec<_> = Self::all().collect();
        all.sort_by_key(|c| c.shortcut().is_none_or(|s| !s.modifiers.shift));
        ctx.input_mut(|input| {
            all.into_iter()
                .filter(|c| {
                    c.shortcut().into_iter().chain(c.also()).any(|s| {
                        let chord = s.modifiers.any() && !matches!(c, Self::Undo | Self::Redo);
                        (chord || !typing) && input.consume_shortcut(&s)
                    })
                })
                .collect()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_two_commands_share_text_or_keys() {
        let texts: HashSet<_> = Command::all().map(Command::text).collect();
        assert_eq!(texts.len(), Command::all().count());
        let keys: Vec<_> = Command::all().filter_map(Command::shortcut).collect();
        for (k, a) in keys.iter().enumerate() {
            assert!(!keys[..k].contains(a), "{a:?} twice");
        }
    }
}
