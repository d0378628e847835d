//! Words along an axis: one place decides which of them fit.

use crate::gui::theme::{SMALL, Tokens};
use egui::emath::{Rangef, pos2};
use egui::{Color32, FontId, Painter};

/// Least room between two words side by side, points.
const APART: f32 = 8.0;
/// Least room between two words one above the other, points.
const STACKED: f32 = 2.0;

/// Words set one after the other along an axis. One that would touch the one before it, or reach beyond the end,
/// is left out; its line on the axis stays.
pub struct AxisLabels<'a> {
    painter: &'a Painter,
    font: FontId,
    colour: Color32,
    room: Room,
    lane: Option<Rangef>,
}

impl<'a> AxisLabels<'a> {
    /// From left to right, until `end`.
    pub fn along(painter: &'a Painter, end: f32, t: &Tokens) -> Self {
        Self::new(painter, Room::until(end, APART), t)
    }
    /// From left to right; the first and the last word move inwards where they would reach beyond `lane`.
    pub fn within(painter: &'a Painter, lane: Rangef, t: &Tokens) -> Self {
        let mut labels = Self::new(painter, Room::until(f32::INFINITY, APART), t);
        labels.lane = Some(lane);
        labels
    }
    /// From the bottom to the top.
    pub fn upward(painter: &'a Painter, t: &Tokens) -> Self {
        Self::new(painter, Room::until(f32::INFINITY, STACKED), t)
    }
    fn new(painter: &'a Painter, room: Room, t: &Tokens) -> Self {
        Self {
            painter,
            font: FontId::proportional(SMALL),
            colour: t.text_faint,
            room,
            lane: None,
        }
    }
    /// Sets a word centred on `x`, with its middle at the height `y`.
    pub fn at_x(&mut self, x: f32, y: f32, text: impl Into<String>) {
        let galley = (self.painter).layout_no_wrap(text.into(), self.font.clone(), self.colour);
        let half = galley.size() / 2.0;
        let x = self.moved(x, half.x);
        if self.room.takes(x, half.x) {
            let at = pos2(x, y) - half;
            self.painter.galley(at, galley, self.colour);
        }
    }
    /// Sets words at even marks, all with their middle at the height `y`: every one, every second or every third, so that
    /// what is left out leaves no uneven row.
    pub fn evenly(&mut self, y: f32, words: impl IntoIterator<Item = (f32, String)>) {
        let painter = self.painter;
        let galley = |text| painter.layout_no_wrap(text, self.font.clone(), self.colour);
        let words = words.into_iter();
        let words: Vec<_> = words.map(|(x, text)| (x, galley(text))).collect();
        let places: Vec<_> = words
            .iter()
            .map(|(x, galley)| (self.moved(*x, galley.size().x / 2.0), galley.size().x / 2.0))
            .collect();
        let every = self.room.every(&places);
        for ((_, galley), (x, half)) in words.into_iter().zip(places).step_by(every) {
            if self.room.takes(x, half) {
                let at = pos2(x, y) - galley.size() / 2.0;
                self.painter.galley(at, galley, self.colour);
            }
        }
    }
    /// Inwards, where a word would reach beyond the lane.
    fn moved(&self, x: f32, half: f32) -> f32 {
        self.lane.map_or(x, |lane| {
            // A lane narrower than the word begins with it.
            x.min(lane.max - half).max(lane.min + half)
        })
    }
    /// Sets a word that ends at `right`, centred on `y`.
    pub fn at_y(&mut self, y: f32, right: f32, text: impl Into<String>) {
        let galley = (self.painter).layout_no_wrap(text.into(), self.font.clone(), self.colour);
        let size = galley.size();
        // The screen counts downwards.
        if self.room.takes(-y, size.y / 2.0) {
            let at = pos2(right - size.x, y - size.y / 2.0);
            self.painter.galley(at, galley, self.colour);
        }
    }
}

/// What is still free of an axis.
#[derive(Debug, Clone)]
struct Room {
    from: f32,
    until: f32,
    apart: f32,
}

impl Room {
    fn until(until: f32, apart: f32) -> Self {
        Self {
            from: f32::NEG_INFINITY,
            until,
            apart,
        }
    }
    /// Whether something that reaches `half` to both sides fits; then its place is taken.
    fn takes(&mut self, centre: f32, half: f32) -> bool {
        let fits = centre - half > self.from && centre + half <= self.until;
        if fits {
            self.from = centre + half + self.apart;
        }
        fits
    }
    /// Of middles with what reaches to both sides of them: the smallest step of which all keep apart, but for what would
    /// reach beyond the end.
    fn every(&self, places: &[(f32, f32)]) -> usize {
        let keep_apart = |step: &usize| {
            let mut room = self.clone();
            let set = places.iter().step_by(*step);
            let mut inside = set.filter(|(x, half)| x + half <= self.until);
            inside.all(|(x, half)| room.takes(*x, *half))
        };
        (1..places.len())
            .find(keep_apart)
            .unwrap_or(places.len().max(1))
    }
}

#[cfg(test)]
mod tests {
    use super::Room;

    #[test]
    fn what_is_left_out_leaves_an_even_row() {
        let room = Room::until(210.0, 8.0);
        let row =
            |apart: f32| -> Vec<(f32, f32)> { (0..5).map(|k| (apart * k as f32, 10.0)).collect() };
        for (apart, every) in [(30.0, 1), (27.0, 2), (15.0, 2), (13.0, 3), (1.0, 5)] {
            assert_eq!(room.every(&row(apart)), every, "{apart}");
        }
        // The last alone reaches beyond the end.
        assert_eq!(room.every(&row(51.0)), 1);
        assert_eq!(room.every(&[]), 1);
    }

    #[test]
    fn words_keep_apart_and_within_the_axis() {
        let mut room = Room::until(100.0, 8.0);
        let centres = [0.0, 10.0, 27.0, 30.0, 60.0, 95.0];
        let set: Vec<f32> = centres
            .into_iter()
            .filter(|x| room.takes(*x, 10.0))
            .collect();
        // 10 and 27 touch the first, 95 would end at 105.
        assert_eq!(set, [0.0, 30.0, 60.0]);
        for pair in set.windows(2) {
            assert!(pair[1] - pair[0] >= 20.0 + 8.0);
        }
    }
}
