//! What was decided for the contour selected, apart from the job.

use super::cautions::slugs::{part_ui, slug_ui};
use crate::gui::canvas::{Grip, Kind, planned, reset};
use crate::gui::open_file::Target;
use crate::gui::state::{Action, View};
use crate::gui::theme::{BODY, SMALL, strong, tokens};
use crate::gui::widgets::{NumberField, choice};
use crate::job::{
    ContourChoice, CutOff, Flushing, Job, Waste, chain_key, contour_key, passes_words,
};
use crate::plan::holding::LARGEST_TAB;
use crate::plan::start_holes::may_start_from_edge;
use crate::plan::start_offers::take_offer;
use crate::profile::Role;
use crate::units::{Length, Minutes};
use crate::words::loose_pieces;
use crate::words::{
    style::{significant, step_time, time},
    typed::parse_number,
};
use egui::{Button, Grid, Label, RichText, ScrollArea, Ui};

/// The job with something decided for one contour or chain.
pub fn edited(view: &View<'_>, key: usize, change: impl FnOnce(&mut ContourChoice)) -> Action {
    let mut job = view.file.job.clone();
    job.choose(key, change);
    Action::Edit(Box::new(job))
}

/// In which ways a contour differs from the job, in words; empty where it does not.
pub fn own_words(view: &View<'_>, key: usize) -> Vec<String> {
    let job = &view.file.job;
    let c = job.choice(key);
    let mut out = Vec::new();
    if let Some(n) = c.passes.filter(|n| *n < job.passes) {
        out.push(passes_words(n));
    }
    if let Some(h) = c.thickness.filter(|h| *h != job.thickness) {
        out.push(say!("{} thick", view.style.typed_length(h)));
    }
    if let Some(f) = c.flushing.filter(|f| *f != job.flushing) {
        out.push(f.words().to_owned());
    }
    if c.taper_degrees != 0.0 {
        out.push(say!("taper {}°", significant(c.taper_degrees, 4)));
    }
    if c.waste == Some(Waste::Erode) {
        out.push(say!("burned out, no slug").to_owned());
    }
    if c.turned {
        out.push(say!("side turned").to_owned());
    }
    match c.cut_off.filter(|o| *o != job.cut_off) {
        Some(CutOff::BeforeSkims) => out.push(say!("slug out before the skims").to_owned()),
        Some(CutOff::AfterSkims) => out.push(say!("slug out after the skims").to_owned()),
        None => {}
    }
    if let Some(tab) = c.tab {
        out.push(say!("tab {}", view.style.typed_length(tab)));
    }
    if c.hole.is_some() {
        out.push(say!("own start hole").to_owned());
    }
    match c.from_edge.filter(|e| *e != job.outlines_from_edge) {
        Some(true) => out.push(say!("begun at the edge of the blank").to_owned()),
        Some(false) => out.push(say!("begun in a start hole").to_owned()),
        None => {}
    }
    if c.join.is_some() {
        out.push(say!("own entry point").to_owned());
    }
    out
}

/// The page for the contour or open curve that is selected.
pub fn contour_page_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    match file.selected {
        Some(Target::Contour(i)) if i < file.profile.contours().len() => {
            ScrollArea::both()
                .id_salt(("contour page", i))
                .auto_shrink([false, false])
                .show(ui, |ui| contour_ui(ui, i, view, actions));
        }
        Some(Target::Open(i)) if i < file.profile.open().len() => {
            let key = chain_key(&file.profile.open()[i]);
            ui.label(strong(say!("open curve {}", i + 1), BODY));
            let mut on_line = file.job.choice(key).on_line;
            if ui
                .checkbox(&mut on_line, say!("cut on the line, rough only"))
                .changed()
            {
                actions.push(edited(view, key, |c| c.on_line = on_line));
            }
        }
        _ => {
            ui.label(say!("Select a contour in the list or in the drawing."));
            all_own_ui(ui, view, actions);
        }
    }
}

/// Most contours that are listed.
const MOST_LISTED: usize = 100;

