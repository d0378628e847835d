//! The moment that is shown: anywhere in the job, standing or running.

/// A whole job runs by in this time, seconds.
const WHOLE_JOB: f64 = 30.0;
/// Longest time that one frame may stand for, seconds: after a pause the wire does not jump.
const LONGEST_FRAME: f64 = 0.5;

/// Where in the job the time stands, as a share of all of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Clock {
    /// 0 the beginning, 1 the end; `None` while the whole path is shown.
    share: Option<f64>,
    playing: bool,
}

impl Clock {
    /// Share of the job that has gone by; `None` while the whole path is shown.
    pub fn share(&self) -> Option<f64> {
        self.share
    }
    /// Whether it runs by itself.
    pub fn is_playing(&self) -> bool {
        self.playing
    }
    /// To a moment, or back to the whole path; a number that is none counts as the beginning.
    pub fn seek(&mut self, share: Option<f64>) {
        self.share = share.map(|s| if s.is_nan() { 0.0 } else { s.clamp(0.0, 1.0) });
        self.playing &= self.share.is_some_and(|s| s < 1.0);
    }
    /// Runs on, from the beginning once it is at the end; or stands still.
    pub fn play(&mut self, run: bool) {
        self.playing = run;
        if run && self.share.is_none_or(|s| s >= 1.0) {
            self.share = Some(0.0);
        }
    }
    /// Lets seconds go by; it stops by itself at the end.
    pub fn advance(&mut self, seconds: f64) {
        if !self.playing {
            return;
        }
        let step = seconds.clamp(0.0, LONGEST_FRAME) / WHOLE_JOB;
        let share = (self.share.unwrap_or(0.0) + step).min(1.0);
        self.share = Some(share);
        self.playing = share < 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_runs_to_the_end_and_begins_again() {
        let mut c = Clock::default();
        c.advance(1.0);
        assert_eq!(c, Clock::default());
        c.play(true);
        assert_eq!((c.share(), c.is_playing()), (Some(0.0), true));
        (0..61).for_each(|_| c.advance(0.5));
        assert_eq!((c.share(), c.is_playing()), (Some(1.0), false));
        c.play(true);
        assert_eq!((c.share(), c.is_playing()), (Some(0.0), true));
        c.seek(Some(0.5));
        assert!(c.is_playing());
        c.seek(None);
        assert_eq!(c, Clock::default());
    }
}
