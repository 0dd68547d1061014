//! The same work on several dives: on all cores where the library has its threads, one after the other where it has not.

/// What `work` makes of each item, in the order of the items.
#[cfg(feature = "doubt")]
pub(crate) fn side_by_side<T: Send, R: Send>(items: Vec<T>, work: impl Fn(T) -> R + Send + Sync) -> Vec<R> {
    use rayon::prelude::*;
    items.into_par_iter().map(work).collect()
}

/// What `work` makes of each item, in the order of the items.
#[cfg(not(feature = "doubt"))]
pub(crate) fn side_by_side<T, R>(items: Vec<T>, work: impl Fn(T) -> R) -> Vec<R> {
    items.into_iter().map(work).collect()
}
