//! What comes loose: the waste of openings and the parts themselves, and what to beware of.

use crate::geometry::Point;
use crate::geometry::offset::Side;
use crate::job::{Job, Shop, Waste, contour_key};
use crate::plan::Plans;
use crate::plan::contour_paths::ContourPaths;
use crate::plan::contour_plan::inside_by;
use crate::plan::holding::Piece;
use crate::plan::paths::{LaidPath, PathCache, PathWanted, ShapeId, wire_side};
use crate::plan::pieces::{LoosePiece, longer_side};
use crate::process::cutting_rate::RoughConditions;
use crate::process::passes::slug_inset;
use crate::profile::{Profile, Role};
use crate::progress::look;
use crate::units::{Area, Length, Mass, prism_mass};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// Heights at which a leaning slug is measured, as shares from the top, with their weights: the prismoidal
/// formula V = H·(A₀ + 4·Aₘ + A₁)/6 (handbook formula, from memory), exact for cones and pyramids.
const LEVELS: [(f64, f64); 3] = [(0.0, 1.0 / 6.0), (0.5, 4.0 / 6.0), (1.0, 1.0 / 6.0)];

/// What a loose piece can do beyond lying there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SlugCaution {
    /// So heavy that it may fall.
    MayFall,
    /// So small that it may slip into the lower nozzle and jam.
    MayJam,
}

impl SlugCaution {
    /// By the shop's own limits.
    fn of(mass: Mass, size: Length, shop: &Shop) -> Option<Self> {
        if mass >= shop.heavy_slug {
            Some(Self::MayFall)
        } else if size > Length::ZERO && size <= shop.jamming_slug {
            Some(Self::MayJam)
        } else {
            None
        }
    }
}

/// Why waste that is to be eroded away comes out as a slug all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NotEroded {
    /// Contours that are cut lie in it.
    HoldsOthers,
    /// It is too large.
    TooLarge,
}

/// A piece of waste that comes loose from an opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slug {
    /// Contour of the profile.
    pub contour: usize,
    /// Its true area inside the rough's kerf, at the top; 0 where the kerf takes it all.
    pub area: Area,
    /// Its mass.
    pub mass: Mass,
    /// Longer side of the box around it.
    pub size: Length,
    /// Its centre of gravity, mm about the profile's origin.
    pub centroid: Point,
    /// Which of the pieces that this opening drops, from 0.
    pub piece: usize,
    /// Pieces that this opening drops; more than one where its waste falls apart during the rough.
    pub pieces: usize,
    /// What to beware of, by the shop's own limits.
    pub caution: Option<SlugCaution>,
    /// Why it was not eroded away, where it should have been.
    pub not_eroded: Option<NotEroded>,
}

impl Slug {
    /// Whether the kerf takes all of the waste, so that nothing comes loose and nobody is waited for.
    pub fn is_taken_by_the_kerf(&self) -> bool {
        self.size == Length::ZERO
    }
    /// Whether it wants care.
    pub fn wants_care(&self) -> bool {
        self.caution.is_some() || self.pieces > 1
    }
}

/// A part as it comes free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreePart {
    /// The outline, contour of the profile.
    pub contour: usize,
    /// As drawn, less what was cut out of it.
    pub area: Area,
    /// Its mass.
    pub mass: Mass,
    /// Longer side of the box around it.
    pub size: Length,
    /// Its centre of gravity, mm about the profile's origin.
    pub centroid: Point,
    /// What to beware of, by the shop's own limits.
    pub caution: Option<SlugCaution>,
}

/// What comes loose.
pub(super) struct Loose {
    pub slugs: Vec<Slug>,
    pub parts: Vec<FreePart>,
}

impl Loose {
    /// What each of a profile's contours lets go.
    pub fn pieces(&self, contours: usize) -> Vec<Option<Piece>> {
        let mut out: Vec<Option<Piece>> = vec![None; contours];
        for s in self.slugs.iter().filter(|s| !s.is_taken_by_the_kerf()) {
            let Some(place) = out.get_mut(s.contour) else {
                continue;
            };
            if place.is_none_or(|p| s.mass > p.mass) {
                *place = Some(Piece {
                    mass: s.mass,
                    centroid: s.centroid,
                    count: s.pieces,
                });
            }
        }
        for p in &self.parts {
            if let Some(place) = out.get_mut(p.contour) {
                *place = Some(Piece {
                    mass: p.mass,
                    centroid: p.centroid,
                    count: 1,
                });
            }
        }
        out
    }
}

/// Every slug and every part that comes loose.
pub(super) fn loose(
    profile: &Profile,
    shapes: &[ShapeId],
    job: &Job,
    conditions: &RoughConditions<'_>,
    plans: &Plans,
    paths: &[ContourPaths],
    cache: &PathCache,
) -> Loose {
    let cut = CutConditions {
        profile,
        shapes,
        job,
        conditions,
        plans,
    };
    Loose {
        slugs: cut.slugs(paths, cache),
        parts: cut.parts(paths, cache),
    }
}

