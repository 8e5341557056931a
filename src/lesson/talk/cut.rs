//! How a talk is cut, spoken again from a moment on, and drawn on afterwards.

use super::model::{Action, Deed, Piece, Take, Talk};
use super::replay::Timeline;
use crate::drawing::{Colour, Shape};
use crate::time::MatchTime;

/// The end of the clock.
const END: MatchTime = MatchTime::from_nanos(u64::MAX);

impl Talk {
    /// The talk without what lies between two moments. `None` when nothing of it lies there, or nothing would be left.
    pub fn cut(&self, from: MatchTime, to: MatchTime) -> Option<Self> {
        let pieces: Vec<Piece> = self.between(MatchTime::ZERO, from).chain(self.between(to, END)).collect();
        let cut = Self { pieces: joined(pieces), ..self.clone() }.pruned();
        (!cut.pieces.is_empty() && cut.length() < self.length()).then_some(cut)
    }

    /// The talk up to a moment, from which it is spoken again. `None` when nothing is left.
    pub fn until(&self, t: MatchTime) -> Option<Self> {
        let pieces: Vec<Piece> = self.between(MatchTime::ZERO, t).collect();
        (!pieces.is_empty()).then(|| Self { pieces, ..self.clone() }.pruned())
    }

    /// The talk with another take after it.
    #[must_use]
    pub fn then(&self, take: Take) -> Self {
        let mut talk = self.clone();
        let to = take.voice.duration;
        talk.pieces.push(Piece { take: talk.takes.len(), from: MatchTime::ZERO, to });
        talk.takes.push(take);
        talk
    }

    /// The talk with something drawn at a moment. It stays until the coach wiped, or another clip came. `None` after the end.
    pub fn drawn(&self, t: MatchTime, shape: Shape, colour: Colour) -> Option<Self> {
        let place = Timeline::of(self).place(t)?;
        let mut talk = self.clone();
        let actions = &mut talk.takes.get_mut(place.take)?.actions;
        let n = actions.partition_point(|a| a.at <= place.at);
        let does = Deed::Draw { shape, colour, took: MatchTime::ZERO };
        actions.insert(n, Action { at: place.at, does });
        Some(talk)
    }

    /// The talk without the drawings that are seen at a moment. `None` when there are none.
    pub fn wiped(&self, t: MatchTime) -> Option<Self> {
        let place = Timeline::of(self).place(t)?;
        let mut talk = self.clone();
        let actions = &mut talk.takes.get_mut(place.take)?.actions;
        let end = actions.partition_point(|a| a.at <= place.at);
        let ends = |a: &Action| matches!(a.does, Deed::Clip { .. } | Deed::Wipe);
        let start = actions[..end].iter().rposition(ends).map_or(0, |n| n + 1);
        let (before, mut n) = (actions.len(), 0);
        actions.retain(|a| {
            n += 1;
            !(start < n && n <= end && matches!(a.does, Deed::Draw { .. }))
        });
        (actions.len() < before).then_some(talk)
    }

    /// The pieces that lie between two moments of the talk.
    fn between(&self, from: MatchTime, to: MatchTime) -> impl Iterator<Item = Piece> + '_ {
        let mut start = MatchTime::ZERO;
        self.pieces.iter().filter_map(move |piece| {
            let end = start.later(piece.to - piece.from);
            let (a, b) = (from.max(start).min(end), to.min(end).max(start));
            let kept = (a < b).then(|| Piece {
                from: piece.from.later(a - start),
                to: piece.from.later(b - start),
                ..*piece
            });
            start = end;
            kept
        })
    }

    /// Without the takes of which nothing is heard any more.
    fn pruned(mut self) -> Self {
        let heard: Vec<bool> =
            (0..self.takes.len()).map(|n| self.pieces.iter().any(|piece| piece.take == n)).collect();
        for piece in &mut self.pieces {
            piece.take -= heard[..piece.take.min(heard.len())].iter().filter(|h| !**h).count();
        }
        let mut n = 0;
        self.takes.retain(|_| {
            n += 1;
            heard[n - 1]
        });
        self
    }
}

/// Pieces that follow each other without a cut as one.
fn joined(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    for piece in pieces {
        match out.last_mut() {
            Some(last) if last.take == piece.take && last.to == piece.from => last.to = piece.to,
            _ => out.push(piece),
        }
    }
    out
}
