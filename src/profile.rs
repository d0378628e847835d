//! What is to be cut: closed contours with their place in the nesting, and what would not close.
//!
//! A profile is what the drawing says, freed of its file format. It knows nothing of wires, passes or
//! of what the user decides; roles follow only once [`Keep`] is known.

use crate::geometry::nesting::nest_unless;
use crate::geometry::{Bounds, Contour, Datum, Segment};
use crate::units::{Area, Length};
use serde::{Deserialize, Serialize};

mod laid_over;
mod parts;
mod revision;
mod same;
pub use laid_over::best_motion;
pub use parts::Part;
pub use revision::{Revised, RevisedKind, Revision};
pub use same::{SameParts, same_parts};

/// Larger than this nothing is cut or quoted, mm: a kilometre.
pub const TOO_LARGE: f64 = 1e6;

/// What stays of the outermost contours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Keep {
    /// The inside: a part or a punch is cut out of a plate.
    #[default]
    Inside,
    /// The outside: openings are cut into a plate, such as a die.
    Outside,
}

/// What a closed contour bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// Material inside is kept; the wire runs outside.
    Outline,
    /// A hole in the material; the wire runs inside and a slug comes loose.
    Opening,
}

impl Role {
    /// The role by nesting depth (0 outermost): parity, turned when the outside is kept.
    pub fn at_depth(depth: usize, keep: Keep) -> Self {
        if depth.is_multiple_of(2) == (keep == Keep::Inside) {
            Self::Outline
        } else {
            Self::Opening
        }
    }
    /// The word shown to a person and written in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Outline => say!("outline"),
            Self::Opening => say!("opening"),
        }
    }
}

/// One closed contour of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct ProfileContour {
    /// Lines and arcs, counter-clockwise, mm about [`Profile::origin`]; short chords of a drawn arc
    /// have become that arc again.
    pub shape: Contour,
    /// Upright box around it.
    pub bounds: Bounds,
    /// True length of the drawn curves before any arc fitting; bridged gaps do not count.
    pub drawn_length: Length,
    /// Area inside the drawn curves.
    pub drawn_area: Area,
    /// Number of contours around this one.
    pub depth: usize,
    /// The contour directly around this one.
    pub parent: Option<usize>,
    /// Layer of its first curve, as written in the drawing.
    pub layer: String,
    /// Curves of the drawing that form it, in order: indices into the drawing's list of curves.
    pub curves: Vec<usize>,
}

impl ProfileContour {
    /// As it was drawn, with another shape: the true length and area differ from before by as much as the shapes do.
    pub fn drawn_as(&self, shape: Contour) -> DrawnContour {
        let more = shape.length() - self.shape.length();
        let larger = shape.area() - self.shape.area();
        DrawnContour {
            length: self.drawn_length + Length::from_mm(more),
            area: Area::from_mm2(self.drawn_area.mm2() + larger),
            shape,
            layer: self.layer.clone(),
            curves: self.curves.clone(),
        }
    }
}

/// A chain of curves that closes no contour.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenChain {
    /// Its lines and arcs in order, mm about [`Profile::origin`].
    pub segments: Vec<Segment>,
    /// True length of the drawn curves.
    pub drawn_length: Length,
    /// Layer of its first curve.
    pub layer: String,
    /// Curves of the drawing that form it, in order.
    pub curves: Vec<usize>,
}

/// A closed contour as it was drawn, before it is known what lies around it.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnContour {
    /// Its lines and arcs in either direction, mm about the origin of the profile to be.
    pub shape: Contour,
    /// True length of the drawn curves.
    pub length: Length,
    /// Area inside the drawn curves.
    pub area: Area,
    /// Layer of its first curve.
    pub layer: String,
    /// Curves of the drawing that form it, in order.
    pub curves: Vec<usize>,
}

/// A contour that is drawn exactly as its lines and arcs say, of no layer and no curves.
impl From<Contour> for DrawnContour {
    fn from(shape: Contour) -> Self {
        Self {
            length: Length::from_mm(shape.length()),
            area: Area::from_mm2(shape.area()),
            shape,
            layer: String::new(),
            curves: Vec::new(),
        }
    }
}

/// The contours of one drawing.
///
/// However it was made, every contour runs counter-clockwise and knows which one is around it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    origin: Datum,
    contours: Vec<ProfileContour>,
    open: Vec<OpenChain>,
    /// Each outermost contour is a part of its own, however near another lies: somebody said so.
    each_apart: bool,
}

