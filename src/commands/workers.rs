//! Works on many items with several threads, and takes the results in the order of the items.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// Stack of a worker, in bytes; as large as that of a program's first thread.
const STACK: usize = 8 * 1024 * 1024;

/// Works on all items with several threads and takes the results in the order of the items.
pub fn in_order<I: Sync, T: Send>(
    items: &[I],
    workers: usize,
    work: impl Fn(&I) -> T + Sync,
    mut take: impl FnMut(usize, T),
) {
    let workers = workers.clamp(1, items.len().max(1));
    if workers == 1 {
        for (at, item) in items.iter().enumerate() {
            take(at, work(item));
        }
        return;
    }
    let next = AtomicUsize::new(0);
    let (sender, receiver) = mpsc::channel();
    std::thread::scope(|scope| {
        let mut started = 0;
        for _ in 0..workers {
            let sender = sender.clone();
            let (next, work) = (&next, &work);
            let thread = std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, move || {
                while let Some((at, item)) =
                    Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|at| Some((at, items.get(at)?)))
                {
                    if sender.send((at, work(item))).is_err() {
                        break;
                    }
                }
            });
            started += usize::from(thread.is_ok());
        }
        drop(sender);
        let mut waiting = BTreeMap::new();
        let mut due = 0;
        for (at, done) in receiver {
            waiting.insert(at, done);
            while let Some(done) = waiting.remove(&due) {
                take(due, done);
                due += 1;
            }
        }
        if started == 0 {
            for (at, item) in items.iter().enumerate() {
                take(at, work(item));
            }
        }
    });
}