/// What is cut, and under which conditions.
struct CutConditions<'a> {
    profile: &'a Profile,
    shapes: &'a [ShapeId],
    job: &'a Job,
    conditions: &'a RoughConditions<'a>,
    plans: &'a Plans,
}

/// What leaning walls do to a slug.
#[derive(Clone, Copy)]
struct Lean {
    mass: f64,
    wider: Length,
}

impl Lean {
    const UPRIGHT: Self = Self {
        mass: 1.0,
        wider: Length::ZERO,
    };
}

impl<'a> CutConditions<'a> {
    /// The edge of a contour's waste: beyond the rough's offset by half its kerf.
    fn edge(&self, p: &ContourPaths) -> Option<PathWanted<'a>> {
        let rough = self.plans.all[p.plan].passes.first()?;
        Some(PathWanted {
            shape: self.shapes[p.contour],
            contour: &self.profile.contours()[p.contour].shape,
            side: wire_side(p.role),
            offset: slug_inset(self.conditions.diameter, rough),
        })
    }

    /// What comes loose from each opening, a slug for every loop of its edge: the drawn contour less the rough's
    /// offset and half its kerf, less the parts that were cut out of it before with the kerf around them.
    fn slugs(&self, paths: &[ContourPaths], cache: &PathCache) -> Vec<Slug> {
        // Eroded away by rings there is no slug; without a ring the kerf takes it, which is worth saying.
        let drops = |p: &&ContourPaths| p.rings.as_ref().is_none_or(Vec::is_empty);
        let openings: Vec<(&ContourPaths, PathWanted<'_>)> = paths
            .iter()
            .filter(|p| p.role == Role::Opening)
            .filter(drops)
            .filter_map(|p| Some((p, self.edge(p)?)))
            .collect();
        let holders: HashSet<usize> = openings
            .iter()
            .filter(|(p, _)| p.holds_others)
            .map(|o| o.0.contour)
            .collect();
        let inner: Vec<(usize, PathWanted<'_>)> = paths
            .iter()
            .filter_map(|p| {
                let parent = self.profile.contours()[p.contour].parent?;
                holders.contains(&parent).then_some(())?;
                let side = Side::Outside;
                Some((
                    parent,
                    PathWanted {
                        side,
                        ..self.edge(p)?
                    },
                ))
            })
            .collect();
        let both = openings.iter().map(|o| o.1);
        let wanted: Vec<PathWanted<'_>> = both.chain(inner.iter().map(|i| i.1)).collect();
        let mut edges = cache.lay(&wanted);
        let inner_edges = edges.split_off(openings.len());
        let mut gone: HashMap<usize, Vec<Arc<LaidPath>>> = HashMap::new();
        for ((parent, _), edge) in inner.iter().zip(inner_edges) {
            gone.entry(*parent).or_default().push(edge);
        }
        let inside = self.inside(paths);
        openings
            .iter()
            .zip(&edges)
            .flat_map(|((p, _), edge)| {
                look();
                let lean = self.lean(p, of_contour(&inside, p), cache);
                self.out_of(p, edge, of_contour(&gone, p), lean)
            })
            .collect()
    }

    /// Mass of leaning waste against that of a prism on its upper rim, and how much longer its longer side is at
    /// its widest; 1 and 0 where all walls are upright. The kerf counts as wide in a leaning cut as in an upright one.
    ///
    /// `inside` is what is cut directly inside.
    fn lean(&self, p: &ContourPaths, inside: &[&ContourPaths], cache: &PathCache) -> Lean {
        let plan = |q: &ContourPaths| &self.plans.all[q.plan];
        let contours = self.profile.contours();
        let leans = |q: &&ContourPaths| plan(q).taper_degrees != 0.0;
        if !leans(&p) && !inside.iter().any(leans) {
            return Lean::UPRIGHT;
        }
        let rim = |q: &ContourPaths, level: f64| {
            let inset = slug_inset(self.conditions.diameter, plan(q).passes.first()?);
            let inset = match q.role {
                Role::Opening => inset,
                Role::Outline => -inset,
            };
            let drawn = &contours[q.contour].shape;
            let at = inside_by(
                self.shapes[q.contour],
                drawn,
                inset + plan(q).lean() * level,
            );
            Some(cache.path(&at))
        };
        let area = |q: &ContourPaths, level: f64| rim(q, level).map_or(0.0, |l| l.area);
        let at = |level: f64| {
            let gone: f64 = inside.iter().map(|q| area(q, level)).sum();
            (area(p, level) - gone).max(0.0)
        };
        let mean: f64 = LEVELS
            .iter()
            .map(|(level, weight)| weight * at(*level))
            .sum();
        let long = |level: f64| {
            let rim = rim(p, level);
            let loops = rim.iter().flat_map(|l| l.loops.iter());
            loops
                .map(|l| longer_side(&l.bounds()))
                .fold(Length::ZERO, Length::max)
        };
        let widest = LEVELS
            .iter()
            .map(|l| long(l.0))
            .fold(Length::ZERO, Length::max);
        let top = at(0.0);
        Lean {
            mass: if top > 0.0 { mean / top } else { 1.0 },
            wider: (widest - long(0.0)).max(Length::ZERO),
        }
    }

    /// What is cut directly inside each contour.
    fn inside<'p>(&self, paths: &'p [ContourPaths]) -> HashMap<usize, Vec<&'p ContourPaths>> {
        let mut out: HashMap<usize, Vec<&ContourPaths>> = HashMap::new();
        for p in paths {
            if let Some(parent) = self.profile.contours()[p.contour].parent {
                out.entry(parent).or_default().push(p);
            }
        }
        out
    }

    /// The slugs of one opening; one of no size where the kerf takes all of its waste.
    fn out_of(
        &self,
        p: &ContourPaths,
        edge: &LaidPath,
        gone: &[Arc<LaidPath>],
        lean: Lean,
    ) -> Vec<Slug> {
        let loose: &[LoosePiece] = if p.rings.is_some() {
            &[]
        } else {
            edge.pieces()
        };
        let choice = self
            .job
            .choice(contour_key(&self.profile.contours()[p.contour]));
        let asked_to_erode = choice.waste == Some(Waste::Erode) && p.rings.is_none();
        let whole = Slug {
            contour: p.contour,
            area: Area::ZERO,
            mass: Mass::ZERO,
            size: Length::ZERO,
            centroid: Point::ORIGIN,
            piece: 0,
            pieces: loose.len().max(1),
            caution: None,
            not_eroded: asked_to_erode.then_some(if p.holds_others {
                NotEroded::HoldsOthers
            } else {
                NotEroded::TooLarge
            }),
        };
        if loose.is_empty() {
            return vec![whole];
        }
        let one = |(piece, l): (usize, &LoosePiece)| {
            let around = &edge.loops[l.of_loop];
            let lies_here = |g: &&Arc<LaidPath>| {
                let at = g.loops.first().and_then(|l| l.vertices().first());
                loose.len() == 1 || at.is_some_and(|v| around.winding(v.at) != 0)
            };
            let taken: f64 = gone.iter().filter(lies_here).map(|g| g.area).sum();
            let area = Area::from_mm2((l.area.mm2() - taken).max(0.0));
            let mass = self.mass(p, area) * lean.mass;
            let size = l.size + lean.wider;
            let caution = SlugCaution::of(mass, size, &self.job.shop);
            Slug {
                area,
                mass,
                size,
                centroid: l.centroid,
                piece,
                caution: caution.filter(|_| area > Area::ZERO),
                ..whole
            }
        };
        loose.iter().enumerate().map(one).collect()
    }

    /// Every part that is cut along its outline: the area drawn, less whatever is cut out of it directly.
    fn parts(&self, paths: &[ContourPaths], cache: &PathCache) -> Vec<FreePart> {
        let contours = self.profile.contours();
        let mut cut_out = vec![Area::ZERO; contours.len()];
        for p in paths {
            // What lies around it and is cut as well; what is left out of the cut stays material.
            let mut around = contours[p.contour].parent;
            while let Some(k) = around.filter(|k| !self.job.cuts(&contours[*k])) {
                around = contours[k].parent;
            }
            if let Some(k) = around {
                cut_out[k] += contours[p.contour].drawn_area;
            }
        }
        let outlines = paths.iter().filter(|p| p.role == Role::Outline);
        let inside = self.inside(paths);
        outlines
            .map(|p| {
                look();
                let drawn = &contours[p.contour];
                let area = (drawn.drawn_area + -cut_out[p.contour]).max(Area::ZERO);
                let (mass, size) = (self.mass(p, area), longer_side(&drawn.bounds));
                FreePart {
                    contour: p.contour,
                    area,
                    mass,
                    size,
                    centroid: self.part_centroid(p.contour, of_contour(&inside, p), cache),
                    caution: SlugCaution::of(mass, size, &self.job.shop),
                }
            })
            .collect()
    }

    /// Centre of what is left of an outline once the contours that are cut directly inside it have gone.
    fn part_centroid(&self, outline: usize, inside: &[&ContourPaths], cache: &PathCache) -> Point {
        let contours = self.profile.contours();
        let of = |k: usize| {
            let centre = cache.centroid(self.shapes[k], &contours[k].shape);
            (centre, contours[k].drawn_area.mm2())
        };
        let (whole, area) = of(outline);
        let (mut moment, mut left) = (whole * area, area);
        for p in inside {
            let (at, gone) = of(p.contour);
            moment = moment - at * gone;
            left -= gone;
        }
        if left > 0.0 {
            moment * (1.0 / left)
        } else {
            whole
        }
    }

    fn mass(&self, p: &ContourPaths, area: Area) -> Mass {
        let thickness = self.plans.all[p.plan].thickness;
        prism_mass(area, thickness, self.conditions.material.density())
    }
}

/// What belongs to a contour.
fn of_contour<'a, T>(all: &'a HashMap<usize, Vec<T>>, p: &ContourPaths) -> &'a [T] {
    all.get(&p.contour).map_or(&[], Vec::as_slice)
}
