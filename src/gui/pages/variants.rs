//! Quick variants of the drawing in front: what each has otherwise, and what that does to time, wire and cost.

use super::changes::changes_ui;
use crate::estimate::{Difference, Figures};
use crate::geometry::Point;
use crate::gui::open_file::Target;
use crate::gui::scene::course::VariantDone;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, Tokens, strong, tokens};
use crate::gui::widgets::{NumberField, swatch};
use crate::job::{Edit, Job, Variant, contour_key, passes_words};
use crate::language::{localised, said};
use crate::units::Length;
use crate::words::typed::parse_number;
use crate::words::variants::{edit as words_of, heads, name, radii, row};
use crate::words::{figures, job_faults, within};
use egui::emath::{Align2, Rect, pos2, vec2};
use egui::{
    Button, FontId, Key, Label, RichText, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo,
};

/// What a click on the drawing as it is does.
const WITHOUT: &str = key!("show the drawing without a variant over it");
/// Room at the right of a name, for what takes the variant away, points.
const AWAY: f32 = 24.0;
/// Shares of the width that the columns take.
const SHARES: [f32; 5] = [0.24, 0.18, 0.18, 0.18, 0.22];

/// The page.
pub fn variants_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    ScrollArea::both()
        .id_salt("quick variants")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - 12.0);
            let t = tokens(ui);
            let text = say!("The drawing as it is, and what another one would come to with the wire shown. Nothing of the job \
                        changes.");
            ui.add(Label::new(RichText::new(text).color(t.text_soft)).wrap());
            add_ui(ui, view, actions);
            ui.add_space(6.0);
            table_ui(ui, view, actions);
            if let Some(done) = view.file.variant_shown() {
                ui.add_space(10.0);
                shown_ui(ui, view, done, actions);
            }
        });
}

/// A changed list of variants, and the one that is shown then.
fn change(
    view: &View<'_>,
    show: Option<usize>,
    actions: &mut Vec<Action>,
    change: impl FnOnce(&mut Vec<Variant>),
) {
    let mut job = view.file.job.clone();
    change(&mut job.variants);
    actions.push(Action::Edit(Box::new(job)));
    actions.push(Action::Variant(show));
}

/// A change that can be made: what it is called, what it does, and a value to begin with.
struct Offer {
    words: String,
    about: &'static str,
    edit: Edit,
}

/// What can be had otherwise, each with a value to begin with.
fn offers(view: &View<'_>) -> Vec<Offer> {
    let file = view.file;
    let job = &file.job;
    let offer = |words: &str, about: &'static str, edit: Edit| Offer {
        words: words.to_owned(),
        about,
        edit,
    };
    let mut out = vec![
        offer(
            say!("larger inside radii"),
            say!(
                "every inside radius at least as large as the wire shown leaves, where there is room"
            ),
            Edit::InsideRadii(usual_radius(view)),
        ),
        offer(
            say!("scaled"),
            say!("every length times a factor"),
            Edit::Scale(1.02),
        ),
        offer(say!("mirrored"), say!("the other hand"), Edit::Mirror),
        offer(
            say!("another thickness"),
            say!("the same contours in another thickness"),
            Edit::Thickness(job.thickness * 0.5),
        ),
        offer(
            say!("other passes"),
            say!("fewer skims, or more"),
            Edit::Passes(if job.passes > 1 { job.passes - 1 } else { 2 }),
        ),
    ];
    if let Some(Target::Contour(k)) = file.selected
        && let Some(c) = file.profile.contours().get(k).filter(|c| job.cuts(c))
    {
        let words = say!("without contour {}", k + 1);
        let about = say!("the contour selected is not cut");
        out.push(offer(&words, about, Edit::LeaveOut(contour_key(c))));
    }
    out
}

