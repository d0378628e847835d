//! Type, spacing and colour: semantic tokens for dark and light, and the one function that applies them.
//!
//! Raw colours occur in this file only. Graphite and brass are the tool room's own; the first wires take the
//! colours of Okabe and Ito (2008), which stay apart for every kind of colour vision, the further ones lie as far
//! from all before them as they can, and a wire's colour never stands without its name.

use crate::plan::Share;
use egui::epaint::Shadow;
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke,
    Style, TextStyle, Theme, Visuals, vec2,
};
use std::sync::Arc;

/// Colours by meaning.
#[derive(Debug, Clone, PartialEq)]
pub struct Tokens {
    /// Behind everything.
    pub ground: Color32,
    /// Panels and popups.
    pub raised: Color32,
    /// Fields that take input, wells.
    pub sunken: Color32,
    /// Hairlines between panels.
    pub edge: Color32,
    /// Text that carries the answer.
    pub text: Color32,
    /// Labels.
    pub text_soft: Color32,
    /// Remarks.
    pub text_faint: Color32,
    /// What can be changed: the fields of the sentence and what else is decided here.
    pub accent: Color32,
    /// The same as a fill behind text.
    pub accent_fill: Color32,
    /// Less time, less wire, less cost.
    pub better: Color32,
    /// More of it.
    pub worse: Color32,
    /// A second look is due.
    pub warn: Color32,
    /// Cannot be done.
    pub fault: Color32,
    /// Behind the drawing.
    pub canvas: Color32,
    /// Material that stays.
    pub kept: Color32,
    /// Contours of the drawing that are cut.
    pub outline: Color32,
    /// The ticks on the waste side of openings.
    pub waste_tick: Color32,
    /// Curves that close no contour.
    pub open_curve: Color32,
    /// Contours out of the cut.
    pub left_out: Color32,
    /// Neutral shares of the time: threading, stops, moves, from strong to faint.
    pub neutral: [Color32; 4],
    /// Candidates in their order.
    pub wires: [Color32; 16],
}

/// Paper, in dark windows too.
pub const PAPER: Color32 = Color32::WHITE;

const fn grey(v: u8) -> Color32 {
    Color32::from_rgb(v, v, v)
}

const DARK: Tokens = Tokens {
    ground: Color32::from_rgb(0x16, 0x19, 0x1b),
    raised: Color32::from_rgb(0x1d, 0x21, 0x24),
    sunken: Color32::from_rgb(0x11, 0x13, 0x15),
    edge: Color32::from_rgb(0x2e, 0x34, 0x38),
    text: Color32::from_rgb(0xee, 0xec, 0xe6),
    text_soft: Color32::from_rgb(0xb3, 0xb6, 0xb4),
    text_faint: Color32::from_rgb(0x86, 0x8c, 0x8d),
    accent: Color32::from_rgb(0xe0, 0xb4, 0x58),
    accent_fill: Color32::from_rgb(0x36, 0x30, 0x22),
    better: Color32::from_rgb(0x5f, 0xc9, 0xa6),
    worse: Color32::from_rgb(0xe9, 0x8f, 0x6a),
    warn: Color32::from_rgb(0xf2, 0x8f, 0x3f),
    fault: Color32::from_rgb(0xf0, 0x7c, 0x64),
    canvas: Color32::from_rgb(0x12, 0x15, 0x17),
    kept: Color32::from_rgb(0x25, 0x2b, 0x2f),
    outline: Color32::from_rgb(0xe4, 0xe2, 0xdb),
    waste_tick: Color32::from_rgb(0x7f, 0x86, 0x88),
    open_curve: Color32::from_rgb(0xf2, 0x8f, 0x3f),
    left_out: Color32::from_rgb(0x62, 0x69, 0x6c),
    neutral: [grey(0xc4), grey(0x96), grey(0x6c), grey(0x50)],
    wires: [
        Color32::from_rgb(0x56, 0xb4, 0xe9),
        Color32::from_rgb(0xe6, 0x9f, 0x00),
        Color32::from_rgb(0x00, 0xa8, 0x7c),
        Color32::from_rgb(0xcc, 0x79, 0xa7),
        Color32::from_rgb(0xe0, 0x6c, 0x1c),
        Color32::from_rgb(0xf0, 0xe4, 0x42),
        Color32::from_rgb(0x76, 0x4b, 0xe5),
        Color32::from_rgb(0xfd, 0xd5, 0xff),
        Color32::from_rgb(0x20, 0xf6, 0xa5),
        Color32::from_rgb(0xd1, 0x00, 0x54),
        Color32::from_rgb(0x81, 0x72, 0x0e),
        Color32::from_rgb(0xb2, 0x29, 0xad),
        Color32::from_rgb(0xa4, 0xc2, 0x95),
        Color32::from_rgb(0xd0, 0x6a, 0xfa),
        Color32::from_rgb(0x7b, 0x67, 0x93),
        Color32::from_rgb(0x6c, 0xe7, 0xed),
    ],
};

