//! What no packing can beat.
//!
//! A measure gives every length a worth such that the worths of lengths that fit together in a room never exceed the
//! worth of that room. Then the sticks taken must be worth at least as much as the pieces, which is a covering
//! question ([`crate::cover`]). Every measure here is a function f with f(a) + f(b) ≤ f(a + b) that never falls, so
//! that f(room) is the worth of a room. See `docs/methods/stock.md` for the family and its sources.

use crate::cover::{Cover, Offer};
use crate::exact::Row;
use crate::instance::Instance;

/// Most thresholds tried alone; more distinct lengths than this are thinned evenly.
const MOST_THRESHOLDS: usize = 256;
/// Most thresholds tried together with a rounding.
const MOST_COMBINED: usize = 32;
/// Roundings tried: to whole parts of a stick from a half to this. Finer ones hardly differ from the length itself.
const FINEST_ROUNDING: u64 = 12;
/// Counts of "more than 1/j of a stick", j up to this.
const MOST_PARTS: u64 = 6;
/// Most different stick lengths that such counts are made for.
const MOST_ROOMS: usize = 64;

/// Measures whose covering question is searched for the exact least price: those with the highest relaxed price.
const MOST_SEARCHED: usize = 24;
/// Measures handed to the exact part.
const MOST_ROWS: usize = 16;
/// Products of a worth and a count that take as long as one step of subset search.
const TERMS_PER_STEP: u64 = 10;

/// One measure's view of an instance.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Measure {
    /// Worth of all pieces.
    need: u64,
    /// Worth of one stick of each kind.
    worth: Vec<u64>,
}

impl Measure {
    /// So many sticks of each kind are worth as much as the pieces.
    fn holds(&self, counts: &[usize]) -> bool {
        let worth: u128 = self.worth.iter().zip(counts).map(|(&worth, &count)| u128::from(worth) * count as u128).sum();
        worth >= u128::from(self.need)
    }
}

/// Limits to any packing of one instance.
#[derive(Clone)]
pub(crate) struct Limits {
    measures: Vec<Measure>,
    /// Least number of sticks; `None`: no packing places every piece.
    pub sticks: Option<usize>,
    /// Least value bought; `None`: no packing places every piece.
    pub value: Option<u64>,
    /// Least number of sticks by length alone.
    pub sticks_by_length: Option<usize>,
    /// Least value bought by length alone.
    pub value_by_length: Option<u64>,
}

impl Limits {
    /// Works the limits out.
    pub fn new(instance: &Instance) -> Self {
        let measures = measures(instance);
        let length = &measures[..1];
        Limits {
            sticks: least_sticks(instance, &measures),
            value: least_value(instance, &measures),
            sticks_by_length: least_sticks(instance, length),
            value_by_length: least_value(instance, length),
            measures,
        }
    }

    /// The measures that ask for most, for the exact part.
    pub fn rows(&self) -> Vec<Row> {
        let row =
            |measure: &Measure| Row { need: u128::from(measure.need), kind: measure.worth.clone(), each: 0, money: 0 };
        // By how nearly the roomiest stick is used up, the length itself always.
        let tight = |measure: &Measure| {
            let most = measure.worth.iter().copied().max().unwrap_or(0).max(1);
            std::cmp::Reverse((u128::from(measure.need) << 16) / u128::from(most))
        };
        let mut list: Vec<&Measure> = self.measures[1..].iter().collect();
        list.sort_by_cached_key(|measure| tight(measure));
        std::iter::once(&self.measures[0]).chain(list.into_iter().take(MOST_ROWS)).map(row).collect()
    }

    /// A value that no packing beats is known from elsewhere.
    pub fn raise(&mut self, value: Option<u64>) {
        self.value = self.value.and_then(|least| Some(least.max(value?)));
    }

    /// What [`Limits::allow`] costs for a set that is long enough, in steps of the search's effort.
    pub fn steps(&self) -> u64 {
        (self.measures.len() * self.measures[0].worth.len()) as u64 / TERMS_PER_STEP
    }

    /// The sticks are as long as all pieces together: the first and cheapest question.
    pub fn long_enough(&self, counts: &[usize]) -> bool {
        self.measures[0].holds(counts)
    }

    /// No measure rules out that `counts` sticks of each kind hold every piece.
    pub fn allow(&self, counts: &[usize]) -> bool {
        self.measures.iter().all(|measure| measure.holds(counts))
    }
}

/// The largest of the measures' least values; `None` as soon as one measure asks for more than there is.
fn least_value(instance: &Instance, measures: &[Measure]) -> Option<u64> {
    let covers = measures.iter().map(|measure| {
        let offers = instance.kinds.iter().zip(&measure.worth);
        Cover::new(measure.need, offers.map(|(kind, &worth)| Offer { worth, price: kind.value, count: kind.count }))
    });
    let mut covers = covers.map(|cover| Some((cover.relaxed()?, cover))).collect::<Option<Vec<_>>>()?;
    covers.sort_by_key(|(relaxed, _)| std::cmp::Reverse(*relaxed));
    covers.truncate(MOST_SEARCHED);
    covers.iter().map(|(_, cover)| cover.least()).max().flatten()
}