/// New variants.
fn add_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let full = is_full(view);
    ui.add_enabled_ui(!full, |ui| {
        ui.horizontal_wrapped(|ui| {
            for Offer { words, about, edit } in offers(view) {
                let button = ui.button(format!("+ {words}")).on_hover_text(about);
                if button.clicked() {
                    let at = file.job.variants.len();
                    change(view, Some(at), actions, |list| list.push(Variant::of(edit)));
                }
            }
        });
    });
    if file.selected.is_none() && !full {
        let t = tokens(ui);
        let text = say!("Select a contour to see what the drawing costs without it.");
        ui.label(RichText::new(text).size(SMALL).color(t.text_faint));
    }
}

fn is_full(view: &View<'_>) -> bool {
    view.file.job.variants.len() >= Variant::MOST
}

/// The radius that the wire shown leaves after the last pass, rounded up to what a drawing would say; 0.3 mm where that is
/// not known.
fn usual_radius(view: &View<'_>) -> Length {
    let file = view.file;
    let wire = file.job.candidates.get(file.shown);
    let left = wire.and_then(|c| crate::estimate::changes::radius_left(&file.job, c, view.library));
    let mm = left.map_or(0.3, Length::mm);
    Length::from_mm((mm * 20.0).ceil() / 20.0)
}

/// The drawing as it is and its variants, one under the other.
fn table_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    head_ui(ui, t);
    let now = file.shown_estimate().and_then(|e| e.figures.as_ref());
    let as_it_is = ui.radio(file.variant.is_none(), strong(say!("As it is"), BODY));
    if as_it_is.on_hover_text(said(WITHOUT)).clicked() {
        actions.push(Action::Variant(None));
    }
    figures_ui(ui, view, say!("As it is"), now, None);
    for (k, variant) in file.job.variants.iter().enumerate() {
        ui.push_id(("variant", k), |ui| {
            variant_ui(ui, view, k, variant, actions);
        });
    }
}

/// The heads of the columns.
fn head_ui(ui: &mut Ui, t: &Tokens) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    let against = say!("against the drawing as it is");
    let about = |k: usize| match k {
        0 => figures::TIME.called().to_owned(),
        1 | 2 => against.to_owned(),
        _ => {
            let remark = said(figures::UNSOLD_REMARK);
            format!("{against}. {remark}")
        }
    };
    for (k, (column, head)) in columns(rect).into_iter().zip(heads()).enumerate() {
        let response = ui.interact(column, ui.scope_id().with(("head", k)), Sense::hover());
        let at = column.right_center() - vec2(4.0, 0.0);
        let font = FontId::proportional(SMALL);
        ui.painter()
            .text(at, Align2::RIGHT_CENTER, head, font, t.text_faint);
        response.on_hover_text(about(k));
    }
}

fn columns(rect: Rect) -> [Rect; 5] {
    let mut left = rect.left();
    SHARES.map(|share| {
        let width = share * rect.width();
        let column = Rect::from_min_max(pos2(left, rect.top()), pos2(left + width, rect.bottom()));
        left += width;
        column
    })
}

