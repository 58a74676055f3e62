//! Whole numbers for the search: lengths in nanometres, prices in thousandths.

/// Nanometres in a metre. Sums of cuts are compared on this grid, so that three pieces of a third of a stick fit and
/// no tolerance adds up; it is a millionth of what a saw can hold.
const PER_METRE: f64 = 1e9;

/// Steps in one unit of money. Prices are compared to a thousandth, finer than any price list.
const PER_MONEY: f64 = 1e3;

/// Longest length taken, m. A longer stick is a slip of units; with [`MAX_PIECES`] it also keeps every sum in 64 bits.
pub(crate) const MAX_LENGTH: f64 = 1000.0;

/// Highest price of one stick taken: far above any currency's price of a tube, and sums stay in 64 bits.
pub(crate) const MAX_PRICE: f64 = 1e9;

/// Most pieces planned in one call: far above any frame, and sums stay in 64 bits.
pub(crate) const MAX_PIECES: usize = 1_000_000;

/// A length in m, 0 to [`MAX_LENGTH`], in whole nanometres.
pub(crate) fn nanometres(length: f64) -> u64 {
    (length * PER_METRE).round() as u64
}

/// Whole nanometres in m.
pub(crate) fn metres(length: u64) -> f64 {
    length as f64 / PER_METRE
}

/// A price, 0 to [`MAX_PRICE`], in whole thousandths.
pub(crate) fn thousandths(price: f64) -> u64 {
    (price * PER_MONEY).round() as u64
}

/// Whole thousandths as a price.
pub(crate) fn money(price: u64) -> f64 {
    price as f64 / PER_MONEY
}
