//! What panels, keys and dialogs asked for is carried out here, and only here.

use super::App;
use crate::estimate::Question;
use crate::gui::commands::Command;
use crate::gui::keeper::Errand;
use crate::gui::open_file::{Decided, Target};
use crate::gui::open_files::{Chosen, Kind};
use crate::gui::page::Page;
use crate::gui::scene::near;
use crate::gui::state::{Action, Weight};
use crate::job::{Confirmed, Job};
use crate::profile::Keep;
use crate::words::{job_faults, saving};
use egui::{Context, ThemePreference};
use std::path::Path;
use std::sync::Arc;

impl App {
    pub(super) fn carry_out(&mut self, action: Action, ctx: &Context) {
        match action {
            Action::Edit(job) => self.edit(*job, Confirmed::default()),
            Action::Give(job, given) => self.edit(*job, given),
            Action::Refuse(message) => self.say(message, Weight::Fault),
            Action::Dismiss => self.shown.banner = None,
            Action::Run(command) => self.run(command, ctx),
            Action::OpenPath(path) => self.take_in(vec![path]),
            Action::OpenSample(k) => self.open_sample(k),
            Action::Reread(options) => self.reread(*options),
            Action::WhatStays(keep) => self.what_stays(keep),
            Action::Learn(action) => self.learn(action, ctx),
            Action::Library(action) => self.edit_library(action, ctx),
            Action::Sweep(_) | Action::Matters(_) | Action::Draw(..) => self.sweep(&action),
            Action::Worth(typed) => self.worth = typed,
            Action::Table(table) => self.shown.table = *table,
            Action::List(open) => self.shown.list = open,
            Action::Legend(open) => self.shown.legend = open,
            Action::Desk(action) => self.carry_out_on_desk(action, ctx),
            Action::Lots(lots) => {
                self.quoting.stationery.quantities = lots;
                self.forget_ladders();
                self.keep_stationery();
            }
            Action::Plan(action) => self.plan(action),
            Action::Quote(action) => self.quote(action, ctx),
            Action::SaveAt(Kind::Job, path) => self.save_job_at(path),
            Action::SaveAt(kind, path) => self.save_outgoing_at(kind, path),
            Action::Sign(sign) => {
                self.rates.sign = sign;
                self.keep_rates();
                self.write_decimals();
            }
            Action::Language(language) => {
                self.rates.language = language;
                self.keep_rates();
                self.speak();
            }
            Action::SaveRates => {
                let (ctx, bytes) = (ctx.clone(), self.rates.to_toml().into_bytes());
                let wake = move || ctx.request_repaint();
                self.dialogs
                    .save(Kind::Rates, "rates.toml", bytes, Vec::new(), wake);
            }
            Action::HintRead => self.shown.hints_read += 1,
            Action::SwitchTo(id) => {
                if let Some(k) = self.files.iter().position(|f| f.id == id) {
                    self.front = k;
                    self.shown.page = self.shown.page.filter(|p| !p.takes_window());
                }
            }
            Action::CloseFile(id) => self.close(id),
            Action::Against(id) => self.shown.against = Some(id),
            Action::Lay(again) => self.lay(again),
            Action::SavePicture(name, lines) => self.save_picture(&name, lines, ctx),
            Action::CancelReading => {
                if let Some(r) = self.shown.readings.first() {
                    r.progress.cancel();
                }
            }
            Action::CancelEstimate => {
                if let Some((progress, _)) = self.front().and_then(|f| f.estimating.as_ref()) {
                    progress.cancel();
                }
            }
            Action::EstimateAgain => self.estimate(),
            Action::Show(_)
            | Action::Ask(_)
            | Action::Compare(_)
            | Action::Seek(_)
            | Action::Play(_)
            | Action::Select(_)
            | Action::Variant(_)
            | Action::Spot(_)
            | Action::Centre(_)
            | Action::Frame(_) => {
                self.look_at(&action);
            }
        }
    }

