//! The same work on several dives: on all cores where the library has its threads, one after the other where it has not.

/// What `work` makes of each item, in the order of the items.
#[cfg(all(feature = "doubt", not(target_family = "wasm")))]
pub(crate) fn side_by_side<T: Send, R: Send>(items: Vec<T>, work: impl Fn(T) -> R + Send + Sync) -> Vec<R> {
    use rayon::prelude::*;
    items.into_par_iter().map(work).collect()
}

/// What `work` makes of each item, in the order of the items: on a page there are no threads either.
#[cfg(any(not(feature = "doubt"), target_family = "wasm"))]
pub(crate) fn side_by_side<T, R>(items: Vec<T>, work: impl Fn(T) -> R) -> Vec<R> {
    items.into_iter().map(work).collect()
}

/// What `work` makes of each number below `count`, each on one core from its beginning to its end; `None` once `is_ended`
/// says so. For work that is itself made of many small pieces which would ask for all cores: a core that waits for
/// another's pieces would begin the next item meanwhile, and so come to hold many at once. `threads` of zero is one for
/// each core.
///
/// # Errors
/// No threads to be had.
#[cfg(feature = "plan")]
pub(crate) fn one_core_each<R: Send>(
    count: usize,
    threads: usize,
    is_ended: impl Fn() -> bool + Sync,
    work: impl Fn(usize) -> R + Sync,
) -> Result<Vec<Option<R>>, crate::study::StudyError> {
    use std::sync::atomic::{AtomicUsize, Ordering};

    let cores = if threads > 0 { threads } else { std::thread::available_parallelism().map_or(1, usize::from) };
    // a pool of one thread: all that asks for threads while its work is done stays on it
    let pools = (0..cores.min(count).max(1)).map(|_| super::doubt::run::threads(1)).collect::<Result<Vec<_>, _>>()?;
    let next = AtomicUsize::new(0);
    let take = || Some(next.fetch_add(1, Ordering::Relaxed)).filter(|i| *i < count && !is_ended());
    let share = || -> Vec<(usize, R)> { std::iter::from_fn(take).map(|i| (i, work(i))).collect() };
    let shares: Vec<Vec<(usize, R)>> = std::thread::scope(|scope| {
        let started: Vec<_> = pools.iter().map(|pool| scope.spawn(|| pool.install(share))).collect();
        // a panic goes on here as it would have without threads
        let joined = started.into_iter().map(|one| one.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        joined.collect()
    });
    let mut made: Vec<Option<R>> = (0..count).map(|_| None).collect();
    shares.into_iter().flatten().for_each(|(i, one)| made[i] = Some(one));
    Ok(made)
}

#[cfg(test)]
#[cfg(feature = "plan")]
mod tests {
    use super::*;

    #[test]
    fn order_is_kept_and_all_is_made_on_any_number_of_threads() {
        let expected: Vec<Option<usize>> = (0..100).map(|i| Some(i * i)).collect();
        for threads in [0, 1, 2, 7] {
            assert_eq!(one_core_each(100, threads, || false, |i| i * i).unwrap(), expected);
        }
        assert_eq!(one_core_each(0, 0, || false, |i| i).unwrap(), []);
        assert_eq!(one_core_each(3, 2, || true, |i| i).unwrap(), [None; 3]);
    }

    #[test]
    fn what_asks_for_threads_inside_stays_on_its_own() {
        let here = || std::thread::current().id();
        let inside = |_| side_by_side((0..8).collect(), |_: i32| here());
        for (own, threads) in one_core_each(20, 3, || false, |i| (here(), inside(i))).unwrap().into_iter().flatten() {
            assert!(threads.iter().all(|other| *other == own));
        }
    }
}