/// One line of figures under a variant's name.
fn figures_ui(
    ui: &mut Ui,
    view: &View<'_>,
    name: &str,
    now: Option<&Figures>,
    d: Option<&Difference>,
) {
    let t = tokens(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
    let texts = row(view.style, now, d);
    let label = format!("{name}: {}", texts.join(", "));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    for (k, (column, text)) in columns(rect).into_iter().zip(texts).enumerate() {
        let colour = match text.chars().next() {
            Some('−') if k > 0 => t.better,
            Some('+') if k > 0 => t.worse,
            _ => t.text,
        };
        let at = column.right_center() - vec2(4.0, 0.0);
        let font = FontId::proportional(BODY);
        ui.painter()
            .text(at, Align2::RIGHT_CENTER, text, font, colour);
    }
}

/// A variant: its name and its figures; of the one that is shown also what makes it, to be changed.
fn variant_ui(
    ui: &mut Ui,
    view: &View<'_>,
    k: usize,
    variant: &Variant,
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let file = view.file;
    let words = name(variant, &file.profile, view.style.system);
    let shown = file.variant == Some(k);
    ui.horizontal(|ui| {
        let room = ui.available_width() - AWAY;
        if shown {
            let hide = ui.radio(true, "");
            let hide = hide.on_hover_text(said(WITHOUT));
            if hide.accessible_name(&words).clicked() {
                actions.push(Action::Variant(None));
            }
            name_ui(ui, view, k, variant, (&words, room), actions);
        } else {
            let label = Label::new(strong(&words, BODY).color(t.text));
            let label = label.truncate().sense(Sense::click());
            let radio = ui.radio(false, "");
            let radio = radio.accessible_name(&words);
            let width = (room - radio.rect.width() - 8.0).max(40.0);
            let size = vec2(width, 20.0);
            let left = egui::Layout::left_to_right(egui::Align::Center);
            let label = ui
                .allocate_ui_with_layout(size, left, |ui| ui.add(label))
                .inner
                .on_hover_text(say!("show it over the drawing"));
            if radio.clicked() || label.clicked() {
                actions.push(Action::Variant(Some(k)));
            }
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let away = ui.add(Button::new("×").frame(false));
            if away
                .on_hover_text(say!("take this variant away"))
                .accessible_name(say!("take away {words}"))
                .clicked()
            {
                let next = file.variant.filter(|v| *v != k);
                let next = next.map(|v| if v > k { v - 1 } else { v });
                change(view, next, actions, |list| {
                    list.remove(k);
                });
            }
        });
    });
    if shown {
        edits_ui(ui, view, k, variant, actions);
    }
    let done = file.variants.of(0).and_then(|all| all.get(k));
    match done
        .map(|d| &d.of)
        .filter(|d| d.variant.edits == variant.edits)
    {
        None => {
            ui.label(RichText::new(say!("Estimating…")).color(t.text_faint));
        }
        Some(done) => {
            if let Some(fault) = &done.fault {
                let text = job_faults::sentence(fault, view.style.system);
                ui.add(Label::new(RichText::new(text).color(t.fault)).wrap());
                return;
            }
            let e = done.comparison.estimates.get(file.shown);
            let wire = done.wires.get(file.shown).and_then(Option::as_ref);
            let figures = e.and_then(|e| e.figures.as_ref());
            figures_ui(ui, view, &words, figures, wire.map(|w| &w.difference));
        }
    }
}

/// The name in place, to be typed over; what the variant has otherwise stands there until then.
fn name_ui(
    ui: &mut Ui,
    view: &View<'_>,
    k: usize,
    variant: &Variant,
    (words, room): (&str, f32),
    actions: &mut Vec<Action>,
) {
    let t = tokens(ui);
    let id = ui.scope_id().with("name");
    let draft: Option<String> = ui.data(|d| d.get_temp(id));
    let mut text = draft.unwrap_or_else(|| variant.name.clone());
    let width = (room - ui.min_rect().width() - 8.0).max(60.0);
    let edit = TextEdit::singleline(&mut text)
        .id(id)
        .hint_text(words)
        .char_limit(Variant::LONGEST_NAME)
        .text_color(t.accent)
        .desired_width(width);
    let field = ui
        .add(edit)
        .accessible_name(say!("Name of variant {}", k + 1))
        .on_hover_text(say!(
            "type a name of your own; empty, it is called by what it changes"
        ));
    if field.lost_focus() {
        ui.data_mut(|d| d.remove_temp::<String>(id));
        let cancelled = ui.input(|i| i.key_pressed(Key::Escape));
        let called = variant.clone().called(&text);
        if !cancelled && called != *variant {
            let mut job = view.file.job.clone();
            job.variants[k] = called;
            actions.push(Action::Edit(Box::new(job)));
        }
    } else if field.has_focus() {
        ui.data_mut(|d| d.insert_temp(id, text));
    }
}