    /// Actions that change what is shown of the drawing in front.
    pub(super) fn look_at(&mut self, action: &Action) {
        let covered = self.covered();
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        match *action {
            Action::Show(wire) => {
                file.shown = wire;
                if file.compared.is_some() {
                    // The baseline against itself says nothing.
                    file.compared = Some(wire).filter(|w| *w != file.job.baseline);
                }
                if let Some(asked) = &mut file.asked {
                    // A step of one wire is none of another.
                    if matches!(asked.question, Question::Step(_) | Question::Pass(_)) {
                        file.asked = None;
                    } else {
                        asked.wire = wire;
                    }
                }
            }
            Action::Ask(asked) => {
                file.asked = Some(asked);
                file.compared = None;
                file.shown = asked.wire;
                self.shown.open_page(Page::Why);
            }
            Action::Compare(wire) => {
                file.compared = Some(wire);
                file.shown = wire;
                self.shown.open_page(Page::Why);
            }
            Action::Seek(share) => file.clock.seek(share),
            Action::Play(run) => file.clock.play(run && file.timing().is_some()),
            Action::Select(target) => file.selected = target,
            Action::Variant(variant) => file.variant = variant,
            Action::Spot(spot) => {
                file.spot = spot;
                if spot.is_some() {
                    self.shown.open_page(Page::Findings);
                }
            }
            Action::Centre(at) => {
                let at = near(at, file.model.centre);
                let size = file.model.bounds.size().max_elem().max(1e-6);
                // A tenth of the drawing fills the view.
                file.camera.centre_on(at, 400.0 / (0.1 * size), covered);
            }
            Action::Frame(target) => {
                let line = match target {
                    Target::Contour(i) => file.model.contours.get(i),
                    Target::Open(i) => file.model.open.get(i),
                };
                if let Some(b) = line.map(|l| l.bounds) {
                    let size = b.size().max_elem().max(1e-6);
                    file.camera.centre_on(b.center(), 260.0 / size, covered);
                }
            }
            _ => {}
        }
    }

    /// What stays of the outermost contours, with which the question is answered.
    fn what_stays(&mut self, keep: Keep) {
        let Some(file) = self.front() else { return };
        if file.job.keep != keep {
            let mut job = file.job.clone();
            job.keep = keep;
            self.edit(job, Confirmed::default());
        } else if file.profile.is_side_by_side() && file.wanted.what_stays != Some(keep) {
            let mut options = file.wanted.clone();
            options.what_stays = Some(keep);
            self.reread(options);
        }
    }

    /// Takes a new job over with what is given for this drawing, or says why not.
    pub(super) fn edit(&mut self, job: Job, given: Confirmed) {
        if let Some(file) = self.front() {
            self.edit_from(file.decided(), job, given);
        }
    }