const LIGHT: Tokens = Tokens {
    ground: Color32::from_rgb(0xf1, 0xef, 0xea),
    raised: Color32::from_rgb(0xfa, 0xf9, 0xf6),
    sunken: Color32::from_rgb(0xff, 0xff, 0xff),
    edge: Color32::from_rgb(0xd8, 0xd4, 0xca),
    text: Color32::from_rgb(0x1b, 0x1e, 0x20),
    text_soft: Color32::from_rgb(0x4b, 0x50, 0x53),
    text_faint: Color32::from_rgb(0x6c, 0x71, 0x72),
    accent: Color32::from_rgb(0x84, 0x5a, 0x0a),
    accent_fill: Color32::from_rgb(0xf4, 0xe9, 0xcf),
    better: Color32::from_rgb(0x00, 0x70, 0x52),
    worse: Color32::from_rgb(0xb0, 0x45, 0x12),
    warn: Color32::from_rgb(0xac, 0x48, 0x00),
    fault: Color32::from_rgb(0xb3, 0x2c, 0x18),
    canvas: Color32::from_rgb(0xff, 0xff, 0xff),
    kept: Color32::from_rgb(0xea, 0xec, 0xea),
    outline: Color32::from_rgb(0x20, 0x24, 0x27),
    waste_tick: Color32::from_rgb(0x8d, 0x93, 0x94),
    open_curve: Color32::from_rgb(0xac, 0x48, 0x00),
    left_out: Color32::from_rgb(0xaa, 0xad, 0xac),
    neutral: [grey(0x46), grey(0x72), grey(0x9a), grey(0xbc)],
    wires: [
        Color32::from_rgb(0x00, 0x72, 0xb2),
        Color32::from_rgb(0xd9, 0x8a, 0x00),
        Color32::from_rgb(0x00, 0x9e, 0x73),
        Color32::from_rgb(0xcc, 0x79, 0xa7),
        Color32::from_rgb(0xc2, 0x4f, 0x00),
        Color32::from_rgb(0x8f, 0x85, 0x00),
        Color32::from_rgb(0x62, 0x01, 0x56),
        Color32::from_rgb(0x0f, 0x44, 0x00),
        Color32::from_rgb(0x85, 0x3f, 0xd8),
        Color32::from_rgb(0xc9, 0x00, 0x69),
        Color32::from_rgb(0x77, 0x2e, 0x11),
        Color32::from_rgb(0x6a, 0x4f, 0x76),
        Color32::from_rgb(0x3f, 0x03, 0x90),
        Color32::from_rgb(0x98, 0x86, 0xed),
        Color32::from_rgb(0x24, 0x68, 0x5c),
        Color32::from_rgb(0xca, 0x44, 0xc3),
    ],
};

impl Tokens {
    /// The tokens of the theme a style belongs to.
    pub fn of(visuals: &Visuals) -> &'static Self {
        if visuals.dark_mode { &DARK } else { &LIGHT }
    }
    /// Colour of a candidate, by its place in the list. Beyond the sixteen that the window compares, hues go on by
    /// the golden angle.
    pub fn wire(&self, candidate: usize) -> Color32 {
        let hue = |k: usize| (k as f32 * 0.618_034).fract();
        self.wires.get(candidate).copied().unwrap_or_else(|| {
            let value = if self.text.r() > self.ground.r() {
                0.95
            } else {
                0.55
            };
            egui::ecolor::Hsva::new(hue(candidate), 0.55, value, 1.0).into()
        })
    }
    /// How a share of the time is painted in a wire's colour: the colour, and whether it is hatched.
    pub fn share(&self, share: Share, wire: Color32) -> (Color32, bool) {
        match share {
            Share::Rough => (wire, false),
            Share::Skims => (mix(self.raised, wire, 0.55), false),
            Share::Corners => (wire, true),
            Share::Threading => (self.neutral[0], false),
            Share::SlugStops => (self.neutral[1], false),
            Share::Moves => (self.neutral[2], false),
            Share::Breaks => (self.neutral[3], true),
            Share::Allowance => (self.neutral[2], true),
        }
    }
}

