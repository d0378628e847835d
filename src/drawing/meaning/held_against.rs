//! Dimensions and scale notes held against what is drawn: one scale, several, other units, or texts that give
//! something else than is drawn.

use super::dimensions::{ByWhat, Dimension, Stands};
use super::notes::Note;
use super::scale::{DrawnScale, Scale, ScaleChoice, ScaleSource, scale_in_cell, scale_said};
use crate::drawing::format::{Fault, Noticed};
use crate::geometry::DrawingPoint;

/// Dimensions that say the same scale.
struct Group {
    scale: Scale,
    by_own_factor: bool,
    places: Vec<(DrawingPoint, usize)>,
}

/// What the dimensions of a drawing say.
#[derive(Default)]
struct Dimensions {
    agree: usize,
    groups: Vec<Group>,
    other_unit: Vec<(DrawingPoint, usize)>,
    disagree: Vec<(DrawingPoint, usize, String)>,
}

impl Dimensions {
    fn of(dimensions: &[Dimension], unit_mm: f64, used: Scale) -> Self {
        let mut all = Self::default();
        for d in dimensions {
            let place = (d.at, d.line);
            match d.stands(unit_mm, used) {
                Stands::Agrees => all.agree += 1,
                Stands::OtherUnit => all.other_unit.push(place),
                Stands::Scaled(factor, by) => {
                    let Some(scale) = Scale::new(factor) else {
                        all.disagree.push((d.at, d.line, words(d, unit_mm, used)));
                        continue;
                    };
                    let own = by == ByWhat::OwnFactor;
                    match all.groups.iter_mut().find(|g| g.scale.is_about(scale)) {
                        Some(group) => {
                            group.by_own_factor |= own;
                            group.places.push(place);
                        }
                        None => all.groups.push(Group {
                            scale,
                            by_own_factor: own,
                            places: vec![place],
                        }),
                    }
                }
                Stands::Disagrees => all.disagree.push((d.at, d.line, words(d, unit_mm, used))),
            }
        }
        // A single text that happens to be a scale away among dimensions that agree is a text typed over.
        let (agree, groups) = (all.agree, std::mem::take(&mut all.groups));
        for group in groups {
            if group.places.len() == 1 && !group.by_own_factor && agree > 0 {
                let (at, line) = group.places[0];
                let d = dimensions.iter().find(|d| d.line == line && d.at == at);
                all.disagree
                    .extend(d.map(|d| (at, line, words(d, unit_mm, used))));
            } else {
                all.groups.push(group);
            }
        }
        all.groups
            .sort_by_key(|g| std::cmp::Reverse(g.places.len()));
        all
    }
}

/// "25 where 20.5 is drawn"
fn words(d: &Dimension, unit_mm: f64, used: Scale) -> String {
    let number = |v: f64| {
        let text = format!("{v:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let gives = d.gives(unit_mm, used);
    say!(
        "{} where {} is drawn",
        number(gives),
        number(d.drawn_mm / unit_mm)
    )
}

/// Scales that texts say of the drawing as a whole. Those of layouts are how a sheet is plotted.
fn said(notes: &[Note]) -> Vec<(Scale, DrawingPoint, usize)> {
    let texts = notes.iter().filter(|n| !n.in_layout);
    texts
        .filter_map(|n| {
            let in_cell = || n.head.as_deref().and_then(|h| scale_in_cell(h, &n.text));
            let scale = scale_said(&n.text).or_else(in_cell)?;
            Some((scale, n.at, n.line))
        })
        .collect()
}

/// Holds all against what is drawn at the scale used; `unit_mm` is the drawing's unit.
pub(crate) fn drawn_scale(
    notes: &[Note],
    dimensions: &[Dimension],
    used: ScaleChoice,
    unit_mm: f64,
    noticed: &mut Noticed,
) -> DrawnScale {
    let of_dimensions = Dimensions::of(dimensions, unit_mm, used.scale);
    let texts = said(notes);
    let mut offered = None;
    for &(at, line) in &of_dimensions.other_unit {
        noticed.add(Fault::DimensionsInOtherUnit, Some(at), Some(line));
    }
    for (at, line, words) in &of_dimensions.disagree {
        noticed.add_named(Fault::DimensionDisagrees, words, Some(*at), Some(*line));
    }
    let name = |s: Scale| s.to_string();
    match of_dimensions.groups.as_slice() {
        [] => {}
        [group] if of_dimensions.agree == 0 => {
            for &(at, line) in &group.places {
                let scale = name(group.scale);
                noticed.add_named(Fault::ScaleInDimensions, &scale, Some(at), Some(line));
            }
            offered = Some((group.scale, ScaleSource::Dimensions));
        }
        groups => {
            for group in groups {
                for &(at, line) in &group.places {
                    noticed.add_named(Fault::MixedScales, &name(group.scale), Some(at), Some(line));
                }
            }
            // Most of them: the rest are views of their own.
            let all = of_dimensions.agree + groups.iter().map(|g| g.places.len()).sum::<usize>();
            if groups[0].places.len() * 5 >= all * 4 {
                offered = Some((groups[0].scale, ScaleSource::Dimensions));
            }
        }
    }
    let off = |s: Scale| !s.is_about(used.scale);
    if offered.is_none() && of_dimensions.groups.is_empty() && texts.iter().any(|t| off(t.0)) {
        let one = texts.iter().all(|t| t.0.is_about(texts[0].0));
        let fault = if of_dimensions.agree > 0 {
            // Title blocks also say how a true drawing is plotted.
            Fault::ScaleOfPlot
        } else if one {
            offered = Some((texts[0].0, ScaleSource::Text));
            Fault::ScaleInText
        } else {
            Fault::MixedScales
        };
        for &(scale, at, line) in texts.iter().filter(|t| off(t.0) || !one) {
            noticed.add_named(fault, &name(scale), Some(at), Some(line));
        }
    }
    DrawnScale {
        used,
        offered: offered.map(|(scale, from)| ScaleChoice { scale, from }),
    }
}