/// Every contour that is cut apart from the job, and how: what was decided here and there, in one place.
fn all_own_ui(ui: &mut Ui, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let t = tokens(ui);
    ui.add_space(8.0);
    let contours = file.profile.contours().iter().enumerate();
    let keyed = contours.map(|(i, c)| (i, contour_key(c)));
    let own: Vec<(usize, usize)> = if file.job.contours.is_empty() {
        Vec::new()
    } else {
        keyed
            .filter(|(_, key)| file.job.contours.contains_key(key))
            .collect()
    };
    if own.is_empty() {
        let text = say!("Every contour is cut as the job says.");
        ui.label(RichText::new(text).color(t.text_soft));
        return;
    }
    ui.label(strong(say!("Apart from the job"), BODY));
    ScrollArea::vertical()
        .id_salt("apart from the job")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            for &(i, key) in own.iter().take(MOST_LISTED) {
                let name = format!("{} {}", file.job.role(&file.profile, i).word(), i + 1);
                let link = ui.link(RichText::new(&name).size(BODY));
                if link.clicked() {
                    actions.push(Action::Select(Some(Target::Contour(i))));
                }
                let words = RichText::new(own_words(view, key).join(", "));
                let words = words.size(SMALL + 0.5).color(t.text_soft);
                ui.add(Label::new(words).wrap());
                ui.add_space(4.0);
            }
            let more = own.len().saturating_sub(MOST_LISTED);
            if more > 0 {
                ui.weak(say!("and {} more", more));
            }
        });
}

fn contour_ui(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let t = tokens(ui);
    let file = view.file;
    let contour = &file.profile.contours()[i];
    let key = contour_key(contour);
    let role = file.job.role(&file.profile, i);
    ui.label(strong(format!("{} {}", role.word(), i + 1), 18.0).color(t.text));
    let own = own_words(view, key);
    let says = if own.is_empty() {
        say!("cut as the job says").to_owned()
    } else {
        say!("apart from the job: {}", own.join(", "))
    };
    ui.add(Label::new(RichText::new(says).color(t.text_soft)).wrap());
    time_ui(ui, i, view);
    ui.horizontal_wrapped(|ui| {
        let layer = &contour.layer;
        let alike = |k: &crate::profile::ProfileContour| &k.layer == layer;
        let others = file.profile.contours().iter().filter(|c| alike(c)).count() - 1;
        let name = if layer.is_empty() { "0" } else { layer };
        let text = say!("The same for all of layer {name}");
        let response = ui.add_enabled(others > 0, Button::new(text));
        if response
            .on_hover_text(say!("{others} more; start holes stay their own"))
            .clicked()
        {
            actions.push(Action::Edit(Box::new(for_layer(view, key, layer))));
        }
        if ui
            .add_enabled(!own.is_empty(), Button::new(say!("As the job")))
            .clicked()
        {
            actions.push(edited(view, key, |c| *c = ContourChoice::AS_THE_JOB));
        }
    });
    ui.add_space(6.0);
    Grid::new(("contour", key))
        .num_columns(2)
        .spacing([14.0, 8.0])
        .show(ui, |ui| {
            conditions_ui(ui, key, view, actions);
            piece_ui(ui, i, key, role, view, actions);
            starts_ui(ui, i, view, actions);
        });
    offers_ui(ui, i, view, actions);
    if let Some(f) = file.shown_estimate().and_then(|e| e.figures.as_ref()) {
        ui.add_space(8.0);
        for slug in f.slugs.iter().filter(|s| s.contour == i) {
            slug_ui(ui, slug, view, actions);
        }
        for part in f.parts.iter().filter(|p| p.contour == i) {
            part_ui(ui, part, view, actions);
        }
    }
}

/// The job with what was decided for one contour given to its layer, but for places.
fn for_layer(view: &View<'_>, key: usize, layer: &str) -> Job {
    let mut job = view.file.job.clone();
    let own = *job.choice(key);
    job.choose_layer(&view.file.profile, layer, |c| {
        *c = ContourChoice {
            hole: c.hole,
            join: c.join,
            on_line: c.on_line,
            ..own
        };
    });
    job
}

