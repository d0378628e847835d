//! Which of the factors that finished cuts teach act on a rough, and how strongly.

use super::cutting_rate::{RoughConditions, beside_plateau, diameter_factor};
use crate::library::{Factor, Flushing};

/// Factors that act on the rough in these conditions, each with how strongly.
///
/// Factors that do not act there (no flushing trouble, the reference diameter) are left out.
pub fn acting(conditions: &RoughConditions<'_>) -> Vec<(Factor, f64)> {
    let model = conditions.model;
    let (below, above) = beside_plateau(conditions.thickness, conditions.diameter, model);
    let flushing = match conditions.flushing {
        Flushing::Close => 0.0,
        Flushing::OneAway | Flushing::Away => 1.0,
    };
    [
        (Factor::Machine, 1.0),
        (Factor::Material(conditions.material.name.clone()), 1.0),
        (Factor::Wire(conditions.wire.name.clone()), 1.0),
        (
            Factor::Diameter,
            diameter_factor(conditions.diameter, model).ln(),
        ),
        (Factor::CurveBelow, -below),
        (Factor::CurveAbove, -above),
        (Factor::Flushing(conditions.flushing), flushing),
    ]
    .into_iter()
    .filter(|(_, x)| *x != 0.0)
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use crate::units::Length;

    #[test]
    fn the_reference_conditions_touch_machine_material_and_wire_alone() {
        let l = Library::built_in();
        let mut c = RoughConditions::new(
            &l.materials[0],
            &l.wires[0],
            Length::from_mm(0.25),
            Length::from_mm(60.0),
            Flushing::Close,
        );
        assert_eq!(acting(&c).len(), 3);
        c.thickness = Length::from_mm(20.0);
        c.flushing = Flushing::Away;
        c.diameter = Length::from_mm(0.20);
        let names: Vec<String> = acting(&c).iter().map(|(f, _)| f.words()).collect();
        assert_eq!(names.len(), 6);
        assert!(names.contains(&"thin work".to_owned()));
        // Thinner than 3 mm counts as 3 mm.
        let at = |h: f64| {
            let thin = RoughConditions {
                thickness: Length::from_mm(h),
                ..c
            };
            acting(&thin)
        };
        assert_eq!(at(1.0), at(3.0));
    }
}