/// What it has otherwise, each to be changed or taken out; and more of that.
fn edits_ui(ui: &mut Ui, view: &View<'_>, k: usize, variant: &Variant, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    ui.horizontal_wrapped(|ui| {
        for (at, edit) in variant.edits.iter().enumerate() {
            ui.label(RichText::new(lead(view, edit)).color(t.text_soft));
            if let Some(edit) = value_ui(ui, view, k, edit, actions) {
                change(view, Some(k), actions, |list| list[k].edits[at] = edit);
            }
            if variant.edits.len() > 1 {
                let words = words_of(edit, &file.profile, view.style.system);
                let out = ui.add(Button::new("×").frame(false));
                if out
                    .on_hover_text(say!("take this out of the variant"))
                    .accessible_name(say!("take {words} out of the variant"))
                    .clicked()
                {
                    change(view, Some(k), actions, |list| {
                        list[k].edits.remove(at);
                    });
                }
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        more_ui(ui, view, k, variant, actions);
        let button = ui.add_enabled(!is_full(view), Button::new(say!("Duplicate")));
        let button = button.on_hover_text(say!("the same once more, to be changed"));
        if button.clicked() {
            change(view, Some(k + 1), actions, |list| {
                let copy = list[k].clone().called("");
                list.insert(k + 1, copy);
            });
        }
        if variant.edits.iter().all(Edit::is_of_the_job)
            && let Some(done) = file.variant_shown().filter(|d| d.of.fault.is_none())
        {
            let button = ui.button(say!("Make it the job"));
            if button
                .on_hover_text(say!("decide it so for this drawing; undo comes back"))
                .clicked()
            {
                let mut job = done.of.made.job.clone();
                job.variants.clone_from(&file.job.variants);
                actions.push(Action::Edit(Box::new(job)));
                actions.push(Action::Variant(None));
            }
        }
    });
}

/// One more change in the same variant.
fn more_ui(ui: &mut Ui, view: &View<'_>, k: usize, variant: &Variant, actions: &mut Vec<Action>) {
    let more: Vec<Offer> = offers(view)
        .into_iter()
        // What it has already is changed where it stands.
        .filter(|o| variant.clone().with(o.edit).edits.len() > variant.edits.len())
        .collect();
    let mut chosen = None;
    let menu = ui.menu_button(say!("Add to it ▾"), |ui| {
        for Offer { words, about, edit } in &more {
            if ui.button(words).on_hover_text(*about).clicked() {
                chosen = Some(*edit);
                ui.close();
            }
        }
    });
    menu.response
        .on_hover_text(say!("another change in the same variant"));
    if let Some(edit) = chosen {
        change(view, Some(k), actions, |list| {
            list[k] = list[k].clone().with(edit);
        });
    }
}

/// The words before the value; all of them where there is none to be changed.
fn lead(view: &View<'_>, edit: &Edit) -> String {
    match edit {
        Edit::InsideRadii(_) => say!("inside radii ≥").to_owned(),
        Edit::Scale(_) => say!("scaled ×").to_owned(),
        Edit::Thickness(_) => say!("thickness").to_owned(),
        Edit::Passes(_) => String::new(),
        Edit::Mirror | Edit::LeaveOut(_) => words_of(edit, &view.file.profile, view.style.system),
    }
}

