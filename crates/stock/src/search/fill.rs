//! Filling one stick as full as can be.

/// Steps that may still be spent.
pub(crate) struct Effort(u64);

impl Effort {
    /// So many steps.
    pub fn new(steps: u64) -> Self {
        Effort(steps)
    }

    /// What is left.
    pub fn left(&self) -> u64 {
        self.0
    }

    /// Nothing is left.
    pub fn spent(&self) -> bool {
        self.0 == 0
    }

    /// Takes some for itself; what is not used can be given back.
    pub fn share(&mut self, steps: u64) -> Effort {
        let taken = steps.min(self.0);
        self.0 -= taken;
        Effort(taken)
    }

    /// Gives back what a share did not use.
    pub fn give_back(&mut self, rest: Effort) {
        self.0 += rest.0;
    }

    /// Spends steps, no more than there are.
    pub fn spend(&mut self, steps: u64) {
        self.0 = self.0.saturating_sub(steps);
    }
}

/// Positions in `weights` whose sum comes as near to `room` as was found, never above it, written to `best`; returns
/// that sum.
///
/// Depth-first subset search, taking before leaving, that ends at a full stick, after `most` steps, or when the effort
/// is spent. The first branch is always completed: it takes each weight in turn that still fits.
pub(super) fn fill(weights: &[u64], room: u64, most: u64, effort: &mut Effort, best: &mut Vec<usize>) -> u64 {
    best.clear();
    let mut rest_from = vec![0u64; weights.len() + 1];
    for at in (0..weights.len()).rev() {
        rest_from[at] = rest_from[at + 1] + weights[at];
    }
    let most = most.min(effort.left());
    let (mut taken, mut sum, mut best_sum, mut at, mut steps) = (Vec::new(), 0u64, 0u64, 0usize, 0u64);
    loop {
        while at < weights.len() && sum + weights[at] > room {
            at += 1;
        }
        if at < weights.len() && sum + rest_from[at] > best_sum {
            taken.push(at);
            sum += weights[at];
            at += 1;
            steps += 1;
            if sum > best_sum {
                best_sum = sum;
                best.clone_from(&taken);
                if sum == room {
                    break;
                }
            }
            continue;
        }
        let Some(last) = taken.pop() else { break };
        if steps >= most {
            break;
        }
        sum -= weights[last];
        at = last + 1;
        // To leave one and take its equal instead leads nowhere new.
        while at < weights.len() && weights[at] == weights[last] {
            at += 1;
        }
    }
    effort.spend(steps);
    best_sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn finds_the_fullest(weights in prop::collection::vec(1u64..40, 0..10), room in 0u64..120) {
            let mut best = Vec::new();
            let sum = fill(&weights, room, u64::MAX, &mut Effort::new(u64::MAX), &mut best);
            prop_assert_eq!(sum, best.iter().map(|&at| weights[at]).sum::<u64>());
            let fullest = (0..1u32 << weights.len())
                .map(|set| (0..weights.len()).filter(|at| set >> at & 1 == 1).map(|at| weights[at]).sum::<u64>())
                .filter(|&sum| sum <= room)
                .max();
            prop_assert_eq!(Some(sum), fullest);
        }
    }

    #[test]
    fn without_effort_takes_what_fits_in_turn() {
        let mut best = Vec::new();
        assert_eq!(fill(&[6, 5, 5, 3], 10, 0, &mut Effort::new(0), &mut best), 9);
        assert_eq!(best, [0, 3]);
    }
}