    /// The same; undo comes back to `before`.
    pub(super) fn edit_from(&mut self, before: Decided, job: Job, given: Confirmed) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        // What is changed is given.
        let confirmed = Confirmed {
            thickness: file.confirmed.thickness
                || given.thickness
                || job.thickness != file.job.thickness,
            material: file.confirmed.material
                || given.material
                || job.material != file.job.material,
        };
        if job == file.job && confirmed == file.confirmed {
            return;
        }
        if let Some(fault) = job.faults(&self.library).first() {
            let fault = job_faults::sentence(fault, self.shown.style.system);
            let text = say!("{fault} The job stays as it was.");
            self.say(text, Weight::Fault);
            return;
        }
        self.shown.banner = None;
        self.own.touched = false;
        file.undo.remember(before);
        let same_job = job == file.job;
        let before = std::mem::replace(&mut file.job, job);
        file.confirmed = confirmed;
        // Who changes what stays has said it.
        let says = file.job.keep != before.keep && file.profile.is_side_by_side();
        let what_stays = says.then_some(file.job.keep);
        let mut options = file.wanted.clone();
        let id = file.id;
        let now = file.job.shop.clone();
        self.change_shop(&before.shop, &now);
        if same_job {
            // No answer comes that would take it to the item: enquiry and quote know it at once.
            self.sync(id);
            return;
        }
        self.estimate();
        if says && options.what_stays != what_stays {
            options.what_stays = what_stays;
            self.read_again(options);
        }
    }

    pub(super) fn undo(&mut self, back: bool) {
        let Some(file) = self.files.get_mut(self.front) else {
            return;
        };
        let now = file.decided();
        let other = file.undo.go(back, now.clone());
        let Some(Decided {
            mut job,
            options,
            confirmed,
            quoted,
        }) = other
        else {
            return;
        };
        // A job from before a change of the library goes on from the library of today.
        for (from, to) in &self.followed {
            job.shop.follow(from, to);
        }
        let shop = job.shop.clone();
        file.job = job;
        file.confirmed = confirmed;
        file.quoted = quoted;
        self.shown.banner = None;
        self.change_shop(&now.job.shop, &shop);
        if options == now.options {
            self.estimate();
        } else {
            self.read_again(options);
        }
    }

    pub(super) fn run(&mut self, command: Command, ctx: &Context) {
        match command {
            Command::Page(page) if self.shown.page == Some(page) => self.shown.close_page(),
            Command::Page(page) => self.shown.open_page(page),
            Command::PageBack => self.shown.page_back(),
            Command::ClosePage => self.close_nearest(),
            Command::Contours => self.shown.list = !self.shown.list,
            Command::Legend => self.shown.legend = !self.shown.legend,
            Command::FoldWires => self.shown.table.folded = !self.shown.table.folded,
            Command::Open => {
                let folder = self
                    .front()
                    .and_then(|f| f.path.as_deref())
                    .and_then(Path::parent);
                let ctx = ctx.clone();
                self.dialogs
                    .open(Kind::Drawings, folder, move || ctx.request_repaint());
            }
            Command::OpenPath => self.shown.path_field = Some(String::new()),
            Command::SaveReport => self.save_report(ctx),
            Command::Export => self.export(false, ctx),
            Command::ExportPaths => self.export(true, ctx),
            Command::SaveHoles => self.save_holes(ctx),
            Command::ExportPicture => self.export_picture(ctx),
            Command::CopyWires => self.copy_wires(ctx),
            Command::SaveJob | Command::SaveJobAs => self.run_on_desk(command, ctx),
            Command::Close => {
                if let Some(id) = self.front().map(|f| f.id) {
                    self.close(id);
                }
            }
            Command::Reload => self.reload(),
            Command::CompareChanged => self.compare_changed(),
            Command::NextDrawing => {
                self.front = (self.front + 1) % self.files.len().max(1);
            }
            // With the library in front and changed last, the keys are meant for it.
            Command::Undo | Command::Redo if self.library_is_meant() => {
                self.step_in_library(command == Command::Undo);
            }
            Command::Undo => self.undo(true),
            Command::Redo => self.undo(false),
            Command::SwitchUnits => self.shown.style.system = self.shown.style.system.other(),
            Command::Fit => {
                let covered = self.covered();
                if let Some(file) = self.files.get_mut(self.front) {
                    file.camera.fit_beside(covered);
                }
            }
            Command::ShowSkims => self.shown.skims = !self.shown.skims,
            Command::ShowNotes => self.shown.notes = !self.shown.notes,
            Command::ShadeFeed => self.shown.feed = !self.shown.feed,
            Command::Play | Command::WholePath => {
                let playing = self.front().is_some_and(|f| f.clock.is_playing());
                self.look_at(&match command {
                    Command::Play => Action::Play(!playing),
                    _ => Action::Seek(None),
                });
            }
            Command::SwitchTheme => {
                self.theme = match ctx.theme() {
                    egui::Theme::Dark => ThemePreference::Light,
                    egui::Theme::Light => ThemePreference::Dark,
                };
                ctx.set_theme(self.theme);
            }
            Command::SystemTheme => {
                self.theme = ThemePreference::System;
                ctx.set_theme(self.theme);
            }
            Command::Palette => self.shown.palette = true,
            Command::Keys => self.shown.keys = true,
            Command::Reopen => self.reopen(),
            Command::Quit => ctx.send_viewport_cmd(egui::ViewportCommand::Close),
        }
    }

    /// What lies over the drawing is closed, one after the other: the page, the list of contours, the legend.
    fn close_nearest(&mut self) {
        if self.shown.page.is_some() {
            self.shown.close_page();
        } else if self.shown.list {
            self.shown.list = false;
        } else if self.shown.legend {
            self.shown.legend = false;
        } else if let Some(file) = self.files.get_mut(self.front) {
            file.selected = None;
        }
    }

    pub(super) fn take_dialogs(&mut self) {
        for chosen in self.dialogs.chosen() {
            match chosen {
                Chosen::Files(files) => self.take_in(files),
                Chosen::List(path) => {
                    let library = Arc::clone(&self.library);
                    self.keeper.ask(Errand::List(path, library));
                }
                Chosen::Place(path) => self.save_job_at(path),
                Chosen::NoDialogToSave(Kind::Job) => self.ask_job_path(),
                Chosen::NoDialogToSave(Kind::List) => self.export_list_beside(),
                Chosen::Nothing => {}
                Chosen::Saved(result) => self.told_saved(result),
                Chosen::NoDialogToSave(Kind::Library) => self.ask_library_path(),
                Chosen::NoDialogToSave(
                    kind @ (Kind::Report
                    | Kind::Quote
                    | Kind::Picture
                    | Kind::Chart
                    | Kind::Export
                    | Kind::Holes),
                ) => {
                    self.ask_place_beside(kind);
                }
                Chosen::NoDialogToSave(_) => {
                    let text = say!("{} Copy it instead.", saving::no_dialog());
                    self.told_saved(Err(text));
                }
                Chosen::NoDialog => {
                    self.shown.path_field = Some(String::new());
                    self.say(
                        say!(
                            "{} Type or paste a path, drop the file on the window, or name a drawing when starting \
                             Kerfcast.",
                            saving::no_dialog()
                        ),
                        Weight::Note,
                    );
                }
            }
        }
    }
}
