//! Where those stood who strike a shot, as positions tell.

use super::at::{At, ran, stood};
use super::balls::Balls;
use super::pairs::{Each, Strikers};

impl Balls<'_> {
    /// The striker of a shot; in doubles, from shot 3 on, both of the pair.
    fn strikers(&self, whose: usize) -> Option<Strikers> {
        let side = self.by(whose)?;
        let known = self.pairs.filter(|_| !self.point.joined_late).and_then(|pairs| match whose {
            0 => pairs.server,
            1 => pairs.receiver,
            _ => None,
        });
        Some(Strikers::of(side, self.pairs.is_some(), known))
    }

    /// Whether there is only one opponent of shot `n`, or it is known which of the pair strikes next: then facts about the opponent may be
    /// estimated.
    pub(super) fn one_opponent(&self, n: usize) -> bool {
        self.pairs.is_none() || self.strikers(n + 1).is_some_and(Strikers::is_one)
    }

    /// Where those who may strike shot `whose` were measured to stand when shot `n` was struck; `None` if nobody of them was.
    pub(super) fn stands(&self, whose: usize, n: usize) -> Option<Each<At>> {
        let shot = self.shot(n)?;
        self.strikers(whose)?.each(|feet| stood(self.cameras, shot, feet)).some()
    }

    /// Where the striker of shot `whose` was measured to stand at shot `n` and at shot `then`.
    pub(super) fn moves(&self, whose: usize, n: usize, then: usize) -> Option<Each<(At, At)>> {
        let (first, last) = (self.shot(n)?, self.shot(then)?);
        let both = |feet| stood(self.cameras, first, feet).zip(stood(self.cameras, last, feet));
        self.strikers(whose)?.each(both).some()
    }

    /// Where the opponent was before shot `n`, and when it was struck.
    pub(super) fn before_and_at(&self, n: usize) -> Option<Each<(At, At)>> {
        let shot = self.shot(n)?;
        let ran = self.strikers(n + 1)?.each(|feet| ran(self.cameras, shot, feet)).some();
        ran.or_else(|| self.moves(n + 1, n.checked_sub(1)?, n))
    }
}
