//! Least price of sticks whose worth adds up to what the pieces need.

/// One kind of stick in a covering question.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offer {
    /// What one is worth towards the need.
    pub worth: u64,
    /// What one costs.
    pub price: u64,
    /// How many there are; `None`: any number.
    pub count: Option<usize>,
}

/// Branches tried before the relaxed price is taken instead, which is lower and so still a bound. A rack of a few
/// kinds needs tens.
const MOST_BRANCHES: usize = 2000;

/// A covering question made ready: min Σ pᵢxᵢ, Σ wᵢxᵢ ≥ need, 0 ≤ xᵢ ≤ countᵢ.
#[derive(Clone, Debug)]
pub(crate) struct Cover {
    /// What is needed beyond all that is free.
    need: u128,
    /// Offers that cost something, by price per worth, lowest first.
    paid: Vec<Offer>,
    /// All prices are multiples of this.
    step: u128,
}

impl Cover {
    /// Takes what is free and sorts the rest.
    pub fn new(need: u64, offers: impl Iterator<Item = Offer>) -> Self {
        let mut need = u128::from(need);
        let mut paid = Vec::new();
        for offer in offers.filter(|offer| offer.worth > 0) {
            match (offer.price, offer.count) {
                (0, None) => need = 0,
                (0, Some(count)) => need = need.saturating_sub(u128::from(offer.worth) * count as u128),
                _ => paid.push(offer),
            }
        }
        paid.sort_by(|a, b| {
            let (left, right) = (u128::from(a.price) * u128::from(b.worth), u128::from(b.price) * u128::from(a.worth));
            left.cmp(&right).then(b.worth.cmp(&a.worth))
        });
        let step = paid.iter().fold(0, |step, offer| gcd(step, u128::from(offer.price)));
        Cover { need, paid, step }
    }

    /// Least price with parts of offers allowed, rounded up to what the prices can add up to: never above the least
    /// price, and equal to it where all prices are the same. `None`: all offers together are worth too little.
    pub fn relaxed(&self) -> Option<u64> {
        relaxed_price(self.need, &self.paid, self.step).map(narrowed)
    }

    /// Least price, by depth-first search with the relaxed price; after [`MOST_BRANCHES`] the relaxed price itself.
    pub fn least(&self) -> Option<u64> {
        let relaxed = relaxed_price(self.need, &self.paid, self.step)?;
        let mut tree = Tree { offers: &self.paid, step: self.step, best: None, floor: relaxed, branches: 0 };
        tree.descend(0, self.need, 0);
        let least = if tree.branches > MOST_BRANCHES { relaxed } else { tree.best.unwrap_or(relaxed) };
        Some(narrowed(least))
    }
}

/// A price in 64 bits. Prices that don't fit are far above any plan's; the largest number is still a bound then.
fn narrowed(price: u128) -> u64 {
    u64::try_from(price).unwrap_or(u64::MAX)
}

fn gcd(a: u128, b: u128) -> u128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Price with parts of sticks allowed, rounded up to a multiple of `step`; offers by price per worth, lowest first.
fn relaxed_price(mut need: u128, offers: &[Offer], step: u128) -> Option<u128> {
    if need == 0 {
        return Some(0);
    }
    let mut price = 0u128;
    for offer in offers {
        let (worth, each) = (u128::from(offer.worth), u128::from(offer.price));
        let all = offer.count.map(|count| worth * count as u128);
        match all {
            Some(all) if all < need => {
                need -= all;
                price += each * (all / worth);
            }
            _ => return Some((price + (need * each).div_ceil(worth)).next_multiple_of(step.max(1))),
        }
    }
    None
}

struct Tree<'a> {
    offers: &'a [Offer],
    step: u128,
    best: Option<u128>,
    floor: u128,
    branches: usize,
}

impl Tree<'_> {
    fn descend(&mut self, from: usize, need: u128, spent: u128) {
        self.branches += 1;
        if need == 0 {
            self.best = Some(self.best.map_or(spent, |best| best.min(spent)));
            return;
        }
        if self.branches > MOST_BRANCHES || self.best == Some(self.floor) {
            return;
        }
        let Some(rest) = relaxed_price(need, &self.offers[from..], self.step) else { return };
        if self.best.is_some_and(|best| spent + rest >= best) {
            return;
        }
        let offer = self.offers[from];
        let (worth, each) = (u128::from(offer.worth), u128::from(offer.price));
        let enough = need.div_ceil(worth);
        let most = offer.count.map_or(enough, |count| enough.min(count as u128));
        for taken in (0..=most).rev() {
            self.descend(from + 1, need.saturating_sub(worth * taken), spent + each * taken);
            if self.branches > MOST_BRANCHES {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn least_price(need: u64, offers: &[Offer]) -> Option<u64> {
        Cover::new(need, offers.iter().copied()).least()
    }

    fn offer(worth: u64, price: u64, count: Option<usize>) -> Offer {
        Offer { worth, price, count }
    }

    #[test]
    fn one_kind_rounds_up() {
        assert_eq!(least_price(41_524, &[offer(100, 1, None)]), Some(416));
    }

    #[test]
    fn mixes_kinds_where_that_is_cheaper() {
        // 7 = 5 + 2: a 5 at 50 and a 3 at 31 (81), two 5s (100) or three 3s (93).
        assert_eq!(least_price(7, &[offer(5, 50, None), offer(3, 31, None)]), Some(81));
    }

    #[test]
    fn equal_prices_need_no_search() {
        let kinds = [offer(7, 1, Some(3)), offer(4, 1, Some(4)), offer(3, 1, Some(5))];
        for need in 0..=60 {
            let cover = Cover::new(need, kinds.into_iter());
            assert_eq!(cover.relaxed(), cover.least(), "need {need}");
        }
    }

    #[test]
    fn free_sticks_count_first_and_a_short_rack_is_none() {
        assert_eq!(least_price(10, &[offer(4, 0, Some(2)), offer(6, 9, None)]), Some(9));
        assert_eq!(least_price(8, &[offer(4, 0, Some(2)), offer(6, 9, None)]), Some(0));
        assert_eq!(least_price(9, &[offer(4, 1, Some(2))]), None);
        assert_eq!(least_price(8, &[offer(4, 1, Some(2))]), Some(2));
    }

    #[test]
    fn equals_every_combination_tried() {
        let kinds = [offer(7, 11, Some(3)), offer(4, 6, Some(4)), offer(3, 5, Some(5)), offer(0, 1, None)];
        for need in 0..=60 {
            let mut best = None;
            for a in 0..=3u64 {
                for b in 0..=4u64 {
                    for c in 0..=5u64 {
                        if 7 * a + 4 * b + 3 * c >= need {
                            let price = 11 * a + 6 * b + 5 * c;
                            best = Some(best.map_or(price, |best: u64| best.min(price)));
                        }
                    }
                }
            }
            assert_eq!(least_price(need, &kinds), best, "need {need}");
            let relaxed = Cover::new(need, kinds.into_iter()).relaxed();
            assert!(relaxed <= best && relaxed.is_some() == best.is_some(), "need {need}");
        }
    }
}