/// Time on this contour, and of that with somebody there.
fn time_ui(ui: &mut Ui, i: usize, view: &View<'_>) {
    let Some(f) = view.file.shown_estimate().and_then(|e| e.figures.as_ref()) else {
        return;
    };
    let own = || f.steps.iter().filter(|s| s.contour == Some(i));
    let all: Minutes = own().map(|s| s.minutes).sum();
    if all > Minutes::ZERO {
        let attended: Minutes = own().filter(|s| s.attended).map(|s| s.minutes).sum();
        let mut text = say!("{} of {}", step_time(all), time(f.minutes.median));
        if attended > Minutes::ZERO {
            text = say!("{text}, {} with an operator present", step_time(attended));
        }
        ui.label(RichText::new(text).size(SMALL + 0.5));
    }
}

fn name(ui: &mut Ui, text: &str) {
    let colour = tokens(ui).text_soft;
    ui.label(RichText::new(text).color(colour));
}

/// A button that gives something back to the job.
fn back(ui: &mut Ui, what: &str) -> bool {
    let button = Button::new(RichText::new("×").weak()).frame(false);
    ui.add(button)
        .on_hover_text(say!("as the job again"))
        .accessible_name(say!("{what} as the job"))
        .clicked()
}

fn conditions_ui(ui: &mut Ui, key: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let job = &view.file.job;
    let c = *job.choice(key);
    name(ui, say!("passes"));
    let shown = c.passes.unwrap_or(job.passes).min(job.passes);
    choice(
        ui,
        say!("Passes of the contour"),
        &passes_words(shown),
        BODY,
        |ui| {
            for n in 1..=job.passes {
                if ui.selectable_label(shown == n, passes_words(n)).clicked() {
                    let passes = (n < job.passes).then_some(n);
                    actions.push(edited(view, key, |c| c.passes = passes));
                    ui.close();
                }
            }
        },
    );
    ui.end_row();
    name(ui, say!("thickness"));
    ui.horizontal(|ui| {
        let shown = view
            .style
            .typed_length(c.thickness.unwrap_or(job.thickness));
        let entry = NumberField::new(say!("Thickness of the contour"), shown).show(ui);
        length_typed(entry.typed, view, actions, |l| {
            edited(view, key, |c| {
                c.thickness = (l != job.thickness).then_some(l);
            })
        });
        if c.thickness.is_some() && back(ui, say!("thickness")) {
            actions.push(edited(view, key, |c| c.thickness = None));
        }
    });
    ui.end_row();
    name(ui, say!("flushing"));
    let shown = c.flushing.unwrap_or(job.flushing);
    choice(
        ui,
        say!("Flushing of the contour"),
        shown.words(),
        BODY,
        |ui| {
            for f in Flushing::ALL {
                if ui.selectable_label(shown == f, f.words()).clicked() {
                    let own = (f != job.flushing).then_some(f);
                    actions.push(edited(view, key, |c| c.flushing = own));
                    ui.close();
                }
            }
        },
    );
    ui.end_row();
    name(ui, say!("taper"));
    ui.horizontal(|ui| {
        let shown = format!("{}°", significant(c.taper_degrees, 4));
        let entry = NumberField::new(say!("Taper of the contour"), shown).show(ui);
        if let Some(typed) = entry.typed {
            match parse_number(typed.trim().trim_end_matches('°')) {
                Ok(v) => actions.push(edited(view, key, |c| c.taper_degrees = v)),
                Err(message) => actions.push(Action::Refuse(message)),
            }
        }
        if c.taper_degrees != 0.0 {
            let h = c.thickness.unwrap_or(job.thickness);
            let lean = h * c.taper_degrees.to_radians().tan();
            let weak = say!("{} from top to bottom", view.style.length(lean));
            ui.label(RichText::new(weak).size(SMALL).weak());
        }
    });
    ui.end_row();
}

fn length_typed(
    typed: Option<String>,
    view: &View<'_>,
    actions: &mut Vec<Action>,
    action: impl FnOnce(Length) -> Action,
) {
    if let Some(typed) = typed {
        actions.push(match view.style.parse_length(&typed) {
            Ok(length) => action(length),
            Err(message) => Action::Refuse(message),
        });
    }
}

