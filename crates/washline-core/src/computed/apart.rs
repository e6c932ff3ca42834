//! Work that is shared out over the cores of the machine, in the order it was given.

use std::num::NonZero;
use std::thread;

/// Things below which a core by itself is as fast: starting a thread takes about as long as a drink.
const FEW: usize = 32;

/// What a function makes of each thing, in their order. The things are cut into as many runs as there are cores; what it
/// makes of one may not depend on another.
pub(super) fn each<T: Sync, R: Send>(things: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    if things.len() < FEW || cores < 2 {
        return things.iter().map(make).collect();
    }
    let make = &make;
    thread::scope(|scope| {
        let runs: Vec<_> = things
            .chunks(things.len().div_ceil(cores))
            .map(|run| scope.spawn(move || run.iter().map(make).collect::<Vec<R>>()))
            .collect();
        runs.into_iter()
            .flat_map(|run| {
                run.join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_stays() {
        for many in [0, 1, 31, 32, 33, 1000] {
            let things: Vec<u32> = (0..many).collect();
            assert_eq!(each(&things, |n| n + 1), (1..=many).collect::<Vec<u32>>());
        }
    }
}
