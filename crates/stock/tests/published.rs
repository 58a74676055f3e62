//! Published cutting-stock and bin-packing instances with known optimum: no kerf, no trim, one stick length.

mod common;

use common::{BARE, checked, pieces, stick};

/// Repeats each length as often as asked for.
fn repeated(demand: &[(u64, usize)]) -> Vec<u64> {
    demand.iter().flat_map(|&(length, count)| std::iter::repeat_n(length, count)).collect()
}

/// What the plan must reach.
struct Expect {
    optimum: usize,
    /// Bound by the families of functions alone: as measured, never more than the optimum.
    bound: usize,
}

fn assert_reaches(name: &str, whole: u64, lengths: &[u64], expect: Expect) {
    let plan = checked(&pieces(lengths), &[stick(whole, None, 10.0)], &BARE);
    let section = &plan.sections[0];
    let bound = section.bound.expect("every piece fits");
    assert_eq!(section.sticks.len(), expect.optimum, "{name}: sticks");
    assert!(section.proven && section.fewest && plan.proven, "{name}: proven");
    assert_eq!(bound.cost, 10.0 * expect.optimum as f64, "{name}: bound of the cost");
    assert_eq!(bound.sticks_at_cost, expect.optimum, "{name}: bound of the number");
    assert_eq!(bound.sticks, expect.bound, "{name}: quick bound");
    assert_eq!(bound.sticks_by_length as u64, lengths.iter().sum::<u64>().div_ceil(whole), "{name}: by length");
}

const U120_00: [u64; 120] = [
    42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73, 49, 70, 59, 23, 57,
    72, 74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38, 82, 30, 35, 39, 57, 84, 62, 50, 55, 27,
    30, 36, 20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84, 37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70,
    23, 42, 87, 43, 84, 60, 55, 49, 78, 73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60,
    42, 43, 43, 39,
];

const T60_00: [u64; 60] = [
    495, 474, 473, 472, 466, 450, 445, 444, 439, 430, 419, 414, 410, 395, 372, 370, 366, 366, 366, 363, 361, 357, 355,
    351, 350, 350, 347, 320, 315, 307, 303, 299, 298, 298, 292, 288, 287, 283, 275, 275, 274, 273, 273, 272, 272, 271,
    269, 269, 268, 263, 262, 261, 259, 258, 255, 254, 252, 252, 252, 251,
];

const N1W1B1R0: [u64; 50] = [
    395, 394, 394, 391, 390, 389, 388, 384, 383, 382, 380, 379, 376, 371, 368, 365, 360, 360, 354, 350, 346, 346, 344,
    342, 340, 335, 335, 333, 330, 330, 328, 327, 317, 316, 311, 310, 310, 306, 300, 300, 297, 296, 295, 294, 294, 286,
    285, 278, 275, 275,
];

/// Falkenauer's uniform class, OR-Library binpack1, first problem: optimum 48.
#[test]
fn falkenauer_u120_00() {
    assert_reaches("u120_00", 150, &U120_00, Expect { optimum: 48, bound: 48 });
}

/// Falkenauer's triplets, three pieces to a stick without waste: optimum 20.
#[test]
fn falkenauer_t60_00() {
    assert_reaches("t60_00", 1000, &T60_00, Expect { optimum: 20, bound: 20 });
}

/// Scholl's second set: optimum 18, one more than the length asks for.
#[test]
fn scholl_n1w1b1r0() {
    assert_reaches("N1W1B1R0", 1000, &N1W1B1R0, Expect { optimum: 18, bound: 17 });
}

/// The sample of the vector packing solver pyvpsolver 3.1.4: optimum 33.
#[test]
fn csp_vbp() {
    let lengths = repeated(&[(1120, 9), (1250, 5), (520, 91), (1066, 18), (1000, 11), (1150, 64)]);
    assert_eq!((lengths.len(), lengths.iter().sum::<u64>()), (198, 167_438));
    assert_reaches("csp.vbp", 5180, &lengths, Expect { optimum: 33, bound: 33 });
}

/// Small uniform instances of BPPLib.jl: optima 5, 4, 7, 12.
#[test]
fn pm_u() {
    let u010_01 = [24, 44, 76, 78, 52, 96, 58, 67, 74, 59];
    let u010_02 = [41, 22, 77, 30, 57, 57, 46, 27, 76, 88];
    let u020_01 = [52, 60, 67, 23, 26, 45, 76, 43, 85, 82, 41, 56, 25, 83, 50, 72, 23, 39, 21, 39];
    let u030_01 = [
        29, 96, 98, 31, 48, 54, 46, 64, 92, 46, 26, 81, 49, 90, 97, 41, 57, 40, 67, 20, 28, 49, 45, 67, 57, 95, 65, 70,
        55, 32,
    ];
    assert_reaches("PM_u010_01", 150, &u010_01, Expect { optimum: 5, bound: 5 });
    assert_reaches("PM_u010_02", 150, &u010_02, Expect { optimum: 4, bound: 4 });
    assert_reaches("PM_u020_01", 150, &u020_01, Expect { optimum: 7, bound: 7 });
    assert_reaches("PM_u030_01", 150, &u030_01, Expect { optimum: 12, bound: 12 });
}

/// The paper-roll textbook case: 219 rolls, optimum 73 with 0.401 % waste.
#[test]
fn paper_rolls() {
    let widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200];
    let demands = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20];
    let lengths = repeated(&widths.into_iter().zip(demands).collect::<Vec<_>>());
    assert_eq!((lengths.len(), lengths.iter().sum::<u64>()), (219, 407_160));
    assert_reaches("paper rolls", 5600, &lengths, Expect { optimum: 73, bound: 73 });
}

/// Chvátal's four widths (Linear Programming, 1983, ch. 13): optimum 453, which the bound does not reach.
#[test]
fn four_widths() {
    let lengths = repeated(&[(14, 211), (31, 395), (36, 610), (45, 97)]);
    assert_eq!((lengths.len(), lengths.iter().sum::<u64>()), (1313, 41_524));
    assert_reaches("four widths", 100, &lengths, Expect { optimum: 453, bound: 416 });
}
