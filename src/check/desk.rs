//! The report as it lies before the marker: what several rules ask of it, found out once, when the first of them asks.

use std::cell::OnceCell;
use std::collections::HashSet;
use std::ops::Deref;

use super::bare;
use super::displayed::{self, Displayed};
use super::judge::{self, Judged};
use super::lines::{self, Drawn};
use super::paper::{Context, Paper};
use super::prose::{self, Prose};
use super::trial::{self, Trial};

/// A paper, and what has been found out about it so far. Whatever can be asked of the paper can be asked here.
pub(super) struct Desk<'r> {
    paper: Paper<'r>,
    prose: OnceCell<Prose>,
    trials: OnceCell<Vec<Trial<'r>>>,
    bare: OnceCell<HashSet<usize>>,
    displayed: OnceCell<Vec<Displayed<'r>>>,
    judged: OnceCell<Vec<Judged<'r>>>,
    lines: OnceCell<Vec<Drawn<'r>>>,
}

impl<'r> Deref for Desk<'r> {
    type Target = Paper<'r>;

    fn deref(&self) -> &Paper<'r> {
        &self.paper
    }
}

impl<'r> Desk<'r> {
    /// Lays the report out; linear in its length.
    pub(super) fn new(context: Context<'r>) -> Self {
        Self {
            paper: Paper::new(context),
            prose: OnceCell::new(),
            trials: OnceCell::new(),
            bare: OnceCell::new(),
            displayed: OnceCell::new(),
            judged: OnceCell::new(),
            lines: OnceCell::new(),
        }
    }

    /// What stands around the items.
    pub(super) fn prose(&self) -> &Prose {
        self.prose.get_or_init(|| prose::read(self.context.document))
    }

    /// Every formula that could be tried and may bend.
    pub(super) fn trials(&self) -> &[Trial<'r>] {
        self.trials.get_or_init(|| trial::results(self))
    }

    /// Do the units of that item rest on a number that lacks its own?
    pub(super) fn rests_on_bare(&self, item: usize) -> bool {
        self.bare.get_or_init(|| bare::items(self)).contains(&item)
    }

    /// All readings from a display whose step is a decimal in their unit.
    pub(super) fn displayed(&self) -> &[Displayed<'r>] {
        self.displayed.get_or_init(|| displayed::readings(self))
    }

    /// All recorded numbers whose figures can be judged.
    pub(super) fn judged(&self) -> &[Judged<'r>] {
        self.judged.get_or_init(|| judge::readings(self).collect())
    }

    /// Every straight line that the report asks for, once.
    pub(super) fn lines(&self) -> &[Drawn<'r>] {
        self.lines.get_or_init(|| lines::lines(self))
    }
}