/// Why the tab that is cut is shorter than the one wanted; `None` where it is not.
fn why_shorter(tab: Length, wanted: Length, view: &View<'_>) -> Option<String> {
    if tab >= wanted {
        return None;
    }
    Some(if tab == Length::ZERO {
        say!("no tab: no slug comes loose that it could hold").to_owned()
    } else {
        say!(
            "{} wanted, but at most {}\u{202f}% of the path is left as a tab",
            view.style.length(wanted),
            significant(LARGEST_TAB * 100.0, 3)
        )
    })
}

/// Side, tab, cut-off and what becomes of the waste.
fn piece_ui(
    ui: &mut Ui,
    i: usize,
    key: usize,
    role: Role,
    view: &View<'_>,
    actions: &mut Vec<Action>,
) {
    let job = &view.file.job;
    let c = *job.choice(key);
    name(ui, say!("wire"));
    let words = |r| match r {
        Role::Outline => say!("runs outside the contour"),
        Role::Opening => say!("runs inside the contour"),
    };
    choice(ui, say!("Side of the wire"), words(role), BODY, |ui| {
        for r in [Role::Opening, Role::Outline] {
            if ui.selectable_label(r == role, words(r)).clicked() {
                if r != role {
                    actions.push(edited(view, key, |c| c.turned = !c.turned));
                }
                ui.close();
            }
        }
    });
    ui.end_row();
    name(ui, say!("tab"));
    let planned = planned(view.file).iter().find(|s| s.contour == i);
    let usual = Length::from_mm(view.library.overheads.tab.value);
    let wanted = c
        .tab
        .unwrap_or(planned.map_or(usual, |s| s.tab_needed.max(usual)));
    let tab = planned.map_or(wanted, |s| s.tab);
    ui.horizontal(|ui| {
        let shown = view.style.typed_length(tab);
        let entry = NumberField::new(say!("Tab of the contour"), shown).show(ui);
        length_typed(entry.typed, view, actions, |l| {
            edited(view, key, |c| c.tab = Some(l))
        });
        if c.tab.is_some() && back(ui, say!("tab")) {
            actions.push(edited(view, key, |c| c.tab = None));
        }
    });
    ui.end_row();
    if let Some(why) = planned.and_then(|s| s.holds.words()) {
        name(ui, "");
        ui.add(Label::new(RichText::new(why).size(SMALL).color(tokens(ui).warn)).wrap());
        ui.end_row();
    } else if let Some(why) = why_shorter(tab, wanted, view) {
        name(ui, "");
        ui.add(Label::new(RichText::new(why).size(SMALL).weak()).wrap());
        ui.end_row();
    }
    if role != Role::Opening {
        return;
    }
    name(ui, say!("waste"));
    let words = |w| match w {
        Waste::Slug => say!("comes out as a slug"),
        Waste::Erode => say!("is burned out, no slug"),
    };
    let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
    let drops = figures.is_some_and(|f| f.slugs.iter().any(|s| s.contour == i));
    let by_job = if drops || figures.is_none() {
        Waste::Slug
    } else {
        Waste::Erode
    };
    let waste = c.waste.unwrap_or(by_job);
    choice(ui, say!("Waste of the contour"), words(waste), BODY, |ui| {
        for w in [Waste::Slug, Waste::Erode] {
            if ui.selectable_label(waste == w, words(w)).clicked() {
                actions.push(edited(view, key, |c| c.waste = Some(w)));
                ui.close();
            }
        }
    });
    ui.end_row();
    if waste == Waste::Erode {
        let figures = view.file.shown_estimate().and_then(|e| e.figures.as_ref());
        let slug = figures.and_then(|f| f.slugs.iter().find(|s| s.contour == i));
        if let Some(not) = slug.and_then(|s| s.not_eroded) {
            name(ui, "");
            let text = RichText::new(loose_pieces::not_eroded(not)).color(tokens(ui).warn);
            ui.add(Label::new(text).wrap());
            ui.end_row();
        }
        return;
    }
    name(ui, say!("slug out"));
    let words = |o| match o {
        CutOff::AfterSkims => say!("after the skims"),
        CutOff::BeforeSkims => say!("before the skims"),
    };
    let shown = c.cut_off.unwrap_or(job.cut_off);
    choice(
        ui,
        say!("Slug out of the contour"),
        words(shown),
        BODY,
        |ui| {
            for o in [CutOff::AfterSkims, CutOff::BeforeSkims] {
                if ui.selectable_label(shown == o, words(o)).clicked() {
                    let own = (o != job.cut_off).then_some(o);
                    actions.push(edited(view, key, |c| c.cut_off = own));
                    ui.close();
                }
            }
        },
    );
    ui.end_row();
}

