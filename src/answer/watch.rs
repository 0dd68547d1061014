//! Long answers watched and ended from outside.

use std::sync::atomic::AtomicBool;

use crate::study::doubt::Control;

/// What a long answer is busy with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Draws of the plan's figures; counted are draws.
    Draws,
    /// What to weigh next; counted are dives.
    Weighing,
}

/// How a long answer is watched and ended.
pub struct Watch<'a> {
    /// Set to end it; what is there by then is the answer.
    pub cancel: &'a AtomicBool,
    /// Called now and then with what it is busy with and how far it is.
    pub progress: &'a mut dyn FnMut(Stage, u64),
}

impl Watch<'_> {
    /// The same for one stage.
    pub(super) fn during(&mut self, stage: Stage) -> Control<'_, impl FnMut(u64)> {
        let progress = &mut self.progress;
        Control { cancel: self.cancel, progress: move |count| progress(stage, count) }
    }
}
