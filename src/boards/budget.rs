//! A limit of work, counted in steps, so that the same task always gets the same answer; a limit of
//! time can only end the search earlier.

use super::task::Cut;

/// Steps between two looks at the clock.
const LOOK: u64 = 2048;

/// Steps that may still be taken.
pub struct Budget<'s> {
    left: u64,
    taken: u64,
    stop: &'s dyn Fn() -> bool,
    ended: Option<Cut>,
}

impl<'s> Budget<'s> {
    /// A budget of `steps`; `stop` says when time is up.
    pub fn new(steps: u64, stop: &'s dyn Fn() -> bool) -> Budget<'s> {
        Budget { left: steps, taken: 0, stop, ended: None }
    }

    /// Takes one step; `false` when there are none left.
    pub fn step(&mut self) -> bool {
        if self.ended.is_some() {
            return false;
        }
        if self.left == 0 {
            self.ended = Some(Cut::Work);
            return false;
        }
        self.left -= 1;
        self.taken += 1;
        if self.taken.is_multiple_of(LOOK) && (self.stop)() {
            self.ended = Some(Cut::Time);
            return false;
        }
        true
    }

    /// Takes so many steps at once, for work of another kind, and looks at the clock; `false` when there are
    /// none left.
    pub fn spend(&mut self, steps: u64) -> bool {
        if self.ended.is_some() {
            return false;
        }
        let taken = steps.min(self.left);
        self.left -= taken;
        self.taken += taken;
        if taken < steps {
            self.ended = Some(Cut::Work);
        } else if (self.stop)() {
            self.ended = Some(Cut::Time);
        }
        self.ended.is_none()
    }

    /// Why it is spent, if it is.
    pub fn ended(&self) -> Option<Cut> {
        self.ended
    }

    /// Steps taken.
    pub fn taken(&self) -> u64 {
        self.taken
    }

    /// Steps left.
    pub fn left(&self) -> u64 {
        if self.ended.is_some() { 0 } else { self.left }
    }

    /// A smaller budget for a part of the work, of at most `steps`.
    pub fn share(&self, steps: u64) -> Budget<'s> {
        Budget { left: steps.min(self.left()), taken: 0, stop: self.stop, ended: None }
    }

    /// Takes what a share has used off this budget; a share that ran into the time ends this one too.
    pub fn charge(&mut self, share: &Budget<'_>) {
        self.left = self.left.saturating_sub(share.taken);
        self.taken += share.taken;
        if share.ended == Some(Cut::Time) {
            self.ended = Some(Cut::Time);
        } else if self.left == 0 {
            self.ended.get_or_insert(Cut::Work);
        }
    }
}