/// The value of what a variant has otherwise, to be changed; the new one when it was.
fn value_ui(
    ui: &mut Ui,
    view: &View<'_>,
    k: usize,
    edit: &Edit,
    actions: &mut Vec<Action>,
) -> Option<Edit> {
    let field = |what: &str| say!("{what} of variant {}", k + 1);
    let length = |text: &str| view.style.parse_length(text);
    let typed = |ui: &mut Ui, what: &str, shown: String| {
        NumberField::new(&field(what), shown).show(ui).typed
    };
    let found: Result<Edit, String> = match *edit {
        Edit::InsideRadii(r) => {
            let text = typed(
                ui,
                say!("Inside radius"),
                within::fine(r, view.style.system),
            )?;
            length(&text).map(Edit::InsideRadii)
        }
        Edit::Thickness(thickness) => {
            let text = typed(ui, say!("Thickness"), view.style.typed_length(thickness))?;
            length(&text).map(Edit::Thickness)
        }
        Edit::Scale(by) => {
            let text = typed(ui, say!("Factor"), localised(by.to_string()))?;
            parse_number(&text).map(Edit::Scale)
        }
        Edit::Passes(passes) => {
            let most = view.library.passes.len().max(1);
            let mut chosen = None;
            let words = passes_words(passes);
            crate::gui::widgets::choice(ui, &field(say!("Passes")), &words, BODY, |ui| {
                for n in 1..=most {
                    if ui.selectable_label(n == passes, passes_words(n)).clicked() {
                        chosen = Some(Edit::Passes(n));
                        ui.close();
                    }
                }
            });
            return chosen;
        }
        Edit::Mirror | Edit::LeaveOut(_) => return None,
    };
    match found {
        Ok(edit) if edit.is_sane() && has_thickness(&edit) => Some(edit),
        Ok(edit) => {
            actions.push(Action::Refuse(job_faults::edit(&edit, view.style.system)));
            None
        }
        Err(why) => {
            actions.push(Action::Refuse(why));
            None
        }
    }
}

fn has_thickness(edit: &Edit) -> bool {
    match edit {
        Edit::Thickness(t) => Job::THICKNESS_MM.contains(&t.mm()),
        _ => true,
    }
}

/// The variant that lies over the drawing: what it changed, what each change costs, and what it does with every wire.
fn shown_ui(ui: &mut Ui, view: &View<'_>, done: &VariantDone, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let done = &done.of;
    let words = name(&done.variant, &file.profile, view.style.system);
    ui.label(strong(words, BODY + 1.0).color(t.text));
    if let Some(text) = radii(&done.made) {
        ui.add(Label::new(RichText::new(text).color(t.text_soft)).wrap());
    }
    if !done.made.no_room.is_empty() {
        ui.horizontal_wrapped(|ui| {
            ui.label(
                RichText::new(say!("no room at"))
                    .size(SMALL)
                    .color(t.text_faint),
            );
            for (k, (contour, at)) in done.made.no_room.iter().take(24).enumerate() {
                place_ui(ui, k, *contour, *at, actions);
            }
        });
    }
    let prices = file.variant_prices();
    changes_ui(ui, view, &done.revision, prices, false, actions);
    ui.add_space(8.0);
    ui.label(strong(say!("With every wire"), BODY).color(t.text));
    head_ui(ui, t);
    for (k, candidate) in file.job.candidates.iter().enumerate() {
        let words = view.style.spoken_candidate(candidate);
        ui.horizontal(|ui| {
            swatch(ui, t.wire(k));
            ui.add(
                Label::new(RichText::new(&words).size(SMALL + 0.5).color(t.text_soft)).truncate(),
            );
        });
        let e = done.comparison.estimates.get(k);
        let figures = e.and_then(|e| e.figures.as_ref());
        let wire = done.wires.get(k).and_then(Option::as_ref);
        figures_ui(ui, view, &words, figures, wire.map(|w| &w.difference));
    }
}

/// A place without room for the radius.
fn place_ui(ui: &mut Ui, k: usize, contour: usize, at: Point, actions: &mut Vec<Action>) {
    let button = Button::new(RichText::new(format!("{}", k + 1)).size(SMALL));
    let name = say!("place {} without room, contour {}", k + 1, contour + 1);
    if ui.add(button).accessible_name(name).clicked() {
        actions.push(Action::Select(Some(Target::Contour(contour))));
        actions.push(Action::Centre(at));
    }
}