/// The largest of the measures' least numbers of sticks; `None` as soon as one measure asks for more than there is.
fn least_sticks(instance: &Instance, measures: &[Measure]) -> Option<usize> {
    measures.iter().try_fold(0, |most, measure| {
        let offers = instance.kinds.iter().zip(&measure.worth);
        let cover = Cover::new(measure.need, offers.map(|(kind, &worth)| Offer { worth, price: 1, count: kind.count }));
        cover.relaxed().map(|sticks| most.max(sticks as usize))
    })
}

/// All measures, the length itself first.
fn measures(instance: &Instance) -> Vec<Measure> {
    let distinct = distinct(&instance.weights);
    let longest = instance.kinds.iter().map(|kind| kind.room).max().unwrap_or(0);
    let apply = |f: &dyn Fn(u64) -> u64| Measure {
        need: distinct.iter().map(|&(weight, count)| f(weight) * count).sum(),
        worth: instance.kinds.iter().map(|kind| f(kind.room)).collect(),
    };
    let mut all = vec![apply(&|x| x)];
    // How many lengths of at least t: f(x) = ⌊x / t⌋.
    for &(t, _) in thinned(&distinct, MOST_THRESHOLDS).iter() {
        all.push(apply(&|x| x / t));
    }
    // How many of more than a j-th of a room: f(x) = ⌈j x / room⌉ − 1.
    let mut rooms: Vec<u64> = instance.kinds.iter().map(|kind| kind.room).collect();
    rooms.sort_unstable_by(|a, b| b.cmp(a));
    rooms.dedup();
    for &room in thinned(&rooms, MOST_ROOMS).iter() {
        for j in 1..=MOST_PARTS {
            all.push(apply(&|x| (j * x).div_ceil(room).saturating_sub(1)));
        }
    }
    for parts in 2..=FINEST_ROUNDING {
        all.push(apply(&|x| rounded(x, longest, parts)));
    }
    let halves: Vec<_> = distinct.iter().copied().filter(|&(weight, _)| 2 * weight <= longest).collect();
    for &(least, _) in thinned(&halves, MOST_THRESHOLDS).iter() {
        all.push(apply(&|x| large(x, longest, least)));
    }
    for &(least, _) in thinned(&halves, MOST_COMBINED).iter() {
        for parts in 2..=FINEST_ROUNDING {
            all.push(apply(&|x| rounded(large(x, longest, least), longest, parts)));
        }
    }
    let first = all.remove(0);
    all.sort_unstable_by(|a, b| (a.need, &a.worth).cmp(&(b.need, &b.worth)));
    all.dedup();
    all.retain(|measure| measure.need > 0);
    all.insert(0, first);
    all
}

/// Large lengths count as the whole, those under `least` as nothing (the function behind Martello and Toth's L2).
fn large(x: u64, whole: u64, least: u64) -> u64 {
    if x < least {
        0
    } else if x > whole - least {
        whole
    } else {
        x
    }
}

/// Rounded to parts of the whole, in units of 1 / (parts (parts − 1)); exact multiples keep their share (Fekete and
/// Schepers' u).
fn rounded(x: u64, whole: u64, parts: u64) -> u64 {
    let scaled = parts * x;
    let share = scaled / whole;
    if scaled.is_multiple_of(whole) { share * (parts - 1) } else { share * parts }
}

/// Distinct weights with how often each occurs.
fn distinct(weights: &[u64]) -> Vec<(u64, u64)> {
    weights.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as u64)).collect()
}

/// At most `most` of a list, evenly chosen, the first one among them.
fn thinned<T: Copy>(list: &[T], most: usize) -> Vec<T> {
    list.iter().copied().step_by(list.len().div_ceil(most).max(1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every measure's function must never fall and give a sum at least what its parts get.
    #[test]
    fn functions_are_superadditive_and_never_fall() {
        const WHOLE: u64 = 60;
        type Worth = Box<dyn Fn(u64) -> u64>;
        let mut functions: Vec<(String, Worth)> = Vec::new();
        for t in 1..=WHOLE {
            functions.push((format!("at least {t}"), Box::new(move |x| x / t)));
        }
        for j in 1..=MOST_PARTS {
            for room in [30, 45, 60] {
                let f = move |x: u64| (j * x).div_ceil(room).saturating_sub(1);
                functions.push((format!("more than 1/{j} of {room}"), Box::new(f)));
            }
        }
        for parts in 2..=FINEST_ROUNDING {
            functions.push((format!("rounded {parts}"), Box::new(move |x| rounded(x, WHOLE, parts))));
            for least in 1..=WHOLE / 2 {
                let f = move |x| rounded(large(x, WHOLE, least), WHOLE, parts);
                functions.push((format!("rounded {parts} of large {least}"), Box::new(f)));
            }
        }
        for least in 1..=WHOLE / 2 {
            functions.push((format!("large {least}"), Box::new(move |x| large(x, WHOLE, least))));
        }
        for (name, f) in functions {
            for sum in 0..=WHOLE {
                for a in 0..=sum {
                    assert!(f(a) <= f(sum), "{name}: falls from {a} to {sum}");
                    assert!(f(a) + f(sum - a) <= f(sum), "{name}: {a} + {}", sum - a);
                }
            }
        }
    }
}
