//! What stands in a job file and means nothing to this version of the program. It is kept and written again, so that a file
//! from another program loses nothing by being opened and saved here.

use serde_ignored::Path;
use serde_json::{Map, Value};

/// One step from a value to one inside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The entry of an object.
    Key(String),
    /// The place in a list.
    Index(usize),
}

/// The steps to where the reader is.
pub fn steps(path: &Path<'_>) -> Vec<Step> {
    let mut out = match path {
        Path::Root => return Vec::new(),
        Path::Seq { parent, .. }
        | Path::Map { parent, .. }
        | Path::Some { parent }
        | Path::NewtypeStruct { parent }
        | Path::NewtypeVariant { parent } => steps(parent),
    };
    match path {
        Path::Seq { index, .. } => out.push(Step::Index(*index)),
        Path::Map { key, .. } => out.push(Step::Key(key.clone())),
        Path::Root
        | Path::Some { .. }
        | Path::NewtypeStruct { .. }
        | Path::NewtypeVariant { .. } => {}
    }
    out
}

/// The value at the end of some steps.
pub fn at<'a>(root: &'a Value, steps: &[Step]) -> Option<&'a Value> {
    steps.iter().try_fold(root, |value, step| match step {
        Step::Key(key) => value.get(key),
        Step::Index(k) => value.get(k),
    })
}

/// Values that were not understood, each with the steps to it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Unknown(Vec<(Vec<Step>, Value)>);

impl Unknown {
    /// Keeps one.
    pub fn keep(&mut self, steps: Vec<Step>, value: Value) {
        self.0.push((steps, value));
    }
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// Puts them back where they stood. What they stood in may be gone by now: then they are gone with it.
    pub fn put_into(&self, root: &mut Value) {
        for (steps, value) in &self.0 {
            let Some((Step::Key(last), before)) = steps.split_last() else {
                continue;
            };
            let place = before
                .iter()
                .try_fold(&mut *root, |value, step| match step {
                    Step::Key(key) => value.get_mut(key),
                    Step::Index(k) => value.get_mut(k),
                });
            if let Some(object) = place.and_then(Value::as_object_mut) {
                put(object, last, value);
            }
        }
    }
}

/// What this version writes itself comes first.
fn put(object: &mut Map<String, Value>, key: &str, value: &Value) {
    if !object.contains_key(key) {
        object.insert(key.to_owned(), value.clone());
    }
}