/// Who placed start hole and join, and back to the program.
fn starts_ui(ui: &mut Ui, contour: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let choice = *view
        .file
        .job
        .choice(contour_key(&view.file.profile.contours()[contour]));
    let start = planned(view.file).iter().find(|s| s.contour == contour);
    let from_edge = edge_ui(ui, contour, view, actions);
    for (kind, what, by_hand) in [
        (Kind::Hole, say!("start hole"), choice.hole.is_some()),
        (Kind::Join, say!("entry point"), choice.join.is_some()),
    ] {
        if kind == Kind::Hole && from_edge {
            continue;
        }
        name(ui, what);
        ui.horizontal(|ui| {
            if let Some(d) = start.and_then(|s| s.hole).filter(|_| kind == Kind::Hole) {
                ui.label(format!("Ø\u{202f}{}", view.style.typed_length(d)));
            }
            if by_hand {
                ui.label(say!("your own"));
                if ui
                    .small_button(say!("Leave the {what} to the program"))
                    .clicked()
                {
                    actions.extend(reset(view.file, Grip { contour, kind }));
                }
            } else {
                ui.weak(say!("by the program; can be dragged"));
            }
        });
        ui.end_row();
    }
}

/// Whether an outline is begun in a hole or at the edge of the blank; `true` where it is the edge.
fn edge_ui(ui: &mut Ui, contour: usize, view: &View<'_>, actions: &mut Vec<Action>) -> bool {
    let (profile, job) = (&view.file.profile, &view.file.job);
    if !may_start_from_edge(profile, job, contour) {
        return false;
    }
    let key = contour_key(&profile.contours()[contour]);
    let own = job.choice(key).from_edge;
    let now = own.unwrap_or(job.outlines_from_edge);
    let words = |edge| {
        if edge {
            at_the_edge()
        } else {
            say!("in a start hole")
        }
    };
    name(ui, say!("begun"));
    choice(
        ui,
        say!("Where the outline is begun"),
        words(now),
        BODY,
        |ui| {
            for edge in [false, true] {
                if ui.selectable_label(edge == now, words(edge)).clicked() {
                    let own = (edge != job.outlines_from_edge).then_some(edge);
                    actions.push(edited(view, key, |c| c.from_edge = own));
                    ui.close();
                }
            }
        },
    );
    ui.end_row();
    now
}

/// Start holes that the drawing shows in this contour's waste.
fn offers_ui(ui: &mut Ui, i: usize, view: &View<'_>, actions: &mut Vec<Action>) {
    let file = view.file;
    let offers = file.course.of(file.shown).map_or(&[][..], |c| &c.offers);
    let hole = file
        .job
        .choice(contour_key(&file.profile.contours()[i]))
        .hole;
    for o in offers
        .iter()
        .filter(|o| o.contour == i && hole != Some(o.hole))
    {
        let at = o.hole + file.profile.origin();
        let (x, y) = (Length::from_mm(at.x()), Length::from_mm(at.y()));
        let text = say!(
            "Take the hole drawn at x {}, y {}",
            view.style.length(x),
            view.style.length(y)
        );
        if ui.button(text).clicked() {
            let mut job = file.job.clone();
            take_offer(&file.profile, &mut job, o);
            actions.push(Action::Edit(Box::new(job)));
        }
    }
}

/// Where an outline may be begun instead of in a start hole.
pub fn at_the_edge() -> &'static str {
    say!("at the edge of the blank")
}
