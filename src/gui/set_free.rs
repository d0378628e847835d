//! Large things that nobody needs any more are given back by a thread of its own: an estimate of a hundred thousand
//! contours takes longer to give back than a frame may take.

use std::any::Any;
use std::sync::LazyLock;
use std::sync::mpsc::{Sender, channel};

/// Gives something back, not now and not here.
pub fn set_free(value: impl Any + Send) {
    static AWAY: LazyLock<Option<Sender<Box<dyn Any + Send>>>> = LazyLock::new(|| {
        let (away, incoming) = channel();
        let thread = std::thread::Builder::new().name("set free".to_owned());
        let spawned = thread.spawn(move || incoming.into_iter().for_each(drop));
        spawned.ok().map(|_| away)
    });
    if let Some(away) = &*AWAY {
        // Where the thread is gone it is given back here.
        let _ = away.send(Box::new(value));
    }
}
