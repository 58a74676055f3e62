//! The best filling of one stick when every length has a worth: a bounded knapsack in whole numbers.

/// One length on offer.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    /// Index of the length.
    pub at: usize,
    /// Room that one takes.
    pub weight: u64,
    /// Worth of one, above 0.
    pub worth: u64,
    /// How many there are, at least 1.
    pub most: usize,
}

/// Bounds in floating point are raised by this factor: ten thousand times the rounding of the few operations in them.
pub(super) const RAISED: f64 = 1.0 + 1e-12;

/// What was found.
#[derive(Clone, Debug, Default)]
pub(super) struct Filled {
    /// No filling is worth more than this, whatever was left untried.
    pub bound: u64,
    /// The best filling that is worth more than the floor, with its worth.
    pub best: Option<(u64, Vec<(usize, usize)>)>,
}

/// Sorts offers by worth per room, highest first, as [`best`] needs them.
pub(super) fn sort(offers: &mut [Offer]) {
    offers.sort_by(|a, b| {
        let (left, right) = (u128::from(b.worth) * u128::from(a.weight), u128::from(a.worth) * u128::from(b.weight));
        left.cmp(&right).then(b.weight.cmp(&a.weight)).then(a.at.cmp(&b.at))
    });
}

/// The filling of `room` that is worth most, if it is worth more than `floor`.
///
/// Depth first, offers in order of worth per room, as many as fit before fewer. A branch ends where even the rest of
/// the room at the next offer's worth per room can't beat the best. That product is taken in floating point and
/// raised by far more than its rounding. After `most` steps the bound is that
/// of the whole room at the best worth per room. Adds what it took to `steps`.
pub(super) fn best(offers: &[Offer], room: u64, floor: u64, most: u64, steps: &mut u64) -> Filled {
    let count = offers.len();
    let mut least_from = vec![u64::MAX; count + 1];
    for at in (0..count).rev() {
        least_from[at] = least_from[at + 1].min(offers[at].weight);
    }
    let rate: Vec<f64> = offers.iter().map(|offer| offer.worth as f64 / offer.weight as f64).collect();
    let reach = |worth: u64, left: u64, at: usize| (worth as f64 + left as f64 * rate[at]) * RAISED + 1.0;
    let mut taken: Vec<(usize, usize)> = Vec::new();
    let mut best_taken = Vec::new();
    let (mut left, mut worth, mut at, mut high, mut used) = (room, 0u64, 0usize, floor, 0u64);
    let mut cut = false;
    loop {
        while at < count && left >= least_from[at] && reach(worth, left, at) > (high + 1) as f64 {
            used += 1;
            let offer = &offers[at];
            if offer.weight <= left {
                let number = ((left / offer.weight) as usize).min(offer.most);
                taken.push((at, number));
                left -= offer.weight * number as u64;
                worth += offer.worth * number as u64;
            }
            at += 1;
        }
        if worth > high {
            high = worth;
            best_taken.clone_from(&taken);
        }
        if used >= most {
            cut = true;
            break;
        }
        let mut ended = true;
        while let Some(last) = taken.last_mut() {
            let offer = &offers[last.0];
            used += 1;
            left += offer.weight;
            worth -= offer.worth;
            last.1 -= 1;
            at = last.0 + 1;
            let hopeful = at < count && reach(worth, left, at) > (high + 1) as f64;
            if !hopeful {
                // Fewer of it leave still less to hope for: the next offer is worth no more per room.
                left += offer.weight * last.1 as u64;
                worth -= offer.worth * last.1 as u64;
                taken.pop();
                continue;
            }
            if last.1 == 0 {
                taken.pop();
            }
            ended = false;
            break;
        }
        if ended {
            break;
        }
    }
    *steps += used;
    let bound = if cut && count > 0 { (reach(0, room, 0) as u64).max(high) } else { high };
    let best = (high > floor).then(|| {
        let pattern = best_taken.iter().map(|&(at, number)| (offers[at].at, number)).collect();
        (high, pattern)
    });
    Filled { bound, best }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn equals_every_filling_tried(
            list in prop::collection::vec((1u64..30, 1u64..50, 1usize..4), 0..5),
            room in 0u64..90,
            floor in 0u64..60,
            most in prop_oneof![Just(u64::MAX), 0u64..20],
        ) {
            let offer = |(at, &(weight, worth, most)): (usize, &(u64, u64, usize))| Offer { at, weight, worth, most };
            let mut offers: Vec<Offer> = list.iter().enumerate().map(offer).collect();
            sort(&mut offers);
            let mut tried = vec![(0u64, 0u64)];
            for &(weight, worth, most) in &list {
                tried = tried.iter().flat_map(|&(w, v)| (0..=most as u64).map(move |n| (w + n * weight, v + n * worth))).collect();
            }
            let top = tried.iter().filter(|t| t.0 <= room).map(|t| t.1).max().unwrap_or(0);
            let found = best(&offers, room, floor, most, &mut 0);
            prop_assert!(found.bound >= top, "the bound holds however early the search ends");
            if let Some((worth, pattern)) = &found.best {
                prop_assert_eq!(*worth, pattern.iter().map(|&(at, n)| list[at].1 * n as u64).sum::<u64>());
                prop_assert!(pattern.iter().map(|&(at, n)| list[at].0 * n as u64).sum::<u64>() <= room);
                prop_assert!(pattern.iter().all(|&(at, n)| n <= list[at].2) && *worth > floor);
            }
            if most == u64::MAX {
                prop_assert_eq!(found.best.map(|b| b.0), Some(top).filter(|&top| top > floor));
                prop_assert_eq!(found.bound, top.max(floor));
            }
        }
    }
}
