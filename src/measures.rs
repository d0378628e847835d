//! What a profile measures: per contour and in total, once it is known what stays.

use crate::geometry::corners::{Corner, corners, tightest_inside_radius};
use crate::profile::{Keep, Part, Profile, Role};
use crate::progress::look;
use crate::units::{Area, Length};

/// Measures of one contour.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourMeasures {
    /// What it bounds.
    pub role: Role,
    /// Contours around it.
    pub depth: usize,
    /// True length of the drawn curves.
    pub length: Length,
    /// Area inside.
    pub area: Area,
    /// Sharp corners.
    pub corners: usize,
    /// Smallest radius that the wire has to make; 0 with a sharp inside corner, `None` without any.
    pub tightest_inside_radius: Option<Length>,
    /// Corners and small fillets, for marking them.
    pub features: Vec<Corner>,
}

/// Measures of a whole profile.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Length of outlines and openings.
    pub cut_length: Length,
    /// Length of what would not close.
    pub open_length: Length,
    /// Contours that bound material.
    pub outlines: usize,
    /// Holes.
    pub openings: usize,
    /// Chains that would not close.
    pub open: usize,
    /// Sharp corners.
    pub corners: usize,
    /// Pieces of waste that come loose: one an opening.
    pub slugs: usize,
    /// Outlines less openings.
    pub net_area: Area,
    /// Smallest of all contours.
    pub tightest_inside_radius: Option<Length>,
}

/// Contours and their totals.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measures {
    /// In the profile's order.
    pub contours: Vec<ContourMeasures>,
    /// Over all contours.
    pub totals: Totals,
}

/// Measures every contour and sums over all of them, by the roles that nesting gives.
pub fn measure(profile: &Profile, keep: Keep) -> Measures {
    measure_as(profile, |k| profile.role(k, keep))
}

/// The same by roles given by index: [`crate::job::Job::role`] knows which contours were turned.
pub fn measure_as(profile: &Profile, role: impl Fn(usize) -> Role) -> Measures {
    measure_cut(profile, role, |_| true)
}

/// The same, with totals of the contours that are cut alone.
pub fn measure_cut(
    profile: &Profile,
    role: impl Fn(usize) -> Role,
    cut: impl Fn(usize) -> bool,
) -> Measures {
    let contours: Vec<ContourMeasures> = profile
        .contours()
        .iter()
        .enumerate()
        .map(|(k, c)| {
            let role = role(k);
            let features = corners(&c.shape);
            let tightest = tightest_inside_radius(&c.shape, &features, role == Role::Opening);
            ContourMeasures {
                role,
                depth: c.depth,
                length: c.drawn_length,
                area: c.drawn_area,
                corners: features.iter().filter(|f| f.is_sharp()).count(),
                tightest_inside_radius: tightest.map(Length::from_mm),
                features,
            }
        })
        .collect();
    let open: Vec<usize> = (0..profile.open().len()).collect();
    let cut: Vec<usize> = (0..contours.len()).filter(|&k| cut(k)).collect();
    let totals = sum(profile, &contours, &cut, &open);
    Measures { contours, totals }
}

/// Totals of one part, from the measures of the whole profile.
pub fn totals_of_part(profile: &Profile, measures: &Measures, part: &Part) -> Totals {
    sum(profile, &measures.contours, &part.contours, &part.open)
}

fn sum(profile: &Profile, contours: &[ContourMeasures], cut: &[usize], open: &[usize]) -> Totals {
    let mut totals = Totals {
        open: open.len(),
        open_length: open.iter().map(|&k| profile.open()[k].drawn_length).sum(),
        ..Totals::default()
    };
    for &k in cut {
        look();
        let c = &contours[k];
        totals.cut_length += c.length;
        totals.corners += c.corners;
        match c.role {
            Role::Outline => {
                totals.outlines += 1;
                totals.net_area += c.area;
            }
            Role::Opening => {
                totals.openings += 1;
                totals.slugs += 1;
                totals.net_area += -c.area;
            }
        }
        totals.tightest_inside_radius =
            match (totals.tightest_inside_radius, c.tightest_inside_radius) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
    }
    // Openings that overlap take no more than there is; those of a die lie in nothing and count as they are.
    let outermost = |k: &&usize| contours[**k].depth == 0;
    if cut
        .iter()
        .filter(outermost)
        .all(|&k| contours[k].role == Role::Outline)
    {
        totals.net_area = totals.net_area.max(Area::ZERO);
    }
    totals
}
