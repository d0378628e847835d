//! The elements of an MLINE: parallel lines through its vertices.
//!
//! Each vertex says how far along its miter each element crosses (DXF reference, MLINE, codes 74 and
//! 41); justification and scale are in these distances already.

use super::entity::{Edges, Shape, Vec3};
use super::fields::{Fields, Rejected};

/// Bit of code 71.
const CLOSED: i64 = 2;

/// All elements of an MLINE. One that is broken by gaps is not taken: it would be drawn whole.
pub fn elements(fields: &mut Fields<'_, '_>) -> Result<Box<Edges>, Rejected> {
    let closed = fields.whole(71)? & CLOSED != 0;
    let pairs = fields.pairs;
    let mut vertices: Vec<Vec<Vec3>> = Vec::new();
    let (mut at, mut miter) = ([0.0; 3], [0.0; 3]);
    for (i, pair) in pairs.iter().enumerate() {
        match pair.code {
            11 => {
                at = fields.triple(i)?;
                vertices.push(Vec::new());
            }
            13 => miter = fields.triple(i)?,
            74 => {
                let values = pair.value.whole();
                let offset = pairs.get(i + 1).filter(|p| p.code == 41);
                let (Some(1 | 2), Some(offset)) = (values, offset) else {
                    return Err(fields.incomplete());
                };
                let by = fields.number(offset)?;
                if let Some(crossings) = vertices.last_mut() {
                    crossings.push(std::array::from_fn(|k| at[k] + by * miter[k]));
                }
            }
            _ => {}
        }
    }
    let count = vertices.first().map_or(0, Vec::len);
    if count == 0 || vertices.len() < 2 || vertices.iter().any(|v| v.len() != count) {
        return Err(fields.incomplete());
    }
    let shapes = (0..count)
        .map(|element| Shape::Chain {
            vertices: vertices.iter().map(|v| v[element]).collect(),
            closed,
        })
        .collect();
    Ok(Box::new(Edges {
        shapes,
        normal: [0.0, 0.0, 1.0],
    }))
}