impl Profile {
    /// A profile about `origin`, its zero on the drawing, with contours in the order that is given.
    pub fn of(origin: Datum, drawn: Vec<DrawnContour>, open: Vec<OpenChain>) -> Self {
        Self::of_unless(origin, drawn, open, &|| false).unwrap_or_default()
    }
    /// Whether a contour lies in another, however deep.
    pub fn lies_in(&self, inner: usize, outer: usize) -> bool {
        let mut at = inner;
        while self.contours[at].depth > self.contours[outer].depth {
            match self.contours[at].parent {
                Some(k) => at = k,
                None => return false,
            }
        }
        at == outer && inner != outer
    }
    /// As [`Profile::of`]; `None` as soon as `stop` says so, because nesting takes long in a large drawing.
    pub fn of_unless(
        origin: Datum,
        drawn: Vec<DrawnContour>,
        open: Vec<OpenChain>,
        stop: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let mut shapes = Vec::with_capacity(drawn.len());
        let mut rest = Vec::with_capacity(drawn.len());
        for d in drawn {
            shapes.push(d.shape.counter_clockwise());
            rest.push((d.length, d.area, d.layer, d.curves));
        }
        let nesting = nest_unless(&shapes, stop)?;
        let contours = rest.into_iter().zip(shapes).zip(nesting);
        let contours = contours.map(
            |(((length, area, layer, curves), shape), n)| ProfileContour {
                bounds: shape.bounds(),
                shape,
                drawn_length: length,
                drawn_area: area,
                depth: n.depth,
                parent: n.parent,
                layer,
                curves,
            },
        );
        Some(Self {
            origin,
            contours: contours.collect(),
            open,
            each_apart: false,
        })
    }
    /// Contours about the drawing's own origin, each drawn exactly as its lines and arcs say, as one curve of its own.
    pub fn of_shapes(shapes: impl IntoIterator<Item = Contour>) -> Self {
        let drawn = shapes
            .into_iter()
            .enumerate()
            .map(|(k, shape)| DrawnContour {
                curves: vec![k],
                ..shape.into()
            });
        Self::of(Datum::default(), drawn.collect(), Vec::new())
    }
    /// The same with other open chains.
    #[must_use]
    pub fn with_open(self, open: Vec<OpenChain>) -> Self {
        Self { open, ..self }
    }
    /// The same, each outermost contour a part of its own, or those near each other together.
    #[must_use]
    pub fn with_each_apart(self, each_apart: bool) -> Self {
        Self { each_apart, ..self }
    }
    /// Whether each outermost contour is a part of its own.
    pub fn is_each_apart(&self) -> bool {
        self.each_apart
    }
    /// Several contours and none within another: parts that are cut out, or openings in a plate that nobody has drawn.
    pub fn is_side_by_side(&self) -> bool {
        self.contours.len() > 1 && self.contours.iter().all(|c| c.depth == 0)
    }
    /// Some of its contours and open chains, by index. A contour whose surrounding one is left out lies in the next
    /// one around it that stays.
    #[must_use]
    pub fn only(&self, contours: &[usize], open: &[usize]) -> Self {
        let mut place = vec![None; self.contours.len()];
        for (new, &k) in contours.iter().enumerate() {
            place[k] = Some(new);
        }
        // What is around a contour, from the inside out; parents have fewer contours around them, so this ends.
        let around = |k: usize| {
            let ups =
                std::iter::successors(self.contours[k].parent, |&up| self.contours[up].parent);
            ups.filter_map(|up| place[up])
        };
        let kept = contours.iter().map(|&k| {
            let mut c = self.contours[k].clone();
            c.parent = around(k).next();
            c.depth = around(k).count();
            c
        });
        Self {
            origin: self.origin,
            contours: kept.collect(),
            open: open.iter().map(|&k| self.open[k].clone()).collect(),
            each_apart: self.each_apart,
        }
    }
    /// The same contours and open chains, drawn otherwise one by one.
    #[must_use]
    pub fn redrawn(
        &self,
        mut contour: impl FnMut(usize, &ProfileContour) -> DrawnContour,
        open: impl FnMut(&OpenChain) -> OpenChain,
    ) -> Self {
        let contours = self.contours.iter().enumerate();
        let drawn = contours.map(|(k, c)| contour(k, c)).collect();
        Self::of(self.origin, drawn, self.open.iter().map(open).collect())
            .with_each_apart(self.each_apart)
    }
    /// Where its own origin lies in drawing coordinates, mm.
    ///
    /// Contours are kept about a near origin, so that a part drawn far away keeps its digits.
    pub fn origin(&self) -> Datum {
        self.origin
    }
    /// Closed contours in the order in which the drawing names their first curve.
    pub fn contours(&self) -> &[ProfileContour] {
        &self.contours
    }
    /// What would not close.
    pub fn open(&self) -> &[OpenChain] {
        &self.open
    }
    /// Box around everything, mm about [`Profile::origin`].
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds::EMPTY;
        for c in &self.contours {
            b.include_bounds(&c.bounds);
        }
        for chain in &self.open {
            chain
                .segments
                .iter()
                .for_each(|s| b.include_bounds(&s.bounds()));
        }
        b
    }
    /// Role of a contour.
    pub fn role(&self, contour: usize, keep: Keep) -> Role {
        Role::at_depth(self.contours[contour].depth, keep)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(a: f64) -> Contour {
        Contour::polygon(&[(-a, -a), (a, -a), (a, a), (-a, a)])
    }

    #[test]
    fn every_contour_turns_left_and_knows_what_is_around_it() {
        let p = Profile::of_shapes([
            square(2.0),
            square(4.0).reversed(),
            square(1.0),
            square(3.0),
        ]);
        let all = p.contours();
        assert!(all.iter().all(|c| c.shape.signed_area() > 0.0));
        assert_eq!(
            all.iter().map(|c| c.depth).collect::<Vec<_>>(),
            [2, 0, 3, 1]
        );
        let parents: Vec<_> = all.iter().map(|c| c.parent).collect();
        assert_eq!(parents, [Some(3), None, Some(0), Some(1)]);
        assert_eq!(all[1].drawn_area, Area::from_mm2(64.0));
    }

    #[test]
    fn what_is_left_out_is_around_nothing() {
        let p = Profile::of_shapes([square(4.0), square(3.0), square(2.0), square(1.0)]);
        let some = p.only(&[3, 0, 2], &[]);
        let place = |k: usize| (some.contours()[k].parent, some.contours()[k].depth);
        assert_eq!(
            [place(0), place(1), place(2)],
            [(Some(2), 2), (None, 0), (Some(1), 1)]
        );
        // The same as drawn without it.
        let drawn = Profile::of_shapes([square(1.0), square(4.0), square(2.0)]);
        for (a, b) in some.contours().iter().zip(drawn.contours()) {
            assert_eq!((a.parent, a.depth), (b.parent, b.depth));
        }
    }
}