/// The tokens of the theme in force.
pub fn tokens(ui: &egui::Ui) -> &'static Tokens {
    Tokens::of(ui.visuals())
}

/// A colour between two, `t` = 0 the first.
pub fn mix(a: Color32, b: Color32, t: f32) -> Color32 {
    a.lerp_to_gamma(b, t)
}

/// The face for headings and answers.
pub fn strong_family() -> FontFamily {
    FontFamily::Name("strong".into())
}

/// Text of an answer, in the strong face.
pub fn strong(text: impl Into<String>, size: f32) -> egui::RichText {
    egui::RichText::new(text).font(FontId::new(size, strong_family()))
}

/// Text in which no number is parted from its unit: the toolkit breaks a line at a narrow space, which it should not.
pub fn unbroken(text: &str) -> String {
    text.replace('\u{202f}', "\u{a0}")
}

/// Size of body text, points.
pub const BODY: f32 = 13.5;
/// Size of remarks, points.
pub const SMALL: f32 = 11.5;
/// Size of the job's sentence, points.
pub const SENTENCE: f32 = 15.0;
/// Height of a row in lists, points.
pub const ROW: f32 = 22.0;

/// Applies fonts, then type, then spacing, then colour.
pub fn apply(ctx: &Context) {
    ctx.set_fonts(fonts());
    for (theme, tokens) in [(Theme::Dark, &DARK), (Theme::Light, &LIGHT)] {
        ctx.style_mut_of(theme, |style| {
            type_and_spacing(style);
            colour(style, tokens, theme);
        });
    }
}

fn fonts() -> FontDefinitions {
    let mut f = FontDefinitions::default();
    let mut add = |name: &str, bytes: &'static [u8]| {
        let mut data = FontData::from_static(bytes);
        // The gap between a number and its unit must be seen.
        data.tweak.thin_space_width = 0.85;
        f.font_data.insert(name.to_owned(), Arc::new(data));
    };
    // A text face with tabular figures, so that columns of numbers align.
    add(
        "text",
        include_bytes!("../../assets/fonts/IBMPlexSans-Regular.ttf"),
    );
    add(
        "text-strong",
        include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.ttf"),
    );
    let fallback = f
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    let with = |first: &str| {
        let mut list = vec![first.to_owned()];
        list.extend(fallback.iter().cloned());
        // The monospace face of the toolkit knows the geometric signs that text faces lack.
        list.push("Hack".to_owned());
        list
    };
    f.families.insert(FontFamily::Proportional, with("text"));
    f.families.insert(strong_family(), with("text-strong"));
    f
}

fn type_and_spacing(style: &mut Style) {
    let text = |size| FontId::new(size, FontFamily::Proportional);
    style.text_styles = [
        (TextStyle::Small, text(SMALL)),
        (TextStyle::Body, text(BODY)),
        (TextStyle::Button, text(BODY)),
        (TextStyle::Heading, FontId::new(15.0, strong_family())),
        (TextStyle::Monospace, FontId::monospace(BODY)),
    ]
    .into();
    let s = &mut style.spacing;
    s.item_spacing = vec2(8.0, 5.0);
    s.button_padding = vec2(7.0, 2.5);
    s.interact_size = vec2(24.0, 22.0);
    s.menu_margin = Margin::same(6);
    s.window_margin = Margin::same(10);
    s.indent = 14.0;
    s.icon_width = 15.0;
    s.icon_spacing = 6.0;
    s.combo_width = 60.0;
    s.tooltip_width = 360.0;
    s.scroll.bar_width = 8.0;
    style.interaction.tooltip_delay = 0.35;
    style.interaction.selectable_labels = false;
    // Nothing blinks.
    style.visuals.text_cursor.blink = false;
    style.animation_time = 0.06;
}

fn colour(style: &mut Style, t: &Tokens, theme: Theme) {
    let v = &mut style.visuals;
    *v = match theme {
        Theme::Dark => Visuals::dark(),
        Theme::Light => Visuals::light(),
    };
    v.text_cursor.blink = false;
    v.panel_fill = t.ground;
    v.window_fill = t.raised;
    v.window_stroke = Stroke::new(1.0, t.edge);
    v.window_corner_radius = CornerRadius::same(6);
    v.menu_corner_radius = CornerRadius::same(6);
    let shadow = Shadow {
        offset: [0, 4],
        blur: 14,
        spread: 0,
        color: Color32::from_black_alpha(if theme == Theme::Dark { 110 } else { 36 }),
    };
    v.window_shadow = shadow;
    v.popup_shadow = shadow;
    v.extreme_bg_color = t.sunken;
    v.text_edit_bg_color = Some(t.sunken);
    v.faint_bg_color = mix(t.ground, t.raised, 0.7);
    v.code_bg_color = t.sunken;
    v.hyperlink_color = t.accent;
    v.warn_fg_color = t.warn;
    v.error_fg_color = t.fault;
    v.weak_text_color = Some(t.text_faint);
    v.selection.bg_fill = t.accent_fill;
    v.selection.stroke = Stroke::new(1.0, t.accent);
    v.interact_cursor = None;
    let w = &mut v.widgets;
    // Buttons must be seen on the ground of a panel too, which is darker than what is raised.
    let hover = mix(t.raised, t.text, 0.14);
    let idle = mix(t.raised, t.text, 0.09);
    for (state, fill, fg) in [
        (&mut w.noninteractive, t.raised, t.text_soft),
        (&mut w.inactive, idle, t.text),
        (&mut w.hovered, hover, t.text),
        (&mut w.active, mix(t.raised, t.text, 0.20), t.text),
        (&mut w.open, hover, t.text),
    ] {
        // Boxes and radio buttons must be seen on any panel.
        state.bg_fill = mix(fill, fg, 0.12);
        state.weak_bg_fill = fill;
        state.bg_stroke = Stroke::NONE;
        state.corner_radius = CornerRadius::same(4);
        state.fg_stroke = Stroke::new(1.0, fg);
        state.expansion = 0.0;
    }
    w.noninteractive.bg_stroke = Stroke::new(1.0, t.edge);
    // Focus by keyboard must be seen, without strokes on every button.
    w.active.bg_stroke = Stroke::new(1.0, t.accent);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as defined by WCAG 2.1.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |c: Color32| {
            let part = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.04045 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * part(c.r()) + 0.7152 * part(c.g()) + 0.0722 * part(c.b())
        };
        let (x, y) = (luminance(a), luminance(b));
        (x.max(y) + 0.05) / (x.min(y) + 0.05)
    }

    /// A colour in OKLab (Ottosson, "A perceptual color space for image processing", 2020), where a difference that
    /// is just noticed is about 0.02.
    fn oklab(c: Color32) -> [f64; 3] {
        let part = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 {
                v / 12.92
            } else {
                ((v + 0.055) / 1.055).powf(2.4)
            }
        };
        let (r, g, b) = (part(c.r()), part(c.g()), part(c.b()));
        let l = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
        let m = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
        let s = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
        [
            0.210_454_255_3 * l + 0.793_617_785_0 * m - 0.004_072_046_8 * s,
            1.977_998_495_1 * l - 2.428_592_205_0 * m + 0.450_593_709_9 * s,
            0.025_904_037_1 * l + 0.782_771_766_2 * m - 0.808_675_766_0 * s,
        ]
    }

    #[test]
    fn no_two_of_the_wires_that_can_be_compared_look_alike() {
        for t in [&DARK, &LIGHT] {
            let all: Vec<_> = (0..16).map(|k| oklab(t.wire(k))).collect();
            for (k, a) in all.iter().enumerate() {
                for (j, b) in all.iter().enumerate().take(k) {
                    let d = (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt();
                    // Five times what is just noticed.
                    assert!(d > 0.10, "{j} and {k}: {d:.3}");
                }
            }
            // One blue alone: hues from 225° to 275° with some strength.
            let blue = |c: &&[f64; 3]| {
                let hue = c[2].atan2(c[1]).to_degrees().rem_euclid(360.0);
                c[1].hypot(c[2]) > 0.05 && (225.0..275.0).contains(&hue)
            };
            assert_eq!(all.iter().filter(blue).count(), 1);
        }
    }

    #[test]
    fn text_can_be_read_on_every_surface() {
        for t in [&DARK, &LIGHT] {
            for surface in [t.ground, t.raised, t.sunken, t.canvas] {
                for text in [
                    t.text,
                    t.text_soft,
                    t.text_faint,
                    t.accent,
                    t.better,
                    t.worse,
                    t.warn,
                    t.fault,
                ] {
                    let c = contrast(text, surface);
                    assert!(c >= 4.2, "{text:?} on {surface:?}: {c:.2}");
                }
            }
        }
    }
}
